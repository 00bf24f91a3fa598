"""Lay several transcripts end to end."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from msgspec import structs

from benchscribe.records import Cue, Gap, SourceFile, Transcript, Utterance, Word

T = TypeVar("T", Word, Cue, Utterance, Gap, SourceFile)


def join(parts: Sequence[Transcript], clock: Any) -> Transcript:  # noqa: ANN401 - the record validates it
    """Lay transcripts end to end: each begins where the one before it ends.

    A caption file whose sound is not there ends with its last caption; notes take no time.

    Args:
        parts: Each of one file that begins at zero, in running order.
        clock: Whose time it is, as in `Transcript.clock`.
    """
    words: list[Word] = []
    files: list[SourceFile] = []
    cues: list[Cue] = []
    utterances: list[Utterance] = []
    gaps: list[Gap] = []
    claps: list[float] = []
    offset = 0.0
    for part in parts:
        first = len(words)
        words += (_later(word, offset) for word in part.words)
        files += (structs.replace(file, offset_s=round(offset, 3)) for file in part.files)
        cues += (_moved(_later(cue, offset), first) for cue in part.cues)
        utterances += (_moved(_later(utterance, offset), first) for utterance in part.utterances)
        gaps += (_later(gap, offset) for gap in part.gaps)
        claps += (round(at + offset, 3) for at in part.claps)
        offset = round(offset + _length(part), 3)
    timed = any(word.start_s is not None for word in words)
    return Transcript(
        files=tuple(files),
        clock=clock if timed or any(file.duration_s for file in files) else "none",
        words=tuple(words),
        utterances=tuple(utterances),
        cues=tuple(cues),
        gaps=tuple(gaps),
        claps=tuple(claps),
        language=parts[0].language if parts else "en",
        model=next((part.model for part in parts if part.model), ""),
    )


def _later(item: T, offset: float) -> T:
    if not offset or isinstance(item, SourceFile):
        return item
    times = {
        name: round(value + offset, 3)
        for name in ("start_s", "end_s")
        if (value := getattr(item, name)) is not None
    }
    return structs.replace(item, **times)


def _moved(item: T, first: int) -> T:
    assert isinstance(item, Cue | Utterance)
    return structs.replace(item, span=(item.span[0] + first, item.span[1] + first))


def _length(part: Transcript) -> float:
    file = part.files[0]
    if file.duration_s is not None:
        return file.duration_s
    if file.kind == "notes":
        return 0.0
    ends = [cue.end_s for cue in part.cues if cue.end_s is not None]
    return max(ends, default=0.0)
