"""The stage: any mix of recordings, captions and notes becomes one transcript."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from benchscribe.errors import MediaError
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
    """Turn recordings, caption files and notes into one transcript, laid end to end in the order given."""
    del options, cache_dir, progress
    parts = []
    for path in paths:
        suffix = path.suffix.casefold()
        if suffix in CAPTIONS:
            parts.append(read_captions(path))
        elif suffix in NOTES:
            parts.append(read_notes(path))
        else:
            raise MediaError("listening is not there yet", where=str(path))
    return join(parts, clock)
