"""The tables of `decisions.toml`, as records, and how they are read.

Every table is anchored on what was said and when: the sentence, the file and the time in it. None hangs on a number of a row.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Final, Literal, TypedDict, get_args

import msgspec
from msgspec import Struct

from benchscribe.errors import BuildError
from benchscribe.records import FINDING_KINDS, Dimension
from benchscribe.units import ANGLE, LENGTHS, is_length

Answer = Literal["accept", "dismiss", "amend"]
ANSWERS: Final = get_args(Answer)
ListKind = Literal["tool", "material", "caution", "step"]
LIST_KINDS: Final[tuple[ListKind, ...]] = get_args(ListKind)


class Anchor(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A moment of the talk, so that it can be found again."""

    sentence: str = ""
    """As it was heard."""
    file: str = ""
    at: float | None = None
    """Seconds in `file`."""
    start: float | None = None
    """Seconds of running time."""


class Decision(Anchor, frozen=True, kw_only=True):
    """`[[decision]]`: one answer, and the finding that it is about."""

    answer: Answer
    note: str = ""
    new_kind: str = ""
    """The finding is true, but of another kind: a slip that is in truth a fault of the plan, or the maker's own change."""
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
    id: str = ""


class ChapterChange(Anchor, frozen=True, kw_only=True):
    """`[[chapter]]`: what becomes of the chapter that begins with this sentence."""

    title: str = ""
    """The maker's own title; empty to keep the one that is found."""
    begins: bool | None = None
    """true: the maker begins a chapter here; false: it is joined to the one before."""
    to_sentence: str = ""
    """The sentence that it begins with instead."""
    to_file: str = ""
    to_at: float | None = None
    to_start: float | None = None


class WordChange(Anchor, frozen=True, kw_only=True):
    """`[[word]]`: words that were heard wrong. What is put in keeps their time."""

    heard: str
    """The words as heard, one or a few."""
    meant: str = ""
    """What was said; empty where nothing was."""


class OffRecord(Anchor, frozen=True, kw_only=True):
    """`[[off_record]]`: a stretch that reaches no output, from the start of one sentence to the end of another."""

    to_sentence: str = ""
    to_at: float | None = None
    """Seconds in `file` at which the last sentence ends."""
    to_start: float | None = None


class ListChange(Anchor, frozen=True, kw_only=True):
    """`[[tool]]`, `[[material]]`, `[[caution]]`, `[[step]]`: a line struck out, written otherwise, or added."""

    change: Literal["strike", "rename", "add"]
    name: str = ""
    """As the list has it: the tool, the material, the hazard, the operation. For `add`, the maker's own."""
    text: str = ""
    """As the list has it: of a step or caution its sentence."""
    part: str = ""
    new_name: str = ""
    new_text: str = ""
    new_part: str = ""


class StillChoice(Anchor, frozen=True, kw_only=True):
    """`[[still]]`: the picture that goes with the step of this sentence."""

    name: str = ""
    """The step's operation."""
    part: str = ""
    from_file: str = ""
    """The take that it is out of; empty for no picture."""
    from_at: float | None = None
    """Seconds in that take."""


class TakenOut(Anchor, frozen=True, kw_only=True):
    """`[[taken_out]]`: a caution or a promise that the edit took out of the cut, and what becomes of it."""

    kind: Literal["caution", "promise"]
    answer: Literal["notes", "leave"]
    """It goes into the notes after all, or stays out."""


class Decisions(Struct, frozen=True, forbid_unknown_fields=True):
    """All that the maker has settled for one episode, each table in the order of the file."""

    decision: tuple[Decision, ...] = ()
    chapter: tuple[ChapterChange, ...] = ()
    word: tuple[WordChange, ...] = ()
    off_record: tuple[OffRecord, ...] = ()
    tool: tuple[ListChange, ...] = ()
    material: tuple[ListChange, ...] = ()
    caution: tuple[ListChange, ...] = ()
    step: tuple[ListChange, ...] = ()
    still: tuple[StillChoice, ...] = ()
    taken_out: tuple[TakenOut, ...] = ()


class Change(TypedDict, total=False):
    """What an amended finding should say instead, and the note that goes with an answer."""

    value: Fraction | None
    unit: str | None
    part: str | None
    dimension: str | None
    kind: str | None
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
    return read_decisions(data, str(path))


def read_decisions(data: bytes, where: str) -> Decisions:
    """Read decisions from the bytes of their file.

    Raises:
        BuildError: It is no such TOML; says which key, and what to do.
    """
    try:
        decisions = msgspec.toml.decode(data, type=Decisions)
    except (msgspec.MsgspecError, UnicodeDecodeError, ValueError) as error:
        raise BuildError(
            f"these decisions cannot be read: {error}",
            where=where,
            todo="Correct that key, or move the file away; nothing in it has been lost.",
        ) from error
    for number, decision in enumerate(decisions.decision, 1):
        _check(decision, f"{where}, decision {number}")
    return decisions


def _check(decision: Decision, where: str) -> None:
    for key, text in (("value", decision.value), ("new_value", decision.new_value)):
        if text and exact(text) is None:
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
    if decision.new_kind and decision.new_kind not in FINDING_KINDS:
        raise BuildError(
            f'new_kind = "{decision.new_kind}" is no kind of finding',
            where=where,
            todo=f"Use one of: {', '.join(FINDING_KINDS)}.",
        )


def _sort_of(unit: str) -> str:
    return "length" if is_length(unit) else unit


def exact(text: str) -> Fraction | None:
    """Read an exact value as it stands in the file; None where it is none."""
    try:
        return Fraction(text.strip())
    except (ValueError, ZeroDivisionError):
        return None
