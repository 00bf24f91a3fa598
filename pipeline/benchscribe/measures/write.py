"""Measures in the trade's written forms: exact where the form can say it, rounded once where it cannot.

One rule rounds everything: from the exact value, once, an exact tie to the even digit (ASTM E29 and ISO 80000-1 rule A).
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final, Literal

from benchscribe import units as table

Style = Literal["in", "marks", "ft-in", "ft-in-marks", "decimal"]
"""How a build writes its inches:

- in: "3 3/4 in", "74 1/2 in"
- marks: "3¾″", "74½″"
- ft-in: "3 3/4 in", "6 ft 2 1/2 in"
- ft-in-marks: the same with a prime for feet
- decimal: "3.750 in"

Metric sizes are written in the unit they were said in ("18 mm", "2.4 m"), angles in degrees ("22.5°"), thou as "5 thou", in every style.
"""

RULER: Final = (1, 2, 4, 8, 16, 32, 64)
"""Graduations of an inch rule."""

_GLYPHS: Final = {
    Fraction(1, 2): "½",
    Fraction(1, 4): "¼",
    Fraction(3, 4): "¾",
    Fraction(1, 8): "⅛",
    Fraction(3, 8): "⅜",
    Fraction(5, 8): "⅝",
    Fraction(7, 8): "⅞",
}
_FOOT: Final = "\u2032"
_SLASH: Final = "\u2044"
_SUPER: Final = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_SUB: Final = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_MM_DIGITS: Final = (Fraction(1), Fraction(1, 10), Fraction(1, 100), Fraction(1, 1000))
_INCH_DIGITS: Final = (*(Fraction(1, n) for n in RULER), Fraction(1, 1000), Fraction(1, 10000))


def write_measure(value: Fraction, unit: str, style: Style = "in") -> str:
    """Write one measure in its own system of units; nothing is converted between inch and metric.

    Args:
        value: Exact value, in `unit`.
        unit: inch, foot, yard, thou, mm, cm, m or degree.
        style: The build's way of writing inches.

    Returns:
        The written form. An inch value that is no ruler fraction (sixty-fourths or coarser) is written as a decimal,
        to four places at most.

    Raises:
        ValueError: The unit is not known.

    >>> write_measure(Fraction(149, 2), "inch", "ft-in")
    '6 ft 2 1/2 in'
    >>> write_measure(Fraction(15, 4), "inch", "marks")
    '3¾″'
    """
    if unit == table.ANGLE:
        return _decimal(value, Fraction(1, 100)) + "°"
    if unit == "thou":
        return _decimal(value, Fraction(1, 100)) + " thou"
    if unit in ("mm", "cm", "m"):
        return f"{_decimal(value, Fraction(1, 10000))} {unit}"
    return _inches(table.convert(value, unit, "inch"), style)


def write_dual(value: Fraction, unit: str, style: Style = "in", *, step: Fraction | None = None) -> str:
    """Write a length in both systems: "3 3/4 in (95 mm)", "18 mm (23/32 in)".

    The second value is rounded once from the exact one, to the coarsest usual digit that is no coarser than the graduation
    which the first implies: 1, 0.1, 0.01 or 0.001 mm; or a ruler fraction, 0.001 or 0.0001 in. An angle is written once.

    Args:
        value: Exact value, in `unit`.
        unit: inch, foot, yard, thou, mm, cm, m or degree.
        style: The build's way of writing inches.
        step: The finest graduation that the words imply, in `unit`; by default what the value itself shows.

    Raises:
        ValueError: The unit is not known.

    >>> write_dual(Fraction(15, 4), "inch")
    '3 3/4 in (95 mm)'
    """
    first = write_measure(value, unit, style)
    if unit == table.ANGLE:
        return first
    graduation = step if step is not None and step > 0 else _implied_step(value, unit)
    if unit in table.IMPERIAL:
        digit = _coarsest(_MM_DIGITS, table.to_mm(graduation, unit))
        return f"{first} ({_decimal(table.to_mm(value, unit), digit)} mm)"
    digit = _coarsest(_INCH_DIGITS, table.convert(graduation, unit, "inch"))
    return f"{first} ({_inches(round_to(table.convert(value, unit, 'inch'), digit), style)})"


def nearest_fraction(value: Fraction, denominators: Sequence[int] = RULER) -> tuple[Fraction, Fraction]:
    """Give the ruler fraction nearest to a value, and its error.

    Args:
        value: Exact value, usually in inches.
        denominators: Graduations to choose from; the coarsest of equally near ones wins, then the even one.

    Returns:
        The fraction, and fraction minus value (positive where the fraction is too large).

    Raises:
        ValueError: No denominators, or one that is not positive.

    >>> nearest_fraction(Fraction(496, 1000), (16,))
    (Fraction(1, 2), Fraction(1, 250))
    """
    if not denominators or min(denominators) < 1:
        raise ValueError("give at least one denominator, each 1 or more")
    best = min((round_to(value, Fraction(1, d)) for d in sorted(denominators)), key=lambda f: abs(f - value))
    return best, best - value


def round_to(value: Fraction, digit: Fraction) -> Fraction:
    """Round once to a multiple of `digit`, an exact tie to the even multiple.

    >>> round_to(Fraction("45.45"), Fraction(1, 10))
    Fraction(227, 5)
    """
    return round(value / digit) * digit


def _coarsest(digits: Sequence[Fraction], graduation: Fraction) -> Fraction:
    return next((d for d in digits if d <= graduation), digits[-1])


def _implied_step(value: Fraction, unit: str) -> Fraction:
    """Read the graduation off the value: its denominator for inches, its last decimal for metric and thou."""
    if unit in ("inch", "foot", "yard"):
        inches = table.convert(value, unit, "inch")
        step = Fraction(1, inches.denominator) if inches.denominator in RULER else Fraction(1, 1000)
        return table.convert(step, "inch", unit)
    return next(
        (Fraction(1, 10**n) for n in range(4) if (value * 10**n).denominator == 1), Fraction(1, 10000)
    )


def _inches(value: Fraction, style: Style) -> str:
    sign = "-" if value < 0 else ""
    value = abs(value)
    if style == "decimal":
        return f"{sign}{_decimal(value, Fraction(1, 10000), at_least=3)} in"
    marks = style.endswith("marks")
    feet, inches = divmod(value, 12) if style.startswith("ft-in") and value >= 12 else (0, value)
    parts = []
    if feet:
        parts.append(f"{feet}{_FOOT}" if marks else f"{feet} ft")
    if inches or not feet:
        parts.append(_mixed(inches, marks=marks) + ("″" if marks else " in"))
    return sign + " ".join(parts)


def _mixed(value: Fraction, *, marks: bool) -> str:
    whole, part = divmod(value, 1)
    if part.denominator not in RULER:
        return _decimal(value, Fraction(1, 10000))
    if not part:
        return str(whole)
    if marks:
        glyph = _GLYPHS.get(part) or (
            f"{str(part.numerator).translate(_SUPER)}{_SLASH}{str(part.denominator).translate(_SUB)}"
        )
        return f"{whole or ''}{glyph}"
    return f"{whole} {part}" if whole else str(part)


def _decimal(value: Fraction, digit: Fraction, *, at_least: int = 0) -> str:
    """Write to the given digit, without trailing noughts beyond `at_least` places."""
    rounded = round_to(value, digit)
    places = len(str(digit.denominator)) - 1
    scaled = abs(rounded) * 10**places
    digits = str(scaled.numerator).rjust(places + 1, "0")
    whole, tail = (digits[:-places], digits[-places:]) if places else (digits, "")
    tail = tail.rstrip("0").ljust(at_least, "0")
    return ("-" if rounded < 0 else "") + whole + (f".{tail}" if tail else "")
