"""The same minutes recorded twice, by the camera and by a recorder beside it: found by the sound, the better one kept.

Only the loudness over time is compared, fifty values a second. Two microphones in one room hear the same speech rise and fall,
whatever their place, level, noise and format; two takes of the same words do not keep the same time for a minute.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from benchscribe.sound import FRAMES_PER_S as _SOUND_FRAMES
from benchscribe.sound import STEPS_PER_DB, Bands

Curve = NDArray[np.float32]
FRAMES_PER_S: Final = 50
"""Values a second: finer than a syllable, coarse enough for hours."""
_SMOOTH_S: Final = 3.0
"""Loudness is taken against its own mean over so many seconds: level and steady noise drop out."""
_LEAST_S: Final = 20.0
"""Seconds that two recordings must have in common; less may be chance."""
_ALIKE: Final = 0.38
"""Correlation from which two curves are of one sound. Measured on synthetic speech, at the best of all lags: unrelated recordings up to
0.30 over half a minute; a second microphone with echo and more noise than speech (5 dB) 0.43 and more, in a quiet room 0.84."""
_CLEAR: Final = 1.6
"""How much higher the best lag stands than any other: music and machines that repeat have many."""
_INSIDE: Final = 0.9
"""Share of a recording that must be in the other one for it to be left out."""
_QUIETEST: Final = 100.0
"""Amplitude in units of the bands' quietest: 80 dB below full scale."""


class Double(Struct, frozen=True, kw_only=True):
    """Two recordings of the same minutes."""

    kept: int
    """Index of the recording to use."""
    dropped: int
    lag_s: float
    """Seconds after the beginning of `kept` at which `dropped` begins; less than 0 where it begins before."""
    common_s: float
    likeness: float
    """Correlation of the two, 0 to 1."""


def loudness(sound: Bands) -> Curve:
    """Give the loudness of a recording over time.

    Args:
        sound: The recording in bands.

    Returns:
        Logarithm of the effective value, `FRAMES_PER_S` a second.
    """
    each = _SOUND_FRAMES // FRAMES_PER_S
    power = np.sum(10 ** (sound.astype(np.float32) / (10 * STEPS_PER_DB)), axis=1)
    whole = power.size // each * each
    levels = np.sqrt(power[:whole].reshape(-1, each).mean(axis=1))
    curve: Curve = np.log(np.maximum(levels, _QUIETEST)).astype(np.float32)
    return curve


def find_doubles(curves: Sequence[Curve]) -> tuple[Double, ...]:
    """Find recordings that another one makes needless.

    Of two that have the same minutes the cleaner one is kept; a recording that holds more than the other is kept whole.

    Args:
        curves: The loudness of each recording.

    Returns:
        Pairs, none of whose kept ones is dropped in another.
    """
    found = []
    flat = [_flattened(curve) for curve in curves]
    for a, b in combinations(range(len(curves)), 2):
        match = _match(flat[a], flat[b])
        if match is not None:
            found.append((match, a, b))
    gone: set[int] = set()
    out: list[Double] = []
    for (likeness, lag, common), a, b in sorted(found, key=lambda item: -item[0][2]):
        if gone & {a, b}:
            continue
        inside = (common / len(curves[a]), common / len(curves[b]))
        if max(inside) < _INSIDE:
            continue
        if min(inside) >= _INSIDE:
            here, there = _shared(curves[a], lag, common), _shared(curves[b], -lag, common)
            kept, dropped = (a, b) if _clearness(here) >= _clearness(there) else (b, a)
        else:
            kept, dropped = (b, a) if inside[0] > inside[1] else (a, b)
        gone.add(dropped)
        out.append(
            Double(
                kept=kept,
                dropped=dropped,
                lag_s=round((lag if kept == a else -lag) / FRAMES_PER_S, 2),
                common_s=round(common / FRAMES_PER_S, 2),
                likeness=round(likeness, 3),
            )
        )
    return tuple(out)


def _flattened(curve: Curve) -> Curve:
    """Take the loudness against its own mean over some seconds, and cap what is far off (a dropped clamp)."""
    width = int(_SMOOTH_S * FRAMES_PER_S)
    if curve.size < 2 * width:
        return np.zeros(0, np.float32)
    sums = np.cumsum(np.concatenate((np.zeros(1), curve.astype(np.float64))))
    at = np.arange(curve.size)
    low, high = np.maximum(0, at - width // 2), np.minimum(curve.size, at + width // 2 + 1)
    flat = curve - (sums[high] - sums[low]) / (high - low)
    spread = float(np.std(flat))
    if spread < 1e-3:
        return np.zeros(0, np.float32)
    capped: Curve = np.clip(flat / spread, -3, 3).astype(np.float32)
    return capped


def _match(a: Curve, b: Curve) -> tuple[float, int, int] | None:
    """Give likeness, lag of `b` behind `a` in frames, and frames in common; None where they are of different minutes."""
    least = int(_LEAST_S * FRAMES_PER_S)
    if min(a.size, b.size) < least:
        return None
    size = 1 << (a.size + b.size - 1).bit_length()
    products = np.fft.irfft(np.fft.rfft(a, size) * np.conj(np.fft.rfft(b, size)), size)
    lags = np.arange(-(b.size - least), a.size - least + 1)
    common = np.minimum(a.size, lags + b.size) - np.maximum(0, lags)
    # Over few frames in common a high value is chance: weigh it by how far it stands out.
    strength = products[lags] / np.sqrt(common)
    best = int(np.argmax(strength))
    lag, together = int(lags[best]), int(common[best])
    here, there = _shared(a, lag, together), _shared(b, -lag, together)
    norm = float(np.linalg.norm(here) * np.linalg.norm(there))
    likeness = float(here @ there) / norm if norm else 0.0
    others = np.abs(lags - lag) > FRAMES_PER_S
    second = float(np.max(strength[others])) if np.any(others) else 0.0
    if likeness < _ALIKE or strength[best] < _CLEAR * max(second, 0.0):
        return None
    return likeness, lag, together


def _shared(curve: Curve, lag: int, common: int) -> Curve:
    begin = max(0, lag)
    return curve[begin : begin + common]


def _clearness(curve: Curve) -> float:
    """Say how far speech stands above the noise: the loud moments against the quiet ones."""
    return float(np.percentile(curve, 95) - np.percentile(curve, 10))
