"""The maker's own phrases, said on camera on purpose: what they strike from the record, warn of, or put off.

A plan note is the business of the findings; the other three are here.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence

from msgspec import structs

from benchscribe.records import Cue, Gap, Hazard, Mentions, Promise, Span, Transcript, Utterance
from benchscribe.spoken.phrases import phrase_book
from benchscribe.spoken.words import token


def strike_marked(transcript: Transcript, phrases: Sequence[str]) -> Transcript:
    """Take every sentence that holds one of the phrases off the record, before any other stage sees it.

    Args:
        transcript: What was said.
        phrases: The maker's phrases for "leave this out".

    Returns:
        The transcript without those words, each struck stretch noted as a gap; other words keep their times.
    """
    struck = _utterances_with(transcript, phrases)
    if not struck:
        return transcript
    gone = [transcript.utterances[number] for number in struck]
    keep = [True] * len(transcript.words)
    for utterance in gone:
        keep[utterance.span[0] : utterance.span[1]] = [False] * (utterance.span[1] - utterance.span[0])
    before = [0]
    for kept in keep:
        before.append(before[-1] + kept)

    def moved(span: Span) -> Span:
        return before[span[0]], before[span[1]]

    gaps = [
        Gap(start_s=u.start_s, end_s=u.end_s, kind="off-record", note="left out, as you asked while filming")
        for u in gone
    ]
    return structs.replace(
        transcript,
        words=tuple(word for word, kept in zip(transcript.words, keep, strict=True) if kept),
        utterances=tuple(
            Utterance(moved(u.span), u.start_s, u.end_s, u.heading)
            for number, u in enumerate(transcript.utterances)
            if number not in struck
        ),
        cues=tuple(
            Cue(span, cue.start_s, cue.end_s)
            for cue in transcript.cues
            if (span := moved(cue.span))[0] < span[1]
        ),
        gaps=(*transcript.gaps, *gaps),
    )


def with_marked(
    mentions: Mentions, transcript: Transcript, *, warning: Sequence[str], next_time: Sequence[str]
) -> Mentions:
    """Add the warnings and promises that the maker's own phrases declare.

    Args:
        mentions: What was found without them.
        transcript: What was said.
        warning: Phrases that make their sentence a caution.
        next_time: Phrases that make their sentence a promise.
    """
    hazards = list(mentions.hazards)
    for number in sorted(_utterances_with(transcript, warning)):
        utterance = transcript.utterances[number]
        if not _holds(hazards, utterance):
            said = transcript.text(utterance.span)
            hazards.append(
                Hazard(
                    start_s=utterance.start_s,
                    end_s=utterance.end_s,
                    name="warning",
                    caution=said,
                    source="said in the talk, marked with your own phrase",
                    words=said,
                    said=True,
                )
            )
    promises = list(mentions.promises)
    for number in sorted(_utterances_with(transcript, next_time)):
        utterance = transcript.utterances[number]
        if not any(p.span[0] < utterance.span[1] and utterance.span[0] < p.span[1] for p in promises):
            promises.append(
                Promise(
                    start_s=utterance.start_s,
                    end_s=utterance.end_s,
                    span=utterance.span,
                    text=transcript.text(utterance.span),
                )
            )
    promises.sort(key=lambda promise: promise.span)
    return structs.replace(mentions, hazards=tuple(hazards), promises=tuple(promises))


def _holds(hazards: Iterable[Hazard], utterance: Utterance) -> bool:
    return utterance.start_s is not None and any(h.said and h.start_s == utterance.start_s for h in hazards)


def _utterances_with(transcript: Transcript, phrases: Sequence[str]) -> frozenset[int]:
    """Give the numbers of the utterances that a phrase touches."""
    pairs = [
        ("marked", " ".join(words))
        for phrase in phrases
        if (words := [clean for word in phrase.split() if (clean := token(word))])
    ]
    if not pairs:
        return frozenset()
    tokens = [token(word.text) for word in transcript.words]
    starts = [utterance.span[0] for utterance in transcript.utterances]
    found: set[int] = set()
    for hit in phrase_book(pairs).find(tokens):
        found |= {max(0, bisect_right(starts, word) - 1) for word in range(hit.start, hit.end)}
    return frozenset(found)
