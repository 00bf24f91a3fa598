"""Rows of a table to parts."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Final

from msgspec import structs

from benchscribe.partlist import chain, naming
from benchscribe.partlist.cells import EIGHTHS, read_cell, sawn_full
from benchscribe.partlist.columns import Table, cell_of, cells_of
from benchscribe.partlist.counts import read_count
from benchscribe.partlist.ditto import Memory, filled_in
from benchscribe.partlist.grid import Row
from benchscribe.partlist.guess import MARK, lettered
from benchscribe.partlist.headings import read_heading, words
from benchscribe.partlist.numbers import Number, numbers, plain
from benchscribe.partlist.reading import Reading, Told
from benchscribe.partlist.sizes import SIZE_ROLES, size_cells, sizes_of_row
from benchscribe.partlist.unit_guess import Units
from benchscribe.records import CellNote, Part

_SIZES_OF_MADE: Final = 2


def decimal_comma(table: Table) -> bool:
    """Tell whether commas in the sizes are decimal commas: "2,5" or "12,75" stands somewhere and no "1.5" does."""
    cells = [c for row in table.rows[:2000] for c in size_cells(table, row)]
    commas = sum(bool(re.search(r"\d,\d{1,2}(?!\d)", c)) for c in cells)
    points = sum(bool(re.search(r"\d\.\d", c)) for c in cells)
    return commas > points


def size_numbers(table: Table, *, comma: bool) -> Iterator[Number]:
    """Give every number in the size columns (for settling the unit); a column whose heading names a unit does not count."""
    for row in table.rows[:5000]:
        for heading, text in zip(table.headings, row.cells, strict=False):
            if EIGHTHS.fullmatch(plain(text)) or heading.eighths:
                yield Number(Fraction(1), "inch", 0, 0, "")
            elif heading.role in SIZE_ROLES and heading.role != "angle" and not heading.unit:
                yield from numbers(re.sub(r"\([^)]*\)", " ", plain(text, comma=comma)))


def other_numbers(table: Table, *, comma: bool) -> Iterator[Number]:
    """Give every number with a unit in the title, the names and the notes (for settling the unit); stock is often called in another one."""
    yield from numbers(plain(table.above, comma=comma))
    for row in table.rows[:500]:
        for heading, text in zip(table.headings, row.cells, strict=False):
            if heading.role in ("name", "notes") and re.search(r"\d", text):
                yield from numbers(plain(text, comma=comma))


def set_up(table: Table, units: Units, *, comma: bool) -> Reading:
    """Settle in which order three sizes in one cell stand."""
    full = sawn_full(c for row in table.rows[:500] for c in size_cells(table, row))
    cells = [
        read_cell(text, comma=comma, full=full)
        for row in table.rows[:5000]
        for heading, text in zip(table.headings, row.cells, strict=False)
        if heading.role == "size" and not heading.order and text
    ]
    return Reading(table, units, comma, chain.usual_order(cells), full, _sparse(table), _lettered(table))


def _lettered(table: Table) -> bool:
    if any(h.role == "ref" for h in table.headings):
        return False
    return lettered(
        [cell_of(table, r.cells, "name") for r in table.rows[:5000] if cell_of(table, r.cells, "name")]
    )


def _sparse(table: Table) -> frozenset[str]:
    """Give the size columns that most rows leave blank: they are not for every part, and a blank there is no missing size."""
    rows = [r.cells for r in table.rows[:5000] if sum(map(bool, r.cells)) > 2]
    out = set()
    for i, heading in enumerate(table.headings):
        filled = sum(bool(cells[i]) for cells in rows if i < len(cells))
        if (
            heading.role in SIZE_ROLES
            and sum(h.role in SIZE_ROLES for h in table.headings) > 1
            and 2 * filled < len(rows)
        ):
            out.add(heading.text)
    return frozenset(out)


def build_parts(
    reading: Reading, other_names: Mapping[str, Sequence[str]]
) -> tuple[list[Part], list[CellNote]]:
    """Read every row below the headings.

    Args:
        reading: The table, and how its cells are read.
        other_names: Further names by part name, from the build.
    """
    parts: list[Part] = []
    notes: list[CellNote] = [
        CellNote(row=reading.table.heading_row, column=h.text, text=h.text, note="this column is not used")
        for h in reading.table.headings
        if h.text.strip() and h.role in ("", "was")
    ] + [
        CellNote(
            row=reading.table.heading_row,
            column=h.text,
            text=h.text,
            note="taken for sizes; what they are of is not known",
        )
        for h in reading.table.headings
        if h.role == "size"
        and h.feature
        and h.feature not in words()["features"]
        and read_heading(h.text).role not in SIZE_ROLES
    ]
    extra = {plain(name): tuple(names) for name, names in other_names.items()}
    memory = Memory(defaultdict(str), {})
    bought = False
    for row in reading.table.rows:
        cells = _fitted(reading.table, row)
        kind = _row_kind(reading.table, cells)
        if kind == "part":
            part = _part(reading, Row(row.number, cells), notes, memory, bought=bought, extra=extra)
            parts.append(part)
            memory.remember(part, cells)
        elif kind == "section":
            text = cell_of(reading.table, cells, "name") or next(c for c in cells if c)
            bought = naming.is_hardware_section(text)
            notes.append(
                CellNote(
                    row=row.number,
                    column=_name_column(reading.table)
                    if cell_of(reading.table, cells, "name")
                    else _first_column(reading.table, cells),
                    text=text,
                    note="taken as a heading over the rows below it",
                )
            )
        elif kind == "nameless":
            notes.append(
                CellNote(
                    row=row.number,
                    column=_name_column(reading.table),
                    text=" ".join(c for c in cells if c),
                    note="a row without a name was passed over",
                )
            )
    return parts, notes


def _fitted(table: Table, row: Row) -> tuple[str, ...]:
    """Give a row as many cells as there are headings; what runs over (a comma in unquoted notes) joins the last column."""
    width = len(table.headings)
    cells = row.cells
    if len(cells) > width and any(cells[width:]):
        last = max((i for i, h in enumerate(table.headings) if h.text), default=width - 1)
        cells = (*cells[:last], ", ".join(c for c in cells[last:] if c))
    return (*cells[:width], *([""] * (width - len(cells))))


def _row_kind(table: Table, cells: tuple[str, ...]) -> str:
    filled = [i for i, c in enumerate(cells) if c]
    if not filled:
        return "blank"
    name = cell_of(table, cells, "name")
    if naming.is_total(name or cells[filled[0]]):
        return "blank"
    if cells[filled[0]] == table.headings[filled[0]].text and [plain(c) for c in cells] == [
        plain(h.text) for h in table.headings
    ]:
        return "blank"
    if (
        name
        and naming.is_assembly(name)
        and not any(re.search(r"\d", c) for c in size_cells(table, Row(0, cells)))
    ):
        return "section"
    same = len({cells[i] for i in filled}) == 1
    if (len(filled) == 1 or (same and len(filled) > 2)) and (
        _shouted(cells[filled[0]])
        or not name
        or naming.is_hardware_section(cells[filled[0]])
        or (same and len(filled) > 2)
    ):
        return "section"
    return "part" if name else "nameless"


def _shouted(text: str) -> bool:
    return (
        text.endswith(":")
        or (text.upper() == text and bool(re.search(r"[A-Z]{3}", text)))
        or text.startswith(("---", "==", "**"))
    )


def _name_column(table: Table) -> str:
    return next((h.text for h in table.headings if h.role == "name"), "name")


def _first_column(table: Table, cells: tuple[str, ...]) -> str:
    return next((h.text for h, c in zip(table.headings, cells, strict=False) if c), "") or _name_column(table)


def _part(
    reading: Reading,
    row: Row,
    notes: list[CellNote],
    memory: Memory,
    *,
    bought: bool,
    extra: Mapping[str, tuple[str, ...]],
) -> Part:
    table = reading.table
    name, aliases, ref, count = _names(reading, row, notes)
    texts = filled_in(reading, row, name, memory, notes)
    material = cell_of(table, texts, "material")
    remarks = "; ".join(cells_of(table, texts, "notes"))
    hardware = (
        bought
        or (naming.is_hardware(name) and not _made(table, texts, name))
        or any(naming.is_hardware_section(k) for k in [*cells_of(table, texts, "kind"), material])
    )
    about = plain(f"{name} {material}")
    listed = sizes_of_row(
        reading,
        Row(row.number, texts),
        Told(plain(name), about, material, _spoken(table, texts), hardware),
        notes,
    )
    edition = cell_of(table, texts, "edition")
    if edition:
        listed = [entry if entry.edition else structs.replace(entry, edition=edition) for entry in listed]
    return Part(
        name=name,
        row=row.number,
        other_names=tuple(dict.fromkeys((*aliases, *extra.get(plain(name), ())))),
        count=count,
        listed=tuple(listed),
        material=material,
        sheet=cell_of(table, texts, "sheet"),
        notes=remarks,
        ref=ref,
        hardware=hardware,
    )


def _spoken(table: Table, cells: tuple[str, ...]) -> str:
    """Give the notes as they are read: a column called "Holes" says of what its sizes are."""
    features = {w for known in words()["features"].values() for w in known}
    out = []
    for heading, text in zip(table.headings, cells, strict=False):
        if heading.role == "notes" and text:
            of = heading.qualifier or plain(heading.text).strip(" .:")
            of = of if of in features and re.match(r"\W*(?:to\s+)?\d", text) else ""
            out.append(f"{of} {text}".strip())
    return "; ".join(out)


def _made(table: Table, cells: tuple[str, ...], name: str) -> bool:
    """Tell whether a row that may be bought or made is made: "Bracket" with two sizes and a material is cut from it."""
    sizes = sum(bool(re.search(r"\d", c)) for c in size_cells(table, Row(0, cells)))
    sizes += bool(re.match(r"[\d.,/ ]+(?:mm|in\b|\")", cell_of(table, cells, "material")))
    if sizes > _SIZES_OF_MADE and cell_of(table, cells, "material"):
        return True  # a nut of bone with thickness, width and length
    return naming.may_be_made(name) and sizes >= _SIZES_OF_MADE and bool(cell_of(table, cells, "material"))


def _names(reading: Reading, row: Row, notes: list[CellNote]) -> tuple[str, tuple[str, ...], str, int | None]:
    """Give name, other names, reference and count of a row."""
    table = reading.table
    name = " ".join(cell_of(table, row.cells, "name").split())
    ref = cell_of(table, row.cells, "ref")
    if not ref:
        name, ref = naming.take_reference(name)
    if reading.lettered and not ref:
        mark = MARK.match(name)
        ref, name = (mark[1], name[mark.end() :]) if mark else (ref, name)
    name, aliases = naming.take_aliases(name)
    for text in cells_of(table, row.cells, "other_names"):
        aliases += naming.split_names(text)
    count = None
    has_count = any(h.role == "count" for h in table.headings)
    for heading, text in zip(table.headings, row.cells, strict=False):
        if heading.role == "count" and text:
            count, note = read_count(text)
            if note:
                notes.append(CellNote(row=row.number, column=heading.text, text=text, note=note))
    if re.fullmatch(r"[\d.]+|[A-Z]", name) and (noun := _singular_heading(table)):
        name = f"{noun} {name}"
    if not has_count:
        name, count = naming.take_count(name)
    return name, aliases, ref, count


def _singular_heading(table: Table) -> str:
    """Give the noun that numbers stand under ("String" over 1, 2, 3): the parts are "String 1", "String 2"."""
    text = next((h.text for h in table.headings if h.role == "name"), "")
    return (
        text.rstrip(".:#").capitalize()
        if re.fullmatch(r"[A-Za-z]{4,}", text) and read_heading(text).role not in ("name", "item")
        else ""
    )
