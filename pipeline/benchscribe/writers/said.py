"""What was said, ready to be shown: sizes written right, trade words repaired, nothing else touched.

Captions stay true to what was said. A taken-back value stays, a slip stays; only the writing is put right.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

from msgspec import Struct

from benchscribe.measures.write import write_measure
from benchscribe.records import EpisodeRecord, Measure, Span
from benchscribe.writers.sizes import places_of, size
from benchscribe.writers.text import plain

_CLOSING: Final = re.compile(r"[.,;:!?\u2026)\]]+$")
_OPENING: Final = re.compile(r"^[(\[\u201c\"'\u2018]+")
_SHORT_UNIT: Final = re.compile(r"(?:^|\d)(?:in|ft|yd|mm|cm|m|deg)\.$", re.IGNORECASE)
_SPOKEN_INCH: Final = re.compile(r"\b(inch(?:es)?)\b", re.IGNORECASE)
_MADE_NOUN: Final = re.compile(r"(?:foot|inch|yard)ers?\b", re.IGNORECASE)
_WRITTEN_UNIT: Final = re.compile(r" ?(?:in|ft|yd|mm|cm|m|thou|°)$")
_LONGEST_GLUED: Final = 30
_SMALL_I: Final = re.compile(r"^([(\[\u201c\"'\u2018]*)i(?=$|['\u2019](?:m|ve|ll|d|s|re)\b|[.,;:!?\u2026]+$)")
"""The word "I" as a recogniser without capitals writes it."""


class Token(Struct, frozen=True):
    """A word, or words that may not be torn apart: a size with its unit, a number of the trade."""

    text: str
    span: Span
    start_s: float | None
    end_s: float | None
    bound: bool = False
    """It makes one name with the next ("drill" of "drill press")."""

    @property
    def spoken(self) -> int:
        """How many words were said for it."""
        return self.span[1] - self.span[0]


def tokens(record: EpisodeRecord, span: Span | None = None) -> tuple[Token, ...]:
    """Give everything that was said, in order, as it is to be read; every word exactly once.

    Args:
        record: The episode.
        span: Only what was said here; a size that runs over the edge stands where it begins. None for everything.
    """
    words = record.transcript.words
    within = span or (0, len(words))
    shown = dict(_rewritten(record, within))
    bound = {n for m in record.mentions for n in range(m.span[0], m.span[1] - 1)}
    made = []
    at = within[0]
    while at < within[1]:
        end, text = shown.get(at, (at + 1, words[at].text))
        text = _SMALL_I.sub(r"\1I", plain(text))
        if text:
            starts = [w.start_s for w in words[at:end] if w.start_s is not None]
            ends = [w.end_s for w in words[at:end] if w.end_s is not None]
            start, until = starts[0] if starts else None, ends[-1] if ends else None
            made.append(Token(text, (at, end), start, until, end - 1 in bound))
        at = end
    return tuple(made)


def said_text(record: EpisodeRecord, span: Span, text: str) -> str:
    """Give a passage as it is to be read, sizes written right and trade words repaired.

    Args:
        record: The episode.
        span: Where it was said.
        text: What the record has of it; where that is not word for word what was said there, it is given back as it is.
    """
    if _letters(record.transcript.text(span)) != _letters(text):
        return plain(text)
    return " ".join(t.text for t in tokens(record, span))


def _letters(text: str) -> str:
    return re.sub(r"\W+", " ", text).strip().casefold()


def spoken_size(measure: Measure) -> str:
    """Write a size as it was said: with its unit where the unit was said, without where it was not.

    "In" for inches reads like the preposition in running talk, so an inch that was said is written out.
    """
    feet = re.search(r"\b(?:foot|feet|ft)\b|\d'", measure.words, re.IGNORECASE)
    written = (
        write_measure(measure.value, measure.unit, "ft-in")
        if feet
        else size(measure.value, measure.unit, places=places_of(measure.value, measure.words))
    )
    if not measure.unit_said:
        return _WRITTEN_UNIT.sub("", written)
    if _MADE_NOUN.search(measure.words):
        return plain(measure.words)  # "eight footers" is said of boards, and is no size to be written
    inch = _SPOKEN_INCH.search(measure.words)
    if inch and written.endswith(" in") and "ft" not in written:
        middle = not measure.words.rstrip(" .,").casefold().endswith(("inch", "inches"))
        several = inch[1].casefold() == "inches" or (middle and measure.value > 1)
        return f"{written[:-3]} {'inches' if several else 'inch'}"
    return written


def _rewritten(record: EpisodeRecord, within: Span) -> Iterable[tuple[int, tuple[int, str]]]:
    """Give, for the first word of each stretch that is written otherwise, its end and its text. No two overlap."""
    words = record.transcript.words
    taken: set[int] = set()

    def free(span: Span) -> bool:
        inside = range(span[0], span[1])
        return (
            within[0] <= span[0] < min(span[1], within[1])
            and 0 <= span[0] < span[1] <= len(words)
            and taken.isdisjoint(inside)
        )

    for measure in record.measures:
        if free(measure.span):
            taken.update(range(*measure.span))
            yield measure.span[0], (measure.span[1], _dressed(record, measure.span, spoken_size(measure)))
    for repair in record.repairs:
        if free(repair.span):
            taken.update(range(*repair.span))
            yield repair.span[0], (repair.span[1], _dressed(record, repair.span, plain(repair.meant)))
    for number in record.trade_numbers:
        text = record.transcript.text(number.span) if free(number.span) else ""
        if text and len(text) <= _LONGEST_GLUED:
            taken.update(range(*number.span))
            yield number.span[0], (number.span[1], text)


def _dressed(record: EpisodeRecord, span: Span, text: str) -> str:
    """Put back the punctuation that stood before and after the words."""
    words = record.transcript.words
    first, last = words[span[0]].text, words[span[1] - 1].text
    opening = _OPENING.search(first)
    closing = _CLOSING.search(last)
    after = closing[0] if closing else ""
    if (
        after == "."
        and _SHORT_UNIT.search(last)
        and span[1] < len(words)
        and not words[span[1]].text[:1].isupper()
    ):
        after = ""  # the full stop of "in." and not of the sentence
    return f"{opening[0] if opening else ''}{text}{after}"
