"""What has been listened to is kept as it comes, so that a run that was stopped goes on where it was.

Every file is written whole or not at all, in a folder of its kind; all but the sounds are JSON:

    pieces/      what was heard in one piece (`Heard`), keyed by its sound, the model and the settings
    recordings/  what was heard in one recording (`HeardFile`), keyed by the file's bytes, the model and the settings
    files/       the sum of a file's bytes (`FileStamp`), keyed by its path, so that it is read only where it has changed
    folders/     the sums of the recordings that were heard in one folder (`FolderIndex`), the newest last, keyed by its path
    sounds/      a recording's sound in bands (NumPy, 800 bytes a second), named by the sum of its bytes

With the last two, a recording that holds the same sound as one that was heard in the same folder before takes its words over: a cut that
is exported again, and a take's passage in the cut. Names in the prompt are no part of any key: with an edited part list the maker's
recording is not listened to again.
"""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Final, TypeVar

import msgspec
from msgspec import Struct

from benchscribe.errors import WriteError
from benchscribe.listen.decode import Samples
from benchscribe.listen.media import MediaInfo
from benchscribe.listen.options import ListenOptions
from benchscribe.listen.phrases import Heard
from benchscribe.records import Gap, Word
from benchscribe.whole import put_whole

VERSION: Final = 1
"""Goes up when a change to the code makes what was kept before wrong."""
_MOST_BESIDE: Final = 24
"""Recordings of a folder that are remembered."""
S = TypeVar("S", bound=Struct)


class HeardFile(Struct, frozen=True, kw_only=True):
    """All that listening to one recording gives."""

    info: MediaInfo
    length_s: float
    words: tuple[Word, ...]
    gaps: tuple[Gap, ...]
    claps: tuple[float, ...] = ()
    """Seconds at which somebody may have clapped."""


class FileStamp(Struct, frozen=True):
    """The sum of a file's bytes, kept with the size and time of change for which it holds."""

    size: int
    changed_ns: int
    digest: str


class FolderIndex(Struct, frozen=True):
    """The recordings that were heard in one folder, whether they are still there or not."""

    digests: tuple[str, ...]
    """Sums of their bytes, the newest last."""


def settings_key(model_key: str, options: ListenOptions) -> str:
    """Give one key for everything, besides the sound, that decides what is heard."""
    return _digest(f"{VERSION}|{model_key}|{options.language}|{options.beam_size}".encode())


def piece_key(samples: Samples, settings: str) -> str:
    """Give the key of one piece."""
    return _digest(settings.encode(), samples.data.cast("B"))


def file_digest(path: Path, cache_dir: Path) -> str:
    """Give the sum of a file's bytes; read only where its size or time of change is new."""
    stat = path.stat()
    index = cache_dir / "files" / f"{_digest(str(path.resolve()).encode())}.json"
    known = _read(index, FileStamp)
    if known and (known.size, known.changed_ns) == (stat.st_size, stat.st_mtime_ns):
        return known.digest
    with path.open("rb") as file:
        digest = hashlib.file_digest(file, lambda: hashlib.blake2b(digest_size=20)).hexdigest()
    _write(index, FileStamp(stat.st_size, stat.st_mtime_ns, digest))
    return digest


def load_piece(cache_dir: Path, key: str) -> Heard | None:
    """Give what was heard in a piece before; None where it was not, or the file is damaged."""
    return _read(cache_dir / "pieces" / f"{key}.json", Heard)


def keep_piece(cache_dir: Path, key: str, heard: Heard) -> None:
    """Keep what was heard in a piece."""
    _write(cache_dir / "pieces" / f"{key}.json", heard)


def load_file(cache_dir: Path, digest: str, settings: str) -> HeardFile | None:
    """Give what was heard in a recording before."""
    return _read(_file_place(cache_dir, digest, settings), HeardFile)


def keep_file(cache_dir: Path, digest: str, settings: str, heard: HeardFile) -> None:
    """Keep what was heard in a recording."""
    _write(_file_place(cache_dir, digest, settings), heard)


def heard_beside(cache_dir: Path, folder: Path) -> tuple[str, ...]:
    """Give the sums of the recordings that were heard in a folder, the newest last."""
    known = _read(_folder_place(cache_dir, folder), FolderIndex)
    return known.digests if known else ()


def keep_beside(cache_dir: Path, folder: Path, digest: str) -> None:
    """Keep that a recording was heard in a folder."""
    others = [d for d in heard_beside(cache_dir, folder) if d != digest]
    _write(_folder_place(cache_dir, folder), FolderIndex((*others[1 - _MOST_BESIDE :], digest)))


def _folder_place(cache_dir: Path, folder: Path) -> Path:
    return cache_dir / "folders" / f"{_digest(str(folder.resolve()).encode())}.json"


def _file_place(cache_dir: Path, digest: str, settings: str) -> Path:
    return cache_dir / "recordings" / f"{_digest(digest.encode(), settings.encode())}.json"


def _digest(*parts: bytes | memoryview) -> str:
    total = hashlib.blake2b(digest_size=20)
    for part in parts:
        total.update(part)
    return total.hexdigest()


def _read(path: Path, kind: type[S]) -> S | None:
    try:
        return msgspec.json.decode(path.read_bytes(), type=kind)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError):
        return None


def _write(path: Path, record: Struct) -> None:
    try:
        put_whole(path, msgspec.json.encode(record), wait=True)
    except OSError as error:
        raise WriteError(
            f"what was heard cannot be kept ({(error.strerror or str(error)).lower()})",
            where=str(path.parent),
            todo="See that the disk has room and the folder can be written to.",
        ) from error
