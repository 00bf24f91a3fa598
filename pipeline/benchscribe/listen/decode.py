"""Sound out of a recording, packet by packet: 16 kHz, one channel, in short blocks, never the whole file at once.

A damaged packet is skipped and its place is kept: the sound that follows stays at its own time, the hole is silence, and the hole is
reported. Decoders that read a file in one go stop at the first bad packet without a word.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from benchscribe.clock import clock
from benchscribe.errors import MediaError
from benchscribe.listen.headers import ogg_cut_off, wav_length
from benchscribe.listen.media import first_sound, length_of, opened
from benchscribe.records import Gap

RATE: Final = 16_000
"""Samples a second that the recogniser wants."""
Samples = NDArray[np.float32]

_SLIP_S: Final = 0.12
"""Times in files jitter by up to a packet or two; only more than this is a hole."""
_SPEAK_S: Final = 0.5
"""A hole shorter than this loses no word and is not reported."""
_SHORT_S: Final = 2.0
_SHORT_SHARE: Final = 0.01
_LOOSE: Final = frozenset({"mp3", "aac", "mpegts", "mpeg", "amr"})
"""Formats whose stated length is a guess from the bit rate."""
_LOOSE_SHARE: Final = 0.04
_TRIES: Final = 2000
"""Read errors in a row after which the rest of the file is given up."""
_HOLE_BLOCK: Final = RATE * 10


class Block(Struct, frozen=True):
    """A short stretch of sound."""

    start: int
    """Index of its first sample from the start of the file."""
    samples: Samples


class Decoder:
    """One recording, read once from start to end.

    After `blocks` has run out, `gaps` says what could not be read and `length` how many samples there were.
    """

    def __init__(self, path: Path) -> None:
        """Take the file; it is opened when `blocks` begins."""
        self.path = path
        self.length = 0
        self.gaps: tuple[Gap, ...] = ()
        self._errors: list[int] = []
        self._holes: list[tuple[int, int]] = []
        self._heard = 0
        self._declared: float | None = None
        self._format = ""

    def blocks(self) -> Iterator[Block]:
        """Give the sound in order, without gap or overlap.

        Raises:
            MediaError: The file cannot be opened, or nothing in it can be decoded.
        """
        import av

        with opened(self.path) as container:
            stream = first_sound(container, self.path)
            stream.thread_type = "NONE"
            self._format = str(container.format.name)
            self._declared = max(
                filter(None, (length_of(container, stream), wav_length(self.path))), default=None
            )
            zero = (container.start_time or 0) / 1_000_000
            resampler, shape = None, None
            for frame in self._frames(container, stream):
                if shape != (shape := (frame.format.name, frame.layout.name, frame.sample_rate)):
                    # A stream may change its shape on the way; a resampler cannot.
                    yield from self._emit(resampler, None)
                    resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
                if frame.time is not None:
                    yield from self._mend(round((frame.time - zero) * RATE))
                frame.pts = None
                yield from self._emit(resampler, frame)
            yield from self._emit(resampler, None)
        if not self._heard:
            raise MediaError(
                "the sound in this file cannot be decoded", where=str(self.path), todo="Try to play it; copy it from the recorder again."
            )  # fmt: skip
        self.gaps = self._report()

    def _frames(self, container: Any, stream: Any) -> Iterator[Any]:  # noqa: ANN401 - PyAV's own types are not fully given
        """Read packet by packet; skip what is damaged and note where."""
        import av

        failed = 0
        while failed < _TRIES:
            try:
                for packet in container.demux(stream):
                    try:
                        frames = packet.decode()
                    except (av.error.FFmpegError, ValueError):
                        self._errors.append(self.length)
                        failed += 1
                        continue
                    if packet.is_corrupt:
                        self._errors.append(self.length)
                    yield from frames
                    failed = 0 if frames else failed
            except av.error.EOFError:
                return
            except (av.error.FFmpegError, ValueError):
                self._errors.append(self.length)
                failed += 1
            else:
                return

    def _emit(self, resampler: Any, frame: Any) -> Iterator[Block]:  # noqa: ANN401 - as above
        import av

        if resampler is None:
            return
        try:
            out = resampler.resample(frame)
        except (av.error.FFmpegError, ValueError):
            self._errors.append(self.length)
            return
        for piece in out:
            samples = piece.to_ndarray().reshape(-1).astype(np.float32, copy=False)
            if samples.size:
                self._heard += samples.size
                yield self._block(np.nan_to_num(samples, copy=False, nan=0.0, posinf=0.0, neginf=0.0))

    def _block(self, samples: Samples) -> Block:
        block = Block(self.length, samples)
        self.length += samples.size
        return block

    def _mend(self, at: int) -> Iterator[Block]:
        """Fill a hole before the sample `at` with silence, so that what follows keeps its time."""
        missing = at - self.length
        if missing <= _SLIP_S * RATE or self._beyond(at):
            return
        self._holes.append((self.length, at))
        while self.length < at:
            yield self._block(np.zeros(min(_HOLE_BLOCK, at - self.length), dtype=np.float32))

    def _beyond(self, at: int) -> bool:
        """Tell whether a time lies outside the file, and so is itself damaged."""
        return self._declared is not None and at > (self._declared + 1.0) * RATE

    def _report(self) -> tuple[Gap, ...]:
        spans = [
            (a, b) for a, b in self._holes if b - a >= _SPEAK_S * RATE and (a > 0 or self._near_error(0))
        ]
        spans += [(at, at) for at in self._errors if not any(a <= at <= b for a, b in self._holes)]
        short = self._short()
        if short:
            # An error at the very end is the end; it is said once.
            spans = [(a, b) for a, b in spans if a < b or a < self.length - RATE]
        gaps = [_gap(a / RATE, b / RATE) for a, b in _merged(sorted(spans))]
        return (*gaps, short) if short else tuple(gaps)

    def _near_error(self, at: int) -> bool:
        return any(abs(error - at) < RATE for error in self._errors)

    def _short(self) -> Gap | None:
        """Compare what was decoded with the length that the file says it has."""
        declared, decoded = self._declared, self.length / RATE
        if ogg_cut_off(self.path):
            note = f"the file breaks off at {clock(decoded)}; what came after is not in it"
            return Gap(kind="short", note=note, start_s=round(decoded, 3))
        if declared is None:
            return None
        share = _LOOSE_SHARE if self._format.split(",")[0] in _LOOSE else _SHORT_SHARE
        if declared - decoded <= max(_SHORT_S, share * declared):
            return None
        note = f"the file says that it is {clock(declared)} long; it ends at {clock(decoded)}"
        return Gap(kind="short", note=note, start_s=round(decoded, 3), end_s=round(declared, 3))


def _merged(spans: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Join spans that lie within a second of each other."""
    out: list[tuple[int, int]] = []
    for a, b in spans:
        if out and a - out[-1][1] <= RATE:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out


def _gap(start: float, end: float) -> Gap:
    if end - start < _SPEAK_S:
        note = f"damaged at {clock(start)}; a moment may be missing"
    else:
        note = f"{clock(start)} to {clock(end, up=True)} could not be read"
    return Gap(kind="damaged", note=note, start_s=round(start, 3), end_s=round(end, 3))
