"""The best cut: dynamic programming over what speaks for each place and how well each stretch hangs together.

The sum that is made as large as can be: for every boundary its *strength* (spoken turn, pause, a new part in hand, a change of
words) minus a price, and for every stretch how far it is of one matter and how usual its length is. Exact, no greedy step.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from benchscribe.chapters.blocks import Block
from benchscribe.chapters.cohesion import likeness_before, usual_likeness, vectors
from benchscribe.chapters.evidence import KINDS, evidence

SHORTEST_S = 10.0
"""The rule of video platforms for chapter lists."""
REACH = 250
"""Blocks. Two blocks farther apart than this are never compared."""
FEWEST = 3
"""The same rule: a list of fewer than three is not shown."""


class Weights(Struct, frozen=True):
    """How much each kind of evidence counts. Tuned on the episodes named in `tests/episodes/TUNE.txt` and the development ones."""

    turn: float = 1.4
    goes_on: float = -0.2
    pause: float = 1.2
    heading: float = 1.55
    new_part: float = 1.3
    same_part: float = -0.48
    fresh_part: float = 0.25
    new_words: float = 0.35
    dip: float = 1.05
    rounded_off: float = 0.3
    stage: float = 0.88
    closing: float = 1.42
    gone_wrong: float = -1.22
    cohesion: float = 1.2
    one_part: float = 0.25
    length: float = 0.8
    price: float = 1.9


WEIGHTS = Weights()


def usual_number(length_s: float) -> float:
    """Say how many chapters an episode of this length usually has.

    Eight to twelve in ten to thirteen minutes on the annotated episodes; fewer to the minute in longer ones, because a viewer reads
    the list: about twenty-five in an hour.
    """
    minutes = max(length_s, 1.0) / 60
    return max(1.0, 0.95 * minutes if minutes <= 10 else 9.5 * (minutes / 10) ** 0.57)


def strengths(found: NDArray[np.float64], weights: Weights = WEIGHTS) -> NDArray[np.float64]:
    """Weigh the evidence.

    Args:
        found: One row per block, as `evidence` gives it.
        weights: How much each kind counts.

    Returns:
        One number per block; 0 says nothing either way.
    """
    weight = np.array([getattr(weights, kind) for kind in KINDS])
    strength: NDArray[np.float64] = found @ weight
    return strength


def best_cut(
    blocks: Sequence[Block],
    end_s: float,
    *,
    number: int | None,
    target: float,
    weights: Weights = WEIGHTS,
) -> list[int]:
    """Find the best set of chapter starts.

    Args:
        blocks: All blocks in order, at least one.
        end_s: End of the talk on the blocks' clock.
        number: Exactly so many chapters (fewer where the hard limits allow no more); None for as many as the talk asks for.
        target: Usual number of chapters, which sets the usual length.
        weights: How much each kind of evidence counts.

    Returns:
        Indices of the blocks that open a chapter, ascending, the first is 0.
    """
    starts = np.array([0.0, *(block.clock_s for block in blocks[1:]), end_s])
    total = len(blocks)
    table = vectors([block.words for block in blocks])
    strength = strengths(evidence(blocks, table), weights)
    usual = max(SHORTEST_S, end_s / max(target, 1.0))
    stretches = _Stretches(blocks, table, weights)
    most = number or int(min(max(1.4 * target + 2, FEWEST), end_s // SHORTEST_S, total))
    least = number or int(min(FEWEST, end_s // SHORTEST_S, total))
    most = max(1, min(most, total))
    best = np.full((most + 1, total + 1), -np.inf)
    back = np.zeros((most + 1, total + 1), dtype=int)
    best[0, 0] = 0.0
    opening = strength - weights.price
    opening[0] = 0.0
    for end in range(1, total + 1):
        stretches.advance(end)
        lengths = starts[end] - starts[:end]
        allowed = (lengths >= SHORTEST_S) & (lengths <= 5 * usual + 60)
        if not allowed.any():
            continue
        begin = np.flatnonzero(allowed)
        fit = -weights.length * np.log(np.maximum(lengths[begin], 1.0) / usual) ** 2
        value = opening[begin] + fit + stretches.scores(begin, end)
        options = best[:most, begin] + value
        choice = options.argmax(axis=1)
        rows = np.arange(most)
        best[1:, end] = options[rows, choice]
        back[1:, end] = begin[choice]
    counts = [n for n in range(max(1, least), most + 1) if np.isfinite(best[n, total])]
    if not counts:
        counts = [n for n in range(1, most + 1) if np.isfinite(best[n, total])]
    if not counts:
        return [0]
    pick = max(counts) if number else max(counts, key=lambda n: best[n, total])
    cut, place = [], total
    for n in range(pick, 0, -1):
        place = int(back[n, place])
        cut.append(place)
    return cut[::-1]


class _Stretches:
    """How far stretches are of one matter; asked for the ends in rising order."""

    def __init__(self, blocks: Sequence[Block], table: NDArray[np.float32], weights: Weights) -> None:
        parts = sorted({block.parts[0] for block in blocks if block.parts})
        column = {part: number for number, part in enumerate(parts)}
        held = np.zeros((len(blocks) + 1, len(parts)))
        for index, block in enumerate(blocks):
            if block.parts:
                held[index + 1, column[block.parts[0]]] = 1.0
        self._held = held.cumsum(axis=0)
        self._weights = weights
        self._table = table
        self._reach = min(REACH, len(blocks))
        self._usual = usual_likeness(table, self._reach)
        self._inner = np.zeros(len(blocks) + 1)
        """For the end asked for last: the surplus likeness of the stretch from each block to that end."""

    def advance(self, end: int) -> None:
        """Take in block `end - 1`."""
        near = likeness_before(self._table, end - 1, self._reach)
        surplus = near - self._usual[1 : len(near) + 1][::-1]
        self._inner[end - 1 - len(near) : end - 1] += surplus[::-1].cumsum()[::-1]

    def scores(self, begin: NDArray[np.int64], end: int) -> NDArray[np.float64]:
        """Score the stretches from each of `begin` to `end`, which must be the block last taken in."""
        score = self._weights.cohesion * self._inner[begin] / np.sqrt(end - begin)
        if self._held.shape[1]:
            share = self._held[end] - self._held[begin]
            total = share.sum(axis=1)
            score += self._weights.one_part * (share.max(axis=1) / np.maximum(total, 1.0) - (total > 0))
        return score
