"""Frames of speech in which a bare number is a size: the plan quoted, the maker's own size declared, a place after a size."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import Context
from benchscribe.measures.quantity import Quantity

_LEAST_INCH: Final = 13
_LEAST_MM: Final = 20
_QUOTES: Final = frozenset(
    {"that's", "it's", "is", "says", "say", "said", "saying", "as", "at", "'s", "s", "gives", "reads", "shows", "show",
     "has", "was", "they're", "are", "got", "me", "you", "be"}
)  # fmt: skip
_PLACES: Final = frozenset({"down", "in", "back", "along", "deep"})
_SPANS: Final = frozenset({"last", "first", "top", "bottom", "middle", "end"})
_ENDS_TALK: Final = frozenset({"taper", "tapered", "tapers", "thin", "thinned"}) | g.STRONG_VERBS
_PUT: Final = frozenset({"put", "the", "to", "write", "wrote", "it", "that", "make", "as"})
_SUBTRACT: Final = frozenset({"subtract", "deduct", "take", "taken", "knock"})
_OTHER_KINDS: Final = frozenset(g.AFTER) - {"second", "seconds", "on"}
"""Words of another kind of number: "the sheet says twenty, I'd give it twenty five minutes"."""
_MINE: Final = frozenset({"mine", "mine's", "ours", "yours"})
_IT_IS: Final = frozenset({"it's", "that's", "is", "are", "they're", "was", "were", "'s"})
_MAKER: Final = frozenset({"i", "i've", "we", "we've"})
_LATELY: Final = 60
_FROM_WHERE: Final = frozenset({"up", "down", "in", "back", "along", "out", "over"})
_GIVEN: Final = frozenset({"give", "gave", "given", "gives", "giving"})
_CUT_IT: Final = frozenset({"it", "them", "that", "these", "those", "this"})


def no_small_count(context: Context, q: Quantity) -> bool:
    """Tell whether a number is above what is counted as a rule, or no whole number at all."""
    return q.form != "int" or q.value >= (_LEAST_MM if context.bare == "mm" else _LEAST_INCH)


def frames(context: Context, q: Quantity) -> bool:
    """Tell whether a number stands in a frame that only a size stands in.

    Args:
        context: The words around and what is known so far.
        q: A number without a unit, with nothing behind it that it could count.
    """
    if not no_small_count(context, q) and q.value not in context.expected:
        return (
            context.metric
            and q.value >= 3
            and any(rule(context, q) for rule in (_same_as, _how_far, _span, _given_it, _own_choice, _rather))
        )
    if q.value <= 2:
        return False
    return any(
        rule(context, q)
        for rule in (
            _plan_quoted,
            _declared,
            _amended,
            _taken_from,
            _same_as,
            _how_far,
            _again,
            _cut_them,
            _span,
            _known_before,
            _from_a_place,
            _every,
            _given_it,
            _own_choice,
            _rather,
        )
    )


def _plan_quoted(context: Context, q: Quantity) -> bool:
    """As in "on the drawing that's 52", "it's down on the sheet as 520", "gives the length as forty six"."""
    if context.near(q, g.COUNT_TALK, 9, 6) or context.near(q, _OTHER_KINDS, 0, 7):
        return False
    before = context.sign_before(q)
    if before == "as" and context.near(q, g.PLAN_VERBS | g.ROLE_BEFORE, 8, 0):
        return True
    if context.phrase_before(q, g.PLAN_PHRASES):
        return True
    ahead = 4 if before in ("you", "me") else 0  # "it'll tell you 19 on the sheet"
    return before in _QUOTES and context.near(q, g.PLAN_WORDS, 10, ahead)


def _declared(context: Context, q: Quantity) -> bool:
    """As in "mine are going to be thirty four", "what you cut is fifty three", "I've gone up to 250"."""
    if context.near(q, g.PEOPLE_NOUNS & frozenset({"he", "she", "he's", "she's"}), 7, 6):
        return False
    if context.near(q, _OTHER_KINDS, 0, 7):
        return False
    if context.phrase_before(q, g.DECLARING) and context.after(q) != "out":
        mine = context.near(q, _MINE, 6, 0)
        lately = context.last is not None and q.start - context.last.end < _LATELY
        own = (
            context.metric
            and context.closed(q)
            and str(q.value) not in g.GRIT_P
            and context.near(q, _MAKER, 5, 0)
        )
        return mine or own or lately or context.support(q) or q.value in context.expected
    asked = context.before(q) in ("is", "are", "was", "'s") and context.before(q, 2) in g.STRONG_VERBS
    return asked and any(context.before(q, k) in ("what", "all") for k in range(3, 6))


def _amended(context: Context, q: Quantity) -> bool:
    """As in "cross out the 32 and put 34", "change the 240 to 234"; a grit is changed as well, so it must be known."""
    if context.before(q) not in _PUT or not context.near(q, g.AMENDING, 7, 0):
        return False
    known = q.value in context.known or q.value in context.expected
    if q.value in range(1900, 2100):
        return known  # "write 2024 on the back"
    return known or (str(q.value) not in g.GRIT_P and not context.near(q, g.COUNT_TALK, 9, 6))


def _taken_from(context: Context, q: Quantity) -> bool:
    """As in "subtract the two thicknesses from 24"."""
    taken = context.before(q) == "from" and context.near(q, _SUBTRACT, 8, 0)
    taken = taken or context.before(q) in ("divide", "dividing")
    lately = context.last is not None and q.start - context.last.end < _LATELY
    return taken and (lately or q.value in context.expected or context.support(q))


def _same_as(context: Context, q: Quantity) -> bool:
    """As in "steel rod, 6, same as a shaft"."""
    if not (context.opened(q) and context.closed(q)):
        return False
    following = [t.text for t in context.tokens[q.end : q.end + 3]]
    return following[:2] == ["same", "as"] and following[2:] != ["last"]


def _how_far(context: Context, q: Quantity) -> bool:
    """As in "a 3.3 drill, down 15"."""
    last = context.last
    near = (last is not None and q.start - last.end <= 4) or context.near(q, g.DRILL, 5, 0)
    if context.before(q) not in _PLACES or not near or not context.closed(q):
        return False
    return q.start > 1 and "," in context.tokens[q.start - 2].post


def _again(context: Context, q: Quantity) -> bool:
    """As in "5 1/2, 70 again": a size said before."""
    if context.after(q) != "again" or not context.opened(q) or context.after(q, 1) == "as":
        return False
    last = context.last
    near = last is not None and q.start - last.end < 8
    return near or q.value in context.known or q.value in context.expected


def _known_before(context: Context, q: Quantity) -> bool:
    """As in "it's fifty three, so those get ripped", once 53 inches have been said; millimetres need no more than "it's"."""
    known = context.closed(q) and context.known.get(q.value) not in (None, "degree")
    return known and context.sign_before(q) in _IT_IS and not context.near(q, g.COUNT_TALK, 9, 6)


def _cut_them(context: Context, q: Quantity) -> bool:
    """As in "if you cut them 86"; "cut it 24 times" is refused before."""
    return context.before(q) in _CUT_IT and context.before(q, 2) in g.STRONG_VERBS and context.closed(q)


def _from_a_place(context: Context, q: Quantity) -> bool:
    """As in "up from the bottom, 310": how far from there."""
    if not (context.metric and context.opened(q) and context.closed(q)) or context.near(
        q, g.COUNT_TALK, 8, 3
    ):
        return False
    words = [context.before(q, k) for k in range(1, 8)]
    return any(a == "from" and b in _FROM_WHERE for a, b in pairwise(words))


def _every(context: Context, q: Quantity) -> bool:
    """As in "every 85 you put a pin"; times and turns have their own words behind them."""
    return context.metric and context.before(q) == "every"


def _given_it(context: Context, q: Quantity) -> bool:
    """As in "it wants six mil, I gave it five"."""
    given = context.before(q) in ("it", "them") and context.before(q, 2) in _GIVEN
    return given and context.support(q) and context.closed(q)


def _own_choice(context: Context, q: Quantity) -> bool:
    """As in "I went 95", "I'm happier with twelve", "I bumped it to 62": the maker's own, where sizes or the plan are spoken of."""
    if not context.phrase_before(q, g.CHOOSING) or context.near(q, _OTHER_KINDS, 0, 7):
        return False
    if not context.metric and not context.closed(q):
        return False
    return context.support(q) or (context.metric and context.near(q, g.PLAN_WORDS, 12, 10))


