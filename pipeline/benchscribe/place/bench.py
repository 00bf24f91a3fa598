"""What placement looks at: the words, the measures with what is said around them, and the plan."""

from __future__ import annotations

from msgspec import Struct

from benchscribe.place.cues import Context
from benchscribe.records import Dimension, Measure, PartList, Role
from benchscribe.spoken.language import Declared
from benchscribe.spoken.plan import Slot
from benchscribe.spoken.words import Talk


class Bench(Struct, frozen=True):
    """All that placement looks at."""

    talk: Talk
    measures: tuple[Measure, ...]
    contexts: list[Context]
    part_list: PartList
    slots: tuple[Slot, ...]
    of_part: tuple[tuple[int, ...], ...]
    """The slots of each part."""
    declared: tuple[Declared, ...]
    """What is declared around each measure."""
    things: frozenset[int] = frozenset()
    """Words inside the names of tools, materials and hardware."""
    parts_at: frozenset[int] = frozenset()
    """Words inside the names of parts."""
    namings: tuple[tuple[tuple[int, float], ...], ...] = ()
    """For each part, the words at which it is named and how surely, in order."""


class Choice(Struct, frozen=True):
    """Where a measure goes."""

    score: float
    """Chance of this place, 0 to 1."""
    slot: int | None
    """Index into the slots; None where it is no listed size."""
    part: int | None
    role: Role
    dimension: Dimension | None
    how: str
    """How the value agrees with the slot; empty where it does not."""
