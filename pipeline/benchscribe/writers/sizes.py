"""Sizes as the trade writes them, with where they come from."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchscribe.measures.write import write_dual, write_measure
from benchscribe.records import Measure, Said
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


def size(value: Fraction, unit: str) -> str:
    """Write an exact value as the trade does: "3 3/4 in", "6 ft 2 in", "18 mm", "22.5°"; a count as a plain number."""
    if unit == "count":
        return str(value)
    return write_measure(value, unit, "ft-in" if unit in ("foot", "yard") else "in")


def other_system(value: Fraction, unit: str) -> str:
    """Write a length in the other system of units, rounded once from the exact value; empty for angles and counts."""
    if unit in (ANGLE, "count"):
        return ""
    return write_dual(value, unit).partition(" (")[2].removesuffix(")")


def said_size(said: Said | None) -> str:
    """Write the value of a finding; empty where there is none."""
    return size(said.value, said.unit) if said is not None else ""


def measure_size(measure: Measure) -> str:
    """Write a size that was said, as sure as it was said: "about 3 mm", "just under 5/8 in", "0.5 in ± 0.002 in"."""
    hedge = {"about": "about ", "under": "just under ", "over": "just over "}.get(measure.hedge or "", "")
    within = f" ± {size(measure.tolerance, measure.unit)}" if measure.tolerance else ""
    return f"{hedge}{size(measure.value, measure.unit)}{within}"


def measure_origin(measure: Measure) -> str:
    """Say where a value that was said comes from."""
    if measure.role == "derived":
        return "worked out"
    if measure.role == "changed":
        return "my change"
    if measure.role == "corrected":
        return "corrected"
    return "said, as listed" if measure.verdict == "agrees" else "said"
