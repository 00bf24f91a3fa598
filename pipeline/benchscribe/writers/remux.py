"""One media file copied into another with chapters, by PyAV: streams as they are, with their names, languages, cover and turn."""

from __future__ import annotations

import base64
import struct
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from benchscribe.writers.text import stamp

if TYPE_CHECKING:
    from av.container import InputContainer, OutputContainer

_COPIED: Final = frozenset({"audio", "video", "subtitle"})
_MICROSECONDS: Final = 1_000_000
_SHOWN_EVERY_S: Final = 1.0
_FRONT_COVER: Final = 3
_OWN_TAGS: Final = frozenset({"encoder", "duration", "handler_name", "vendor_id"})
"""What a container writes of itself; carried over it would be a lie, or stand there twice."""

Mark = tuple[float, float, str]
"""Start, end and title of a chapter, in seconds."""


def length_of(path: Path) -> float | None:
    """Give the seconds that a media file lasts, by its sound and picture; None where it does not say."""
    import av

    with av.open(str(path)) as media:
        ends = [
            float(s.duration * s.time_base)
            for s in media.streams
            if s.type in ("audio", "video") and s.duration and s.time_base and not _is_cover(s)
        ]
        if ends:
            return max(ends)
        return media.duration / _MICROSECONDS if media.duration else None


def titles_of(path: Path) -> tuple[tuple[float, str], ...]:
    """Give the chapters of a media file: start in seconds, and title."""
    import av

    with av.open(str(path)) as media:
        return tuple(
            (float(c["start"] * (c["time_base"] or 1)), c["metadata"].get("title", ""))
            for c in media.chapters()
        )


def copy_with_chapters(
    cut: Path, beside: Path, kind: str, marks: Sequence[Mark], progress: Callable[[float, float], None]
) -> None:
    """Copy a media file with chapters in place of any that it has.

    Args:
        cut: What is copied.
        beside: Where to.
        kind: The container's name, as FFmpeg knows it.
        marks: The chapters, ascending, the first at 0.
        progress: Called with the seconds copied and the seconds there are.
    """
    import av

    options = _options(cut, kind)
    with av.open(str(cut)) as source, av.open(str(beside), "w", format=kind, options=options) as copy:
        copy.metadata.update(_tags(source.metadata))
        if kind == "opus":
            pictures = _pictures(source)
            stream = _added(source, copy)[source.streams.audio[0].index]
            stream.metadata.update(_tags(source.metadata) | _opus_chapters(marks) | pictures)
            streams = {source.streams.audio[0].index: stream}
        else:
            copy.set_chapters([_chapter(number, mark) for number, mark in enumerate(marks, 1)])
            streams = _added(source, copy)
        _copy_packets(source, copy, streams, progress)


def _options(cut: Path, kind: str) -> dict[str, str]:
    """Keep what a player sees of the file as a whole: the brand of an audio book, and the index in front where it is in front."""
    options = {"brand": "M4A "} if cut.suffix.lower() in (".m4a", ".m4b") else {}
    if kind in ("mp4", "mov") and _index_in_front(cut):
        options["movflags"] = "+faststart"
    return options


def _index_in_front(cut: Path) -> bool:
    """Tell whether the index ("moov") stands before the data ("mdat"), so that playing can begin before all is there (ISO/IEC 14496-12)."""
    with cut.open("rb") as file:
        while len(head := file.read(8)) == 8:
            size, name = struct.unpack(">I4s", head)
            if name in (b"moov", b"mdat"):
                return bool(name == b"moov")
            if size == 1:
                size = struct.unpack(">Q", file.read(8).rjust(8, b"\0"))[0] - 8
            if size < 8:
                return False
            file.seek(size - 8, 1)
    return False


def _chapter(number: int, mark: Mark) -> Any:  # noqa: ANN401 -- PyAV's own kind, which it checks
    start, end, title = mark
    return {
        "id": number,
        "start": round(start * 1000),
        "end": round(end * 1000),
        "time_base": Fraction(1, 1000),
        "metadata": {"title": title},
    }


def _opus_chapters(marks: Sequence[Mark]) -> dict[str, str]:
    """Write chapters as comments of an Ogg stream ("CHAPTER001=00:00:11.720", "CHAPTER001NAME=...").

    The muxer would do it too, but rounds the seconds and puts the thousandths beside them: 11.72 comes back as 12.72.
    """
    tags = {}
    for number, (start, _, title) in enumerate(marks):
        tags[f"CHAPTER{number:03}"] = stamp(start)
        tags[f"CHAPTER{number:03}NAME"] = title
    return tags


def _tags(found: Mapping[str, str]) -> dict[str, str]:
    """Give the tags that are the maker's own."""
    return {
        name: text
        for name, text in found.items()
        if name.casefold() not in _OWN_TAGS and not name.casefold().startswith(("chapter0", "chapter1"))
    }


def _is_cover(stream: Any) -> bool:  # noqa: ANN401 -- PyAV has no common public type for streams
    from av.stream import Disposition

    return bool(stream.disposition & Disposition.attached_pic)


def _pictures(source: InputContainer) -> dict[str, str]:
    """Write the cover as a comment of an Ogg stream: the picture block of FLAC (RFC 9639, 8.8) in base 64."""
    for stream in source.streams.video:
        if not _is_cover(stream):
            continue
        data = next((bytes(p) for p in source.demux(stream) if p.size), b"")
        source.seek(0)
        mime = b"image/png" if stream.codec_context.name == "png" else b"image/jpeg"
        block = struct.pack(">II", _FRONT_COVER, len(mime)) + mime + struct.pack(">I", 0)
        block += struct.pack(">IIIII", stream.width or 0, stream.height or 0, 24, 0, len(data)) + data
        return {"METADATA_BLOCK_PICTURE": base64.b64encode(block).decode()} if data else {}
    return {}


def _added(source: InputContainer, copy: OutputContainer) -> dict[int, Any]:
    """Give the copy a stream for each of the source's that it can hold."""
    from av.stream import AttachmentStream

    wanted = _COPIED if copy.format.name != "opus" else frozenset({"audio"})
    streams: dict[int, Any] = {}
    for stream in source.streams:
        if stream.type in wanted:
            made = copy.add_stream_from_template(stream)
            made.metadata.update(_tags(stream.metadata))
            made.disposition = stream.disposition
            streams[stream.index] = made
        elif isinstance(stream, AttachmentStream) and copy.format.name == "matroska" and stream.data:
            copy.add_attachment(stream.name or "attachment", stream.mimetype or "", stream.data)
    return streams


def _copy_packets(
    source: InputContainer,
    copy: OutputContainer,
    streams: Mapping[int, Any],
    progress: Callable[[float, float], None],
) -> None:
    total = source.duration / _MICROSECONDS if source.duration else 0.0
    shown = 0.0
    for packet in source.demux(*(source.streams[i] for i in streams)):
        cover = _is_cover(packet.stream)
        if not packet.size or (packet.dts is None and not cover):
            continue
        if packet.dts is not None and packet.time_base is not None:
            at = float(packet.dts * packet.time_base)
            if at >= shown + _SHOWN_EVERY_S:
                shown = at
                progress(min(at, total), total)
        packet.stream = streams[packet.stream.index]
        if cover:
            packet.pts = packet.dts = 0
        copy.mux(packet)
