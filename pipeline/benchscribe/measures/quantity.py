"""What a quantity is: a number in the text with its unit, filled in by the passes that follow."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from benchscribe.measures.number import Number
from benchscribe.measures.types import Hedge

MIL: Final = "mil"
"""Said for a millimetre or for a thousandth of an inch: not a unit until it is settled."""


@dataclass(slots=True, eq=False)
class Quantity:
    """A number in the text, with its unit where one was said; filled in by the later passes.

    Attributes:
        start, end: Half-open span of tokens.
        value: Exact, in `unit`.
        unit: None where none was said (yet).
        number: How it was said; None for "an inch".
        said: The unit was said with it.
        prefixed: "Ø", "R" or "±" stood before it.
        size: Settled to be a size.
    """

    start: int
    end: int
    value: Fraction
    unit: str | None
    number: Number | None
    said: bool = False
    prefixed: bool = False
    step: Fraction = Fraction(1)
    candidates: list[tuple[Fraction, str, str]] = field(default_factory=list)
    why: str = ""
    size: bool = False
    refused: bool = False
    chain: int | None = None
    position: int | None = None
    range_end: str | None = None
    tolerance: Fraction | None = None
    hedge: Hedge | None = None
    taken_back: bool = False
    replaced_by: Quantity | None = None
    linked: bool = False
    """Unit shared with the neighbour before it (chain, range, list of roles)."""
    anchor: int | None = None
    """Token at which the words begin where hedge-like words belong to the number ("half of")."""

    @property
    def form(self) -> str:
        """How the number was made; "unit" for a bare "an inch"."""
        return self.number.form if self.number else "unit"
