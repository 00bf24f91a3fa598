"""Cut a recording, as it is decoded, into pieces of a few minutes, each cut where it is quietest.

The cuts depend on the sound alone, so a run that was stopped and goes on finds the same pieces again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

import numpy as np
from msgspec import Struct

from benchscribe.listen.decode import RATE, Block, Samples

SHORTEST_S: Final = 240
LONGEST_S: Final = 360
"""Never more than ten minutes; less is kept in memory, and less is lost when a run is stopped."""
_FRAME: Final = RATE // 50
_QUIET_FRAMES: Final = 25
"""Half a second: the quietest such stretch is where a piece ends."""


class Piece(Struct, frozen=True):
    """A stretch of a recording."""

    start: int
    """Index of its first sample from the start of the file."""
    samples: Samples


def cut_pieces(blocks: Iterable[Block]) -> Iterator[Piece]:
    """Gather blocks into pieces; at most one piece and one block are in memory."""
    held: list[Samples] = []
    start = size = 0
    for block in blocks:
        held.append(block.samples)
        size += block.samples.size
        while size >= LONGEST_S * RATE:
            samples = np.concatenate(held)
            cut = quietest(samples[: LONGEST_S * RATE], SHORTEST_S * RATE)
            yield Piece(start, samples[:cut].copy())
            held = [samples[cut:].copy()]
            start, size = start + cut, size - cut
    if size:
        yield Piece(start, np.concatenate(held))


def quietest(samples: Samples, after: int) -> int:
    """Give the middle of the quietest half second from sample `after` on; the latest of several."""
    tail = samples[after:]
    frames = tail[: tail.size // _FRAME * _FRAME].reshape(-1, _FRAME)
    power = np.mean(np.square(frames, dtype=np.float64), axis=1)
    if power.size <= _QUIET_FRAMES:
        return int(samples.size)
    sums = np.convolve(power, np.ones(_QUIET_FRAMES), mode="valid")
    best = int(sums.size - 1 - np.argmin(sums[::-1]))
    return after + (best + _QUIET_FRAMES // 2) * _FRAME
