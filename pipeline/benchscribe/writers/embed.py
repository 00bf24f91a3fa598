"""Chapters put into a copy of the published cut, where players find them. The original is never touched.

Sound and picture are copied packet by packet, nothing is coded again; names, languages, cover and turn of the picture stay. The copy is
read back before it takes its place.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from benchscribe.errors import WriteError
from benchscribe.records import EpisodeRecord
from benchscribe.writers.chapters import ChapterTime, chapter_times
from benchscribe.writers.remux import copy_with_chapters, length_of, titles_of

FORMATS: Final = MappingProxyType(
    {".mp4": "mp4", ".m4v": "mp4", ".mov": "mov", ".m4a": "mp4", ".m4b": "mp4", ".mkv": "matroska", ".mp3": "mp3", ".opus": "opus"}
)  # fmt: skip
"""File endings that hold chapters, and the container each is written as. Tried: FLAC takes none, Ogg Vorbis loses them."""

LARGE_BYTES: Final = 1_000_000_000
"""A copy of a larger cut is made only where it is asked for by name: it takes as much room again, and a while."""

_NEAR_S: Final = 0.05
"""How far a chapter may be off when read back; containers count in milliseconds or coarser."""

OnProgress = Callable[[float, float], None]
"""Called with the seconds copied and the seconds there are."""


class Embedded(Struct, frozen=True):
    """What came of putting chapters into a copy."""

    path: Path | None
    """The copy; None where there is none."""
    note: str = ""
    """Why there is none, in one sentence; empty where there is nothing to tell."""


def embed_beside(
    record: EpisodeRecord, cut: Path | None, out: Path, *, asked: bool, progress: OnProgress | None = None
) -> Embedded:
    """Write `cut-with-chapters` with the cut's own ending to the episode's folder; what cannot be is a note and no failure.

    A copy that is there already and holds these chapters is left as it is.

    Args:
        record: The episode.
        cut: The published cut; None where there is none.
        out: The episode's folder of outputs.
        asked: This output was named; a very large cut is copied only then.
        progress: Called while copying.
    """
    if cut is None or record.draft or not record.chapters:
        missing = "there is no published cut" if cut is None or record.draft else "there are no chapters"
        return Embedded(None, f"no copy with chapters: {missing}" if asked else "")
    if cut.suffix.lower() not in FORMATS:
        return Embedded(None, f"no copy with chapters: {_no_chapters(cut)}")
    target = out / f"cut-with-chapters{cut.suffix.lower()}"
    try:
        size = cut.stat().st_size
        if _is_done(record, cut, target):
            return Embedded(target)
        if size > LARGE_BYTES and not asked:
            large = f"{cut.name} is {size / 1e9:.1f} GB, so no copy with chapters was made"
            return Embedded(None, f"{large}; to have one: benchscribe write EPISODE_DIR --only embedded")
        return Embedded(embed_chapters(record, cut, target, progress=progress))
    except (WriteError, OSError) as error:
        return Embedded(None, f"no copy with chapters: {error}")


def embed_chapters(
    record: EpisodeRecord, cut: Path, target: Path, *, progress: OnProgress | None = None
) -> Path:
    """Write a copy of the published cut with the episode's chapters in it.

    Args:
        record: The episode; its times must be the cut's.
        cut: The published cut.
        target: Where the copy goes; its ending must be the cut's.
        progress: Called while copying.

    Returns:
        The target.

    Raises:
        WriteError: The record has no times of the cut, the format holds no chapters, the cut cannot be read, there is no room, or the
            copy does not hold what was put in.
    """
    chapters = chapter_times(record)
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
    kind = FORMATS.get(cut.suffix.lower())
    if kind is None or target.suffix.lower() != cut.suffix.lower():
        raise WriteError(_no_chapters(cut), where=str(cut))
    if target.exists() and cut.exists() and target.samefile(cut):
        raise WriteError("the cut itself is never written to", where=str(cut), todo="Name another file.")
    beside = target.with_name(f".{target.stem}.{os.getpid()}{target.suffix}")
    from av import FFmpegError

    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _see_room(cut, target.parent)
        marks = _complete(chapters, length_of(cut), cut)
        copy_with_chapters(cut, beside, kind, marks, progress or _silent)
        _read_back(beside, cut, marks)
        beside.replace(target)
    except (OSError, FFmpegError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise WriteError(f"chapters cannot be put into a copy ({reason})", where=str(cut)) from error
    finally:
        beside.unlink(missing_ok=True)
    return target


def _no_chapters(cut: Path) -> str:
    known = ", ".join(ending.lstrip(".") for ending in FORMATS)
    return f"a .{cut.suffix.lstrip('.').lower()} file holds no chapters; these do: {known}"


def _silent(_done_s: float, _total_s: float) -> None:
    """Show nothing."""


def _see_room(cut: Path, folder: Path) -> None:
    needed, free = cut.stat().st_size, shutil.disk_usage(folder)[2]
    if free < needed * 1.02:
        raise WriteError(
            f"there is no room for a copy: it takes {needed / 1e9:.1f} GB, and {free / 1e9:.1f} GB are free",
            where=str(folder),
        )


def _complete(
    chapters: Sequence[ChapterTime], length_s: float | None, cut: Path
) -> tuple[tuple[float, float, str], ...]:
    """Give every chapter an end, as containers want one; none goes on past the end of the file."""
    if length_s is not None and chapters[-1].start_s >= length_s:
        raise WriteError(
            f"the last chapter begins at {chapters[-1].start_s:.0f} s, after the end of this file at {length_s:.0f} s",
            where=str(cut),
            todo="Is it another cut? Write the episode again.",
        )
    made = []
    for chapter in chapters:
        end = chapter.end_s if chapter.end_s is not None else length_s or chapter.start_s + 1.0
        made.append((chapter.start_s, end if length_s is None else min(end, length_s), chapter.title))
    return tuple(made)


def _read_back(beside: Path, cut: Path, marks: Sequence[tuple[float, float, str]]) -> None:
    """See that the copy is as long as the cut and holds the chapters that were put in."""
    whole, copied = length_of(cut), length_of(beside)
    if not _same(titles_of(beside), marks):
        raise WriteError(
            f"the copy does not hold the {len(marks)} chapters that were put in",
            where=beside.name,
            todo="The copy was thrown away.",
        )
    if whole is not None and (copied is None or copied < whole - 1.0):
        raise WriteError(
            "the copy came out shorter than the cut", where=beside.name, todo="The copy was thrown away."
        )


def _same(found: Sequence[tuple[float, str]], marks: Sequence[tuple[float, float, str]]) -> bool:
    return len(found) == len(marks) and all(
        title == wanted and abs(start - at) <= _NEAR_S
        for (start, title), (at, _, wanted) in zip(found, marks, strict=True)
    )


def _is_done(record: EpisodeRecord, cut: Path, target: Path) -> bool:
    """Tell whether an earlier copy of this very cut holds these chapters."""
    if not target.is_file() or target.stat().st_mtime < cut.stat().st_mtime:
        return False
    from av import FFmpegError

    try:
        whole, copied = length_of(cut), length_of(target)
        same_length = (whole is None) == (copied is None) and abs((whole or 0.0) - (copied or 0.0)) <= 1.0
        return same_length and _same(
            titles_of(target), [(c.start_s, 0.0, c.title) for c in chapter_times(record)]
        )
    except (OSError, FFmpegError, ValueError):
        return False
