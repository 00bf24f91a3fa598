"""What the part list may suggest: a bare number is a size where the list has it, and nothing speaks against it."""

from __future__ import annotations

from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import ARTICLES, Context
from benchscribe.measures.frames import no_small_count
from benchscribe.measures.lexer import NUMERAL
from benchscribe.measures.quantity import Quantity

_COUNTS_BEFORE: Final = frozenset(
    {"there", "there's", "got", "have", "need", "than", "i", "only", "want", "all", "another", "get", "made", "make", "us",
     "every", "own", "till", "until", "since", "after", "within", "and", "a", "an", "pushing", "complete", "plot", "call", "call's"}
)  # fmt: skip
_AGED: Final = frozenset(
    {"he", "she", "he's", "she's", "daughter", "son", "wife", "husband", "kid", "age", "birthday"}
)
_YEARS_BEFORE: Final = frozenset({"in", "from", "since", "of"})
_YEARS: Final = range(1700, 2100)
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
    if (
        context.after(q) == "past"
        or (before in _COUNTS_BEFORE and not fits)
        or context.near(q, g.COUNT_TALK, 6, 4)
    ):
        return False
    grit = str(q.value) in g.GRIT_P and (before in ARTICLES or context.around(q, g.GRIT, 30, 15))
    return not grit and not _part_of_code(context, q) and not context.near(q, _AGED, 5, 0)


def _distinctive(context: Context, q: Quantity) -> bool:
    """Tell whether a value is no everyday count: three digits or not round in millimetres, 13 or more in inches, or not whole."""
    if q.value.denominator > 1:
        return True
    return no_small_count(context, q) and (not context.metric or q.value >= _HUNDRED or q.value % 10 != 0)


def _part_of_code(context: Context, q: Quantity) -> bool:
    """Tell "one four two", "50-50", "v2.1", "p. 23", "'87" and "from eighteen twelve" from a number of its own."""
    tokens = context.tokens
    first, last = tokens[q.start], tokens[q.end - 1]
    quoted = first.offset > 0 and not first.opened  # "'87"
    if quoted or (first.text.startswith("0") and first.text.isdigit()):
        return True
    if q.value in _YEARS and context.before(q) in _YEARS_BEFORE:
        return True
    after = tokens[q.end] if q.end < len(tokens) else None
    if after is not None and (after.pre == "-" or (after.pre == "" and not last.post)):
        return True
    if not q.start:
        return False
    before = tokens[q.start - 1]
    short = "." in before.post and len(before.text) <= 3 and before.text not in g.FOLLOW | g.COPULA
    number = before.kind == NUMERAL or before.text in g.SMALL
    return short or first.pre != " " or before.text == "'" or (number and not before.post)
