"""Where a word, a stretch of words or a moment of the takes stands in the cut."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from typing import Final

from benchscribe.cut.cutmap import CutMap
from benchscribe.cut.inserts import end_of, insert_spans
from benchscribe.records import Span, Transcript

_ENOUGH: Final = 0.5
"""Share of a stretch's words that the cut must have for the stretch to be in it."""
_BESIDE: Final = 3
"""Words that may be missing beside a stretch that was heard otherwise in the cut."""
_OPENING: Final = 24
"""Words in the opening of a chapter."""
_ROUNDING_S: Final = 0.002
_EXACT: Final = frozenset({"sound", "words and sound"})
_SLIP_S: Final = 0.1
"""Words of two hearings are dated so much otherwise."""
_LONGEST_SIZE: Final = 12
"""Words in the longest way to say a size, which may have been heard as one word of digits."""


class Places:
    """The cut's place of everything that was said, in the takes and in the cut's inserts.

    Words are counted as in the transcript that `with_inserts` gives: the takes' first, the inserts' behind them.
    """

    def __init__(self, takes: Transcript, cut: Transcript, found: CutMap) -> None:
        """Turn the map round.

        Args:
            takes: The transcript that was understood: the takes', or the takes' with the inserts.
            cut: What is said in the cut.
            found: The map that was made of the takes alone.
        """
        self._takes = takes
        self._cut = cut
        self._map = found
        self._dated = [i for i, word in enumerate(takes.words) if word.start_s is not None]
        self._starts = [takes.words[i].start_s or 0.0 for i in self._dated]
        own = next((f for f in takes.files if cut.files and f.name == cut.files[0].name), None)
        self.inserts_from_s = own.offset_s if own else end_of(takes)
        self._stretches = _stretches(found)
        weight = [piece.cut_span[1] - piece.cut_span[0] for piece in found.pieces]
        word_of: dict[int, int] = {}
        for at, word in enumerate(found.take_words):
            if word is None:
                continue
            old = word_of.get(word)
            if old is None or weight[found.inside[at] or 0] > weight[found.inside[old] or 0]:
                word_of[word] = at
        behind = len(takes.words) - sum(b - a for a, b in insert_spans(found)) if own else len(takes.words)
        for begin, end in insert_spans(found) if own else ():
            for at in range(begin, end):
                word_of[behind] = at
                behind += 1
        self._word_of = word_of
        self._known = sorted(word_of)

    def word(self, index: int) -> int | None:
        """Give the word of the cut that a word is; None where the cut does not have it."""
        return self._word_of.get(index)

    def moment(self, start_s: float | None) -> float | None:
        """Give the cut's time of a running time of the takes; None where the cut does not have the word that begins there."""
        if start_s is None:
            return None
        at = max(0, bisect_right(self._starts, start_s + _ROUNDING_S) - 1)
        if at >= len(self._starts):
            return None
        span = self.stretch((self._dated[at], self._dated[at] + 1))
        begin = self._cut.words[span[0]].start_s if span else None
        return None if begin is None else round(max(0.0, begin + start_s - self._starts[at]), 3)

    def stretch(self, span: Span) -> Span | None:
        """Give the cut's words of a stretch; None where the edit took out half of it or more.

        A stretch that the cut has in two places is given where more of it stands. One that was heard quite otherwise in the cut is there
        all the same where the sound says so.
        """
        return self._by_words(span) or self._by_sound(span)

    def _by_words(self, span: Span) -> Span | None:
        begin, end = span
        at = [w for _, w in self._there(span)]
        if not at:
            return self._between(begin, end) if end - begin <= _LONGEST_SIZE else None
        home = Counter(self._stretch_of(w) for w in at).most_common(1)[0][0]
        if len(at) < _ENOUGH * (end - begin) and self._between(begin, end) is None:
            return None
        at = [w for w in at if self._stretch_of(w) == home]
        first, last = min(at), max(at) + 1
        if self.word(begin) is None:
            first = self._grown(first, begin - 1, first, back=True)
        if self.word(end - 1) is None:
            last = self._grown(last, end, last, back=False)
        return first, last

    def _by_sound(self, span: Span) -> Span | None:
        """Give the cut's words at the times of a stretch, where one piece that is the same sound holds all of it."""
        times = [(w.start_s, w.end_s) for w in self._takes.words[span[0] : span[1]] if w.start_s is not None]
        if not times:
            return None
        begin, end = times[0][0], times[-1][1] or times[-1][0]
        for piece in self._map.pieces:
            if piece.by not in _EXACT or piece.take_from_s is None or piece.take_to_s is None:
                continue
            if piece.take_from_s - _ROUNDING_S <= begin and end <= piece.take_to_s + _ROUNDING_S:
                lag = piece.take_from_s - piece.cut_from_s
                low, high = begin - lag, end - lag
                inside = [
                    n
                    for n in range(*piece.cut_span)
                    if (word := self._cut.words[n]).start_s is not None
                    and low - _SLIP_S <= (word.start_s + (word.end_s or word.start_s)) / 2 <= high + _SLIP_S
                ]
                return (inside[0], inside[-1] + 1) if inside else None
        return None

    def first(self, span: Span) -> int | None:
        """Give the cut's word with which a stretch begins there.

        Where its first words stand in two places, because an edit joined them anew, the place of most of them is meant.
        """
        at = [w for _, w in self._there(span)[:_OPENING]]
        if not at:
            return None
        home = Counter(self._stretch_of(w) for w in at).most_common(1)[0][0]
        return next(w for w in at if self._stretch_of(w) == home)

    def _there(self, span: Span) -> list[tuple[int, int]]:
        """Give the words of a stretch that the cut has, each with its word of the cut."""
        known = self._known[bisect_left(self._known, span[0]) : bisect_left(self._known, span[1])]
        return [(i, self._word_of[i]) for i in known]

    def _stretch_of(self, cut_word: int) -> int:
        return self._stretches[self._map.inside[cut_word] or 0]

    def _between(self, begin: int, end: int) -> Span | None:
        """Give the cut's words between the neighbours of a stretch that was heard otherwise there."""
        before, after = self._there((max(0, begin - _BESIDE), begin)), self._there((end, end + _BESIDE))
        if not before or not after:
            return None
        left = before[-1][1] + begin - before[-1][0]
        right = after[0][1] - (after[0][0] - end)
        same = self._stretch_of(before[-1][1]) == self._stretch_of(after[0][1])
        return (left, right) if same and 0 < right - left <= end - begin + _BESIDE else None

    def _grown(self, edge: int, neighbour: int, otherwise: int, *, back: bool) -> int:
        """Move an edge whose word was heard otherwise out to the neighbour that agrees, where that stands close by."""
        known = self.word(neighbour)
        if known is None:
            return otherwise
        wanted = known + 1 if back else known
        near = 0 <= edge - wanted <= _BESIDE if back else 0 <= wanted - edge <= _BESIDE
        return wanted if near else otherwise


def _stretches(found: CutMap) -> list[int]:
    """Number the passages of the cut: pieces that follow one on another in the cut and go on in the take are one passage."""
    numbers: list[int] = []
    for number, piece in enumerate(found.pieces):
        before = found.pieces[number - 1] if number else None
        goes_on = (
            before is not None
            and piece.take_span is not None
            and before.take_span is not None
            and piece.file == before.file
            and piece.take_span[0] >= before.take_span[1]
        )
        numbers.append(numbers[-1] if goes_on else number)
    return numbers
