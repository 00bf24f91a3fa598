"""The transcript in blocks: the places where a chapter may begin, with all that speaks for or against it."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from msgspec import Struct, structs

from benchscribe.chapters.vocabulary import (
    closings,
    content_words,
    fold,
    rounding_off,
    spoken_heading,
    stage_of,
    turn_weight,
)
from benchscribe.records import InHand, Mentions, Transcript, Utterance

LONG_UTTERANCE = 45
"""Words. Where nobody wrote full stops an utterance may run on; then a caption line or a pause inside it may open a chapter too."""
SURE = 0.3
"""A part in hand with less confidence says nothing."""
NAMED = 0.4
"""A word with less confidence is hardly the part's name ("sides", "the thick ones")."""
CERTAIN = 0.95
"""With so much confidence a part is in hand though nobody has named it."""
PAUSE_S = 1.5
"""A silence of this length inside an utterance cuts it."""
WORDS_PER_S = 2.5
"""How fast people talk, for notes that have no times: only lengths are compared, no time is ever given out."""


class Block(Struct, frozen=True):
    """A piece of talk that a chapter can begin with."""

    span: tuple[int, int]
    clock_s: float
    """Seconds on a clock of its own: running time, or words at talking speed where there is no time. For lengths only."""
    start_s: float | None
    pause_s: float
    """Silence before it."""
    text: str
    """Folded."""
    words: tuple[str, ...]
    """Stems of the words that say something."""
    parts: tuple[str, ...]
    sure: float
    """How sure the first of the parts is, 0 to 1."""
    turn: float
    heading: str
    opens_with: str
    """The part that is named among the first words; empty where none is."""
    short: bool
    """A sentence that is no more than a name: makers speak headings so ("End caps.")."""
    stage: str
    """The stage of the work that it begins with ("sanding"); empty where it begins with none."""
    gone_wrong: bool
    """Lies in a stretch that went wrong, or is the second try right after it."""
    closes: bool
    """Takes leave, or promises something for another day."""
    rounds_off: bool
    """Says that something is done ("That's one." "Lovely.")."""
    utterance: int


def make_blocks(transcript: Transcript, mentions: Mentions, in_hand: Sequence[InHand]) -> tuple[Block, ...]:
    """Cut the transcript into blocks.

    Args:
        transcript: What was said.
        mentions: Parts and operations that were named.
        in_hand: The part in hand, by utterance; may be empty.

    Returns:
        Blocks in order, covering every word once; empty for a transcript without words.
    """
    held = {item.utterance: item for item in in_hand}
    marks = _Marks.of(transcript, mentions)
    blocks: list[Block] = []
    clock = 0.0
    end_before: float | None = None
    for number, utterance in enumerate(transcript.utterances):
        for span in _pieces(transcript, utterance, marks):
            start, end = _times(transcript, utterance, span, marks)
            if start is not None:
                clock = max(clock, start)
            pause = max(0.0, start - end_before) if start is not None and end_before is not None else 0.0
            place = _Place(number, span, clock, start, pause)
            blocks.append(_block(transcript, utterance, place, held.get(number), marks))
            end_before = end
            if start is None:
                clock += (span[1] - span[0]) / WORDS_PER_S
    return _brought(blocks, marks)


def _brought(blocks: list[Block], marks: _Marks) -> tuple[Block, ...]:
    """Let a part come into hand where it is named, or else where it is certain: what comes before is still of the part before."""
    out = list(blocks)
    begin = 0
    while begin < len(blocks):
        part = blocks[begin].parts[:1]
        end = begin
        while end < len(blocks) and blocks[end].parts[:1] == part:
            end += 1
        if part:
            here = range(begin, end)
            brought = next(
                (i for i in here if blocks[i].sure >= CERTAIN or part[0] in _names(blocks[i], marks)), begin
            )
            for i in range(begin, brought):
                out[i] = structs.replace(blocks[i], parts=())
        begin = end
    return tuple(out)


def _names(block: Block, marks: _Marks) -> set[str]:
    return {marks.parts[at] for at in range(*block.span) if at in marks.parts}


class _Place(NamedTuple):
    utterance: int
    span: tuple[int, int]
    clock_s: float
    start_s: float | None
    pause_s: float


