"""Sums said aloud: "250 take away two fives is 240", "two at 34, that's 68". What a sum of sizes comes to is a size."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import Context
from benchscribe.measures.quantity import Quantity

_COMES_TO: Final = frozenset(
    {"is", "that's", "makes", "leaves", "gives", "equals", "get", "it's", "are", "to", "us", "you"}
)
_LESS: Final = (("take", "away"), ("take", "off"), ("less",), ("minus",), ("takeaway",))
_REACH: Final = 14
_LATELY: Final = 30
_LEAST: Final = 4


def sums(context: Context, quantities: list[Quantity]) -> Iterator[tuple[Quantity, str, str]]:
    """Give the numbers that a sum is made of, or comes to, where sizes are spoken of.

    Args:
        context: The words around and what is known so far.
        quantities: All quantities in order.

    Yields:
        A quantity, its unit, and why.
    """
    for k, q in enumerate(quantities):
        if not _is_result(context, q):
            continue
        before = [
            x
            for x in quantities[max(0, k - 3) : k]
            if q.start - x.end <= _REACH and context.sentence[x.start] == context.sentence[q.start]
        ]
        for first in reversed(before):
            if _comes_to(context, first, q, [x for x in before if x is not first and x.size]):
                unit = first.unit if first.size else _unit(context)
                yield from ((x, unit or "inch", "a sum said aloud") for x in (first, q) if _open(x))
                break


def _unit(context: Context) -> str:
    return "mm" if context.metric else "inch"


def _open(q: Quantity) -> bool:
    return not q.size and not q.refused and q.unit is None and q.number is not None


def _is_result(context: Context, q: Quantity) -> bool:
    """Tell whether something comes to this number."""
    if not (_open(q) or (q.size and q.unit != "degree")) or q.value < _LEAST or not context.free_after(q):
        return False
    return context.sign_before(q) in _COMES_TO and not context.near(q, g.COUNT_TALK, 8, 5)


def _comes_to(context: Context, first: Quantity, q: Quantity, others: list[Quantity]) -> bool:
    """Tell whether the words between say a sum, and it is right."""
    if first.unit == "degree" or (first.refused and not first.size):
        return False
    if not first.size and not _spoken_of(context, first, q):
        return False
    if _halved(context, first, q) or _taken_away(context, first, q) or _divided(context, first, q):
        return True
    if not first.size:
        return False
    if _multiplied(context, first, q):
        return True
    return any(
        x.unit == first.unit and q.value in (x.value + first.value, abs(x.value - first.value))
        for x in others
    )


def _spoken_of(context: Context, first: Quantity, q: Quantity) -> bool:
    """Tell whether a bare first term is likely a size: known, listed, or sizes are spoken of."""
    if any(x.value in context.known or x.value in context.expected for x in (first, q)):
        return True
    last = context.last
    lately = last is not None and last.unit != "degree" and 0 <= first.start - last.end < _LATELY
    return first.value >= _LEAST and context.free_after(first) and lately


def _halved(context: Context, first: Quantity, q: Quantity) -> bool:
    """As in "half of 150 is 75", "twice 34 is 68"."""
    words = [context.before(first, k) for k in (1, 2)]
    if q.value * 2 == first.value:
        return words == ["of", "half"] or words[0] == "half"
    return q.value == first.value * 2 and words[0] in ("twice", "double")


def _taken_away(context: Context, first: Quantity, q: Quantity) -> bool:
    """As in "250 take away two fives is 240"."""
    tokens = context.tokens
    for sign in _LESS:
        if tuple(t.text for t in tokens[first.end : first.end + len(sign)]) != sign:
            continue
        between = [_figure(t.text) for t in tokens[first.end + len(sign) : q.start - 1]]
        figures = [x for x in between if x is not None]
        less = figures[0] * figures[1] if len(figures) == 2 else sum(figures)
        return bool(figures) and first.value - less == q.value
    return False


def _divided(context: Context, first: Quantity, q: Quantity) -> bool:
    """As in "divide 560 by four and you get 140"."""
    if context.before(first) not in ("divide", "divided", "dividing") or context.after(first) != "by":
        return False
    parts = _figure(context.after(first, 1))
    return parts is not None and parts > 1 and q.value * parts == first.value


def _figure(text: str) -> Fraction | None:
    """Read one plain figure, plural or not: "fives", "12"."""
    single = text.removesuffix("es") if text == "sixes" else text.removesuffix("s")
    if single in g.SMALL:
        return Fraction(g.SMALL[single])
    return Fraction(int(single)) if single.isdigit() else None


def _multiplied(context: Context, first: Quantity, q: Quantity) -> bool:
    """As in "two at 34, that's 68", "four of 12 makes 48"."""
    if context.before(first) not in ("at", "of", "times", "by", "x"):
        return False
    times = _figure(context.before(first, 2))
    return times is not None and times > 1 and first.value * times == q.value
