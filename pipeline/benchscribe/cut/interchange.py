"""Editors' files by way of OpenTimelineIO (open timeline interchange): markers out, an edit list in as the map.

The library is optional; it is loaded only here and only when asked for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import unquote, urlparse

from msgspec import Struct

from benchscribe.cut.clips import Clip, map_by_clips
from benchscribe.cut.cutmap import CutMap
from benchscribe.cut.markers import editor_markers
from benchscribe.errors import BuildError
from benchscribe.records import EpisodeRecord, SourceFile, Transcript

if TYPE_CHECKING:
    from collections.abc import Iterator

_LIBRARY: Final = "opentimelineio"
_RATE: Final = 1000.0
"""Units a second in what is written: milliseconds, which every frame rate can be read from."""
_COLOURS: Final = {
    "keep": "GREEN",
    "check": "ORANGE",
    "cut": "RED",
    "still": "BLUE",
    "overlay": "CYAN",
    "seen": "PURPLE",
}
_SHORTEST_S: Final = 0.05
"""Less than a frame and a half is no clip."""


def markers_otio(record: EpisodeRecord) -> bytes:
    """Write the markers of a record of takes as an OpenTimelineIO timeline: a clip for each take, its markers in the take's own time.

    Raises:
        BuildError: OpenTimelineIO is not installed.
    """
    otio = _library()
    timeline = otio.schema.Timeline(name=record.info.title or "takes")
    track = otio.schema.Track(name="takes", kind=otio.schema.TrackKind.Video)
    timeline.tracks.append(track)
    markers = editor_markers(record)
    for file in record.transcript.files:
        mine = [m for m in markers if m.file == file.name]
        length = max([file.duration_s or 0.0, *(m.end_s for m in mine)])
        whole = _range(otio, 0.0, length)
        media = otio.schema.ExternalReference(target_url=file.name, available_range=whole)
        clip = otio.schema.Clip(name=file.name, media_reference=media, source_range=whole)
        for m in mine:
            clip.markers.append(
                otio.schema.Marker(
                    name=m.text,
                    marked_range=_range(otio, m.at_s, m.end_s - m.at_s),
                    color=_COLOURS[m.kind],
                    metadata={"benchscribe": {"kind": m.kind, "note": "draft: times are of the takes"}},
                )
            )
        track.append(clip)
    return bytes(otio.adapters.write_to_string(timeline, "otio_json"), "utf-8")


def map_by_edit_list(path: Path, cut: Transcript, takes: Transcript) -> CutMap:
    """Make the map between a cut and its takes from the editor's edit list.

    Sound tracks come before pictures, and lower tracks before higher ones: what is above fills only what is below. Gaps and clips of
    other files are inserts; so are freeze frames and what runs backwards. A crossfade belongs to the two clips that it joins.

    Args:
        path: OpenTimelineIO JSON.
        cut: What is said in the published cut.
        takes: What is said in the takes; its files' names are looked for in the list.

    Raises:
        BuildError: OpenTimelineIO is not installed, the file is no timeline, it cannot be followed, or it has no clip of these takes.
    """
    otio = _library()
    files = {file.name.casefold(): file for file in takes.files}
    files |= {PurePath(name).stem: file for name, file in files.items()}
    clips: list[Clip] = []
    for tracks in _tracks(otio, path):
        for track in tracks:
            clips = _filled(clips, _clips_of(otio, path, track, files))
        if clips:
            break
    if not clips:
        raise BuildError(
            "this edit list has no clip of the takes",
            where=str(path),
            todo=f"The takes are: {', '.join(file.name for file in takes.files)}.",
        )
    return map_by_clips(clips, cut, takes)


def interchange_is_there() -> bool:
    """Tell whether OpenTimelineIO is installed."""
    return find_spec(_LIBRARY) is not None


def _filled(clips: Sequence[Clip], others: Sequence[Clip]) -> list[Clip]:
    """Add clips where there is none yet."""
    out = sorted(clips, key=lambda clip: clip.begin_s)
    for other in others:
        at = other.begin_s
        for clip in [c for c in out if c.begin_s < other.end_s and c.end_s > other.begin_s]:
            if clip.begin_s - at > _SHORTEST_S:
                out.append(other.between(at, clip.begin_s))
            at = max(at, clip.end_s)
        if other.end_s - at > _SHORTEST_S:
            out.append(other.between(at, other.end_s))
        out.sort(key=lambda clip: clip.begin_s)
    return out


def _tracks(otio: Any, path: Path) -> Iterator[Sequence[Any]]:  # noqa: ANN401 - the library has no types
    """Give the sound tracks, then the picture tracks, each from the lowest up."""
    where = str(path)
    try:
        timeline = otio.adapters.read_from_string(path.read_text(encoding="utf-8"), "otio_json")
    except Exception as error:  # the library raises many kinds, some of them bare
        raise BuildError(
            "this is no edit list that can be read",
            where=where,
            todo="Export the edit as OpenTimelineIO JSON (.otio).",
        ) from error
    if not isinstance(timeline, otio.schema.Timeline):
        raise BuildError("this file holds no timeline", where=where, todo="Export the whole timeline.")
    yield timeline.audio_tracks()
    yield timeline.video_tracks()


def _clips_of(otio: Any, path: Path, track: Any, files: Mapping[str, SourceFile]) -> list[Clip]:  # noqa: ANN401 - as above
    try:
        whole = track.trimmed_range()
        shown = list(_shown(otio, track, 0.0, _seconds(whole)))
        clips = [_clip(otio, item, place, files) for item, place in shown]
    except BuildError as error:
        raise BuildError(error.what, where=str(path), todo=error.todo) from error
    except Exception as error:  # as above: a clip without a length, above all
        raise BuildError(
            f"the lengths in this edit list cannot be worked out ({error})",
            where=str(path),
            todo="Export it again with the media online.",
        ) from error
    return [clip for clip in clips if clip is not None]


class _Place(Struct, frozen=True):
    """Where an item is shown in the cut, and the part of it that is, in seconds of its own time."""

    begin_s: float
    from_s: float
    to_s: float


def _shown(otio: Any, item: Any, begin_s: float, used: tuple[float, float]) -> Iterator[tuple[Any, _Place]]:  # noqa: ANN401 - as above
    """Give every clip in an item, however deep in tracks and stacks it lies, with the part of it that is shown."""
    if not getattr(item, "enabled", True):
        return
    if isinstance(item, otio.schema.Clip):
        yield item, _Place(begin_s, *used)
        return
    if not isinstance(item, otio.core.Composition):
        return
    if item.effects and _speed(otio, item) != 1:
        raise BuildError(
            f'the edit list changes the speed of a whole sequence ("{item.name}")',
            todo="Change the speed of its clips instead, or leave cut.otio out: the words tell as well.",
        )
    for child in item:
        if isinstance(child, otio.schema.Transition):
            continue
        low, high = _seconds(item.range_of_child(child))
        first, last = max(low, used[0]), min(high, used[1])
        if last > first:
            start = child.trimmed_range().start_time.to_seconds()
            inner = (start + first - low, start + last - low)
            yield from _shown(otio, child, begin_s + first - used[0], inner)


def _clip(
    otio: Any,  # noqa: ANN401 - as above
    clip: Any,  # noqa: ANN401 - as above
    place: _Place,
    files: Mapping[str, SourceFile],
) -> Clip | None:
    """Give a clip of a take; None for one of another file, for a freeze frame, and for what runs backwards."""
    # The active medium may be a small copy under another name: any of the clip's media may be the take.
    media = [clip.media_reference, *clip.media_references().values()]
    known = [(m, file) for m in media if (file := _file_of(m, clip, files)) is not None]
    speed = _speed(otio, clip)
    if not known or speed <= 0:
        return None
    medium, file = known[0]
    available = getattr(medium, "available_range", None)
    # Cameras count from a time of day; what is wanted is the time from the start of the file.
    zero = available.start_time.to_seconds() if available is not None else 0.0
    start = clip.trimmed_range().start_time.to_seconds()
    at_s = start - zero + (place.from_s - start) * speed
    if file.duration_s is not None and not -1 <= at_s < file.duration_s + 1:
        raise BuildError(
            f"the edit list uses {file.name} from {at_s:.0f} s on, and the take is {file.duration_s:.0f} s long",
            todo="Export it with the media online, so that it says where each file begins.",
        )
    length = place.to_s - place.from_s
    return Clip(
        begin_s=place.begin_s,
        end_s=place.begin_s + length,
        take_s=file.offset_s + max(0.0, at_s),
        file=file,
        by="edit list",
        speed=speed,
    )


def _file_of(medium: Any, clip: Any, files: Mapping[str, SourceFile]) -> SourceFile | None:  # noqa: ANN401 - as above
    url = getattr(medium, "target_url", "") or clip.name or ""
    name = PurePath(unquote(urlparse(url).path) or url).name.casefold()
    return files.get(name) or files.get(PurePath(name).stem)


def _speed(otio: Any, item: Any) -> float:  # noqa: ANN401 - as above
    """Give how many seconds of its own time an item shows in a second."""
    speed = 1.0
    for effect in item.effects:
        if isinstance(effect, otio.schema.LinearTimeWarp):
            speed *= float(effect.time_scalar)
        elif isinstance(effect, otio.schema.TimeEffect):
            raise BuildError(
                f'the edit list changes the speed of "{item.name}" in a way that cannot be followed ({type(effect).__name__})',
                todo="Leave cut.otio out: the words tell as well.",
            )
    return speed


def _seconds(span: Any) -> tuple[float, float]:  # noqa: ANN401 - as above
    begin = span.start_time.to_seconds()
    return begin, begin + span.duration.to_seconds()


def _range(otio: Any, start_s: float, length_s: float) -> Any:  # noqa: ANN401 - as above
    return otio.opentime.TimeRange(
        otio.opentime.RationalTime(round(start_s * _RATE), _RATE),
        otio.opentime.RationalTime(round(length_s * _RATE), _RATE),
    )


def _library() -> Any:  # noqa: ANN401 - as above
    try:
        return import_module(_LIBRARY)
    except ImportError as error:
        raise BuildError(
            "OpenTimelineIO is not installed", todo="Install it with: pip install opentimelineio"
        ) from error
