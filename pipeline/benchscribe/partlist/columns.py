"""Find the heading row of a table and settle what each column holds."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Final

from msgspec import Struct, structs

from benchscribe.partlist.grid import Grid, Row
from benchscribe.partlist.headings import DIMENSIONS, Heading, read_heading
from benchscribe.partlist.numbers import plain

_LOOK: Final = 250
"""Rows that are searched for headings."""
_SAMPLE: Final = 200
"""Rows from which it is told what a column holds."""
_MANY: Final = 1000
"""Pieces of one part that no list asks for."""
_COUNT: Final = re.compile(r"\W*\d+\s*(?:x|off|pcs?|ea|each|no|pairs?|sets?)?\W*$")
_MOSTLY: Final = 0.8
"""Share of a column's cells that have a word in them where it holds names."""
_NAMES: Final = ("name", "item")
_SIZES: Final = (*DIMENSIONS, "size", "d", "inside")


class Table(Struct, frozen=True):
    """A table with its headings settled."""

    headings: tuple[Heading, ...]
    rows: tuple[Row, ...]
    """Below the headings."""
    heading_row: int
    above: str
    """The text that stands above the headings, in one line."""
    grid: Grid
    score: int


def find_table(grid: Grid) -> Table | None:
    """Find the row of headings; None where no row looks like one."""
    best: tuple[int, int, tuple[Heading, ...], int] | None = None
    for index, row in enumerate(grid.rows[:_LOOK]):
        headings = tuple(_column(cell) for cell in row.cells)
        headings = _named(headings, grid.rows[index + 1 :][:_SAMPLE])
        score = _score(headings, row)
        used = 1
        over = any(row.cells)  # a blank row is no row of groups
        if over and index + 1 < len(grid.rows) and (joined := _joined(row, grid.rows[index + 1])):
            double = _score(joined, row)
            if double >= score:
                headings, score, used = joined, double, 2
        if score and (best is None or score > best[0]):
            best = (score, index, headings, used)
    if best is None:
        return None
    score, index, headings, used = best
    rows = grid.rows[index + used :]
    above = " / ".join(" ".join(c for c in row.cells if c) for row in grid.rows[:index] if any(row.cells))
    return Table(_settle(headings, rows), rows, grid.rows[index].number, above, grid, score)


def _named(headings: tuple[Heading, ...], below: tuple[Row, ...]) -> tuple[Heading, ...]:
    """Take the column that tells the rows apart in words for the names, where no heading says which it is ("Mark, Timber, Count, Section").

    Only beside a count and a size, so that a table of something else does not become a part list.
    """
    roles = {h.role for h in headings}
    if roles & {*_NAMES} or "count" not in roles or not roles & {*_SIZES}:
        return headings
    for i, heading in enumerate(headings):
        cells = [c.lower() for c in _cells(below, i)]
        apart = len(set(cells)) == len(cells) >= 2
        if heading.role in ("", "material", "kind", "ref") and apart and _wordy(below, i) > _MOSTLY:
            return (*headings[:i], structs.replace(heading, role="name"), *headings[i + 1 :])
    return headings


def _column(cell: str, group: str = "") -> Heading:
    if not cell.strip() and not group:
        return Heading("", "")
    if len(cell) > 60 or re.fullmatch(r"[\d\s./-]+", cell):
        return Heading("", cell)
    return read_heading(cell, group)


def _score(headings: tuple[Heading, ...], row: Row) -> int:
    """Count the known columns; a part list has a name and at least one of count, size or material."""
    roles = [h.role for h in headings if h.role]
    has_name = any(r in _NAMES for r in roles)
    has_more = any(r in (*_SIZES, "count", "material", "number") for r in roles)
    if len(set(roles)) == 2 and "name" in roles and not any(r in _SIZES for r in roles) and len(roles) < 2:
        return 0
    letters = sum(bool(re.search(r"\d{2,}", c)) for c in row.cells)
    return max(0, len(roles) * 2 - letters * 2) if has_name and has_more else 0


