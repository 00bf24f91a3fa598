"""Where something is to be heard: which of the episode's recordings, and from when to when in it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct

from benchscribe.build import MEDIA, Episode
from benchscribe.errors import BenchscribeError
from benchscribe.listen.media import probe
from benchscribe.records import Gap, SourceFile, Transcript, stamp

ASIDE_S: Final = 1.0
"""Seconds that are played before and after, so that the ear finds its way in."""
SHORTEST_S: Final = 3.0


class Clip(Struct, frozen=True, kw_only=True):
    """A stretch to be played."""

    sound: int
    """Number of the recording."""
    from_s: float
    """Seconds of the recording."""
    to_s: float


class Sound(Struct, frozen=True, kw_only=True):
    """A recording of the episode."""

    name: str
    """As the record calls the file."""
    path: Path | None
    """None where there is only a caption file or notes."""
    moves: bool = False
    """It has a moving picture."""
    offset_s: float | None
    """Running time at which it begins; None for a take of a published cut."""


def sounds_of(episode: Episode, transcript: Transcript) -> tuple[Sound, ...]:
    """Give the recordings behind the files of a record, and behind them the takes that a cut was made of.

    Captions are heard through the recording of the same name, where it is there.
    """
    known = {path.name: path for path in (*episode.sources, *([episode.cut] if episode.cut else []))}
    offsets: dict[str, float | None] = {f.name: f.offset_s for f in transcript.files}
    offsets |= {name: None for name in known if name not in offsets}
    made = []
    for name, offset in offsets.items():
        path = _recording(known.get(name))
        made.append(Sound(name=name, path=path, moves=_moves(path), offset_s=offset))
    return tuple(made)


def clip_in(file: str | None, at_s: float | None, sounds: Sequence[Sound]) -> Clip | None:
    """Give what is to be played for a moment of a take that has no running time."""
    number = next((n for n, s in enumerate(sounds) if s.name == file and s.path is not None), None)
    if number is None or at_s is None:
        return None
    return Clip(sound=number, from_s=round(max(at_s - ASIDE_S, 0.0), 2), to_s=round(at_s + 4 + ASIDE_S, 2))


def clip_of(
    start_s: float | None, end_s: float | None, transcript: Transcript, sounds: Sequence[Sound]
) -> Clip | None:
    """Give what is to be played for a stretch of running time, with a second either side; None where it cannot be heard."""
    if start_s is None or not sounds:
        return None
    file, at_s = moment(start_s, transcript.files)
    number = next((n for n, s in enumerate(sounds) if s.name == file and s.path is not None), None)
    if number is None or at_s is None:
        return None
    length = max((end_s if end_s is not None else start_s) - start_s, SHORTEST_S - 2 * ASIDE_S)
    begin = round(max(at_s - ASIDE_S, 0.0), 2)
    return Clip(sound=number, from_s=begin, to_s=round(at_s + length + ASIDE_S, 2))


def moment(start_s: float, files: Sequence[SourceFile]) -> tuple[str, float | None]:
    """Give the file of a running time, and the time in it."""
    there = stamp(Gap(kind="off-record", note="", start_s=start_s), tuple(files))
    return there.file or "", there.at_s


def _moves(path: Path | None) -> bool:
    try:
        return path is not None and probe(path).has_video
    except BenchscribeError:
        return False


def _recording(path: Path | None) -> Path | None:
    if path is None:
        return None
    if path.suffix.lower() in MEDIA:
        return path
    beside = sorted(p for p in path.parent.iterdir() if p.stem == path.stem and p.suffix.lower() in MEDIA)
    return beside[0] if beside else None
