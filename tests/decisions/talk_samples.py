"""Small transcripts made by hand, for the tests of decisions."""

from __future__ import annotations

from collections.abc import Sequence

from benchscribe.records import Cue, SourceFile, Transcript, Utterance, Word

BENCH = (
    "Right then the next piece is the long rail.",
    "I cut it at fourteen and five eighths off the stop.",
    "My neighbour Alwin owes me forty for the sells.",
    "Now the sells get a groove all along the edge.",
    "That is the last of them for today.",
)


def talk(
    sentences: Sequence[str] = BENCH,
    *,
    name: str = "take-1.m4a",
    start_s: float = 10.0,
    pause_s: float = 2.0,
    times: bool = True,
    cues: bool = False,
) -> Transcript:
    """Make a transcript: every word half a second, a pause between sentences."""
    words: list[Word] = []
    utterances, made = [], []
    at = start_s
    for sentence in sentences:
        first = len(words)
        for text in sentence.split():
            words.append(Word(text, at, at + 0.4, 0.9) if times else Word(text))
            at += 0.5
        utterances.append(Utterance((first, len(words)), words[first].start_s, words[-1].end_s))
        made.append(Cue((first, len(words)), words[first].start_s, words[-1].end_s))
        at += pause_s
    file = SourceFile(
        name=name, offset_s=0.0, duration_s=at if times else None, kind="audio" if times else "notes"
    )
    return Transcript(
        files=(file,),
        clock="takes" if times else "none",
        words=tuple(words),
        utterances=tuple(utterances),
        cues=tuple(made) if cues else (),
    )


def said(transcript: Transcript) -> str:
    """Give all words of a transcript."""
    return transcript.text((0, len(transcript.words)))
