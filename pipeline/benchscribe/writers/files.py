"""Outputs, each whole or not there; one that cannot be written is told."""

from __future__ import annotations

from pathlib import Path

from benchscribe.errors import WriteError
from benchscribe.whole import put_whole


def write_whole(path: Path, data: bytes) -> None:
    """Write a file in one go; nothing half-written is left behind.

    Raises:
        WriteError: The folder cannot be written to, or the disk is full.
    """
    try:
        put_whole(path, data)
    except OSError as error:
        raise WriteError(
            f"cannot be written ({error.strerror or error})",
            where=str(path),
            todo="See that the folder is there, may be written to, and has room.",
        ) from error
