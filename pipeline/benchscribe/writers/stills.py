"""Still pictures beside the record: only a plain file name in the folder is ever opened, and only a picture."""

from __future__ import annotations

import base64
from pathlib import Path
from typing import Final

_KINDS: Final = {".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png", ".webp": "image/webp"}
_STARTS: Final = {"image/jpeg": b"\xff\xd8\xff", "image/png": b"\x89PNG\r\n\x1a\n", "image/webp": b"RIFF"}
_LARGEST: Final = 4_000_000
"""Bytes; a still is a fraction of this, and a page with larger ones could not be opened on a telephone."""


def still_path(name: str, folder: Path | None) -> Path | None:
    """Give the picture's path; None where the name is not that of a picture in the folder."""
    if not name or folder is None or Path(name).name != name or Path(name).suffix.lower() not in _KINDS:
        return None
    path = folder / name
    try:
        if not path.is_file() or path.is_symlink() or path.stat().st_size > _LARGEST:
            return None
        with path.open("rb") as file:
            start = file.read(12)
    except OSError:
        return None
    return path if start.startswith(_STARTS[_KINDS[path.suffix.lower()]]) else None


def still_data(name: str, folder: Path | None) -> str:
    """Give the picture as a data address for a page that holds everything it needs; empty where there is none."""
    path = still_path(name, folder)
    if path is None:
        return ""
    data = base64.b64encode(path.read_bytes()).decode()
    return f"data:{_KINDS[path.suffix.lower()]};base64,{data}"
