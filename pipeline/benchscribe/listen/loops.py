"""Repeat loops: a recogniser that is stuck writes the same words over and over."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from benchscribe.listen.sizes_in_talk import bare
from benchscribe.records import Gap, Word

_TIMES: Final = {1: 7, 2: 5, 3: 4}
"""So often in a row may one, two or three words not be said; longer turns not three times. "Chop, chop, chop, chop" is talk."""
_TIMES_LONG: Final = 3
_LONGEST_TURN: Final = 24


def drop_loops(words: Sequence[Word]) -> tuple[list[Word], list[Gap]]:
    """Keep one turn of what is repeated over and over."""
    texts = [bare(word.text) for word in words]
    out: list[Word] = []
    gaps: list[Gap] = []
    at = 0
    while at < len(words):
        turn, times = _loop(texts, at)
        out.extend(words[at : at + turn])
        if times > 1:
            gone = words[at + turn : at + turn * times]
            said = " ".join(word.text for word in words[at : at + turn])
            gaps.append(
                Gap(
                    kind="repeat-loop",
                    note=f'"{said}" was written {times} times over; kept once',
                    start_s=gone[0].start_s or 0.0,
                    end_s=gone[-1].end_s or 0.0,
                )
            )
        at += turn * times
    return out, gaps


def _loop(texts: Sequence[str], at: int) -> tuple[int, int]:
    """Give the length of the turn that begins at `at` and how often it comes in a row; one word once where there is no loop."""
    for turn in range(1, min(_LONGEST_TURN, (len(texts) - at) // 2) + 1):
        if texts[at] != texts[at + turn]:
            continue
        times = 1
        while texts[at + times * turn : at + (times + 1) * turn] == texts[at : at + turn]:
            times += 1
        if times >= _TIMES.get(turn, _TIMES_LONG):
            return turn, times
    return 1, 1
