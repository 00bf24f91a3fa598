"""Throw out what a recogniser makes up: words over and over, and words where nobody speaks. Each time, a note says where and why."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from msgspec import Struct, structs

from benchscribe.clock import clock
from benchscribe.listen.loops import drop_loops
from benchscribe.listen.phrases import Heard, Phrase
from benchscribe.listen.windows import Span
from benchscribe.records import Gap, Word

_MARGIN_S: Final = 0.6
"""Word times are within 0.8 s of the truth (95th percentile); speech ends a little before the recogniser thinks."""
_NOBODY: Final = 0.6
_UNSURE: Final = -1.0
_WILD: Final = -1.6
"""Mean log probability under which a whole window is noise, whatever else the recogniser says."""


class Cleaned(Struct, frozen=True):
    """Words that somebody said, and what was thrown out."""

    words: tuple[Word, ...]
    gaps: tuple[Gap, ...]


def clean(heard: Heard) -> Cleaned:
    """Throw out repeat loops and text in silence.

    Args:
        heard: What was heard in one piece, with times from the start of the piece.
    """
    words: list[Word] = []
    gaps: list[Gap] = []
    for phrase in heard.phrases:
        if _is_noise(phrase):
            gaps.append(_silence(phrase.words))
            continue
        kept, silent = _spoken(phrase.words, heard.speech)
        words.extend(kept)
        gaps.extend(silent)
    words, loops = drop_loops(words)
    return Cleaned(tuple(words), tuple(sorted((*gaps, *loops), key=lambda gap: gap.start_s or 0.0)))


def _is_noise(phrase: Phrase) -> bool:
    if not phrase.words:
        return False
    return (phrase.no_speech > _NOBODY and phrase.log_probability < _UNSURE) or phrase.log_probability < _WILD


def _spoken(words: Sequence[Word], speech: Sequence[Span]) -> tuple[list[Word], list[Gap]]:
    """Part words where somebody speaks from words where nobody does."""
    kept: list[Word] = []
    silent: list[Word] = []
    gaps: list[Gap] = []
    for word in words:
        if _in_speech(word, speech):
            kept.append(word)
            gaps += [_silence(silent)] if silent else []
            silent = []
        else:
            silent.append(word)
    return kept, gaps + ([_silence(silent)] if silent else [])


def _in_speech(word: Word, speech: Sequence[Span]) -> bool:
    if word.start_s is None or word.end_s is None:
        return True
    return any(
        word.start_s <= part.end_s + _MARGIN_S and word.end_s >= part.start_s - _MARGIN_S for part in speech
    )


def _silence(words: Sequence[Word]) -> Gap:
    said = " ".join(word.text for word in words)
    return Gap(
        kind="text-in-silence",
        note=f'"{said}" was written where nobody speaks; left out',
        start_s=words[0].start_s or 0.0,
        end_s=words[-1].end_s or 0.0,
    )


def move(cleaned: Cleaned, offset_s: float) -> Cleaned:
    """Shift all times, and put them into the notes."""
    words = tuple(
        Word(
            word.text,
            None if word.start_s is None else round(word.start_s + offset_s, 3),
            None if word.end_s is None else round(word.end_s + offset_s, 3),
            word.confidence,
        )
        for word in cleaned.words
    )
    return Cleaned(words, tuple(_moved(gap, offset_s) for gap in cleaned.gaps))


def _moved(gap: Gap, offset_s: float) -> Gap:
    start, end = round((gap.start_s or 0.0) + offset_s, 3), round((gap.end_s or 0.0) + offset_s, 3)
    return structs.replace(gap, start_s=start, end_s=end, note=f"{clock(start)}: {gap.note}")
