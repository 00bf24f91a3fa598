"""Short cuts of sound: a stretch of a take as WAV, begun at the exact sample, without reading the rest of the file."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from benchscribe.errors import MediaError
from benchscribe.listen.media import first_sound, opened

LONGEST_S: Final = 90.0
"""Seconds; a longer stretch is listened to in a player, not on the desk."""
_RUN_UP_S: Final = 1.0
"""A decoder that starts in the middle wants a little to settle (Opus: 80 ms, MP3: a frame or two)."""
_SLIP_S: Final = 0.12
"""Times in files jitter by up to a packet; only more than this is a hole."""


class Asked(Struct, frozen=True):
    """A part of some bytes, as a Range header asks for it: from the first byte to before the last."""

    first: int
    last: int


def cut_sound(path: Path, start_s: float, end_s: float) -> bytes:
    """Cut a stretch out of a recording.

    Args:
        path: The recording.
        start_s: Where it begins, in seconds of the file.
        end_s: Where it ends; at most `LONGEST_S` later.

    Returns:
        WAV, one channel, 16 bits, at the recording's own rate. What lies beyond the end of the file is not in it.

    Raises:
        MediaError: The file cannot be read, or has no sound there.
    """
    start_s = max(start_s, 0.0)
    end_s = min(end_s, start_s + LONGEST_S)
    import numpy as np

    with opened(path) as container:
        stream = first_sound(container, path)
        zero = (container.start_time or 0) / 1_000_000
        _seek(container, stream, start_s + zero - _RUN_UP_S)
        rate, out, reached = 0, np.zeros(0, dtype=np.int16), 0
        at: int | None = None
        for frame, samples in _samples(container, stream):
            if not rate:
                rate = int(frame.sample_rate)
                out = np.zeros(max(round((end_s - start_s) * rate), 0), dtype=np.int16)
            told = None if frame.time is None else round((frame.time - zero - start_s) * rate)
            if at is None or (told is not None and abs(told - at) > _SLIP_S * rate):
                at = told if told is not None else (at or 0)
            begin, stop = max(at, 0), min(at + samples.size, out.size)
            if begin < stop:
                out[begin:stop] = samples[begin - at : stop - at]
                reached = max(reached, stop)
            at += samples.size
            if at >= out.size:
                break
    if not reached:
        raise MediaError("there is no sound at this time", where=path.name)
    return wav(out[:reached].tobytes(), rate)


def wav(samples: bytes, rate: int) -> bytes:
    """Put a WAV head before samples of one channel, 16 bits each (RIFF, "fmt " chunk of PCM)."""
    head = struct.pack(
        "<4sI4s4sIHHIIHH4sI",
        *(
            b"RIFF",
            36 + len(samples),
            b"WAVE",
            b"fmt ",
            16,
            1,
            1,
            rate,
            rate * 2,
            2,
            16,
            b"data",
            len(samples),
        ),
    )
    return head + samples


def asked_range(header: str | None, size: int) -> Asked | None:
    """Read a Range header of one range (RFC 9110, 14.1.2).

    Returns:
        None where there is no range, or one that may be passed over: another unit, several ranges, a fault.

    Raises:
        ValueError: The range lies beyond the end: 416.
    """
    if not header or not header.strip().lower().startswith("bytes="):
        return None
    first, dash, last = header.strip()[6:].partition("-")
    first, last = first.strip(), last.strip()
    numbers = all(n.isascii() and n.isdigit() and len(n) < 16 for n in (first, last) if n)
    if not dash or "," in header or not numbers or not (first or last):
        return None
    if not first:
        wanted = min(int(last), size)
        if not wanted:
            raise ValueError("no bytes asked for")
        return Asked(size - wanted, size)
    begin, end = int(first), min(int(last) + 1, size) if last else size
    if last and int(last) < int(first):
        return None
    if begin >= size:
        raise ValueError("beyond the end")
    return Asked(begin, end)


def _seek(container: Any, stream: Any, to_s: float) -> None:  # noqa: ANN401 - PyAV's own types are not fully given
    import av

    if to_s <= 0 or not stream.time_base:
        return
    try:
        container.seek(int(to_s / stream.time_base), stream=stream, backward=True)
    except (av.error.FFmpegError, ValueError):  # it has no index: read from the start
        container.seek(0)


def _samples(container: Any, stream: Any) -> Iterator[tuple[Any, Any]]:  # noqa: ANN401 - as above
    """Give frames with their samples, one channel at the first frame's rate; what is damaged is passed over."""
    import av

    resampler, shape = None, None
    rate = 0
    try:
        for packet in container.demux(stream):
            try:
                frames = packet.decode()
            except (av.error.FFmpegError, ValueError):
                continue
            for frame in frames:
                rate = rate or int(frame.sample_rate)
                if shape != (shape := (frame.format.name, frame.layout.name, frame.sample_rate)):
                    resampler = av.AudioResampler(format="s16", layout="mono", rate=rate)
                keep, frame.pts = frame.pts, None
                pieces = resampler.resample(frame) if resampler is not None else ()
                frame.pts = keep
                for piece in pieces:
                    yield frame, piece.to_ndarray().reshape(-1)
    except (av.error.FFmpegError, ValueError):
        return
