"""Numbers that count: so many of a thing, the number of something, so many times so many."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import Context
from benchscribe.measures.number import Number
from benchscribe.measures.quantity import Quantity

_PACKS: Final = frozenset(
    {"pack", "box", "bag", "set", "out", "packet", "roll", "bunch", "crowd", "total", "minimum", "one", "row", "pair",
     "dozen", "batch", "run"}
)  # fmt: skip
_NEARLY: Final = frozenset({"now", "only", "just", "nearly", "almost", "about", "is", "was"})
_THEM: Final = frozenset({"them", "these", "those", "us", "you"})
_OWNERS: Final = frozenset(
    {"the", "my", "our", "your", "his", "her", "their", "each", "it", "a", "an", *_THEM}
)
_THERE: Final = (["there"], ["there'd"], ["there'll"])
_AWAY: Final = frozenset({"out", "along", "toward", "towards", "through"})
_EACH_WAY: Final = frozenset({"way", "and", "of", "is", "from"})
_EACH_END: Final = frozenset({"side", "end", "edge", "face"})
_FEW: Final = 12
_COUNTED: Final = 10
"""From here on a number without a plural behind it counts nothing, where talk has no stops."""
_KINDS: Final = MappingProxyType(
    {
        "short": frozenset({"tall", "long"}),
        "tall": frozenset({"short"}),
        "long": frozenset({"short"}),
        "wide": frozenset({"narrow"}),
        "narrow": frozenset({"wide"}),
        "thick": frozenset({"thin"}),
        "thin": frozenset({"thick"}),
    }
)
"""Kinds of one thing: nobody gives a size as so much short and so much tall."""
_TELLS: Final = frozenset({"tell", "tells", "told", "give", "gives", "gave", "show", "shows", "leaves"})
_MAKES: Final = frozenset({"made", "bought", "ordered"})


def of_them(context: Context, q: Quantity, number: Number) -> bool:
    """As in "four of them", "two of the"; save where the size is known: "the 252 of the side"."""
    del number
    if context.after(q) != "of" or context.after(q, 1) not in _OWNERS:
        return False
    if context.metric and context.after(q, 1) == "it" and q.value >= _COUNTED:
        return False  # "leave about 20 of it"
    return q.value not in context.known or context.after(q, 1) in _THEM


def the_number_of(context: Context, q: Quantity, number: Number) -> bool:
    """As in "the number of slats is 14", "a pack of 50", "8 off each"."""
    del number
    if any(context.before(q, k) == "number" and context.before(q, k - 1) == "of" for k in range(2, 7)):
        return True
    if context.after(q) == "off" and (context.after(q, 1) in ("each", "") or context.closed(q)):
        return q.value < 20
    return context.before(q) == "of" and context.before(q, 2) in _PACKS


def counted(context: Context, q: Quantity, number: Number) -> bool:
    """As in "six hinges", "I'm 40"."""
    if q.prefixed:
        return False
    if counts_noun(context, q):
        return True
    if number.form != "int":
        return False
    before, verb = context.before(q), context.before(q, 2)
    if before in g.PEOPLE:
        return not (verb in _TELLS and q.value > _FEW)  # "it'll tell you 66"
    aged = before in g.COPULA and before not in ("at", "to", "of") and q.value <= 120
    # "my daughter's nearly nine", but "what I printed was seventy four"
    return aged and (verb in g.PEOPLE_NOUNS or (verb in _NEARLY and context.before(q, 3) in g.PEOPLE_NOUNS))


def no_size_of(context: Context, q: Quantity, number: Number) -> bool:
    """As in "the total is 48", "there are sixteen": what it is said of has no size."""
    del number
    if context.role_after(q):
        return False
    window = [context.before(q, k) for k in range(1, 6)]
    copulas = [k for k, word in enumerate(window) if word in ("is", "are", "was", "were", "be", "'s")]
    if not copulas:
        return False
    subject = window[copulas[0] + 1 : copulas[0] + 4]
    # "there are sixteen", but "what's printed there is 1.375"
    shown = subject[:1] == ["there"] and subject[1:2] != [] and subject[1] in g.PLAN_VERBS
    there = subject[:1] in _THERE and not shown
    return there or any(word in g.NO_SIZE_OF for word in subject)


def made_so_many(context: Context, q: Quantity, number: Number) -> bool:
    """As in "the list may say 30, I only made 28": pieces, for nothing stands between the making and the number."""
    del number
    if context.before(q) in _MAKES and context.closed(q):
        return context.before(q, 2) == "only"
    tokens, home = context.tokens, context.sentence[q.start]
    for i in range(q.end, min(len(tokens) - 2, q.end + 4)):
        if tokens[i].text == "only" and tokens[i + 1].text in _MAKES and context.sentence[i + 1] == home:
            return context.size_at(i + 2)
    return False


def the_last_one(context: Context, q: Quantity, number: Number) -> bool:
    """As in "that was the last one": no number at all."""
    return q.value == 1 and not number.digits and context.before(q) in g.BEFORE_ONE


def count_of_kind(context: Context, q: Quantity, number: Number) -> bool:
    """As in "two short at the front and two tall at the back", "two each joint"."""
    del number
    if q.value > _FEW:
        return False
    if context.after(q) == "each":
        beyond = context.after(q, 1)
        return beyond.isalpha() and beyond not in _EACH_WAY and (beyond not in _EACH_END or q.value < 5)
    opposites = _KINDS.get(context.after(q))
    if opposites is None or context.closed_after(q, 1):
        return False
    tokens, home = context.tokens, context.sentence[q.start]
    reach = range(max(0, q.start - 9), min(q.end + 9, len(tokens) - 1))
    return any(
        _count(tokens[k].text) and tokens[k + 1].text in opposites and context.sentence[k] == home
        for k in reach
    )


def _count(text: str) -> int:
    """Give a plain number up to twelve, 0 for anything else."""
    count: int = g.SMALL.get(text, int(text) if text.isdigit() else 0)
    return count if count <= _FEW else 0


def tally(context: Context, q: Quantity, number: Number) -> bool:
    """As in "two each end, that's four": so many times so many."""
    del number
    if (
        q.value > 40
        or (context.role_after(q) and context.after(q) != "round")
        or context.before(q) not in ("that's", "makes", "so", "is")
    ):
        return False
    tokens = context.tokens
    begin = max(0, q.start - 8)
    while begin < q.start and context.sentence[begin] != context.sentence[q.start]:
        begin += 1
    for k in range(begin, q.start - 2):
        count = _count(tokens[k].text)
        of_each = tokens[k + 1].text == "of" and tokens[k + 2].text == "each"
        if count and (of_each or tokens[k + 1].text in ("each", "a", "per")):
            return q.value > count and not q.value % count
    return False


def counts_noun(context: Context, q: Quantity) -> bool:
    """Tell whether a word follows that the number counts: any word that is not one which may follow a size."""
    after = context.after(q)
    if not after or not after[0].isalpha():
        return False
    if (q.form == "dec" and after in (g.SIZED_NOUNS | _AWAY)) or article_noun(context, q):
        return False
    known = (
        after in g.FOLLOW
        or after in g.ROLE_AFTER
        or after in g.COPULA
        or after in g.CORRECTION
        or after in g.SMALL
    )
    if known or context.role_phrase(q) > 0:
        return False
    return not context.flowing or context.counts_plural(q) or not _may_be_size(context, q)


def _may_be_size(context: Context, q: Quantity) -> bool:
    """Tell a number that is too large, too fine or too well known for a count of what stands behind it."""
    return q.value in context.expected or q.form != "int" or q.value >= _COUNTED


def article_noun(context: Context, q: Quantity) -> bool:
    """Tell "a 40 top", "a fifty seven stile": after "a" a number counts nothing, and in a metric build it is a size."""
    after = context.after(q)
    if not context.metric or q.form != "int" or after.endswith("s"):
        return False
    if after in g.SIZED_NOUNS:
        if context.before(q) in ("'s", "is", "it's", "are", "was"):
            return q.value >= 3 and not context.counts_plural(q)  # "the back's eighteen ply"
        return q.value >= 6 and context.before(q) in ("a", "an", "for")
    noun = (
        after.isalpha() and after not in g.NO_SIZED_NOUN and after not in g.FOLLOW | g.COPULA | g.AFTER.keys()
    )
    return noun and q.value >= _COUNTED and context.before(q) in ("a", "an")
