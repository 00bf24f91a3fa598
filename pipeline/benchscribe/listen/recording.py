"""One recording: decoded, cut into pieces, each piece heard or taken from the journal, and put together again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from msgspec import Struct

from benchscribe.listen.clean import clean, move
from benchscribe.listen.decode import RATE, Decoder
from benchscribe.listen.journal import (
    HeardFile,
    file_digest,
    keep_file,
    keep_piece,
    load_file,
    load_piece,
    piece_key,
)
from benchscribe.listen.media import MediaInfo, probe
from benchscribe.listen.pieces import cut_pieces
from benchscribe.listen.recognise import Recogniser
from benchscribe.records import Gap, Word


class Listener(Struct, frozen=True):
    """What listening to any recording of this run needs."""

    cache_dir: Path
    settings: str
    """Key of the model and the settings."""
    recogniser: Callable[[], Recogniser]
    """Gives the loaded recogniser; called only where something must really be heard."""


def known_recording(path: Path, listener: Listener) -> tuple[str, HeardFile | None]:
    """Give a recording's sum, and what was heard in it before."""
    digest = file_digest(path, listener.cache_dir)
    return digest, load_file(listener.cache_dir, digest, listener.settings)


def hear_recording(
    path: Path, digest: str, listener: Listener, done: Callable[[float, bool], None]
) -> HeardFile:
    """Listen to one recording.

    Args:
        path: The recording.
        digest: Sum of its bytes.
        listener: Model, settings and cache.
        done: Told how many seconds of it are finished, and whether they were really listened to just now.

    Raises:
        MediaError: It cannot be listened to.
        ModelError: The speech model cannot be used.
    """
    info = probe(path)
    decoder = Decoder(path)
    words: list[Word] = []
    gaps: list[Gap] = []
    for piece in cut_pieces(decoder.blocks()):
        start_s = piece.start / RATE
        key = piece_key(piece.samples, listener.settings)
        heard = load_piece(listener.cache_dir, key)
        if heard is None:
            heard = listener.recogniser().hear(piece.samples, _from(start_s, done))
            keep_piece(listener.cache_dir, key, heard)
            done(start_s + piece.samples.size / RATE, True)
        else:
            done(start_s + piece.samples.size / RATE, False)
        cleaned = move(clean(heard), start_s)
        words.extend(cleaned.words)
        gaps.extend(cleaned.gaps)
    gaps.extend(decoder.gaps)
    result = HeardFile(
        info=info,
        length_s=round(_length(info, decoder.length), 3),
        words=tuple(words),
        gaps=tuple(sorted(gaps, key=lambda gap: gap.start_s or 0.0)),
    )
    keep_file(listener.cache_dir, digest, listener.settings, result)
    return result


def _from(start_s: float, done: Callable[[float, bool], None]) -> Callable[[float], None]:
    return lambda seconds: done(start_s + seconds, True)


def _length(info: MediaInfo, decoded: int) -> float:
    """Give the length that the next file is laid after: what was decoded; a picture may go on longer than its sound."""
    seconds = decoded / RATE
    if info.has_video and info.duration_s and info.duration_s > seconds:
        return info.duration_s
    return seconds
