"""A part list as it was read, in the terminal: a table whose sizes stand under one another, and what was not understood with what to do.

The table fits the terminal: where it is narrow, the material goes to the line below, and where it is very narrow, so do the sizes.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Final

from benchscribe.partlist import Advice, advise
from benchscribe.records import CellNote, Listed, Part, PartList
from benchscribe.show import harmless, many

if TYPE_CHECKING:
    from rich.console import Console
    from rich.text import Text

_MOST: Final = 400
"""Parts that are shown; a list that is longer is shown in its first rows."""
_MOST_NOTES: Final = 40
_NAME: Final = 12
"""Columns that a name gets at least; a longer one is folded."""
_GAP: Final = 2
_WORDS: Final = {
    "thickness": "thick",
    "width": "wide",
    "length": "long",
    "height": "high",
    "depth": "deep",
    "diameter": "dia",
    "radius": "radius",
    "angle": "angle",
    "spacing": "apart",
    "other": "",
    "setting": "",
}
"""What stands over a column of sizes, and behind a size in words, in the order of the columns."""
_KINDS: Final = {
    "lost": ("Not understood", "yellow"),
    "look": ("Read, and worth a look", "yellow"),
    "kept": ("Kept in words", "dim"),
}


def show_parts(screen: Console, part_list: PartList) -> None:
    """Print the parts of a list in a table, and how to read it."""
    width = max(24, screen.width)
    parts = part_list.parts[:_MOST]
    for line in _table(parts, part_list.units, width):
        screen.print(line)
    if len(part_list.parts) > _MOST:
        more = f"and {many(len(part_list.parts) - _MOST, 'part')} more, not shown here"
        for text in _folded(more, width, 2, 4):
            screen.print(_line(text, "dim"))
    if any(size.value is None for part in parts for size in part.listed):
        for text in _folded("? is wanted, and the list does not give it", width, 2, 4):
            screen.print(_line(text, "dim"))


def show_notes(screen: Console, notes: Sequence[CellNote]) -> None:
    """Print the cells that were not understood, by what became of them, each with row and column, and what to do."""
    groups: dict[tuple[str, str], list[tuple[CellNote, Advice]]] = {}
    for note in notes:
        found = advise(note)
        groups.setdefault((found.kind, found.todo), []).append((note, found))
    width = max(24, screen.width)
    for kind, (title, style) in _KINDS.items():
        mine = {todo: rows for (k, todo), rows in groups.items() if k == kind}
        if not mine:
            continue
        total = sum(map(len, mine.values()))
        screen.print(_line(f"\n  {title}: {many(total, 'cell')}", "bold"))
        for todo, rows in mine.items():
            for note, _ in rows[:_MOST_NOTES]:
                for text in _folded(f"row {note.row}, {_what(note)}: {note.note}", width, 4, 8):
                    screen.print(_line(text, style))
            if len(rows) > _MOST_NOTES:
                screen.print(_line(f"    and {many(len(rows) - _MOST_NOTES, 'cell')} more like these", style))
            for text in _folded(f"→ {todo}", width, 6, 8):
                screen.print(_line(text, "none"))


def show_doubts(screen: Console, doubts: Sequence[tuple[int, str, str]]) -> None:
    """Print what looks wrong in the plan itself: row, part and why."""
    for row, part, why in doubts:
        for text in _folded(f"look again: row {row}, {part}: {why}", max(24, screen.width), 2, 6):
            screen.print(_line(text, "yellow"))


def _what(note: CellNote) -> str:
    if note.text == note.column:
        return f'the column "{note.column}"'
    return f'{note.column or "no heading"}: "{textwrap.shorten(note.text, 60, placeholder=" ...")}"'


def _table(parts: Sequence[Part], units: str, width: int) -> Iterable[Text]:
    """Give the lines of the table: as many columns as the width has room for, the rest below each part."""
    dimensions = _columns(parts)
    heads = [
        "row",
        *(["ref"] if any(p.ref for p in parts) else []),
        "part",
        "no.",
        *(_WORDS[d] for d in dimensions),
    ]
    rows = _aligned([_cells(part, dimensions, units, ref="ref" in heads) for part in parts], len(dimensions))
    name = heads.index("part")
    widths = [max([_len(h), *(_len(r[i]) for r in rows)]) for i, h in enumerate(heads)]
    fixed = sum(w for i, w in enumerate(widths) if i != name) + _GAP * (len(heads) - 1) + 2
    room = width - fixed
    if room < min(_NAME, widths[name]):
        yield from _stacked(parts, units, width)
        return
    widths[name] = min(widths[name], max(_NAME, room))
    material = _material_width(parts, width - fixed - widths[name])
    if material:
        heads.append("material")
        widths.append(material)
        rows = [[*row, harmless(part.material)] for row, part in zip(rows, parts, strict=True)]
    left = frozenset({name, *([len(heads) - 1] if material else [])})
    yield _row(heads, widths, left, "bold")
    indent = 2 + sum(widths[:name]) + _GAP * name
    for part, cells in zip(parts, rows, strict=True):
        yield from _part_lines(cells, widths, name, left)
        for text in _folded(_details(part, units, material=not material), width, indent, indent + 2):
            yield _line(text, "dim")


def _material_width(parts: Sequence[Part], room: int) -> int:
    """Give the width of a material column; 0 where there is no room for it, or nothing to put into it."""
    need = max((_len(p.material) for p in parts), default=0)
    return max(need, len("material")) if need and max(need, len("material")) + _GAP <= room else 0


def _columns(parts: Sequence[Part]) -> list[str]:
    """Give the dimensions that any part has, in the usual order."""
    used = {s.dimension for p in parts for s in p.listed if _main(s)}
    return [d for d in _WORDS if d in used]


def _main(size: Listed) -> bool:
    return not size.feature and not size.rough


def _cells(part: Part, dimensions: Sequence[str], units: str, *, ref: bool) -> list[str]:
    sizes = [
        " / ".join(_value(s, units) for s in part.listed if s.dimension == d and _main(s)) for d in dimensions
    ]
    count = "" if part.count is None else str(part.count)
    return [str(part.row), *([harmless(part.ref)] if ref else []), harmless(part.name), count, *sizes]


def _value(size: Listed, units: str) -> str:
    """Write a size; the list's own unit is left out, and what is wanted and not given is a question mark."""
    from benchscribe.measures import write_measure

    if size.value is None:
        return "?"
    text = write_measure(size.value, size.unit)
    own = {"inch": " in", "mm": " mm"}[units]
    text = text.removesuffix(own) if size.unit == units else text
    return f"{text} ({size.edition})" if size.edition else text


