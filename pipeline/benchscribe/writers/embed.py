"""Chapters put into a copy of the published cut, where players find them. The original is never touched."""

from __future__ import annotations

import os
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from benchscribe.errors import WriteError
from benchscribe.records import EpisodeRecord
from benchscribe.writers.chapters import ChapterTime, chapter_times

if TYPE_CHECKING:
    from av.container import InputContainer, OutputContainer

FORMATS: Final = MappingProxyType(
    {".mp4": "mp4", ".m4v": "mp4", ".mov": "mov", ".m4a": "ipod", ".m4b": "ipod", ".mkv": "matroska", ".mp3": "mp3", ".opus": "opus"}
)  # fmt: skip
"""File endings that hold chapters, and the container each is written as. Tried: FLAC takes none, Ogg Vorbis loses them."""

_COPIED: Final = frozenset({"audio", "video", "subtitle"})
_NEAR_S: Final = 0.05
"""How far a chapter may be off when read back; containers count in milliseconds or coarser."""


def embed_chapters(record: EpisodeRecord, cut: Path, target: Path) -> Path:
    """Write a copy of the published cut with the episode's chapters in it.

    Sound and picture are copied as they are, nothing is coded again. The copy is read back before it takes its place.

    Args:
        record: The episode; its times must be the cut's.
        cut: The published cut.
        target: Where the copy goes; its ending must be the cut's.

    Returns:
        The target.

    Raises:
        WriteError: The record has no times of the cut, the format holds no chapters, the cut cannot be read, or the copy does not hold
            what was put in.
    """
    chapters = _complete(chapter_times(record))
    kind = FORMATS.get(cut.suffix.lower())
    if record.draft or not chapters:
        raise WriteError(
            "there are no chapters in the time of the published cut"
            if chapters
            else "there are no chapters with times",
            where=str(cut),
            todo="Put the finished video into the episode folder as cut.* and write again."
            if chapters
            else "",
        )
    if kind is None or target.suffix.lower() != cut.suffix.lower():
        known = ", ".join(ending.lstrip(".") for ending in FORMATS)
        raise WriteError("this format holds no chapters", where=str(cut), todo=f"These do: {known}.")
    if target.exists() and cut.exists() and target.samefile(cut):
        raise WriteError("the cut itself is never written to", where=str(cut), todo="Name another file.")
    if kind == "opus":
        chapters = tuple((_for_ogg(start), end, title) for start, end, title in chapters)
    beside = target.with_name(f".{target.stem}.{os.getpid()}{target.suffix}")
    from av import FFmpegError

    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _copy(cut, beside, kind, chapters)
        _read_back(beside, chapters)
        beside.replace(target)
    except (OSError, FFmpegError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise WriteError(f"chapters cannot be put into a copy ({reason})", where=str(cut)) from error
    finally:
        beside.unlink(missing_ok=True)
    return target


def _complete(chapters: Sequence[ChapterTime]) -> tuple[tuple[float, float, str], ...]:
    """Give every chapter an end, as containers want one; a last one of unknown length gets a second."""
    return tuple((c.start_s, c.end_s if c.end_s is not None else c.start_s + 1.0, c.title) for c in chapters)


def _for_ogg(start_s: float) -> float:
    """Give the nearest earlier start that survives in Ogg.

    The muxer writes seconds rounded and thousandths beside them, so that 11.72 comes back as 12.72 (found by reading back). Below half
    a second nothing is rounded up.
    """
    whole, part = divmod(start_s, 1.0)
    return whole + min(part, 0.499)


def _copy(cut: Path, beside: Path, kind: str, chapters: Sequence[tuple[float, float, str]]) -> None:
    import av

    with av.open(str(cut)) as source, av.open(str(beside), "w", format=kind) as copy:
        copy.metadata.update(source.metadata)
        copy.set_chapters(
            [
                {
                    "id": number,
                    "start": round(start * 1000),
                    "end": round(end * 1000),
                    "time_base": Fraction(1, 1000),
                    "metadata": {"title": title},
                }
                for number, (start, end, title) in enumerate(chapters, 1)
            ]
        )
        _copy_streams(source, copy)


def _copy_streams(source: InputContainer, copy: OutputContainer) -> None:
    streams: dict[int, Any] = {
        stream.index: copy.add_stream_from_template(stream)
        for stream in source.streams
        if stream.type in _COPIED
    }
    for packet in source.demux(*(source.streams[i] for i in streams)):
        if packet.dts is not None and packet.size:
            packet.stream = streams[packet.stream.index]
            copy.mux(packet)


def _read_back(beside: Path, chapters: Sequence[tuple[float, float, str]]) -> None:
    import av

    with av.open(str(beside)) as copy:
        found = [
            (float(c["start"] * (c["time_base"] or 1)), c["metadata"].get("title", ""))
            for c in copy.chapters()
        ]
    same = len(found) == len(chapters) and all(
        title == wanted and abs(start - at) <= _NEAR_S
        for (start, title), (at, _, wanted) in zip(found, chapters, strict=True)
    )
    if not same:
        raise WriteError(
            f"the copy holds {len(found)} chapters otherwise than the {len(chapters)} put in",
            where=str(beside.name),
            todo="The copy was thrown away.",
        )
