"""The one table of units for lengths and angles, exact in `Fraction`.

Sources: inch = 25.4 mm exactly, foot = 12 in, yard = 36 in (international yard and pound agreement of 1959); thou = mil = 1/1000 in.
Every other unit (volts, litres, degrees Celsius) is Pint's business, and only where it is needed.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

MM_PER: Final[dict[str, Fraction]] = {
    "inch": Fraction(254, 10),
    "foot": Fraction(3048, 10),
    "yard": Fraction(9144, 10),
    "thou": Fraction(254, 10000),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}
"""Millimetres in one of each unit of length. The keys are the unit names used in every record and file."""

LENGTHS: Final = frozenset(MM_PER)
ANGLE: Final = "degree"
IMPERIAL: Final = frozenset({"inch", "foot", "yard", "thou"})


def is_length(unit: str) -> bool:
    """Tell whether the unit is a length."""
    return unit in LENGTHS


def to_mm(value: Fraction, unit: str) -> Fraction:
    """Give a length in millimetres, exactly.

    Raises:
        ValueError: The unit is no length.

    >>> to_mm(Fraction(15, 4), "inch")
    Fraction(381, 4)
    """
    try:
        return value * MM_PER[unit]
    except KeyError:
        raise ValueError(f"{unit!r} is no unit of length; known: {', '.join(MM_PER)}") from None


def convert(value: Fraction, unit: str, to: str) -> Fraction:
    """Give a length in another unit, or an angle unchanged, exactly.

    Raises:
        ValueError: One is a length and the other is not.

    >>> convert(Fraction(127, 10), "mm", "inch")
    Fraction(1, 2)
    """
    if unit == to:
        return value
    return to_mm(value, unit) / to_mm(Fraction(1), to)


def same(a: Fraction, a_unit: str, b: Fraction, b_unit: str) -> bool:
    """Tell whether two quantities are exactly the same length or the same angle."""
    if is_length(a_unit) != is_length(b_unit):
        return False
    return to_mm(a, a_unit) == to_mm(b, b_unit) if is_length(a_unit) else (a_unit == b_unit and a == b)
