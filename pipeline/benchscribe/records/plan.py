"""The plan: its table of parts, as read."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from msgspec import Struct

Dimension = Literal[
    "thickness",
    "width",
    "length",
    "height",
    "depth",
    "diameter",
    "radius",
    "angle",
    "spacing",
    "setting",
    "other",
]

FIRM_DIMENSIONS: tuple[Dimension, ...] = ("thickness", "width", "length", "diameter", "radius", "angle")
"""Dimensions that a part list has columns for, and that two people name alike."""


class Listed(Struct, frozen=True, kw_only=True):
    """One size of a part, as the list gives it."""

    dimension: Dimension
    value: Fraction | None
    """None where the cell is blank or says "to suit": wanted, and not given."""
    unit: str
    text: str
    """The cell as it stands."""
    rough: bool = False
    feature: str = ""
    """"groove", "slot", "hole": what of the part this is a size of; empty for the part itself."""
    edition: str = ""


class Part(Struct, frozen=True, kw_only=True):
    """One row of the part list."""

    name: str
    row: int
    """Row in the file, counting from 1, header and comments included."""
    other_names: tuple[str, ...] = ()
    count: int | None = None
    listed: tuple[Listed, ...] = ()
    material: str = ""
    sheet: str = ""
    notes: str = ""
    ref: str = ""
    """The plan's own number or letter for it."""
    hardware: bool = False
    """Bought, not made: screws, hinges, magnets."""


class CellNote(Struct, frozen=True, kw_only=True):
    """A cell of the part list that was not understood, or was understood only in part."""

    row: int
    column: str
    text: str
    note: str


class PartList(Struct, frozen=True, kw_only=True):
    """The plan's table of parts as read."""

    file: str
    parts: tuple[Part, ...]
    units: Literal["inch", "mm"]
    units_why: str
    """How the unit was settled: stated, or inferred and from what."""
    units_sure: bool = True
    """False where it is inferred from the numbers alone: the talk may speak against it."""
    not_understood: tuple[CellNote, ...] = ()
