"""Second tries in the takes: what a maker says again, having said so, supersedes what was said before."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Final

from benchscribe.cut.align import extension
from benchscribe.cut.words import alike, plain_words
from benchscribe.records import Mistake, Span, Transcript

_BACK: Final = 220
"""Words before the phrase among which the first try is looked for: a minute and a half of talk."""
_AHEAD: Final = 30
_WAITS: Final = 4
"""Words between the phrase and the second try ("okay, so")."""
_LEAST: Final = 5.0
"""Words that must come again; fewer are a turn of phrase."""
_LEAST_SHARE: Final = 0.6
_ASIDE: Final = 60
"""Words between the first try and the phrase that are thrown away with it ("oh, the phone")."""


def find_tries(transcript: Transcript) -> tuple[Mistake, ...]:
    """Find first tries that were said again.

    Both must be there: a phrase that announces it ("let me say that again", "take two"), and after it the words of the first try.

    Args:
        transcript: What is said in the takes.

    Returns:
        Stretches to leave out, each from the first word of the first try to the end of the phrase, in order, none overlapping.
    """
    keys = plain_words(transcript)
    out: list[Mistake] = []
    for begin, end in _announced(keys):
        first = _first_try(keys, begin, end)
        if first is None:
            continue
        while out and out[-1].span[1] >= first:
            first = min(first, out.pop().span[0])
        out.append(_superseded(transcript, (first, end)))
    return tuple(out)


def with_tries(mistakes: Sequence[Mistake], tries: Sequence[Mistake]) -> tuple[Mistake, ...]:
    """Put first tries among the mistakes, those that lie in one left out."""
    inside = [
        m for m in mistakes if not any(t.span[0] <= m.span[0] and m.span[1] <= t.span[1] for t in tries)
    ]
    return tuple(sorted((*inside, *tries), key=lambda m: m.span))


def _announced(keys: Sequence[str]) -> list[Span]:
    """Give the words of each announcing phrase."""
    text = " ".join(keys)
    starts: dict[int, int] = {}
    at = 0
    for index, key in enumerate(keys):
        starts[at] = index
        at += len(key) + 1
    ends = {start + len(keys[index]): index + 1 for start, index in starts.items() if keys[index]}
    return [
        (starts[m.start()], ends[m.end()])
        for m in _phrase().finditer(text)
        if m.start() in starts and m.end() in ends
    ]


@cache
def _phrase() -> re.Pattern[str]:
    data = tomllib.loads(Path(__file__).with_name("tries.toml").read_text(encoding="utf-8"))
    return re.compile(r"\b(?:" + "|".join(data["phrases"]) + r")(?![\w])")


def _first_try(keys: Sequence[str], begin: int, end: int) -> int | None:
    """Give the word with which the first try began: the latest place from which the words before run as those after the phrase do."""
    best: tuple[float, int] | None = None
    for wait in range(_WAITS + 1):
        ahead = keys[end + wait : end + wait + _AHEAD]
        if not ahead:
            break
        for start in range(max(0, begin - _BACK), begin):
            if not alike(keys[start], ahead[0]):
                continue
            pairs, score = extension(keys[start : min(begin, start + _AHEAD)], ahead)
            if score < _LEAST or score / (max(pairs[-1]) + 1) < _LEAST_SHARE:
                continue
            if begin - (start + pairs[-1][0]) <= _ASIDE and (best is None or (score, start) > best):
                best = (score, start)
    return best[1] if best else None


def _superseded(transcript: Transcript, span: Span) -> Mistake:
    words = transcript.words
    later = words[span[1]].start_s if span[1] < len(words) else None
    return Mistake(
        start_s=words[span[0]].start_s,
        end_s=words[span[1] - 1].end_s,
        span=span,
        why="said again" + (f" at {_clock(later)}" if later is not None else ""),
        text=transcript.text(span),
    )


def _clock(seconds: float) -> str:
    minutes, rest = divmod(int(seconds), 60)
    return f"{minutes}:{rest:02}"
