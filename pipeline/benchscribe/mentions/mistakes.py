"""Stretches in which the work went wrong, from the sentence in which the doomed work begins to where it is done again."""

from __future__ import annotations

import re
import tomllib
from functools import lru_cache
from importlib import resources
from typing import Final

from msgspec import Struct

from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Mistake, Transcript

_ENOUGH: Final = 2.0
"""Weight of the signs in one stretch that makes it a mistake."""
_GAP: Final = 3
"""Utterances without a sign that may stand inside a stretch where there are no times."""
_GAP_S: Final = 11.0
"""Seconds without a sign that may stand inside a stretch."""
_LONGEST: Final = 18
"""Utterances in the longest stretch."""
_BACK_S: Final = 22.0
"""Seconds before the first sign in which the doomed work began, where a sentence opens it."""
_NEAR_S: Final = 8.0
"""Seconds before the first sign that belong to it where no sentence opens it."""
_BREAK_S: Final = 7.0
"""Silence in which the camera was off."""
_BEFORE_BREAK_S: Final = 50.0
"""Before such a break what went wrong was noticed at most so long ago."""
_AFTERWARDS: Final = 3
"""Utterances before the break of which one still speaks of it."""
_ENOUGH_WITH_REDO: Final = 1.5
_ENOUGH_WITHOUT: Final = 2.5
"""Weight of the signs before a break that makes a mistake, where it is said that the work is done again, and where it is not."""
_BACK: Final = 6
"""Utterances before the first sign, at most."""
_OPENS: Final = re.compile(
    r"(?:right|and then|then|now|next|okay|ok|so|all right|alright|first|and now)\b(?! that's| it's| this| i've)"
)


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
    restarts = _restarts(transcript, texts, weights, vocabulary)
    at = 0
    while at < len(texts):
        if at in restarts:
            begin, end = at, restarts[at]
            out.append(_stretch(transcript, weights, (_begin(transcript, texts, begin), end), begin))
            at = end + 1
            continue
        if not weights[at][0]:
            at += 1
            continue
        last = _stretch_end(transcript, weights, at)
        total = sum(w for w, _ in weights[at : last + 1])
        if total >= _ENOUGH and len({s for _, signs in weights[at : last + 1] for s in signs}) > 1:
            out.append(_mistake(transcript, texts, weights, (at, last), vocabulary))
        at = last + 1
    return tuple(out)


class _Mishaps(Struct, frozen=True):
    """The tables of `mishaps.toml`."""

    signs: tuple[tuple[re.Pattern[str], float], ...]
    again: re.Pattern[str]


@lru_cache(maxsize=1)
def _mishaps() -> _Mishaps:
    table = tomllib.loads(
        resources.files("benchscribe.mentions").joinpath("words/mishaps.toml").read_text("utf-8")
    )
    return _Mishaps(
        signs=tuple((re.compile(pattern), float(weight)) for pattern, weight in table["signs"]),
        again=re.compile(table["again"]),
    )


def _restarts(
    transcript: Transcript,
    texts: list[str],
    weights: list[tuple[float, tuple[int, ...]]],
    vocabulary: Vocabulary,
) -> dict[int, int]:
    """Find mistakes that end with a break in the talk: the camera was off while a new piece was made ready.

    Returns:
        For the utterance with the first sign, the last one before the break.
    """
    found: dict[int, int] = {}
    free = 0
    for number in range(1, len(texts)):
        ended = transcript.words[transcript.utterances[number].span[0] - 1].end_s
        began = transcript.utterances[number].start_s
        if ended is None or began is None or began - ended < _BREAK_S:
            continue
        near = [
            i
            for i in range(max(free, number - _LONGEST), number)
            if began - (transcript.utterances[i].start_s or 0.0) <= _BEFORE_BREAK_S
        ]
        signs = {i: _mishap_signs(texts[i]) for i in near}
        told = [i for i in near if signs[i] or weights[i][0]]
        if (
            not told
            or number - told[-1] > _AFTERWARDS
            or any(_starts_with(texts[i], vocabulary) for i in near[1:])
        ):
            # The talk has gone on since, or the work was begun again before the break.
            continue
        total = sum(w for i in near for w in signs[i].values()) + sum(weights[i][0] for i in near)
        kinds = {k for i in near for k in signs[i]} | {-1 - k for i in near for k in weights[i][1]}
        redone = any(_mishaps().again.search(text) for text in texts[max(0, number - 2) : number + 1])
        if total >= (_ENOUGH_WITH_REDO if redone else _ENOUGH_WITHOUT) and len(kinds) > 1:
            found[told[0]] = number - 1
            free = number
    return found


def _mishap_signs(text: str) -> dict[int, float]:
    return {k: weight for k, (pattern, weight) in enumerate(_mishaps().signs) if pattern.search(text)}


def _weight(text: str, vocabulary: Vocabulary) -> tuple[float, tuple[int, ...]]:
    if vocabulary.phrases.no_mistake.search(text):
        return 0.0, ()
    hits = [
        (i, weight) for i, (pattern, weight) in enumerate(vocabulary.phrases.mistake) if pattern.search(text)
    ]
    return sum(w for _, w in hits), tuple(i for i, _ in hits)


def _stretch_end(transcript: Transcript, weights: list[tuple[float, tuple[int, ...]]], first: int) -> int:
    """Give the last utterance of a stretch: signs go on, with no longer pause between them than `_GAP_S` (or `_GAP` utterances without times)."""
    last = first
    for i in range(first + 1, min(len(weights), first + _LONGEST)):
        ended, began = transcript.utterances[last].end_s, transcript.utterances[i].start_s
        far = i - last > _GAP if ended is None or began is None else began - ended > _GAP_S
        if far:
            break
        if weights[i][0]:
            last = i
    return last


def _mistake(
    transcript: Transcript,
    texts: list[str],
    weights: list[tuple[float, tuple[int, ...]]],
    stretch: tuple[int, int],
    vocabulary: Vocabulary,
) -> Mistake:
    first, last = stretch
    begin = _begin(transcript, texts, first)
    end = last
    for i in range(first + 1, min(last + 2, len(texts))):
        # The stretch ends where the work is done again.
        if vocabulary.phrases.redo.search(texts[i]) and sum(w for w, _ in weights[first:i]) >= 1.0:
            end = i if not _starts_with(texts[i], vocabulary) else i - 1
            break
    end = max(end, first)
    return _stretch(transcript, weights, (begin, end), first)


def _stretch(
    transcript: Transcript, weights: list[tuple[float, tuple[int, ...]]], within: tuple[int, int], first: int
) -> Mistake:
    """Make a mistake of the utterances from one to another; the strongest sign from `first` on says why."""
    begin, end = within
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
    """Go back to the sentence in which the work was begun: the last one that opens something, within some seconds."""
    noticed = transcript.utterances[first].start_s
    nearest = first
    for i in range(first, max(-1, first - _BACK - 1), -1):
        began = transcript.utterances[i].start_s
        if noticed is not None and began is not None and noticed - began > _BACK_S:
            break
        if _OPENS.match(texts[i]) and i < first:
            return i
        if noticed is None or began is None or noticed - began <= _NEAR_S:
            nearest = i
    return nearest
