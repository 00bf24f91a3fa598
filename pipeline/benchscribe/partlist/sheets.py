"""Part lists in spreadsheets: XLSX, XLS and ODS, by python-calamine; formulas come as the values the program last worked out."""

from __future__ import annotations

import datetime as dt
import zipfile
import zlib
from pathlib import Path
from typing import Final

from benchscribe.errors import PartListError
from benchscribe.partlist.extent import Extent
from benchscribe.partlist.grid import Grid, Row

LIMIT_UNPACKED: Final = 400 * 1024 * 1024
"""Bytes that a spreadsheet may hold once unpacked; 100,000 rows of a part list are about 60 MB."""
LIMIT_CELLS: Final = 10_000_000
"""Cells between the first and the last one of a sheet; the reader makes room for all of them, filled or not."""
_CHUNK: Final = 1024 * 1024
_RESAVE: Final = "Save it again from the spreadsheet program, or as CSV."


def read_sheets(path: Path) -> list[Grid]:
    """Read every sheet of a spreadsheet.

    Raises:
        PartListError: No spreadsheet, locked with a password, damaged, or one that unpacks to far too much.
    """
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError

    if zipfile.is_zipfile(path):
        _guard(path)
    try:
        book = CalamineWorkbook.from_path(path)
        return [_grid(book, name) for name in book.sheet_names]
    except PasswordError as error:
        raise PartListError(
            "this spreadsheet is locked with a password", where=str(path), todo="Save a copy without one."
        ) from error
    except (CalamineError, OSError, ValueError) as error:
        raise PartListError(
            f"this spreadsheet cannot be read ({_reason(error)})", where=str(path), todo=_RESAVE
        ) from error
    except BaseException as error:
        # The reader is compiled; a panic inside arrives as a BaseException that is no Exception.
        if isinstance(error, (KeyboardInterrupt, SystemExit)):
            raise
        raise PartListError("this spreadsheet is damaged", where=str(path), todo=_RESAVE) from error


def _reason(error: Exception) -> str:
    return str(error).strip().splitlines()[0][:120] if str(error).strip() else type(error).__name__


def _guard(path: Path) -> None:
    """Unpack every member without keeping it, and stop at the limit: what the file says of itself is not believed."""
    total = 0
    try:
        with zipfile.ZipFile(path) as archive:
            if len(archive.infolist()) > 5000:
                raise PartListError(
                    "this spreadsheet holds thousands of files; it is not read", where=str(path), todo=_RESAVE
                )
            for member in archive.infolist():
                extent = Extent()
                with archive.open(member) as stream:
                    while chunk := stream.read(_CHUNK):
                        total += len(chunk)
                        if extent.grown(chunk) > LIMIT_CELLS:
                            raise PartListError(
                                f"the cells of this spreadsheet lie too far apart (row {extent.rows}, column {extent.columns}); it is not read",
                                where=str(path),
                                todo="Delete the stray cell (Ctrl+End goes to it) and save it again, or save it as CSV.",
                            )
                        if total > LIMIT_UNPACKED:
                            raise PartListError(
                                f"this spreadsheet unpacks to more than {LIMIT_UNPACKED // _CHUNK} MB; it is not read",
                                where=str(path),
                                todo=_RESAVE,
                            )
    except (
        zipfile.BadZipFile,
        RuntimeError,
        NotImplementedError,
        EOFError,
        OSError,
        zlib.error,
    ) as error:
        raise PartListError("this spreadsheet is damaged", where=str(path), todo=_RESAVE) from error


def _grid(book: object, name: str) -> Grid:
    sheet = book.get_sheet_by_name(name)  # type: ignore[attr-defined]
    start = sheet.start
    if start is None:
        return Grid((), label=name)
    top, left = start
    dates: list[tuple[int, int]] = []
    rows: list[list[str]] = []
    for index, values in enumerate(sheet.to_python(skip_empty_area=True)):
        cells = []
        for column, value in enumerate(values):
            if isinstance(value, (dt.date, dt.time, dt.timedelta)):
                dates.append((top + index + 1, column))
            cells.append(_text(value))
        rows.append(cells)
    _fill_merged(rows, sheet.merged_cell_ranges or [], top, left)
    return Grid(
        tuple(Row(top + i + 1, tuple(cells)) for i, cells in enumerate(rows)), label=name, dates=tuple(dates)
    )


def _fill_merged(
    rows: list[list[str]], ranges: list[tuple[tuple[int, int], tuple[int, int]]], top: int, left: int
) -> None:
    """Give a merged cell's value to every cell that it covers."""
    for (r0, c0), (r1, c1) in ranges:
        if not (0 <= r0 - top < len(rows)) or not (0 <= c0 - left < len(rows[r0 - top])):
            continue
        value = rows[r0 - top][c0 - left]
        for r in range(max(0, r0 - top), min(len(rows), r1 - top + 1)):
            for c in range(max(0, c0 - left), min(len(rows[r]), c1 - left + 1)):
                rows[r][c] = rows[r][c] or value


def _text(value: object) -> str:
    """Write a cell's value as a person would type it; 0.1 + 0.2 comes as 0.3."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else f"{value:.10g}"
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    return str(value).strip()
