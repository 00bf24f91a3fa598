"""Find the heading row of a table and settle what each column holds."""

from __future__ import annotations

import re
from itertools import zip_longest
from typing import Final

from msgspec import Struct, structs

from benchscribe.partlist.chain import form
from benchscribe.partlist.counts import read_count
from benchscribe.partlist.grid import Grid, Row
from benchscribe.partlist.guess import (
    apart,
    column,
    counts_share,
    guess,
    leads_share,
    row_of_units,
    running,
    sizes_share,
    small,
    wordy,
)
from benchscribe.partlist.headings import (
    DIMENSIONS,
    Heading,
    is_finished,
    own_words,
    read_heading,
    unit_named,
    words,
)
from benchscribe.partlist.numbers import plain

_LOOK: Final = 250
"""Rows that are searched for headings."""
_SAMPLE: Final = 200
"""Rows from which it is told what a column holds."""
_MOSTLY: Final = 0.8
"""Share of a column's cells that have a word in them where it holds names."""
_NAMES: Final = ("name", "item")
_SIZES: Final = (*DIMENSIONS, "size", "d", "inside", "moulding")


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
    if rows and row_of_units(rows[0]):
        headings = tuple(
            structs.replace(h, unit=unit_named(c) or h.unit) if c else h
            for h, c in zip_longest(headings, rows[0].cells[: len(headings)], fillvalue="")
            if isinstance(h, Heading)
        )
        rows = rows[1:]
    above = " / ".join(
        [
            *grid.comments,
            *(" ".join(c for c in row.cells if c) for row in grid.rows[:index] if any(row.cells)),
        ]
    )
    return Table(_settle(headings, rows), rows, grid.rows[index].number, above, grid, score)


def split_tables(table: Table) -> list[Table]:
    """Cut a table where another one begins below it: after a blank row or a title, a row of other headings."""
    before: Row | None = None
    for index, row in enumerate(table.rows):
        lone = before is not None and sum(map(bool, before.cells)) <= 1
        if (
            lone
            and index > 0
            and sum(map(bool, row.cells)) > 2
            and not any(re.search(r"\d", c) for c in row.cells)
        ):
            rest = Grid(table.rows[index:], table.grid.label, table.grid.delimiter, table.grid.dates)
            known = {plain(h.text) for h in table.headings if h.text}
            texts = {plain(c) for c in row.cells if c}
            second = find_table(rest) if not texts <= known else None
            if second and second.heading_row == row.number:
                title = next((c for c in before.cells if c), "") if before else ""
                mine = table.rows[: index - bool(title)]
                return [
                    structs.replace(table, rows=mine),
                    *split_tables(structs.replace(second, above=title)),
                ]
        before = row
    return [table]


def _named(headings: tuple[Heading, ...], below: tuple[Row, ...]) -> tuple[Heading, ...]:
    """Take the column that tells the rows apart in words for the names, where no heading says which it is ("Mark, Timber, Count, Section").

    Only beside sizes and a count, or beside several sizes, so that a table of something else does not become a part list.
    """
    roles = [h.role for h in headings]
    if "count" in roles and not {*roles} & {*_SIZES, *_NAMES}:
        roles = [h.role for h in guess(list(headings), below)]
    sizes = sum(r in _SIZES for r in roles)
    if {*roles} & {*_NAMES} or not sizes or ("count" not in roles and sizes < 2):
        return headings
    for least in (_MOSTLY, 0.0):
        for i, heading in enumerate(headings):
            free = (
                heading.role in ("", "material", "kind", "ref", "size", "notes", "sheet")
                and heading.text.strip()
            )
            if free and apart(below, i) and (wordy(below, i) > least or (not least and i == 0)):
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
    if re.search(r"\d", text) or len(read_heading(text).qualifier.split()) > 1:
        return False  # a title, or a remark over the whole table
    return read_heading(text).role in ("size", "") or bool(
        re.search(r"rough|finish|size|dimension|rev|edition", plain(text))
    )


