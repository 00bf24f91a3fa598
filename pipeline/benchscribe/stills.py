"""A still picture for each step that is on video: the sharpest frame near the moment at which it is shown, beside the record."""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Final

from msgspec import structs

from benchscribe.build import MEDIA
from benchscribe.errors import MediaError
from benchscribe.listen import Progress
from benchscribe.records import NO_STILL, EpisodeRecord, Step
from benchscribe.writers.files import write_whole

LEAD_S: Final = 0.4
"""The hand moves after the word: the first frames of a step still show what was before."""
WINDOW_S: Final = 4.0
"""How long after that a frame may be taken from."""
PICK_S: Final = 1.5
"""How long the stretch is that each picture to choose from is the sharpest of."""
_AWAY_S: Final = (-1.5, 0.5, 2.5, 5.0, 8.0)
"""Seconds from a step's moment at which those stretches begin."""
_PICKED: Final = re.compile(r"-(\d{5,})-(\d)\.jpg$")


def still_name(step: Step) -> str:
    """Name a step's picture by the file and the second it is of, so that a new run finds it again; empty where there is no time.

    >>> still_name(Step(part=None, operation="rip", text="", span=(0, 1), file="take-2.mp4", at_s=75.25))
    'still-take-2-00075.jpg'
    """
    if step.file is None or step.at_s is None:
        return ""
    stem = Path(step.file).stem
    home = re.sub(r"[^a-z0-9]+", "-", stem.lower()).strip("-")
    if home != stem:  # two takes may differ only in what is left out here
        home = f"{home or 'take'}-{zlib.crc32(step.file.encode()):08x}"
    return f"still-{home}-{int(max(step.at_s, 0)):05d}.jpg"


def with_stills(record: EpisodeRecord, out: Path) -> EpisodeRecord:
    """Give each step the name of its picture, where that is there.

    Args:
        record: The whole result for one episode.
        out: Folder of the record.
    """
    there = {path.name for path in out.glob("still-*.jpg") if path.is_file()} if out.is_dir() else set()
    steps = tuple(
        step
        if step.still == NO_STILL
        else structs.replace(step, still=name if (name := _wanted(step)) in there else "")
        for step in record.steps
    )
    return structs.replace(record, steps=steps) if steps != record.steps else record


def take_stills(
    record: EpisodeRecord,
    recordings: Sequence[Path],
    out: Path,
    *,
    progress: Callable[[Progress], None] | None = None,
) -> tuple[Path, ...]:
    """Take the pictures that are not there yet.

    A video that cannot be decoded has no pictures; that is no error, for nothing but the pictures hangs on them.

    Args:
        record: The whole result for one episode.
        recordings: The takes and the published cut, as files.
        out: Folder of the record.
        progress: Called before each picture.

    Returns:
        The pictures that were taken.

    Raises:
        WriteError: The folder cannot be written to.
    """
    films = [p for p in recordings if p.suffix.lower() in MEDIA and p.is_file()]
    # Captions are shown by the recording of the same name that they stand in for.
    homes: Mapping[str, Path] = {
        name: path for path in reversed(films) for name in (path.name, f"{path.stem}.vtt", f"{path.stem}.srt")
    }
    wanted = {
        name: step
        for step in reversed(record.steps)
        if (name := _wanted(step)) and step.file in homes and not (out / name).exists()
    }
    taken: list[Path] = []
    blind: set[str] = set()
    for number, (name, step) in enumerate(sorted(wanted.items())):
        if step.file is None or step.at_s is None or step.file in blind:
            continue
        if progress is not None:
            progress(
                Progress(
                    file=step.file,
                    done_s=number,
                    total_s=len(wanted),
                    message="Taking a picture of each step",
                )
            )
        picked = _PICKED.search(name)
        begin_s = int(picked[1]) + int(picked[2]) / 10 if picked else step.at_s + LEAD_S
        picture = picture_at(homes[step.file], begin_s, PICK_S if picked else WINDOW_S)
        if picture is None:
            if not taken:
                blind.add(step.file)
            continue
        write_whole(out / name, picture)
        taken.append(out / name)
    return tuple(taken)


def candidate_times(step: Step) -> tuple[float, ...]:
    """Give the times, in the step's file, at which pictures to choose from begin."""
    if step.at_s is None:
        return ()
    times = [round(max(step.at_s + away, 0.0), 1) for away in _AWAY_S]
    return tuple(dict.fromkeys(times))


def picture_at(path: Path, begin_s: float, window_s: float = PICK_S) -> bytes | None:
    """Give the sharpest picture of a short stretch as a JPEG; None where there is none."""
    from benchscribe.listen.pictures import sharpest_frame

    try:
        return sharpest_frame(path, begin_s, window_s)
    except MediaError:
        return None


def _wanted(step: Step) -> str:
    """Name the picture that a step wants: the one that the maker picked, else the one near its moment."""
    if step.still == NO_STILL:
        return ""
    return step.still if _PICKED.search(step.still) else still_name(step)
