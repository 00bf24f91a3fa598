"""The maker's decisions about findings: read, applied and written down in `decisions.toml`.

A decision is anchored on what was said and when: the value, the part and dimension, the sentence, the file and the time in it. So it
survives another speech model's words, moved times, an edited part list and new takes. A decision that fits nothing in a run is
reported, and stays in the file.
"""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, Final, Literal, TypedDict, Unpack, get_args

import msgspec
from msgspec import Struct, field, structs

from benchscribe.errors import BuildError
from benchscribe.records import Dimension, Finding, Said
from benchscribe.units import ANGLE, LENGTHS, is_length, to_mm

Answer = Literal["accept", "dismiss", "amend"]
ANSWERS: Final = get_args(Answer)
_STATUS: Final[dict[str, Literal["accepted", "dismissed", "amended"]]] = {
    "accept": "accepted",
    "dismiss": "dismissed",
    "amend": "amended",
}
_HEADER: Final = """\
# Your decisions about this episode's findings. Written by `benchscribe findings` and the review page; yours to edit.
# answer is accept, dismiss or amend; note goes out to the viewers with an accepted or amended finding.
# The other keys say which finding is meant: what was said, and when.
"""
_SAME_SENTENCE: Final = 80.0
"""Likeness in percent from which two sentences are the same talk, heard by two models."""
_NEAR_S: Final = 6.0
"""Two models put the same words within a second; sentences are cut differently, so allow more."""
_SAME_PLACE: Final = 0.2
"""Share of the sentence by which a size may move when it is heard again."""


