"""What the words around say that a number without a unit is not: a share, a count, a clock, a year, a name, another kind of number."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.context import Context
from benchscribe.measures.counts import (
    count_of_kind,
    counted,
    counts_noun,
    made_so_many,
    no_size_of,
    of_them,
    tally,
    the_last_one,
    the_number_of,
)
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
_BEGUN: Final = frozenset({"started", "start"})
_YEAR_BEFORE: Final = frozenset(
    {"in", "since", "of", "from", "back", "year", "early", "late", "until", "till", "around", "by", "before", "after",
     "circa"}
)  # fmt: skip
_THEM: Final = frozenset({"them", "these", "those", "us", "you"})
_WIND: Final = frozenset(
    {"turn", "turns", "wind", "rotate", "crank", "screw", "unscrew", "tighten", "loosen"}
)
_BESIDE_TRADE: Final = 14
_BESIDE_TRADE_FLOWING: Final = 5
"""Without stops nothing tells whether the talk has gone on to something else."""
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
    if after == "past" and not number.bare:
        return False  # "sticks out 3/4 past the legs", but "half past"
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


def _hour_at(context: Context, i: int) -> bool:
    tokens = context.tokens
    if i >= len(tokens):
        return False
    hour = g.SMALL.get(tokens[i].text) or (
        int(tokens[i].text) if tokens[i].text.isdigit() and len(tokens[i].text) < 3 else 0
    )
    return 0 < hour <= 12


_FRACTION_RULES: Final[tuple[Rule, ...]] = (_share, _half_of_something, _clock_fraction, _off_the_ruler)
_MIXED_RULES: Final[tuple[Rule, ...]] = (of_them, _plane, _times)
_WHOLE_RULES: Final[tuple[Rule, ...]] = (
    of_them, _year, _decade, the_number_of, _clock, counted, _beside_trade, _other_topic, _scale, no_size_of, _too_large,
    the_last_one, _this_year, _named_after, _turned_up, made_so_many, count_of_kind, tally, _priced,
)  # fmt: skip
_DECIMAL_RULES: Final[tuple[Rule, ...]] = (of_them, counted, _beside_trade, _other_topic, no_size_of)
