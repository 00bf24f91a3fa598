"""The sizes of one row: what its size cells, its notes and its material say, and which sizes are wanted and missing."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Final, cast

from msgspec import Struct

from benchscribe.partlist import chain
from benchscribe.partlist.cells import Cell, Piece, read_cell
from benchscribe.partlist.columns import Table
from benchscribe.partlist.features import read_features
from benchscribe.partlist.grid import Row
from benchscribe.partlist.headings import DIMENSIONS, Heading
from benchscribe.partlist.numbers import numbers, plain
from benchscribe.partlist.unit_guess import Units
from benchscribe.records import CellNote, Dimension, Listed

SIZE_ROLES: Final = (*DIMENSIONS, "size", "inside")
"""Columns that hold sizes."""
_BASE: Final = ("thickness", "width", "length")


class Reading(Struct, frozen=True):
    """How the cells of one table are read."""

    table: Table
    units: Units
    comma: bool
    order: tuple[str, ...]


def sizes_of_row(
    reading: Reading, row: Row, about: str, notes: list[CellNote], *, hardware: bool
) -> list[Listed]:
    """Read all size cells of a row, then say which sizes are wanted and missing."""
    listed: list[Listed] = []
    missing: list[tuple[Heading, str]] = []
    for i, (heading, text) in enumerate(zip(reading.table.headings, row.cells, strict=False)):
        if heading.role not in SIZE_ROLES:
            continue
        if (row.number, i) in reading.table.grid.dates:
            notes.append(
                CellNote(
                    row=row.number,
                    column=heading.text,
                    text=text,
                    note="the spreadsheet keeps a date here; type the size as text",
                )
            )
            continue
        cell = read_cell(text, comma=reading.comma)
        if cell.state in ("blank", "to-come"):
            missing.append((heading, text))
        quiet = hardware and cell.state != "value"
        if (cell.note or cell.state == "ditto") and not quiet:
            why = cell.note or "a ditto mark with nothing above it"
            notes.append(CellNote(row=row.number, column=heading.text, text=text, note=why))
        if cell.state == "value":
            named, note = _named(reading, heading, cell, about, hardware=hardware)
            if note and not cell.note:
                notes.append(CellNote(row=row.number, column=heading.text, text=text, note=note))
            listed += [_listed(reading, heading, d, p, text) for d, p in named]
    return listed + _missing(reading, missing, listed, about, hardware=hardware)


def _named(
    reading: Reading, heading: Heading, cell: Cell, about: str, *, hardware: bool
) -> tuple[list[tuple[str, Piece]], str]:
    rough = [("rough", p) for p in cell.pieces if p.rough]
    main = [p for p in cell.pieces if not p.rough]
    if heading.role == "size":
        named, note = chain.name_pieces(
            Cell(cell.state, tuple(main)),
            heading.order or reading.order,
            fixed=bool(heading.order),
            thick_known=bool(re.search(r"\d", about))
            or any(h.role == "thickness" for h in reading.table.headings),
            text=about,
        )
        return named, "" if hardware else note
    if heading.role == "inside":
        return [("inside", p) for p in main[:1]], "" if len(
            main
        ) < 2 else "more than one size here; the first was taken"
    loose = [p for p in main if not p.label]
    named = [(p.label, p) for p in main if p.label and p.label != "square"]
    if squares := [p for p in main if p.label == "square"]:
        named += list(zip(("thickness", "width"), squares, strict=False))
    if len(loose) == 1:
        named.append((heading.role, loose[0]))
    elif (
        len(loose) == 2
        and heading.role in ("thickness", "width")
        and not any(h.role == "width" and h is not heading for h in reading.table.headings)
    ):
        named += list(zip(("thickness", "width"), loose, strict=False))
    elif loose:
        return named, "more than one size in a cell for one"
    return named + [(heading.role, p) for _, p in rough[:1]], ""


def _listed(reading: Reading, heading: Heading, dimension: str, piece: Piece, text: str) -> Listed:
    feature = "bore" if dimension == "inside" else ""
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
    reading: Reading, missing: list[tuple[Heading, str]], listed: list[Listed], about: str, *, hardware: bool
) -> list[Listed]:
    """Say which blank cells are of sizes that the part must have.

    A round part has no second width; a rod or a tube wants its length, a disc or a ring does not. Bought things want nothing.
    """
    have = {x.dimension for x in listed if not x.rough and not x.feature}
    out = []
    for heading, text in missing:
        if heading.rough or (hardware and not text):
            continue
        wanted = list(heading.order or _BASE) if heading.role == "size" else [heading.role]
        for dimension in wanted:
            if dimension in have or dimension == "inside":
                continue
            if not text and not _is_wanted(reading, dimension, have, about):
                continue
            out.append(
                Listed(
                    dimension=cast("Dimension", dimension),
                    value=None,
                    unit="degree" if dimension == "angle" else heading.unit or reading.units,
                    text=text,
                    edition=heading.edition,
                )
            )
    return out


def _is_wanted(reading: Reading, dimension: str, have: set[Dimension], about: str) -> bool:
    roles = {h.role for h in reading.table.headings}
    if have & {"diameter", "radius"}:
        return dimension == "length" and (chain.long_round(about) or not have & {"thickness", "length"})
    if dimension in _BASE:
        return True
    return (
        dimension in ("height", "depth")
        and len(roles & {"width", "height", "depth", "thickness", "length"}) <= 3
    )


def sizes_in_notes(reading: Reading, remarks: str, listed: list[Listed]) -> list[Listed]:
    """Take the sizes of features, and the angles of the ends, from the notes; a diameter already listed stays as it is."""
    out = []
    for size in read_features(remarks, comma=reading.comma):
        if (
            size.dimension == "angle"
            and not size.feature
            and any(x.dimension == "angle" and x.value == size.value for x in listed)
        ):
            continue
        out.append(
            Listed(
                dimension=size.dimension,
                value=size.value,
                unit=size.unit or reading.units,
                text=size.text,
                feature=size.feature,
            )
        )
    return out


def thickness_in_material(reading: Reading, material: str, listed: list[Listed]) -> list[Listed]:
    """Take the thickness from "18 mm birch ply" where no column gives one."""
    if any(h.role in ("thickness", "depth", "height") for h in reading.table.headings) or any(
        x.dimension in ("thickness", "diameter") for x in listed
    ):
        return []
    if not any(x.dimension in ("width", "length") for x in listed):
        return []
    match = re.match(
        r"^[\d\s./-]+(?:mm|in|inch|\"|cm)?\s+(?=.*\b(?:ply|plywood|mdf|sheet|board|plate|acrylic|hardboard|chipboard|veneer|polycarbonate|felt|leather|foam)\b)",
        plain(material, comma=reading.comma),
    )
    found = numbers(match[0]) if match else ()
    if len(found) != 1:
        return []
    return [
        Listed(
            dimension="thickness",
            value=Fraction(found[0].value),
            unit=found[0].unit or reading.units,
            text=material,
        )
    ]