class Decision(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One answer, and the finding that it is about."""

    answer: Answer
    note: str = ""
    new_value: str = ""
    """For `amend`: the exact value ("15/4"); empty to keep what was said."""
    new_unit: str = ""
    new_part: str = ""
    new_dimension: str = ""
    kind: str = ""
    part: str = ""
    dimension: str = ""
    said: str = ""
    """The words of the size."""
    value: str = ""
    """Exact, as in the record."""
    unit: str = ""
    sentence: str = ""
    file: str = ""
    at: float | None = None
    """Seconds in `file`."""
    start: float | None = None
    """Seconds of running time."""
    id: str = ""


class Decisions(Struct, frozen=True):
    """All decisions of one episode, in the order of the file."""

    decision: tuple[Decision, ...] = field(default=())


class Change(TypedDict, total=False):
    """What an amended finding should say instead, and the note that goes with an answer."""

    value: Fraction | None
    unit: str | None
    part: str | None
    dimension: str | None
    note: str


def load_decisions(path: Path) -> Decisions:
    """Read an episode's decisions; a file that is not there holds none.

    Args:
        path: `decisions.toml` of the episode.

    Raises:
        BuildError: The file is no such TOML; says which key, and what to do.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return Decisions()
    except OSError as error:
        raise BuildError(f"cannot be read: {error.strerror}", where=str(path)) from error
    try:
        decisions = msgspec.toml.decode(data, type=Decisions)
    except (msgspec.MsgspecError, UnicodeDecodeError, ValueError) as error:
        raise BuildError(
            f"these decisions cannot be read: {error}",
            where=str(path),
            todo="Correct that key, or move the file away; nothing in it has been lost.",
        ) from error
    for number, decision in enumerate(decisions.decision, 1):
        _check(decision, f"{path}, decision {number}")
    return decisions


def _check(decision: Decision, where: str) -> None:
    for key, text in (("value", decision.value), ("new_value", decision.new_value)):
        if text and _exact(text) is None:
            raise BuildError(
                f'{key} = "{text}" is no exact value', where=where, todo='Write it like "15/4" or "37.5".'
            )
    for key, unit in (("unit", decision.unit), ("new_unit", decision.new_unit)):
        if unit and unit not in (*LENGTHS, ANGLE, "count"):
            raise BuildError(
                f'{key} = "{unit}" is no unit known here',
                where=where,
                todo=f"Use one of: {', '.join(sorted(LENGTHS))}, {ANGLE}, count.",
            )
    if decision.unit and decision.new_unit and _sort_of(decision.unit) != _sort_of(decision.new_unit):
        raise BuildError(
            f'new_unit = "{decision.new_unit}" is not of the same sort as unit = "{decision.unit}"',
            where=where,
            todo="A length stands in for a length, an angle for an angle, a count for a count.",
        )
    if decision.new_dimension and decision.new_dimension not in get_args(Dimension):
        raise BuildError(
            f'new_dimension = "{decision.new_dimension}" is no dimension',
            where=where,
            todo=f"Use one of: {', '.join(get_args(Dimension))}.",
        )


def _sort_of(unit: str) -> str:
    return "length" if is_length(unit) else unit


def _exact(text: str) -> Fraction | None:
    try:
        return Fraction(text.strip())
    except (ValueError, ZeroDivisionError):
        return None


def apply_decisions(
    findings: tuple[Finding, ...], decisions: Decisions
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Give every decision to the finding that it is about.

    A decision goes to one finding, and a finding takes one decision; the best fits are made first. The same value for the same part
    and dimension is the same disagreement, wherever it was said. Where the part or the dimension has another name now, the sentence,
    the place in it and the time must agree. The value itself must always be the same: another value is another finding.

    Args:
        findings: Of this run.
        decisions: Of the episode, older runs' too.

    Returns:
        The findings with their answers, in the same order, and a sentence for every decision that fits none.
    """
    fits = sorted(
        (
            (-score, row, place)
            for row, decision in enumerate(decisions.decision)
            for place, finding in enumerate(findings)
            if (score := _fit(decision, finding)) > 0
        ),
    )
    given: dict[int, Decision] = {}
    used: set[int] = set()
    for _, row, place in fits:
        if row not in used and place not in given:
            used.add(row)
            given[place] = decisions.decision[row]
    settled = tuple(
        _settled(finding, given[place]) if place in given else finding
        for place, finding in enumerate(findings)
    )
    orphaned = tuple(
        _describe(decision) for row, decision in enumerate(decisions.decision) if row not in used
    )
    return settled, orphaned


def _fit(decision: Decision, finding: Finding) -> float:
    """Score how well a decision fits a finding; 0 where it does not."""
    if not _same_value(decision, finding):
        return 0.0
    same_part = _plain(decision.part) == _plain(finding.part or "")
    same_dimension = decision.dimension == (finding.dimension or "")
    likeness = _likeness(decision.sentence, finding.sentence)
    apart = _apart(decision, finding)
    near = apart is None or apart <= _NEAR_S
    place = abs(_place(decision.said, decision.sentence) - _place(_words(finding), finding.sentence))
    score = likeness / 100 + (0.0 if apart is None else max(0.0, 1 - apart / 60))
    if decision.id and decision.id == finding.id:
        score += 1.0
    if same_part and same_dimension:
        return 4.0 + score
    heard_again = likeness >= _SAME_SENTENCE and place <= _SAME_PLACE and near
    if (same_part or same_dimension) and heard_again and decision.kind in ("", finding.kind):
        return 1.0 + score
    return 0.0


def _same_value(decision: Decision, finding: Finding) -> bool:
    value = _exact(decision.value) if decision.value else None
    if finding.spoken is None or value is None:
        return finding.spoken is None and value is None
    one, other = decision.unit, finding.spoken.unit
    if is_length(one) and is_length(other):
        return to_mm(value, one) == to_mm(finding.spoken.value, other)
    return one == other and value == finding.spoken.value


def _plain(name: str) -> str:
    return " ".join(re.sub(r"[^\w]+", " ", name.lower()).split())


def _words(finding: Finding) -> str:
    return finding.spoken.words if finding.spoken else ""


def _likeness(one: str, other: str) -> float:
    """Compare two sentences by their words without the numbers, which models write each in their own way."""
    from rapidfuzz import fuzz

    a, b = (re.sub(r"[^a-z ]+", " ", text.lower()) for text in (one, other))
    if not a.strip() or not b.strip():
        return 0.0
    return float(
        max(fuzz.token_sort_ratio(a, b), fuzz.partial_ratio(a, b) if min(len(a), len(b)) > 20 else 0.0)
    )


def _apart(decision: Decision, finding: Finding) -> float | None:
    """Give the seconds between the two, in the same file where both know it; None where there is no time to compare."""
    if decision.file and finding.file:
        if decision.file != finding.file:
            return None
        if decision.at is not None and finding.at_s is not None:
            return abs(decision.at - finding.at_s)
    if decision.start is None or finding.start_s is None:
        return None
    times = (finding.start_s, *finding.repeated)
    return min(abs(decision.start - time) for time in times)


def _place(words: str, sentence: str) -> float:
    """Say how far into its sentence a size stands, from 0 to 1."""
    where = sentence.lower().find(words.lower()) if words else -1
    return where / len(sentence) if where >= 0 else 0.5


def _settled(finding: Finding, decision: Decision) -> Finding:
    changes: dict[str, Any] = {"status": _STATUS[decision.answer]}
    if decision.note:
        changes["note"] = decision.note
    if decision.answer == "amend":
        value = _exact(decision.new_value) if decision.new_value else None
        if value is not None:
            unit = decision.new_unit or (finding.spoken.unit if finding.spoken else "")
            changes["spoken"] = Said(value, unit, _words(finding))
        if decision.new_part:
            changes["part"] = decision.new_part
        if decision.new_dimension:
            changes["dimension"] = decision.new_dimension
    return structs.replace(finding, **changes)


def _describe(decision: Decision) -> str:
    what = " ".join(text for text in (decision.part, decision.dimension) if text) or "a finding"
    said = f' "{decision.said}"' if decision.said else ""
    when = (
        f" at {_clock(decision.at if decision.file else decision.start)}"
        if decision.start is not None
        else ""
    )
    where = f" of {decision.file}" if decision.file else ""
    return f"{decision.answer} {what}:{said}{when}{where} fits no finding of this run; it is kept"


def _clock(seconds: float | None) -> str:
    whole = int(seconds or 0)
    return f"{whole // 60:02}:{whole % 60:02}"


def record_decision(path: Path, finding: Finding, answer: str, **change: Unpack[Change]) -> None:
    """Write a decision down, in the place of an earlier one about the same finding; comments are kept.

    Args:
        path: `decisions.toml` of the episode; made where it is not there.
        finding: As it stands in the record.
        answer: accept, dismiss or amend.
        **change: For `amend`, what it should say: value and unit, part, dimension. A note goes with any answer.

    Raises:
        BuildError: The answer is none of the three, or the file cannot be read or written.
    """
    if answer not in ANSWERS:
        raise BuildError(f'"{answer}" is no answer', todo=f"Answer with one of: {', '.join(ANSWERS)}.")
    with _alone(path.parent):
        _record(path, finding, answer, change)


def _record(path: Path, finding: Finding, answer: str, change: Change) -> None:
    import tomlkit

    known = load_decisions(path)
    text = path.read_text(encoding="utf-8") if path.exists() else _HEADER
    document = tomlkit.parse(text)
    entry = _entry(finding, answer, change)
    old = next((i for i, d in enumerate(known.decision) if _same_finding(d, finding)), None)
    if old is None:
        table = tomlkit.table()
        table.update(entry)
        if "decision" not in document:
            document["decision"] = tomlkit.aot()
        document["decision"].append(table)
    else:
        table = document["decision"][old]
        for key in ("new_value", "new_unit", "new_part", "new_dimension"):
            if key in table and key not in entry:
                table.remove(key)
        table.update(entry)
    _write_whole(path, tomlkit.dumps(document))


@contextlib.contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Let one program at a time answer: two terminals, or a terminal and a page, would each lose what the other wrote."""
    try:
        import fcntl
    except ImportError:  # no such lock on this system
        yield
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError as error:
        raise BuildError(f"cannot be opened: {error.strerror}", where=str(folder)) from error
    try:
        with contextlib.suppress(OSError):  # a shared disk may know no locks
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _same_finding(decision: Decision, finding: Finding) -> bool:
    return (decision.id != "" and decision.id == finding.id) or _fit(decision, finding) >= 4.0


def _entry(finding: Finding, answer: str, change: Change) -> dict[str, Any]:
    value = change.get("value")
    entry: dict[str, Any] = {
        "answer": answer,
        "note": change.get("note") or "",
        "new_value": "" if value is None else str(value),
        "new_unit": (change.get("unit") or "") if value is not None else "",
        "new_part": change.get("part") or "",
        "new_dimension": change.get("dimension") or "",
        "kind": finding.kind,
        "part": finding.part or "",
        "dimension": finding.dimension or "",
        "said": _words(finding),
        "value": str(finding.spoken.value) if finding.spoken else "",
        "unit": finding.spoken.unit if finding.spoken else "",
        "sentence": finding.sentence,
        "file": finding.file or "",
        "at": finding.at_s,
        "start": finding.start_s,
        "id": finding.id,
    }
    return {key: item for key, item in entry.items() if item not in ("", None) or key == "answer"}


def _write_whole(path: Path, text: str) -> None:
    """Write the file so that it is whole or as it was."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as stream:
                stream.write(text)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise BuildError(f"cannot be written: {error.strerror}", where=str(path)) from error
