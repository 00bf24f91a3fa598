"""A part list from a file: find its table, settle the unit, read the rows."""

from __future__ import annotations

import re
import stat
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Final

from benchscribe.errors import PartListError
from benchscribe.partlist.called import with_derived_names
from benchscribe.partlist.columns import Table, find_table, split_tables
from benchscribe.partlist.grid import (
    LIMIT_BYTES,
    LIMIT_CELL,
    LIMIT_DIFFERENT,
    LIMIT_LONG_ROWS,
    LIMIT_ROWS,
    Grid,
    Row,
    decode,
    delimited,
    different,
    markdown,
    shortened,
)
from benchscribe.partlist.headings import words
from benchscribe.partlist.numbers import plain
from benchscribe.partlist.rows import build_parts, decimal_comma, other_numbers, set_up, size_numbers
from benchscribe.partlist.sizes import SIZE_ROLES
from benchscribe.partlist.typed import typed_lines
from benchscribe.partlist.unit_guess import Units, settle_units, weak
from benchscribe.records import CellNote, Part, PartList

_SHEETS: Final = frozenset({".xlsx", ".xlsm", ".xlsb", ".xls", ".ods"})
_TEXTS: Final = frozenset({".csv", ".tsv", ".tab", ".txt", ".md", ".markdown", ""})
_KINDS: Final = "CSV, XLSX, XLS, ODS, Markdown or PDF"


def read_part_list(
    path: Path,
    *,
    units: Units | None = None,
    other_names: Mapping[str, Sequence[str]] = {},
) -> PartList:
    """Read a part list.

    Sizes are exact and in the unit that the cell or the heading names, else in the list's unit. A size that is wanted and not given is
    there with the value None. What was not understood, or only in part, is named by row and column in `not_understood`.

    Args:
        path: CSV with any delimiter and encoding, XLSX, XLS, ODS, Markdown with a table, or a PDF with one.
        units: What a size without a unit means; inferred from the list where it is not given, and said in `units_why`.
        other_names: Further names by part name ("Carriage side": "cheek").

    Raises:
        PartListError: The file is missing, cannot be read, is far too large, or has no row of headings that name parts and their sizes.
    """
    tables, cut = _tables(path)
    main = max(tables, key=lambda t: (t.score, len(t.rows)))
    used = [t for t in tables if t is main or _goes_with(t, main)]
    notes = [_aside(t) for t in tables if not any(t is u for u in used)]
    notes += [_too_long(*c) for c in cut]
    comma = any(decimal_comma(t) for t in used)
    above = plain(" / ".join(t.above for t in used))
    found = [n for t in used for n in size_numbers(t, comma=comma)]
    headings = tuple(h for t in used for h in t.headings)
    beside = [n for t in used for n in other_numbers(t, comma=comma)]
    settled, why, sure = settle_units(units, above, headings, found, comma=comma, beside=beside)
    if not sure and any(n.unit is None for n in found) and weak(settled, why, found):
        notes.append(_no_unit(main, why))
    parts: list[Part] = []
    for table in used:
        more, remarks = build_parts(set_up(table, settled, comma=comma), other_names)
        parts += more if table is main else [p for p in more if p.name not in {q.name for q in parts}]
        notes += remarks
    if not parts:
        raise PartListError(
            "there are headings and no parts under them",
            where=f"{path}, row {main.heading_row}",
            todo="Write one part a row.",
        )
    parts = with_derived_names(parts)
    return PartList(
        file=path.name,
        parts=tuple(parts),
        units=settled,
        units_why=why,
        units_sure=sure,
        not_understood=(*notes, *_twice(parts, main)),
    )


def _tables(path: Path) -> tuple[list[Table], list[tuple[int, str, int]]]:
    """Give the tables of a file, and the cells that were cut short."""
    found = _grids(path)
    if any(len(grid.rows) > LIMIT_ROWS for grid in found):
        raise PartListError(
            f"this part list has more than {LIMIT_ROWS} rows; it is not read",
            where=str(path),
            todo="Keep only the table of parts.",
        )
    if any(len(grid.rows) > LIMIT_LONG_ROWS and different(grid) > LIMIT_DIFFERENT for grid in found):
        raise PartListError(
            f"this part list has more than {LIMIT_LONG_ROWS} rows with long notes, all different; it is not read",
            where=str(path),
            todo="Keep only the table of parts, or cut it into several lists.",
        )
    read = [shortened(grid) for grid in found]
    if read and read[0][0].delimiter and (best := _best([grid for grid, _ in read])):
        read = [r for r in read if r[0] is best]
    grids = [grid for grid, _ in read]
    cut = [c for _, long in read for c in long]
    tables = [t for t in map(find_table, grids) if t]
    tables = [part for table in _continued(grids, tables) for part in split_tables(table)]
    if tables:
        return tables, cut
    if (
        (head := _head(path))
        and _is_text(head, cells=False)
        and (typed := typed_lines(decode(path.read_bytes(), path)))
    ):
        return [t for t in [find_table(typed)] if t], []
    if not any(any(row.cells) for grid in grids for row in grid.rows):
        raise PartListError(
            "this part list is empty", where=str(path), todo="`benchscribe start` writes one with headings."
        )
    raise PartListError(
        "no row of headings was found in this part list",
        where=str(path),
        todo="Give the columns a heading row, such as: Part, Qty, T, W, L, Material, Notes.",
    )


