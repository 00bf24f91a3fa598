"""Sizes as the trade writes them, with where they come from."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from benchscribe.measures.write import write_dual, write_measure
from benchscribe.records import Measure, PartList, Said
from benchscribe.units import ANGLE

ORIGINS: Final = {
    "listed": "listed",
    "said": "said",
    "measured": "measured from the piece",
    "scaled": "scaled off the drawing",
    "worked-out": "worked out",
    "changed": "my change",
    "corrected": "corrected",
    "blank": "not given",
}
"""How each origin of a value reads in a guide."""

PUBLIC_ORIGINS: Final = frozenset({"said", "measured", "scaled", "worked-out", "changed", "corrected"})
"""Origins that are the maker's own. A value that only the plan gives stays out of the public copy of a private plan."""


def size(value: Fraction, unit: str, *, places: int | None = None) -> str:
    """Write an exact value as the trade does: "3 3/4 in", "6 ft 2 in", "18 mm", "22.5°"; a count as a plain number.

    Args:
        value: In `unit`.
        unit: A unit of length or angle, or "count".
        places: Write inches as decimals with so many places, as a machinist does; None for fractions of a rule.
    """
    if unit == "count":
        return str(value)
    if places is not None and unit == "inch":
        places = max(places, _needed(value))
        digits = str(round(value * 10**places)).rjust(places + 1, "0")
        return (
            f"{digits[: len(digits) - places]}.{digits[len(digits) - places :]} in"
            if places
            else f"{digits} in"
        )
    return write_measure(value, unit, "ft-in" if unit in ("foot", "yard") else "in")


_TYPED: Final = re.compile(r"\d*\.\d+")
_FINEST: Final = 4


def places_of(value: Fraction, words: str) -> int | None:
    """Tell with how many decimal places a value stands in the words that it is from: 3 for ".625", None for "five eighths".

    What is on no rule (64ths) is a decimal however it was said. A decimal in the words that is another value is none: a recogniser writes "7.16" for seven sixteenths.
    """
    typed = [text for text in _TYPED.findall(words) if Fraction(f"0{text}") == value]
    if typed:
        return len(typed[0].partition(".")[2])
    pointed = re.search(r"\bpoint\b", words, re.IGNORECASE) and not _TYPED.search(words)
    return _needed(value) if pointed or (64 * value).denominator != 1 else None


def _needed(value: Fraction) -> int:
    return next((n for n in range(_FINEST) if (value * 10**n).denominator == 1), _FINEST)


def other_system(value: Fraction, unit: str) -> str:
    """Write a length in the other system of units, rounded once from the exact value; empty for angles and counts."""
    if unit in (ANGLE, "count"):
        return ""
    return write_dual(value, unit).partition(" (")[2].removesuffix(")")


def said_size(said: Said | None, *beside: Said | None) -> str:
    """Write the value of a finding, in decimals where it, or one that it stands beside, is; empty where there is none."""
    if said is None:
        return ""
    manners = (places_of(s.value, s.words) for s in (said, *beside) if s is not None)
    return size(said.value, said.unit, places=next((p for p in manners if p is not None), None))


def listed_places(part_list: PartList | None, part: str, dimension: str) -> int | None:
    """Tell with how many decimal places the list writes a size of a part; None for fractions, and where it has none."""
    for row in part_list.parts if part_list is not None else ():
        for cell in row.listed if row.name == part else ():
            if cell.dimension == dimension and cell.value is not None and cell.unit == "inch":
                return places_of(cell.value, cell.text)
    return None


def measure_size(measure: Measure) -> str:
    """Write a size that was said, as sure as it was said: "about 3 mm", "just under 5/8 in", "0.5 in ± 0.002 in"."""
    hedge = {"about": "about ", "under": "just under ", "over": "just over "}.get(measure.hedge or "", "")
    places = places_of(measure.value, measure.words)
    within = f" ± {size(measure.tolerance, measure.unit, places=places)}" if measure.tolerance else ""
    return f"{hedge}{size(measure.value, measure.unit, places=places)}{within}"


def measure_origin(measure: Measure) -> str:
    """Say where a value that was said comes from."""
    if measure.role == "derived":
        return "worked out"
    if measure.role == "changed":
        return "my change"
    if measure.role == "corrected":
        return "corrected"
    return "said, as listed" if measure.verdict == "agrees" else "said"
