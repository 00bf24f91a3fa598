"""What the reader of a row knows: the table, how its cells are read, and what the row says beside its sizes."""

from __future__ import annotations

from msgspec import Struct

from benchscribe.partlist.columns import Table
from benchscribe.partlist.unit_guess import Units


class Reading(Struct, frozen=True):
    """How the cells of one table are read."""

    table: Table
    units: Units
    comma: bool
    order: tuple[str, ...]
    full: bool = False
    """Timber sizes ("8x10") are as sawn, and no names of dressed softwood."""
    sparse: frozenset[str] = frozenset()
    """Headings of columns that most rows leave blank."""
    lettered: bool = False
    """The names carry the plan's letters at the front, each its own and rising ("A Bib front", "B Skirt")."""


class Told(Struct, frozen=True):
    """What a row says beside its size cells."""

    name: str
    """Lower case."""
    about: str
    """Name and material, lower case."""
    material: str
    remarks: str
    hardware: bool
