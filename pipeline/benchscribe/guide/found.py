"""What the guide is made from, and its clock."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from benchscribe.records import Chapter, Finding, InHand, Measure, Mentions, PartList, Transcript

WORDS_PER_S = 2.5
"""For notes, which have no times."""


class Found(Struct, frozen=True, kw_only=True):
    """All that the earlier stages found in an episode."""

    transcript: Transcript
    measures: Sequence[Measure]
    """Placed."""
    mentions: Mentions
    part_list: PartList | None
    in_hand: Sequence[InHand]
    findings: Sequence[Finding] = ()
    chapters: Sequence[Chapter] = ()


def clock(transcript: Transcript, word: int) -> float:
    """Give a word's place on the clock: its time, else how long the words before it take to say."""
    start = transcript.words[word].start_s
    return start if start is not None else word / WORDS_PER_S


def utterance_of(transcript: Transcript) -> list[int]:
    """Give the utterance that each word is in."""
    home = [0] * len(transcript.words)
    for number, utterance in enumerate(transcript.utterances):
        home[utterance.span[0] : utterance.span[1]] = [number] * (utterance.span[1] - utterance.span[0])
    return home
