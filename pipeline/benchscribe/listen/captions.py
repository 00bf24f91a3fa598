"""Caption files as transcripts: words with times, cues as they came, sentences across cues."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from benchscribe.errors import TranscriptError
from benchscribe.listen.cues import TimedWord, parse_cues
from benchscribe.listen.rolling import Shown, undouble
from benchscribe.listen.sentences import cut_utterances
from benchscribe.listen.textfile import read_lines
from benchscribe.records import Cue, SourceFile, Transcript, Word

_DIGIT_LETTERS: Final = 4
"""A digit takes as long to say as about this many letters ("27.6" is "twenty-seven point six")."""
_LONGEST_S: Final = 0.35
_LETTER_S: Final = 0.07
"""A word that is dated, and has a pause after it, is taken to last about 0.35 s and 0.07 s for each letter."""


def read_captions(path: Path) -> Transcript:
    """Read a WebVTT or SubRip file.

    Words whose time stands in the file (`<00:00:01.000>`) have that time; the others share out their cue's time by their length.

    Args:
        path: The file.

    Raises:
        TranscriptError: Missing, not text, no captions, or broken times; says the line.
    """
    cues = undouble(parse_cues(read_lines(path), str(path)))
    words: list[Word] = []
    out: list[Cue] = []
    for cue in cues:
        first = len(words)
        words.extend(_time_words(cue))
        out.append(Cue((first, len(words)), cue.start_s, cue.end_s))
    if not words:
        raise TranscriptError("the captions in this file hold no words", where=f"{path}, line 1")
    return Transcript(
        files=(SourceFile(name=path.name, offset_s=0.0, duration_s=None, kind="captions"),),
        clock="captions",
        words=tuple(words),
        utterances=cut_utterances(words),
        cues=tuple(out),
    )


def said_length(text: str) -> int:
    """Weigh a word by how long it takes to say, in letters, its share of the pause included."""
    return (
        1
        + sum(_DIGIT_LETTERS if c.isdigit() else c.isalpha() for c in text)
        + 2 * bool(re.search(r"[,;:.?!]$", text))
    )


def _time_words(cue: Shown) -> list[Word]:
    """Date the words of one cue: dated ones as they are, each stretch between two dates by length."""
    marks = [(0, cue.start_s)]
    marks += [
        (i, word.start_s)
        for i, word in enumerate(cue.words)
        if word.start_s is not None and i and cue.start_s <= word.start_s <= cue.end_s
    ]
    ends = [*marks[1:], (len(cue.words), cue.end_s)]
    dated = len(marks) > 1
    words: list[Word] = []
    for (first, start), (last, end) in zip(marks, ends, strict=True):
        words.extend(_share_out(cue.words[first:last], start, max(start, end), dated=dated))
    return words


def _share_out(words: Sequence[TimedWord], start: float, end: float, *, dated: bool) -> list[Word]:
    lengths = [said_length(word.text) for word in words]
    if dated:
        end = min(end, start + sum(_LONGEST_S + _LETTER_S * length for length in lengths))
    total = sum(lengths) or 1
    times = [start]
    for length in lengths:
        times.append(times[-1] + (end - start) * length / total)
    return [
        Word(word.text, round(a, 3), round(b, 3)) for word, a, b in zip(words, times, times[1:], strict=False)
    ]
