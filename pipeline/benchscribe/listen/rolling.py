"""Rolling captions: each cue shows the line before again above the new one, so that every line stands two or three times in the file.

Whether a file rolls is judged over the whole file; a word that is really said twice ("chop, chop") in plain captions is never dropped.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from benchscribe.listen.cues import RawCue, TimedWord

_SHARE: Final = 0.4
"""Share of the cues that follow on at once and repeat what stands there, from which a file counts as rolling."""
_FEWEST: Final = 2
_LONG: Final = 4
"""This many words in a row are no accident, wherever the lines break."""
_NEAR_S: Final = 1.0


class Shown(Struct, frozen=True):
    """What one cue adds to what was shown before."""

    start_s: float
    end_s: float
    words: tuple[TimedWord, ...]


def undouble(cues: Sequence[RawCue]) -> tuple[Shown, ...]:
    """Give what each cue newly says; cues that say nothing new, or nothing at all, are left out.

    In a rolling file a cue ends where the next one that says something new starts.
    """
    repeats = [0, *(_repeated(a, b) for a, b in itertools.pairwise(cues))]
    if not _rolls(cues, repeats):
        return tuple(Shown(cue.start_s, cue.end_s, cue.words) for cue in cues if cue.words)
    fresh = [
        Shown(cue.start_s, cue.end_s, cue.words[count:])
        for cue, count in zip(cues, repeats, strict=True)
        if len(cue.words) > count
    ]
    ends = [*(shown.start_s for shown in fresh[1:]), float("inf")]
    return tuple(
        Shown(shown.start_s, min(shown.end_s, end) if end > shown.start_s else shown.end_s, shown.words)
        for shown, end in zip(fresh, ends, strict=True)
    )


def _rolls(cues: Sequence[RawCue], repeats: Sequence[int]) -> bool:
    follow = [
        count
        for a, b, count in zip(cues, cues[1:], repeats[1:], strict=False)
        if a.words and b.words and b.start_s - a.end_s <= _NEAR_S
    ]
    rolled = sum(1 for count in follow if count)
    return (
        rolled >= min(_FEWEST, len(follow))
        and rolled >= _SHARE * len(follow) > 0
        and _more_than_a_word(cues, repeats)
    )


def _more_than_a_word(cues: Sequence[RawCue], repeats: Sequence[int]) -> bool:
    """Tell whether what is repeated is more than a word here and there."""
    return any(
        count >= min(3, len(cue.words)) and count > 1 for cue, count in zip(cues, repeats, strict=True)
    )


def _repeated(before: RawCue, cue: RawCue) -> int:
    """Count the words at the head of a cue that already stood at the tail of the one before."""
    if cue.start_s - before.end_s > _NEAR_S:
        return 0
    old = [word.text.casefold() for word in before.words]
    new = [word.text.casefold() for word in cue.words]
    heads, tails = _edges(cue), _edges(before)
    for count in range(min(len(old), len(new)), 0, -1):
        whole = count == len(old) or (count in heads and len(old) - count in tails)
        if (whole or count >= _LONG) and old[len(old) - count :] == new[:count]:
            return count
    return 0


def _edges(cue: RawCue) -> set[int]:
    """Give the word counts at which the lines of a cue begin and end."""
    edges, total = {0}, 0
    for line in cue.lines:
        total += len(line)
        edges.add(total)
    return edges
