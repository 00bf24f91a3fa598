"""How captions are cut: into cues at pauses and phrases, and into at most two lines that people can read in time.

Limits: two lines, 42 characters a line, 1 to 7 seconds a caption (academic captioning guide); over 180 words a minute is flagged
(broadcasters' guidance of 160 to 180). No line ends on a word that leans on the next one: a conjunction, a preposition, an article
(DCMP Captioning Key).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from importlib import resources
from itertools import accumulate
from typing import Final

from msgspec import Struct

from benchscribe.writers.said import Token

WIDTH: Final = 42
SHORTEST_S: Final = 1.0
LONGEST_S: Final = 7.0
FASTEST_WPM: Final = 180
PAUSE_S: Final = 0.35
"""A pause that a listener hears as one."""
SILENCE_S: Final = 1.5
"""No caption stands through a silence as long as this."""


@lru_cache(maxsize=1)
def leaning() -> frozenset[str]:
    """Give the words that lean on the next one; a line that ends on one reads badly."""
    lines = resources.files("benchscribe.writers").joinpath("leaning.txt").read_text("utf-8").splitlines()
    return frozenset(word for line in lines if not line.startswith("#") for word in line.split())


class CaptionCue(Struct, frozen=True):
    """One caption, ready to be written."""

    start_s: float
    end_s: float
    lines: tuple[str, ...]
    words: int
    """Words said in it, which is what a reading speed counts."""

    @property
    def wpm(self) -> int:
        """Words a minute that it asks of the reader."""
        return round(60 * self.words / max(self.end_s - self.start_s, 0.001))


def break_lines(texts: Sequence[str], *, width: int = WIDTH) -> tuple[str, ...]:
    """Lay texts out on as few lines as hold them, each text whole, breaking where a phrase ends.

    Args:
        texts: Words and sizes; none is torn apart, so one that is longer than the width stands alone.
        width: Most characters on a line.

    Returns:
        One or two lines for what fits on two; more where it does not.
    """
    if not texts:
        return ()
    whole = " ".join(texts)
    if len(whole) <= width:
        return (whole,)
    marks = (0, *accumulate(len(t) + 1 for t in texts))
    # best[i]: least cost of laying out texts[:i], fewest lines first
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
    for end in range(1, len(texts) + 1):
        options = []
        for start in range(end - 1, -1, -1):
            length = marks[end] - marks[start] - 1
            if length > width and start < end - 1:
                break
            lines, cost, _ = best[start]
            here = ((width - min(length, width)) / width) ** 2
            if end < len(texts):
                here += _tear(texts[end - 1])
            options.append((lines + 1, cost + here, start))
        best.append(min(options))
    lines_out: list[str] = []
    end = len(texts)
    while end:
        start = best[end][2]
        lines_out.append(" ".join(texts[start:end]))
        end = start
    return tuple(reversed(lines_out))


def cut_cues(said: Sequence[Token], sentence_ends: frozenset[int]) -> tuple[tuple[Token, ...], ...]:
    """Cut what was said into captions, at the least cost over the whole.

    Args:
        said: Tokens in order; all with times.
        sentence_ends: Word indices at which a sentence ends (half-open, as in spans).

    Returns:
        The tokens of each caption, in order, every token once.
    """
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(said) + 1):
        options: list[tuple[float, int]] = []
        length, inner = -1, 0.0
        for start in range(end - 1, -1, -1):
            token = said[start]
            length += len(token.text) + 1
            if start < end - 1:
                gap = _gap(token, said[start + 1])
                if gap >= SILENCE_S:
                    break
                inner += 1.5 if gap >= PAUSE_S else 0.0
                inner += 0.6 if token.span[1] in sentence_ends else 0.0
                if length > 2 * WIDTH + 1 or _seconds(said[start:end]) > LONGEST_S:
                    break
                if length > WIDTH and len(break_lines([t.text for t in said[start:end]])) > 2:
                    continue
            cost = best[start][0] + inner + _cue_cost(said, start, end, length, sentence_ends)
            options.append((cost, start))
        best.append(min(options))
    cues: list[tuple[Token, ...]] = []
    end = len(said)
    while end:
        start = best[end][1]
        cues.append(tuple(said[start:end]))
        end = start
    return tuple(reversed(cues))


def time_cues(cues: Sequence[Sequence[Token]]) -> tuple[CaptionCue, ...]:
    """Give captions their times: from the first word to the last, longer where the next one leaves room to read."""
    starts = [_start(c[0]) for c in cues]
    made = []
    for number, cue in enumerate(cues):
        start, end = starts[number], max(_end(t) for t in cue)
        words = sum(t.spoken for t in cue)
        room = starts[number + 1] if number + 1 < len(cues) else float("inf")
        wanted = max(end, start + SHORTEST_S, start + 60 * words / FASTEST_WPM)
        end = max(min(wanted, room, start + LONGEST_S), start + 0.001)
        made.append(CaptionCue(start, end, break_lines([t.text for t in cue]), words))
    return tuple(made)


def _cue_cost(
    said: Sequence[Token], start: int, end: int, length: int, sentence_ends: frozenset[int]
) -> float:
    """Weigh one caption: how it fills two lines, how well it ends, whether it stands long enough."""
    cost = 0.6 + ((2 * WIDTH - length) / (2 * WIDTH)) ** 2 if length <= 2 * WIDTH else 2.0
    last = said[end - 1]
    if end < len(said):
        gap = _gap(last, said[end])
        if last.span[1] in sentence_ends or last.text.endswith((".", "!", "?")):
            cost += 0.0
        elif gap >= PAUSE_S:
            cost += 0.1
        else:
            cost += 0.6 + _tear(last.text)
        if _start(said[end]) - _start(said[start]) < SHORTEST_S:
            cost += 4.0
    return cost


def _tear(text: str) -> float:
    """Say how badly it reads when a line ends after this text."""
    if text.endswith((".", "!", "?", ",", ";", ":", "\u2026")):
        return -0.3
    return 1.5 if text.casefold().strip("\"'(") in leaning() else 0.0


def _gap(before: Token, after: Token) -> float:
    return _start(after) - _end(before)


def _start(token: Token) -> float:
    assert token.start_s is not None
    return token.start_s


def _end(token: Token) -> float:
    assert token.end_s is not None
    return token.end_s


def _seconds(cue: Sequence[Token]) -> float:
    return _end(cue[-1]) - _start(cue[0])
