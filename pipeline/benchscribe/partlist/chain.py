"""Several sizes in one cell ("3/4 x 2 1/2 x 34 1/4"): which of them is which."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Final

from benchscribe.partlist.cells import Cell, Piece
from benchscribe.partlist.headings import words

USUAL: Final = ("thickness", "width", "length")


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


def name_pieces(
    cell: Cell, order: tuple[str, ...], *, fixed: bool, thick_known: bool, text: str
) -> tuple[list[tuple[str, Piece]], str]:
    """Give each size of a cell its dimension.

    Args:
        cell: The cell as read.
        order: The order of three sizes.
        fixed: The order is the heading's own.
        thick_known: The thickness stands elsewhere (in the material), so two sizes are width and length.
        text: Name and material of the part, lower case: a round rod has a length, a round plate a thickness.

    Returns:
        (dimension, size) in the cell's order, and a note; empty where all is clear.
    """
    pieces = [p for p in cell.pieces if not p.rough]
    given: list[str] = [p.label for p in pieces]
    if "square" in given:
        first = given.index("square")
        given[first : first + 2] = ["thickness", "width"]
    taken = {label for label in given if label}
    left = [i for i, label in enumerate(given) if not label]
    round_part = bool(taken & {"diameter", "radius"})
    note = ""
    if round_part:
        free = _round_names(
            [pieces[i] for i in left], pieces[given.index("diameter")] if "diameter" in given else None, text
        )
    elif fixed:
        free = [d for d in order if d not in taken]
    elif len(left) == 1 and not taken:
        free, note = ["length"], "one size, and nothing says which: taken as the length"
    elif len(left) == 2 and not taken:
        free = ["width", "length"] if order != ("length", "width", "thickness") else ["length", "width"]
        note = "" if thick_known else "two sizes, and nothing says which: taken as width and length"
    else:
        free = [d for d in order if d not in taken]
    for i, name in zip(left, free, strict=False):
        given[i] = name
    if len(left) > len(free):
        note = "more sizes than dimensions: the last were left out"
    return [(d, p) for d, p in zip(given, pieces, strict=True) if d], note


def _round_names(left: list[Piece], diameter: Piece | None, text: str) -> list[str]:
    if len(left) == 2:
        return ["thickness", "length"] if left[0].value <= left[1].value else ["length", "thickness"]
    if len(left) != 1:
        return []
    if long_round(text) or diameter is None or left[0].value >= diameter.value:
        return ["length"]
    return ["thickness"]


def long_round(text: str) -> bool:
    """Tell whether a round part is long (a rod, a tube) and not a disc or a ring."""
    names = {w.rstrip("s") for w in text.replace(",", " ").split()}
    return any(word in names for word in words()["long_round"])