def _grids(path: Path) -> list[Grid]:
    """Read the tables of a file by its kind: by how it begins, and where that says nothing by its name."""
    head = _head(path)
    suffix = path.suffix.lower()
    sheet = head.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0"))
    if suffix not in (*_SHEETS, *_TEXTS, ".pdf") and not head.startswith(b"%PDF"):
        raise PartListError(
            f"a part list of the kind {suffix!r} is not read", where=str(path), todo=f"Save it as {_KINDS}."
        )
    if head.startswith(b"%PDF") or (suffix == ".pdf" and not _is_text(head)):
        from benchscribe.partlist.pdf import read_pdf

        return read_pdf(path)
    if sheet or (suffix in _SHEETS and not _is_text(head)):
        from benchscribe.partlist.sheets import read_sheets

        return read_sheets(path)
    text = decode(path.read_bytes(), path)
    if re.match(r"\s*<(?:!doctype|html|\?xml|table|head|body)\b", text, re.IGNORECASE):
        raise PartListError(
            "this is a web page or XML, whatever its name says", where=str(path), todo=f"Save it as {_KINDS}."
        )
    if suffix in (".md", ".markdown"):
        return markdown(text) or delimited(text)
    return delimited(text) or [Grid(tuple(Row(1, (line,)) for line in text.split("\n")[:2]))]


def _head(path: Path) -> bytes:
    """Give the first bytes of a file that is there, is a file, and is of a size that can be read."""
    try:
        kind = path.stat()
        if stat.S_ISDIR(kind.st_mode):
            raise PartListError(
                "this is a folder and no part list", where=str(path), todo=f"Give the file itself: {_KINDS}."
            )
        if not stat.S_ISREG(kind.st_mode):
            raise PartListError(
                "this is no file that can be read", where=str(path), todo=f"Give a file: {_KINDS}."
            )
        with path.open("rb") as file:
            head = file.read(512)
    except OSError as error:
        raise PartListError(
            f"the part list cannot be read ({error.strerror})",
            where=str(path),
            todo="Check the name in `part_list` in build.toml.",
        ) from error
    if kind.st_size == 0:
        raise PartListError(
            "this part list is empty", where=str(path), todo="`benchscribe start` writes one with headings."
        )
    if kind.st_size > LIMIT_BYTES:
        raise PartListError(
            f"this part list is larger than {LIMIT_BYTES // 2**20} MB; it is not read",
            where=str(path),
            todo="Keep only the table of parts.",
        )
    return head


def _is_text(head: bytes, *, cells: bool = True) -> bool:
    """Tell text from anything else by its first bytes: a spreadsheet program's "export" is often text with another name."""
    return not re.search(rb"[\0-\x08\x0e-\x1f]", head) and (
        not cells or len(re.findall(rb"[,;\t|]", head)) > 1
    )


def _best(grids: list[Grid]) -> Grid | None:
    """Take the delimiter under which most columns are known."""
    scored = [(table.score, -i, grid) for i, grid in enumerate(grids) if (table := find_table(grid))]
    return max(scored, key=lambda s: s[:2])[2] if scored else None


def _continued(grids: list[Grid], tables: list[Table]) -> list[Table]:
    """Join tables that run on over a page break: the next page's table has as many columns and no headings of its own."""
    if not tables or len(grids) == len(tables):
        return tables
    by_grid = {id(t.grid): t for t in tables}
    out: list[Table] = []
    for grid in grids:
        table = by_grid.get(id(grid))
        if table:
            out.append(table)
        elif (
            out
            and grid.label.startswith("page")
            and grid.rows
            and len(grid.rows[0].cells) == len(out[-1].headings)
        ):
            last = out[-1]
            out[-1] = Table(
                last.headings, (*last.rows, *grid.rows), last.heading_row, last.above, last.grid, last.score
            )
    return out


def _goes_with(table: Table, main: Table) -> bool:
    """Tell whether another sheet or page belongs to the list: it names parts and their count or size as the main one does."""
    roles = {h.role for h in table.headings}
    wanted = {"count", "size", "thickness", "width", "length", "diameter"}
    of_features = {w for known in words()["features"].values() for w in known}
    naming = next((plain(h.text) for h in table.headings if h.role == "name"), "")
    if naming in of_features or any(re.search(rf"\b{w}\b", plain(table.above)) for w in of_features):
        return False
    return "name" in roles and bool(roles & wanted) and table.score * 2 >= main.score


def _too_long(row: int, text: str, length: int) -> CellNote:
    why = f"this cell holds {length} signs; only the first {LIMIT_CELL} were read"
    return CellNote(row=row, column="", text=text, note=why)


def _no_unit(main: Table, why: str) -> CellNote:
    column = next((h.text for h in main.headings if h.role in SIZE_ROLES), "")
    todo = "" if "build.toml" in why else "; `units` in build.toml settles it"
    return CellNote(
        row=main.heading_row, column=column, text=column, note=f"no unit is written here: {why}{todo}"
    )


def _aside(table: Table) -> CellNote:
    column = next((h.text for h in table.headings if h.text), "")
    return CellNote(
        row=table.heading_row,
        column=column,
        text=table.above or column,
        note=f"another table begins here; its {len([r for r in table.rows if any(r.cells)])} rows are not taken for parts",
    )


def _twice(parts: list[Part], main: Table) -> list[CellNote]:
    column = next((h.text for h in main.headings if h.role == "name"), "")
    first: dict[str, int] = {}
    out = []
    for part in parts:
        row = first.setdefault(plain(part.name), part.row)
        if row != part.row and not part.hardware:
            out.append(
                CellNote(
                    row=part.row, column=column, text=part.name, note=f"the same name stands in row {row} too"
                )
            )
    return out
