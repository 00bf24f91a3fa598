"""Editors' files by way of OpenTimelineIO (open timeline interchange): markers out, an edit list in as the map.

The library is optional; it is loaded only here and only when asked for.
"""

from __future__ import annotations

from bisect import bisect_left
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any, Final
from urllib.parse import unquote, urlparse

from benchscribe.cut.cutmap import CutMap, Piece
from benchscribe.cut.markers import editor_markers
from benchscribe.cut.words import alike, plain_words
from benchscribe.errors import BuildError
from benchscribe.records import EpisodeRecord, Transcript

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
_NEAR_S: Final = 0.5
"""Seconds within which a word of the cut and a word of the take are the same word, where the edit list says how they lie."""


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

    The first track that has clips of the takes is the cut; what it has between them, and clips of other files, are inserts.

    Args:
        path: OpenTimelineIO JSON.
        cut: What is said in the published cut.
        takes: What is said in the takes; its files' names are looked for in the list.

    Raises:
        BuildError: OpenTimelineIO is not installed, the file is no timeline, or it has no clip of these takes.
    """
    offsets = {file.name.casefold(): (file.name, file.offset_s) for file in takes.files}
    offsets |= {
        PurePath(name).stem: known for name, known in list(offsets.items()) if name.rpartition(".")[0]
    }
    clips: list[tuple[float, float, float, str, float]] = []
    for track in _tracks(_library(), path):
        clips = [
            (begin, end, known[1] + at, known[0], at)
            for begin, end, name, at in _clips(track)
            if (known := offsets.get(name) or offsets.get(PurePath(name).stem))
        ]
        if clips:
            break
    if not clips:
        raise BuildError(
            "this edit list has no clip of the takes",
            where=str(path),
            todo=f"The takes are: {', '.join(file.name for file in takes.files)}.",
        )
    return _mapped(clips, cut, takes)


def interchange_is_there() -> bool:
    """Tell whether OpenTimelineIO is installed."""
    return find_spec(_LIBRARY) is not None


def _mapped(
    clips: list[tuple[float, float, float, str, float]], cut: Transcript, takes: Transcript
) -> CutMap:
    """Give each word of the cut the clip that it lies in, and there the word of the take that lies nearest."""
    ours, theirs = plain_words(cut), plain_words(takes)
    dated = [(w.start_s, i) for i, w in enumerate(takes.words) if w.start_s is not None]
    inside: list[int | None] = [None] * len(cut.words)
    take_words: list[int | None] = [None] * len(cut.words)
    pieces: list[Piece] = []
    current: tuple[int, list[int]] = (-1, [])
    for index, word in enumerate(cut.words):
        if word.start_s is None:
            continue
        home = next((n for n, (a, b, *_) in enumerate(clips) if a - 0.05 <= word.start_s < b), len(clips))
        if home != current[0] and current[1]:
            pieces.append(_piece(clips, current, cut, take_words))
        if home != current[0]:
            current = (home, [])
        current[1].append(index)
        inside[index] = len(pieces)
        if home < len(clips):
            at = clips[home][2] + word.start_s - clips[home][0]
            take_words[index] = _nearest(dated, at, ours[index], theirs)
    if current[1]:
        pieces.append(_piece(clips, current, cut, take_words))
    return CutMap(tuple(pieces), tuple(take_words), tuple(inside))


def _piece(
    clips: list[tuple[float, float, float, str, float]],
    current: tuple[int, list[int]],
    cut: Transcript,
    take_words: list[int | None],
) -> Piece:
    home, words = current
    first, last = cut.words[words[0]], cut.words[words[-1]]
    begin, end = first.start_s or 0.0, last.end_s or last.start_s or 0.0
    span = (words[0], words[-1] + 1)
    if home == len(clips):
        return Piece(cut_span=span, cut_from_s=begin, cut_to_s=end, confidence=1.0)
    clip_from, _, take_from, name, at = clips[home]
    lag = take_from - clip_from
    known = [w for i in words if (w := take_words[i]) is not None]
    return Piece(
        cut_span=span,
        cut_from_s=begin,
        cut_to_s=end,
        take_span=(min(known), max(known) + 1) if known else (0, 0),
        take_from_s=round(begin + lag, 3),
        take_to_s=round(end + lag, 3),
        file=name,
        at_s=round(at + begin - clip_from, 3),
        confidence=round(len(known) / len(words), 3),
        knots=(
            (begin, round(begin + lag, 3)),
            (max(end, begin + 0.001), round(max(end, begin + 0.001) + lag, 3)),
        ),
    )


def _nearest(dated: list[tuple[float, int]], at_s: float, key: str, keys: tuple[str, ...]) -> int | None:
    """Give the word of the take that is the same word and lies nearest to where the edit list puts it."""
    middle = bisect_left(dated, (at_s, 0))
    best: tuple[float, int] | None = None
    for start, index in dated[max(0, middle - 6) : middle + 6]:
        away = abs(start - at_s)
        if away <= _NEAR_S and key and alike(keys[index], key) and (best is None or away < best[0]):
            best = (away, index)
    return best[1] if best else None


def _tracks(otio: Any, path: Path) -> Iterator[Any]:  # noqa: ANN401 - the library has no types
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
    yield from (*timeline.audio_tracks(), *timeline.video_tracks())


def _clips(track: Any) -> Iterator[tuple[float, float, str, float]]:  # noqa: ANN401 - as above
    """Give each clip's place in the track, the name of its file, and where in the file it begins, all in seconds."""
    for clip in track.find_clips():
        there, used = clip.range_in_parent(), clip.trimmed_range()
        media = clip.media_reference
        url = getattr(media, "target_url", "") or clip.name or ""
        name = PurePath(unquote(urlparse(url).path) or url).name.casefold()
        available = getattr(media, "available_range", None)
        # Cameras count from a time of day; what is wanted is the time from the start of the file.
        zero = available.start_time.to_seconds() if available is not None else 0.0
        begin = there.start_time.to_seconds()
        yield begin, begin + there.duration.to_seconds(), name, used.start_time.to_seconds() - zero


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
