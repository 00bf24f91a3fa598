"""What the words around say that a number without a unit is not: a share, a count, a clock, a year, a name, another kind of number."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import Context
from benchscribe.measures.number import Number, joined
from benchscribe.measures.quantity import Quantity

_CLOCK: Final = frozenset(
    {
        "morning",
        "afternoon",
        "evening",
        "tonight",
        "lunch",
        "until",
        "till",
        "o'clock",
        "clock",
    }
)
_PLANE: Final = frozenset({"plane", "planes", "jack", "smoother", "grab", "iron", "sole"})
_PACKS: Final = frozenset(
    {"pack", "box", "bag", "set", "out", "packet", "roll", "bunch", "crowd", "total", "minimum", "one", "row", "pair",
     "dozen", "batch", "run"}
)  # fmt: skip
_BEGUN: Final = frozenset({"started", "start"})
_NEARLY: Final = frozenset({"now", "only", "just", "nearly", "almost", "about", "is", "was"})
_YEAR_BEFORE: Final = frozenset(
    {"in", "since", "of", "from", "back", "year", "early", "late", "until", "till", "around", "by", "before", "after",
     "circa"}
)  # fmt: skip
_THEM: Final = frozenset({"them", "these", "those", "us", "you"})
_OWNERS: Final = frozenset(
    {"the", "my", "our", "your", "his", "her", "their", "each", "it", "a", "an", *_THEM}
)
_WIND: Final = frozenset(
    {"turn", "turns", "wind", "rotate", "crank", "screw", "unscrew", "tighten", "loosen"}
)
_BESIDE_TRADE: Final = 14
_BESIDE_TRADE_FLOWING: Final = 5
"""Without stops nothing tells whether the talk has gone on to something else."""
_THERE: Final = (["there"], ["there'd"], ["there'll"])
_AWAY: Final = frozenset({"out", "along", "toward", "towards", "through"})
_PLACED_POINTS: Final = frozenset(
    {
        "quarter",
        "third",
        "half",
        "end",
        "both",
        "fixing",
        "centre",
        "center",
        "screw",
        "low",
        "high",
        "contact",
    }
)
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
_LARGEST_INCH: Final = 300
_LARGEST_MM: Final = 9999

Rule = Callable[[Context, Quantity, Number], bool]


def refused(context: Context, q: Quantity) -> bool:
    """Tell whether the words around say that this is no size, whatever else they say.

    Args:
        context: The words around and what is known so far.
        q: A number without a unit.
    """
    number = q.number
    if number is None:
        return False
    rules = {"frac": _FRACTION_RULES, "mixed": _MIXED_RULES, "int": _WHOLE_RULES, "dec": _DECIMAL_RULES}[
        number.form
    ]
    return any(rule(context, q, number) for rule in rules)


def _share(context: Context, q: Quantity, number: Number) -> bool:
    """As in "half past", "half of you", "three quarters of the way", "half the shavings"."""
    after = context.after(q)
    if _round_or_again(context, q, number):
        return False
    if after in g.NOT_AFTER_FRACTION or (number.den == 2 and after in g.FRACTION_OF_NOTHING):
        return True
    if after != "of":
        return False
    nxt = context.after(q, 1)
    of_size = nxt in ("a", "an", "the", "that", "this", "my") and context.size_at(q.end + 2)
    return number.bare or (nxt in g.FRACTION_OF_NOTHING and not of_size)


def _round_or_again(context: Context, q: Quantity, number: Number) -> bool:
    """Tell "five eighths round" and "3/4 again" from "half round" and "half again as long"."""
    after = context.after(q)
    if after in ("round", "rounds"):
        return number.den >= 8
    return after == "again" and number.den > 2 and context.opened(q) and context.after(q, 1) != "as"


def _half_of_something(context: Context, q: Quantity, number: Number) -> bool:
    """As in "the first half", "the bottom quarter"."""
    if not number.bare or not joined(context.tokens, q.start):
        return False
    before = context.before(q)
    if before in ("past", "first", "second", "other", "better"):
        return True
    named = context.before(q, 2) in ("the", "this", "that", "my", "your", "its")
    return named and before in ("top", "bottom", "back", "front", "last")


def _clock_fraction(context: Context, q: Quantity, number: Number) -> bool:
    """As in "quarter to three"."""
    to_hour = context.after(q) in ("to", "til", "till") and _hour_at(context, q.end + 1)
    return (
        to_hour
        and number.den == 4
        and context.before(q) in ("at", "about", "until", "till", "by", "around", "it's", "")
    )


def _off_the_ruler(context: Context, q: Quantity, number: Number) -> bool:
    """As in "a third", "50/50", "5/10"; and a turn is no length."""
    turn = number.den in (2, 4) and context.near(q, frozenset({"turn", "turns"}), 2, 3)
    wound = (
        number.bare
        and context.before(q) in ("it", "about", "another", "back")
        and context.near(q, _WIND, 4, 0)
    )
    return number.den not in g.RULER or turn or wound or (number.value == 1 and number.den > 1)


def _of_them(context: Context, q: Quantity, number: Number) -> bool:
    """As in "four of them", "two of the"; save where the size is known: "the 252 of the side"."""
    del number
    if context.after(q) != "of" or context.after(q, 1) not in _OWNERS:
        return False
    if context.metric and context.after(q, 1) == "it" and q.value >= _COUNTED:
        return False  # "leave about 20 of it"
    return q.value not in context.known or context.after(q, 1) in _THEM


def _year(context: Context, q: Quantity, number: Number) -> bool:
    """As in "in 1987", "that was 1987"."""
    went = context.before(q) == "to" and context.before(q, 2) == "went" and q.value not in context.known
    was = context.before(q) in ("was", "were") and q.value not in context.expected
    return number.digits and 1800 <= q.value <= 2100 and (went or was or context.before(q) in _YEAR_BEFORE)


def _decade(context: Context, q: Quantity, number: Number) -> bool:
    """As in "back in the 90s", "it's in the 60s today"."""
    plural = context.tokens[q.end - 1].text in ("s", "'s")
    the = context.before(q) in ("the", "'s") and context.before(q, 2) in ("in", "of", "from", "since", "")
    return plural and number.digits and q.value < 2100 and q.value % 10 == 0 and the


def _the_number_of(context: Context, q: Quantity, number: Number) -> bool:
    """As in "the number of slats is 14", "a pack of 50", "8 off each"."""
    del number
    if any(context.before(q, k) == "number" and context.before(q, k - 1) == "of" for k in range(2, 7)):
        return True
    if context.after(q) == "off" and (context.after(q, 1) in ("each", "") or context.closed(q)):
        return q.value < 20
    return context.before(q) == "of" and context.before(q, 2) in _PACKS


def _clock(context: Context, q: Quantity, number: Number) -> bool:
    """As in "started at 9", "twenty to nine", "ten past four"."""
    del number
    at = context.before(q) in ("at", "by", "about", "till", "until")
    if at and q.value <= 12 and (context.near(q, _CLOCK, 10, 6) or context.near(q, _BEGUN, 10, 0)):
        return True
    minutes = (
        q.value in (5, 10, 20, 25) and context.after(q) in ("to", "past") and _hour_at(context, q.end + 1)
    )
    if minutes and (
        context.after(q) == "past" or context.before(q) in ("at", "it's", "about", "nearly", "by", "")
    ):
        return True
    return context.before(q) in ("to", "past") and context.before(q, 2) in (
        "five",
        "ten",
        "twenty",
        "quarter",
        "half",
    )


def _plane(context: Context, q: Quantity, number: Number) -> bool:
    """As in "the five and a half": a plane by its number."""
    named = number.den == 2 and q.value < 10 and context.before(q) in ("the", "my", "a")
    return named and context.near(q, _PLANE, 4, 3)


def _times(context: Context, q: Quantity, number: Number) -> bool:
    """As in "two and a half times", "two and a half coats"."""
    after = context.after(q)
    if after in ("times", "turns", "twists", "dozen"):
        return True
    return after.endswith("s") and number.den in (2, 4) and counts_noun(context, q)


def _counted(context: Context, q: Quantity, number: Number) -> bool:
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


def _beside_trade(context: Context, q: Quantity, number: Number) -> bool:
    """As in "eight hundred rpm until it's round and then up to fifteen hundred": the same kind of number again."""
    trade = context.last_trade
    if trade is None or trade.kind not in g.TRADE_CARRIES or context.role_after(q):
        return False
    if context.last is not None and context.last.start > trade.start:
        return False
    del number
    near = q.start - trade.end < (_BESIDE_TRADE_FLOWING if context.flowing else _BESIDE_TRADE)
    return near and context.sentence[trade.start] == context.sentence[q.start]


def _other_topic(context: Context, q: Quantity, number: Number) -> bool:
    """As in "tune it down to four forty", "set the iron to 350": the talk is of another kind of number."""
    del number
    tokens, home = context.tokens, context.sentence[q.start]
    for i in range(max(0, q.start - 8), min(len(tokens), q.end + 4)):
        placed = tokens[i].text == "points" and i and tokens[i - 1].text in _PLACED_POINTS
        if tokens[i].text in g.OTHER_TOPIC and context.sentence[i] == home and not placed:
            return not context.role_after(q)
    return False


def _priced(context: Context, q: Quantity, number: Number) -> bool:
    """As in "eight at fifteen, that's a hundred and twenty dollars"."""
    del number
    return context.before(q) == "at" and context.near(q, g.MONEY, 0, 10)


def _scale(context: Context, q: Quantity, number: Number) -> bool:
    """As in "drawn at one to sixteen", "mix it two to one", "one in six"."""
    del number
    if (context.after(q) == "to" and context.size_at(q.end + 1)) or context.before(q) == "to":
        return context.near(q, g.SCALE_TALK, 9, 6) and context.near(
            q, frozenset({"one", "two", "three", "1", "2", "3"}), 4, 4
        )
    return False


def _too_large(context: Context, q: Quantity, number: Number) -> bool:
    """As in "slow it down to ten thousand": nobody says so large a size without its unit."""
    del number
    return q.value > (_LARGEST_MM if context.metric else _LARGEST_INCH)


def _no_size_of(context: Context, q: Quantity, number: Number) -> bool:
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


def _this_year(context: Context, q: Quantity, number: Number) -> bool:
    """As in "mine is 27 this year": an age."""
    del number
    return context.after(q) in ("this", "next", "last") and context.after(q, 1) in (
        "year",
        "month",
        "birthday",
    )


def _turned_up(context: Context, q: Quantity, number: Number) -> bool:
    """As in "it's gone up to 80 on the dial": a setting, no reading of a gauge."""
    del number
    on_dial = [context.after(q, k) for k in range(3)] == ["on", "the", "dial"]
    return on_dial and context.before(q) == "to" and context.before(q, 2) in ("up", "down")


def _named_after(context: Context, q: Quantity, number: Number) -> bool:
    """As in "45 on the gauge, that's psi": what kind of number it was comes behind it."""
    del number
    tokens, home = context.tokens, context.sentence[q.start]
    for i in range(q.end, min(len(tokens) - 1, q.end + 6)):
        if context.sentence[i + 1] != home or context.size_at(i):
            return False
        if tokens[i].text in ("that's", "it's") and tokens[i + 1].text in g.OTHER_TOPIC:
            return True
    return False


def _made_so_many(context: Context, q: Quantity, number: Number) -> bool:
    """As in "the list may say 30, I only made 28": pieces, for nothing stands between the making and the number."""
    del number
    if context.before(q) in _MAKES and context.closed(q):
        return context.before(q, 2) == "only"
    tokens, home = context.tokens, context.sentence[q.start]
    for i in range(q.end, min(len(tokens) - 2, q.end + 4)):
        if tokens[i].text == "only" and tokens[i + 1].text in _MAKES and context.sentence[i + 1] == home:
            return context.size_at(i + 2)
    return False


def _the_last_one(context: Context, q: Quantity, number: Number) -> bool:
    """As in "that was the last one": no number at all."""
    return q.value == 1 and not number.digits and context.before(q) in g.BEFORE_ONE


def _count_of_kind(context: Context, q: Quantity, number: Number) -> bool:
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


def _tally(context: Context, q: Quantity, number: Number) -> bool:
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


def _hour_at(context: Context, i: int) -> bool:
    tokens = context.tokens
    if i >= len(tokens):
        return False
    hour = g.SMALL.get(tokens[i].text) or (
        int(tokens[i].text) if tokens[i].text.isdigit() and len(tokens[i].text) < 3 else 0
    )
    return 0 < hour <= 12


_FRACTION_RULES: Final[tuple[Rule, ...]] = (_share, _half_of_something, _clock_fraction, _off_the_ruler)
_MIXED_RULES: Final[tuple[Rule, ...]] = (_of_them, _plane, _times)
_WHOLE_RULES: Final[tuple[Rule, ...]] = (
    _of_them, _year, _decade, _the_number_of, _clock, _counted, _beside_trade, _other_topic, _scale, _no_size_of, _too_large,
    _the_last_one, _this_year, _named_after, _turned_up, _made_so_many, _count_of_kind, _tally, _priced,
)  # fmt: skip
_DECIMAL_RULES: Final[tuple[Rule, ...]] = (_of_them, _counted, _beside_trade, _other_topic, _no_size_of)
