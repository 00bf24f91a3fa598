"""Values taken back: at once ("no, make that"), by saying it again, and later ("I said twelve earlier, it's ten")."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Final

from benchscribe import units as table
from benchscribe.measures import grammar as g
from benchscribe.measures.context import phrase_ending, phrase_starting
from benchscribe.measures.lexer import OPEN_POST, Token
from benchscribe.measures.quantity import Quantity

_REACH: Final = 9
_LATER_REACH: Final = 16
_SMALL_TALK: Final = frozenset({"it's", "is", "that's", "uh", "oh", "and", "but", "long", "well"})


def mark_taken_back(tokens: list[Token], sizes: list[Quantity]) -> None:
    """Mark what was taken back, and link it to what took its place.

    Args:
        tokens: All tokens.
        sizes: The settled sizes, in order; filled in.
    """
    for left, right in pairwise(sizes):
        if left.taken_back or left.value == right.value or not _alike(left, right):
            continue
        if (right.start - left.end <= _REACH and _corrected(tokens, left.end, right.start)) or _said_again(
            tokens, left, right
        ):
            left.taken_back, left.replaced_by = True, right
    _later(tokens, sizes)


def _alike(left: Quantity, right: Quantity) -> bool:
    return table.is_length(left.unit or "") == table.is_length(right.unit or "")


def _corrected(tokens: list[Token], start: int, end: int) -> bool:
    """Tell whether what stands between takes back: at once, or after a stop ("from the nut, no wait, ...")."""
    at_once = True
    for k in range(start, end):
        stopped = k > 0 and tokens[k - 1].post not in OPEN_POST
        if (at_once or stopped) and _takes_back(tokens, k):
            return True
        at_once = at_once and (tokens[k].text in g.ROLE_AFTER or tokens[k].text in _SMALL_TALK)
    return False


def _takes_back(tokens: list[Token], k: int) -> bool:
    text = tokens[k].text
    if phrase_starting(tokens, k, g.CORRECTION_PHRASES):
        return True
    if text not in g.CORRECTION or text in ("actually", "hold", "hang", "rather"):
        return False
    return text != "no" or _plain_no(tokens, k)


def _plain_no(tokens: list[Token], k: int) -> bool:
    """Tell "no, two oh two" from "no more than"."""
    return not (
        k + 1 < len(tokens)
        and tokens[k].post == ""
        and tokens[k + 1].text
        in (
            "more",
            "less",
            "bigger",
            "smaller",
            "wider",
            "longer",
            "problem",
            "need",
            "gap",
            "matter",
            "daylight",
        )
    )


def _said_again(tokens: list[Token], left: Quantity, right: Quantity) -> bool:
    """Tell a bare restart ("350, 352") from a list: the same figures, close by, in no chain beyond."""
    if right.start != left.end or tokens[left.end - 1].post != "," or left.said or right.said:
        return False
    if left.form != "int" or right.form != "int" or left.value < 100 or right.chain is not None:
        return False
    return abs(left.value - right.value) <= left.value / 20 and left.unit == right.unit


def _later(tokens: list[Token], sizes: list[Quantity]) -> None:
    """Link "did I say 12? It's 10" with both the 12 said again and the one said before."""
    by_value: dict[tuple[Fraction, str | None], Quantity] = {}
    for left, right in pairwise(sizes):
        said = phrase_ending(tokens, left.start, g.SAID_EARLIER) > 0
        if (
            said
            and right.start - left.end <= _LATER_REACH
            and left.value != right.value
            and _alike(left, right)
        ):
            before = by_value.get((left.value, left.unit))
            for old in (before, left):
                if old is not None and not old.taken_back:
                    old.taken_back, old.replaced_by = True, right
        by_value[(left.value, left.unit)] = left