def _settle(headings: tuple[Heading, ...], rows: tuple[Row, ...]) -> tuple[Heading, ...]:
    """Settle headings that mean different things by what stands below and beside them."""
    sample = rows[:_SAMPLE]
    out = [
        structs.replace(h, role="length" if _measured(sample, i) else "notes")
        if h.role == "count" and _no_numbers(sample, i)
        else h
        for i, h in enumerate(headings)
    ]
    axes = [re.sub(r"\W*\(.*", "", plain(h.text)) for h in out]
    for i, heading in enumerate(out):
        if heading.role in ("count", "width") and axes[i] in ("x", "b") and {"y", "c"} & {*axes}:
            out[i] = structs.replace(heading, role="")  # where a hole stands, or a leg of a bent bar
    out = [
        structs.replace(h, role="length")  # "Cut" over 24 1/8
        if h.role == "count" and "off" not in plain(h.text) and _measured(sample, i)
        else h
        for i, h in enumerate(out)
    ]
    out = [_by_its_cells(h, i, out, sample) for i, h in enumerate(out)]
    roles = [h.role for h in out]
    for i, heading in enumerate(out):
        role = _settled(heading, i, frozenset(roles), sample)
        if role == "material" and roles.count("material") > 1 and sizes_share(sample, i) > _MOSTLY:
            out[i] = structs.replace(heading, role="size", rough=True)  # "Stock (in)" beside "Material"
        elif role != heading.role:
            out[i] = structs.replace(heading, role=role)
    return _told_apart(guess(list(_one_name(out, sample)), sample))


def _by_its_cells(heading: Heading, i: int, every: list[Heading], sample: tuple[Row, ...]) -> Heading:
    """Settle a heading that says less than its cells: a count called "Pieces" or "Total", a finished size called "Finished", an edge in cm."""
    roles = [h.role for h in every]
    clean = plain(heading.text).strip(" .:")
    counted = "count" in roles or "number" in roles
    named = any(r in _NAMES and wordy(sample, k) > _MOSTLY for k, r in enumerate(roles) if k != i)
    if (
        not counted
        and named
        and (heading.role in _NAMES or clean == "total")
        and counts_share(sample, i) > _MOSTLY
    ):
        return structs.replace(heading, role="count")
    if heading.role in ("", "notes") and is_finished(clean) and leads_share(sample, i) > _MOSTLY:
        return structs.replace(heading, role="size", finished=True)
    if heading.role == "notes" and heading.unit and _numeric(sample, i):
        return structs.replace(heading, role="", qualifier=clean)
    return heading


def _settled(heading: Heading, i: int, roles: frozenset[str], sample: tuple[Row, ...]) -> str:
    """Give the role of a heading that has several, by the other headings and by what stands below."""
    role = heading.role
    if role == "d":
        tall = "height" in roles or ("width" in roles and not roles & {"length", "thickness"})
        return "depth" if tall else "diameter"
    if role == "number":
        counted = "count" in roles or (running(sample, i) and "ref" not in roles)
        return "ref" if counted or not small(sample, i) else "count"
    if role == "moulding" and wordy(sample, i) <= _MOSTLY / 2:
        return "width"
    if role == "material" and heading.unit and _numeric(sample, i):
        return "thickness"  # "Leather mm" over 2.5, 3.0
    if "material" not in roles:
        profile = role == "notes" and "profile" in plain(heading.text) and _formed(sample, i)
        if profile or role == "moulding" or (role == "sheet" and _stock(sample, i)):
            return "material"
    return "notes" if role == "moulding" else role


def _measured(rows: tuple[Row, ...], index: int) -> bool:
    """Tell whether a column of counts holds sizes: half of its cells are fractions, decimals or numbers with a unit."""
    cells = [plain(c) for c in column(rows, index)]
    return 2 * sum(
        bool(re.match(r"\d*\s*\d+/\d|\d*\.\d*[1-9]|\d+\.\d{2}|\d+\s*(?:[\"']|(?:mm|cm|m|in|ft)\b)", c))
        for c in cells
    ) > len(cells)