def _joined(row: Row, below: Row) -> tuple[Heading, ...] | None:
    """Put a row of groups ("Finished size" over T, W, L) and the row of headings below it together."""
    if any(re.search(r"\d", c) for c in below.cells if len(c) < 12) or not any(below.cells):
        return None
    known = sum(read_heading(c).role in (*_SIZES, "count", "name") for c in below.cells if c)
    if known < 2:
        return None
    out, group = [], ""
    for i in range(max(len(row.cells), len(below.cells))):
        over = row.cells[i] if i < len(row.cells) else ""
        under = below.cells[i] if i < len(below.cells) else ""
        group = over or (group if under else "")
        if under and over == under:
            out.append(_column(under))
        elif under:
            alone, both = _column(under), _column(under, group)
            keep = both if group and _is_group(group) else alone
            out.append(keep if keep.role else alone)
        else:
            out.append(_column(over))
    return tuple(out)


def _is_group(text: str) -> bool:
    return read_heading(text).role in ("size", "") or bool(
        re.search(r"rough|finish|size|dimension|rev|edition", plain(text))
    )


def _settle(headings: tuple[Heading, ...], rows: tuple[Row, ...]) -> tuple[Heading, ...]:
    """Settle headings that mean different things by what stands below and beside them."""
    sample = rows[:_SAMPLE]
    out = [
        structs.replace(h, role="notes") if h.role == "count" and _no_numbers(sample, i) else h
        for i, h in enumerate(headings)
    ]
    roles = [h.role for h in out]
    for i, heading in enumerate(out):
        if heading.role == "d":
            role = (
                "depth"
                if "height" in roles
                or ("width" in roles and "length" not in roles and "thickness" not in roles)
                else "diameter"
            )
            out[i] = structs.replace(heading, role=role)
        elif heading.role == "number":
            counted = "count" in roles or (_running(sample, i) and "ref" not in roles)
            out[i] = structs.replace(heading, role="ref" if counted or not _small(sample, i) else "count")
        elif heading.role == "inside":
            out[i] = structs.replace(heading, role="inside")
    return _one_name(out, sample)


def _one_name(out: list[Heading], sample: tuple[Row, ...]) -> tuple[Heading, ...]:
    """Keep one name column: the one with words in it, a plain name before "item"; codes become references, more words notes."""
    names = [i for i, h in enumerate(out) if h.role in _NAMES]
    texts = {i: _wordy(sample, i) for i in names}
    ranked = sorted(
        names,
        key=lambda i: (
            -round(texts[i], 1) if texts[i] < 0.5 else -1.0,
            out[i].role == "item",
            _rank(out[i].text),
            i,
        ),
    )
    for place, i in enumerate(ranked):
        if place == 0:
            out[i] = structs.replace(out[i], role="name")
        else:
            out[i] = structs.replace(out[i], role="notes" if texts[i] >= 0.5 else "ref")
    firsts: set[str] = set()
    for i, heading in enumerate(out):
        if heading.role in ("count", "ref", "sheet", "edition", "kind") and heading.role in firsts:
            out[i] = structs.replace(heading, role="ignore")
        firsts.add(heading.role)
    return tuple(out)


def _rank(text: str) -> int:
    clean = plain(text)
    return 0 if "name" in clean else 1 if clean.startswith(("part", "component", "piece")) else 2


def _wordy(rows: tuple[Row, ...], column: int) -> float:
    cells = _cells(rows, column)
    return sum(bool(re.search(r"[^\W\d_]{3,}", c)) for c in cells) / len(cells) if cells else 0.0


def _cells(rows: tuple[Row, ...], column: int) -> list[str]:
    return [row.cells[column] for row in rows if column < len(row.cells) and row.cells[column]]


def _no_numbers(rows: tuple[Row, ...], column: int) -> bool:
    """Tell whether a column holds words and no counts: "Cut" over "45° both ends"."""
    cells = _cells(rows, column)
    return any(" " in c for c in cells) and not any(_COUNT.match(c.lower()) for c in cells)


def _small(rows: tuple[Row, ...], column: int) -> bool:
    """Tell whether a column holds small whole numbers, as counts are; anything else under "No." is a reference."""
    cells = _cells(rows, column)
    found = [re.match(r"\d+", c) for c in cells]
    return all(m is None or int(m[0]) < _MANY for m in found) and any(found)


def _running(rows: tuple[Row, ...], column: int) -> bool:
    """Tell whether the column numbers the rows: every value once, rising."""
    cells = _cells(rows, column)
    numbers = [int(c) for c in cells if c.isdigit()]
    if len(numbers) < len(cells) or len(numbers) < 2:
        return bool(cells) and not any(c.isdigit() for c in cells)
    return all(a < b for a, b in pairwise(numbers))
