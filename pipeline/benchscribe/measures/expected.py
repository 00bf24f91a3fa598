"""What the part list may suggest: a bare number is a size where the list has it, and nothing speaks against it."""

from __future__ import annotations

from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import ARTICLES, Context
from benchscribe.measures.quantity import Quantity

_COUNTS_BEFORE: Final = frozenset(
    {"there", "there's", "got", "have", "need", "than", "i", "only", "want", "all", "another", "get", "made", "us", "every",
     "till", "until", "since", "after", "within", "and"}
)  # fmt: skip
_LEAST_INCH: Final = 13
_LEAST_MM: Final = 20
_HUNDRED: Final = 100


def suggested(context: Context, q: Quantity) -> bool:
    """Tell whether a number without a unit, which has no sign of a size, is one that the part list gives.

    Args:
        context: The words around and the list's sizes.
        q: A number that nothing refused.
    """
    number = q.number
    if q.value not in context.expected or number is None or number.form == "frac":
        return False
    if not _distinctive(context, q) or not context.free_after(q) or context.before(q) in g.CODE_BEFORE:
        return False
    before = context.sign_before(q)
    fits = before == "get" and context.after(q) == "in"
    if (before in _COUNTS_BEFORE and not fits) or context.near(q, g.COUNT_TALK, 6, 4):
        return False
    grit = str(q.value) in g.GRIT_P and (before in ARTICLES or context.around(q, g.GRIT, 30, 15))
    return not grit and not context.near(q, g.PEOPLE_NOUNS & _AGED, 5, 0)


_AGED: Final = frozenset(
    {"he", "she", "he's", "she's", "daughter", "son", "wife", "husband", "kid", "age", "birthday"}
)


def _distinctive(context: Context, q: Quantity) -> bool:
    """Tell whether a value is no everyday count: three digits or not round in millimetres, 13 or more in inches, or not whole."""
    if q.value.denominator > 1:
        return True
    if not context.metric:
        return q.value >= _LEAST_INCH
    return q.value >= _HUNDRED or (q.value >= _LEAST_MM and q.value % 10 != 0)
