"""The map made of clips: stretches of the cut whose place in the takes is known, from an edit list or from the sound.

Words have their own times, a few tenths of a second off; the clips' are exact. So each clip is given the words that lie in it, and at a
joint between two clips the words go to the side whose take says them.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from typing import Final, Literal

from msgspec import Struct, structs

from benchscribe.cut.cutmap import CutMap, Piece, between, doubt_of, marked
from benchscribe.cut.words import alike, plain_words
from benchscribe.records import SourceFile, Transcript

_NEAR_S: Final = 0.5
"""Seconds within which a word of the cut and a word of the take are the same word, where a clip says how they lie."""
_JOINT_S: Final = 0.8
"""Seconds round a joint in which a word may be dated on the wrong side of it."""
_TOUCH_S: Final = 0.1
"""Two clips with less than this between them are joined to each other."""


class Clip(Struct, frozen=True, kw_only=True):
    """A stretch of the cut that is out of one stretch of one take."""

    begin_s: float
    end_s: float
    take_s: float
    """Running time of the takes at which it begins."""
    file: SourceFile
    by: Literal["sound", "edit list"]
    likeness: float = 1.0
    """How surely it is that stretch, 0 to 1."""
    speed: float = 1.0
    """Seconds of the take in a second of the cut."""

    def taken_s(self, cut_s: float) -> float:
        """Give the takes' running time of a moment of the cut."""
        return self.take_s + (cut_s - self.begin_s) * self.speed

    def between(self, begin_s: float, end_s: float) -> Clip:
        """Give the part of it between two moments of the cut."""
        return structs.replace(self, begin_s=begin_s, end_s=end_s, take_s=self.taken_s(begin_s))


def map_by_clips(
    clips: Sequence[Clip], cut: Transcript, takes: Transcript, otherwise: CutMap | None = None
) -> CutMap:
    """Make the map out of clips.

    Args:
        clips: In the order of the cut, none overlapping.
        cut: What is said in the published cut.
        takes: What is said in the takes.
        otherwise: Where the words outside of the clips are; without it they are inserts.

    Returns:
        Pieces in the order of the cut; a clip in which nothing is said is a piece as well.
    """
    words = _Words(cut, takes)
    bounds = _bounds(clips, words)
    take_words: list[int | None] = [None] * len(cut.words)
    pieces: list[Piece] = []
    inside: list[int | None] = [None] * len(cut.words)
    done = 0
    for clip, (first, last) in [*zip(clips, bounds, strict=True), (None, (len(words.at), len(words.at)))]:
        for piece in _outside(words, done, first, otherwise, take_words):
            _place(piece, pieces, inside)
        done = last
        if clip is not None:
            _place(_piece(clip, words, first, last, take_words), pieces, inside)
    return CutMap(marked(pieces), tuple(take_words), tuple(inside))


class _Words:
    """The dated words of the cut and of the takes."""

    def __init__(self, cut: Transcript, takes: Transcript) -> None:
        self.cut = cut
        self.keys, self._others = plain_words(cut), plain_words(takes)
        self.at = [i for i, word in enumerate(cut.words) if word.start_s is not None]
        self._dated = [(word.start_s, i) for i, word in enumerate(takes.words) if word.start_s is not None]
        latest = 0.0
        self.middles: list[float] = []
        for i in self.at:
            word = cut.words[i]
            latest = max(latest, ((word.start_s or 0.0) + (word.end_s or word.start_s or 0.0)) / 2)
            self.middles.append(latest)

    def match(self, number: int, clip: Clip) -> int | None:
        """Give the word of the takes that is the same word and lies nearest to where the clip puts it."""
        index = self.at[number]
        key, at_s = self.keys[index], clip.taken_s(self.cut.words[index].start_s or 0.0)
        low, high = clip.take_s - _NEAR_S, clip.taken_s(clip.end_s) + _NEAR_S
        middle = bisect_left(self._dated, (at_s, 0))
        best: tuple[float, int] | None = None
        for start, other in self._dated[max(0, middle - 6) : middle + 6]:
            away = abs(start - at_s)
            if away > _NEAR_S or not low <= start <= high or not key:
                continue
            if alike(self._others[other], key) and (best is None or away < best[0]):
                best = (away, other)
        return best[1] if best else None

    def after(self, take_s: float) -> int:
        """Give the first word of the takes that begins at a running time or later."""
        at = bisect_left(self._dated, (take_s, 0))
        return self._dated[at][1] if at < len(self._dated) else len(self._others)


def _bounds(clips: Sequence[Clip], words: _Words) -> list[tuple[int, int]]:
    """Give the dated words that each clip has, half-open."""
    out: list[tuple[int, int]] = []
    for n, clip in enumerate(clips):
        before = clips[n - 1] if n else None
        touches = before is not None and clip.begin_s - before.end_s <= _TOUCH_S
        least = out[-1][0] if out else 0
        first = bisect_left(words.middles, clip.begin_s)
        if before is not None and touches:
            first = max(least, _joint(words, before, clip, first))
            out[-1] = (least, first)
        else:
            first = max(out[-1][1] if out else 0, first)
            while first > (out[-1][1] if out else 0) and _slipped(words, first - 1, clip):
                first -= 1
        last = max(first, bisect_left(words.middles, clip.end_s))
        goes_on = n + 1 < len(clips) and clips[n + 1].begin_s - clip.end_s <= _TOUCH_S
        while not goes_on and last < len(words.at) and _slipped(words, last, clip):
            last += 1
        out.append((first, last))
    return out


