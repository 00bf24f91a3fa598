"""The sizes that were said, what each belongs to, and the numbers of the trade that are no sizes."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from msgspec import Struct

from benchscribe.records.plan import Dimension
from benchscribe.records.timed import Span, Timed

Role = Literal[
    "finished",  # the size the part has when it is done
    "rough",  # a size on the way to the finished one
    "allowance",  # added or left on purpose
    "setting",  # of a machine: fence, stop, blade height
    "tool",  # the size of a tool, bit or cutter
    "stock",  # the board or sheet it comes out of
    "nominal",  # what the stock is called, not what it measures
    "hardware",  # a screw, bolt or hinge
    "feature",  # a hole, groove, slot or layout mark that no row of the list gives
    "quoted-plan",  # the plan's value, read aloud (often just before saying that it is wrong)
    "taken-back",  # said and taken back
    "superseded",  # settled otherwise later on
    "mistake",  # said inside a stretch that went wrong
    "derived",  # worked out from another value (half, complement, difference, sum)
    "supplied",  # the list is blank here, and the maker gives it
    "changed",  # the maker's own choice against the plan
    "corrected",  # the plan is wrong, this is right
    "overall",  # of the assembly, not of one part
    "check",  # a measurement that only checks (diagonals, a gap)
    "comparison",  # something else's size, named to compare
    "none",
]

Verdict = Literal["agrees", "disagrees", "not-listed", "no-part", "tool-size"]

Hedge = Literal["under", "over", "about"]


class Candidate(Struct, frozen=True):
    """Another way to read the same words."""

    value: Fraction
    unit: str
    why: str


class RunnerUp(Struct, frozen=True):
    """Another place where a measure might belong."""

    part: str | None
    dimension: Dimension | None
    confidence: float


class Measure(Timed, frozen=True, kw_only=True):
    """A length or an angle that was said, and, once placed, what it belongs to."""

    value: Fraction
    """Exact, in `unit` (never converted)."""
    unit: str
    """inch, foot, yard, thou, mm, cm, m or degree."""
    words: str
    """As said or typed."""
    span: Span
    candidates: tuple[Candidate, ...] = ()
    """Other readings, likeliest first; empty where there is only one."""
    hedge: Hedge | None = None
    """"shy of" is under, "a hair over" is over, "roughly" is about."""
    taken_back: bool = False
    replaced_by: int | None = None
    """Index (in the same tuple) of the measure that took its place."""
    unit_said: bool = True
    """False where the unit is the build's, or comes from a neighbour in the chain."""
    range_end: Literal["low", "high"] | None = None
    tolerance: Fraction | None = None
    """"plus or minus a sixty-fourth": in the same unit."""
    chain: int | None = None
    """Number of the chain ("3/4 by 2 1/2 by 34 1/4") that it is in."""
    chain_position: int | None = None
    step: Fraction | None = None
    """The finest graduation that the words imply (1/16, 0.001): how far a value in other units can agree with it."""
    # What `place` adds.
    part: str | None = None
    also_parts: tuple[str, ...] = ()
    dimension: Dimension | None = None
    role: Role = "none"
    verdict: Verdict | None = None
    listed: Fraction | None = None
    """The list's value for that dimension, in `listed_unit`."""
    listed_unit: str | None = None
    confidence: float | None = None
    why: str = ""
    runners_up: tuple[RunnerUp, ...] = ()


class TradeNumber(Timed, frozen=True, kw_only=True):
    """A number of the trade that is no length of a part: nominal stock, a drill or screw number, a thread, grit, gauge, teeth, rpm ..."""

    kind: str
    """nominal-stock, drill, screw, thread, gauge, leather, grit, teeth, rpm, temperature, time, weight, volume, stitch ..."""
    name: str
    """As the trade writes it: "2x4", "#8", "1/4-20", "220 grit"."""
    words: str
    span: Span
    actual: tuple[tuple[Fraction, str], ...] = ()
    """The real sizes that a published table gives for it."""
    source: str = ""
