"""One recording: decoded, cut into pieces, each piece heard or taken from what was heard before, and put together again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct, structs

from benchscribe.listen.clean import clean, move
from benchscribe.listen.decode import RATE, Decoder, Samples
from benchscribe.listen.journal import (
    HeardFile,
    file_digest,
    heard_beside,
    keep_beside,
    keep_file,
    keep_piece,
    load_file,
    load_piece,
    piece_key,
)
from benchscribe.listen.media import MediaInfo, probe
from benchscribe.listen.phrases import Heard
from benchscribe.listen.pieces import Piece, cut_pieces
from benchscribe.listen.recognise import Recogniser
from benchscribe.listen.reuse import (
    Earlier,
    Source,
    Stretch,
    find_sources,
    known_stretches,
    unknown_stretches,
)
from benchscribe.listen.sounds import known_sound, sound_of
from benchscribe.listen.windows import Span, find_speech
from benchscribe.records import Gap, Word
from benchscribe.sound import FRAMES_PER_S, find_claps

_EARLIER_S: Final = 8 * 3600
"""Seconds of earlier recordings that are searched: a second of sound takes some 70 KB while it is."""


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
    heard = load_file(listener.cache_dir, digest, listener.settings)
    if heard is not None and digest not in heard_beside(listener.cache_dir, path.parent):
        keep_beside(listener.cache_dir, path.parent, digest)
    return digest, heard


def hear_recording(
    path: Path, digest: str, listener: Listener, done: Callable[[float, bool], None]
) -> HeardFile:
    """Listen to one recording, less what sounds the same as something that was heard in its folder before.

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
    sound = sound_of(path, listener.cache_dir)
    sources = find_sources(sound, _earlier(path, digest, listener))
    decoder = Decoder(path)
    words: list[Word] = []
    gaps: list[Gap] = []
    for piece in cut_pieces(decoder.blocks()):
        start_s = piece.start / RATE
        known, unknown = _parts(piece, sources)
        words.extend(word for stretch in known for word in stretch.words)
        for part in unknown:
            done(part.start_s, False)
            cleaned = move(
                clean(_heard(_samples(piece, part), listener, _from(part.start_s, done))), part.start_s
            )
            words.extend(cleaned.words)
            gaps.extend(cleaned.gaps)
        done(start_s + piece.samples.size / RATE, False)
    gaps.extend(decoder.gaps)
    result = HeardFile(
        info=info,
        length_s=round(_length(info, decoder.length), 3),
        words=tuple(sorted(words, key=lambda word: word.start_s or 0.0) if sources else words),
        gaps=tuple(sorted(gaps, key=lambda gap: gap.start_s or 0.0)),
        claps=find_claps(sound),
    )
    keep_file(listener.cache_dir, digest, listener.settings, result)
    keep_beside(listener.cache_dir, path.parent, digest)
    return result


def _earlier(path: Path, digest: str, listener: Listener) -> list[Earlier]:
    """Give what was heard in the recording's folder before, with the same model and settings; of very much, the newest."""
    out: list[Earlier] = []
    room = _EARLIER_S * FRAMES_PER_S
    for other in reversed(heard_beside(listener.cache_dir, path.parent)):
        heard = load_file(listener.cache_dir, other, listener.settings) if other != digest else None
        sound = known_sound(other, listener.cache_dir) if heard is not None else None
        if heard is not None and sound is not None and len(sound) <= room:
            out.append(Earlier(heard, sound))
            room -= len(sound)
    return out


def _parts(piece: Piece, sources: Sequence[Source]) -> tuple[tuple[Stretch, ...], tuple[Span, ...]]:
    """Part a piece into stretches whose words are known, and those that must be listened to, in the recording's time."""
    start_s, end_s = piece.start / RATE, (piece.start + piece.samples.size) / RATE
    here = [
        structs.replace(source, from_s=max(source.from_s, start_s), to_s=min(source.to_s, end_s))
        for source in sources
        if source.from_s < end_s and source.to_s > start_s
    ]
    if not here:
        return (), (Span(start_s, end_s),)
    speech = [Span(start_s + s.start_s, start_s + s.end_s) for s in find_speech(piece.samples)]
    known = known_stretches(speech, here)
    return known, tuple(unknown_stretches(speech, known, (start_s, end_s)))


def _samples(piece: Piece, part: Span) -> Samples:
    first = max(0, round(part.start_s * RATE) - piece.start)
    return piece.samples[first : round(part.end_s * RATE) - piece.start]


def _heard(samples: Samples, listener: Listener, done: Callable[[float, bool], None]) -> Heard:
    """Listen to one piece, or give what was heard in it before."""
    key = piece_key(samples, listener.settings)
    heard = load_piece(listener.cache_dir, key)
    if heard is None:
        heard = listener.recogniser().hear(samples, lambda seconds: done(seconds, True))
        keep_piece(listener.cache_dir, key, heard)
        done(samples.size / RATE, True)
    return heard


def _from(start_s: float, done: Callable[[float, bool], None]) -> Callable[[float, bool], None]:
    return lambda seconds, fresh: done(start_s + seconds, fresh)


def _length(info: MediaInfo, decoded: int) -> float:
    """Give the length that the next file is laid after: what was decoded; a picture may go on longer than its sound."""
    seconds = decoded / RATE
    if info.has_video and info.duration_s and info.duration_s > seconds:
        return info.duration_s
    return seconds
