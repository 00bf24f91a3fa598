"""What speaks for a new matter at each place: spoken turns, pauses, new parts in hand, new words."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from benchscribe.chapters.blocks import Block
from benchscribe.chapters.cohesion import dips

WINDOW_S = 40.0
"""How far one looks back and ahead."""
FRESH_S = 90.0
"""A part or word that was not spoken of for so long is new again."""
LAST = 6 / 7
"""Share of the talk after which it winds up."""
LAST_STAGES = frozenset({"assembly", "finish", "sanding", "testing"})
FIRST_WORDS = 8
"""A new matter is named among the first words that say something."""
KINDS = (
    "turn",
    "goes_on",
    "pause",
    "heading",
    "new_part",
    "same_part",
    "fresh_part",
    "new_words",
    "dip",
    "rounded_off",
    "stage",
    "closing",
    "gone_wrong",
)
"""The kinds of evidence, in the order of the columns."""


def evidence(blocks: Sequence[Block], table: NDArray[np.float32]) -> NDArray[np.float64]:
    """Gather the evidence for each block as the beginning of a new matter.

    Args:
        blocks: All blocks in order.
        table: Their words as vectors.

    Returns:
        One row per block, one column for each of `KINDS`, each from 0 (none) to 1.
    """
    first, last = _edges(blocks, WINDOW_S)
    found = np.zeros((len(blocks), len(KINDS)))
    dip = dips(table, first, last)
    seen_words = _last_seen(blocks)
    change = [_new_part(blocks, i, first[i], last[i]) for i in range(len(blocks))]
    leave = _leave(blocks) if blocks else -1
    for index, block in enumerate(blocks):
        before, after = blocks[first[index] : index], blocks[index : last[index]]
        found[index] = (
            max(block.turn, 0.0),
            max(-block.turn, 0.0),
            min(1.0, math.log1p(block.pause_s / 0.2) / math.log1p(6.0 / 0.2)),
            float(block.short and block.turn >= 0),
            _near_change(change, index),
            0.0 if index == leave else _same_part(before, after),
            _fresh_part(blocks, index),
            _new_words(blocks, index, after, seen_words),
            dip[index],
            float(index > 0 and blocks[index - 1].rounds_off),
            _stage(blocks, index),
            float(index == leave),
            float(block.gone_wrong),
        )
    return found


def _edges(blocks: Sequence[Block], window_s: float) -> tuple[list[int], list[int]]:
    """Give, for each block, where the window before it begins and where the window from it on ends."""
    first, last = [], []
    low = high = 0
    for index, block in enumerate(blocks):
        while block.clock_s - blocks[low].clock_s > window_s:
            low += 1
        high = max(high, index + 1)
        while high < len(blocks) and blocks[high].clock_s - block.clock_s <= window_s:
            high += 1
        first.append(min(low, index))
        last.append(high)
    return first, last


def _same_part(before: Sequence[Block], after: Sequence[Block]) -> float:
    """Say whether one and the same part is in hand before and after: then a pause is only a pause."""
    had, has = _shares(before), _shares(after)
    return max((min(share, had.get(part, 0.0)) for part, share in has.items()), default=0.0)


def _stage(blocks: Sequence[Block], index: int) -> float:
    """Say whether a new stage of the work begins: gluing up, sanding, finishing."""
    block = blocks[index]
    if not block.stage:
        return 0.0
    for other in reversed(blocks[:index]):
        if block.clock_s - other.clock_s > FRESH_S:
            break
        if other.stage == block.stage:
            return 0.0
    return 1.0


def _leave(blocks: Sequence[Block]) -> int:
    """Give the first block near the end that winds up: the last stages of the work, a promise, leave-taking; -1 where none does."""
    end = blocks[-1].clock_s
    last = (b for b in enumerate(blocks) if b[1].clock_s >= end * LAST)
    return next((i for i, b in last if b.closes or b.stage in LAST_STAGES), -1)


def _new_part(blocks: Sequence[Block], index: int, first: int, last: int) -> float:
    """Say how far the parts in hand change here: 0 the same, 1 all new."""
    here = blocks[index].parts[:1]
    if not here or (index and here == blocks[index - 1].parts[:1]):
        return 0.0
    had, has = _shares(blocks[first:index]), _shares(blocks[index:last])
    change = sum(max(0.0, share - had.get(part, 0.0)) for part, share in has.items())
    return change * min(1.0, blocks[index].sure + 0.3)


def _near_change(change: Sequence[float], index: int) -> float:
    """Let the sentence before and after share in a change of part: the part in hand may come a sentence late or early."""
    near = [*change[max(0, index - 1) : index], *change[index + 1 : index + 2]]
    return max([change[index], *(0.7 * other for other in near)])


def _shares(blocks: Sequence[Block]) -> dict[str, float]:
    counts = Counter(block.parts[0] for block in blocks if block.parts)
    return {part: count / len(blocks) for part, count in counts.items()}


def _fresh_part(blocks: Sequence[Block], index: int) -> float:
    """Say whether a part is named among the first words that was not in hand for a while."""
    block = blocks[index]
    name = block.opens_with
    if not name and block.short and index + 1 < len(blocks):
        name = blocks[index + 1].opens_with
    if not name or block.turn < 0:
        return 0.0
    for other in reversed(blocks[:index]):
        if block.clock_s - other.clock_s > FRESH_S:
            break
        if name in other.parts[:1] or other.opens_with == name:
            return 0.0
    return 1.0


def _last_seen(blocks: Sequence[Block]) -> list[dict[str, float]]:
    """Give, for each block, when each of its words was last said before it."""
    latest: dict[str, float] = {}
    seen = []
    for block in blocks:
        seen.append({word: latest[word] for word in block.words if word in latest})
        latest.update(dict.fromkeys(block.words, block.clock_s))
    return seen


def _new_words(
    blocks: Sequence[Block], index: int, after: Sequence[Block], seen: Sequence[dict[str, float]]
) -> float:
    """Say how many of the first words are new here and come again soon."""
    block = blocks[index]
    words = list(block.words)
    if block.short and index + 1 < len(blocks):
        words += blocks[index + 1].words
    again = Counter(word for other in after for word in set(other.words))
    fresh = 0.0
    for word in dict.fromkeys(words[:FIRST_WORDS]):
        if block.clock_s - seen[index].get(word, -FRESH_S) >= FRESH_S and again[word] >= 2:
            fresh += 1.0
    return min(1.0, fresh / 2)