def _slipped(words: _Words, number: int, clip: Clip) -> bool:
    """Tell whether a word just outside of a clip is one of its words, dated a little wrong."""
    middle = words.middles[number]
    near = clip.begin_s - _JOINT_S / 2 <= middle <= clip.end_s + _JOINT_S / 2
    return near and words.match(number, clip) is not None


def _joint(words: _Words, before: Clip, after: Clip, middle: int) -> int:
    """Give the first word behind a joint: where the most words are on the side whose take says them; of equals the nearest."""
    low = bisect_left(words.middles, max(before.begin_s, after.begin_s - _JOINT_S))
    high = bisect_left(words.middles, min(after.end_s, after.begin_s + _JOINT_S))
    left = [words.match(n, before) is not None for n in range(low, high)]
    right = [words.match(n, after) is not None for n in range(low, high)]
    return max(
        range(low, high + 1),
        key=lambda n: (sum(left[: n - low]) + sum(right[n - low :]), -abs(n - middle)),
        default=middle,
    )


def _piece(clip: Clip, words: _Words, first: int, last: int, take_words: list[int | None]) -> Piece:
    known = []
    for n in range(first, last):
        match = words.match(n, clip)
        take_words[words.at[n]] = match
        known += [match] if match is not None else []
    end_s = round(clip.taken_s(clip.end_s), 3)
    here = _span(words, first, last)
    by = "words and sound" if clip.by == "sound" and known else clip.by
    nowhere = words.after(clip.take_s)
    return Piece(
        cut_span=here,
        cut_from_s=round(clip.begin_s, 3),
        cut_to_s=round(clip.end_s, 3),
        take_span=(min(known), max(known) + 1) if known else (nowhere, nowhere),
        take_from_s=round(clip.take_s, 3),
        take_to_s=end_s,
        file=clip.file.name,
        at_s=round(max(0.0, clip.take_s - clip.file.offset_s), 3),
        confidence=round(len(known) / (last - first) if by != "sound" and last > first else clip.likeness, 3),
        by=by,
        knots=((round(clip.begin_s, 3), round(clip.take_s, 3)), (round(clip.end_s, 3), end_s)),
    )  # fmt: skip


def _span(words: _Words, first: int, last: int) -> tuple[int, int]:
    if first < last:
        return words.at[first], words.at[last - 1] + 1
    there = words.at[first] if first < len(words.at) else len(words.cut.words)
    return there, there


def _outside(
    words: _Words, first: int, last: int, otherwise: CutMap | None, take_words: list[int | None]
) -> list[Piece]:
    """Give the pieces of words that lie in no clip: as the other map has them, or inserts."""
    pieces: list[Piece] = []
    begin = first
    for n in range(first, last):
        home = otherwise.inside[words.at[n]] if otherwise else None
        if n + 1 < last and (otherwise.inside[words.at[n + 1]] if otherwise else None) == home:
            continue
        whole = otherwise.pieces[home] if otherwise and home is not None else None
        pieces.append(_part_of(whole, words, begin, n + 1))
        if otherwise is not None and pieces[-1].take_span is not None:
            span = pieces[-1].cut_span
            take_words[span[0] : span[1]] = otherwise.take_words[span[0] : span[1]]
        begin = n + 1
    return pieces


def _part_of(whole: Piece | None, words: _Words, first: int, last: int) -> Piece:
    one, other = words.cut.words[words.at[first]], words.cut.words[words.at[last - 1]]
    begin, end = one.start_s or 0.0, max(other.end_s or 0.0, other.start_s or 0.0)
    span = _span(words, first, last)
    if whole is None or whole.take_span is None:
        return Piece(cut_span=span, cut_from_s=begin, cut_to_s=end, confidence=doubt_of(last - first))
    inner = [knot for knot in whole.knots if begin < knot[0] < end]
    knots = ((begin, between(whole.knots, begin, 0)), *inner, (end, between(whole.knots, end, 0)))
    return structs.replace(
        whole,
        cut_span=span,
        cut_from_s=begin,
        cut_to_s=end,
        take_from_s=round(knots[0][1], 3),
        take_to_s=round(knots[-1][1], 3),
        at_s=round(max(0.0, (whole.at_s or 0.0) + knots[0][1] - (whole.take_from_s or 0.0)), 3),
        knots=tuple((round(a, 3), round(b, 3)) for a, b in knots),
    )


def _place(piece: Piece, pieces: list[Piece], inside: list[int | None]) -> None:
    begin, end = piece.cut_span
    inside[begin:end] = [len(pieces)] * (end - begin)
    pieces.append(piece)
