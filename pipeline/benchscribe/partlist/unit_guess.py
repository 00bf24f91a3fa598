"""Settle whether a part list is in inches or millimetres, and say why."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from typing import Final, Literal

from benchscribe.partlist.headings import Heading
from benchscribe.partlist.numbers import Number

Units = Literal["inch", "mm"]

_IMPERIAL: Final = ("inch", "foot", "thou", "yard")
_EIGHTHS: Final = (
    frozenset(Fraction(n, 8) % 1 for n in range(1, 8))
    | frozenset(Fraction(n, 16) for n in range(1, 16, 2))
    | frozenset(Fraction(n, 32) for n in range(1, 32, 2))
)
_NO_INCHES: Final = 150
"""From here on a whole number is hardly inches: 12 ft 6 in is longer than nearly all that is built at a bench."""
_FIRM: Final = 3
"""Sizes that settle a unit."""
_TENTHS: Final = 10
_IN_TENTHS: Final = frozenset({1, 2, 3, 4, 6, 7, 8, 9})
"""Tenths that are no half."""
_SAID_MM: Final = re.compile(
    r"\b(?:all\s+)?(?:sizes|dimensions|dims|measurements|units?)\b[^/]{0,30}\b(mm|millimet)|\bin\s+(?:mm|millimet)|\bmetric\b|\bunits?\s*[:=]\s*mm|\(mm\)"
)
_SAID_INCH: Final = re.compile(
    r"\b(?:sizes|dimensions|dims|measurements|units?)\b[^/]{0,30}\b(?:inch|in\b)|\bin\s+inches|\bimperial\b|\bunits?\s*[:=]\s*in|\(in(?:ches)?\)"
)


def settle_units(
    stated: Units | None,
    above: str,
    headings: tuple[Heading, ...],
    found: Iterable[Number],
    *,
    comma: bool = False,
    beside: Iterable[Number] = (),
) -> tuple[Units, str, bool]:
    """Settle the unit of a size that has none.

    Args:
        stated: What the maker says; it stands.
        above: The text over the headings, lower case.
        headings: The columns.
        found: Every size in the size columns.
        comma: The sizes are written with decimal commas.
        beside: The sizes in titles, names and notes.

    Returns:
        The unit, a sentence that says how it was settled, and whether it is more than a guess from whole and decimal numbers.
    """
    if stated:
        return stated, "stated in the build", True
    named = Counter("mm" if h.unit in ("mm", "cm", "m") else "inch" for h in headings if h.unit)
    if len(named) == 1:
        unit: Units = "mm" if "mm" in named else "inch"
        return unit, f"the headings say {'millimetres' if unit == 'mm' else 'inches'}", True
    if _SAID_MM.search(above) and not _SAID_INCH.search(above):
        return "mm", "the lines above the headings say millimetres", True
    if _SAID_INCH.search(above) and not _SAID_MM.search(above):
        return "inch", "the lines above the headings say inches", True
    marks = {"inch" if n.unit in _IMPERIAL else "mm" for n in beside if n.unit and n.unit != "degree"}
    return _by_values([n for n in found if n.unit != "degree"], marks, comma=comma)


def weak(units: Units, why: str, found: Iterable[Number]) -> bool:
    """Tell whether an inferred unit rests on too little to be kept to oneself.

    Firm are: a size of 300, or three of 150 or more, which no bench build has in inches; three decimals as a machinist writes them (.375, 2.125).
    """
    bare = [n for n in found if not n.unit]
    if units == "mm":
        giant = any(n.value >= 2 * _NO_INCHES for n in bare)
        return not giant and sum(n.value >= _NO_INCHES for n in bare) < _FIRM and not why.startswith("the ")
    exact = sum(
        n.step == "decimal" and n.value % 1 in _EIGHTHS and n.value % 1 != Fraction(1, 2) for n in bare
    )
    return exact < _FIRM and not why.startswith("the ")


def _by_values(found: list[Number], marks: set[str], *, comma: bool) -> tuple[Units, str, bool]:
    marked = Counter("inch" if n.unit in _IMPERIAL else "mm" for n in found if n.unit)
    bare = [n for n in found if not n.unit]
    if (
        marked
        and (len(marked) == 1 or max(marked.values()) > 2 * min(marked.values()))
        and sum(marked.values()) >= len(bare)
    ):
        unit: Units = "inch" if marked["inch"] > marked["mm"] else "mm"
        return (
            unit,
            f"most sizes are written with {'an inch mark' if unit == 'inch' else 'a metric unit'}",
            True,
        )
    fractions = sum(n.step == "fraction" for n in bare)
    binary = sum(n.step == "decimal" and n.value % 1 in _EIGHTHS for n in bare)
    odd = sum(n.step == "decimal" and n.value % 1 not in _EIGHTHS for n in bare)
    metric = sum(n.value >= _NO_INCHES for n in bare)
    if fractions and metric < _FIRM * fractions:
        return "inch", "inferred: sizes are written as fractions", True
    if comma and not marked["inch"]:
        return "mm", "inferred: sizes are written with decimal commas", True
    return _by_numbers(bare, marked, marks, binary, odd)


def _thousandths(bare: list[Number]) -> bool:
    """Tell whether some sizes are decimals finer than a tenth, as those of an inch are written (.375, 2.25)."""
    return any(n.step == "decimal" and (_TENTHS * n.value).denominator > 1 for n in bare)


def _by_numbers(
    bare: list[Number], marked: Counter[str], marks: set[str], binary: int, odd: int
) -> tuple[Units, str, bool]:
    """Infer the unit from whole and decimal numbers, `binary` of them decimals of an inch and `odd` others."""
    whole = sorted(n.value for n in bare if n.step == "whole")
    large = whole[-1] if whole else Fraction(0)
    tens = sum(v >= 100 for v in whole)
    if binary + odd and binary >= odd and binary + odd > len(whole) / 3 and large < 150:
        return "inch", "inferred: sizes are written as decimals of an inch (.375, .75)", False
    tenths = sum(n.step == "decimal" and _TENTHS * n.value % _TENTHS in _IN_TENTHS for n in bare)
    if tenths >= _FIRM and tenths + binary > odd / 2 and not _thousandths(bare):
        return "mm", "inferred: decimals in tenths, which are millimetres rather than inches", False
    if marks == {"inch"} and large < _NO_INCHES:
        return "inch", "the names and notes give sizes in inches", False
    if tens or (whole and large >= 60):
        return "mm", f"inferred: whole numbers up to {large}, which are millimetres rather than inches", False
    if marked:
        unit: Units = "inch" if marked["inch"] > marked["mm"] else "mm"
        return (
            unit,
            f"the sizes that name a unit are in {'inches' if unit == 'inch' else 'millimetres'}",
            True,
        )
    if any(n.step == "decimal" and n.value < 1 for n in bare):
        return "inch", "inferred: decimals smaller than one", False
    if whole and min(whole) >= 5 and len(whole) > 3:
        return "mm", "inferred: whole numbers and no fractions", False
    return (
        "inch",
        "taken as inches: nothing in the list says otherwise; `units` in build.toml settles it",
        False,
    )
