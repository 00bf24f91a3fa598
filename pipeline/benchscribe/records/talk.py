"""What was said: words with times, sentences, and what could not be heard."""

from __future__ import annotations

from typing import Literal, TypeVar

import msgspec
from msgspec import Struct

from benchscribe.records.timed import Span, Timed


class Word(Struct, frozen=True, array_like=True):
    """One word as recognised or written, with its punctuation ("three," "7-8ths" "feet.")."""

    text: str
    start_s: float | None = None
    end_s: float | None = None
    confidence: float | None = None
    """0 to 1 from the recogniser; None where nobody said."""


class Cue(Struct, frozen=True, array_like=True):
    """A caption as it came: its own times are kept when captions are repaired and written again."""

    span: Span
    start_s: float | None
    end_s: float | None


class Utterance(Struct, frozen=True):
    """A sentence, or as near to one as talk comes. The unit in which parts are in hand."""

    span: Span
    start_s: float | None
    end_s: float | None
    heading: str = ""
    """The heading that the maker wrote above this passage (rough notes only)."""


class Gap(Timed, frozen=True, kw_only=True):
    """A stretch that could not be read or was thrown away, and why."""

    kind: Literal["damaged", "repeat-loop", "text-in-silence", "short", "off-record", "doubled"]
    note: str


class SourceFile(Struct, frozen=True, kw_only=True):
    """One file of the episode, in running order."""

    name: str
    offset_s: float
    """Running time at which this file begins."""
    duration_s: float | None
    """None for notes, and for captions whose sound is not there."""
    kind: Literal["audio", "video", "captions", "notes"]
    recorded_at: str | None = None
    """Recording time as the file says it, ISO 8601."""


class Transcript(Struct, frozen=True, kw_only=True):
    """What was said in the episode, all files laid end to end."""

    files: tuple[SourceFile, ...]
    clock: Literal["cut", "takes", "captions", "notes", "none"]
    """Whose time `start_s` is: the published cut's, the takes' (a draft), a caption file's of its own, marks in notes, or nobody's."""
    words: tuple[Word, ...]
    utterances: tuple[Utterance, ...]
    """In order, covering every word exactly once."""
    cues: tuple[Cue, ...] = ()
    """As they came; empty where words come from the recogniser."""
    gaps: tuple[Gap, ...] = ()
    claps: tuple[float, ...] = ()
    """Running times of single sharp sounds with quiet about them: a clap or a slate, or one knock of a mallet."""
    language: str = "en"
    model: str = ""
    """Name of the speech model; empty for captions and notes."""

    def text(self, span: Span) -> str:
        """Give the words of a span with single spaces between."""
        return " ".join(word.text for word in self.words[span[0] : span[1]])


T = TypeVar("T", bound=Timed)


def stamp(item: T, files: tuple[SourceFile, ...]) -> T:
    """Give the item with the file that its start is of, and the time in that file.

    Args:
        item: Any timed record.
        files: The episode's files in running order.

    Returns:
        The same record with `file` and `at_s`; unchanged where it has no time or there is no file.
    """
    if item.start_s is None or not files:
        return item
    home = files[0]
    for candidate in files[1:]:
        if candidate.offset_s > item.start_s + 1e-6:
            break
        home = candidate
    return msgspec.structs.replace(item, file=home.name, at_s=round(item.start_s - home.offset_s, 3))
