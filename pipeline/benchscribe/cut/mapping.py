"""Map a published cut onto the takes that it was made of, by the words that they share."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations, pairwise
from statistics import median
from typing import Final

from msgspec import structs

from benchscribe.cut.align import Pair, fill
from benchscribe.cut.anchors import Run, best_course, find_runs
from benchscribe.cut.cutmap import CutMap, Piece, doubt_of, marked
from benchscribe.cut.words import Talk, talk_of
from benchscribe.records import SourceFile, Transcript

_SHORT: Final = 3
"""Words in a row that may have been misheard without being an insert."""
_MISHEARD: Final = 8
_PACE_S: Final = 1.5
"""Words misheard take the same time on both sides, within this."""
_BREAK_S: Final = 0.5
"""Seconds by which cut and take drift apart at once where something was cut out."""
_NEAR: Final = 2
"""Words on either side whose lag a word's own is held against."""
_LEAST: Final = 5
"""Words that agree, below which a stretch is no passage of a take but chance."""
_TWICE: Final = 0.9
"""Share of words that must agree where a passage of a take is in the cut a second time."""
_LEAST_SHARE: Final = 0.34

Home = tuple[float, int]
Knots = tuple[tuple[float, float], ...]


def map_cut(cut: Transcript, takes: Transcript) -> CutMap:
    """Map a cut onto its takes.

    Args:
        cut: What is said in the published cut, in its time.
        takes: What is said in the takes, laid end to end.

    Returns:
        Pieces that cover the cut. Moved passages, passages used twice and inserts are pieces of their own.
    """
    ours, theirs = talk_of(cut), talk_of(takes)
    pairs = _agreeing(ours, theirs)
    home = _homes(ours, theirs, pairs)
    return _as_map(cut, takes, pairs, home)


def _agreeing(ours: Talk, theirs: Talk) -> dict[int, tuple[int, int]]:
    """Give for each word of the cut that agrees the word of the takes, and the stretch that both are in."""
    course = [
        part for whole in best_course(find_runs(ours.keys, theirs.keys)) for part in _one_file(whole, theirs)
    ]
    pairs: dict[int, tuple[int, int]] = {}
    for number, stretch in enumerate(course):
        first = course[number - 1][-1] if number else None
        done = max(pairs, default=-1) + 1
        end = course[number + 1][0].cut if number + 1 < len(course) else len(ours.keys)
        begin = max(done, first.cut + first.length if first else 0)
        room = (begin, end), _room(stretch, theirs)
        for i, j in fill(stretch, ours.keys, theirs.keys, room):
            pairs[i] = (j, number)
    return _sure(_used_once(pairs))


def _one_file(stretch: Sequence[Run], theirs: Talk) -> list[list[Run]]:
    """Part a stretch where one take ends and the next begins."""
    out: list[list[Run]] = []
    for run in stretch:
        begin = run.take
        while begin < run.take + run.length:
            end = begin
            while end < run.take + run.length and theirs.file[end] == theirs.file[begin]:
                end += 1
            part = Run(run.cut + begin - run.take, begin, end - begin)
            if out and theirs.file[out[-1][-1].take] == theirs.file[begin]:
                out[-1].append(part)
            else:
                out.append([part])
            begin = end
    return out


def _room(stretch: Sequence[Run], theirs: Talk) -> Pair:
    """Give the words of the take that a stretch lies in."""
    file = theirs.file[stretch[0].take]
    begin, end = stretch[0].take, stretch[-1].take + stretch[-1].length
    while begin > 0 and theirs.file[begin - 1] == file and stretch[0].take - begin < 400:
        begin -= 1
    while end < len(theirs.keys) and theirs.file[end] == file and end - stretch[-1].take < 400:
        end += 1
    return begin, end


def _used_once(pairs: dict[int, tuple[int, int]]) -> dict[int, tuple[int, int]]:
    """Take words of a take away from a second use of them that does not agree nearly word for word.

    A teaser shown before the title agrees. A voice-over that says another correction in the same turn of phrase does not, and taking it
    for the first one would lose it.
    """
    by_stretch: dict[int, dict[int, int]] = {}
    for i, (j, number) in pairs.items():
        by_stretch.setdefault(number, {})[j] = i
    lost: set[int] = set()
    for one, other in combinations(by_stretch, 2):
        shared = by_stretch[one].keys() & by_stretch[other].keys()
        if not shared:
            continue
        begin, end = min(shared), max(shared)
        both = [sorted(i for j, i in by_stretch[n].items() if begin <= j <= end) for n in (one, other)]
        shares = [len(words) / (words[-1] - words[0] + 1) for words in both]
        weaker = min((0, 1), key=lambda n: (shares[n], len(both[n])))
        if shares[weaker] < _TWICE:
            lost.update(both[weaker])
    return {i: pair for i, pair in pairs.items() if i not in lost}


def _sure(pairs: dict[int, tuple[int, int]]) -> dict[int, tuple[int, int]]:
    """Leave out stretches that agree in too few words, or in too few of those that they cover."""
    members: dict[int, list[int]] = {}
    for i, (_, number) in pairs.items():
        members.setdefault(number, []).append(i)
    good = {
        number
        for number, words in members.items()
        if len(words) >= _LEAST and len(words) / (max(words) - min(words) + 1) >= _LEAST_SHARE
    }
    return {i: pair for i, pair in sorted(pairs.items()) if pair[1] in good}


