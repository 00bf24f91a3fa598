"""Numbers said without a unit: whether each is a size, and in what unit. The careful part: when in doubt, it is none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import OPEN_POST, WORD, Token
from benchscribe.measures.links import Item
from benchscribe.measures.numbers import joined
from benchscribe.measures.quantities import Quantity
from benchscribe.measures.trade import Trade
from benchscribe.measures.types import BuildUnits

_BOUNDARY: Final = frozenset(".,;:?!)]—")
_ARTICLES: Final = frozenset({"the", "my", "that", "an", "a", "this", "our", "your", "his", "her", "old", "same"})
_REACH: Final = 9


@dataclass(slots=True)
class Context:
    """What the bare numbers are judged by.

    Attributes:
        tokens: All tokens.
        sentence: Sentence number of every token.
        units: The build's unit.
        known: Values already settled as sizes, with their unit.
    """

    tokens: list[Token]
    sentence: list[int]
    units: BuildUnits | None
    known: dict[Fraction, str] = field(default_factory=dict)
    last: Quantity | None = None
    feet: set[int] = field(default_factory=set)
    centimetres: bool = False
    last_degree: int | None = None

    def before(self, q: Quantity, k: int = 1) -> str:
        """Give the k-th word before, in the same sentence."""
        i = q.start - k
        return self.tokens[i].text if i >= 0 and self.sentence[i] == self.sentence[q.start] else ""

    def after(self, q: Quantity, k: int = 0) -> str:
        """Give the k-th word after with no punctuation before it."""
        i = q.end + k
        if i >= len(self.tokens) or not joined(self.tokens, q.end):
            return ""
        return self.tokens[i].text if all(joined(self.tokens, j) for j in range(q.end, i + 1)) else ""

    def near(self, q: Quantity, words: frozenset[str], back: int = _REACH, ahead: int = _REACH) -> bool:
        """Tell whether one of the words stands near, in the same sentence."""
        tokens, home = self.tokens, self.sentence[q.start]
        for i in range(max(0, q.start - back), min(len(tokens), q.end + ahead)):
            if tokens[i].text in words and self.sentence[i] == home:
                return True
        return False

    def phrase_before(self, q: Quantity, index: object) -> bool:
        """Tell whether a phrase of the index ends right before."""
        return phrase_ending(self.tokens, q.start, index) > 0


def phrase_ending(tokens: list[Token], end: int, index: object) -> int:
    """Give the length of the phrase that ends before a token, 0 for none."""
    if end < 1 or tokens[end - 1].post not in OPEN_POST:
        return 0
    for phrase in index.get(tokens[end - 1].text, ()):  # type: ignore[attr-defined]
        n = len(phrase)
        if n <= end and all(tokens[end - n + k].text == phrase[k] for k in range(n)):
            return n
    return 0


def phrase_starting(tokens: list[Token], start: int, index: object) -> int:
    """Give the length of the phrase that begins at a token, 0 for none."""
    if start >= len(tokens):
        return 0
    for phrase in index.get(tokens[start].text, ()):  # type: ignore[attr-defined]
        n = len(phrase)
        if start + n <= len(tokens) and all(tokens[start + k].text == phrase[k] for k in range(n)):
            return n
    return 0


def settle(context: Context, items: list[Item]) -> None:
    """Settle every bare quantity, in order; what stays without a unit is no size."""
    for k, item in enumerate(items):
        if isinstance(item, Trade) or (item.size and item.unit is not None and item.value in context.known):
            continue
        if item.refused and item.said:
            continue
        if item.unit is not None:
            if item.said or item.size:
                _accept(context, item, item.unit, item.why)
            elif not _refuse(context, item):
                _accept(context, item, item.unit, item.why)
            continue
        if _join_feet(context, items, k):
            continue
        if item.refused or (not item.size and _refuse(context, item)):
            item.refused = True
            continue
        neighbours = [x for x in items[max(0, k - 3) : k] if isinstance(x, Quantity)]
        unit = _unit_for(context, item, neighbours)
        if unit:
            _accept(context, item, unit, item.why)
    _restarts(context, items)
    _companions(context, items)


def _accept(context: Context, q: Quantity, unit: str, why: str) -> None:
    q.unit, q.size, q.why = unit, True, why
    context.known[q.value] = unit
    context.last = q
    if unit == "degree":
        context.last_degree = q.end
    if unit == "cm" and q.said:
        context.centimetres = True
    if unit == "inch" and q.said and q.value >= 24 and any(t.text in ("foot", "feet", "ft", "'") for t in context.tokens[q.start : q.end]):
        context.feet.add(int(q.value // 12))


def _join_feet(context: Context, items: list[Item], k: int) -> bool:
    """Read "six two and a half" as feet and inches, where that many feet have been said before."""
    feet, inches = items[k], items[k + 1] if k + 1 < len(items) else None
    if not (isinstance(feet, Quantity) and isinstance(inches, Quantity)) or feet.form != "int":
        return False
    if feet.value not in context.feet or inches.start != feet.end or inches.unit is not None or not 0 < inches.value < 12:
        return False
    if inches.form not in ("int", "mixed") or not joined(context.tokens, feet.end) or context.tokens[feet.end].pre != " ":
        return False
    if context.tokens[feet.end].word != context.tokens[feet.end - 1].word + 1:
        return False  # "two, uh, two and a quarter" begins again
    if inches.form == "int" and not _free_after(context, inches):
        return False
    inches.value += feet.value * 12
    inches.start, feet.refused = feet.start, True
    _accept(context, inches, "inch", "feet and inches, as said before")
    inches.said = False
    return True


def _refuse(context: Context, q: Quantity) -> bool:
    """Tell whether the words around say that this is no size, whatever else they say."""
    before, after, number = context.before(q), context.after(q), q.number
    if number is None:
        return False
    tokens = context.tokens
    if number.form == "frac":
        if after in g.NOT_AFTER_FRACTION or (number.bare and joined(tokens, q.start) and _half_of_something(context, q, before)):
            return True
        if after == "of":
            nxt = context.after(q, 1)
            if nxt in g.FRACTION_OF_NOTHING and not (nxt in ("a", "an", "the", "that", "this", "my") and _size_at(context, q.end + 2)):
                return True
            if number.bare:
                return True
        if after in ("to", "til", "till") and _hour_at(tokens, q.end + 1) and number.den == 4 and before in ("at", "about", "until", "till", "by", "around", ""):
            return True
        if number.den not in g.RULER:
            return True
        if number.den == 2 and after in g.FRACTION_OF_NOTHING:
            return True
        if context.near(q, frozenset({"turn", "turns"}), 2, 3) and number.den in (2, 4):
            return True
        return False
    if after in ("of", "by", "x") and after == "of" and number.form == "int" and context.after(q, 1) in ("them", "these", "those", "us", "you", "the", "my", "our", "your", "his", "her", "their", "each", "it", "a", "an"):
        return q.value not in context.known or context.after(q, 1) in ("them", "these", "those", "us", "you")
    if _is_year(q, before) or _is_count_or_clock(context, q, before):
        return True
    if number.form == "mixed":
        plural = after.endswith("s") and number.den in (2, 4) and _counts_noun(context, q, after)
        return after in ("times", "turns", "twists") or plural
    if q.prefixed:
        return False
    if _counts_noun(context, q, after):
        return True
    return number.form == "int" and (before in g.PEOPLE or (before in g.COPULA and before not in ("at", "to", "of") and q.value <= 120 and context.near(q, g.PEOPLE_NOUNS, 3, 0)))


def _half_of_something(context: Context, q: Quantity, before: str) -> bool:
    """Tell "the first half", "the bottom quarter"."""
    if before in ("past", "first", "second", "other", "better"):
        return True
    return before in ("top", "bottom", "back", "front", "last") and context.before(q, 2) in ("the", "this", "that", "my", "your", "its")


def _size_at(context: Context, i: int) -> bool:
    tokens = context.tokens
    return i < len(tokens) and (tokens[i].kind in ("n", "g") or tokens[i].text in g.SMALL or tokens[i].text in g.UNIT_WORDS)


def _hour_at(tokens: list[Token], i: int) -> bool:
    return i < len(tokens) and (tokens[i].text in g.SMALL or (tokens[i].kind == "n" and tokens[i].text.isdigit() and int(tokens[i].text) <= 12))


def _is_year(q: Quantity, before: str) -> bool:
    number = q.number
    return bool(
        number
        and number.form == "int"
        and number.digits
        and 1800 <= q.value <= 2100
        and before in ("in", "since", "of", "from", "back", "year", "early", "late", "until", "till", "around", "by", "before", "after", "circa")
    )


_CLOCK: Final = frozenset({"started", "start", "morning", "afternoon", "evening", "tonight", "lunch", "until", "till", "o'clock", "clock"})
_PLANE: Final = frozenset({"plane", "planes", "jack", "smoother", "grab", "iron", "sole"})


def _is_count_or_clock(context: Context, q: Quantity, before: str) -> bool:
    """Refuse "the number of slats is 14", "started at 9", "the five and a half plane", "a pack of 50"."""
    number = q.number
    if number is None:
        return False
    if number.form == "mixed":
        return number.den == 2 and q.value < 9 and before in ("the", "my", "a") and context.near(q, _PLANE, 4, 2)
    if number.form != "int":
        return False
    if any(context.before(q, k) == "number" and context.before(q, k - 1) == "of" for k in range(2, 7)):
        return True
    if before == "of" and context.before(q, 2) in ("pack", "box", "bag", "set", "out", "packet", "roll", "bunch", "crowd", "total", "minimum", "one", "row", "pair", "dozen", "batch", "run"):
        return True
    return before in ("at", "by", "about", "till", "until") and q.value <= 12 and context.near(q, _CLOCK, 10, 6)


def _article_noun(context: Context, q: Quantity, after: str) -> bool:
    """Tell "a 40 top": after "a" a number counts nothing, in a metric build it is a size."""
    return context.units == "mm" and q.form == "int" and q.value >= 6 and context.before(q) in ("a", "an") and after in g.SIZED_NOUNS and not after.endswith("s")


def _counts_noun(context: Context, q: Quantity, after: str) -> bool:
    """Tell whether a word follows that the number counts: any word that is not one which may follow a size."""
    if not after or not after[0].isalpha():
        return False
    if (q.form == "dec" and after in g.SIZED_NOUNS) or _article_noun(context, q, after):
        return False
    return not (after in g.FOLLOW or after in g.ROLE_AFTER or after in g.COPULA or after in g.CORRECTION or after in g.SMALL or _role_phrase(context, q) > 0)


def _role_phrase(context: Context, q: Quantity, ahead: int = 0) -> int:
    """Give the length of a phrase of role after the number: "in diameter", "shoulder to shoulder"."""
    tokens, i = context.tokens, q.end + ahead
    n = phrase_starting(tokens, i, g.ROLE_PHRASES)
    if not n and i + 2 < len(tokens) and tokens[i + 1].text == "to" and tokens[i].kind == WORD:
        n = 3 if tokens[i].text == tokens[i + 2].text else 0
    return n if joined(tokens, q.end) else 0


def _unit_for(context: Context, q: Quantity, neighbours: list[Quantity]) -> str | None:
    """Give the unit of a bare number, or None where it is no size."""
    if _is_angle(context, q):
        q.why = "the talk is of an angle"
        return "degree"
    if not _is_size(context, q, neighbours):
        return None
    return _length_unit(context, q, neighbours)


def _length_unit(context: Context, q: Quantity, neighbours: list[Quantity]) -> str:
    number = q.number
    metric = context.units == "mm"
    if metric and context.centimetres and _tape_reading(context, q):
        q.candidates.append((q.value, "mm", "millimetres to a tenth"))
        q.why = "a tape shows no tenths of a millimetre, and centimetres are said here"
        return "cm"
    if number and number.den >= 8 or (metric and number and number.den == 4 and number.form == "frac"):
        return "inch"
    if number and number.form == "int" and not metric and context.near(q, frozenset({"feeler", "feelers"}), 30, 5) or _feeler_before(context, q):
        q.why = "feeler leaves are named in thou"
        return "thou"
    for other in reversed(neighbours):
        if other.size and other.said and other.unit not in (None, "degree") and context.sentence[other.start] == context.sentence[q.start]:
            if other.unit == "cm" and q.value < other.value * 4 and q.start - other.end < 14:
                q.why = "centimetres were said just before"
                return "cm"
            if other.unit == "mm" and not metric and number and number.form != "mixed":
                q.why = "millimetres were said just before"
                return "mm"
            if other.unit == "inch" and metric and q.start - other.end < 8 and number and number.value < 100:
                q.why = "inches were said just before"
                return "inch"
            break
    return "mm" if metric else "inch"


def _tape_reading(context: Context, q: Quantity) -> bool:
    """Tell 42.1 off a tape (centimetres) from 17.7 off the calipers (millimetres)."""
    number = q.number
    if number is None or number.form != "dec" or not number.digits or number.step != Fraction(1, 10) or q.value < 20:
        return False
    calipers = ("caliper", "calipers", "calliper", "callipers", "micrometer", "mic", "vernier")
    return not any(t.text in calipers for t in context.tokens[max(0, q.start - 40) : q.end])


def _feeler_before(context: Context, q: Quantity) -> bool:
    """Look back over a few sentences: a feeler gauge in hand names its leaves by bare numbers."""
    number = q.number
    if number is None or number.form != "int" or context.before(q) not in ("the", "a", "an"):
        return False
    return any(context.tokens[i].text in ("feeler", "feelers") for i in range(max(0, q.start - 16), q.start))


def _is_angle(context: Context, q: Quantity) -> bool:
    number = q.number
    if number is None or number.form == "frac" or not 0 < q.value <= 180 or number.den not in (1, 2, 4):
        return False
    after, before = context.after(q), context.before(q)
    if after in g.ROLE_AFTER and after not in ("each", "outside", "inside"):
        return False
    if q.value == 45 and before == "at" and (after in g.FOLLOW or not after) and context.near(q, frozenset({"ends", "end", "corner", "corners", "mitred"}), 6, 0):
        return True
    if q.value == 45 and before in ("a", "the") and (after in g.FOLLOW or not after):
        return True
    if _role_phrase(context, q) and after not in ("on", "each"):
        return False
    if after == "of" or (after == "each" and context.after(q, 1) == "way"):
        return False
    if before in _ARTICLES and context.known.get(q.value) == "degree" and (after in g.FOLLOW or not after):
        return True
    if context.near(q, g.NO_ANGLE_NEAR, 8, 5):
        return False
    lately = context.last_degree is not None and q.start - context.last_degree < 60
    if not (context.near(q, g.ANGLE_NEAR, 14, 5) or (lately and context.near(q, g.ANGLE_WEAK, 10, 5))):
        return False
    if context.near(q, frozenset({"wide", "long", "thick", "deep", "inch", "inches", "mm"}), 2, 3):
        return False
    if context.after(q) in ("by", "x"):
        return False
    return _angle_shape(context, q, before, after)


def _angle_shape(context: Context, q: Quantity, before: str, after: str) -> bool:
    free = not after or after in g.FOLLOW or after in g.COPULA
    if not free:
        return False
    if before in ("to", "at", "is", "are", "be", "it's", "that's", "was", "about", "of", "old", "really", "the", "than", "a", "s", "call", "say", "minus", "less", "away", "from", "take", "over"):
        return True
    if after in ("less", "minus", "take", "on") or context.before(q, 1) in ("ninety", "90"):
        return True
    i = q.end
    return i <= len(context.tokens) and q.value in (90, 45, 60, 30) and (after in ("less", "minus", "take"))


def _is_size(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    number = q.number
    if number is None or q.size or q.prefixed or _parallel(context, q, neighbours):
        return True
    if number.form in ("frac", "mixed"):
        return _fraction_is_size(context, q)
    if number.form == "dec":
        return _decimal_is_size(context, q)
    return _whole_is_size(context, q, neighbours)


def _parallel(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    """Tell "7 mm for the pots, 6 for the jacks": the same little word follows a size just before."""
    after = context.after(q)
    if not neighbours or after not in ("for", "on", "in", "at", "from"):
        return False
    left = neighbours[-1]
    follows = context.after(left)
    near = q.start - left.end < 6 and context.sentence[left.start] == context.sentence[q.start]
    return bool(left.size and left.said and near and follows == after and context.after(left, 1) == context.after(q, 1))


def _fraction_is_size(context: Context, q: Quantity) -> bool:
    """A ruler fraction is a size unless something refused it; a bare half or quarter wants a sign."""
    number = q.number
    assert number is not None
    if number.den >= 8 or (number.form == "mixed" and number.den in g.RULER):
        return True
    if number.digits and not number.bare:
        return not (context.after(q) == "of" and number.den == 2)
    if number.den == 4 and number.value.numerator == 3:
        return True
    after, before = context.after(q), context.before(q)
    free = not after or after in g.FOLLOW or after in g.ROLE_AFTER or _role_phrase(context, q) > 0
    if after in g.SIZED_NOUNS and not (number.den == 2 and after in ("hole", "line", "board", "sheet", "bar", "round")):
        return True
    if not free:
        return False
    if after in g.ROLE_AFTER or _role_phrase(context, q):
        return True
    if number.den == 4 and context.near(q, g.SIZE_VERBS, 5, 0):
        return True
    if before in ("in", "up", "off", "down", "at", "to", "another", "by") or context.phrase_before(q, g.VERB_PHRASES):
        return number.den == 4 or before in ("at", "off", "by")
    return after in ("and", "plus") and _size_at(context, q.end + 1)


def _decimal_is_size(context: Context, q: Quantity) -> bool:
    number = q.number
    assert number is not None
    after, before = context.after(q), context.before(q)
    if before in g.CODE_BEFORE or before in ("$", "£", "€"):
        return False
    places = len(str(number.step.denominator)) - 1
    if context.units != "mm" and (places >= 3 or (places == 2 and q.value < 1) or places >= 2 and context.near(q, g.MEASURING | g.SIZE_VERBS)):
        return True
    alone = _alone(context, q)
    if alone and q.value < 1000:
        return True
    return _has_sign(context, q) or before in g.COPULA or after in g.ROLE_AFTER or after in g.SIZED_NOUNS or after in ("up", "down", "in", "out", "off", "over", "under")


def _alone(context: Context, q: Quantity) -> bool:
    """Tell whether the number is a sentence of its own."""
    tokens = context.tokens
    begins = q.start == 0 or any(c in _BOUNDARY for c in tokens[q.start - 1].post)
    return begins and any(c in _BOUNDARY for c in tokens[q.end - 1].post)


def _free_after(context: Context, q: Quantity) -> bool:
    after = context.after(q)
    return not after or after in g.FOLLOW or after in g.CORRECTION or _role_phrase(context, q) > 0


def _role_after(context: Context, q: Quantity) -> bool:
    after = context.after(q)
    if _role_phrase(context, q):
        return not (q.form == "int" and q.value < 5 and after == "each")
    if after not in g.ROLE_AFTER:
        return False
    beyond = context.after(q, 1)
    if after in ("od", "id", "dia", "diameter", "across", "apart"):
        return True
    return not beyond or beyond in g.FOLLOW or beyond in g.ROLE_AFTER or beyond in g.SMALL or beyond in g.COPULA or beyond[0].isdigit() or _role_phrase(context, q, 1) > 0


def _has_sign(context: Context, q: Quantity) -> bool:
    """Tell whether the words around speak of size: a role, a phrase, a verb that takes a size."""
    if _role_after(context, q):
        return True
    if not _free_after(context, q):
        return False
    if context.phrase_before(q, g.VERB_PHRASES) or context.phrase_before(q, g.SAID_EARLIER):
        return True
    before = context.before(q)
    if _in_a_sum(context, q):
        return True
    if before in g.DIRECT_VERBS:
        return before not in ("says", "say", "reads") or context.units == "mm" or context.near(q, g.MEASURING)
    window = [context.before(q, k) for k in range(1, 7)]
    if before in ("at", "to", "from", "on", "of", "is", "was", "are", "about", "roughly", "be", "it's", "by", "exactly"):
        if before in ("at", "to", "from", "about", "roughly", "exactly") and any(w in g.SIZE_VERBS for w in window[1:]):
            return True
        if any(w in g.ROLE_BEFORE for w in window[1:4]):
            return True
        if before == "at" and (window[1] in g.SMALL or window[1].isdigit()) and q.value > 4:
            return True
    return any(w in g.ROLE_BEFORE for w in window[:2]) and before in g.ROLE_BEFORE


def _in_a_sum(context: Context, q: Quantity) -> bool:
    """Tell whether the number is added to or taken from a size: "the 252, less an 18"."""
    words = [context.before(q, k) for k in (1, 2)]
    sign = words[0] if words[0] not in _ARTICLES else words[1]
    last = context.last
    return sign in ("less", "minus", "plus") and last is not None and q.start - last.end < 8 and last.unit != "degree"


def _put_right_later(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    """Tell whether this puts right what was said earlier: "I said twelve earlier, it's ten"."""
    if not neighbours or context.before(q) not in g.COPULA or not _free_after(context, q):
        return False
    left = neighbours[-1]
    return left.size and q.start - left.end < 10 and context.phrase_before(left, g.SAID_EARLIER)


def _grit_talk(context: Context, q: Quantity) -> bool:
    if str(q.value) not in g.GRIT_P:
        return False
    tokens = context.tokens
    near: Iterable[Token] = tokens[max(0, q.start - 14) : q.end + 8]
    return any(t.text in g.GRIT for t in near)


def _whole_is_size(context: Context, q: Quantity, neighbours: list[Quantity]) -> bool:
    number = q.number
    assert number is not None
    if _grit_talk(context, q):
        return False
    tokens = context.tokens
    if _feeler_before(context, q):
        return True
    if number.value == 0 or (number.value == 1 and context.units == "mm"):
        return False
    if number.value < 3 and not number.digits and not (context.after(q) in g.ROLE_AFTER and _role_after(context, q)):
        return False
    if context.after(q) in ("outside", "out") and context.before(q) == "it's" and context.units != "mm":
        return False  # the weather
    if _put_right_later(context, q, neighbours):
        return True
    if _has_sign(context, q) or _article_noun(context, q, context.after(q)):
        return True
    if not _free_after(context, q):
        return False
    before = context.before(q)
    closed = q.end >= len(tokens) or any(c in _BOUNDARY for c in tokens[q.end - 1].post)
    if before in _ARTICLES and number.value >= 5 and q.value in context.known:
        return True
    if context.units == "mm":
        return _bare_millimetres(context, q, before, closed=closed)
    if before in g.COPULA and before not in ("at", "to", "of", "than", "about", "around", "here's") and closed and number.value >= 4:
        return context.near(q, g.MEASURING | g.ROLE_BEFORE | g.SIZE_VERBS, 12, 4)
    return False


def _bare_millimetres(context: Context, q: Quantity, before: str, *, closed: bool) -> bool:
    """In a metric build a bare number after "is", "at" or "to" is as a rule millimetres; counts are followed by a noun."""
    value = q.value
    if context.after(q) == "of":
        nxt = context.after(q, 1)
        return bool(number_of(q)) and value >= 3 and bool(nxt) and nxt not in g.FRACTION_OF_NOTHING and not nxt.endswith("s")
    if before in ("there", "there's", "theres", "got", "have", "made", "need", "than", "i", "only"):
        return before == "only" and value in context.known
    if value in context.known and (before in _ARTICLES or before in g.COPULA or before in ("less", "minus", "of", "plus", "saying", "at", "than")):
        return True
    if before in g.COPULA or (before == "about" and context.before(q, 2) in g.COPULA):
        if before == "of":
            return False
        return value >= 3 and (value >= 10 or before in g.COPULA and closed or context.before(q, 2) in g.COPULA)
    if before in ("s", "um", "called"):
        return value >= 10
    return value >= 10 and closed and _alone_between_commas(context, q) and context.last is not None and not context.near(q, frozenset({"episode", "number"}), 8, 4)


def number_of(q: Quantity) -> bool:
    """Tell whether the quantity was written in digits."""
    return q.number is not None and q.number.digits


def _alone_between_commas(context: Context, q: Quantity) -> bool:
    tokens = context.tokens
    return q.start > 0 and any(c in ",." for c in tokens[q.start - 1].post) and bool(tokens[q.end - 1].post)


def _restarts(context: Context, items: list[Item]) -> None:
    """Let a number that is at once said again, or put right, be a size where its neighbour is one."""
    quantities = [x for x in items if isinstance(x, Quantity)]
    for pairs in (zip(quantities, quantities[1:], strict=False), zip(reversed(quantities), list(reversed(quantities))[1:], strict=False)):
        for sure, other in pairs:
            if not sure.size or other.size or other.refused or other.unit is not None or sure.unit in (None, "degree") and other.value > 180:
                continue
            first, second = (sure, other) if sure.start < other.start else (other, sure)
            if second.start - first.end > 6 or not _only_correction(context.tokens, first.end, second.start):
                continue
            ratio = other.value / sure.value if sure.value else Fraction(0)
            if Fraction(1, 2) <= ratio <= 2 and other.number is not None and other.unit is None:
                _accept(context, other, sure.unit or "inch", "said again or put right at once")


_SAYS: Final = frozenset({"says", "say", "got", "have", "make", "makes", "made", "mine", "get", "yours", "wants", "want", "reads", "read", "s", "shows", "gives", "wanted", "had", "get"})


def _companions(context: Context, items: list[Item]) -> None:
    """Let "the drawing says ten" be a size beside nine and a half: close by, and close in value."""
    quantities = [x for x in items if isinstance(x, Quantity)]
    for pairs in (zip(quantities, quantities[1:], strict=False), zip(reversed(quantities), list(reversed(quantities))[1:], strict=False)):
        for sure, other in pairs:
            if not sure.size or other.size or other.refused or other.unit is not None or other.form != "int" or sure.unit == "degree":
                continue
            before = context.before(other)
            apart = max(other.start - sure.end, sure.start - other.end)
            if apart > 14 or other.value < 4 or not sure.value or not (before in _SAYS or before in g.COPULA):
                continue
            if before == "of" or context.near(other, g.PEOPLE_NOUNS, 1, 0) or not _free_after(context, other) or _grit_talk(context, other):
                continue
            if Fraction(4, 5) <= other.value / sure.value <= Fraction(5, 4):
                _accept(context, other, sure.unit or "inch", "close to a size said close by")


def _only_correction(tokens: list[Token], start: int, end: int) -> bool:
    between = tokens[start:end]
    if not between:
        return start > 0 and tokens[start - 1].post not in OPEN_POST
    text = [t.text for t in between if t.kind == WORD]
    if not any(w in g.CORRECTION for w in text) and not any(phrase_starting(tokens, start + k, g.CORRECTION_PHRASES) for k in range(len(between))):
        return False
    return all(w in g.CORRECTION or w in g.FOLLOW or w in ("let", "me", "look", "that", "mean", "see", "check", "on", "hang", "um") for w in text)
