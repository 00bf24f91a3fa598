"""Sizes that stand in no size column: in the notes, and in the name of the stock ("18 mm birch ply", "oak 25 x 18")."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Final, cast

from benchscribe.partlist import chain
from benchscribe.partlist.cells import OTHER_UNIT, Piece, read_cell
from benchscribe.partlist.features import NoteReading
from benchscribe.partlist.grid import Row
from benchscribe.partlist.numbers import Number, numbers, plain, without_asides
from benchscribe.partlist.reading import Reading, Told
from benchscribe.records import CellNote, Dimension, Listed
from benchscribe.units import is_length, to_mm

KEPT: Final = "kept in words: a number here was not read as a size of the part"
"""What is said of a note with a number that was not read."""
_WEIGHT: Final = re.compile(r"[\d.,/-]*" + OTHER_UNIT.pattern)
_STOCK_NAME: Final = re.compile(
    r"\b[1-8]x\d{1,2}\b(?!\s*x)|\bno\.?\s*\d+|#\s*\d+|\b\d+/\d+\s*oz\b|\b[a-z]+\d[\w.-]*|(?<!x )(?<!x)\b\d{3,4}(?:-[a-z]\w*)?(?!\s*(?:x|mm))\b|\b(?:5|6|8|10|12|16)/4\b|\b\d{1,2}[\s-]*ply\b(?=\s+[a-z])"
)
"""What stock is called: 2x4, no. 10, 6061-T6, 1018, 8/4, 6 ply maple."""
_CHAIN: Final = re.compile(r"\d\s*(?:mm|cm|in|\")?\s*x\s*[\d.]|\bsq\b|\bsquare\b|ø|\bdia\b")


def from_notes(
    reading: Reading,
    row: Row,
    note: NoteReading,
    listed: Sequence[Listed],
    notes: list[CellNote],
    remarks: str,
) -> list[Listed]:
    """Take the sizes of features, angles, and the sizes of the part that no column gives, from the notes.

    A size of the part that a column gives already stays as the column has it; where the note says otherwise, it is named.
    """
    out: list[Listed] = []
    for size in note.sizes:
        entry = _entry(reading, size.dimension, size.value, size.unit, size.text, feature=size.feature)
        same = [
            x
            for x in (*listed, *out)
            if x.dimension == size.dimension and x.feature == size.feature and not x.rough
        ]
        if any(_equal(x, entry) for x in same):
            continue
        if same and not size.feature and size.dimension != "angle":
            why = f"the note says another {size.dimension} than the column; the column's was taken"
            notes.append(
                CellNote(row=row.number, column=_column(reading, row, size.text), text=size.text, note=why)
            )
        else:
            out.append(entry)
    have = {x.dimension for x in listed if not x.rough and not x.feature}
    unread = list(note.unread)
    for found in note.chains:
        named = [] if have & {"width", "length"} else _plain_chain(found, have)
        out += [_entry(reading, d, n.value, n.unit, remarks) for d, n in named]
        unread += [] if named else [remarks]
    notes += [
        CellNote(row=row.number, column=_column(reading, row, text), text=text, note=KEPT)
        for text in dict.fromkeys(unread)
    ]
    return out


def _column(reading: Reading, row: Row, clause: str) -> str:
    """Give the heading of the notes that a clause stands in."""
    cells = zip(reading.table.headings, row.cells, strict=False)
    columns = [
        (h.text, without_asides(plain(text, comma=reading.comma)))
        for h, text in cells
        if h.role == "notes" and text
    ]
    return next((h for h, text in columns if clause in text), columns[0][0] if columns else "notes")


def _plain_chain(found: tuple[Number, ...], have: Iterable[str]) -> list[tuple[str, Number]]:
    names = ("width", "length") if len(found) == 2 else ("thickness", "width", "length")
    return [] if {*names} & {*have} else list(zip(names, found, strict=True))


def from_material(
    reading: Reading, row: Row, told: Told, listed: Sequence[Listed], notes: list[CellNote]
) -> list[Listed]:
    """Take what the name of the stock says: the thickness of a sheet, the diameter of a rod, the width of a tape, a section, or a blank.

    Three sizes, and a section beside finished sizes, are of the blank that the part is made from: rough.
    """
    clean = without_asides(plain(told.material, comma=reading.comma))
    clean = _WEIGHT.sub(lambda m: " " * len(m[0]), clean)
    clean = _STOCK_NAME.sub(lambda m: " " * len(m[0]), clean)
    found = [n for n in numbers(clean) if n.unit != "degree"]
    if not found or not (_CHAIN.search(clean) or _is_size(clean, found)):
        return []
    start, end = found[0].start, max(n.end for n in found)
    text = clean[max(0, start - 4) : end] + clean[end:]
    pieces = read_cell(text.strip()).pieces if start else read_cell(clean).pieces
    pieces = tuple(p for p in pieces if p.unit != "degree")
    have: set[str] = {x.dimension for x in listed if not x.rough and not x.feature and x.value is not None}
    heading = next((h.text for h in reading.table.headings if h.role == "material"), "material")
    shape = chain.shape_of("", clean, plain(heading), told.name)
    leads = bool(found[0].unit) and not clean[:start].strip() and bool(re.match(r"\s*[a-z]{3}", clean[end:]))
    named = _stock(pieces, have, shape, reading.units, about=told.about, leads=leads)
    if named is None:
        why = "a size stands in the name of the stock, and nothing says of what: not taken"
        notes.append(CellNote(row=row.number, column=heading, text=told.material, note=why))
        return []
    return [_entry(reading, d, p.value, p.unit, told.material, rough=rough) for d, p, rough in named]


def _is_size(clean: str, found: Sequence[Number]) -> bool:
    """Tell a size in the name of the stock from a number that belongs to the name: it has a unit, a fraction, or stands first."""
    number = found[0]
    first = not clean[: number.start].strip() and bool(re.match(r"\s*[a-z]{2}", clean[number.end :]))
    return bool(number.unit) or number.step in ("fraction", "decimal") or first


def _stock(
    pieces: Sequence[Piece], have: set[str], shape: str, units: str, *, about: str, leads: bool
) -> list[tuple[str, Piece, bool]] | None:
    """Name the sizes of the stock; None where nothing says what they are."""
    labels = [p.label for p in pieces]
    if "square" in labels:
        rest = [p for p in pieces if p.label != "square"]
        square = next(p for p in pieces if p.label == "square")
        rough = bool(have & {"thickness", "width", "diameter"})
        return [
            ("thickness", square, rough),
            ("width", square, rough),
            *((("length", p, rough)) for p in rest[:1]),
        ]
    if "diameter" in labels:
        rough = "diameter" in have
        names = [label or "length" for label in labels]
        return [(d, p, rough) for d, p in zip(names, pieces, strict=True) if d == "diameter" or rough]
    if len(pieces) == 3:
        rough = bool(have)
        return [(d, p, rough) for d, p in zip(("thickness", "width", "length"), pieces, strict=True)]
    if len(pieces) == 2:
        thin, wide = sorted(pieces, key=lambda p: to_mm(p.value, p.unit or units))
        rough = bool(have & {"thickness", "width", "diameter"})
        return [("thickness", thin, rough), ("width", wide, rough)]
    if len(pieces) != 1:
        return None
    name = {"sheet": "thickness", "round": "diameter", "tube": "diameter", "tape": "width"}.get(shape, "")
    if not name and not have & {"thickness", "diameter"} and leads and not chain.long_round(about):
        name = "thickness"  # "4 mm okoume", "0.8 mm steel": so the trade names a sheet
    if not name or (
        name == "thickness" and len(have & {"thickness", "width", "length", "height", "depth"}) > 2
    ):
        return [] if have & {"thickness", "diameter"} else None
    if name == "diameter" and have & {"diameter", "width", "thickness"}:
        return []
    return [] if name in have else [(name, pieces[0], False)]


def _entry(
    reading: Reading,
    dimension: str,
    value: Fraction,
    unit: str | None,
    text: str,
    *,
    feature: str = "",
    rough: bool = False,
) -> Listed:
    return Listed(
        dimension=cast("Dimension", dimension),
        value=value,
        unit=unit or reading.units,
        text=text,
        feature=feature,
        rough=rough,
    )


def _equal(a: Listed, b: Listed) -> bool:
    if a.value is None or b.value is None:
        return False
    if is_length(a.unit) and is_length(b.unit):
        return to_mm(a.value, a.unit) == to_mm(b.value, b.unit)
    return a.unit == b.unit and a.value == b.value
