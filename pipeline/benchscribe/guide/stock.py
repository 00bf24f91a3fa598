"""What to buy: parts of one material and thickness together, with the nominal stock that they come out of."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from typing import Literal

from msgspec import Struct

from benchscribe.records import CutRow, CutSize, Dimension, PartList, StockRow
from benchscribe.units import convert

Form = Literal["board", "sheet", "round", "other"]
BOARD_FOOT = 144
"""Cubic inches: one foot by one foot by one inch, of the nominal size (GNU Units; American lumber trade)."""


class _Stock(Struct, frozen=True):
    softwood: tuple[tuple[str, Fraction], ...]
    softwood_widths: tuple[tuple[str, Fraction], ...]
    hardwood: tuple[tuple[str, Fraction], ...]
    words: dict[str, re.Pattern[str]]


@lru_cache(maxsize=1)
def _stock() -> _Stock:
    table = tomllib.loads(resources.files("benchscribe.guide").joinpath("stock.toml").read_text("utf-8"))
    return _Stock(
        softwood=_by_size(table["softwood"]["thickness"]),
        softwood_widths=_by_size(table["softwood"]["width"]),
        hardwood=_by_size(table["hardwood"]["s2s"]),
        words={
            kind: re.compile(r"\b(?:" + "|".join(map(re.escape, table[kind]["words"])) + r")\b")
            for kind in ("sheet", "round", "softwood", "hardwood", "metal")
        },
    )


def _by_size(rows: dict[str, str]) -> tuple[tuple[str, Fraction], ...]:
    return tuple(sorted(((name, Fraction(real)) for name, real in rows.items()), key=lambda row: row[1]))


def make_shopping(rows: Sequence[CutRow], part_list: PartList | None) -> tuple[StockRow, ...]:
    """Add up the stock for a cut list.

    Args:
        rows: The cut list.
        part_list: For the unit in which sums are given; None gives no rows.

    Returns:
        One row per material and thickness, materials in the order of the list, thick before thin. A part with a size missing is named in
        `without` and counted in no sum. No waste and no kerf is added anywhere.
    """
    if part_list is None:
        return ()
    unit = part_list.units
    groups: dict[tuple[str, Fraction | None], list[CutRow]] = {}
    for row in rows:
        groups.setdefault((row.material, _thickness(row, unit)), []).append(row)
    order = {row.material: number for number, row in reversed(list(enumerate(rows)))}
    keys = sorted(groups, key=lambda key: (order[key[0]], -(key[1] if key[1] is not None else Fraction(0))))
    return tuple(_row(material, thick, groups[material, thick], unit) for material, thick in keys)


def nominal_board(material: str, thickness: Fraction, width: Fraction) -> tuple[str, Fraction, str]:
    """Find the smallest nominal stock that a piece comes out of.

    Args:
        material: As the list calls it.
        thickness: Finished, in inches.
        width: Finished, in inches.

    Returns:
        What to buy; its nominal thickness in inches; which table says so. ("", 0, reason) where no table has it.

    >>> nominal_board("white pine", Fraction(3, 4), Fraction(3))[0]
    '1x4'
    >>> nominal_board("hard maple", Fraction(3, 4), Fraction(3))[0]
    '4/4'
    """
    stock, name = _stock(), material.lower()
    if stock.words["softwood"].search(name):
        thick = next((row for row in stock.softwood if row[1] >= thickness), None)
        wide = next((row for row in stock.softwood_widths if row[1] >= width), None)
        if thick is None or wide is None:
            return "", Fraction(0), "larger than any dressed softwood board: glue up, or ask for timber"
        return f"{thick[0]}x{wide[0]}", Fraction(thick[0]), "dressed softwood sizes, PS 20"
    if stock.words["hardwood"].search(name):
        thick = next((row for row in stock.hardwood if row[1] >= thickness), None)
        if thick is None:
            return "", Fraction(0), "thicker than any surfaced hardwood board: glue up"
        return thick[0], Fraction(thick[0]), "hardwood surfaced two sides, dried"
    return "", Fraction(0), "no table of nominal sizes for this material"


def material_form(material: str) -> Literal["board", "sheet", "metal", "round", "other"]:
    """Tell what a material comes as, by its name: solid wood, sheet, metal bar, rod or tube, or something else."""
    form = _form(material)
    if form in ("round", "other") and _stock().words["metal"].search(material.lower()):
        return "metal"
    return form


def _row(
    material: str, thick: Fraction | None, rows: Sequence[CutRow], unit: Literal["inch", "mm"]
) -> StockRow:
    form = _form(material)
    whole = [row for row in rows if row.count is not None and _lengths(row, unit) is not None]
    without = tuple(row.part for row in rows if row not in whole)
    pieces = [(row.count or 0, *(_lengths(row, unit) or (Fraction(0), None))) for row in whole]
    flat = pieces and all(width is not None for _, _, width in pieces)
    widest = max((width for _, _, width in pieces if width is not None), default=None)
    area = (
        sum((n * length * width for n, length, width in pieces if width is not None), Fraction(0))
        if flat
        else None
    )
    buy, feet, why = "", None, ""
    if form == "board" and thick is not None and widest is not None:
        buy, nominal, why = nominal_board(
            material, convert(thick, unit, "inch"), convert(widest, unit, "inch")
        )
        if buy and unit == "inch":
            feet = _board_feet(material, nominal, pieces)
    return StockRow(
        material=material,
        thickness=thick,
        unit=unit,
        parts=tuple(row.part for row in rows),
        pieces=sum(n for n, _, _ in pieces) if not without else None,
        form=form,
        area=area,
        board_feet=feet,
        running_length=sum((n * length for n, length, _ in pieces), Fraction(0)) if pieces else None,
        widest=widest,
        longest=max((length for _, length, _ in pieces), default=None),
        buy=buy,
        buy_why=why,
        without=without,
        check=any(size.check for row in rows for size in row.sizes),
    )


def _board_feet(
    material: str, nominal: Fraction, pieces: Sequence[tuple[int, Fraction, Fraction | None]]
) -> Fraction:
    """Board feet on nominal sizes: a softwood piece takes its nominal width, a hardwood piece its own."""
    total = Fraction(0)
    widths = _stock().softwood_widths if _stock().words["softwood"].search(material.lower()) else ()
    for count, length, width in pieces:
        assert width is not None
        across = next((Fraction(name) for name, real in widths if real >= width), width)
        total += count * nominal * across * length / BOARD_FOOT
    return total


def _form(material: str) -> Form:
    name, words = material.lower(), _stock().words
    if words["sheet"].search(name):
        return "sheet"
    if words["round"].search(name):
        return "round"
    return "board" if words["softwood"].search(name) or words["hardwood"].search(name) else "other"


def _find(row: CutRow, dimension: Dimension) -> CutSize | None:
    return next((s for s in row.sizes if s.dimension == dimension and s.value is not None), None)


def _thickness(row: CutRow, unit: str) -> Fraction | None:
    size = _find(row, "thickness") or _find(row, "diameter")
    return convert(size.value, size.unit, unit) if size is not None and size.value is not None else None


def _lengths(row: CutRow, unit: str) -> tuple[Fraction, Fraction | None] | None:
    """Give a part's length and width in the list's unit; None where the length is missing, or the width is wanted and blank."""
    length = _find(row, "length") or _find(row, "height")
    if length is None or length.value is None:
        return None
    width = _find(row, "width") or _find(row, "diameter")
    if width is None and any(s.dimension == "width" for s in row.sizes):
        return None
    across = convert(width.value, width.unit, unit) if width is not None and width.value is not None else None
    return convert(length.value, length.unit, unit), across
