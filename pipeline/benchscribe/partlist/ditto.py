"""What a row takes from another one: ditto marks, "same as left", "mirror of the side"."""

from __future__ import annotations

import re
from typing import Final

from msgspec import Struct

from benchscribe.partlist.cells import state_of
from benchscribe.partlist.columns import cell_of, cells_of
from benchscribe.partlist.grid import Row
from benchscribe.partlist.numbers import plain
from benchscribe.partlist.reading import Reading
from benchscribe.partlist.sizes import SIZE_ROLES, size_cells
from benchscribe.records import CellNote, Part

_SAME: Final = re.compile(
    r"^(?:the )?(?:same(?: size)?|as|mirror(?:ed)?(?: image)?|opposite(?: hand)?|copy)(?: as| of| for| to)?\s+(?:the\s+|part\s+|no\.?\s*|#)?(.+?)(?:,.*)?$"
)


class Memory(Struct):
    """What "ditto" and "same as left" refer to."""

    above: dict[int, str]
    by_key: dict[str, tuple[str, ...]]

    def remember(self, part: Part, cells: tuple[str, ...]) -> None:
        """Keep a row under its part's name and letter."""
        self.by_key.setdefault(plain(part.name), cells)
        if part.ref:
            self.by_key.setdefault(plain(part.ref), cells)

    def find(self, name: str, target: str) -> tuple[str, ...] | None:
        """Find the row that "left", "3" or "side panel" means, seen from the row called `name`."""
        if target in ("left", "lh", "l", "right", "rh", "r"):
            side = "left" if target in ("left", "lh", "l") else "right"
            other = "right" if side == "left" else "left"
            return (
                self.by_key.get(re.sub(rf"\b{other}\b", side, plain(name)))
                if re.search(rf"\b{other}\b", plain(name))
                else None
            )
        return self.by_key.get(target) or self.by_key.get(target.rstrip("s"))


def filled_in(
    reading: Reading, row: Row, name: str, memory: Memory, notes: list[CellNote]
) -> tuple[str, ...]:
    """Replace ditto marks and "same as left" by what they stand for."""
    table, out = reading.table, list(row.cells)
    whole = next((m for t in cells_of(table, row.cells, "notes") if (m := _SAME.match(plain(t)))), None)
    if whole and not any(size_cells(table, row)):
        source = memory.find(name, whole[1].strip(" ."))
        if source:
            out = [
                s if h.role in (*SIZE_ROLES, "material") and not c else c
                for h, c, s in zip(table.headings, out, source, strict=False)
            ]
    for i, (heading, text) in enumerate(zip(table.headings, row.cells, strict=False)):
        if heading.role not in (*SIZE_ROLES, "material", "sheet", "notes") or not text:
            continue
        clean = plain(text)
        if state_of(clean) == "ditto" and heading.role != "ignore":
            out[i] = memory.above[i]
            if not out[i]:
                notes.append(
                    CellNote(
                        row=row.number,
                        column=heading.text,
                        text=text,
                        note="a ditto mark with nothing above it",
                    )
                )
        elif heading.role in SIZE_ROLES and (same := _SAME.match(clean)):
            out[i] = _same_value(reading, i, name, same[1].strip(" ."), out, memory) or text
    for i, text in enumerate(out):
        memory.above[i] = text
    return tuple(out)


def _same_value(
    reading: Reading, column: int, name: str, target: str, cells: list[str], memory: Memory
) -> str:
    source = memory.find(name, target)
    if source:
        return source[column]
    if target in ("left", "the left", "on left"):
        return next(
            (
                cells[i]
                for i in range(column - 1, -1, -1)
                if reading.table.headings[i].role in SIZE_ROLES and cells[i]
            ),
            "",
        )
    named = {
        "width": "width",
        "length": "length",
        "thickness": "thickness",
        "t": "thickness",
        "w": "width",
        "l": "length",
        "height": "height",
    }.get(target, "")
    return cell_of(reading.table, tuple(cells), named) if named else ""
