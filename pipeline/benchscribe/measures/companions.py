"""Numbers that are sizes because of the size beside them: said again, put right, halved, or close by and close in value."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import Context, phrase_starting
from benchscribe.measures.lexer import OPEN_POST, WORD, Token
from benchscribe.measures.quantity import Quantity
from benchscribe.measures.signs import grit_talk

Settled = tuple[Quantity, str, str]
"""A quantity, its unit, and why."""

_SAYS: Final = frozenset(
    {"says", "say", "got", "have", "make", "makes", "made", "mine", "get", "yours", "wants", "want", "reads", "read",
     "s", "'s", "shows", "gives", "wanted", "had", "has", "as", "with", "not", "list", "listed", "plan", "drawing"}
)  # fmt: skip
_SMALL_TALK: Final = frozenset({"let", "me", "look", "that", "mean", "see", "check", "on", "hang", "um"})
_OR: Final = frozenset({"maybe", "or", "perhaps", "even", "possibly", "say", "more", "like", "call", "it"})


def restarts(context: Context, quantities: list[Quantity]) -> Iterator[Settled]:
    """Give the numbers that are at once said again, or put right, where their neighbour is a size."""
    for sure, other in _neighbours(quantities):
        if not _open(sure, other) or (sure.unit == "degree" and other.value > 180):
            continue
        first, second = (sure, other) if sure.start < other.start else (other, sure)
        apart = second.start - first.end
        ratio = other.value / sure.value
        if apart <= 6 and Fraction(1, 2) <= ratio <= 2:
            if _only_correction(context.tokens, first.end, second.start):
                yield other, sure.unit or "inch", "said again or put right at once"
            elif first is sure and _or_maybe(context, first, second):
                yield other, sure.unit or "inch", "a second guess at the same size"


def companions(context: Context, quantities: list[Quantity]) -> Iterator[Settled]:
    """Give the numbers close by a size and close in value, or half of it where a half is spoken of."""
    for sure, other in _neighbours(quantities):
        if not _open(sure, other) or sure.unit == "degree":
            continue
        apart = max(other.start - sure.end, sure.start - other.end)
        if other.start > sure.start and apart <= 14 and _halved(context, sure, other):
            yield other, sure.unit or "inch", "worked out from the size before"
        elif (
            other.form == "int"
            and other.value >= 4
            and apart <= 14
            and _speaks_of(context, other)
            and Fraction(4, 5) <= other.value / sure.value <= Fraction(5, 4)
        ):
            yield other, sure.unit or "inch", "close to a size said close by"


def _neighbours(quantities: list[Quantity]) -> Iterator[tuple[Quantity, Quantity]]:
    """Give every pair of neighbours both ways round: first in order, then backwards."""
    yield from pairwise(quantities)
    yield from pairwise(reversed(quantities))


def _open(sure: Quantity, other: Quantity) -> bool:
    if not sure.size or not sure.value or other.size or other.refused:
        return False
    return other.unit is None and other.number is not None


def _speaks_of(context: Context, q: Quantity) -> bool:
    before = context.sign_before(q)
    if context.opened(q) and q.number is not None and q.number.digits and q.start and q.value >= 10:
        return (
            context.free_after(q)
            and context.after(q) in ("with", "without", "at", "on", "when")
            and not grit_talk(context, q)
        )
    if not (before in _SAYS or before in g.COPULA) or before == "of" or context.near(q, g.PEOPLE_NOUNS, 1, 0):
        return False
    return context.free_after(q) and not grit_talk(context, q)


def _halved(context: Context, sure: Quantity, other: Quantity) -> bool:
    """Tell "12 inches, and half of that is 6"."""
    if other.value * 2 == sure.value:
        return context.near(other, frozenset({"half", "halfway"}), 8, 0) and context.free_after(other)
    if other.value == sure.value * 2:
        return context.near(other, frozenset({"twice", "double", "doubled"}), 8, 0) and context.free_after(
            other
        )
    return False


def _or_maybe(context: Context, first: Quantity, second: Quantity) -> bool:
    """Tell "about 5 thou, maybe 6"."""
    words = [t.text for t in context.tokens[first.end : second.start]]
    return first.said and 0 < len(words) <= 3 and all(w in _OR for w in words) and context.free_after(second)


def _only_correction(tokens: list[Token], start: int, end: int) -> bool:
    between = tokens[start:end]
    if not between:
        return start > 0 and tokens[start - 1].post not in OPEN_POST
    text = [t.text for t in between if t.kind == WORD]
    phrase = any(phrase_starting(tokens, start + k, g.CORRECTION_PHRASES) for k in range(len(between)))
    if not phrase and not any(w in g.CORRECTION for w in text):
        return False
    return all(w in g.CORRECTION or w in g.FOLLOW or w in _SMALL_TALK for w in text)
