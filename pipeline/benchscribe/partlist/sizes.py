"""The sizes of one row: what its size cells, its notes and its material say, and which sizes are wanted and missing."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final, cast

from msgspec import structs

from benchscribe.partlist import chain
from benchscribe.partlist.cells import Cell, Piece, read_cell
from benchscribe.partlist.columns import Table
from benchscribe.partlist.elsewhere import from_material, from_notes
from benchscribe.partlist.features import NoteReading, read_note
from benchscribe.partlist.grid import Row
from benchscribe.partlist.headings import DIMENSIONS, Heading
from benchscribe.partlist.numbers import plain
from benchscribe.partlist.reading import Reading, Told
from benchscribe.records import CellNote, Dimension, Listed

SIZE_ROLES: Final = (*DIMENSIONS, "size", "inside")
"""Columns that hold sizes."""
_BAR: Final = re.compile(r"[HRTBYN]\s?(6|8|10|12|14|16|20|25|28|32|40)")
_ALONE: Final = chain.Row(text="", units="mm")
_BASE: Final = ("thickness", "width", "length")
_ACROSS: Final = frozenset({"width", "height", "depth", "length"})


def sizes_of_row(reading: Reading, row: Row, told: Told, notes: list[CellNote]) -> list[Listed]:
    """Read all sizes of a row: its size cells, its notes and its material; then say which sizes are wanted and missing."""
    listed: list[Listed] = []
    missing: list[tuple[Heading, str]] = []
    note = read_note(told.remarks, comma=reading.comma)
    for i, (heading, text) in enumerate(zip(reading.table.headings, row.cells, strict=False)):
        if heading.role not in SIZE_ROLES:
            continue
        if (row.number, i) in reading.table.grid.dates:
            why = "the spreadsheet keeps a date here; type the size as text"
            notes.append(CellNote(row=row.number, column=heading.text, text=text, note=why))
            continue
        cell = read_cell(_as_sizes(text, told.about, heading.text), comma=reading.comma, full=reading.full)
        note = _with_open_end(note, heading, text)
        if cell.state in ("blank", "to-come"):
            missing.append((heading, text))
        quiet = told.hardware and cell.state != "value"
        if (cell.note or cell.state == "ditto") and not quiet:
            why = cell.note or "a ditto mark with nothing above it"
            notes.append(CellNote(row=row.number, column=heading.text, text=text, note=why))
        if heading.role == "angle" and _no_angle(cell, text):
            cell = Cell("unknown", note="no angle could be read here")
            notes.append(CellNote(row=row.number, column=heading.text, text=text, note=cell.note))
        if cell.state == "value":
            several = len(cell.pieces) > 1 and bool(
                re.search(r"\d\W*(?:[a-z]{2,4}\.?\s*)?x\s*\.?\d", plain(text))
            )
            chained = heading.role == "size" or (heading.role == "length" and several)
            known = (
                _row_of(reading, row, i, told, note, few=sum(not p.label for p in cell.pieces) < 3)
                if chained
                else _ALONE
            )
            named, why = _named(reading, heading, cell, known, bought=told.hardware, chained=chained)
            if why and not cell.note and not told.hardware and not heading.feature:
                notes.append(CellNote(row=row.number, column=heading.text, text=text, note=why))
            listed += [_listed(reading, heading, d, p, text) for d, p in named]
    listed += from_notes(reading, row, note, listed, notes, told.remarks)
    if not told.hardware:
        listed += from_material(reading, row, told, listed, notes)
    return listed + _missing(reading, missing, listed, told, note)


def _with_open_end(note: NoteReading, heading: Heading, text: str) -> NoteReading:
    """Read a chain that ends in an x ("3/8 round bar x") as one whose length is to suit."""
    open_end = heading.role == "size" and re.search(r"\d.*\bx\s*$", plain(text))
    return (
        structs.replace(note, open=(*note.open, "length")) if open_end and "length" not in note.open else note
    )


def _no_angle(cell: Cell, text: str) -> bool:
    """Tell a slope or a length ("1:8", ".002 per in") from an angle in a column of angles."""
    bare = [p for p in cell.pieces if p.unit != "degree"]
    return any(p.unit or p.value < 1 for p in bare) or bool(
        bare and re.search(r"\bper\b|:|/ft|\bin\b", plain(text))
    )


def _as_sizes(text: str, about: str, heading: str) -> str:
    """Write the "6/4" of a tube (outside and inside) and the "H12" of a reinforcing bar (BS 8666: letter and diameter in mm) as sizes."""
    if not text:
        return text
    if (bar := _BAR.fullmatch(text)) and re.search(r"\bbars?\b|\btype\b", plain(f"{about} {heading}")):
        return f"Ø{bar[1]} mm"
    if chain.form(about) != "tube":
        return text
    both = re.match(r"\s*(\d+(?:\.\d+)?)\s*/\s*(\d+(?:\.\d+)?)(?=\s*(?:x|×|$))", text)
    if both and Fraction(both[1]) > Fraction(both[2]):
        return f"OD {both[1]} x ID {both[2]}{text[both.end() :]}"
    return text


def _row_of(reading: Reading, row: Row, index: int, told: Told, note: NoteReading, *, few: bool) -> chain.Row:
    """Say what the other cells of the row settle for a chain of sizes; `few` are fewer than three."""
    here = reading.table.headings[index]
    others = [
        h.role
        for i, (h, text) in enumerate(zip(reading.table.headings, row.cells, strict=False))
        if i != index and h.rough == here.rough and re.search(r"\d", text) and not h.feature
    ]
    return chain.Row(
        text=f"{told.about} {plain(here.text)} {plain(row.cells[index])}",
        units=here.unit or reading.units,
        shape=chain.shape_of(plain(row.cells[index]), plain(told.material), plain(here.text), told.name),
        thick_known="thickness" in others
        or bool(re.match(r"\W*[\d./ ]+(?:mm|in\b|\")?\s*[a-z]", plain(told.material))),
        long_known=bool({"length", "height"} & {*others})
        or (
            few
            and any(
                h.role == "length" and h.rough == here.rough and h is not here for h in reading.table.headings
            )
        ),
        of_feature=bool(here.feature),
        open_length="length" in note.open,
    )


def _named(
    reading: Reading, heading: Heading, cell: Cell, row: chain.Row, *, bought: bool, chained: bool
) -> tuple[list[tuple[str, Piece]], str]:
    rough = [p for p in cell.pieces if p.rough]
    main = [p for p in cell.pieces if not p.rough]
    if chained:
        order, fixed = heading.order or reading.order, bool(heading.order)
        named, note = chain.name_pieces(Cell(cell.state, tuple(main)), order, row, fixed=fixed)
        unmarked = tuple(structs.replace(p, rough=False) for p in rough)
        blank, more = chain.name_pieces(Cell(cell.state, unmarked), order, row, fixed=fixed)
        return named + [(d, structs.replace(p, rough=True)) for d, p in blank], note or more
    if heading.role == "inside":
        return [("inside", p) for p in main[:1]], "" if len(
            main
        ) < 2 else "more than one size here; the first was taken"
    loose = [p for p in main if not p.label]
    named = [(p.label, p) for p in main if p.label and p.label != "square"]
    if squares := [p for p in main if p.label == "square"]:
        named += list(zip(("thickness", "width"), squares, strict=False))
    no_width = not any(h.role == "width" and h is not heading for h in reading.table.headings)
    if len(loose) == 1:
        named.append((heading.role, loose[0]))
    elif len(loose) == 2 and bought and heading.role in ("thickness", "diameter"):
        named += list(zip(("diameter", "length"), loose, strict=False))  # a rivet of 1/8 x 1/4
    elif len(loose) == 2 and heading.role in ("thickness", "width") and no_width:
        named += list(zip(("thickness", "width"), loose, strict=False))
    elif loose:
        return named, "more than one size in a cell for one"
    return named + [(heading.role, p) for p in rough[:1]], ""


def _listed(reading: Reading, heading: Heading, dimension: str, piece: Piece, text: str) -> Listed:
    feature = "bore" if dimension == "inside" else heading.feature
    unit = piece.unit or ("degree" if dimension == "angle" else heading.unit or reading.units)
    return Listed(
        dimension=cast("Dimension", "diameter" if dimension == "inside" else dimension),
        value=piece.value,
        unit=unit,
        text=text,
        rough=heading.rough or piece.rough,
        feature=feature,
        edition=heading.edition,
    )


def _missing(
    reading: Reading, missing: list[tuple[Heading, str]], listed: list[Listed], told: Told, note: NoteReading
) -> list[Listed]:
    """Say which blank cells are of sizes that the part must have, and which sizes the notes leave open.

    A round part has no second width; a rod or a tube wants its length, a disc or a ring does not. Bought things want nothing, cloth has no
    thickness, and a column that most rows leave blank is not for every part.
    """
    have: set[str] = {x.dimension for x in listed if not x.rough and not x.feature}
    out: list[Listed] = []
    for heading, text in missing:
        if heading.rough or heading.feature or (told.hardware and not text):
            continue
        for dimension in list(heading.order or _BASE) if heading.role == "size" else [heading.role]:
            if dimension in have or dimension == "inside":
                continue
            if text or dimension in note.open or _is_wanted(reading, heading, dimension, have, told):
                have.add(dimension)
                out.append(_open(reading, heading, dimension, text))
    columns = {h.role for h in reading.table.headings}
    for dimension in note.open:
        spoken_for = dimension not in columns and any(
            x.dimension in _BASE for x in out
        )  # "depth to suit" of a blank length
        if dimension not in have and not told.hardware and not spoken_for:
            have.add(dimension)
            out.append(_open(reading, None, dimension, told.remarks))
    return out


def _open(reading: Reading, heading: Heading | None, dimension: str, text: str) -> Listed:
    unit = "degree" if dimension == "angle" else (heading and heading.unit) or reading.units
    return Listed(
        dimension=cast("Dimension", dimension),
        value=None,
        unit=unit,
        text=text,
        edition=heading.edition if heading else "",
    )


def _is_wanted(reading: Reading, heading: Heading, dimension: str, have: set[str], told: Told) -> bool:
    roles = {h.role for h in reading.table.headings}
    if have & {"diameter", "radius"}:
        own = "diameter" in roles
        return dimension == "length" and (
            chain.long_round(told.about) or (own and not have & {"thickness", "length", "height"})
        )
    if heading.text in reading.sparse:
        return False
    across = len(have & _ACROSS) > 1
    if dimension == "thickness" and across and (chain.limp(told.about) or chain.form(told.about) == "tape"):
        return False
    if dimension in _BASE:
        return True
    flat = len(have & {"thickness", *_ACROSS}) > 1 and chain.limp(told.about)
    return dimension in ("height", "depth") and not flat and len(roles & {"thickness", *_ACROSS}) <= 3


def size_cells(table: Table, row: Row) -> list[str]:
    """Give a row's cells in the columns of sizes, blank ones too."""
    return [t for h, t in zip(table.headings, row.cells, strict=False) if h.role in SIZE_ROLES]
