"""How captions are cut: into cues at pauses and phrases, and into at most two lines that people can read in time.

Limits: two lines, 42 characters a line, 1 to 7 seconds a caption (academic captioning guide); over 180 words a minute is flagged
(broadcasters' guidance of 160 to 180). No line ends on a word that leans on the next one: a conjunction, a preposition, an article
(DCMP Captioning Key).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Container, Sequence
from functools import lru_cache
from importlib import resources
from itertools import accumulate
from typing import Final

from benchscribe.writers.caption_times import FASTEST_WPM, LONGEST_S, SHORTEST_S
from benchscribe.writers.said import Token

WIDTH: Final = 42
PAUSE_S: Final = 0.35
"""A pause that a listener hears as one."""
HURRY: Final = 1.0
"""What it costs to ask for twice the reading speed; a break inside a phrase costs less than that, one after a leaning word more."""
SILENCE_S: Final = 1.5
"""No caption stands through a silence as long as this."""


@lru_cache(maxsize=1)
def leaning() -> frozenset[str]:
    """Give the words that lean on the next one; a line that ends on one reads badly."""
    lines = resources.files("benchscribe.writers").joinpath("leaning.txt").read_text("utf-8").splitlines()
    return frozenset(word for line in lines if not line.startswith("#") for word in line.split())


def break_lines(
    texts: Sequence[str], *, width: int = WIDTH, bound: Container[int] = frozenset()
) -> tuple[str, ...]:
    """Lay texts out on as few lines as hold them, each text whole, breaking where a phrase ends.

    Args:
        texts: Words and sizes; none is torn apart, so one that is longer than the width stands alone.
        width: Most characters on a line.
        bound: Indices of texts that make one name with the next ("drill press"); torn apart only where it has to be.

    Returns:
        One or two lines for what fits on two; more where it does not.
    """
    if not texts:
        return ()
    whole = " ".join(texts)
    if len(whole) <= width:
        return (whole,)
    marks = (0, *accumulate(len(t) + 1 for t in texts))
    tears = [_tear(text, bound=n in bound) for n, text in enumerate(texts)]
    tears[-1] = 0.0
    # best[i]: least cost of laying out texts[:i], fewest lines first
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
    for end in range(1, len(texts) + 1):
        options = []
        torn = tears[end - 1]
        for start in range(end - 1, -1, -1):
            length = marks[end] - marks[start] - 1
            if length > width and start < end - 1:
                break
            lines, cost, _ = best[start]
            left = width - length if length < width else 0
            options.append((lines + 1, cost + (left / width) ** 2 + torn, start))
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
    starts, ends = [_start(t) for t in said], [_end(t) for t in said]
    marks = (0, *accumulate(len(t.text) + 1 for t in said))
    after = [_cost_of_ending(said, n, sentence_ends) for n in range(len(said))]
    inside = [_cost_inside(said, n, sentence_ends) for n in range(len(said))]
    shown = (0, *accumulate(len(t.text.split()) for t in said))
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(said) + 1):
        last = end - 1
        until = starts[end] if end < len(said) else float("inf")
        least, chosen = float("inf"), last
        inner = 0.0
        for start in range(last, -1, -1):
            length = marks[end] - marks[start] - 1
            if start < last:
                inner += inside[start]
                if inner == float("inf") or length > 2 * WIDTH + 1 or ends[last] - starts[start] > LONGEST_S:
                    break
                if length > WIDTH and not _fits_two_lines(marks, start, end):
                    continue
            cost = (
                best[start][0] + inner + after[last] + 0.6 + (max(2 * WIDTH - length, 0) / (2 * WIDTH)) ** 2
            )
            room = until - starts[start]
            if room < SHORTEST_S:
                cost += 4.0
            too_fast = (shown[end] - shown[start]) / max(room, SHORTEST_S) * 60 / FASTEST_WPM - 1.0
            if too_fast > 0.0:
                cost += HURRY * too_fast
            if cost < least:
                least, chosen = cost, start
        best.append((least, chosen))
    cues: list[tuple[Token, ...]] = []
    end = len(said)
    while end:
        start = best[end][1]
        cues.append(tuple(said[start:end]))
        end = start
    return tuple(reversed(cues))


def _fits_two_lines(marks: Sequence[int], start: int, end: int) -> bool:
    """Tell whether some break leaves both lines within the width: the longest first line that fits leaves the shortest second."""
    middle = bisect_right(marks, marks[start] + WIDTH + 1) - 1
    return middle > start and marks[end] - marks[min(middle, end)] - 1 <= WIDTH


def _cost_inside(said: Sequence[Token], number: int, sentence_ends: frozenset[int]) -> float:
    """Weigh having this token and the next in one caption."""
    if number + 1 >= len(said):
        return 0.0
    gap = _gap(said[number], said[number + 1])
    if gap >= SILENCE_S:
        return float("inf")
    return (1.5 if gap >= PAUSE_S else 0.0) + (0.6 if said[number].span[1] in sentence_ends else 0.0)


def _cost_of_ending(said: Sequence[Token], number: int, sentence_ends: frozenset[int]) -> float:
    """Weigh ending a caption after this token: nothing at the end of a sentence, little at a pause, most inside a phrase.

    Where nobody wrote full stops the ends of sentences are guessed, and a guess that leaves a word leaning is a bad one.
    """
    token = said[number]
    if number + 1 >= len(said) or token.text.endswith((".", "!", "?")):
        return 0.0
    if token.span[1] in sentence_ends and _tear(token.text, bound=token.bound) <= 0.0:
        return 0.0
    return 0.1 if _gap(token, said[number + 1]) >= PAUSE_S else 0.8 + _tear(token.text, bound=token.bound)


def lines_of(said: Sequence[Token]) -> tuple[str, ...]:
    """Lay out what was said in one caption."""
    return break_lines([t.text for t in said], bound={n for n, t in enumerate(said) if t.bound})


def _tear(text: str, *, bound: bool = False) -> float:
    """Say how badly it reads when a line ends after this text."""
    if text.endswith((".", "!", "?", ",", ";", ":", "\u2026")):
        return -0.3
    return 1.5 if bound or text.casefold().strip("\"'(") in leaning() else 0.0


def _gap(before: Token, after: Token) -> float:
    return _start(after) - _end(before)


def _start(token: Token) -> float:
    assert token.start_s is not None
    return token.start_s


def _end(token: Token) -> float:
    assert token.end_s is not None
    return token.end_s
