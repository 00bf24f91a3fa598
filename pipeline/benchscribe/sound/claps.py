"""Claps and slates: a sharp sound in all bands at once, by itself, with quiet before and behind it."""

from __future__ import annotations

from typing import Final

import numpy as np

from benchscribe.sound.bands import FRAMES_PER_S, STEPS_PER_DB, Bands

_RISE: Final = 15 * STEPS_PER_DB
"""What a clap rises by within two frames; a spoken plosive does so in a few bands, a clap in nearly all."""
_BANDS: Final = 6
_LOUD: Final = 12 * STEPS_PER_DB
"""How far below the loud moments of the recording a clap's top may lie."""
_FALL: Final = 12 * STEPS_PER_DB
"""What it falls by within `_OVER` frames: a word goes on."""
_OVER: Final = 15
_QUIET: Final = 25
"""Frames of quiet before it and, after it has faded, behind it."""
_FADED: Final = 20
_WORK: Final = 3
"""So many in a few seconds are a hammer."""
_WORK_S: Final = 4.0


def find_claps(sound: Bands) -> tuple[float, ...]:
    """Find single claps.

    A hammer's blows are as sharp, so a series of them is left out; a single knock is not told from a clap. Whoever uses the result must
    have another sign that something begins again.

    Args:
        sound: A recording in bands.

    Returns:
        Seconds, in order.
    """
    if len(sound) < 2 * (_QUIET + _FADED):
        return ()
    levels = sound.astype(np.float32)
    mean = levels.mean(axis=1)
    top = float(np.percentile(mean, 98)) - _LOUD
    rise = np.zeros(len(levels), np.int64)
    rise[2:] = np.sum(levels[2:] - levels[:-2] >= _RISE, axis=1)
    found: list[int] = []
    for at in np.flatnonzero(rise >= _BANDS).tolist():
        if found and at - found[-1] < _OVER:
            continue
        if _stands_alone(mean, at, top):
            found.append(at)
    return tuple(at / FRAMES_PER_S for at in found if not _is_work(at, found))


def _stands_alone(mean: np.ndarray, at: int, top: float) -> bool:
    peak = float(mean[at : at + 4].max())
    before = mean[max(0, at - 2 - _QUIET) : max(0, at - 2)]
    behind = mean[at + _FADED : at + _FADED + _QUIET]
    if peak < top or before.size < _QUIET or not behind.size:
        return False
    # A syllable swells; a clap is at its top at once.
    sharp = float(mean[at + 4 : at + _OVER].max()) <= peak - 2 * STEPS_PER_DB
    fades = sharp and float(mean[at + 4 : at + _OVER].min()) <= peak - _FALL
    return fades and max(float(before.max()), float(behind.max())) <= peak - _FALL


def _is_work(at: int, found: list[int]) -> bool:
    near = sum(abs(other - at) <= _WORK_S * FRAMES_PER_S for other in found)
    return near >= _WORK
