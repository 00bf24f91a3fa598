"""Stretches of one recording that are the same sound as a stretch of another, whatever their level, tone and encoding.

A few seconds are looked up in all of the other recordings at once (correlation by Fourier transform, at a coarse grain). What is found is
carried on in both directions, at the fine grain, as long as the two rise and fall together; the joint between two stretches is where
the sound goes over from the one to the other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from benchscribe.sound.bands import FRAMES_PER_S, STEPS_PER_DB, Bands

Levels = NDArray[np.float32]

_GRAIN: Final = 8
"""Frames in a coarse one."""
_LOOK_UP: Final = 40
"""Coarse frames that are looked up at a time: three seconds."""
_STEP: Final = 10
_FOUND: Final = 0.72
"""Correlation of coarse levels from which a place is looked at closely."""
_SAME: Final = 0.6
"""Correlation of the rise and fall over `_WINDOW` frames from which two sounds go together."""
_SURE: Final = 0.75
"""Correlation over the whole of a stretch from which it is the same sound."""
_WINDOW: Final = 60
_SHORTEST: Final = 60
"""Frames in the shortest stretch."""
_BELOW_LOUD: Final = 45 * STEPS_PER_DB
"""What is so far below the loud moments of a band counts as silence."""
_TOGETHER: Final = 0.75
"""Share of their common rise and fall that is taken off the bands."""
_HEARD: Final = 20 * STEPS_PER_DB
"""Level above silence from which a frame counts in full."""
_GAP: Final = 2 * FRAMES_PER_S
"""Silent frames that are laid between two recordings."""
_SHORT: Final = 60
"""Frames that are looked for near the neighbours of a gap."""
_NEARBY: Final = 0.8
"""Correlation from which so short a stretch is found: of a few thousand places none comes near it by chance."""
_REACH: Final = 40 * FRAMES_PER_S
"""Frames over which a place is carried on at first."""
_BESIDE: Final = 20 * FRAMES_PER_S
_FAR: Final = 30 * FRAMES_PER_S
"""Of a longer gap only the beginning is searched for short stretches."""


class Same(Struct, frozen=True, kw_only=True):
    """A stretch that is the same sound as a stretch of another recording."""

    from_s: float
    to_s: float
    other: int
    """Index of the other recording."""
    at_s: float
    """Where the stretch begins in the other recording."""
    likeness: float
    """Correlation of the rise and fall of the bands, 0 to 1, over the whole stretch."""


class _Stretch(Struct):
    begin: int
    end: int
    lag: int
    """Frames by which the other sound is ahead."""


def find_same(sound: Bands, others: Sequence[Bands]) -> tuple[Same, ...]:
    """Find the stretches of a recording that others have as well.

    Args:
        sound: The recording.
        others: Recordings that it may have been cut out of, or be another encoding of.

    Returns:
        Stretches in order, none overlapping.
    """
    if not len(sound) or not sum(map(len, others)):
        return ()
    laid = _Laid(others)
    pair = _Pair(_audible(sound), laid.levels)
    found = list(_searched(pair))
    found = _with_short(pair, found)
    found = _joined(found)
    _part(pair, found)
    return tuple(same for stretch in found if (same := laid.named(pair, stretch)) is not None)


class _Laid:
    """The other recordings, laid end to end with silence between."""

    def __init__(self, others: Sequence[Bands]) -> None:
        self.starts: list[int] = []
        self.sizes = [len(other) for other in others]
        parts: list[Levels] = []
        at = 0
        for other in others:
            self.starts.append(at)
            levels = _audible(other)
            parts += [levels, np.zeros((_GAP, levels.shape[1]), np.float32)]
            at += len(levels) + _GAP
        self.levels = np.concatenate(parts)

    def named(self, pair: _Pair, stretch: _Stretch) -> Same | None:
        """Give a stretch by the recording that it is in; None where it is too short, or not surely the same."""
        middle = (stretch.begin + stretch.end) // 2 + stretch.lag
        home = max((n for n, start in enumerate(self.starts) if start <= middle), default=0)
        first = self.starts[home] - stretch.lag
        begin, end = max(stretch.begin, first), min(stretch.end, first + self.sizes[home])
        likeness = pair.likeness(begin, end, stretch.lag) if end - begin >= _SHORTEST else 0.0
        if likeness < _SURE:
            return None
        lag = stretch.lag + pair.fraction(begin, end, stretch.lag) - self.starts[home]
        return Same(
            from_s=begin / FRAMES_PER_S,
            to_s=end / FRAMES_PER_S,
            other=home,
            at_s=round(max(0.0, (begin + lag) / FRAMES_PER_S), 4),
            likeness=round(likeness, 3),
        )


def _audible(sound: Bands) -> Levels:
    """Give the levels above what counts as silence in each band, so that level and tone of the recording drop out."""
    levels = sound.astype(np.float32)
    if not len(levels):
        return levels
    silence = np.percentile(levels, 98, axis=0) - _BELOW_LOUD
    audible: Levels = np.maximum(levels - silence, 0).astype(np.float32)
    return audible


class _Pair:
    """Two sounds that are compared at any lag."""

    def __init__(self, ours: Levels, theirs: Levels) -> None:
        self.ours, self.theirs = ours, theirs
        self.our_moves, self.their_moves = _moves(ours), _moves(theirs)
        self._coarse, self._other = _coarse(ours), _coarse(theirs)
        self._size = 1 << (len(self._other) + _LOOK_UP).bit_length()
        self._spectrum = np.fft.rfft(self._other, self._size, axis=0)
        sums = np.cumsum(np.vstack((np.zeros((1, ours.shape[1])), self._other.astype(np.float64))), axis=0)
        squares = np.cumsum(np.concatenate(([0.0], np.sum(self._other.astype(np.float64) ** 2, axis=1))))
        k = min(_LOOK_UP, len(self._other))
        mean = (sums[k:] - sums[:-k]) / k
        self._spread = np.sqrt(np.maximum(squares[k:] - squares[:-k] - k * np.sum(mean**2, axis=1), 1e-6))

    @property
    def coarse_length(self) -> int:
        """Coarse frames in our sound."""
        return len(self._coarse)

    def look_up(self, at: int) -> int | None:
        """Give the lag, in frames, at which the coarse frames from `at` on are found; None where they are not."""
        piece = self._coarse[at : at + _LOOK_UP]
        if len(piece) < _LOOK_UP or len(self._other) < _LOOK_UP:
            return None
        piece = piece - piece.mean(axis=0)
        norm = float(np.sqrt(np.sum(piece * piece)))
        if norm < 4 * STEPS_PER_DB * np.sqrt(_LOOK_UP):
            return None
        spectrum = np.fft.rfft(piece, self._size, axis=0)
        products = np.fft.irfft(np.sum(self._spectrum * np.conj(spectrum), axis=1), self._size)
        likeness = products[: len(self._spread)] / (norm * np.maximum(self._spread, 0.25 * norm))
        best = int(np.argmax(likeness))
        if likeness[best] < _FOUND:
            return None
        return self._sharpened(at * _GRAIN, (at + _LOOK_UP) * _GRAIN, (best - at) * _GRAIN, _GRAIN)

    def nearby(self, begin: int, end: int, low: int, high: int) -> int | None:
        """Give the lag between two others at which a short stretch is found; None where it is not."""
        first, last = max(0, begin + low), min(len(self.theirs), end + high)
        ours, theirs = self.our_moves[begin:end], self.their_moves[first:last]
        energy = np.sum(theirs * theirs, axis=1, dtype=np.float64)
        norm = float(np.sum(ours * ours))
        if len(theirs) <= len(ours) or norm < (3 * STEPS_PER_DB) ** 2 * len(ours):
            return None
        size = 1 << (len(theirs) + len(ours)).bit_length()
        spectrum = np.fft.rfft(theirs, size, axis=0) * np.conj(np.fft.rfft(ours, size, axis=0))
        products = np.fft.irfft(spectrum.sum(axis=1), size)[: len(theirs) - len(ours) + 1]
        sums = np.cumsum(np.concatenate(([0.0], energy)))
        theirs_norm = np.maximum(sums[len(ours) :] - sums[: -len(ours)], 0.25 * norm)
        likeness = products / np.sqrt(norm * theirs_norm)
        best = int(np.argmax(likeness))
        return first + best - begin if likeness[best] >= _NEARBY else None

    def _sharpened(self, begin: int, end: int, lag: int, slack: int) -> int | None:
        """Give the best lag within the slack; None where the two do not go together at any."""
        lags = range(lag - slack, lag + slack + 1)
        likeness = [self.likeness(begin, end, at) for at in lags]
        best = int(np.argmax(likeness))
        return lags[best] if likeness[best] >= _SAME else None

    def likeness(self, begin: int, end: int, lag: int) -> float:
        """Correlate the rise and fall of the bands over a stretch."""
        begin, end = max(begin, -lag, 0), min(end, len(self.theirs) - lag, len(self.ours))
        if end <= begin:
            return 0.0
        ours, theirs = self.our_moves[begin:end], self.their_moves[begin + lag : end + lag]
        norm = float(np.sqrt(np.sum(ours * ours) * np.sum(theirs * theirs)))
        return float(np.sum(ours * theirs)) / norm if norm > 0 else 0.0

    def fraction(self, begin: int, end: int, lag: int) -> float:
        """Give the part of a frame by which the true lag is off: the top of a parabola through three lags."""
        low, middle, high = (self.likeness(begin, end, lag + n) for n in (-1, 0, 1))
        bend = low - 2 * middle + high
        return float(np.clip(0.5 * (low - high) / bend, -0.5, 0.5)) if bend < 0 else 0.0

    def together(self, begin: int, end: int, lag: int) -> NDArray[np.bool_]:
        """Tell for each frame whether the two sounds go together round it; where both are silent they do."""
        first, last = (
            max(begin - _WINDOW, -lag, 0),
            min(end + _WINDOW, len(self.theirs) - lag, len(self.ours)),
        )
        out = np.zeros(end - begin, np.bool_)
        if last <= first:
            return out
        ours, theirs = self.our_moves[first:last], self.their_moves[first + lag : last + lag]
        both = _boxed(np.sum(ours * theirs, axis=1))
        one, other = _boxed(np.sum(ours * ours, axis=1)), _boxed(np.sum(theirs * theirs, axis=1))
        least = (3 * STEPS_PER_DB) ** 2 * _WINDOW
        good = (both >= _SAME * np.sqrt(one * other)) | (np.maximum(one, other) < least)
        a, b = max(begin, first), min(end, last)
        out[a - begin : b - begin] = good[a - first : b - first]
        return out

    def distance(self, begin: int, end: int, lag: int) -> Levels:
        """Give for each frame how far the levels are apart, a steady difference in tone and level left out."""
        at = np.clip(np.arange(begin, end) + lag, 0, len(self.theirs) - 1)
        apart = self.ours[begin:end] - self.theirs[at]
        away: Levels = np.mean(np.abs(apart), axis=1)
        return away


def _moves(levels: Levels) -> Levels:
    """Give how the levels rise and fall over four frames, each band against the others.

    What all bands do together counts little: one stroke of a saw, one knock, one syllable swells like the next, but not in every band.
    """
    moves = np.zeros_like(levels)
    moves[2:-2] = levels[4:] - levels[:-4]
    own = moves - _TOGETHER * moves.mean(axis=1, keepdims=True)
    # The noise of a quiet moment is changed by every encoding.
    heard: Levels = own * np.minimum(levels.mean(axis=1, keepdims=True) / _HEARD, 1)
    return heard


def _coarse(levels: Levels) -> Levels:
    whole = len(levels) // _GRAIN * _GRAIN
    out: Levels = levels[:whole].reshape(-1, _GRAIN, levels.shape[1]).mean(axis=1)
    return out


def _boxed(values: Levels) -> NDArray[np.float64]:
    """Sum each value with its neighbours, `_WINDOW` in all."""
    sums = np.cumsum(np.concatenate(([0.0], values.astype(np.float64))))
    at = np.arange(values.size)
    low, high = np.maximum(0, at - _WINDOW // 2), np.minimum(values.size, at + _WINDOW // 2)
    boxed: NDArray[np.float64] = sums[high] - sums[low]
    return boxed


def _searched(pair: _Pair) -> Iterator[_Stretch]:
    """Look up a few seconds at a time, and go on behind each stretch that is found."""
    at = done = 0
    while at + _LOOK_UP <= pair.coarse_length:
        lag = pair.look_up(at)
        stretch = None if lag is None else _carried_on(pair, at * _GRAIN + _LOOK_UP * _GRAIN // 2, lag, done)
        if stretch is None:
            at += _STEP
            continue
        yield stretch
        done = stretch.end
        at = max(at + _STEP, done // _GRAIN)


def _carried_on(pair: _Pair, middle: int, lag: int, done: int) -> _Stretch | None:
    """Carry a place on in both directions as far as the two sounds go together."""
    first, last = max(0, done - 2 * _WINDOW, -lag), min(len(pair.ours), len(pair.theirs) - lag)
    if not first <= middle < last:
        return None
    reach = _REACH
    while True:
        low, high = max(first, middle - reach), min(last, middle + reach)
        stretch = _together(pair, low, high, middle, lag)
        if stretch is None:
            return None
        if (stretch.begin > low or low == first) and (stretch.end < high or high == last):
            break
        reach *= 4
    return stretch if stretch.end > done and stretch.end - stretch.begin >= _SHORTEST else None


def _together(pair: _Pair, low: int, high: int, middle: int, lag: int) -> _Stretch | None:
    """Give the frames between two others that go together without a break, those nearest to a middle.

    The few seconds that were looked up may lie across a joint, so that their middle itself need not go together.
    """
    good = pair.together(low, high, lag)
    near = np.flatnonzero(good)
    if not near.size:
        return None
    start = int(near[np.argmin(np.abs(near - (middle - low)))])
    bad = np.flatnonzero(~good)
    at = int(np.searchsorted(bad, start))
    begin = int(bad[at - 1]) + 1 if at else 0
    end = int(bad[at]) if at < bad.size else good.size
    return _Stretch(low + begin, low + end, lag)


def _joined(found: Sequence[_Stretch]) -> list[_Stretch]:
    """Join stretches that go on at the same lag after a moment that could not be compared."""
    out: list[_Stretch] = []
    for stretch in found:
        if out and abs(stretch.lag - out[-1].lag) <= 1 and stretch.begin - out[-1].end <= _WINDOW:
            out[-1].end = stretch.end
        else:
            out.append(stretch)
    return out


def _with_short(pair: _Pair, found: Sequence[_Stretch]) -> list[_Stretch]:
    """Look between stretches for others that are too short to be looked up everywhere, but lie near their neighbours in the other recording."""
    out: list[_Stretch] = []
    ends = [*found, None]
    for after in ends:
        before = out[-1] if out else None
        begin, end = before.end if before else 0, after.begin if after else len(pair.ours)
        out += _short(pair, begin, end, [s.lag for s in (before, after) if s is not None])
        if after is not None:
            out.append(after)
    return out


def _short(pair: _Pair, begin: int, end: int, lags: Sequence[int]) -> Iterator[_Stretch]:
    """Give the short stretches in a gap, looked for between the places of its neighbours and a little beyond."""
    if not lags or max(lags) - min(lags) > 3 * _BESIDE:
        lags = lags[:1]
    at = begin
    while lags and at + _SHORT <= min(end, begin + _FAR):
        low, high = min(lags) - _BESIDE, max(lags) + _BESIDE
        lag = pair.nearby(at, at + _SHORT, low, high)
        stretch = None if lag is None else _carried_on(pair, at + _SHORT // 2, lag, begin)
        if stretch is None or stretch.begin >= end:
            at += _SHORT // 4
            continue
        stretch.begin, stretch.end = max(stretch.begin, begin), min(stretch.end, end)
        yield stretch
        at = begin = max(stretch.end, at + _SHORT // 4)


def _part(pair: _Pair, found: Sequence[_Stretch]) -> None:
    """Put the joint between two stretches that touch or overlap where the sound goes over from the one to the other."""
    for before, after in pairwise(found):
        if after.begin - before.end > _WINDOW:
            continue
        low = max(before.begin + 1, min(before.end, after.begin) - _WINDOW)
        high = min(after.end - 1, max(before.end, after.begin) + _WINDOW)
        if low >= high:
            continue
        gain = pair.distance(low, high, after.lag) - pair.distance(low, high, before.lag)
        # Frames before the joint count for the first stretch, those behind it for the second.
        sums = np.concatenate(([0.0], np.cumsum(gain)))
        joint = low + int(np.argmax(sums))
        before.end = after.begin = joint
