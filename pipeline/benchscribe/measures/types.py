"""What the reader of measures gives back: frozen, exact, with the place of every word."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

BuildUnits = Literal["inch", "mm"]
Hedge = Literal["under", "over", "about"]
Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another way to read the same words."""

    value: Fraction
    unit: str
    why: str
    """One plain phrase: what would have to be true for this reading."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A length or an angle that was said or typed."""

    value: Fraction
    """Exact, in `unit`; never converted from what was said, save that feet and inches said as one size are inches."""
    unit: str
    """inch, foot, yard, thou, mm, cm, m or degree."""
    words: str
    """The words themselves, from the first of the number to the last of its unit."""
    chars: Span
    """Half-open character span in the text (for split words: in the words joined by single spaces)."""
    span: Span
    """Half-open span of whitespace-split words."""
    candidates: tuple[Alternative, ...] = ()
    """Other readings, likeliest first; empty where there is only one."""
    why: str = ""
    """Why this reading was preferred, where there are candidates; how a unit left out was settled."""
    hedge: Hedge | None = None
    """"shy of" is under, "a hair over" is over, "roughly" is about."""
    taken_back: bool = False
    """Said and corrected by the maker."""
    replaced_by: int | None = None
    """Index in `Readings.measures` of the measure that took its place."""
    unit_said: bool = True
    """False where the unit is the build's, or comes from a neighbour."""
    range_end: Literal["low", "high"] | None = None
    tolerance: Fraction | None = None
    """"plus or minus a sixty-fourth", in `unit`."""
    chain: int | None = None
    """Number of the chain ("3/4 by 2 1/2 by 34 1/4") that it stands in."""
    chain_position: int | None = None
    """0, 1, 2 within the chain."""
    step: Fraction | None = None
    """The finest graduation that the words imply, in `unit`: 1/16 for thirteen sixteenths, 0.001 for .496, 1 for 450 mm."""


@dataclass(frozen=True, slots=True)
class TradeReading:
    """A number of the trade that is no length of a part."""

    kind: str
    """nominal-stock, drill, screw, thread, gauge, leather, grit, teeth, rpm, temperature, time, weight, volume, stitch ..."""
    name: str
    """As the trade writes it: "2x4", "#8", "1/4-20", "220 grit"."""
    words: str
    chars: Span
    span: Span
    actual: tuple[tuple[Fraction, str], ...] = ()
    """The real sizes that a published table gives for it."""
    source: str = ""
    """The table, where `actual` is given."""


@dataclass(frozen=True, slots=True)
class Readings:
    """Everything read from one text, in the order of the words."""

    measures: tuple[Reading, ...] = ()
    trade_numbers: tuple[TradeReading, ...] = ()
