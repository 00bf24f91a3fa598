"""Sums said aloud: "half of 342 is 171", "ninety less 22 and a half, call it 67 and a half", "252 less an 18"."""

from __future__ import annotations

import tomllib
from bisect import bisect_left
from fractions import Fraction
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Final

from msgspec import Struct

from benchscribe.records import Measure
from benchscribe.spoken.phrases import Hit, PhraseBook, phrase_book
from benchscribe.spoken.plan import is_angle, size_of
from benchscribe.spoken.words import Talk, whole_number

_PI: Final = Fraction(355, 113)
"""Good to 0.3 parts in a million."""
_NEAR_RESULT: Final = Fraction(1, 5)
"""A result further from the true one than this is the result of another sum, or none."""
_REACH: Final = 12
_GRADUATIONS: Final = frozenset({1, 2, 4, 8, 16, 32, 64})
_LOTS: Final = 2
_ROUND: Final = 360
_FAR_REACH: Final = 24
_OVER: Final = frozenset({"over", "divided", "into", "split"})
_FAR_BASE: Final = 14
"""Words from a size to "half of that"."""
_THAT: Final = frozenset({"that", "it", "this", "which"})
"""Words of "three of" and "two at"."""


class Sum(Struct, frozen=True):
    """A sum whose result was said."""

    kind: str
    """half, third, quarter, double, multiple, part, gaps, difference, sum, circumference or complement."""
    base: int
    """Index of the measure that the sum starts from."""
    result: int
    expected: Fraction
    """What it should come to, in millimetres or degrees."""
    right: bool
    other: int | None = None
    """Index of the second measure of a difference or a sum."""
    factor: int = 1
    """How often the second measure is taken: 2 for "each side"; or the number of equal parts, or of gaps."""


@cache
def sum_book() -> PhraseBook:
    """Read the words of sums."""
    data = tomllib.loads(files("benchscribe.spoken").joinpath("sums.toml").read_text(encoding="utf-8"))
    return phrase_book((name, phrase) for name, phrases in data.items() for phrase in phrases)


def find_sums(talk: Talk, measures: tuple[Measure, ...]) -> list[Sum]:
    """Find the sums whose terms and result were all said, right or wrong.

    Args:
        talk: The words.
        measures: In order of place.

    Returns:
        One sum at most for each result, in order of place.
    """
    inside = {i for m in measures for i in range(*m.span)}
    hits = [hit for hit in sum_book().find(talk.tokens) if hit.start not in inside]
    finder = _Finder(talk, measures, hits)
    found: dict[int, Sum] = {}
    for hit in sorted(hits, key=lambda h: h.start):
        for candidate in finder.at(hit):
            old = found.get(candidate.result)
            if old is None or (candidate.right and not old.right):
                found[candidate.result] = candidate
    for candidate in (*finder.parts(), *finder.gaps(), *finder.multiples()):
        found.setdefault(candidate.result, candidate)
    return [found[result] for result in sorted(found)]


