"""A recording's sound in eight bands, a hundred times a second: small enough to keep, sharp enough to find every joint of an edit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

Bands = NDArray[np.uint8]
"""Frames by bands: the power in each, in half decibels above -120 dB of full scale; 0 is silence."""
FRAMES_PER_S: Final = 100
STEPS_PER_DB: Final = 2
_EDGES_HZ: Final = (100, 250, 450, 750, 1150, 1700, 2500, 3600, 5500)
"""Where a voice is. The lowest bit rates keep hardly anything above 4 kHz, so that most bands lie below."""
_QUIETEST_DB: Final = -120
_WINDOW_S: Final = 0.025
_TOGETHER: Final = 4096
"""Frames that are worked out at once."""


def bands_of(blocks: Iterable[NDArray[np.float32]], rate: int) -> Bands:
    """Give a recording's sound in bands.

    Args:
        blocks: Its samples in order, one channel.
        rate: Samples a second.

    Returns:
        `FRAMES_PER_S` frames a second; frame `n` is of the time `(n + 1/2) / FRAMES_PER_S` in seconds.
    """
    parts = list(_parts(blocks, rate))
    return np.concatenate(parts) if parts else np.zeros((0, len(_EDGES_HZ) - 1), np.uint8)


def _parts(blocks: Iterable[NDArray[np.float32]], rate: int) -> Iterator[Bands]:
    hop, window = rate // FRAMES_PER_S, round(_WINDOW_S * rate)
    shape = np.hanning(window).astype(np.float32)
    power = _band_matrix(rate, window, float(np.sum(shape * shape)))
    held = np.zeros((window - hop) // 2, np.float32)
    length = 0
    for block in blocks:
        length += block.size
        held = np.concatenate((held, block))
        while held.size >= window + (_TOGETHER - 1) * hop:
            yield _frames(held[: window + (_TOGETHER - 1) * hop], hop, shape, power)
            held = held[_TOGETHER * hop :]
    last = np.concatenate((held, np.zeros(window, np.float32)))
    whole = min((last.size - window) // hop + 1, held.size // hop)
    if length >= hop and whole > 0:
        yield _frames(last[: window + (whole - 1) * hop], hop, shape, power)


def _frames(
    samples: NDArray[np.float32], hop: int, shape: NDArray[np.float32], power: NDArray[np.float32]
) -> Bands:
    windows = np.lib.stride_tricks.sliding_window_view(samples, shape.size)[::hop]
    spectrum = np.abs(np.fft.rfft(windows * shape, axis=1)).astype(np.float32) ** 2
    level = 10 * np.log10(np.maximum(spectrum @ power, 1e-12))
    steps: Bands = np.clip(np.rint((level - _QUIETEST_DB) * STEPS_PER_DB), 0, 255).astype(np.uint8)
    return steps


def _band_matrix(rate: int, window: int, energy: float) -> NDArray[np.float32]:
    """Give what each line of the spectrum adds to each band."""
    lines = np.fft.rfftfreq(window, 1 / rate)
    inside = [(lines >= low) & (lines < high) for low, high in pairwise(_EDGES_HZ)]
    return (2 * np.stack(inside, axis=1) / (energy * window)).astype(np.float32)
