"""The signs that make a number without a unit a size: roles, verbs, phrases, places, sums, and what is known already."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.bare_metric import bare_millimetres
from benchscribe.measures.context import ARTICLES, Context
from benchscribe.measures.counts import article_noun
from benchscribe.measures.frames import frames
from benchscribe.measures.quantity import Quantity

_AWAY: Final = frozenset({"up", "down", "in", "out", "off", "over", "under", "along"})
_PREPOSED: Final = frozenset(
    {
        "at",
        "to",
        "from",
        "on",
        "of",
        "is",
        "was",
        "are",
        "about",
        "roughly",
        "be",
        "it's",
        "by",
        "exactly",
        "'s",
    }
)
_WISHES: Final = frozenset({"like", "want", "wanted", "after", "aim", "prefer", "need", "go", "use"})
_MEASURED: Final = g.MEASURING | g.ROLE_BEFORE | g.SIZE_VERBS
_BEFORE_HALF: Final = frozenset({"in", "up", "off", "down", "at", "to", "another", "by"})
_FEW: Final = 12
_BORED: Final = g.STRONG_VERBS | frozenset(
    {"hole", "holes", "slot", "slots", "groove", "drills", "bit", "reamer", "pin", "rod"}
)
_MADE_ROLES: Final = frozenset(
    {"bore", "kerf", "chamfer", "roundover", "fillet", "overhang", "reveal", "pitch"}
)
_TIMES: Final = 8
_RECENT: Final = 25
_LATELY: Final = 30
_SHORTLY: Final = 14
_MOVES: Final = frozenset(
    {"come", "comes", "came", "go", "goes", "went", "sit", "sits", "stick", "sticks", "rise", "rises", "drop", "drops", "start", "starts",
     "run", "runs", "hang", "hangs", "reach", "reaches", "step", "steps", "fall", "falls"}
)  # fmt: skip
_LEAST_RIGHT_BEHIND: Final = 30
_LEAST_FLOWING: Final = 10


def is_size(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    """Tell whether a number without a unit, which nothing refused, is a length.

    Args:
        context: The words around and what is known so far.
        q: The number.
        neighbours: The few quantities before it.
    """
    number = q.number
    if number is None or q.size or q.prefixed or _parallel(context, q, neighbours):
        return True
    if number.form in ("frac", "mixed"):
        return _fraction_is_size(context, q)
    if number.form == "dec":
        return _decimal_is_size(context, q, neighbours)
    return _whole_is_size(context, q, neighbours)


def feeler_before(context: Context, q: Quantity) -> bool:
    """Look back over a few sentences: a feeler gauge in hand names its leaves by bare numbers."""
    if q.form != "int" or context.before(q) not in ("the", "a", "an"):
        return False
    return context.around(q, frozenset({"feeler", "feelers"}), 16, 0)


def has_sign(context: Context, q: Quantity) -> bool:
    """Tell whether the words around speak of size: a role, a phrase, a verb that takes a size."""
    if context.role_after(q):
        return True
    if not context.free_after(q):
        return False
    return any(sign(context, q) for sign in _SIGNS)


def _phrase(context: Context, q: Quantity) -> bool:
    """As in "comes out at", "needs to be"; the loose ones ("up to", "make it") only where sizes are spoken of."""
    if context.phrase_before(q, g.VERB_PHRASES) or context.phrase_before(q, g.SAID_EARLIER):
        return True
    return context.phrase_before(q, g.LOOSE_PHRASES) and context.support(q)


def _direct_verb(context: Context, q: Quantity) -> bool:
    """As in "it measures 12", "leave 40"; saying and reading only where something is measured."""
    before = context.before(q)
    if before not in g.DIRECT_VERBS:
        return False
    if before in ("says", "say", "reads"):
        return context.near(q, g.MEASURING) or (context.metric and context.support(q))
    return True


def _verb_and_preposition(context: Context, q: Quantity) -> bool:
    """As in "cut it at 12", "roughed out at 50", "the width is 9", "two at 36"."""
    before = context.before(q)
    if before not in _PREPOSED:
        return False
    window = [context.before(q, k) for k in range(2, 7)]
    if before in ("at", "to", "from", "about", "roughly", "exactly"):
        if any(w in g.STRONG_VERBS for w in window):
            return True
        if any(w in g.WEAK_VERBS for w in window) and context.support(q):
            return True
    if any(w in g.ROLE_BEFORE for w in window[:3]):
        return True
    if before == "at" and window[1] == "of" and (window[2] in g.SMALL or window[2].isdigit()):
        return q.value > 12  # "six of these at 412"
    counted = window[1] if window[0].endswith("s") or window[0] == "more" else window[0]
    return (
        before == "at"
        and (counted in g.SMALL or counted.isdigit())
        and q.value > (4 if counted is window[0] else 12)
    )


def _after_role(context: Context, q: Quantity) -> bool:
    """As in "radius 12", "t=30"."""
    if context.before(q) == "=":
        return (
            context.before(q, 2) in ("t", "w", "l", "h", "d", "r", "dia", "len", "thk")
            or context.before(q, 2) in g.ROLE_BEFORE
        )
    return context.before(q) in g.ROLE_BEFORE


def _in_a_sum(context: Context, q: Quantity) -> bool:
    """As in "the 252, less an 18"."""
    words = [context.before(q, k) for k in (1, 2)]
    if words == ["away", "take"]:
        words = ["minus", "take"]
    sign = words[0] if words[0] not in ARTICLES else words[1]
    last = context.last
    return (
        sign in ("less", "minus", "plus")
        and last is not None
        and q.start - last.end < 8
        and last.unit != "degree"
    )


def _placed(context: Context, q: Quantity) -> bool:
    """As in "48 centimetres across the front, 42 at the back": a place after it, a size just before."""
    last = context.last
    if last is None or q.start - last.end > 8 or context.sentence[last.start] != context.sentence[q.start]:
        return False
    if context.after(q) == "at" and context.after(q, 1) == "the":
        return q.value >= 5
    return (
        context.after(q) in ("up", "down", "along", "in", "out")
        and q.value >= 5
        and (context.closed_after(q, 1))
    )


def _bored(context: Context, q: Quantity) -> bool:
    """As in "drill 3.2", "rip 60": right behind the verb a number that is fine or large is no count."""
    if context.before(q) not in g.STRONG_VERBS or not context.metric:
        return False
    return q.form == "dec" or (q.value >= _LEAST_RIGHT_BEHIND and context.after(q) != "and")


def _reaching(context: Context, q: Quantity) -> bool:
    """As in "the ends go in twenty", "the chine comes up 185 at the bow", "five a side over 380"."""
    if not context.metric or not context.free_after(q) or q.value < 5:
        return False
    if context.before(q) == "over":
        last = context.last
        return (
            last is not None and last.unit != "degree" and q.start - last.end < _SHORTLY and context.closed(q)
        )
    return context.before(q) in _AWAY and context.before(q, 2) in _MOVES and context.support(q)


def _next_in_turn(context: Context, q: Quantity) -> bool:
    """As in "at 78, 78 and 52", "then eight, then 11.8": after a size nothing but "and", "then" or "or"."""
    last = context.last
    if not context.metric or last is None or last.unit == "degree" or q.start - last.end > 1:
        return False
    between = [t.text for t in context.tokens[last.end : q.start]]
    near = Fraction(1, _TIMES) <= q.value / last.value <= _TIMES if last.value else False
    same = context.sentence[last.start] == context.sentence[q.start]
    return same and near and between in ([], ["and"], ["then"], ["or"]) and context.closed(q)


def _drilled_it(context: Context, q: Quantity) -> bool:
    """As in "I've drilled it 8", "296 instead of 300"."""
    words = [context.before(q, k) for k in (1, 2)]
    if words[0] in ("it", "them", "that", "these", "those") and words[1] in g.STRONG_VERBS:
        return q.value >= 3 and (context.metric or q.form != "int")
    instead = context.after(q) == "instead" or words == ["of", "instead"]
    return instead and q.value >= 5 and context.support(q)


def _another(context: Context, q: Quantity) -> bool:
    """As in "another thirty for the tenon"."""
    last = context.last
    return context.before(q) == "another" and last is not None and q.start - last.end < 12 and q.value >= 5


_SIGNS: Final[tuple[Callable[[Context, Quantity], bool], ...]] = (
    _phrase, _in_a_sum, _direct_verb, _verb_and_preposition, _after_role, _placed, _another, _drilled_it, _bored, _reaching, _next_in_turn, frames,
)  # fmt: skip


def _parallel(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    """Tell "7 mm for the pots, 6 for the jacks": the same little word follows a size just before."""
    after = context.after(q)
    if not neighbours or after not in ("for", "on", "in", "at", "from"):
        return False
    left = neighbours[-1]
    near = q.start - left.end < 6 and context.sentence[left.start] == context.sentence[q.start]
    same = context.after(left) == after and context.after(left, 1) == context.after(q, 1)
    return left.size and left.said and near and same


def _fraction_is_size(context: Context, q: Quantity) -> bool:
    """A ruler fraction is a size unless something refused it; a bare half or quarter wants a sign."""
    number = q.number
    if number is None or number.den >= 8 or (number.form == "mixed" and number.den in g.RULER):
        return True
    if number.digits and not number.bare:
        return not (context.after(q) == "of" and number.den == 2)
    if number.den == 4 and number.value.numerator == 3:
        return True
    return _half_or_quarter(context, q, number.den, article=number.article)


def _half_or_quarter(context: Context, q: Quantity, den: int, *, article: bool) -> bool:
    after = context.after(q)
    if after in g.SIZED_NOUNS:
        return not (den == 2 and after in ("hole", "line", "board", "sheet", "bar", "round"))
    if den == 4 and article and context.opened(q) and context.closed(q) and not context.metric:
        return context.support(q)  # "paste it, a quarter, inside the edge"
    role = after in g.ROLE_AFTER or context.role_phrase(q) > 0
    if role and (article or den == 4 or after in g.ROLE_AFTER):
        return True
    return (not after or after in g.FOLLOW or role) and _half_has_sign(context, q, den)


def _half_has_sign(context: Context, q: Quantity, den: int) -> bool:
    before = context.before(q)
    if den == 4 and context.near(q, g.SIZE_VERBS, 5, 0):
        return True
    if context.before(q) == "be" and context.phrase_before(q, g.LOOSE_PHRASES) and context.closed(q):
        return True
    if before in _BEFORE_HALF or context.phrase_before(q, g.VERB_PHRASES):
        return den == 4 or before in ("at", "off", "by")
    return context.after(q) in ("and", "plus") and context.size_at(q.end + 1)


def _inch_decimals(context: Context, q: Quantity, places: int) -> bool:
    """Tell a decimal to thousandths, which is an inch size as a rule, from others."""
    if places >= 3 or (places == 2 and q.value < 1):
        return True
    return places == 2 and context.near(q, g.MEASURING | g.SIZE_VERBS)


def _decimal_is_size(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    number = q.number
    before, after = context.before(q), context.after(q)
    if number is None or before in g.CODE_BEFORE or before in ("$", "£", "€"):
        return False
    if number.thousandths and not _in_expected_talk(context, q):
        return False
    places = len(str(number.step.denominator)) - 1
    if not context.metric and _inch_decimals(context, q, places):
        return True
    if context.opened(q) and context.closed(q) and q.value < 1000:
        return True
    if (
        has_sign(context, q)
        or before in g.COPULA
        or after in g.ROLE_AFTER
        or after in g.SIZED_NOUNS
        or after in _AWAY
        or (context.closed(q) and context.near(q, _BORED, 4, 0))
    ):
        return True
    if (
        context.metric
        and context.support(q)
        and context.free_after(q)
        and (context.flowing or context.closed(q))
    ):
        return True
    said = neighbours[-1] if neighbours else None
    if said is None or not said.size or q.start - said.end > 12:
        return False
    same = context.sentence[said.start] == context.sentence[q.start]
    return same and said.unit != "degree" and context.free_after(q)


def _in_expected_talk(context: Context, q: Quantity) -> bool:
    """Tell "three seventy five" the size from the price and the hour: the list's, or among sizes and nothing to count behind it."""
    if q.value in context.expected:
        return True
    grit = str(q.value * 1000) in g.GRIT_P and context.around(q, g.GRIT, 30, 15)
    if context.role_after(q):
        return True
    if grit or not context.free_after(q) or context.near(q, g.MONEY, 4, 6):
        return False
    return context.support(q) or (context.closed(q) and context.before(q) in g.COPULA)


