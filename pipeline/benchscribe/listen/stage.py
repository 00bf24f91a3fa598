"""The stage: any mix of recordings, captions and notes becomes one transcript."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from benchscribe.listen.captions import read_captions
from benchscribe.listen.join import join
from benchscribe.listen.notes import read_notes
from benchscribe.listen.options import ListenOptions, Progress
from benchscribe.records import Transcript

CAPTIONS: Final = frozenset({".vtt", ".srt"})
NOTES: Final = frozenset({".md", ".markdown", ".txt"})


def listen(
    paths: Sequence[Path],
    *,
    clock: str,
    options: ListenOptions,
    cache_dir: Path,
    progress: Callable[[Progress], None] | None = None,
) -> Transcript:
    """Turn recordings, caption files and notes into one transcript, laid end to end in the order given.

    What was listened to before, with the same model and settings, is not listened to again; a run that was stopped goes on where it was.

    Args:
        paths: Recordings (any audio or video), captions (.vtt, .srt) and notes (.md, .txt), in any mix.
        clock: Whose time it is, as in `Transcript.clock`.
        options: Model, device and prompt.
        cache_dir: Folder in which models and finished listening are kept.
        progress: Called as listening goes on.

    Raises:
        MediaError: A recording cannot be listened to.
        TranscriptError: Captions or notes cannot be read.
        ModelError: The speech model is missing or damaged.
    """
    media = [path for path in paths if path.suffix.casefold() not in CAPTIONS | NOTES]
    texts = {path: _read_text(path) for path in paths if path not in media}
    if not media:
        return join([texts[path] for path in paths], clock)
    # The decoder and the recogniser are loaded only where there is sound.
    from benchscribe.listen.recording_reader import RecordingReader

    reader = RecordingReader(media, options, cache_dir, progress, time.monotonic)
    return join([texts[path] if path in texts else reader.read(path) for path in paths], clock)


def _read_text(path: Path) -> Transcript:
    return read_captions(path) if path.suffix.casefold() in CAPTIONS else read_notes(path)
