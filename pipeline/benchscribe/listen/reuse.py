"""What sounds the same as something that was heard before is not listened to again: its words are taken over, at their new times.

A published cut is exported again and again, and most of it is the takes' own sound. Stretches that are the same sound are found first
(`benchscribe.sound`); of these only whole phrases are taken over, from a pause to a pause that lies between two words of the earlier
hearing as well. Everything else is listened to.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import Final

from msgspec import Struct, structs

from benchscribe.listen.journal import HeardFile
from benchscribe.listen.windows import Span
from benchscribe.records import Word
from benchscribe.sound import Bands, find_same

_SURE: Final = 0.8
"""Likeness over the whole of a stretch, below which it is listened to."""
_SLIP_S: Final = 0.2
"""Word times are within a fifth of a second of the truth (median); a pause may be dated so much too early or too late."""
_PAUSE_S: Final = 0.25
"""The shortest pause between two words of the earlier hearing at which words are parted."""
_SHORTEST_S: Final = 2.5
"""Less than this between two stretches that must be heard is heard with them."""


class Earlier(Struct, frozen=True):
    """A recording that was heard before."""

    heard: HeardFile
    sound: Bands


class Stretch(Struct, frozen=True):
    """A stretch of a recording whose words are known."""

    from_s: float
    to_s: float
    words: tuple[Word, ...]
    """With times from the start of the recording."""


class Source(Struct, frozen=True):
    """A stretch of the recording that is the same sound as one that was heard before."""

    from_s: float
    to_s: float
    lag_s: float
    """Seconds by which the earlier recording is ahead."""
    words: tuple[Word, ...]
    """Dated, in the earlier recording's time."""
    gaps: tuple[tuple[float, float], ...]
    """Where something was wrong with the earlier hearing."""


def find_sources(sound: Bands, earlier: Sequence[Earlier]) -> tuple[Source, ...]:
    """Find the stretches of a recording that are the same sound as one that was heard before.

    Args:
        sound: The recording.
        earlier: What was heard before with the same model and settings. Where several have the same sound the first counts, so that
            the words of a cut that is exported again stay the words that they were.

    Returns:
        Stretches in order, none overlapping.
    """
    out: list[Source] = []
    for other in earlier:
        dated = tuple(w for w in other.heard.words if w.start_s is not None and w.end_s is not None)
        wrong = tuple((g.start_s or 0.0, g.end_s or g.start_s or 0.0) for g in other.heard.gaps)
        for same in find_same(sound, [other.sound]):
            if same.likeness >= _SURE:
                source = Source(same.from_s, same.to_s, same.at_s - same.from_s, dated, wrong)
                out += _free(source, out)
        out.sort(key=lambda source: source.from_s)
    return tuple(out)


def _free(source: Source, taken: Sequence[Source]) -> list[Source]:
    """Give the parts of a stretch that no other has."""
    parts: list[Source] = []
    at = source.from_s
    for other in sorted(taken, key=lambda t: t.from_s):
        if other.to_s <= at or other.from_s >= source.to_s:
            continue
        if other.from_s - at >= _SHORTEST_S:
            parts.append(structs.replace(source, from_s=at, to_s=other.from_s))
        at = max(at, other.to_s)
    if source.to_s - at >= _SHORTEST_S or at == source.from_s:
        parts.append(structs.replace(source, from_s=at))
    return parts


def known_stretches(speech: Sequence[Span], sources: Sequence[Source]) -> tuple[Stretch, ...]:
    """Give the stretches whose words are known.

    Args:
        speech: Where somebody speaks in the recording, pauses between; in order.
        sources: As `find_sources` gives them.

    Returns:
        Stretches in order, each from a pause to a pause. The silence between two of them needs no listening either.
    """
    out: list[Stretch] = []
    for source in sources:
        inside = [
            n
            for n, part in enumerate(speech)
            if source.from_s <= part.start_s + 0.02 and part.end_s <= source.to_s + 0.02
        ]
        if inside:
            stretch = _between_pauses(speech, inside[0], inside[-1], source)
            out += [stretch] if stretch is not None else []
    return tuple(s for s in out if s.to_s - s.from_s >= _SHORTEST_S or _alone(s, out, speech))