def _details(part: Part, units: str, *, material: bool) -> str:
    """Say what has no column: the material where there is no room for it, features, rough sizes, other names, the sheet."""
    said = [part.material] if material and part.material else []
    said += _features(part, units)
    rough = [f"{_value(s, units)} {_WORDS[s.dimension]}".strip() for s in part.listed if s.rough]
    said += [f"rough {' x '.join(rough)}"] if rough else []
    said += [f"also called {', '.join(part.other_names)}"] if part.other_names else []
    said += [f"sheet {part.sheet}"] if part.sheet else []
    said += ["bought"] if part.hardware else []
    return harmless("; ".join(said))


def _features(part: Part, units: str) -> list[str]:
    by_name: dict[str, list[str]] = {}
    for size in part.listed:
        if size.feature and not size.rough:
            by_name.setdefault(size.feature, []).append(
                f"{_value(size, units)} {_WORDS[size.dimension]}".strip()
            )
    return [f"{name} {' x '.join(sizes)}" for name, sizes in by_name.items()]


def _part_lines(
    cells: Sequence[str], widths: Sequence[int], name: int, left: frozenset[int]
) -> Iterable[Text]:
    folded = textwrap.wrap(cells[name], widths[name]) or [""]
    yield _row([*cells[:name], folded[0], *cells[name + 1 :]], widths, left, "")
    for more in folded[1:]:
        yield _row(["" if i != name else more for i in range(len(cells))], widths, left, "")


def _aligned(rows: list[list[str]], sizes: int) -> list[list[str]]:
    """Set the sizes of each column so that whole numbers end, and fractions, points and units begin, in one place."""
    out = [list(row) for row in rows]
    for i in range(-sizes, 0):
        rests = [_rest(row[i]) for row in rows]
        longest = max(map(len, rests), default=0)
        for row, rest in zip(out, rests, strict=True):
            row[i] = row[i] + " " * (longest - len(rest)) if row[i] else ""
    return out


def _rest(text: str) -> str:
    """Give what stands behind the whole number: ".5", " 3/4", " mm"; all of "3/4", with the space before it."""
    if not re.match(r"\d", text):
        return ""
    if re.match(r"\d+/", text):
        return f" {text}"
    return text[len(text) - len(text.lstrip("0123456789")) :]


def _row(cells: Sequence[str], widths: Sequence[int], left: frozenset[int], style: str) -> Text:
    """Set a row: the columns in `left` begin in one place, the others end in one."""
    from rich.text import Text

    line = Text("  ", style=style)
    for i, (cell, width) in enumerate(zip(cells, widths, strict=True)):
        blank = " " * (width - _len(cell))
        wanted = "bold yellow" if cell.strip() == "?" else ""
        line.append(cell + blank if i in left else blank + cell, style=wanted)
        line.append(" " * _GAP if i < len(cells) - 1 else "")
    line.rstrip()
    return line


def _stacked(parts: Sequence[Part], units: str, width: int) -> Iterable[Text]:
    """Give a part as lines of words, for a terminal too narrow for columns."""
    for part in parts:
        count = "" if part.count is None else f" ({part.count})"
        for text in _folded(harmless(f"{part.row} {part.ref} {part.name}{count}"), width, 2, 4):
            yield _line(text, "bold")
        sizes = [f"{_value(s, units)} {_WORDS[s.dimension]}".strip() for s in part.listed if _main(s)]
        words = "; ".join(w for w in (" x ".join(sizes), _details(part, units, material=True)) if w)
        for text in _folded(words, width, 4, 6):
            yield _line(text, "")


def _folded(text: str, width: int, first: int, later: int) -> list[str]:
    if not text:
        return []
    return textwrap.wrap(
        harmless(text),
        width,
        initial_indent=" " * first,
        subsequent_indent=" " * later,
        break_on_hyphens=False,
    )


def _line(text: str, style: str) -> Text:
    from rich.text import Text

    return Text(text, style="" if style == "none" else style)


def _len(text: str) -> int:
    from rich.cells import cell_len

    return cell_len(text)
