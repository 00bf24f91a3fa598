"""How loud it is, all along a recording, for the picture of the episode: read once in the background, and kept."""

from __future__ import annotations

import contextlib
import hashlib
import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from benchscribe.errors import BenchscribeError
from benchscribe.listen.decode import RATE, Decoder
from benchscribe.whole import put_whole

STEP_S: Final = 0.5
"""Seconds that one value stands for."""
_VERSION: Final = 1


def loudness(path: Path) -> bytes:
    """Give the loudest sample of every `STEP_S` of a recording, 0 to 255; block by block, never the whole file at once.

    Raises:
        MediaError: It cannot be read.
    """
    import numpy as np

    step = round(STEP_S * RATE)
    out = bytearray()
    for block in Decoder(path).blocks():
        level = np.abs(block.samples)
        at = 0
        while at < level.size:
            place = (block.start + at) // step
            until = min(level.size, (place + 1) * step - block.start)
            out.extend(b"\0" * (place + 1 - len(out)))
            out[place] = max(out[place], min(255, int(level[at:until].max() * 255)))
            at = until
    return bytes(out)


class Peaks:
    """The loudness of some recordings, as it comes in."""

    def __init__(self, paths: Sequence[Path | None], cache: Path) -> None:
        """Take the recordings, None for one that is not there; `start` begins to read them."""
        self._paths = tuple(paths)
        self._folder = cache / "loudness"
        self._known: dict[int, bytes] = {}
        self._done = all(path is None for path in paths)

    def start(self) -> None:
        """Begin to read in the background."""
        if not self._done:
            threading.Thread(target=self._read, name="loudness", daemon=True).start()

    @property
    def done(self) -> bool:
        """Whether all has been read."""
        return self._done

    def of(self, number: int) -> bytes | None:
        """Give the loudness of a recording; None where it is not read yet, or there is none."""
        return self._known.get(number)

    def _read(self) -> None:
        for number, path in enumerate(self._paths):
            if path is not None:
                with contextlib.suppress(BenchscribeError, OSError):
                    self._known[number] = self._one(path)
        self._done = True

    def _one(self, path: Path) -> bytes:
        stat = path.stat()
        key = hashlib.sha256(
            f"{_VERSION}|{path.resolve()}|{stat.st_size}|{stat.st_mtime_ns}".encode()
        ).hexdigest()[:32]
        kept = self._folder / key
        with contextlib.suppress(OSError):
            return kept.read_bytes()
        levels = loudness(path)
        with contextlib.suppress(OSError):
            put_whole(kept, levels)
        return levels
