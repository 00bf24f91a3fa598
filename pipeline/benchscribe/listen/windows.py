"""Where speech is, and the windows in which it is given to the recogniser: at most 30 seconds each, cut at pauses.

A window is one unbroken stretch of the recording, pauses and all, so every word's time is true; stretches of several seconds without
speech are left out, since recognisers make up text there.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from benchscribe.listen.decode import RATE, Samples

WINDOW_S: Final = 29.0
"""The recogniser takes 30 s at a time."""
_EARLIEST_S: Final = 14.0
"""A window is not cut shorter than this for the sake of a better pause."""
_SILENCE_S: Final = 3.0
_PAD_S: Final = 0.3
_LONG_PAUSE_S: Final = 1.0
_VAD: Final = {
    "threshold": 0.4,
    "min_silence_duration_ms": 160,
    "speech_pad_ms": 0,
    "max_speech_duration_s": WINDOW_S - 2 * _PAD_S,
}


class Span(Struct, frozen=True):
    """A stretch of sound, in seconds."""

    start_s: float
    end_s: float


def find_speech(samples: Samples) -> tuple[Span, ...]:
    """Find where somebody speaks (Silero VAD, as faster-whisper carries it)."""
    from faster_whisper.vad import VadOptions, get_speech_timestamps

    if not samples.size:
        return ()
    found = get_speech_timestamps(samples, VadOptions(**_VAD))
    return tuple(Span(part["start"] / RATE, part["end"] / RATE) for part in found)


def cut_windows(speech: Sequence[Span], length_s: float) -> tuple[Span, ...]:
    """Gather speech into windows, each cut at the best pause that its length leaves.

    Args:
        speech: In order; none longer than a window.
        length_s: Length of the whole sound.
    """
    windows: list[Span] = []
    first = 0
    while first < len(speech):
        last = _last_in_window(speech, first)
        start = max(0.0, speech[first].start_s - _PAD_S, windows[-1].end_s if windows else 0.0)
        end = min(length_s, speech[last].end_s + _PAD_S)
        if last + 1 < len(speech):
            end = min(end, (speech[last].end_s + speech[last + 1].start_s) / 2)
        windows.append(Span(start, max(start, end)))
        first = last + 1
    return tuple(windows)


def _last_in_window(speech: Sequence[Span], first: int) -> int:
    """Give the index of the last stretch of speech in the window that begins with `first`."""
    begin = speech[first].start_s - _PAD_S
    best, best_score = first, -1.0
    for last in range(first, len(speech)):
        if speech[last].end_s + _PAD_S - begin > WINDOW_S and last > first:
            return best
        if last + 1 == len(speech):
            return last
        pause = speech[last + 1].start_s - speech[last].end_s
        if pause >= _SILENCE_S:
            return last
        length = speech[last].end_s - begin
        score = min(pause, _LONG_PAUSE_S) + 0.02 * length if length >= _EARLIEST_S else 0.001 * length
        if score >= best_score:
            best, best_score = last, score
    return best
