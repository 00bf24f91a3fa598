"""How well a stretch of talk hangs together by the words it shares.

Each block is a vector of its words weighted by their rarity. A stretch scores by how much more alike its blocks are than blocks as
near to each other usually are in this episode; so a word used all the way through counts for nothing, and a stretch of chance words
scores about zero.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

COLUMNS = 2048
"""Most words that are compared; the commonest of those that occur in at least two blocks."""


def rarity(bags: Sequence[Sequence[str]]) -> dict[str, float]:
    """Weigh each word by how few blocks it stands in (inverse document frequency)."""
    seen: Counter[str] = Counter()
    for bag in bags:
        seen.update(set(bag))
    return {word: math.log((1 + len(bags)) / count) for word, count in seen.items()}


def vectors(bags: Sequence[Sequence[str]]) -> NDArray[np.float32]:
    """Give one unit vector per block; zero for a block that shares no word with any other.

    Args:
        bags: Words of each block.

    Returns:
        Array of blocks by words, float32.
    """
    weight = rarity(bags)
    seen: Counter[str] = Counter()
    for bag in bags:
        seen.update(set(bag))
    common = [word for word, count in seen.most_common(COLUMNS) if count >= 2]
    column = {word: number for number, word in enumerate(common)}
    table = np.zeros((len(bags), max(1, len(common))), dtype=np.float32)
    for row, bag in enumerate(bags):
        whole = 0.0
        for word, count in Counter(bag).items():
            value = (1 + math.log(count)) * weight[word]
            whole += value * value
            if word in column:
                table[row, column[word]] = value
        if whole:
            table[row] /= math.sqrt(whole)
    return table


def likeness_before(table: NDArray[np.float32], index: int, reach: int) -> NDArray[np.float32]:
    """Give how alike a block is to each of the blocks before it, the nearest last; at most `reach` of them."""
    likeness: NDArray[np.float32] = table[max(0, index - reach) : index] @ table[index]
    return likeness


def usual_likeness(table: NDArray[np.float32], reach: int) -> NDArray[np.float64]:
    """Give the mean likeness of blocks one, two, three ... apart in this episode, smoothed over the distance."""
    total = np.zeros(reach + 1)
    count = np.zeros(reach + 1)
    for index in range(1, len(table)):
        near = likeness_before(table, index, reach)[::-1]
        total[1 : len(near) + 1] += near
        count[1 : len(near) + 1] += 1
    mean = total.sum() / max(count.sum(), 1.0)
    usual = np.full(reach + 1, mean)
    filled = count > 0
    usual[filled] = total[filled] / count[filled]
    width = min(5, reach)
    return np.convolve(np.pad(usual, width, mode="edge"), np.ones(2 * width + 1) / (2 * width + 1), "valid")


def dips(table: NDArray[np.float32], first: Sequence[int], last: Sequence[int]) -> NDArray[np.float64]:
    """Say how far the words change at each block: 0 for the least change in the episode, 1 for the most.

    Args:
        table: What `vectors` gives.
        first: For each block, the first block of the window before it.
        last: For each block, the end of the window from it on.
    """
    count = len(table)
    if count < 3:
        return np.zeros(count)
    sums = np.vstack([np.zeros((1, table.shape[1])), table.cumsum(axis=0, dtype=np.float64)])
    alike = np.ones(count)
    for index in range(1, count):
        before = sums[index] - sums[first[index]]
        after = sums[last[index]] - sums[index]
        size = math.sqrt(float(before @ before) * float(after @ after))
        alike[index] = float(before @ after) / size if size else 0.0
    return 1.0 - alike.argsort(kind="stable").argsort(kind="stable") / (count - 1)
