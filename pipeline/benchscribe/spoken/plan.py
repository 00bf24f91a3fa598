"""The plan's sizes as slots that a measure can belong to, and how far what was said agrees with them."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final

from msgspec import Struct

from benchscribe.records import Dimension, Listed, Measure, Part, PartList
from benchscribe.units import ANGLE, IMPERIAL, is_length, to_mm

PLY_SHEET: Final = (
    "ply",
    "mdf",
    "osb",
    "melamine",
    "particle",
    "chipboard",
    "hardboard",
    "panel board",
)
_INCH: Final = Fraction(254, 10)
_THOUSANDTHS: Final = re.compile(r"\.\d{3}")
_PLY_UNDER: Final = Fraction(1, 16) * _INCH
"""Sheet goods run up to a sixteenth under what they are sold as (PS 1 performance categories: 3/4 is .719-.781 and sold as 23/32,
1/2 is .469-.531; 18 mm and .703 sheets are sold as 3/4)."""
_PLY_OVER: Final = Fraction(1, 32) * _INCH


_IN_ORDER: Final[tuple[Dimension, ...]] = ("thickness", "width", "length")
_THREE: Final = frozenset(_IN_ORDER)
_USUAL: Final = Fraction(1, 3)
_TO_SUIT: Final = re.compile(
    r"\b(to (suit|fit|measure)|as (required|needed)|cut to (suit|fit|size))\b", re.IGNORECASE
)
_BESIDE_ROUND: Final = frozenset({"length", "thickness", "width", "height", "depth"})


class Slot(Struct, frozen=True):
    """One size of one part."""

    part: int
    """Index into the list's parts."""
    dimension: Dimension
    listed: Listed

    @property
    def value(self) -> Fraction | None:
        """The listed value in millimetres, or in degrees for an angle; None where the list is blank."""
        if self.listed.value is None:
            return None
        return plain(self.listed.value, self.listed.unit)


def _is_usual(dimension: Dimension, part_list: PartList) -> bool:
    """Tell whether a list gives a dimension of a good share of its parts: one note about a thickness makes no column of it."""
    rows = [row for row in part_list.parts if not row.hardware]
    given = [row for row in rows if any(e.dimension == dimension and not e.feature for e in row.listed)]
    return len(given) >= _USUAL * len(rows)


def plain(value: Fraction, unit: str) -> Fraction:
    """Give a length in millimetres and an angle in degrees."""
    return to_mm(value, unit) if is_length(unit) else value


def size_of(measure: Measure) -> Fraction:
    """Give what was said in millimetres, or in degrees."""
    return plain(measure.value, measure.unit)


def is_angle(unit: str) -> bool:
    """Tell an angle from a length."""
    return unit == ANGLE


def slots_of(part_list: PartList | None) -> tuple[Slot, ...]:
    """Give every slot of the plan, in the order of the list."""
    if part_list is None:
        return ()
    return tuple(
        Slot(index, listed.dimension, listed)
        for index, part in enumerate(part_list.parts)
        for listed in sizes_of(part, part_list.units, part_list)
    )


def sizes_of(part: Part, unit: str, part_list: PartList | None = None) -> tuple[Listed, ...]:
    """Give the listed sizes of a part, and as open sizes those that are plainly missing.

    A piece with two of thickness, width and length wants the third; a round one with nothing but a diameter wants a length; and one whose
    row says "to suit" or "cut to fit" wants all that it does not give.

    Args:
        part: The row.
        unit: Of the open sizes.
        part_list: The whole list: a thickness or width that it gives of hardly any part (that of cloth) is missing of none.
    """
    own = {entry.dimension for entry in part.listed if not entry.feature}
    missing: list[Dimension] = []
    if "diameter" in own:
        missing = [] if part.hardware or own & _BESIDE_ROUND else ["length"]
    elif own & _THREE and not own & {"height", "depth", "radius"}:
        missing = [dimension for dimension in _IN_ORDER if dimension not in own]
        if len(missing) > 1 and not (_TO_SUIT.search(part.notes) and not part.hardware):
            missing = []
    if part_list is not None:
        missing = [d for d in missing if d == "length" or _is_usual(d, part_list)]
    return (*part.listed, *(Listed(dimension=d, value=None, unit=unit, text="") for d in missing))


