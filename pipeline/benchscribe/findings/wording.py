"""How a finding is worded for the maker: sizes, times, reasons, advice."""

from __future__ import annotations

import hashlib
import re
from fractions import Fraction
from typing import Final

from benchscribe.clock import clock
from benchscribe.records import Dimension, Finding, FindingKind, Listed, Measure, Said
from benchscribe.units import IMPERIAL, is_length, to_mm

_DECIMAL: Final = re.compile(r"\d*\.\d|\bpoint\b")
_SHORT: Final = {
    "inch": " in",
    "foot": " ft",
    "yard": " yd",
    "thou": " thou",
    "mm": " mm",
    "cm": " cm",
    "m": " m",
    "degree": "°",
    "count": "",
}


def size(said: Said) -> str:
    """Write a size for a sentence, in the way it was said or listed: "9 3/8 in", "9.375 in", "234.5 mm", "67 1/2°", "6".

    Metric sizes are decimals always; inches are where the words are ("1.375", "point four three seven").

    >>> size(Said(Fraction(75, 8), "inch"))
    '9 3/8 in'
    >>> size(Said(Fraction(75, 8), "inch", "9.375"))
    '9.375 in'
    >>> size(Said(Fraction(9, 2), "cm", "four and a half"))
    '4.5 cm'
    """
    decimal = (is_length(said.unit) and said.unit not in IMPERIAL) or bool(
        _DECIMAL.search(said.words.lower())
    )
    return number(said.value, decimal=decimal) + _SHORT.get(said.unit, f" {said.unit}")


def beside(said: Said, other: Said) -> str:
    """Write a size that is compared with another: where their units differ, in that other unit too.

    >>> beside(Said(Fraction(360), "mm"), Said(Fraction(35), "cm"))
    '360 mm (36 cm)'
    >>> beside(Said(Fraction(11, 2), "inch"), Said(Fraction(140), "mm"))
    '5 1/2 in (139.7 mm)'
    """
    if said.unit == other.unit or not (is_length(said.unit) and is_length(other.unit)):
        return size(said)
    value = to_mm(said.value, said.unit) / to_mm(Fraction(1), other.unit)
    places = 2 if other.unit in IMPERIAL else 1
    rounded = Fraction(round(value * 10**places), 10**places)
    return f"{size(said)} ({number(rounded, decimal=True)}{_SHORT.get(other.unit, '')})"


def number(value: Fraction, *, decimal: bool = False) -> str:
    """Write a value as a maker does: fractions up to 64ths, decimals beyond, or decimals throughout.

    >>> number(Fraction(27, 2)), number(Fraction(1, 2)), number(Fraction(1771, 10))
    ('13 1/2', '1/2', '177.1')
    """
    if value.denominator == 1:
        return str(value.numerator)
    if value.denominator in (2, 4, 8, 16, 32, 64) and not decimal:
        whole, rest = divmod(value, 1)
        return f"{whole} {rest}" if whole else str(rest)
    return f"{float(value):.4f}".rstrip("0").rstrip(".")


def finding_id(words: str, value: Fraction | None, unit: str, start_s: float | None, part: str | None) -> str:
    """Make a finding's name from what was said and when; the same talk gives the same name."""
    when = "" if start_s is None else str(round(start_s))
    text = "|".join((" ".join(words.lower().split()), str(value), unit, when, part or ""))
    return hashlib.sha256(text.encode()).hexdigest()[:10]


def advice_for(kind: FindingKind, start_s: float | None, sheet: str) -> str:
    """Say what to do about a finding."""
    listen = f"listen at {clock(start_s)}" if start_s is not None else "look at your notes"
    sheet_name = f"sheet {sheet}" if sheet and not sheet.lower().startswith("sheet") else sheet or "the list"
    return {
        "plan-wrong": f"{listen}, then mark {sheet_name}",
        "changed": f"{listen}; it goes out as your version, beside the plan's",
        "supplied": f"{listen}, then write it into {sheet_name}",
        "derived": f"{listen} and work it out again",
        "slip": f"{listen}: was it said wrong, or is {sheet_name} wrong?",
        "count": f"{listen} and count the pieces",
        "impossible": f"{listen} and measure again",
        "contradiction": f"{listen} and settle which one holds",
    }[kind]


def dimension_words(dimension: Dimension | None) -> str:
    """Name a dimension in a sentence."""
    return "size" if dimension in (None, "other", "setting") else str(dimension)


def in_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Sort by time; what has no time comes last, in the order of the words."""
    return tuple(sorted(findings, key=lambda f: (f.start_s is None, f.start_s or 0.0, f.span)))


def spoken(measure: Measure) -> Said:
    """Give a measure as a value that was said, words and all."""
    return Said(measure.value, measure.unit, measure.words)


def listed_as(listed: Listed) -> Said:
    """Give a listed size as a value, with the cell's text."""
    return Said(listed.value or Fraction(0), listed.unit, listed.text)
