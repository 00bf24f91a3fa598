"""The maker's changes from the page, as edits of `decisions.toml`. Each is anchored on what was said and when."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from benchscribe.decisions import drop_table, put_table
from benchscribe.decisions.anchors import find_utterance, running
from benchscribe.decisions.lists import fits_hazard, fits_step, fits_still
from benchscribe.decisions.tables import ChapterChange, ListChange, ListKind, WordChange
from benchscribe.decisions.talk import plain_word
from benchscribe.desk.places import moment
from benchscribe.errors import BuildError
from benchscribe.records import Step, Transcript
from benchscribe.stills import candidate_times

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

    from benchscribe.desk.model import Snapshot

Edit = Callable[["TOMLDocument"], "TOMLDocument | None"]
_NOT_HERE: Final = "this is not on the page any more"


def anchor_of(transcript: Transcript, number: int, *, prefix: str = "") -> dict[str, Any]:
    """Give the keys that say which sentence is meant.

    Args:
        transcript: As it goes out.
        number: Of the utterance.
        prefix: "to_" for the second moment of a table.
    """
    if not 0 <= number < len(transcript.utterances):
        raise BuildError(_NOT_HERE)
    utterance = transcript.utterances[number]
    file, at = moment(utterance.start_s, transcript.files) if utterance.start_s is not None else ("", None)
    keys = {"sentence": transcript.text(utterance.span), "file": file, "at": at, "start": utterance.start_s}
    return {f"{prefix}{key}": value for key, value in keys.items()}


# --- chapters ---


def chapter_edit(now: Snapshot, number: int, changes: Mapping[str, Any]) -> Edit:
    """Change a chapter: its title, where it begins, or that it is one.

    Args:
        now: What the maker was looking at.
        number: Of the chapter, from 0.
        changes: `title`; `to`, the utterance that it begins with instead; `join`.
    """
    begins = now.settled.chapters.begins
    if not 0 <= number < len(begins):
        raise BuildError(_NOT_HERE)
    mine = begins[number]
    old = now.decisions.chapter[mine.change] if mine.change is not None else None
    told = now.record.transcript
    if mine.found_at is None:
        return _own_chapter_edit(told, mine.change, old, changes)
    entry: dict[str, Any] = _chapter_keys(old) if old else anchor_of(told, mine.found_at)
    if "title" in changes:
        entry["title"] = changes["title"]
    if changes.get("join"):
        entry |= {"begins": False, "to_sentence": "", "to_file": "", "to_at": None, "to_start": None}
    if "to" in changes:
        back = changes["to"] == mine.found_at
        there = anchor_of(told, changes["to"], prefix="to_")
        entry |= dict.fromkeys(there) if back else there
    return lambda document: put_table(document, "chapter", entry, row=mine.change)


def split_edit(now: Snapshot, utterance: int, title: str) -> Edit:
    """Begin a chapter at a sentence."""
    told = now.record.transcript
    anchor = anchor_of(told, utterance)
    gone = next(
        (
            n
            for n, c in enumerate(now.decisions.chapter)
            if c.begins is False and find_utterance(told, c) == utterance
        ),
        None,
    )
    if gone is not None:  # it was joined to the one before: let it begin again
        entry = {**_chapter_keys(now.decisions.chapter[gone]), "begins": None, "title": title}
        return lambda document: put_table(document, "chapter", entry, row=gone)
    return lambda document: put_table(document, "chapter", {"title": title, "begins": True, **anchor})


def _own_chapter_edit(
    told: Transcript, row: int | None, old: ChapterChange | None, changes: Mapping[str, Any]
) -> Edit:
    if row is None or old is None:
        raise BuildError(_NOT_HERE)
    if changes.get("join"):
        return lambda document: drop_table(document, "chapter", row)
    entry = {**_chapter_keys(old), "title": changes.get("title", old.title)}
    if "to" in changes:
        entry |= anchor_of(told, changes["to"])
    return lambda document: put_table(document, "chapter", entry, row=row)


def _chapter_keys(change: ChapterChange) -> dict[str, Any]:
    return {
        name: getattr(change, name)
        for name in (
            "title",
            "begins",
            "sentence",
            "file",
            "at",
            "start",
            "to_sentence",
            "to_file",
            "to_at",
            "to_start",
        )
    }


# --- the talk ---


def word_edit(now: Snapshot, first: int, last: int, meant: str) -> Edit:
    """Put other words in the place of some; what is put in keeps their time.

    Args:
        now: What the maker was looking at.
        first: Number of the first word.
        last: Number behind the last word.
        meant: What was said; empty for nothing.
    """
    edited = now.fresh.edited if now.fresh else now.edited
    told = now.fresh.edited.talk if now.fresh else now.record.transcript
    if not 0 <= first < last <= len(told.words) or last - first > 12:
        raise BuildError(_NOT_HERE)
    start = told.words[first].start_s
    row = next(
        (n for n, w in enumerate(now.decisions.word) if _same_words(told, first, last, w)), None
    ) if edited.edited & set(range(first, last)) else None  # fmt: skip
    if row is not None:
        old = now.decisions.word[row]
        if [plain_word(w) for w in meant.split()] == [plain_word(w) for w in old.heard.split()]:
            return lambda document: drop_table(document, "word", row)
        return lambda document: put_table(document, "word", {"meant": meant}, row=row)
    home = next(n for n, u in enumerate(told.utterances) if u.span[0] <= first < u.span[1])
    file, at = moment(start, told.files) if start is not None else ("", None)
    entry = {
        "heard": told.text((first, last)),
        "meant": meant,
        **anchor_of(told, home),
        "file": file,
        "at": at,
        "start": start,
    }
    return lambda document: put_table(document, "word", entry)


def off_record_edit(now: Snapshot, first: int, last: int) -> Edit:
    """Put a stretch off the record.

    Args:
        now: What the maker was looking at.
        first: Number of its first sentence.
        last: Number of its last sentence.
    """
    told = now.fresh.edited.talk if now.fresh else now.record.transcript
    if not 0 <= first <= last < len(told.utterances):
        raise BuildError(_NOT_HERE)
    runs: list[tuple[int, int]] = []
    for n in range(first, last + 1):
        # Where there are no times, or another file begins, a stretch of its own: it must be found again by its words.
        alone = told.utterances[n].start_s is None
        if runs and not alone and _file_of(told, runs[-1][1]) == _file_of(told, n):
            runs[-1] = (runs[-1][0], n)
        else:
            runs.append((n, n))

    def edit(document: TOMLDocument) -> None:
        for begin, end in runs:
            ends = told.utterances[end].end_s
            _, to_at = moment(ends - 0.001, told.files) if ends is not None else ("", None)
            entry = {
                **anchor_of(told, begin),
                "to_sentence": told.text(told.utterances[end].span),
                "to_at": None if to_at is None else round(to_at + 0.001, 3),
                "to_start": ends,
            }
            put_table(document, "off_record", entry)

    return edit


def row_edit(now: Snapshot, table: str, row: int) -> Edit:
    """Take one table back: a stretch off the record, a word, a line that was added."""
    if table not in ("off_record", "word", "chapter", "tool", "material", "caution", "step", "still"):
        raise BuildError(_NOT_HERE)
    if not 0 <= row < len(getattr(now.decisions, table)):
        raise BuildError(_NOT_HERE)
    return lambda document: drop_table(document, table, row)


def _file_of(told: Transcript, number: int) -> str:
    start = told.utterances[number].start_s
    return moment(start, told.files)[0] if start is not None else ""


def _same_words(told: Transcript, first: int, last: int, change: WordChange) -> bool:
    """Tell whether these words are what an edit put in."""
    time, start = running(change.file, change.at, change.start, told), told.words[first].start_s
    there = [plain_word(w.text) for w in told.words[first:last]]
    meant = [plain_word(w) for w in change.meant.split()]
    near = time is None or start is None or abs(time - start) <= 2.0
    return near and bool(there) and (there == meant or (len(there) == 1 and there[0] in meant))


# --- lists ---


def list_edit(now: Snapshot, kind: ListKind, number: int, change: Mapping[str, str]) -> Edit:
    """Strike a line of a list, or write it otherwise.

    Args:
        now: What the maker was looking at.
        kind: tool, material, caution or step.
        number: Of the line.
        change: `change` ("strike" or "rename"), and for `rename` the new name, text and part.
    """
    told = now.record.transcript
    name, text, part, start, old = _line(now, kind, number)
    row = old
    known: tuple[ListChange, ...] = getattr(now.decisions, kind)
    if row is not None and known[row].change == "add":
        if change["change"] == "strike":
            return lambda document: drop_table(document, kind, row)
        own = {
            "name": change.get("new_name") or name,
            "text": change.get("new_text") or text,
            "part": change.get("new_part") or part,
        }
        return lambda document: put_table(document, kind, own, row=row)
    new = {"new_name": "", "new_text": "", "new_part": "", **change}
    if row is not None:
        return lambda document: put_table(document, kind, new, row=row)
    file, at = moment(start, told.files) if start is not None else ("", None)
    entry: dict[str, Any] = {
        **new,
        "name": name,
        "text": text,
        "part": part,
        "file": file,
        "at": at,
        "start": start,
    }
    return lambda document: put_table(document, kind, entry)


def add_edit(now: Snapshot, kind: ListKind, line: Mapping[str, str], start_s: float | None) -> Edit:
    """Add a line to a list."""
    told = now.record.transcript
    file, at = moment(start_s, told.files) if start_s is not None else ("", None)
    entry: dict[str, Any] = {"change": "add", **line, "file": file, "at": at, "start": start_s}
    return lambda document: put_table(document, kind, entry)


def still_edit(now: Snapshot, number: int, choice: str) -> Edit:
    """Choose a step's picture.

    Args:
        now: What the maker was looking at.
        number: Of the step.
        choice: "found" for the one that the program takes, "none" for no picture, or the number of a candidate.
    """
    if not 0 <= number < len(now.record.steps):
        raise BuildError(_NOT_HERE)
    step = now.record.steps[number]
    row = next(
        (n for n, c in enumerate(now.decisions.still) if fits_still(c, step, now.record.transcript)), None
    )
    if choice == "found":
        if row is None:
            raise BuildError("this is the picture that it has")
        return lambda document: drop_table(document, "still", row)
    entry: dict[str, Any] = {
        "name": step.operation,
        "part": step.part or "",
        "sentence": step.text,
        "file": step.file or "",
        "at": step.at_s,
        "start": step.start_s,
        "from_file": "",
        "from_at": None,
    }
    if choice != "none":
        times = candidate_times(step)
        if not (choice.isascii() and choice.isdigit() and int(choice) < len(times)):
            raise BuildError("choose one of the pictures")
        entry |= {"from_file": step.file or "", "from_at": times[int(choice)]}
    return lambda document: put_table(document, "still", entry, row=row)


def _line(now: Snapshot, kind: ListKind, number: int) -> tuple[str, str, str, float | None, int | None]:
    """Give name, text, part and time of a line as it was found, and the table that there is about it already."""
    record = now.record
    rows: tuple[Any, ...] = {
        "tool": record.tools, "material": record.materials, "caution": record.hazards, "step": record.steps,
    }[kind]  # fmt: skip
    if not 0 <= number < len(rows):
        raise BuildError(_NOT_HERE)
    line = rows[number]
    known: tuple[ListChange, ...] = getattr(now.decisions, kind)
    if kind in ("tool", "material"):
        old = next(
            (
                n
                for n, c in enumerate(known)
                if line.name.casefold()
                in (c.name.casefold() if c.change == "add" else "", c.new_name.casefold())
            ),
            None,
        )
        return line.name, "", "", line.start_s, old
    if kind == "caution":
        old = next((n for n, c in enumerate(known) if _is_caution(c, line)), None)
        return line.name, line.caution, "", line.start_s, old
    return line.operation, line.text, line.part or "", line.start_s, _step_row(known, line, record.transcript)


def _is_caution(change: ListChange, line: Any) -> bool:  # noqa: ANN401 - a Hazard
    if change.change == "add":
        return bool(change.text == line.caution)
    return bool(change.new_text == line.caution) or fits_hazard(change, line)


def _step_row(known: tuple[ListChange, ...], step: Step, told: Transcript) -> int | None:
    for number, change in enumerate(known):
        if change.change == "add" and change.text == step.text:
            return number
        if change.change == "rename" and (
            (change.new_text or change.text) == step.text
            or (fits_step(change, step, told) > 0 and (change.new_name or change.name) == step.operation)
        ):
            return number
    return None
