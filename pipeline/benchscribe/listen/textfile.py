"""Text files as people have them: with or without a byte order mark, and not always UTF-8."""

from __future__ import annotations

import codecs
from pathlib import Path
from typing import Final

from benchscribe.errors import TranscriptError

_LIMIT_BYTES: Final = 8 * 1024 * 1024
"""Ten hours of captions are about one megabyte."""
_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def read_lines(path: Path) -> list[str]:
    """Read a text file as lines without their ends (CRLF, LF or CR).

    UTF-8 with or without a mark, UTF-16 with one; anything else is taken for Windows-1252, which is what older caption programs write.

    Raises:
        TranscriptError: The file is missing, empty, unreadable or not text.
    """
    try:
        size = path.stat().st_size
        if size > _LIMIT_BYTES:
            raise TranscriptError(
                f"this file is {size // 2**20} MB of text; more than {_LIMIT_BYTES // 2**20} MB is no talk",
                where=str(path),
                todo="Give captions (.vtt, .srt) or notes (.md, .txt) of one recording.",
            )
        data = path.read_bytes()
    except FileNotFoundError as error:
        raise TranscriptError("there is no such file", where=str(path)) from error
    except IsADirectoryError as error:
        raise TranscriptError("this is a folder, not a file", where=str(path)) from error
    except OSError as error:
        raise TranscriptError(f"cannot be read ({error.strerror})", where=str(path)) from error
    if not data.strip():
        raise TranscriptError("the file is empty", where=str(path))
    return _decode(data, path).replace("\r\n", "\n").replace("\r", "\n").split("\n")


def _decode(data: bytes, path: Path) -> str:
    coding = next((name for mark, name in _MARKS if data.startswith(mark)), "utf-8")
    try:
        text = data.decode(coding)
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    at = text.find("\0")
    if at >= 0:
        line = text.count("\n", 0, at) + 1
        raise TranscriptError(
            "this is not a text file",
            where=f"{path}, line {line}",
            todo="Give captions (.vtt, .srt) or notes (.md, .txt).",
        )
    return text