def _homes(ours: Talk, theirs: Talk, pairs: dict[int, tuple[int, int]]) -> list[Home | None]:
    """Give each word of the cut how far its take is ahead of it, and which take that is; None where it is an insert.

    A word that was misheard lies between two that agree: it goes with the nearer one.
    """
    home: list[Home | None] = [None] * len(ours.keys)
    for i, lag in _steady(
        {i: theirs.start_s[j] - ours.start_s[i] for i, (j, _) in pairs.items()}, pairs
    ).items():
        home[i] = (lag, theirs.file[pairs[i][0]])
    known = list(pairs)
    for before, after in pairwise(known):
        gap = after - before - 1
        left, right = home[before], home[after]
        if not gap or left is None or right is None:
            continue
        together = pairs[before][1] == pairs[after][1]
        missing = pairs[after][0] - pairs[before][0] - 1
        drift = abs(right[0] - left[0])
        if together and drift <= _BREAK_S and gap <= min(_MISHEARD, max(_SHORT, 2 * missing + 2)):
            for i in range(before + 1, after):
                home[i] = (left[0] + (right[0] - left[0]) * (i - before) / (gap + 1), left[1])
        elif gap <= _SHORT or (together and drift <= _PACE_S and gap <= min(_MISHEARD, 2 * missing + 2)):
            _attach(home, ours, before, after)
    if known and known[0] <= _SHORT:
        home[: known[0]] = [home[known[0]]] * known[0]
    if known and len(home) - 1 - known[-1] <= _SHORT:
        home[known[-1] :] = [home[known[-1]]] * (len(home) - known[-1])
    return home


def _steady(lags: dict[int, float], pairs: dict[int, tuple[int, int]]) -> dict[int, float]:
    """Take the middle of each word's and its neighbours' lags: recognisers date single words up to a second wrong, and a joint stays sharp."""
    known = list(lags)
    out: dict[int, float] = {}
    for n, i in enumerate(known):
        near = [k for k in known[max(0, n - _NEAR) : n + _NEAR + 1] if pairs[k][1] == pairs[i][1]]
        out[i] = float(median(lags[k] for k in near))
    return out


def _attach(home: list[Home | None], ours: Talk, before: int, after: int) -> None:
    """Give a few words between two pieces to the side that they follow without a pause; the longest pause is the joint."""
    pauses = [ours.start_s[i + 1] - ours.end_s[i] for i in range(before, after)]
    joint = before + max(range(len(pauses)), key=lambda n: pauses[n])
    for i in range(before + 1, after):
        home[i] = home[before] if i <= joint else home[after]


def _as_map(
    cut: Transcript, takes: Transcript, pairs: dict[int, tuple[int, int]], home: list[Home | None]
) -> CutMap:
    ours, theirs = talk_of(cut), talk_of(takes)
    pieces: list[Piece] = []
    inside: list[int | None] = [None] * len(cut.words)
    for first, last in _joints(home):
        span = (ours.at[first], ours.at[last - 1] + 1)
        inside[span[0] : span[1]] = [len(pieces)] * (span[1] - span[0])
        here = Piece(
            cut_span=span,
            cut_from_s=ours.start_s[first],
            cut_to_s=ours.end_s[last - 1],
            confidence=doubt_of(last - first),
        )
        agree = [theirs.at[pairs[i][0]] for i in range(first, last) if i in pairs]
        lag = home[first]
        if lag is not None:
            times = [
                (ours.start_s[i], ours.start_s[i] + known[0])
                for i in range(first, last)
                if (known := home[i])
            ]
            here = _from_take(here, takes.files[lag[1]], _knots(times), agree, last - first)
        pieces.append(here)
    take_words: list[int | None] = [None] * len(cut.words)
    for i, (j, _) in pairs.items():
        take_words[ours.at[i]] = theirs.at[j]
    return CutMap(marked(pieces), tuple(take_words), tuple(inside))


def _joints(home: Sequence[Home | None]) -> list[tuple[int, int]]:
    """Part the cut where an insert begins or ends, where the take changes, and where cut and take drift apart at once."""
    parts: list[tuple[int, int]] = []
    first = 0
    for i in range(1, len(home)):
        a, b = home[i - 1], home[i]
        whole = a is b if a is None or b is None else a[1] == b[1] and abs(b[0] - a[0]) <= _BREAK_S
        if not whole:
            parts.append((first, i))
            first = i
    return [*parts, (first, len(home))] if home else []


def _from_take(piece: Piece, file: SourceFile, knots: Knots, agree: Sequence[int], words: int) -> Piece:
    begin = knots[0][1]
    return structs.replace(
        piece,
        take_span=(min(agree), max(agree) + 1),
        take_from_s=begin,
        take_to_s=round(knots[-1][1] + piece.cut_to_s - knots[-1][0], 3),
        file=file.name,
        at_s=round(max(0.0, begin - file.offset_s), 3),
        confidence=round(len(agree) / words, 3),
        knots=knots,
    )


def _knots(times: Sequence[tuple[float, float]]) -> Knots:
    """Keep the times that rise on both sides."""
    out: list[tuple[float, float]] = []
    for ours, theirs in times:
        if not out or (ours > out[-1][0] and theirs > out[-1][1]):
            out.append((round(ours, 3), round(theirs, 3)))
    return tuple(out)
