"""How a finding is worded for the maker: sizes, times, reasons, advice."""

from __future__ import annotations

import hashlib
from fractions import Fraction
from typing import Final

from benchscribe.records import Dimension, Finding, FindingKind, Said

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
    """Write a size for a sentence: "9 3/8 in", "234 mm", "67 1/2°", "6".

    >>> size(Said(Fraction(75, 8), "inch"))
    '9 3/8 in'
    >>> size(Said(Fraction(59, 125), "inch"))
    '0.472 in'
    """
    return number(said.value) + _SHORT.get(said.unit, f" {said.unit}")


def number(value: Fraction) -> str:
    """Write a value as a maker does: fractions up to 64ths, decimals beyond.

    >>> number(Fraction(27, 2)), number(Fraction(1, 2)), number(Fraction(1771, 10))
    ('13 1/2', '1/2', '177.1')
    """
    if value.denominator == 1:
        return str(value.numerator)
    if value.denominator in (2, 4, 8, 16, 32, 64):
        whole, rest = divmod(value, 1)
        return f"{whole} {rest}" if whole else str(rest)
    return f"{float(value):.4f}".rstrip("0").rstrip(".")


def clock(seconds: float | None) -> str:
    """Give a time as mm:ss, or h:mm:ss; "" where there is none.

    >>> clock(751.2), clock(3725)
    ('12:31', '1:02:05')
    """
    if seconds is None:
        return ""
    whole = int(seconds)
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02}:{rest % 60:02}" if hours else f"{rest // 60:02}:{rest % 60:02}"


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
