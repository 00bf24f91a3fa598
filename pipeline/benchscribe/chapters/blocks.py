"""The transcript in blocks: the places where a chapter may begin, with all that speaks for or against it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

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
    operations: tuple[str, ...]
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
    blocks: list[Block] = []
    clock = 0.0
    named_parts = [m for m in mentions.mentions if m.kind == "part"]
    operations = [m for m in mentions.mentions if m.kind == "operation"]
    end_before: float | None = None
    for number, utterance in enumerate(transcript.utterances):
        for span in _pieces(transcript, utterance):
            start, end = _times(transcript, utterance, span)
            if start is not None:
                clock = max(clock, start)
            pause = max(0.0, start - end_before) if start is not None and end_before is not None else 0.0
            text = fold(transcript.text(span))
            first = [m.name for m in named_parts if span[0] <= m.span[0] < min(span[0] + 8, span[1])]
            in_play = held.get(number)
            blocks.append(
                Block(
                    span=span,
                    clock_s=clock,
                    start_s=start,
                    pause_s=pause,
                    text=text,
                    words=tuple(content_words(text)),
                    parts=in_play.parts if in_play and in_play.confidence >= 0.3 else (),
                    sure=in_play.confidence if in_play else 0.0,
                    operations=tuple(m.name for m in operations if span[0] <= m.span[0] < span[1]),
                    turn=turn_weight(text),
                    heading=utterance.heading if span[0] == utterance.span[0] else "",
                    opens_with=first[0] if first else "",
                    stage=stage_of(text),
                    gone_wrong=any(m.span[0] < span[0] <= m.span[1] for m in mentions.mistakes),
                    closes=bool(closings().search(text))
                    or any(span[0] <= p.span[0] < span[1] for p in mentions.promises),
                    rounds_off=bool(rounding_off().search(text)),
                    short=span == utterance.span
                    and (spoken_heading(text) or bool(first and span[1] - span[0] <= 4)),
                    utterance=number,
                )
            )
            end_before = end
            if start is None:
                clock += (span[1] - span[0]) / WORDS_PER_S
    return tuple(blocks)


def end_clock(transcript: Transcript, blocks: Sequence[Block]) -> float:
    """Give the end of the talk on the blocks' clock, in seconds."""
    if not blocks:
        return 0.0
    last = blocks[-1]
    ends = [u.end_s for u in transcript.utterances if u.end_s is not None]
    ends += [f.offset_s + f.duration_s for f in transcript.files if f.duration_s is not None]
    spoken = last.clock_s + (last.span[1] - last.span[0]) / WORDS_PER_S
    return max([spoken, *ends]) if last.start_s is None or not ends else max(ends)


def _pieces(transcript: Transcript, utterance: Utterance) -> list[tuple[int, int]]:
    """Cut an utterance at long silences and, where it runs on without a stop, at caption lines."""
    begin, end = utterance.span
    cuts = {begin}
    words = transcript.words
    for index in range(begin + 1, end):
        before, here = words[index - 1].end_s, words[index].start_s
        if before is not None and here is not None and here - before >= PAUSE_S:
            cuts.add(index)
    run_on = end - begin > LONG_UTTERANCE and not re.search(r"[.?!] ", transcript.text(utterance.span))
    if run_on or cuts == {begin}:
        for cue, before_cue in zip(transcript.cues[1:], transcript.cues, strict=False):
            if not begin < cue.span[0] < end:
                continue
            silent = (
                cue.start_s is not None
                and before_cue.end_s is not None
                and cue.start_s - before_cue.end_s >= PAUSE_S
            )
            if run_on or silent:
                cuts.add(cue.span[0])
    ordered = [*sorted(cuts), end]
    return [(a, b) for a, b in pairwise(ordered) if b > a]


def _times(
    transcript: Transcript, utterance: Utterance, span: tuple[int, int]
) -> tuple[float | None, float | None]:
    """Give a piece's start and end: of its words where they have times, else of its caption line or utterance."""
    start = transcript.words[span[0]].start_s
    end = transcript.words[span[1] - 1].end_s
    for cue in transcript.cues:
        if start is None and cue.span[0] == span[0]:
            start = cue.start_s
        if end is None and cue.span[1] == span[1]:
            end = cue.end_s
    if start is None and span[0] == utterance.span[0]:
        start = utterance.start_s
    if end is None and span[1] == utterance.span[1]:
        end = utterance.end_s
    return start, end
