"""Files that are whole or not there."""

from __future__ import annotations

import os
import threading
from pathlib import Path


def put_whole(path: Path, data: bytes, *, wait: bool = False) -> None:
    """Write a file beside its place and move it there in one go; nothing half-written is ever seen or left behind.

    Args:
        path: The file; its folder is made where it is not there.
        data: All that is to stand in it.
        wait: Come back only when the disk has it, so that it outlives a power cut.

    Raises:
        OSError: The folder cannot be written to, or the disk is full; what stood there still stands.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}-{threading.get_ident()}.part")
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with beside.open("wb") as file:
            file.write(data)
            if wait:
                file.flush()
                os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)
