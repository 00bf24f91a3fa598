"""The maker's own phrases, said on camera on purpose: what they strike from the record, warn of, or put off.

A plan note is the business of the findings; the other three are here.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence

from msgspec import structs

from benchscribe.clock import clock
from benchscribe.errors import BuildError
from benchscribe.records import Cue, Gap, Hazard, Mentions, Promise, Span, Transcript, Utterance, Word
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
    gone = [transcript.utterances[number] for number in sorted(struck)]
    lost = {index for utterance in gone for index in range(*utterance.span)}
    gaps = [
        Gap(start_s=u.start_s, end_s=u.end_s, kind="off-record", note="left out, as you asked while filming")
        for u in gone
    ]
    return _without(transcript, lost, gaps)


def strike_stretches(transcript: Transcript, stretches: Sequence[tuple[str, float, float]]) -> Transcript:
    """Take stretches that the maker discards off the record, before any other stage sees them.

    Args:
        transcript: What was said.
        stretches: Name of the file, and from which second of it to which.

    Raises:
        BuildError: A stretch begins behind the end of its file.
    """
    lost: set[int] = set()
    gaps: list[Gap] = []
    for name, from_s, to_s in stretches:
        file = next(f for f in transcript.files if f.name == name)
        if file.duration_s is not None and from_s >= file.duration_s:
            raise BuildError(
                f"{name} is discarded from {clock(from_s)} on, and it ends at {clock(file.duration_s)}", where="episode.toml: discard"
            )  # fmt: skip
        begin, end = file.offset_s + from_s, file.offset_s + to_s
        lost.update(
            n
            for n, w in enumerate(transcript.words)
            if w.start_s is not None and begin <= (w.start_s + (w.end_s or w.start_s)) / 2 < end
        )
        note = f"{name} {clock(from_s)} to {clock(to_s)}: discarded in episode.toml"
        gaps.append(Gap(start_s=begin, end_s=end, kind="off-record", note=note))
    return _without(transcript, lost, gaps) if stretches else transcript


def _without(transcript: Transcript, lost: Collection[int], gaps: Sequence[Gap]) -> Transcript:
    """Give the transcript without some words; a sentence that has lost all of its words goes, others keep their times."""
    before = [0]
    for number in range(len(transcript.words)):
        before.append(before[-1] + (number not in lost))

    def moved(span: Span) -> Span:
        return before[span[0]], before[span[1]]

    def kept(span: Span) -> bool:
        return before[span[0]] < before[span[1]]

    words = tuple(word for number, word in enumerate(transcript.words) if number not in lost)
    return structs.replace(
        transcript,
        words=words,
        utterances=tuple(_clipped(u, moved(u.span), words) for u in transcript.utterances if kept(u.span)),
        cues=tuple(Cue(moved(cue.span), cue.start_s, cue.end_s) for cue in transcript.cues if kept(cue.span)),
        gaps=(*transcript.gaps, *gaps),
    )


def _clipped(utterance: Utterance, span: Span, words: Sequence[Word]) -> Utterance:
    """Give a sentence with the words that are left of it, and their times where it has lost some."""
    if span[1] - span[0] == utterance.span[1] - utterance.span[0]:
        return structs.replace(utterance, span=span)
    return structs.replace(
        utterance, span=span, start_s=words[span[0]].start_s, end_s=words[span[1] - 1].end_s
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