class _Finder:
    """Looks for the terms around one word of a sum."""

    def __init__(self, talk: Talk, measures: tuple[Measure, ...], hits: list[Hit]) -> None:
        self.talk, self.measures = talk, measures
        self.inside = {i for m in measures for i in range(*m.span)}
        self.starts = [m.span[0] for m in measures]
        self.ends = [m.span[1] for m in measures]
        self.equals = sorted(h.start for h in hits if h.name == "equals")
        self.both = sorted(h.start for h in hits if h.name == "both")

    def after(self, word: int, reach: int = _REACH) -> int | None:
        """Give the first measure that starts at or after a word."""
        where = bisect_left(self.starts, word)
        if where < len(self.starts) and self.starts[where] - word <= reach:
            return where
        return None

    def before(self, word: int, reach: int = _REACH) -> int | None:
        """Give the last measure that ends at or before a word."""
        where = bisect_left(self.ends, word + 1) - 1
        if where >= 0 and word - self.ends[where] <= reach:
            return where
        return None

    def at(self, hit: Hit) -> list[Sum]:
        """Give the sums that one word of a sum can be part of."""
        if hit.name in ("half", "third", "quarter", "double", "circumference"):
            return self._one_term(hit)
        if hit.name in ("minus", "plus", "from"):
            return self._two_terms(hit)
        return []

    def multiples(self) -> list[Sum]:
        """Find "three of 5 and a half, that's 16 and a half" and "two at 34 is 68"."""
        sums = []
        for base, begin in enumerate(self.starts):
            if begin < _LOTS or self.talk.tokens[begin - 1] not in ("of", "at", "times", "by"):
                continue
            number = whole_number(self.talk.tokens, begin - _LOTS)
            result = self.after(self.ends[base], 6)
            if number is None or number[0] < 2 or result is None or not self._states(base, result):
                continue
            if (begin - _LOTS) in self.inside:
                continue
            made = self._made("multiple", base, result, Fraction(number[0]))
            if made is not None:
                sums.append(made)
        return sums

    def _one_term(self, hit: Hit) -> list[Sum]:
        factor = {
            "half": Fraction(1, 2),
            "third": Fraction(1, 3),
            "quarter": Fraction(1, 4),
            "double": Fraction(2),
            "circumference": _PI,
        }[hit.name]
        sums = []
        following = self.after(hit.end, 6)
        previous = self.before(hit.start, _FAR_BASE if self._of_that(hit.end) else 8)
        if following is not None:
            result = self.after(self.ends[following], 10)
            if result is not None and self._states(following, result):
                sums.append(self._made(hit.name, following, result, factor))
            if previous is not None and hit.start - self.ends[previous] <= 4:
                sums.append(self._made(hit.name, following, previous, factor))
            if previous is not None:
                made = self._made(hit.name, previous, following, factor)
                if self._of_that(hit.end):
                    return [made] if made is not None else []
                sums.append(made)
        return [s for s in sums[:1] if s is not None] or [s for s in sums[1:] if s is not None and s.right]

    def _of_that(self, word: int) -> bool:
        """Tell whether "of that" stands at a word: the sum is of the size said before."""
        tokens = self.talk.tokens[max(0, word - 1) : word + 2]
        return any(a == "of" and b in _THAT for a, b in pairwise(tokens))

    def parts(self) -> list[Sum]:
        """Find "900 over 3 is 300", "divided into five, that's 34" and "360 divided by 12 is 30 degrees"."""
        tokens, sums = self.talk.tokens, []
        for base, word in enumerate(self.ends):
            reach = tokens[word : word + _LOTS + 1]
            at = next((i for i, token in enumerate(reach) if token in _OVER), None)
            if at is None:
                continue
            at = word + at + (2 if tokens[word + at : word + at + 2] == ("divided", "by") else 1)
            number = whole_number(tokens, at + (tokens[at : at + 1] == ("into",)))
            if number is None or number[0] < _LOTS:
                continue
            result = self.after(at + number[1], _REACH)
            if result is not None and self._said_between(at + number[1], self.starts[result]):
                made = self._part(base, result, number[0])
                if made is not None:
                    sums.append(made)
        return sums

    def _part(self, base: int, result: int, number: int) -> Sum | None:
        one, other = self.measures[base], self.measures[result]
        round_ = one.value == _ROUND and is_angle(other.unit)
        if one.taken_back or other.taken_back or not (round_ or is_angle(one.unit) == is_angle(other.unit)):
            return None
        expected = (one.value if round_ else size_of(one)) / number
        if abs(size_of(other) - expected) / expected > _NEAR_RESULT:
            return None
        return Sum("part", base, result, expected, _equal(other, expected), factor=number)

    def gaps(self) -> list[Sum]:
        """Find "seven pegs at 120, so 720 from the first to the last": n of them span n - 1 gaps.

        It is wrong only where n times the gap was said outright for first to last: any other size may be of something else.
        """
        tokens, sums = self.talk.tokens, []
        for base, begin in enumerate(self.starts):
            if not begin or tokens[begin - 1] not in ("at", "every", "spaced", "of"):
                continue
            number = next(
                (
                    n
                    for i in range(max(0, begin - 5), begin - 1)
                    if (n := whole_number(tokens, i)) and n[0] > _LOTS
                ),
                None,
            )
            for result in range(base + 1, min(base + 4, len(self.measures))):
                if number is None or self.starts[result] - self.ends[base] > _FAR_REACH:
                    break
                made = self._gap(base, result, number[0])
                if made is not None:
                    sums.append(made)
                    break
        return sums

    def _gap(self, base: int, result: int, number: int) -> Sum | None:
        one, other = self.measures[base], self.measures[result]
        if is_angle(one.unit) or is_angle(other.unit) or one.taken_back or other.taken_back or not one.value:
            return None
        times = size_of(other) / size_of(one)
        near = set(self.talk.tokens[self.starts[base] : self.ends[result] + 8])
        right = times == number - 1
        if not right and not (times == number and {"first", "last"} <= near):
            return None
        return Sum("gaps", base, result, size_of(one) * (number - 1), right, factor=number - 1)

    def _said_between(self, begin: int, end: int) -> bool:
        """Tell whether a word that states a result stands between two words, or nothing does."""
        where = bisect_left(self.equals, begin)
        return end - begin <= 1 or (where < len(self.equals) and self.equals[where] < end)

    def _states(self, term: int, result: int) -> bool:
        """Tell whether the second measure is said as the result: with "is", "so", "that's", or right behind."""
        begin, end = self.ends[term], self.starts[result]
        if end - begin <= 1:
            return True
        where = bisect_left(self.equals, begin)
        return where < len(self.equals) and self.equals[where] < end

    def _made(self, kind: str, base: int, result: int, factor: Fraction) -> Sum | None:
        one, other = self.measures[base], self.measures[result]
        if base == result or is_angle(one.unit) != is_angle(other.unit) or one.taken_back or other.taken_back:
            return None
        expected = size_of(one) * factor
        if not expected or abs(size_of(other) - expected) / expected > _NEAR_RESULT:
            return None
        times = int(factor) if kind == "multiple" else 1
        return Sum(kind, base, result, expected, _equal(other, expected), factor=times)

    def _two_terms(self, hit: Hit) -> list[Sum]:
        if hit.name == "from":
            first, second = self.after(hit.end, 4), self.before(hit.start, 4)
            if second is None and hit.end - hit.start > 1:
                inner = self.after(hit.start, hit.end - hit.start)
                second = inner if inner is not None and inner != first else None
        else:
            first, second = self.before(hit.start, 6), self.after(hit.end, 6)
        if first is None or second is None or first == second:
            return []
        times = 2 if self._both_sides(second) else self._how_many(second)
        sign = 1 if hit.name == "plus" else -1
        last = max(first, second)
        results = [
            r for r in (self.after(self.ends[last], 14), self._earlier(min(first, second))) if r is not None
        ]
        sums = []
        for position, result in enumerate(results):
            if result in (first, second) or (
                position == 0 and result > last and not self._states(last, result)
            ):
                continue
            made = self._difference(first, second, result, sign * times)
            if made is not None and (made.right or result > last):
                sums.append(made)
        return sums

    def _earlier(self, first: int) -> int | None:
        return first - 1 if first > 0 and self.starts[first] - self.ends[first - 1] <= 6 else None

    def _both_sides(self, measure: int) -> bool:
        where = bisect_left(self.both, self.ends[measure])
        return where < len(self.both) and self.both[where] - self.ends[measure] <= 2

    def _how_many(self, measure: int) -> int:
        """Read the two of "take away two fives"."""
        begin, end = self.measures[measure].span
        number = whole_number(self.talk.tokens, begin - 1) if begin else None
        plural = self.talk.tokens[end - 1].endswith("s")
        return number[0] if number and plural and number[0] > 1 else 1

    def _difference(self, first: int, second: int, result: int, times: int) -> Sum | None:
        terms = [self.measures[i] for i in (first, second, result)]
        if len({is_angle(t.unit) for t in terms}) > 1 or any(t.taken_back for t in terms):
            return None
        expected = size_of(terms[0]) + times * size_of(terms[1])
        if expected <= 0 or abs(size_of(terms[2]) - expected) / expected > _NEAR_RESULT:
            return None
        complement = is_angle(terms[0].unit) and terms[0].value in (90, 180, 360) and times < 0
        kind = "complement" if complement else "difference" if times < 0 else "sum"
        base, other = (second, first) if complement else (first, second)
        return Sum(kind, base, result, expected, _equal(terms[2], expected), other, abs(times))


def _equal(said: Measure, expected: Fraction) -> bool:
    """Tell whether a result is right as far as its own words can say.

    What can be said exactly must be: half of 2 3/8 is 1 3/16 and not 1 1/4. What cannot ("a third of 10", a circumference) may be
    rounded to the graduation that was said; so may what is hedged ("about").
    """
    apart = abs(size_of(said) - expected)
    if not apart:
        return True
    one = size_of(said) / said.value if said.value else Fraction(1)
    in_unit = expected / one
    sayable = in_unit.denominator in _GRADUATIONS or (10**3 * in_unit).denominator == 1
    free = not sayable or said.hedge == "about"
    return free and said.step is not None and apart < one * said.step / 2
