"""Each recording's sound in bands, kept beside what was heard in it: worked out once, while it is listened to or when it is first asked for."""

from __future__ import annotations

import contextlib
import io
from pathlib import Path
from typing import Any

import numpy as np

from benchscribe.listen.decode import RATE, Decoder
from benchscribe.listen.journal import file_digest
from benchscribe.sound import Bands, bands_of
from benchscribe.whole import put_whole


def sound_of(path: Path, cache_dir: Path) -> Bands:
    """Give a recording's sound in bands; decoded only where its bytes are new.

    Raises:
        MediaError: It cannot be decoded.
    """
    digest = file_digest(path, cache_dir)
    known = known_sound(digest, cache_dir)
    if known is None:
        known = bands_of((block.samples for block in Decoder(path).blocks()), RATE)
        keep_sound(digest, cache_dir, known)
    return known


def known_sound(digest: str, cache_dir: Path) -> Bands | None:
    """Give the sound of a recording by the sum of its bytes; None where it is not kept, or the file is damaged."""
    try:
        known: Any = np.load(_place(digest, cache_dir), allow_pickle=False)
    except (OSError, ValueError, EOFError):
        return None
    return known if known.dtype == np.uint8 and known.ndim == 2 else None


def keep_sound(digest: str, cache_dir: Path, sound: Bands) -> None:
    """Keep it whole or not at all; a cache that cannot be written costs only time."""
    data = io.BytesIO()
    np.save(data, sound, allow_pickle=False)
    with contextlib.suppress(OSError):
        put_whole(_place(digest, cache_dir), data.getvalue())


def _place(digest: str, cache_dir: Path) -> Path:
    return cache_dir / "sounds" / f"{digest}-1.npy"
