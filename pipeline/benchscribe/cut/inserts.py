"""What the published cut has and no take: voice-over and other inserts, laid behind the takes so that they are understood with them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import structs

from benchscribe.cut.cutmap import CutMap
from benchscribe.records import Finding, InHand, Mentions, SourceFile, Span, Transcript, Utterance

_LEAST_WORDS: Final = 5
"""Fewer words in no take are a passage that was misheard, more often than an insert."""


def insert_spans(found: CutMap) -> tuple[Span, ...]:
    """Give the cut's words that are in no take, in order."""
    return tuple(
        piece.cut_span
        for piece in found.pieces
        if piece.take_span is None and piece.cut_span[1] - piece.cut_span[0] >= _LEAST_WORDS
    )


def with_inserts(takes: Transcript, cut: Transcript, found: CutMap) -> Transcript:
    """Lay the cut's inserts behind the takes as one more file, in the cut's own time.

    So a correction that was spoken over the picture afterwards is found as one that was said at the bench.

    Args:
        takes: What is said in the takes.
        cut: What is said in the published cut.
        found: The map between the two.

    Returns:
        The takes' transcript with the inserts; the takes' own where there is none.
    """
    spans = insert_spans(found)
    if not spans or not cut.files:
        return takes
    offset = end_of(takes)
    words = list(takes.words)
    utterances = list(takes.utterances)
    for begin, end in spans:
        first = len(words)
        words += (
            structs.replace(w, start_s=_later(w.start_s, offset), end_s=_later(w.end_s, offset))
            for w in cut.words[begin:end]
        )
        for utterance in cut.utterances:
            a, b = max(utterance.span[0], begin), min(utterance.span[1], end)
            if a < b:
                span = (first + a - begin, first + b - begin)
                utterances.append(
                    Utterance(span, words[span[0]].start_s, words[span[1] - 1].end_s, utterance.heading)
                )
    own = cut.files[0]
    file = SourceFile(
        name=own.name, offset_s=offset, duration_s=own.duration_s, kind=own.kind, recorded_at=own.recorded_at
    )
    return structs.replace(
        takes, files=(*takes.files, file), words=tuple(words), utterances=tuple(utterances)
    )


def without_inserts(
    takes: Transcript, mentions: Mentions, in_hand: Sequence[InHand], findings: Sequence[Finding]
) -> tuple[Mentions, tuple[InHand, ...], tuple[Finding, ...]]:
    """Give what was found in the takes alone, where it was found in the takes with the inserts behind them.

    Chapters are cut of the takes: an insert that is laid behind them must not move a chapter at the other end of the episode.

    Args:
        takes: The takes' transcript, without the inserts.
        mentions: Found in both.
        in_hand: Found in both.
        findings: Found in both.
    """
    words, utterances = len(takes.words), len(takes.utterances)
    kept = structs.replace(
        mentions,
        mentions=tuple(m for m in mentions.mentions if m.span[1] <= words),
        repairs=tuple(m for m in mentions.repairs if m.span[1] <= words),
        mistakes=tuple(m for m in mentions.mistakes if m.span[1] <= words),
        promises=tuple(m for m in mentions.promises if m.span[1] <= words),
    )
    return (
        kept,
        tuple(held for held in in_hand if held.utterance < utterances),
        tuple(finding for finding in findings if finding.span[1] <= words),
    )


def end_of(takes: Transcript) -> float:
    """Give the running time at which the last take ends, in whole seconds, a second to spare."""
    ends = [file.offset_s + (file.duration_s or 0.0) for file in takes.files]
    ends += [word.end_s for word in takes.words if word.end_s is not None]
    ends += [cue.end_s for cue in takes.cues if cue.end_s is not None]
    return float(int(max(ends, default=0.0)) + 2)


def _later(value: float | None, offset: float) -> float | None:
    return None if value is None else round(value + offset, 3)
