"""What the page can do: each takes the desk, what the maker was looking at, and the form, and changes `decisions.toml`."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING, Final, Literal

from benchscribe.decisions import (
    Change,
    forget_decision,
    put_decision,
    put_taken_out,
    typed_dimension,
    typed_part,
    typed_value,
)
from benchscribe.decisions.tables import LIST_KINDS, ListKind
from benchscribe.desk import edits
from benchscribe.desk.answers import choices
from benchscribe.desk.forms import Form
from benchscribe.desk.views import TITLE_LIMIT, subject_of, urgency
from benchscribe.errors import BuildError
from benchscribe.measures import read, read_size
from benchscribe.records import Finding
from benchscribe.writers.review import numbered
from benchscribe.writers.sizes import size
from benchscribe.writers.text import plain

if TYPE_CHECKING:
    from benchscribe.desk.model import Desk, Snapshot

Action = Callable[["Desk", "Snapshot", Form], "dict[str, str] | None"]


def settle(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Answer a finding; then the next open one is shown."""
    finding = _finding(now, form)
    choice = form.text("choice")
    note = form.text("note")
    if choice == "other":
        answer, change, shown = "amend", _own_answer(now, finding, form), "another value"
    else:
        picked = next((c for c in choices(finding) if c.id == choice), None)
        if picked is None:
            raise BuildError("choose one of the answers")
        answer, change, shown = picked.answer, picked.change(), picked.label
    change["note"] = note
    desk.change(
        f"{subject_of(finding)}: {shown}",
        lambda document: put_decision(document, finding, answer, change),
        expected=_expected(form),
    )
    after = _next_open(desk.now(), finding.id)
    return {"finding": after or finding.id, "at": "ticket"}


