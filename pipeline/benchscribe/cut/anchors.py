"""Runs of words that stand once in the cut and once in the takes, and the likeliest course through them.

The course goes forward through the cut. In the takes it may go forward at little cost (a pause, a mistake that was cut out), or jump
anywhere at a fixed cost (a passage that was moved, a take used out of order). So a short run that two texts share by chance is not
worth the two jumps to it and back, and a moved passage is.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import log2
from typing import Final

from msgspec import Struct

LONGEST: Final = 4
"""Words in the longest runs that are looked up; longer ones are made of these."""
_TRIES: Final = 3
"""Times that a passage may have been tried."""
JUMP: Final = 6.0
"""What a jump costs, in words that agree: two texts of one trade share runs of three and four words by chance."""
_STEP: Final = 0.45
"""What it costs each time the words left out double."""
_BACK: Final = 80
"""Runs before this one among which its forerunner is looked for one by one; jumps are found from any distance."""


class Run(Struct, frozen=True):
    """Words that agree one by one."""

    cut: int
    """First word in the cut's comparable words."""
    take: int
    length: int


def find_runs(cut: Sequence[str], takes: Sequence[str]) -> tuple[Run, ...]:
    """Find maximal runs of agreeing words round every run of one to four words that is rare on both sides.

    Args:
        cut: The cut's words.
        takes: The takes' words.

    Returns:
        Runs in the order of the cut.
    """
    pairs: dict[int, set[int]] = {}
    for width in range(1, LONGEST + 1):
        theirs = _places(takes, width)
        for key, ours in _places(cut, width).items():
            for i, j in product(ours, theirs.get(key, ())):
                pairs.setdefault(i - j, set()).update(range(i, i + width))
    runs = [
        Run(first, first - diagonal, length)
        for diagonal, at in pairs.items()
        for first, length in _stretches(at)
    ]
    return tuple(sorted(runs, key=lambda run: (run.cut, run.take)))


def _places(words: Sequence[str], width: int) -> dict[tuple[str, ...], list[int]]:
    """Give the places of every rare run of this width.

    A run of three or more may stand up to three times: what a maker says again is in the takes each time, and a passage that is shown
    before the title is in the cut twice.
    """
    often = _TRIES if width >= 3 else 1
    places: dict[tuple[str, ...], list[int]] = {}
    for at, key in enumerate(zip(*(words[k:] for k in range(width)), strict=False)):
        places.setdefault(key, []).append(at)
    return {key: found for key, found in places.items() if len(found) <= often}


def _stretches(at: set[int]) -> list[tuple[int, int]]:
    out: list[tuple[int, int]] = []
    for index in sorted(at):
        if out and out[-1][0] + out[-1][1] == index:
            out[-1] = (out[-1][0], out[-1][1] + 1)
        else:
            out.append((index, 1))
    return out


def best_course(runs: Sequence[Run]) -> tuple[tuple[Run, ...], ...]:
    """Choose the runs that together agree in the most words, jumps paid for.

    Args:
        runs: In the order of the cut.

    Returns:
        Stretches, in the order of the cut; within a stretch cut and takes both go forward. No word of the cut is in two runs.
    """
    score: list[float] = []
    back: list[int] = []
    jumped: list[bool] = []
    ended = _Ended()
    for n, run in enumerate(runs):
        far, far_score = ended.best_before(run.cut)
        best, source, jump = (
            (run.length + far_score - JUMP, far, True) if far >= 0 else (float(run.length), -1, True)
        )
        for m in range(max(0, n - _BACK), n):
            step, lost = _step(runs[m], run)
            if lost >= run.length:
                continue
            total = score[m] + run.length - lost - step
            if total > best:
                best, source, jump = total, m, step >= JUMP
        score.append(best)
        back.append(source)
        jumped.append(jump)
        ended.add(run.cut + run.length, best, n)
    return _traced(runs, score, back, jumped)


class _Ended:
    """The best course among the runs that have ended by some word, asked for with rising words."""

    def __init__(self) -> None:
        self._waiting: list[tuple[int, float, int]] = []
        self._best: tuple[float, int] = (0.0, -1)

    def add(self, end: int, score: float, run: int) -> None:
        self._waiting.append((end, score, run))

    def best_before(self, word: int) -> tuple[int, float]:
        still = []
        for end, score, run in self._waiting:
            if end > word:
                still.append((end, score, run))
            elif score > self._best[0]:
                self._best = (score, run)
        self._waiting = still
        return self._best[1], self._best[0]


def _step(before: Run, run: Run) -> tuple[float, int]:
    """Give the cost of going on from one run to another, and the words of the second that the first has already."""
    gap_cut = run.cut - before.cut - before.length
    gap_take = run.take - before.take - before.length
    if run.take < before.take:
        return JUMP, max(0, -gap_cut)
    lost = max(0, -gap_cut, -gap_take)
    cost = _STEP * log2(1 + abs(gap_take - gap_cut))
    return (cost, lost) if cost < JUMP else (JUMP, max(0, -gap_cut))


def _traced(
    runs: Sequence[Run], score: Sequence[float], back: Sequence[int], jumped: Sequence[bool]
) -> tuple[tuple[Run, ...], ...]:
    if not runs:
        return ()
    at = max(range(len(runs)), key=lambda n: score[n])
    course: list[list[Run]] = [[]]
    over = 0
    while at >= 0:
        run, before = Run(runs[at].cut, runs[at].take, runs[at].length - over), back[at]
        over = 0
        if before >= 0:
            lost = _overlap(runs[before], run, jumped=jumped[at])
            # Words that both runs have go to the later one: a maker who says something again keeps the later try.
            if lost < runs[before].length:
                over = lost
            else:
                run = Run(run.cut + lost, run.take + lost, run.length - lost)
        if run.length > 0:
            course[-1].append(run)
        if jumped[at] and before >= 0 and course[-1]:
            course.append([])
        at = before
    return tuple(tuple(reversed(stretch)) for stretch in reversed(course) if stretch)


def _overlap(before: Run, run: Run, *, jumped: bool) -> int:
    lost = max(0, before.cut + before.length - run.cut)
    return lost if jumped else max(lost, before.take + before.length - run.take)
