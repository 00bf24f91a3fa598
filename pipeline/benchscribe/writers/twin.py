"""The guide for readers abroad: an inch guide's metric twin, and a metric guide's in inches.

Every size is converted exactly and rounded once, to what a rule of the other system shows. The rounding never swaps two sizes, so what was
no thicker than its groove stays so; openings are rounded up and never down, so that a tenon, a panel or a dowel still goes in. A drill or
a cutter is replaced by the nearest one of the other system, and says that it is the nearest and not the same.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Final, Literal

from msgspec import structs

from benchscribe.measures import write_measure
from benchscribe.records import CutRow, CutSize, EpisodeRecord, Finding, Measure, Said, Step
from benchscribe.units import convert, is_length

System = Literal["inch", "mm"]
Way = Literal["nearest", "up"]

_FINE_BELOW: Final = {"mm": Fraction(25), "inch": Fraction(2)}
"""Below this a rule is read to its finest mark."""
_FINE: Final = {"mm": Fraction(1, 2), "inch": Fraction(1, 32)}
_COARSE: Final = {"mm": Fraction(1), "inch": Fraction(1, 16)}
"""Both grids meet at the border between them, so that rounding never swaps two sizes."""
_PRECISE_BELOW: Final = {"mm": Fraction(1), "inch": Fraction(1, 16)}
"""Below this nobody reads a rule: such a size is written in hundredths of a millimetre, or thousandths of an inch."""
_PRECISE: Final = {"mm": Fraction(1, 100), "inch": Fraction(1, 1000)}
_DRILLS: Final = {"mm": Fraction(1, 10), "inch": Fraction(1, 64)}
"""Steps in which drills are sold: tenths of a millimetre, sixty-fourths of an inch."""
_OPENING: Final = frozenset({"width", "diameter", "depth", "length", "height"})


def twin_record(record: EpisodeRecord) -> EpisodeRecord:
    """Give the record as it reads in the other system of units; angles and counts stay as they are.

    The transcript stays as it was said. What to buy is left out: stock is sold in other sizes there, and none is named as equal.
    """
    to: System = "mm" if record.info.units == "inch" else "inch"
    measures = tuple(_measure(m, to) for m in record.measures)
    written = _written(record.measures, measures)
    steps = tuple(_step(step, record.measures, written, to) for step in record.steps)
    names = {"inch": "inches", "mm": "millimetres"}
    why = (
        f"rounded from the guide in {names[record.info.units]}; openings are rounded up so that what goes in still fits; "
        "a drill or a cutter is the nearest one, not the same"
    )
    return structs.replace(
        record,
        info=structs.replace(record.info, units=to, units_why=why),
        measures=measures,
        steps=steps,
        findings=tuple(_finding(f, to) for f in record.findings),
        cut_list=tuple(_row(row, to) for row in record.cut_list),
        shopping=(),
    )


def originals(record: EpisodeRecord, twin: EpisodeRecord) -> dict[str, str]:
    """Give, for each size as the twin writes it, how the guide itself writes it."""
    pairs = [
        ((old.value, old.unit), (new.value, new.unit))
        for old, new in zip(record.measures, twin.measures, strict=True)
    ]
    for old_row, new_row in zip(record.cut_list, twin.cut_list, strict=True):
        for was, now in zip(old_row.sizes, new_row.sizes, strict=True):
            if was.value is not None and now.value is not None:
                pairs.append(((was.value, was.unit), (now.value, now.unit)))
    return {write_measure(*now): write_measure(*was) for was, now in reversed(pairs) if was != now}


def rounded(value: Fraction, unit: str, to: System, way: Way = "nearest") -> tuple[Fraction, str]:
    """Convert a length to the other system and round it to what a rule shows.

    Args:
        value: Exact, in `unit`.
        unit: Any unit of length; an angle or a count is given back as it is.
        to: The other system.
        way: "up" for an opening that something goes into.

    Returns:
        Value and unit. A length of the same system is given back as it is.

    >>> rounded(Fraction(1, 4), "inch", "mm"), rounded(Fraction(18), "mm", "inch")
    ((Fraction(13, 2), 'mm'), (Fraction(23, 32), 'inch'))
    """
    if not is_length(unit) or _system(unit) == to:
        return value, unit
    exact = convert(value, unit, to)
    return _on(exact, _grid(exact, to), way), to


def nearest_drill(value: Fraction, unit: str, to: System) -> tuple[Fraction, str]:
    """Give the nearest drill or cutter of the other system."""
    if not is_length(unit) or _system(unit) == to:
        return value, unit
    return _on(convert(value, unit, to), _DRILLS[to], "nearest"), to


def _system(unit: str) -> System:
    return "mm" if unit in ("mm", "cm", "m") else "inch"


def _grid(exact: Fraction, to: System) -> Fraction:
    size = abs(exact)
    if size < _PRECISE_BELOW[to]:
        return _PRECISE[to]
    return _FINE[to] if size < _FINE_BELOW[to] else _COARSE[to]


def _on(exact: Fraction, grid: Fraction, way: Way) -> Fraction:
    steps = exact / grid
    return grid * (-(-steps // 1) if way == "up" else round(steps))


def _way(measure: Measure) -> Way:
    opening = measure.role == "feature" and measure.dimension in _OPENING
    return "up" if opening else "nearest"


def _measure(measure: Measure, to: System) -> Measure:
    if measure.role == "tool":
        value, unit = nearest_drill(measure.value, measure.unit, to)
    else:
        value, unit = rounded(measure.value, measure.unit, to, _way(measure))
    listed, listed_unit = measure.listed, measure.listed_unit
    if listed is not None and listed_unit is not None:
        listed, listed_unit = rounded(listed, listed_unit, to)
    tolerance = (
        convert(measure.tolerance, measure.unit, to)
        if measure.tolerance and unit != measure.unit
        else measure.tolerance
    )
    return structs.replace(
        measure,
        value=value,
        unit=unit,
        listed=listed,
        listed_unit=listed_unit,
        tolerance=tolerance,
        candidates=(),
    )


def _written(before: Sequence[Measure], after: Sequence[Measure]) -> list[tuple[str, str]]:
    """Give, for each measure, how its size was written and how it is written now; of a tool, that it is the nearest."""
    pairs = []
    for old, new in zip(before, after, strict=True):
        now = write_measure(new.value, new.unit)
        changed = (old.value, old.unit) != (new.value, new.unit)
        pairs.append(
            (
                write_measure(old.value, old.unit),
                f"{now} (nearest)" if changed and old.role == "tool" else now,
            )
        )
    return pairs


def _step(step: Step, measures: Sequence[Measure], written: Sequence[tuple[str, str]], to: System) -> Step:
    """Put a step's sizes into its words: its own measures first, in their order, then whatever else is written as a size."""
    inside = [n for n, m in enumerate(measures) if step.span[0] <= m.span[0] < step.span[1]]
    own = dict(written[n] for n in reversed(inside))
    return structs.replace(
        step, text=_converted(step.text, own, to), setting=_converted(step.setting, own, to)
    )


