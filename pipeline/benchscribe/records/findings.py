"""What the maker must know."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from msgspec import Struct

from benchscribe.records.plan import Dimension
from benchscribe.records.sizes import RunnerUp
from benchscribe.records.timed import Span, Timed

FindingKind = Literal[
    "plan-wrong", "changed", "supplied", "derived", "slip", "count", "impossible", "contradiction"
]

FINDING_KINDS: tuple[FindingKind, ...] = (
    "plan-wrong", "changed", "supplied", "derived", "slip", "count", "impossible", "contradiction"
)  # fmt: skip
"""In order of precedence: where several fit one disagreement, the first wins."""

DECLARED_KINDS: frozenset[FindingKind] = frozenset({"plan-wrong", "changed", "supplied"})
"""Kinds that the maker said out loud; these go out without being asked about."""

PUBLISHED: frozenset[str] = frozenset({"declared", "accepted", "amended"})
"""Of `Finding.status`: the maker said it, or has settled it, so it goes out."""


class Said(Struct, frozen=True):
    """A value in a finding: exact, and the words."""

    value: Fraction
    unit: str
    """A unit of length or angle, or "count"."""
    words: str = ""


class Finding(Timed, frozen=True, kw_only=True):
    """Something that the maker must know."""

    id: str
    """Stable: made from what was said and when, never from a row or list number."""
    kind: FindingKind
    part: str | None
    dimension: Dimension | None
    spoken: Said | None
    listed: Said | None = None
    sentence: str = ""
    span: Span = (0, 0)
    why: str = ""
    """One plain sentence."""
    advice: str = ""
    """What to do: "listen at 12:31", "mark sheet 2"."""
    confidence: float = 0.5
    repeated: tuple[float, ...] = ()
    """Further running times at which the same thing was said."""
    right: bool | None = None
    """For a derivation: is the sum right? A right one is a confirmation."""
    declared: bool = False
    """The maker said it out loud, so it may be published unasked."""
    supplied_how: Literal["said", "measured", "scaled", ""] = ""
    probably_right: Said | None = None
    probably_why: str = ""
    drags_along: tuple[str, ...] = ()
    """Other sizes of the list that change with this one."""
    sheet: str = ""
    edition: str = ""
    evidence: tuple[str, ...] = ()
    runners_up: tuple[RunnerUp, ...] = ()
    status: Literal["open", "declared", "accepted", "dismissed", "amended"] = "open"
    note: str = ""
    """The maker's note for the viewers, from a decision."""


class Coverage(Struct, frozen=True, kw_only=True):
    """How much of the part list was heard."""

    listed: int
    agree: int
    disagree: int
    never_said: int
    unheard_parts: tuple[str, ...] = ()
    unheard_sizes: tuple[tuple[str, str], ...] = ()
    """Part and dimension."""

    def sentence(self) -> str:
        """Say it as the maker reads it."""
        return (
            f"{self.agree} of {self.listed} listed sizes heard and agree, "
            f"{self.disagree} disagree{'s' if self.disagree == 1 else ''}, {self.never_said} never said"
        )