def agrees(measure: Measure, listed: Listed, part: Part) -> str:
    """Say how a measure agrees with a listed size; an empty text where it does not.

    Exact agreement is "exact". Otherwise the text says what makes the two one size: the graduation that the words imply where the units
    differ, a hedge, or sheet goods that measure less than they are sold as.
    """
    if listed.value is None or is_angle(measure.unit) != is_angle(listed.unit):
        return ""
    said, wanted = size_of(measure), plain(listed.value, listed.unit)
    if said == wanted:
        return "exact"
    apart = abs(said - wanted)
    mixed = (measure.unit in IMPERIAL) != (listed.unit in IMPERIAL)
    step = plain(measure.step, measure.unit) if measure.step else None
    if mixed and step and apart <= step / 2:
        return "within what the words can mean in other units"
    if _finer(measure, listed) and listed.unit == measure.unit and apart <= _last_place(listed) / 2:
        return "a finer reading of the same size"
    if measure.tolerance and apart <= plain(measure.tolerance, measure.unit):
        return "within the tolerance said"
    if (
        measure.hedge
        and wanted
        and apart / wanted <= Fraction(1, 60)
        and _hedged(said, wanted, measure.hedge)
    ):
        return f'said with a hedge ("{measure.hedge}")'
    if (
        listed.dimension == "thickness"
        and is_sheet(part)
        and -_PLY_UNDER <= said - wanted <= _PLY_OVER
        and finer_than_rule(measure)
    ):
        return "sheet goods measure less than they are sold as"
    return ""


def is_sheet(part: Part) -> bool:
    """Tell whether a part is of sheet goods, which are sold by a nominal thickness."""
    material = f"{part.material} {part.notes}".lower()
    return any(word in material for word in PLY_SHEET)


def finer_than_rule(measure: Measure) -> bool:
    """Tell whether the words are a real reading (a decimal, or 32nds) and not another round size."""
    return measure.value.denominator not in (1, 2, 4, 8, 16)


def _hedged(said: Fraction, wanted: Fraction, hedge: str) -> bool:
    # "shy of 3/4" names 3/4 and means less: the size itself agrees only when it is named, so a hedge never bends a clear other size.
    return hedge == "about" or (said > wanted if hedge == "under" else said < wanted)


def _finer(measure: Measure, listed: Listed) -> bool:
    return measure.value.denominator > 64 and listed.value is not None and listed.value.denominator <= 64


def _last_place(listed: Listed) -> Fraction:
    # A reading from a caliper agrees with a size in 64ths or coarser when it is nearer than half a 64th (0.2 mm for a metric size).
    # A list that gives thousandths itself is of work where 3 thou are a difference.
    if listed.unit in IMPERIAL:
        return Fraction(6, 1000) * _INCH if _THOUSANDTHS.search(listed.text) else Fraction(1, 64) * _INCH
    return Fraction(1, 5)


def commonness(value: Fraction, unit: str) -> float:
    """Give the chance that a size is said by accident: 1/2 inch is everywhere, 9 5/8 is not.

    Estimated once from what sizes are like in annotated talk: small ones and round ones are said most, and each halving of the
    graduation makes a size rarer by about two.
    """
    if is_angle(unit):
        return 0.15 if value in (90, 45) else 0.06
    table = _INCH_CHANCE if unit in IMPERIAL else _MM_CHANCE
    size = to_mm(value, unit)
    grain = _grain(size / _INCH) if unit in IMPERIAL else _mm_grain(size)
    return next(chances for limit, chances in table if size <= limit)[grain]


def _grain(inches: Fraction) -> int:
    return {1: 0, 2: 1, 4: 2, 8: 3, 16: 4}.get(inches.denominator, 5)


def _mm_grain(mm: Fraction) -> int:
    return 0 if mm % 10 == 0 else 1 if mm % 5 == 0 else 2 if mm.denominator == 1 else 3


_INCH_CHANCE: Final = (
    (_INCH, (0.05, 0.05, 0.04, 0.02, 0.01, 0.006)),
    (12 * _INCH, (0.02, 0.01, 0.007, 0.004, 0.002, 0.001)),
    (Fraction(10**9), (0.008, 0.003, 0.002, 0.001, 0.0006, 0.0004)),
)
"""Up to an inch, a foot, and beyond: chance of a size in whole inches, halves, quarters, eighths, sixteenths, finer."""
_MM_CHANCE: Final = (
    (Fraction(25), (0.03, 0.02, 0.02, 0.006)),
    (Fraction(100), (0.012, 0.01, 0.004, 0.001)),
    (Fraction(10**9), (0.006, 0.004, 0.0012, 0.0005)),
)
"""Up to 25 mm, 100 mm, and beyond: chance of a multiple of 10, of 5, another whole millimetre, a part of one."""
