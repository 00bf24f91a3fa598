"""Finds moments of the talk again: by sentence, file and time, through another model's words and moved times."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from benchscribe.clock import clock
from benchscribe.decisions.tables import Anchor, OffRecord
from benchscribe.records import SourceFile, Transcript

SAME_SENTENCE: Final = 80.0
"""Likeness in percent from which two sentences are the same talk, heard by two models."""
NEAR_S: Final = 6.0
"""Two models put the same words within a second; sentences are cut differently, so allow more."""
_MOVED_S: Final = 1.5
"""Seconds within which a time alone, without a like sentence, still means the same moment."""


def likeness(one: str, other: str) -> float:
    """Compare two sentences by their words without the numbers, which models write each in their own way; 0 to 100."""
    from rapidfuzz import fuzz

    a, b = (re.sub(r"[^a-z ]+", " ", text.lower()) for text in (one, other))
    if not a.strip() or not b.strip():
        return 0.0
    return float(
        max(fuzz.token_sort_ratio(a, b), fuzz.partial_ratio(a, b) if min(len(a), len(b)) > 20 else 0.0)
    )


def running(anchor_file: str, at: float | None, start: float | None, transcript: Transcript) -> float | None:
    """Give the running time of a moment in this run: the file's place may have moved since it was written down.

    Args:
        anchor_file: Name of the file; empty where there was none.
        at: Seconds in it.
        start: Seconds of running time when it was written down.
        transcript: Of this run.

    Returns:
        None where there is no time, or the file is not among this run's.
    """
    if not anchor_file or at is None:
        return start
    home = file_named(anchor_file, transcript.files)
    return None if home is None else round(home.offset_s + at, 3)


def file_named(name: str, files: Sequence[SourceFile]) -> SourceFile | None:
    """Give the file of that name; captions of the same name stand for their recording."""
    stem = name.rpartition(".")[0] or name
    exact = next((f for f in files if f.name == name), None)
    return exact or next((f for f in files if (f.name.rpartition(".")[0] or f.name) == stem), None)


def find_utterance(transcript: Transcript, anchor: Anchor) -> int | None:
    """Find the sentence that an anchor means.

    A like sentence near the time comes first; then a like sentence anywhere, where there is no time to go by or only one is like it;
    then whatever is said at that very time.

    Returns:
        The number of the utterance, or None.
    """
    return find_sentence(
        transcript, anchor.sentence, running(anchor.file, anchor.at, anchor.start, transcript)
    )


def find_sentence(transcript: Transcript, sentence: str, time: float | None) -> int | None:
    """Find a sentence by its words and the running time at which it begins (None where there is none)."""
    near: list[tuple[float, int]] = []
    for number, utterance in enumerate(transcript.utterances):
        if time is None or utterance.start_s is None:
            continue
        away = abs(utterance.start_s - time)
        if away <= NEAR_S:
            near.append((away, number))
    words = _plain(sentence)
    for _, number in sorted(near):
        if words and _plain(transcript.text(transcript.utterances[number].span)) == words:
            return number
    like = [
        (-score, away, number)
        for away, number in near
        if (score := likeness(sentence, transcript.text(transcript.utterances[number].span))) >= SAME_SENTENCE
    ]
    if like:
        return min(like)[2]
    if time is not None and near and min(near)[0] <= _MOVED_S:
        return min(near)[1]
    return _anywhere(transcript, words)


def _anywhere(transcript: Transcript, words: str) -> int | None:
    """Give the one sentence with these words, whatever its time; None where there are several, or too few words to tell."""
    if len(words.split()) < 3:
        alike = [
            n
            for n, u in enumerate(transcript.utterances)
            if words and _plain(transcript.text(u.span)) == words
        ]
        return alike[0] if len(alike) == 1 else None
    alike = [n for n, u in enumerate(transcript.utterances) if _plain(transcript.text(u.span)) == words]
    if not alike:
        alike = [
            n
            for n, u in enumerate(transcript.utterances)
            if likeness(words, transcript.text(u.span)) >= SAME_SENTENCE
            and abs(len(words) - len(_plain(transcript.text(u.span)))) <= 0.4 * len(words)
        ]
    return alike[0] if len(alike) == 1 else None


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[^\w/.]+", " ", text.lower()).replace(". ", " ").strip(" .").split())


def is_off_record(anchor: Anchor, stretches: Sequence[OffRecord]) -> bool:
    """Tell whether a moment lies in a stretch that is off the record."""
    for stretch in stretches:
        if anchor.sentence and anchor.sentence in (stretch.sentence, stretch.to_sentence):
            return True
        if stretch.file != anchor.file or anchor.at is None or stretch.at is None or stretch.to_at is None:
            continue
        if stretch.at - 0.5 <= anchor.at <= stretch.to_at + 0.5:
            return True
    return False


def said_at(anchor: Anchor) -> str:
    """Say when an anchor was: " at 12:31 of take-1.m4a"; empty where there is no time."""
    if anchor.start is None and anchor.at is None:
        return ""
    where = f" of {anchor.file}" if anchor.file else ""
    return f" at {clock((anchor.at if anchor.file and anchor.at is not None else anchor.start) or 0)}{where}"
