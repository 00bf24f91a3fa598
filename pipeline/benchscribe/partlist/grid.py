"""A table as rows of text, whatever file it came from, and the readers of text files and Markdown."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct, structs

from benchscribe.errors import PartListError

LIMIT_CELL: Final = 500
"""Signs of a cell that are read; no size, name or note of a part list is longer."""
LIMIT_COLUMNS: Final = 200
LIMIT_ROWS: Final = 150_000
LIMIT_LONG_ROWS: Final = 20_000
"""Rows that are read whatever stands in them; of more rows, `LIMIT_DIFFERENT` signs."""
LIMIT_DIFFERENT: Final = 5_000_000
"""Signs of cells that differ, in a list of very many rows: what is read in some 25 s (5 microseconds a sign were measured)."""
_UNSEEN: Final = re.compile(r"[\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\0]")
"""Signs that nobody sees: joiners, marks of direction, byte order marks in the middle of a text."""
LIMIT_BYTES: Final = 64 * 1024 * 1024
_LOOK: Final = 250
"""Lines from the top in which a comment may say the unit."""
_PICTURES: Final = (
    (b"\x89PNG", "PNG"),
    (b"\xff\xd8\xff", "JPEG"),
    (b"GIF8", "GIF"),
    (b"II*\0", "TIFF"),
    (b"MM\0*", "TIFF"),
)
DELIMITERS: Final = (",", ";", "\t", "|", ":")


class Row(Struct, frozen=True, array_like=True):
    """One row: its number in the file, counting from 1, and its cells as text."""

    number: int
    cells: tuple[str, ...]


class Grid(Struct, frozen=True):
    """One table."""

    rows: tuple[Row, ...]
    label: str = ""
    """Sheet or page; empty where the file holds one table."""
    delimiter: str = ""
    """Of a delimited text."""
    dates: tuple[tuple[int, int], ...] = ()
    """Row number and column of cells that a spreadsheet keeps as a date."""
    comments: tuple[str, ...] = ()
    """Lines that are no rows, as they stand ("# all sizes in mm")."""


def different(grid: Grid) -> int:
    """Count the signs of all cells that differ: a cell that comes again costs nothing to read."""
    return sum(min(len(c), LIMIT_CELL) for c in {c for row in grid.rows for c in row.cells})


def shortened(grid: Grid) -> tuple[Grid, tuple[tuple[int, str, int], ...]]:
    """Cut cells that are far too long for a part list, and rows of far too many cells, so that no cell can take minutes to read.

    Returns:
        The grid, and of each cell that was cut: its row, its beginning, and how many signs it had.
    """
    if any((not c.isascii() and _UNSEEN.search(c)) or "\0" in c for row in grid.rows for c in row.cells):
        seen = tuple(Row(row.number, tuple(_UNSEEN.sub("", c) for c in row.cells)) for row in grid.rows)
        grid = structs.replace(grid, rows=seen)
    long = [(row.number, c[:40], len(c)) for row in grid.rows for c in row.cells if len(c) > LIMIT_CELL]
    if not long and all(len(row.cells) <= LIMIT_COLUMNS for row in grid.rows):
        return grid, ()
    rows = tuple(
        Row(row.number, tuple(c[:LIMIT_CELL] for c in row.cells[:LIMIT_COLUMNS])) for row in grid.rows
    )
    return structs.replace(grid, rows=rows), tuple(long)


def decode(data: bytes, path: Path) -> str:
    """Turn the bytes of a text file into text: UTF-8, UTF-16, else Windows Latin.

    Raises:
        PartListError: The bytes are no text.
    """
    if data[:3] == b"\xef\xbb\xbf":
        return data[3:].decode("utf-8", errors="replace")
    if data[:4] in (b"\xff\xfe\0\0", b"\0\0\xfe\xff"):
        return data[: len(data) // 4 * 4].decode("utf-32", errors="replace")
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data[: len(data) // 2 * 2].decode("utf-16", errors="replace")
    if picture := next((kind for start, kind in _PICTURES if data.startswith(start)), ""):
        raise PartListError(
            f"this is a picture ({picture}), and no text",
            where=str(path),
            todo="Type the part list into a CSV file; `benchscribe start` writes an empty one.",
        )
    if b"\0" in data[:4096]:
        even, odd = data[0:4096:2].count(0), data[1:4096:2].count(0)
        if max(even, odd) > 0.3 * min(len(data), 4096) / 2:
            return data.decode("utf-16-be" if even > odd else "utf-16-le", errors="replace")
        raise PartListError(
            "this is no text file",
            where=str(path),
            todo="Save the part list as CSV, XLSX, ODS, Markdown or PDF.",
        )
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def delimited(text: str) -> list[Grid]:
    """Read a text with each of the usual delimiters; the caller takes the one whose headings are known."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    hint = re.match(r"sep=(.)\n", text)
    grids = [_csv(text, delimiter) for delimiter in ([hint[1]] if hint else DELIMITERS) if delimiter in text]
    if not grids or not hint:
        spaced = [line for line in text.split("\n") if re.search(r"\S {2,}\S", line)]
        if len(spaced) > 2:
            grids.append(_by_position(text.split("\n")))
    return grids


