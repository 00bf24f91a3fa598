"""Files that are whole or not there."""

from __future__ import annotations

import os
from pathlib import Path

from benchscribe.errors import WriteError


def write_whole(path: Path, data: bytes) -> None:
    """Write a file beside its place and move it there in one go; nothing half-written is left behind.

    Raises:
        WriteError: The folder cannot be written to, or the disk is full.
    """
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            beside.write_bytes(data)
            beside.replace(path)
        finally:
            beside.unlink(missing_ok=True)
    except OSError as error:
        raise WriteError(
            f"cannot be written ({error.strerror or error})",
            where=str(path),
            todo="See that the folder is there, may be written to, and has room.",
        ) from error