def _numeric(rows: tuple[Row, ...], index: int) -> bool:
    cells = column(rows, index)
    return 2 * sum(bool(re.fullmatch(r"[\d.,/ -]+", c)) for c in cells) > len(cells)


def _formed(rows: tuple[Row, ...], index: int) -> bool:
    """Tell whether a column names stock by its form: flat, tube, plate, T-slot."""
    cells = [plain(c) for c in column(rows, index)]
    return 2 * sum(
        bool(form(c) or re.search(r"\b[tv]-?slot\b|\bprofile\b|\bsection\b", c)) for c in cells
    ) >= len(cells)


def _stock(rows: tuple[Row, ...], index: int) -> bool:
    """Tell a column of sheet goods ("3 mm clear") from one of drawing sheets ("2", "A3")."""
    cells = column(rows, index)
    return sum(bool(re.search(r"[a-z]{2}", c)) for c in cells) > _MOSTLY * len(cells) and len(
        set(cells)
    ) < len(cells)


def _told_apart(headings: list[Heading]) -> tuple[Heading, ...]:
    """Keep columns of one dimension apart: "top width" and "bottom width" are sizes of two places, "sight" and "outside" of two faces.

    Where all sizes are of the blank, the blank is the part (a flat pattern in sheet metal).
    """
    main = (*DIMENSIONS[1:6], "size")
    if not any(h.role in main and not h.rough for h in headings):
        headings = [structs.replace(h, rough=False) for h in headings]
    done = {h.role for h in headings if h.finished}
    sized = (*main, "thickness")
    headings = [
        structs.replace(h, rough=True)
        if h.role in sized and not h.finished and (h.role in done or ("size" in done and _cut_first(h)))
        else h
        for h in headings
    ]
    features = {w: name for name, known in words()["features"].items() for w in known}
    out = []
    for heading in headings:
        same = [
            h
            for h in headings
            if h.role == heading.role and h.rough == heading.rough and h.edition == heading.edition
        ]
        word = heading.qualifier
        if heading.role not in _SIZES or not word or word in own_words():
            out.append(heading)
        elif len(same) > 1 or word in features or heading.role == "size":
            out.append(structs.replace(heading, feature=features.get(word, word if len(same) > 1 else "")))
        else:
            out.append(heading)
    return tuple(out)


def _cut_first(heading: Heading) -> bool:
    """Tell a size that a piece is cut to before it is made ("Cut length" beside "Finished")."""
    return bool(re.match(r"(?:cut|cutting|start(?:ing)?)\b", plain(heading.text)))


def _one_name(out: list[Heading], sample: tuple[Row, ...]) -> tuple[Heading, ...]:
    """Keep one name column: the one with words in it, a plain name before "item"; codes become references, more words notes."""
    names = [i for i, h in enumerate(out) if h.role in _NAMES]
    texts = {i: wordy(sample, i) for i in names}
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


def _no_numbers(rows: tuple[Row, ...], index: int) -> bool:
    """Tell whether a column holds words and no counts: "Cut" over "45° both ends"."""
    cells = column(rows, index)
    counts = sum(bool(read_count(c)[0]) and not read_count(c)[1] for c in cells)
    return any(" " in c for c in cells) and 2 * counts < len(cells)


def cell_of(table: Table, cells: tuple[str, ...], role: str) -> str:
    """Give a row's first filled cell of a role; empty where there is none."""
    return next((c for h, c in zip(table.headings, cells, strict=False) if h.role == role and c), "")


def cells_of(table: Table, cells: tuple[str, ...], role: str) -> list[str]:
    """Give all filled cells of a role in a row."""
    return [c for h, c in zip(table.headings, cells, strict=False) if h.role == role and c]
