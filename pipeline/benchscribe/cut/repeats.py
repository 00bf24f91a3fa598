"""Passages that a later take says again: they are replaced by what was said last."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from msgspec import structs

from benchscribe.cut.mapping import map_cut
from benchscribe.records import Span, Transcript

_BEFORE: Final = 14
"""Words before a passage in which it may have been announced as said again."""
_LEAST: Final = 8
"""Words of an announced passage that must agree with an earlier one."""
_SHARE: Final = 0.6
_LEAST_UNSAID: Final = 24
"""Words that must agree where nothing announces it. Two parts of one kind are told in the same turn of phrase for a sentence, not for more."""
_SHARE_UNSAID: Final = 0.85
_REWORDED: Final = 12
"""Words that may be said otherwise in the middle of a passage."""
_SENTENCE: Final = 10
"""Words in the longest sentence that only announces."""
_TORSO: Final = 0.4
"""Share of a sentence that may be left over when the rest of it is replaced."""


def repeated_passages(
    transcript: Transcript, announced: Sequence[Span], pickups: Sequence[Span]
) -> list[tuple[Span, int | None]]:
    """Find passages that are said again in a later take, or behind words that announce a pick-up.

    Args:
        transcript: What is said in the takes.
        announced: Words that announce that something is said again.
        pickups: Those of them that announce a pick-up for an earlier passage.

    Returns:
        The words that are replaced, and the word with which they are said again; also the words that announced it, with None.
    """
    out: list[tuple[Span, int | None]] = []
    for begin, end, said in _later(transcript, announced, pickups):
        words_for_it = _before(transcript, announced, begin) if said else None
        going_on = begin if said else begin - _BEFORE - 1
        for earlier, (first, last), share in _agreeing(transcript, begin, end):
            expected = first - going_on <= _BEFORE
            least, enough = (_LEAST, _SHARE) if expected else (_LEAST_UNSAID, _SHARE_UNSAID)
            if share * (last - first) >= least and share >= enough:
                out.append((_whole_sentences(transcript, earlier), first))
                going_on = last if expected else going_on
                if expected and words_for_it is not None:
                    out.append((words_for_it, None))
                    words_for_it = None
    return out


def _later(
    transcript: Transcript, announced: Sequence[Span], pickups: Sequence[Span]
) -> Iterator[tuple[int, int, bool]]:
    """Give the words in which something earlier may be said again, and whether that was announced just before them.

    These are each take but the first, parted where something is announced, and what follows a pick-up in the first.
    """
    starts = [file.offset_s for file in transcript.files] + [float("inf")]
    for begin_s, end_s in pairwise(starts):
        inside = [
            n
            for n, w in enumerate(transcript.words)
            if w.start_s is not None and begin_s <= w.start_s < end_s
        ]
        if not inside:
            continue
        at, last = inside[0], inside[-1] + 1
        said = False
        for span in sorted(announced if begin_s > starts[0] else pickups):
            if not at <= span[0] < last:
                continue
            before, behind = _announcement(transcript, span)
            if before > at and (said or begin_s > starts[0]):
                yield at, before, said
            at, said = max(at, behind), True
        if at < last and (said or begin_s > starts[0]):
            yield at, last, said


def _before(transcript: Transcript, announced: Sequence[Span], begin: int) -> Span | None:
    """Give the words that end at a word and announce what follows it; none where it was a clap."""
    ends = [whole for span in announced if (whole := _announcement(transcript, span))[1] == begin]
    return max(ends, key=lambda whole: whole[1] - whole[0]) if any(b > a for a, b in ends) else None


def _announcement(transcript: Transcript, span: Span) -> Span:
    """Give the words of the sentence that announces ("Okay, pick-up for the glue-up."), or of its phrase alone where it goes on."""
    for utterance in transcript.utterances:
        begin, end = utterance.span
        if begin <= span[0] and span[1] <= end and begin < span[1]:
            return utterance.span if end - begin <= _SENTENCE else span
    return span


def _agreeing(transcript: Transcript, begin: int, end: int) -> Iterator[tuple[Span, Span, float]]:
    """Give the passages of some words that agree with earlier words: the earlier ones, the later ones, and the share that agrees."""
    earlier = structs.replace(transcript, words=transcript.words[:begin], utterances=(), cues=())
    later = structs.replace(transcript, words=transcript.words[begin:end], utterances=(), cues=())
    if not earlier.words or not later.words:
        return
    passages: list[tuple[Span, Span, float]] = []
    for piece in map_cut(later, earlier).pieces:
        if piece.take_span is None:
            continue
        ours, theirs = (begin + piece.cut_span[0], begin + piece.cut_span[1]), piece.take_span
        agree = piece.confidence * (ours[1] - ours[0])
        if passages and 0 <= theirs[0] - passages[-1][0][1] <= _REWORDED >= ours[0] - passages[-1][1][1]:
            before, first, so_far = passages.pop()
            theirs, ours, agree = (before[0], theirs[1]), (first[0], ours[1]), so_far + agree
        passages.append((theirs, ours, agree))
    for theirs, ours, agree in passages:
        yield theirs, ours, agree / (ours[1] - ours[0])


def _whole_sentences(transcript: Transcript, span: Span) -> Span:
    """Take the rest of a sentence with it, where only little of it is left over."""
    begin, end = span
    for utterance in transcript.utterances:
        first, last = utterance.span
        left = max(0, begin - first) + max(0, last - end)
        if first < end and last > begin and left <= _TORSO * (last - first):
            begin, end = min(begin, first), max(end, last)
    return begin, end