def _by_position(lines: list[str]) -> Grid:
    """Read a table whose columns are kept apart by spaces: a word group belongs to the column that it stands under, so blanks stay blank.

    The columns are where the dashes under the headings are, else where the line with most word groups has them.
    """
    groups = [[(m.start(), m.end(), m[0]) for m in re.finditer(r"\S+(?: \S+)*", line)] for line in lines]
    ruled = next(
        (g for g in groups if len(g) > 1 and all(re.fullmatch(r"[-=+_ ]{2,}", t) for _, _, t in g)), None
    )
    frame = [(a, b) for a, b, _ in (ruled or max(groups, key=len, default=[]))]
    rows = []
    for number, group in enumerate(groups, 1):
        cells = [""] * len(frame)
        for start, end, word in group:
            best = max(
                range(len(frame)),
                key=lambda i: (min(end, frame[i][1]) - max(start, frame[i][0]), -abs(start - frame[i][0])),
            )
            cells[best] = f"{cells[best]}  {word}".strip()
        if not all(re.fullmatch(r"[-=+_ ]*", c) for c in cells) or not any(cells):
            rows.append(Row(number, tuple(cells)))
    return Grid(tuple(rows))


def _csv(text: str, delimiter: str) -> Grid:
    rows: list[Row] = []
    lines = text.split("\n")
    reader = csv.reader((line + "\n" for line in lines), delimiter=delimiter, skipinitialspace=True)
    first, odd = 1, False
    try:
        for cells in reader:
            if reader.line_num - first > 40:
                # A quotation mark that is an inch mark has swallowed lines: read the text line by line, quotes as they are.
                return _loose(lines, delimiter)
            odd = odd or any("\n" in c and not c.strip() for c in cells)
            rows.append(Row(first, tuple(c.strip() for c in cells)))
            first = reader.line_num + 1
    except csv.Error:
        return _loose(lines, delimiter)
    if odd or any(("\n" in c and delimiter in c) or c == delimiter for row in rows for c in row.cells):
        other = _loose(lines, delimiter)
        if odd or _even(other.rows) > _even(rows) or _even(other.rows) == 1:
            return other
    return _without_comments(rows, delimiter)


def _without_comments(rows: Sequence[Row], delimiter: str) -> Grid:
    said = tuple(" ".join(c for c in row.cells if c) for row in rows[:_LOOK] if comment(row))
    return Grid(tuple(row for row in rows if not comment(row)), delimiter=delimiter, comments=said)


def _even(rows: Sequence[Row]) -> float:
    """Give the share of rows that have the usual number of cells."""
    widths = [len(row.cells) for row in rows if any(row.cells)]
    return max(widths.count(w) for w in set(widths)) / len(widths) if widths else 0.0


def _loose(lines: list[str], delimiter: str) -> Grid:
    """Split every line at its delimiters outside of well-formed quotes; a lone quotation mark is an inch mark."""
    cell = re.compile(
        rf'\s*(?:"((?:[^"]|"")*)"(?=\s*(?:{re.escape(delimiter)}|$))|([^{re.escape(delimiter)}]*))(?:{re.escape(delimiter)}|$)'
    )
    rows = []
    for number, line in enumerate(lines, 1):
        cells, at = [], 0
        while at < len(line):
            match = cell.match(line, at)
            if match is None or match.end() == at:
                break
            cells.append((match[1].replace('""', '"') if match[1] is not None else match[2]).strip())
            at = match.end()
        if line.endswith(delimiter):
            cells.append("")
        rows.append(Row(number, tuple(re.sub(r'^"(?=[^\W\d])(?=[^"]*$)', "", c) for c in cells)))
    return _without_comments(rows, delimiter)


def comment(row: Row) -> bool:
    """Tell whether the row is a comment: its first cell starts with a comment sign, or all is blank."""
    first = row.cells[0] if row.cells else ""
    return first.startswith(("//", "/*", "--- ", "%")) or (
        first.startswith("#") and not re.match(r"#(?:\d|$)", first)
    )


def markdown(text: str) -> list[Grid]:
    """Read every pipe table of a Markdown text."""
    grids: list[Grid] = []
    rows: list[Row] = []
    for number, line in enumerate([*text.splitlines(), ""], 1):
        if "|" in line and not line.lstrip().startswith(("```", ">>>")):
            cells = _markdown_cells(line)
            if not all(re.fullmatch(r":?-+:?", c) for c in cells if c):
                rows.append(Row(number, cells))
            continue
        if rows:
            grids.append(Grid(tuple(rows)))
            rows = []
    return grids


def _markdown_cells(line: str) -> tuple[str, ...]:
    line = re.sub(r"^\s*(?:>\s*)?\|", "", line.rstrip())
    line = re.sub(r"(?<!\\)\|\s*$", "", line)
    cells = re.split(r"(?<!\\)\|", line)
    return tuple(_unmarked(c) for c in cells)


def _unmarked(cell: str) -> str:
    cell = cell.replace("\\|", "|").strip()
    cell = re.sub(r"<br\s*/?>", " ", cell)
    cell = re.sub(r"\[([^\]]+)\]\([^)]*\)", r"\1", cell)
    struck = re.sub(r"~~.*?~~", "", cell)
    cell = struck if struck.strip() else cell
    cell = re.sub(r"(\*\*|__|`|~~)(.*?)\1", r"\2", cell)
    cell = re.sub(r"(?<!\w)\*(\S[^*]*)\*(?!\w)", r"\1", cell)
    return cell.replace("&nbsp;", " ").replace("&quot;", '"').replace("&amp;", "&").strip()
