"""Recordings as files: what is in them, and one clear sentence for each that cannot be listened to.

Security: the decoder is given local files by absolute path only, may use no protocol but `file`, and may read only formats that hold one
recording. A playlist renamed to .mp4 would otherwise be followed to whatever it names.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from benchscribe.errors import MediaError
from benchscribe.listen.headers import unfinished_index

FORMATS: Final = "wav,w64,rf64,mp3,mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,flac,ogg,aac,aiff,caf,avi,mpegts,mpeg,asf,amr,au,dv,mxf,flv,ac3,wv,tta,ape"
"""Container formats that hold one recording. Playlists, scripts and picture series are not among them."""
_OPTIONS: Final = {"protocol_whitelist": "file", "format_whitelist": FORMATS}
_TODO: Final = (
    "Give a recording (wav, mp3, m4a, flac, opus, mp4, mkv, mov), captions (.vtt, .srt) or notes (.md, .txt)."
)
_EARLIEST: Final = 1990
"""Recorders whose clock was never set say 1904 or 1970."""


class MediaInfo(Struct, frozen=True, kw_only=True):
    """What a recording says of itself."""

    duration_s: float | None
    """None where the file does not say."""
    has_video: bool
    """Moving pictures; a cover picture does not count."""
    recorded_at: str | None
    """ISO 8601, with a time; None where the file does not say, or says something impossible."""
    format: str
    rate: int
    """Samples a second in the file."""


def probe(path: Path) -> MediaInfo:
    """Read what a recording says of itself, without decoding it.

    Raises:
        MediaError: Missing, unreadable, empty, not a recording, or without sound.
    """
    with opened(path) as container:
        stream = first_sound(container, path)
        return MediaInfo(
            duration_s=length_of(container, stream),
            has_video=any(_moves(video) for video in container.streams.video),
            recorded_at=_recorded_at(container),
            format=str(container.format.name),
            rate=int(stream.rate or 0),
        )


def in_recording_order(paths: Sequence[Path]) -> tuple[Path, ...]:
    """Put recordings in the order in which they were made, where every one of them says when; else leave the order as it is.

    Raises:
        MediaError: One of them cannot be read.
    """
    times = [probe(path).recorded_at for path in paths]
    if any(time is None for time in times):
        return tuple(paths)
    pairs = zip((datetime.fromisoformat(str(time)) for time in times), paths, strict=True)
    naive = [(time.timestamp(), path) for time, path in pairs]
    return tuple(path for _, path in sorted(naive, key=lambda pair: pair[0]))


@contextmanager
def opened(path: Path) -> Iterator[Any]:
    """Open a recording for reading, and close it again.

    Raises:
        MediaError: Missing, a folder, unreadable, empty, or not a recording.
    """
    import av

    _look_at(path)
    av.logging.set_level(None)
    try:
        container = av.open(str(path.resolve()), mode="r", options=dict(_OPTIONS), metadata_errors="replace")
    except (av.error.FFmpegError, ValueError, OSError) as error:
        raise _refusal(path) from error
    with container:
        yield container


def first_sound(container: Any, path: Path) -> Any:  # noqa: ANN401 - PyAV's own types are not fully given
    """Give the sound stream to listen to: the one marked as default, else the first.

    Raises:
        MediaError: There is none.
    """
    streams = [stream for stream in container.streams.audio if stream.codec_context is not None]
    if not streams:
        raise MediaError(
            "there is no sound in this file",
            where=str(path),
            todo="Give a recording in which somebody speaks.",
        )
    return next((stream for stream in streams if _is_default(stream)), streams[0])


def moving_picture(container: Any) -> Any | None:  # noqa: ANN401 - as above
    """Give the first stream of moving pictures; None where there is none, or only a cover picture."""
    return next((stream for stream in container.streams.video if _moves(stream)), None)


def length_of(container: Any, stream: Any) -> float | None:  # noqa: ANN401 - as above
    """Give the length that the file says it has, in seconds."""
    if container.duration:
        return round(float(container.duration) / 1_000_000, 3)
    if stream.duration and stream.time_base:
        return round(float(stream.duration * stream.time_base), 3)
    return None


def _look_at(path: Path) -> None:
    """Say in plain words what is wrong with a path before the decoder sees it."""
    where = str(path)
    try:
        if path.is_dir():
            raise MediaError("this is a folder, not a recording", where=where)
        if not path.exists():
            raise MediaError("there is no such file", where=where)
        if not path.is_file():
            raise MediaError("this is not a plain file", where=where, todo=_TODO)
        if path.stat().st_size == 0:
            raise MediaError(
                "the file is empty (zero bytes)", where=where, todo="Copy it from the recorder again."
            )
        with path.open("rb"):
            pass
    except OSError as error:
        raise MediaError(
            f"cannot be read ({(error.strerror or 'unknown error').lower()})",
            where=where,
            todo="Look at its permissions.",
        ) from error
    if not os.access(path, os.R_OK):
        raise MediaError("cannot be read (permission denied)", where=where, todo="Look at its permissions.")


def _refusal(path: Path) -> MediaError:
    if unfinished_index(path):
        return MediaError(
            "this recording was not finished: its index is missing or damaged",
            where=str(path),
            todo="Copy it from the recorder again, or let the recorder repair it.",
        )
    return MediaError("this is not a recording that can be read", where=str(path), todo=_TODO)


def _is_default(stream: Any) -> bool:  # noqa: ANN401 - as above
    from av.stream import Disposition

    return bool(stream.disposition & Disposition.default)


def _moves(stream: Any) -> bool:  # noqa: ANN401 - as above
    from av.stream import Disposition

    return not stream.disposition & (Disposition.attached_pic | Disposition.still_image)


def _recorded_at(container: Any) -> str | None:  # noqa: ANN401 - as above
    """Give the time of recording: the phone's local time first, then the container's, then a dated tag."""
    tags = {str(key).casefold(): str(value) for key, value in container.metadata.items()}
    for stream in container.streams:
        for key, value in stream.metadata.items():
            tags.setdefault(str(key).casefold(), str(value))
    for name in ("com.apple.quicktime.creationdate", "creation_time", "date", "icrd", "tdrc"):
        text = tags.get(name, "").strip()
        if len(text) <= len("2026-01-01"):
            continue
        try:
            time = datetime.fromisoformat(text)
        except ValueError:
            continue
        if time.year >= _EARLIEST:
            return time.isoformat(timespec="seconds")
    return None