def note(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Keep a note for the viewers with an answer that was given already."""
    finding = _finding(now, form)
    decided = next((d for d in now.decisions.decision if d.id == finding.id), None)
    answer = decided.answer if decided else "accept"
    text = form.text("note")
    change: Change = {"note": text}
    if decided is not None:
        from benchscribe.decisions.tables import exact

        change |= {
            "kind": decided.new_kind or None,
            "value": exact(decided.new_value) if decided.new_value else None,
            "unit": decided.new_unit or None,
            "part": decided.new_part or None,
            "dimension": decided.new_dimension or None,
        }
    desk.change(
        f"{subject_of(finding)}: note",
        lambda document: put_decision(document, finding, answer, change),
        expected=_expected(form),
    )
    return {"finding": finding.id, "at": "ticket"}


def reopen(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Take the answer to a finding back."""
    finding = _finding(now, form)
    desk.change(
        f"{subject_of(finding)}: opened again",
        lambda document: forget_decision(document, finding),
        expected=_expected(form),
    )
    return {"finding": finding.id, "at": "ticket"}


def taken_out(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Say whether something that the edit took out goes into the notes after all."""
    number, answer = form.number("number"), form.text("choice")
    if not number < len(now.record.not_in_cut) or answer not in ("notes", "leave"):
        raise BuildError("this is not on the page any more")
    item = now.record.not_in_cut[number]
    desk.change(
        f"{item.kind} {'in the notes' if answer == 'notes' else 'left out'}",
        lambda document: put_taken_out(document, now.decisions, item, answer),
        expected=_expected(form),
    )
    return {"at": "taken-out"}


def still(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Choose the picture that goes with a step."""
    choice = form.text("choice")
    edit = edits.still_edit(now, form.number("number"), choice)
    desk.change("picture chosen", edit, expected=_expected(form))
    return {"at": "steps"}


def undo(desk: Desk, now: Snapshot, form: Form) -> None:
    """Take the last change back, whatever it was."""
    del now
    desk.undo(expected=_expected(form))


def chapter_title(desk: Desk, now: Snapshot, form: Form) -> None:
    """Give a chapter another title."""
    title = plain(form.text("title"))
    if not title:
        raise BuildError("a chapter wants a title")
    if len(title) > TITLE_LIMIT:
        raise BuildError(f"this title has {len(title)} characters; {TITLE_LIMIT} fit")
    edit = edits.chapter_edit(now, form.number("chapter") - 1, {"title": title})
    desk.change(f'chapter "{title}"', edit, expected=_expected(form))


def chapter_move(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Let a chapter begin with another sentence."""
    number = form.number("chapter") - 1
    if number == 0:
        raise BuildError("the first chapter begins at 0:00")
    utterance = form.number("utterance")
    edit = edits.chapter_edit(now, number, {"to": utterance})
    desk.change("chapter moved", edit, expected=_expected(form))
    return _chapter_at(desk.now(), utterance)


def chapter_join(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Join a chapter to the one before."""
    number = form.number("chapter") - 1
    if number == 0:
        raise BuildError("there is no chapter before the first")
    desk.change("chapters joined", edits.chapter_edit(now, number, {"join": True}), expected=_expected(form))
    return {"chapter": str(number), "at": f"chapter-{number}"}


def chapter_split(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Begin a chapter at a sentence."""
    utterance = form.number("utterance")
    title = plain(form.text("title")) or "New chapter"
    desk.change(
        "chapter split", edits.split_edit(now, utterance, title[:TITLE_LIMIT]), expected=_expected(form)
    )
    return _chapter_at(desk.now(), utterance)


def word(desk: Desk, now: Snapshot, form: Form) -> None:
    """Put words right."""
    meant = " ".join(form.text("meant").split())
    if len(meant) > 200:
        raise BuildError("that is more than a word or two")
    edit = edits.word_edit(now, form.number("first"), form.number("last"), meant)
    desk.change(f'"{meant}"' if meant else "a word struck out", edit, expected=_expected(form))


def off_record(desk: Desk, now: Snapshot, form: Form) -> None:
    """Put the ticked sentences off the record."""
    ticked = sorted({int(t) for t in form.texts("sentence") if t.isascii() and t.isdigit() and len(t) < 8})
    if not ticked:
        raise BuildError("tick the sentences that are to go off the record")
    stretches: list[tuple[int, int]] = []
    for number in ticked:
        if stretches and number == stretches[-1][1] + 1:
            stretches[-1] = (stretches[-1][0], number)
        else:
            stretches.append((number, number))
    each = [edits.off_record_edit(now, first, last) for first, last in stretches]

    def edit(document: object) -> None:
        for one in each:
            one(document)  # type: ignore[arg-type]

    desk.change("off the record", edit, expected=_expected(form))


def row_back(desk: Desk, now: Snapshot, form: Form) -> None:
    """Take one change back by its place in the file: put a struck line or stretch back."""
    edit = edits.row_edit(now, form.text("table"), form.number("row"))
    desk.change("put back", edit, expected=_expected(form))


def line(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Strike a line of a list, or write it otherwise."""
    kind = _kind(form)
    change = {"change": "strike" if form.text("change") == "strike" else "rename"}
    if change["change"] == "rename":
        change |= {key: plain(form.text(key)) for key in ("new_name", "new_text", "new_part")}
        if kind != "caution" and not change["new_name"]:
            raise BuildError("it wants a name")
        change["new_part"] = (
            typed_part(change["new_part"], now.record.part_list) if change["new_part"] else ""
        )
    desk.change(
        f"{kind} {'struck out' if change['change'] == 'strike' else 'written otherwise'}",
        edits.list_edit(now, kind, form.number("number"), change),
        expected=_expected(form),
    )
    return {"at": f"{kind}s"}


def add(desk: Desk, now: Snapshot, form: Form) -> dict[str, str]:
    """Add a line to a list."""
    kind = _kind(form)
    entry = {key: plain(form.text(key)) for key in ("name", "text", "part")}
    if kind in ("tool", "material") and not entry["name"]:
        raise BuildError(f"name the {kind}")
    if kind in ("caution", "step") and not entry["text"]:
        raise BuildError("write what is to be read there")
    entry["part"] = typed_part(entry["part"], now.record.part_list) if entry["part"] else ""
    start_s = _after(now, form) if kind == "step" else None
    desk.change(f"{kind} added", edits.add_edit(now, kind, entry, start_s), expected=_expected(form))
    return {"at": f"{kind}s"}


def sizes_in(text: str, units: Literal["inch", "mm"]) -> tuple[str, ...]:
    """Give the sizes in a few typed words, as they are read."""
    found = [m for m in read(text, units=units).measures if not m.taken_back] or list(
        read_size(text, units=units)
    )
    return tuple(size(m.value, m.unit) for m in found)


def _own_answer(now: Snapshot, finding: Finding, form: Form) -> Change:
    value, part, dimension = (form.text(name) for name in ("value", "part", "dimension"))
    part = "" if part == (finding.part or "") else part
    dimension = "" if dimension == (finding.dimension or "") else dimension
    if not (value or part or dimension):
        raise BuildError("type the right size, or choose another part or dimension")
    change: Change = {}
    if value:
        change["value"], change["unit"] = typed_value(value, finding, now.record.info.units)
    if part:
        change["part"] = typed_part(part, now.record.part_list)
    if dimension:
        change["dimension"] = typed_dimension(dimension)
    return change


def _finding(now: Snapshot, form: Form) -> Finding:
    finding = now.said(form.text("finding"))
    if finding is None:
        raise BuildError("there is no such finding any more")
    return finding


def _next_open(now: Snapshot, after: str) -> str:
    waiting = sorted((f for f in numbered(now.record) if f.status == "open" and f.id != after), key=urgency)
    return waiting[0].id if waiting else ""


def _chapter_at(now: Snapshot, utterance: int) -> dict[str, str]:
    begins = [b.utterance for b in now.settled.chapters.begins]
    number = begins.index(utterance) + 1 if utterance in begins else 1
    return {"chapter": str(number), "at": f"chapter-{number}"}


def _after(now: Snapshot, form: Form) -> float | None:
    """Give the time of the step that a new one comes after."""
    text = form.text("after")
    steps = now.record.steps
    if text.isascii() and text.isdigit() and int(text) < len(steps):
        return steps[int(text)].start_s
    return steps[-1].start_s if steps else None


def _kind(form: Form) -> ListKind:
    kind = next((k for k in LIST_KINDS if k == form.text("kind")), None)
    if kind is None:
        raise BuildError("there is no such list")
    return kind


def _expected(form: Form) -> str:
    return form.text("version") or "none"


ACTIONS: Final[Mapping[str, Action]] = MappingProxyType(
    {
        "settle": settle,
        "note": note,
        "reopen": reopen,
        "undo": undo,
        "taken-out": taken_out,
        "still": still,
        "chapter-title": chapter_title,
        "chapter-move": chapter_move,
        "chapter-join": chapter_join,
        "chapter-split": chapter_split,
        "word": word,
        "off-record": off_record,
        "put-back": row_back,
        "line": line,
        "add": add,
    }
)
"""By the name in the address."""