def unknown_stretches(
    speech: Sequence[Span], known: Sequence[Stretch], within: tuple[float, float]
) -> Iterator[Span]:
    """Give what must be listened to: from one known stretch to the next, where somebody speaks between them.

    Args:
        speech: Where somebody speaks.
        known: In order.
        within: The seconds of the recording in question.
    """
    at = within[0]
    for begin, end in [*((s.from_s, s.to_s) for s in known), (within[1], within[1])]:
        if any(part.start_s < begin - 0.02 and part.end_s > at + 0.02 for part in speech):
            yield Span(at, begin)
        at = max(at, end)


def _alone(stretch: Stretch, every: Sequence[Stretch], speech: Sequence[Span]) -> bool:
    """Tell whether nothing beside a short stretch must be listened to anyway."""
    ends = [s.to_s for s in every if s.to_s <= stretch.from_s]
    begins = [s.from_s for s in every if s.from_s >= stretch.to_s]
    low, high = max(ends, default=0.0), min(begins, default=float("inf"))
    return not any(
        (low < part.end_s <= stretch.from_s) or (stretch.to_s <= part.start_s < high) for part in speech
    )


def _between_pauses(speech: Sequence[Span], first: int, last: int, source: Source) -> Stretch | None:
    """Take the phrases of a stretch, less those at its ends that cannot be parted surely from what was said beside them."""
    begin = end = None
    while first <= last and (begin := _parted(source, _pause_before(speech, first, source))) is None:
        first += 1
    while last >= first and (end := _parted(source, _pause_behind(speech, last, source))) is None:
        last -= 1
    if first > last or begin is None or end is None:
        return None
    from_s = max(source.from_s, _pause_before(speech, first, source)[0])
    to_s = min(source.to_s, _pause_behind(speech, last, source)[1])
    low, high = from_s + source.lag_s, to_s + source.lag_s
    if any(a < high and b > low for a, b in source.gaps):
        return None
    return Stretch(from_s, to_s, tuple(_moved(word, source.lag_s) for word in source.words[begin:end]))


def _pause_before(speech: Sequence[Span], number: int, source: Source) -> tuple[float, float]:
    before = speech[number - 1].end_s if number else 0.0
    return max(before, source.from_s), speech[number].start_s


def _pause_behind(speech: Sequence[Span], number: int, source: Source) -> tuple[float, float]:
    after = speech[number + 1].start_s if number + 1 < len(speech) else source.to_s
    return speech[number].end_s, min(after, source.to_s)


def _parted(source: Source, pause: tuple[float, float]) -> int | None:
    """Give the word of the earlier hearing before which a pause lies; None where it lies between no two words."""
    low, high = pause[0] + source.lag_s - _SLIP_S, pause[1] + source.lag_s + _SLIP_S
    words = source.words
    at = bisect_left(words, (low + high) / 2, key=lambda w: ((w.start_s or 0.0) + (w.end_s or 0.0)) / 2)
    best: tuple[float, int] | None = None
    for number in range(max(0, at - 2), min(len(words), at + 2) + 1):
        ended = words[number - 1].end_s or 0.0 if number else -1e9
        begins = words[number].start_s or 0.0 if number < len(words) else 1e9
        silent = min(begins, high) - max(ended, low)
        if begins - ended >= _PAUSE_S and silent > _SLIP_S and (best is None or silent > best[0]):
            best = (silent, number)
    return best[1] if best else None


def _moved(word: Word, lag_s: float) -> Word:
    assert word.start_s is not None
    assert word.end_s is not None
    return structs.replace(
        word, start_s=round(max(0.0, word.start_s - lag_s), 3), end_s=round(max(0.0, word.end_s - lag_s), 3)
    )
