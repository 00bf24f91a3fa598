"""Word by word between and around the runs that are sure."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from benchscribe.cut.anchors import Run
from benchscribe.cut.words import alike

_WINDOW: Final = 24
"""Words that are aligned at a time; where they agree to the end of the window, the next window follows."""
_SAME, _NEAR, _OTHER, _SKIP = 1.0, 0.7, -0.6, -0.5
_LEAST: Final = 1.4
"""Agreement from which words at an open edge are taken; a single little word agrees with anything."""

_SMALL: Final = 4
"""Words in a gap on both sides up to which it is one word or two that were misheard, not an insert."""

Pair = tuple[int, int]


def fill(
    stretch: Sequence[Run], cut: Sequence[str], takes: Sequence[str], room: tuple[Pair, Pair]
) -> list[Pair]:
    """Align the words of one stretch: those of its runs, those between the runs, and those at its two ends.

    Args:
        stretch: Runs that go forward on both sides.
        cut: The cut's words.
        takes: The takes' words.
        room: The cut's words and the takes' words that the stretch may grow into, both half-open.

    Returns:
        Pairs of word in the cut and word in the takes, in order.
    """
    (cut_from, cut_to), (take_from, take_to) = room
    pairs: list[Pair] = []
    left_cut, left_take = cut_from, take_from
    for n, run in enumerate(stretch):
        between = (left_cut, run.cut), (left_take, run.take)
        if n:
            pairs += _between(cut, takes, *between)
        else:
            pairs += _grown_back(cut, takes, *between)
        pairs += [(run.cut + k, run.take + k) for k in range(run.length)]
        left_cut, left_take = run.cut + run.length, run.take + run.length
    return pairs + _grown(cut, takes, (left_cut, cut_to), (left_take, take_to))


def _between(cut: Sequence[str], takes: Sequence[str], ours: Pair, theirs: Pair) -> list[Pair]:
    """Align a gap from both of its ends; what lies between is an insert on one side, or was cut out on the other."""
    if ours[0] >= ours[1] or theirs[0] >= theirs[1]:
        return []
    small = max(ours[1] - ours[0], theirs[1] - theirs[0]) <= _SMALL
    least = 0.5 if small else _LEAST
    front = _grown(cut, takes, ours, theirs, least=least)
    end = front[-1] if front else (ours[0] - 1, theirs[0] - 1)
    forward = front + _grown_back(cut, takes, (end[0] + 1, ours[1]), (end[1] + 1, theirs[1]), least=least)
    rear = _grown_back(cut, takes, ours, theirs, least=least)
    begin = rear[0] if rear else (ours[1], theirs[1])
    backward = _grown(cut, takes, (ours[0], begin[0]), (theirs[0], begin[1]), least=least) + rear
    # A little word at one edge must not keep a whole phrase from the other. Where the takes have the words twice, a maker who says
    # something again keeps the later try.
    return backward if len(backward) >= len(forward) else forward


def _grown(
    cut: Sequence[str], takes: Sequence[str], ours: Pair, theirs: Pair, *, least: float = _LEAST
) -> list[Pair]:
    pairs: list[Pair] = []
    i, j = ours[0], theirs[0]
    while i < ours[1] and j < theirs[1]:
        a, b = cut[i : min(ours[1], i + _WINDOW)], takes[j : min(theirs[1], j + _WINDOW)]
        found, score = extension(a, b)
        if score < least:
            break
        pairs += [(i + x, j + y) for x, y in found]
        if max(found[-1]) < _WINDOW * 2 // 3:
            break
        i, j = pairs[-1][0] + 1, pairs[-1][1] + 1
    return pairs


def _grown_back(
    cut: Sequence[str], takes: Sequence[str], ours: Pair, theirs: Pair, *, least: float = _LEAST
) -> list[Pair]:
    pairs: list[Pair] = []
    i, j = ours[1], theirs[1]
    while i > ours[0] and j > theirs[0]:
        a = cut[max(ours[0], i - _WINDOW) : i][::-1]
        b = takes[max(theirs[0], j - _WINDOW) : j][::-1]
        found, score = extension(a, b)
        if score < least:
            break
        pairs += [(i - 1 - x, j - 1 - y) for x, y in found]
        if max(found[-1]) < _WINDOW * 2 // 3:
            break
        i, j = pairs[-1][0], pairs[-1][1]
    return pairs[::-1]


def extension(a: Sequence[str], b: Sequence[str]) -> tuple[list[Pair], float]:
    """Align two texts from their common beginning as far as they agree (an alignment with a free end).

    Args:
        a: Words.
        b: Words.

    Returns:
        Pairs of words that agree, in order, and the score: a point for each, less for words that were passed over.
    """
    width = len(b) + 1
    above = [_SKIP * j for j in range(width)]
    moves: list[list[int]] = []
    best, best_at = 0.0, (0, 0)
    for i, word in enumerate(a, 1):
        row, steps = [_SKIP * i], [1]
        for j in range(1, width):
            other = b[j - 1]
            match = _SAME if word == other else _NEAR if alike(word, other) else _OTHER
            straight, up, left = above[j - 1] + match, above[j] + _SKIP, row[j - 1] + _SKIP
            value, move = (
                (straight, 0) if straight >= up and straight >= left else (up, 1) if up >= left else (left, 2)
            )
            row.append(value)
            steps.append(move)
            if value > best:
                best, best_at = value, (i, j)
        moves.append(steps)
        above = row
    return _traced(a, b, moves, best_at), best


def _traced(a: Sequence[str], b: Sequence[str], moves: Sequence[Sequence[int]], at: Pair) -> list[Pair]:
    pairs: list[Pair] = []
    i, j = at
    while i > 0 and j > 0:
        move = moves[i - 1][j]
        if move == 0:
            if alike(a[i - 1], b[j - 1]):
                pairs.append((i - 1, j - 1))
            i, j = i - 1, j - 1
        elif move == 1:
            i -= 1
        else:
            j -= 1
    return pairs[::-1]
