"""Stretches in which the work went wrong, from the sentence in which the doomed work begins to where it is done again."""

from __future__ import annotations

from typing import Final

from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Mistake, Transcript

_ENOUGH: Final = 2.5
"""Weight of the signs in one stretch that makes it a mistake."""
_GAP: Final = 3
"""Utterances without a sign that may stand inside a stretch."""
_LONGEST: Final = 14
_BACK_S: Final = 14.0
"""Seconds before the first sign in which the doomed work began."""
_BACK: Final = 3
"""Utterances before the first sign, at most."""


def find_mistakes(talk: Talk, transcript: Transcript, vocabulary: Vocabulary) -> tuple[Mistake, ...]:
    """Find stretches that went wrong.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        vocabulary: The signs and their weights.
    """
    texts = [talk.marked(span) for span in talk.spans]
    weights = [_weight(text, vocabulary) for text in texts]
    out: list[Mistake] = []
    at = 0
    while at < len(texts):
        if not weights[at][0]:
            at += 1
            continue
        last = _stretch_end(weights, at)
        total = sum(w for w, _ in weights[at : last + 1])
        if total >= _ENOUGH and len({s for _, signs in weights[at : last + 1] for s in signs}) > 1:
            out.append(_mistake(transcript, talk, texts, weights, at, last, vocabulary))
        at = last + 1
    return tuple(out)


def _weight(text: str, vocabulary: Vocabulary) -> tuple[float, tuple[int, ...]]:
    hits = [
        (i, weight) for i, (pattern, weight) in enumerate(vocabulary.phrases.mistake) if pattern.search(text)
    ]
    return sum(w for _, w in hits), tuple(i for i, _ in hits)


def _stretch_end(weights: list[tuple[float, tuple[int, ...]]], first: int) -> int:
    last = first
    for i in range(first + 1, min(len(weights), first + _LONGEST)):
        if weights[i][0]:
            last = i
        elif i - last >= _GAP:
            break
    return last


def _mistake(
    transcript: Transcript,
    talk: Talk,
    texts: list[str],
    weights: list[tuple[float, tuple[int, ...]]],
    first: int,
    last: int,
    vocabulary: Vocabulary,
) -> Mistake:
    begin = _begin(transcript, texts, first)
    end = last
    for i in range(first + 1, min(last + 2, len(texts))):
        # The stretch ends where the work is done again.
        if vocabulary.phrases.redo.search(texts[i]) and sum(w for w, _ in weights[first:i]) >= 1.0:
            end = i if not _starts_with(texts[i], vocabulary) else i - 1
            break
    end = max(end, first)
    start, stop = transcript.utterances[begin], transcript.utterances[end]
    strongest = max(range(first, end + 1), key=lambda i: weights[i][0])
    return Mistake(
        start_s=start.start_s,
        end_s=stop.end_s,
        span=(start.span[0], stop.span[1]),
        why=transcript.text(transcript.utterances[strongest].span),
        text=transcript.text((start.span[0], stop.span[1])),
    )


def _starts_with(text: str, vocabulary: Vocabulary) -> bool:
    found = vocabulary.phrases.redo.search(text)
    return bool(found and found.start() < 30)


def _begin(transcript: Transcript, texts: list[str], first: int) -> int:
    """Go back to the sentence in which the work was begun: the last one that opens something, within a few seconds."""
    at = first
    noticed = transcript.utterances[first].start_s
    for back in range(1, _BACK + 1):
        i = first - back
        if i < 0:
            break
        began = transcript.utterances[i].start_s
        if noticed is not None and began is not None and noticed - began > _BACK_S:
            break
        at = i
        if texts[i].startswith(
            ("right ", "right.", "and then", "then ", "now ", "next", "okay", "ok ", "so ", "all right")
        ):
            break
    return at
