"""Several sizes in one cell ("3/4 x 2 1/2 x 34 1/4"): which of them is which."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from functools import cache, lru_cache
from typing import Final

from msgspec import Struct

from benchscribe.partlist.cells import Cell, Piece
from benchscribe.partlist.headings import words
from benchscribe.units import is_length, to_mm

USUAL: Final = ("thickness", "width", "length")
SECTION: Final = ("thickness", "width")
"""What a column of sections holds; the smaller one is the thickness, in whatever order they stand."""
_FAR: Final = 3
"""How many times as large as the outside of a section its length is, at least."""
_DISC: Final = Fraction(5, 2)
"""A round thing whose other size is smaller than its diameter by more than this is a disc, and that size its thickness."""


def usual_order(cells: Iterable[Cell]) -> tuple[str, ...]:
    """Tell in which order a list writes its three sizes, by where the smallest and the largest stand in most rows.

    The trade's order is thickness x width x length; length x width x thickness is common too, width x length x thickness less so.
    """
    votes: Counter[tuple[str, ...]] = Counter()
    for cell in cells:
        values = [p.value for p in cell.pieces if not p.label and not p.rough]
        if len(values) != 3 or len(cell.pieces) != 3:
            continue
        if values[0] == min(values):
            votes["thickness", "width", "length"] += 1
        elif values[2] == min(values):
            votes[
                ("length", "width", "thickness")
                if values[0] >= values[1]
                else ("width", "length", "thickness")
            ] += 1
    if not votes:
        return USUAL
    first = votes["thickness", "width", "length"]
    last = sum(votes.values()) - first
    if first >= last:
        return USUAL
    return max((k for k in votes if k != USUAL), key=lambda k: votes[k])


class Row(Struct, frozen=True):
    """What the naming of a chain must know of its row."""

    text: str
    """Name and material of the part, lower case: a round rod has a length, a round plate a thickness."""
    units: str
    """Of a size that names none."""
    shape: str = ""
    """The form that the words of the cell, the material or the heading name (see `form`)."""
    thick_known: bool = False
    """The thickness stands elsewhere (in its own column or in the material), so two sizes are width and length."""
    long_known: bool = False
    """The length stands in another column, so these are sizes of the section."""
    of_feature: bool = False
    """The column is of a feature (a tenon), whose length does not stand elsewhere."""
    open_length: bool = False
    """The notes say that the length is to suit."""


def name_pieces(
    cell: Cell, order: tuple[str, ...], row: Row, *, fixed: bool
) -> tuple[list[tuple[str, Piece]], str]:
    """Give each size of a cell its dimension.

    Args:
        cell: The cell as read; rough sizes are passed over.
        order: The order of three sizes.
        row: What else the row says.
        fixed: The order is the heading's own.

    Returns:
        (dimension, size) in the cell's order, and a note; empty where all is clear.
    """
    pieces = [p for p in cell.pieces if not p.rough]
    given: list[str] = [p.label for p in pieces]
    unsure = ""
    if "square" in given:
        first = given.index("square")
        flat = row.shape in ("sheet", "tape") or limp(row.text) or row.thick_known
        alone = len(pieces) == 2 and not (row.long_known or row.open_length)
        given[first : first + 2] = ["width", "length"] if flat and alone else ["thickness", "width"]
        if alone and not flat and not row.shape:
            unsure = "a square with no length: taken as a section"
    taken = {label for label in given if label and label != "inside"}
    left = [i for i, label in enumerate(given) if not label]
    free, note = _free([pieces[i] for i in left], pieces, given, taken, order, row, fixed=fixed)
    for i, name in zip(left, free, strict=False):
        given[i] = name
    if len(left) > len(free):
        note = note or "more sizes than dimensions: the last were left out"
    return [(d, p) for d, p in zip(given, pieces, strict=True) if d], note or unsure


def _free(
    left: list[Piece],
    pieces: list[Piece],
    given: list[str],
    taken: set[str],
    order: tuple[str, ...],
    row: Row,
    *,
    fixed: bool,
) -> tuple[list[str], str]:
    """Name the sizes that say nothing of themselves."""
    values = [_in_mm(p, row.units) for p in left]
    if taken & {"diameter", "radius"}:
        diameter = pieces[given.index("diameter")] if "diameter" in given else None
        return _round_names(values, _in_mm(diameter, row.units) if diameter else None, row), ""
    if taken or not left:
        return [d for d in order if d not in taken], ""
    if fixed and order != SECTION and len(left) > 1:
        return list(order), ""
    section = row.long_known or order == SECTION
    if len(left) == 1:
        return _one(row.shape, row, section=section, order=order if fixed else ())
    if row.shape == "sheet" and section and len(left) == 3 and min(values) * _FAR < sorted(values)[1]:
        flat = ["length", "width"] if values[0] == max(values) else ["width", "length"]
        return ["thickness" if v == min(values) else flat.pop(0) for v in values], ""
    if row.shape in ("angle", "hollow", "tube") or (section and len(left) == 3):
        named = _profile(values, row.shape, section=section)
        if named or len(left) > 2:
            return named, "" if named else "the sizes of this section could not be told apart"
    return _two(values, order, row, section=section) if len(left) == 2 else (list(order), "")


def _two(values: list[Fraction], order: tuple[str, ...], row: Row, *, section: bool) -> tuple[list[str], str]:
    """Name two sizes: of a section, thickness and width; of a rod, diameter and length; else width and length."""
    if row.shape == "round" and values[0] < values[1] and not section:
        return ["diameter", "length"], ""
    if section or (row.open_length and not row.thick_known):
        return (["thickness", "width"] if values[0] <= values[1] else ["width", "thickness"]), ""
    names = ["width", "length"] if order != ("length", "width", "thickness") else ["length", "width"]
    note = "" if row.thick_known else "two sizes, and nothing says which: taken as width and length"
    return names, note


def _one(shape: str, row: Row, *, section: bool, order: tuple[str, ...]) -> tuple[list[str], str]:
    """Name a size that stands alone: of a sheet it is the thickness, of a rod the diameter, of a tape the width."""
    if len(order) == 1:
        return [order[0]], ""
    if row.of_feature and shape not in ("round", "tube", "tape"):
        return ["length"], ""
    if shape == "sheet" and not row.thick_known:
        return ["thickness"], ""
    if shape in ("round", "tube") and (section or row.open_length):
        return ["diameter"], ""
    if shape == "tape" and (section or row.open_length):
        return ["width"], ""
    if section or row.open_length:
        return [], "one size of a section, and nothing says which: not taken"
    return ["length"], "one size, and nothing says which: taken as the length"


def _profile(values: list[Fraction], shape: str, *, section: bool) -> list[str]:
    """Name the sizes of an angle, a hollow section or a pipe: outside sizes, the wall (the smallest), and a length that is by far the largest."""
    names = [""] * len(values)
    rest = list(range(len(values)))
    if not section and len(values) > 2:
        longest = max(rest, key=lambda i: values[i])
        others = max(values[i] for i in rest if i != longest)
        if len(values) == 4 or values[longest] > _FAR * others:
            names[longest] = "length"
            rest.remove(longest)
    wall = min(rest, key=lambda i: values[i])
    across = [i for i in rest if i != wall]
    if len(rest) > 3 or (len(rest) == 3 and 2 * values[wall] > min(values[i] for i in across)):
        return []
    if shape == "tube" and len(across) == 1:
        outside = ["diameter"]
    elif shape in ("angle", "hollow", "tube", "") and len(across) <= 2 and (shape or len(across) == 2):
        outside = ["width", "height"]
    else:
        return []
    names[wall] = "thickness"
    for i, name in zip(across, outside, strict=False):
        names[i] = name
    return names if all(names) else []


def _in_mm(piece: Piece, units: str) -> Fraction:
    unit = piece.unit or units
    return to_mm(piece.value, unit) if is_length(unit) else piece.value


def _round_names(left: list[Fraction], diameter: Fraction | None, row: Row) -> list[str]:
    """Name the sizes beside a diameter: the length, the wall of a tube, or the thickness of a disc."""
    if len(left) == 2:
        return ["thickness", "length"] if left[0] <= left[1] else ["length", "thickness"]
    if len(left) != 1:
        return []
    if row.of_feature:
        return ["length"]
    if row.long_known or row.open_length:
        return ["thickness"]
    if long_round(row.text) or diameter is None or _DISC * left[0] >= diameter:
        return ["length"]
    return ["thickness"]


@lru_cache(maxsize=65536)
def form(text: str) -> str:
    """Tell the form of a part by its words: angle, hollow, tube, tape, round, flat, sheet; empty where none says."""
    return next((name for name, said in _forms() if said.search(text)), "")


@cache
def _forms() -> tuple[tuple[str, re.Pattern[str]], ...]:
    known: dict[str, list[str]] = words()["forms"]
    return tuple((name, any_word(said, "s?")) for name, said in known.items())


def any_word(said: Iterable[str], ending: str = "") -> re.Pattern[str]:
    """Give the pattern that finds any of these words, as a whole."""
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, sorted(said, key=len, reverse=True)))}){ending}\b")


def shape_of(cell: str, material: str, heading: str, name: str) -> str:
    """Tell the form of a part by its cell, else its material, its name, the heading; a name says nothing of sheets ("base plate", "cover board")."""
    named = form(name)
    return form(cell) or form(material) or (named if named not in ("sheet", "flat") else "") or form(heading)


def limp(text: str) -> bool:
    """Tell whether a part is of cloth, paper or the like, whose thickness no list asks for."""
    return bool(_limp().search(text))


@cache
def _limp() -> re.Pattern[str]:
    return any_word(words()["limp"])


def long_round(text: str) -> bool:
    """Tell whether a round part is long (a rod, a tube) and not a disc or a ring."""
    names = {w.rstrip("s") for w in text.replace(",", " ").split()}
    return any(word in names for word in words()["long_round"])