def _whole_is_size(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    if feeler_before(context, q):
        return True
    if grit_talk(context, q) or _too_small(context, q) or _weather(context, q):
        return False
    if _put_right_later(context, q, neighbours) or has_sign(context, q) or article_noun(context, q):
        return True
    return context.free_after(q) and _bare_is_size(context, q)


def _too_small(context: Context, q: Quantity) -> bool:
    """Tell nought, one and two, which count or point unless a word of role says otherwise."""
    if q.value == 0 or (q.value == 1 and context.metric):
        return True
    said = q.number is not None and not q.number.digits
    if said and q.value < 3 and context.after(q) in _MADE_ROLES:
        return True  # "one bore up and down"
    return said and q.value < 3 and not (context.after(q) in g.ROLE_AFTER and context.role_after(q))


def _weather(context: Context, q: Quantity) -> bool:
    """As in "it's seventy five outside"."""
    return context.after(q) in ("outside", "out") and context.before(q) == "it's" and not context.metric


def _bare_is_size(context: Context, q: Quantity) -> bool:
    """Judge a number with no sign beside it: by what is known, what is wished, and what it is said of."""
    before = context.sign_before(q)
    if context.before(q) in ARTICLES and q.value >= 5 and q.value in context.known:
        return True
    if before in _WISHES and _wished(context, q):
        return True
    if context.metric:
        return bare_millimetres(context, q, before)
    if before not in g.COPULA or before in ("at", "to", "of", "than", "about", "around", "here's"):
        return False
    if context.before(q, 2) == "so" and q.value <= _FEW:
        return (
            context.closed(q)
            and q.value >= 4
            and context.near(q, g.MEASURING | g.ROLE_BEFORE | g.STRONG_VERBS, 5, 4)
        )
    if not context.closed(q) or q.value < 4:
        return False
    return context.near(q, _MEASURED, 12, 4) or _among_sizes(context, q)


def _among_sizes(context: Context, q: Quantity) -> bool:
    """Tell whether the last length was said a few words ago, and nothing is being counted."""
    last = context.last
    lately = last is not None and last.unit != "degree" and q.start - last.end < _RECENT
    return lately and not context.near(q, g.COUNT_TALK, 8, 5)


def _wished(context: Context, q: Quantity) -> bool:
    """As in "down to about six mil now, I'd like four"; "if you go 65", once 65 has been said."""
    if q.value in context.known and q.value >= 10:
        return True
    last = context.last
    if last is None or last.unit in ("degree", "foot"):
        return False
    if context.metric and context.closed(q):
        return q.start - last.end < (_LATELY if q.value >= _LEAST_FLOWING else _SHORTLY)
    return last.said and q.start - last.end < 8


def _put_right_later(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    """Tell whether this puts right what was said earlier: "I said twelve earlier, it's ten"."""
    if not neighbours or context.before(q) not in g.COPULA or not context.free_after(q):
        return False
    left = neighbours[-1]
    return left.size and q.start - left.end < 10 and context.phrase_before(left, g.SAID_EARLIER)


def grit_talk(context: Context, q: Quantity) -> bool:
    """Tell whether a bare number is a grit: "120, then 180" while sanding."""
    return str(q.value) in g.GRIT_P and context.around(q, g.GRIT, 14, 8)