class _Marks(Struct, frozen=True):
    """What begins at which word, so that no list is searched twice."""

    parts: dict[int, str]
    loose: bool
    """Nobody wrote full stops."""
    promises: frozenset[int]
    mistakes: tuple[tuple[int, int], ...]
    cue_starts: tuple[int, ...]
    cue_start_s: dict[int, float | None]
    cue_end_s: dict[int, float | None]
    """By the word after the caption line's last."""

    @staticmethod
    def of(transcript: Transcript, mentions: Mentions) -> _Marks:
        return _Marks(
            parts={
                m.span[0]: m.name
                for m in reversed(mentions.mentions)
                if m.kind == "part" and m.confidence >= NAMED
            },
            loose=sum(w.text[-1:] in ".?!" for w in transcript.words) < len(transcript.words) / 60,
            promises=frozenset(promise.span[0] for promise in mentions.promises),
            mistakes=tuple(mistake.span for mistake in mentions.mistakes),
            cue_starts=tuple(cue.span[0] for cue in transcript.cues),
            cue_start_s={cue.span[0]: cue.start_s for cue in transcript.cues},
            cue_end_s={cue.span[1]: cue.end_s for cue in transcript.cues},
        )


def _block(
    transcript: Transcript, utterance: Utterance, place: _Place, held: InHand | None, marks: _Marks
) -> Block:
    begin, end = place.span
    text = fold(transcript.text(place.span))
    named = next((marks.parts[at] for at in range(begin, min(begin + 8, end)) if at in marks.parts), "")
    whole = place.span == utterance.span
    return Block(
        span=place.span,
        clock_s=place.clock_s,
        start_s=place.start_s,
        pause_s=place.pause_s,
        text=text,
        words=tuple(content_words(text)),
        parts=held.parts if held and held.confidence >= SURE else (),
        sure=held.confidence if held else 0.0,
        turn=turn_weight(text, loose=marks.loose),
        heading=utterance.heading if begin == utterance.span[0] else "",
        opens_with=named,
        stage=stage_of(text),
        gone_wrong=any(wrong <= begin <= right for wrong, right in marks.mistakes),
        closes=bool(closings().search(text)) or any(at in marks.promises for at in range(begin, end)),
        rounds_off=bool(rounding_off().search(text)),
        short=whole and (spoken_heading(text) or (bool(named) and end - begin <= 4)),
        utterance=place.utterance,
    )


def end_clock(transcript: Transcript, blocks: Sequence[Block]) -> float:
    """Give the end of the talk on the blocks' clock, in seconds."""
    if not blocks:
        return 0.0
    last = blocks[-1]
    ends = [u.end_s for u in transcript.utterances if u.end_s is not None]
    ends += [f.offset_s + f.duration_s for f in transcript.files if f.duration_s is not None]
    spoken = last.clock_s + (last.span[1] - last.span[0]) / WORDS_PER_S
    return max([spoken, *ends]) if last.start_s is None or not ends else max(ends)


def _pieces(transcript: Transcript, utterance: Utterance, marks: _Marks) -> list[tuple[int, int]]:
    """Cut an utterance at long silences and, where it runs on without a stop, at caption lines."""
    begin, end = utterance.span
    words = transcript.words
    cuts = {
        index
        for index in range(begin + 1, end)
        if _silence(words[index - 1].end_s, words[index].start_s) >= PAUSE_S
    }
    run_on = end - begin > LONG_UTTERANCE and not re.search(r"[.?!] ", transcript.text(utterance.span))
    if run_on or not cuts:
        for at in marks.cue_starts[
            bisect_right(marks.cue_starts, begin) : bisect_left(marks.cue_starts, end)
        ]:
            if run_on or _silence(marks.cue_end_s.get(at), marks.cue_start_s[at]) >= PAUSE_S:
                cuts.add(at)
    return list(pairwise([begin, *sorted(cuts), end]))


def _silence(before: float | None, after: float | None) -> float:
    return after - before if before is not None and after is not None else 0.0


def _times(
    transcript: Transcript, utterance: Utterance, span: tuple[int, int], marks: _Marks
) -> tuple[float | None, float | None]:
    """Give a piece's start and end: of its words where they have times, else of its caption line or utterance."""
    start = transcript.words[span[0]].start_s
    end = transcript.words[span[1] - 1].end_s
    if start is None:
        start = marks.cue_start_s.get(span[0])
    if end is None:
        end = marks.cue_end_s.get(span[1])
    if start is None and span[0] == utterance.span[0]:
        start = utterance.start_s
    if end is None and span[1] == utterance.span[1]:
        end = utterance.end_s
    return start, end