_SIZE: Final = re.compile(
    r"(?<![\w/.])(?:(?P<feet>\d+) ft )?(?P<whole>\d+(?:\.\d+)?)?(?:(?<=\d) )?(?P<part>\d+/\d+)? ?(?P<unit>in|mm|cm|m|thou|ft)\b(?! the\b)"
)
_UNITS: Final = {"in": "inch", "ft": "foot"}


def _converted(text: str, own: dict[str, str], to: System) -> str:
    def other(found: re.Match[str]) -> str:
        said = found[0]
        if said in own:
            return own[said]
        if not (found["whole"] or found["part"]):
            return said
        unit = _UNITS.get(found["unit"], found["unit"])
        value = (
            Fraction(found["whole"] or 0) + Fraction(found["part"] or 0) + 12 * Fraction(found["feet"] or 0)
        )
        return write_measure(*rounded(value, unit, to))

    return _SIZE.sub(other, text)


def _row(row: CutRow, to: System) -> CutRow:
    return structs.replace(row, sizes=tuple(_size(size, to) for size in row.sizes))


def _size(size: CutSize, to: System) -> CutSize:
    was = rounded(size.was, size.unit, to)[0] if size.was is not None else None
    if size.value is None:
        return structs.replace(size, was=was)
    value, unit = rounded(size.value, size.unit, to)
    return structs.replace(size, value=value, unit=unit, was=was)


def _finding(finding: Finding, to: System) -> Finding:
    return structs.replace(
        finding,
        spoken=_said(finding.spoken, to),
        listed=_said(finding.listed, to),
        probably_right=_said(finding.probably_right, to),
    )


def _said(said: Said | None, to: System) -> Said | None:
    if said is None or not is_length(said.unit):
        return said
    value, unit = rounded(said.value, said.unit, to)
    return Said(value=value, unit=unit, words=said.words)
