"""Bare numbers in a metric build, where people hardly ever say "millimetres": which of them are sizes."""

from __future__ import annotations

from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import ARTICLES, Context
from benchscribe.measures.quantity import Quantity

_NOT_METRIC_AFTER: Final = frozenset({"there", "there's", "got", "have", "made", "need", "than", "i", "only"})
_LEAST_FLOWING: Final = 10
_LEAST_SAID: Final = 20
_YEARS: Final = range(1900, 2100)
_NUMBERED: Final = frozenset({"pin", "pins", "hole", "station", "frame", "rib", "row", "card", "holes"})


def bare_millimetres(context: Context, q: Quantity, before: str) -> bool:
    """Judge a number with no sign beside it, in a metric build.

    After "is", "at" or "to" it is as a rule millimetres; counts are followed by a noun.

    Args:
        context: The words around and what is known so far.
        q: The number.
        before: The word before it, small adverbs passed over.
    """
    value = q.value
    if _in_the_flow(context, q):
        return True
    if q.number is not None and q.number.was_run and value >= 100:
        return True  # "eight nine five": said so, a number is a size in millimetres
    if context.after(q) == "of":
        return _of_something(context, q)
    known = value in context.known
    if context.before(q) in _NOT_METRIC_AFTER:
        return context.before(q) == "only" and known
    if known and (
        before in ARTICLES
        or before in g.COPULA
        or before in ("less", "minus", "of", "plus", "saying", "at", "than")
    ):
        return True
    if before in g.COPULA:
        return _after_copula(context, q, before)
    if before in ("um", "called"):
        return value >= 10
    comma = q.start > 0 and any(c in ",." for c in context.tokens[q.start - 1].post)
    alone = comma and bool(context.tokens[q.end - 1].post)
    return (
        value >= 10
        and alone
        and context.last is not None
        and not context.near(q, frozenset({"episode", "number"}), 8, 4)
    )


def _of_something(context: Context, q: Quantity) -> bool:
    """As in "12 of cover", "leave about 20 of it"; not "12 of the"."""
    nxt = context.after(q, 1)
    if nxt == "it":
        return q.value >= _LEAST_FLOWING and context.support(q)
    plain = bool(nxt) and nxt not in g.FRACTION_OF_NOTHING and not nxt.endswith("s")
    return q.number is not None and q.number.digits and q.value >= 3 and plain


def _in_the_flow(context: Context, q: Quantity) -> bool:
    """Tell a number among sizes, with no sign of its own: too large for a count, or one of the list's."""
    if not context.support(q) or context.near(q, g.COUNT_TALK, 6, 4) or q.value in _YEARS:
        return False
    if context.before(q) in g.CODE_BEFORE or context.before(q) in _NUMBERED:
        return False
    digits = q.number is not None and q.number.digits
    least = _LEAST_FLOWING if digits or context.closed(q) else _LEAST_SAID
    return q.value >= least or (q.value in context.expected and q.value >= 5)


def _after_copula(context: Context, q: Quantity, before: str) -> bool:
    if before == "of":
        return False
    if before in ("at", "to", "than", "about", "around"):
        return q.value >= 10 and context.support(q)
    if q.value < 10:
        return q.value >= 3 and context.support(q) and context.before(q) not in ("it's", "that's")
    return True
