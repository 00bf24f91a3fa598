"""Tell by what stands in it what a column with an unknown heading holds: sizes, materials, remarks, or nothing that is used."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Final

from msgspec import structs

from benchscribe.partlist.grid import Row
from benchscribe.partlist.headings import Heading, unit_named
from benchscribe.partlist.numbers import plain

_SIZE: Final = re.compile(
    r"^\W*(?:ø\s*[\d.]|(?:\d+[\s-]+)?\d+\s*/\s*\d|[\d.]+\s*(?:(?:mm|cm|m|in|ft)\b|[\"'x]\s*|dia\b))|\bdia\b|\bø"
)
"""How a cell of sizes begins: a diameter, a fraction, a number with its unit, or a chain."""
_MOSTLY: Final = 0.8
"""Share of a column's cells that have a word in them where it holds names."""
_SHARE: Final = 0.6
"""Share of a column's cells that must look like sizes for the column to hold sizes."""
MARK: Final = re.compile(r"([A-Z]|\d{1,3})(?:\s*[-–—.:)=]\s*|\s+)(?=[A-Za-z]{2})")
"""The plan's letter or number at the front of a name: "A Bib front", "B - Skirt"."""
_MANY: Final = 1000
"""Pieces of one part that no list asks for."""


def column(rows: tuple[Row, ...], index: int) -> list[str]:
    """Give the cells of a column that hold something."""
    return [row.cells[index] for row in rows if index < len(row.cells) and row.cells[index]]


def wordy(rows: tuple[Row, ...], index: int) -> float:
    """Give the share of a column's cells that have a word in them."""
    cells = column(rows, index)
    return sum(bool(re.search(r"[^\W\d_]{3,}", c)) for c in cells) / len(cells) if cells else 0.0


def apart(rows: tuple[Row, ...], index: int) -> bool:
    """Tell whether a column tells the rows apart: at least two cells, and no two alike."""
    cells = [c.lower() for c in column(rows, index)]
    return len(set(cells)) == len(cells) >= 2


def small(rows: tuple[Row, ...], index: int) -> bool:
    """Tell whether a column holds small whole numbers, as counts are; anything else under "No." is a reference."""
    found = [re.match(r"\d+", c) for c in column(rows, index)]
    return all(m is None or int(m[0]) < _MANY for m in found) and any(found)


def running(rows: tuple[Row, ...], index: int) -> bool:
    """Tell whether the column numbers the rows: every value once, rising."""
    cells = column(rows, index)
    numbers = [int(c) for c in cells if c.isdigit()]
    if len(numbers) < len(cells) or len(numbers) < 2:
        return bool(cells) and not any(c.isdigit() for c in cells)
    return all(a < b for a, b in pairwise(numbers))


def sizes_share(rows: tuple[Row, ...], index: int) -> float:
    """Give the share of a column's cells that begin as sizes do."""
    cells = column(rows, index)
    return sum(bool(_SIZE.search(plain(c))) for c in cells) / len(cells) if cells else 0.0


def counts_share(rows: tuple[Row, ...], index: int) -> float:
    """Give the share of a column's cells that are small whole numbers, as counts are; none where they number the rows."""
    cells = column(rows, index)
    if not cells or (len(cells) > 2 and running(rows, index)):
        return 0.0
    return sum(bool(re.fullmatch(r"\d{1,3}", c)) for c in cells) / len(cells)


def leads_share(rows: tuple[Row, ...], index: int) -> float:
    """Give the share of a column's cells that begin with a number."""
    cells = column(rows, index)
    return sum(bool(re.match(r"\W*\d", c)) for c in cells) / len(cells) if cells else 0.0


def row_of_units(row: Row) -> bool:
    """Tell a row of units under the headings ("pcs", "mm", "mm") from a part."""
    filled = [c for c in row.cells if c]
    units = [c for c in filled if unit_named(c)]
    others = [
        c
        for c in filled
        if not unit_named(c) and plain(c) not in ("pcs", "off", "no", "no.", "ea", "each", "pc", "-", "units")
    ]
    return bool(units) and not others


def guess(headings: list[Heading], rows: tuple[Row, ...]) -> list[Heading]:
    """Settle the columns whose headings are not known.

    A column of words is kept with the notes, or is the material where none is named and few values come again and again; a column of sizes
    is taken with its heading as what it is a size of. Bare numbers under an unknown heading are not used (they may be prices, teeth or weights).
    """
    out = list(headings)
    for i, heading in enumerate(out):
        cells = column(rows, i)
        if heading.role or not heading.text.strip() or not cells:
            continue
        clean = re.sub(r"\(.*?\)", " ", plain(heading.text)).strip(" .?:")
        sizes = sizes_share(rows, i)
        money = any(re.search(r"[$€£]", c) for c in cells)
        if len(clean) < 2 or money:
            continue
        if i == 0 and "ref" not in {h.role for h in out} and _marks(cells):
            out[i] = structs.replace(heading, role="ref")
            continue
        if wordy(rows, i) >= 0.5 and sizes < _SHARE:
            material = "material" not in {h.role for h in out} and _repeats(cells, len(rows))
            out[i] = structs.replace(heading, role="material" if material else "notes")
        elif sizes >= _SHARE or (heading.unit and all(re.search(r"\d", c) for c in cells)):
            out[i] = structs.replace(heading, role="size")
        elif "material" not in {h.role for h in out} and _codes(cells, len(rows)):
            out[i] = structs.replace(heading, role="material")
    return out


def lettered(names: list[str]) -> bool:
    """Tell whether the names of a list carry its letters or numbers at the front ("A Bib front", "B - Skirt"): each its own, and rising."""
    found = [MARK.match(n) for n in names]
    marks = [m[1] for m in found if m]
    if len(marks) < max(3, len(names)):
        return False
    return all(a < b for a, b in pairwise([(len(m), m) for m in marks]))


def _marks(cells: list[str]) -> bool:
    """Tell whether a first column holds the plan's own numbers or letters: short, each once, rising."""
    short = [c.strip(" .)") for c in cells]
    if len(short) < 2 or not all(re.fullmatch(r"\d{1,3}|[A-Za-z]\d{0,2}", c) for c in short):
        return False
    return all(a < b for a, b in pairwise([(len(c), c.lower()) for c in short]))


def _repeats(cells: list[str], rows: int) -> bool:
    """Tell whether a column names stock: nearly every row has it, and values come again."""
    return len(cells) >= _MOSTLY * rows and len({c.lower() for c in cells}) < len(cells)


def _codes(cells: list[str], rows: int) -> bool:
    """Tell whether a column holds names of an alloy or a mix ("C30", "EN8", "6061-T6") that come again."""
    coded = sum(bool(re.search(r"[A-Za-z]", c)) for c in cells)
    return _repeats(cells, rows) and coded > _MOSTLY * len(cells)