def _rather(context: Context, q: Quantity) -> bool:
    """As in "twelve rather than nine", "eighteen where they had fifteen": one size for another, where sizes are spoken of."""
    if not context.support(q) or context.near(q, g.COUNT_TALK, 9, 6):
        return False
    tokens = context.tokens
    ahead = [t.text for t in tokens[q.end : q.end + 4]]
    first = ahead[:2] in (["rather", "than"], ["instead", "of"]) or ahead[:3] in (
        ["where", "they", "had"],
        ["where", "they", "have"],
    )
    back = [context.before(q, k) for k in (3, 2, 1)]
    second = back[1:] in (["rather", "than"], ["instead", "of"]) or back in (
        ["where", "they", "had"],
        ["where", "they", "have"],
    )
    return (first and context.size_at(q.end + (2 if ahead[0] in ("rather", "instead") else 3))) or (
        second and context.closed(q)
    )


def _span(context: Context, q: Quantity) -> bool:
    """As in "skived over the last 30"."""
    placed = context.before(q) in _SPANS and context.before(q, 2) == "the"
    if not (placed and context.metric and context.closed(q)):
        return False
    last = context.last
    lately = (
        last is not None
        and q.start - last.end < 8
        and context.sentence[last.start] == context.sentence[q.start]
    )
    return lately or context.near(q, _ENDS_TALK, 12, 0)
