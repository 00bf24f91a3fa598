"""The one written form of a size in a title."""

from __future__ import annotations

from benchscribe.records import Said

_UNITS = {
    "inch": " in",
    "foot": " ft",
    "yard": " yd",
    "thou": " thou",
    "mm": " mm",
    "cm": " cm",
    "m": " m",
    "degree": "°",
}


def write_size(said: Said) -> str:
    """Write a finding's value as a maker would: "9 1/8 in", "234 mm", "0.201 in", "22 1/2°", "4 pieces".

    >>> from fractions import Fraction
    >>> write_size(Said(Fraction(73, 8), "inch"))
    '9 1/8 in'
    """
    value, unit = said.value, said.unit
    if unit == "count":
        return f"{value} piece{'' if value == 1 else 's'}"
    whole, rest = divmod(value, 1)
    metric = unit in ("mm", "cm", "m")
    if not rest:
        number = str(whole)
    elif not metric and rest.denominator in (2, 4, 8, 16, 32, 64):
        number = f"{whole} {rest}" if whole else str(rest)
    else:
        number = f"{float(value):.4f}".rstrip("0").rstrip(".")
    return number + _UNITS.get(unit, f" {unit}")
