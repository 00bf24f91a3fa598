"""The words around a number, asked for in small questions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.flowing import plural_ahead
from benchscribe.measures.lexer import OPEN_POST, WORD, Token
from benchscribe.measures.number import joined
from benchscribe.measures.quantity import Quantity
from benchscribe.measures.trade_item import Trade
from benchscribe.measures.types import BuildUnits

REACH: Final = 9
ARTICLES: Final = frozenset(
    {"the", "my", "that", "an", "a", "this", "our", "your", "his", "her", "old", "same"}
)
_STOPS: Final = frozenset(".,;:?!)]—")
_ADVERBS: Final = frozenset(
    {
        "only",
        "just",
        "about",
        "now",
        "really",
        "still",
        "exactly",
        "roughly",
        "nearly",
        "maybe",
        "actually",
        "more",
    }
)
_PhraseIndex = Mapping[str, tuple[tuple[str, ...], ...]]


@dataclass(slots=True)
class Context:
    """What the bare numbers are judged by.

    Attributes:
        tokens: All tokens.
        sentence: Sentence number of every token.
        units: The build's unit.
        known: Values already settled as sizes, with their unit.
        last: The last settled size.
        last_trade: The last number that was of another kind (rpm, minutes, pounds).
        feet: Whole feet that were said with inches.
        centimetres: Centimetres have been said.
        last_degree: Token after the last angle.
        expected: Sizes of the part list, by their number as it is read aloud, with its unit.
        bare: The unit of a bare number in this build: inch, mm, or cm where the list is in centimetres.
        flowing: The talk has no stops: where a clause ends is told by the words alone.
    """

    tokens: list[Token]
    sentence: list[int]
    units: BuildUnits | None
    known: dict[Fraction, str] = field(default_factory=dict)
    last: Quantity | None = None
    last_trade: Trade | None = None
    feet: set[int] = field(default_factory=set)
    centimetres: bool = False
    last_degree: int | None = None
    expected: Mapping[Fraction, str] = field(default_factory=dict)
    bare: str = "inch"
    flowing: bool = False

    @property
    def metric(self) -> bool:
        """Tell whether the build is in millimetres."""
        return self.units == "mm"

    def before(self, q: Quantity, k: int = 1) -> str:
        """Give the k-th word before, in the same sentence."""
        i = q.start - k
        return self.tokens[i].text if i >= 0 and self.sentence[i] == self.sentence[q.start] else ""

    def sign_before(self, q: Quantity) -> str:
        """Give the word before, small adverbs passed over: "are only 30"."""
        k = 1
        while k < 4 and self.before(q, k) in _ADVERBS:
            k += 1
        return self.before(q, k)

    def after(self, q: Quantity, k: int = 0) -> str:
        """Give the k-th word after with no punctuation before it."""
        i = q.end + k
        if i >= len(self.tokens) or not joined(self.tokens, q.end):
            return ""
        return self.tokens[i].text if all(joined(self.tokens, j) for j in range(q.end, i + 1)) else ""

    def near(self, q: Quantity, words: frozenset[str], back: int = REACH, ahead: int = REACH) -> bool:
        """Tell whether one of the words stands near, in the same sentence."""
        tokens, home = self.tokens, self.sentence[q.start]
        for i in range(max(0, q.start - back), min(len(tokens), q.end + ahead)):
            if tokens[i].text in words and self.sentence[i] == home:
                return True
        return False

    def around(self, q: Quantity, words: frozenset[str], back: int, ahead: int) -> bool:
        """Tell whether one of the words stands near, over the ends of sentences."""
        return any(t.text in words for t in self.tokens[max(0, q.start - back) : q.end + ahead])

    def phrase_before(self, q: Quantity, index: _PhraseIndex) -> bool:
        """Tell whether a phrase of the index ends right before."""
        return phrase_ending(self.tokens, q.start, index) > 0

    def closed(self, q: Quantity) -> bool:
        """Tell whether punctuation, or the end, comes right after; in talk without stops, the beginning of another clause."""
        if self.flowing and q.end < len(self.tokens) and self.tokens[q.end].text in g.CLAUSE:
            return True
        return q.end >= len(self.tokens) or any(c in _STOPS for c in self.tokens[q.end - 1].post)

    def closed_after(self, q: Quantity, k: int) -> bool:
        """Tell whether the k-th word after is the last before punctuation or the end."""
        i = q.end + k - 1
        return i >= len(self.tokens) - 1 or any(c in _STOPS for c in self.tokens[i].post)

    def opened(self, q: Quantity) -> bool:
        """Tell whether punctuation, or the beginning, comes right before."""
        return q.start == 0 or any(c in _STOPS for c in self.tokens[q.start - 1].post)

    def role_phrase(self, q: Quantity, ahead: int = 0) -> int:
        """Give the length of a phrase of role after the number: "in diameter", "shoulder to shoulder"."""
        tokens, i = self.tokens, q.end + ahead
        if not joined(tokens, q.end):
            return 0
        n = phrase_starting(tokens, i, g.ROLE_PHRASES)
        if not n and i + 2 < len(tokens) and tokens[i + 1].text == "to" and tokens[i].kind == WORD:
            n = 3 if tokens[i].text == tokens[i + 2].text else 0
        if not n and i + 3 < len(tokens) and tokens[i].text == "from" and tokens[i + 2].text == "to":
            n = 4 if tokens[i + 1].text == tokens[i + 3].text else 0  # "from box to box"
        return n

    def free_after(self, q: Quantity) -> bool:
        """Tell whether nothing follows that the number could count."""
        after = self.after(q)
        if not after or after in g.FOLLOW or after in g.CORRECTION or self.role_phrase(q) > 0:
            return True
        return self.flowing and not self.counts_plural(q)

    def counts_plural(self, q: Quantity) -> bool:
        """Tell whether a plural follows that the number could count, or, after "one", anything."""
        return q.value == 1 or plural_ahead(self.tokens, q.end)

    def role_after(self, q: Quantity) -> bool:
        """Tell whether a word or phrase of role follows: "wide", "across", "each way"."""
        after = self.after(q)
        small = q.form == "int" and q.value < 5
        if self.role_phrase(q):
            return not (small and after in ("each", "across", "from", "off", "over", "in", "at"))
        if after not in g.ROLE_AFTER:
            return False
        beyond = self.after(q, 1)
        if small and after in ("across", "outside", "inside") and beyond:
            return False
        if after in ("od", "id", "dia", "diameter", "across", "apart"):
            return True
        return not beyond or beyond[0].isdigit() or beyond in g.AFTER_ROLE or self.role_phrase(q, 1) > 0

    def size_at(self, i: int) -> bool:
        """Tell whether a number or a unit stands at a token."""
        tokens = self.tokens
        if i >= len(tokens):
            return False
        return tokens[i].kind in ("n", "g") or tokens[i].text in g.SMALL or tokens[i].text in g.UNIT_WORDS

    def support(self, q: Quantity) -> bool:
        """Tell whether sizes are being spoken of here at all."""
        if self.last is not None and self.last.unit != "degree" and q.start - self.last.end < 25:
            return True
        return self.near(q, g.SIZE_TALK, 12, 8)


def phrase_ending(tokens: list[Token], end: int, index: _PhraseIndex) -> int:
    """Give the length of the phrase that ends before a token, 0 for none."""
    if end < 1 or tokens[end - 1].post not in OPEN_POST:
        return 0
    for phrase in index.get(tokens[end - 1].text, ()):
        n = len(phrase)
        if n <= end and all(tokens[end - n + k].text == phrase[k] for k in range(n)):
            return n
    return 0


def phrase_starting(tokens: list[Token], start: int, index: _PhraseIndex) -> int:
    """Give the length of the phrase that begins at a token, 0 for none."""
    if start >= len(tokens):
        return 0
    for phrase in index.get(tokens[start].text, ()):
        n = len(phrase)
        if start + n <= len(tokens) and all(tokens[start + k].text == phrase[k] for k in range(n)):
            return n
    return 0
