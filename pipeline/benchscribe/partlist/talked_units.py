"""Settle by the talk what a size without a unit means, where neither the maker nor the list says it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final, Literal

from benchscribe.records import Measure, PartList

_METRIC: Final = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
_IMPERIAL: Final = {
    "inch": Fraction(1),
    "foot": Fraction(12),
    "yard": Fraction(36),
    "thou": Fraction(1, 1000),
}
_LEAST: Final = 3
"""Sizes that must be said in the other unit before the talk counts."""
_GIANT: Final = 200
"""Inches beyond which no part of a bench build is likely."""
_NEAR_MM: Final = Fraction(1, 2)
"""How near a converted size comes to the listed one: half a millimetre, as ruler fractions of 1/32 give."""
_TIMES: Final = 3
"""How many times as often as in the first unit."""


def units_by_list_and_talk(part_list: PartList, measures: Sequence[Measure]) -> Literal["inch", "mm"] | None:
    """Tell whether the list's numbers are said in the other unit than its sizes were taken for.

    "96" in a list is 96 inches where the maker says "ninety six inches" of it. Only sizes that were said with their unit count, and each
    of the list's numbers once.

    Args:
        part_list: As read; `units_sure` lists are left alone.
        measures: What was said, in any unit.

    Returns:
        The other unit; None where the talk does not speak against the list's.
    """
    if part_list.units_sure:
        return None
    numbers = {
        size.value
        for part in part_list.parts
        for size in part.listed
        if size.value is not None
        and size.unit == part_list.units
        and size.dimension not in ("angle", "count")
    }
    said = {unit: _values(measures, unit) & numbers for unit in ("inch", "mm")}
    other: Literal["inch", "mm"] = "mm" if part_list.units == "inch" else "inch"
    if len(said[other]) >= max(_LEAST, _TIMES * len(said[part_list.units])):
        return other
    # Few numbers of the list are said: then the unit of the talk as a whole counts, for a list that would be no giant in it.
    converted = _converted(measures, part_list.units, numbers)
    foreign = units_by_talk(measures) == other and not said[part_list.units] and not converted
    giant = other == "inch" and max(numbers, default=Fraction(0)) > _GIANT
    return other if foreign and not giant else None


def units_by_talk(measures: Sequence[Measure]) -> Literal["inch", "mm"] | None:
    """Tell the unit that nearly all sizes are said in; None where there are few of them or both kinds."""
    spoken = [m.unit for m in measures if m.unit_said]
    metric, imperial = (sum(unit in kind for unit in spoken) for kind in (_METRIC, _IMPERIAL))
    if metric >= max(_LEAST, _TIMES * imperial):
        return "mm"
    return "inch" if imperial >= max(_LEAST, _TIMES * metric) else None


def _converted(measures: Sequence[Measure], unit: str, numbers: set[Fraction]) -> bool:
    """Tell whether the maker tells the list's own unit in the other one: 5 3/16 inches of a listed 132 (mm)."""
    inch = Fraction(254, 10)
    scale, factor = (_IMPERIAL, inch) if unit == "mm" else (_METRIC, 1 / inch)
    near = _NEAR_MM if unit == "mm" else _NEAR_MM / inch
    values = {m.value * scale[m.unit] * factor for m in measures if m.unit_said and m.unit in scale}
    return sum(any(abs(v - n) <= near for n in numbers) for v in values) >= 2


def _values(measures: Sequence[Measure], unit: str) -> set[Fraction]:
    scale = _METRIC if unit == "mm" else _IMPERIAL
    return {m.value * scale[m.unit] for m in measures if m.unit_said and m.unit in scale}
