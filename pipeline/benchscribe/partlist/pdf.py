"""Part lists in a PDF: the tables that pdfplumber finds, by their lines, else by how the words stand."""

from __future__ import annotations

import logging
import re
import zlib
from pathlib import Path
from typing import Any, Final

from benchscribe.errors import PartListError
from benchscribe.partlist.grid import Grid, Row

MAX_PAGES: Final = 80
LIMIT_UNPACKED: Final = 200 * 1024 * 1024
"""Bytes that the packed streams of a PDF may hold; a list of 80 pages with pictures is far below."""
_CHUNK: Final = 1024 * 1024
_STREAM: Final = re.compile(rb"\bstream\r?\n(?=[\x08\x18\x28\x38\x48\x58\x68\x78])")
"""Where a stream begins that is packed with zlib (RFC 1950: the low four bits of the first byte are 8)."""
_TODO: Final = "Type the part list into a CSV file; `benchscribe start` writes an empty one."


def read_pdf(path: Path) -> list[Grid]:
    """Read every table of a PDF. A row's number counts from the top of its table, heading included.

    Raises:
        PartListError: No PDF, locked, without any text (a scan), or without a table.
    """
    import pdfplumber
    from pdfminer.pdfdocument import PDFPasswordIncorrect

    _guard(path)
    logging.getLogger("pdfminer").setLevel(logging.ERROR)
    try:
        with pdfplumber.open(path) as document:
            pages = document.pages[:MAX_PAGES]
            has_text = False
            grids: list[Grid] = []
            for number, page in enumerate(pages, 1):
                has_text = has_text or bool(page.chars)
                grids += _page(page, number)
    except PDFPasswordIncorrect as error:
        raise PartListError(
            "this PDF is locked with a password", where=str(path), todo="Save a copy without one."
        ) from error
    except Exception as error:
        if type(error).__name__ == "PdfminerException" and "Password" in repr(error):
            raise PartListError(
                "this PDF is locked with a password", where=str(path), todo="Save a copy without one."
            ) from error
        raise PartListError("this PDF cannot be read", where=str(path), todo=_TODO) from error
    if not has_text:
        raise PartListError("this PDF holds a picture and no text", where=str(path), todo=_TODO)
    if not grids:
        raise PartListError("there is no table in this PDF", where=str(path), todo=_TODO)
    return grids


def _guard(path: Path) -> None:
    """Unpack the packed streams of the file without keeping them, and stop at the limit: a small file can hold gigabytes of nothing.

    Raises:
        PartListError: It unpacks to more than a part list can need.
    """
    data = path.read_bytes()
    total = 0
    for match in _STREAM.finditer(data):
        unpack = zlib.decompressobj()
        left = data[match.end() : match.end() + _CHUNK]
        at = match.end() + _CHUNK
        try:
            while left and not unpack.eof:
                total += len(unpack.decompress(left, _CHUNK))
                if total > LIMIT_UNPACKED:
                    raise PartListError(
                        f"this PDF unpacks to more than {LIMIT_UNPACKED // _CHUNK} MB; it is not read",
                        where=str(path),
                        todo=_TODO,
                    )
                left = unpack.unconsumed_tail or data[at : at + _CHUNK]
                at += 0 if unpack.unconsumed_tail else _CHUNK
        except zlib.error:
            continue


def _page(page: Any, number: int) -> list[Grid]:  # noqa: ANN401 - pdfplumber has no types
    tables = [t for t in page.extract_tables() if len(t) > 1 and len(t[0]) > 1]
    if not tables:
        tables = [_by_words(page)]
    return [_grid(table, f"page {number}") for table in tables if table]


def _grid(table: list[list[str | None]], label: str) -> Grid:
    rows = [
        Row(i, tuple(re.sub(r"\s+", " ", cell or "").strip() for cell in cells))
        for i, cells in enumerate(table, 1)
    ]
    return Grid(tuple(rows), label=label)


def _by_words(page: Any) -> list[list[str | None]]:  # noqa: ANN401 - pdfplumber has no types
    """Make a table without lines: words of one line, cut where the gap is wide, into columns that begin or end together."""
    lines: list[list[dict[str, Any]]] = []
    for word in sorted(
        page.extract_words(keep_blank_chars=False, x_tolerance=1.5), key=lambda w: (round(w["top"]), w["x0"])
    ):
        if lines and abs(lines[-1][0]["top"] - word["top"]) < 3:
            lines[-1].append(word)
        else:
            lines.append([word])
    chunks = [_chunks(sorted(line, key=lambda w: w["x0"])) for line in lines]
    head = max(chunks, key=len, default=[])
    if len(head) < 3:
        return []
    columns: list[list[float]] = [[x0, x1] for x0, x1, _ in head]
    table: list[list[str | None]] = []
    for line in chunks:
        cells: list[str | None] = [None] * len(columns)
        for x0, x1, text in line:
            best = max(
                range(len(columns)),
                key=lambda i: (min(x1, columns[i][1]) - max(x0, columns[i][0]), -abs(x0 - columns[i][0])),
            )
            cells[best] = f"{cells[best]} {text}" if cells[best] else text
        table.append(cells)
    return table


def _chunks(line: list[dict[str, Any]]) -> list[tuple[float, float, str]]:
    """Join words that stand a space apart."""
    out: list[tuple[float, float, str]] = []
    for word in line:
        size = word["bottom"] - word["top"]
        if out and word["x0"] - out[-1][1] < 0.55 * size:
            out[-1] = (out[-1][0], word["x1"], f"{out[-1][2]} {word['text']}")
        else:
            out.append((word["x0"], word["x1"], word["text"]))
    return out
