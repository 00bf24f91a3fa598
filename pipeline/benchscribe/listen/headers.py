"""What the bytes of a recording say where the decoder says nothing: was it finished, and how long was it meant to be?

Sources: RIFF/WAVE chunk layout; Ogg page header (RFC 3533, section 6: header type bit 0x04 is "end of stream"); ISO base media boxes.
"""

from __future__ import annotations

import struct
from pathlib import Path
from typing import Final

_UNKNOWN: Final = (0, 0xFFFFFFFF)
"""What a recorder writes that does not know the length yet."""
_TAIL: Final = 1 << 17
_END_OF_STREAM: Final = 0x04


def unfinished_index(path: Path) -> bool:
    """Tell whether this is an mp4 or mov file whose index was never written, as when a recorder loses power."""
    with path.open("rb") as file:
        return file.read(12)[4:8] in {b"ftyp", b"mdat", b"wide", b"free"}


def wav_length(path: Path) -> float | None:
    """Give the seconds of sound that a WAV file's header promises; None where it is no such file, or does not say."""
    with path.open("rb") as file:
        head = file.read(12)
        if head[:4] != b"RIFF" or head[8:12] != b"WAVE":
            return None
        rate = 0
        while len(chunk := file.read(8)) == 8:
            name, size = struct.unpack("<4sI", chunk)
            if name == b"data":
                return None if size in _UNKNOWN or not rate else size / rate
            body = file.read(min(size, 16))
            if name == b"fmt " and len(body) == 16:
                rate = struct.unpack("<I", body[8:12])[0]
            file.seek(size + size % 2 - len(body), 1)
    return None


def ogg_cut_off(path: Path) -> bool:
    """Tell whether this is an Ogg file (opus, ogg) whose last page is not its end."""
    with path.open("rb") as file:
        if file.read(4) != b"OggS":
            return False
        size = file.seek(0, 2)
        file.seek(max(0, size - _TAIL))
        tail = file.read()
    last = tail.rfind(b"OggS")
    return last >= 0 and last + 5 < len(tail) and not tail[last + 5] & _END_OF_STREAM
