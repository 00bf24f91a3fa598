"""Second tries in the takes: what a maker says again, having said so, supersedes what was said before."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Final

from msgspec import structs

from benchscribe.clock import clock
from benchscribe.cut.align import extension
from benchscribe.cut.repeats import repeated_passages
from benchscribe.cut.words import alike, plain_words
from benchscribe.records import Mentions, Mistake, Span, Transcript, stamp

_BACK: Final = 220
"""Words before the phrase among which the first try is looked for: a minute and a half of talk."""
_AHEAD: Final = 30
_WAITS: Final = 6
"""Words between the phrase and the second try ("okay, so", "shelf, take two, and")."""
_FILLERS: Final = frozenset(
    "again ok okay right so sorry no and um uh er hang on once more now one well yes please hm".split()
)
_SLATE: Final = "announces what is said again"
_SLIP_S: Final = 0.3
"""Words may be dated so much too early."""
_LEAST: Final = 5.0
"""Words that must come again; fewer are a turn of phrase."""
_LEAST_SHARE: Final = 0.6
_ASIDE: Final = 60
"""Words between the first try and the phrase that are thrown away with it ("oh, the phone")."""


def find_tries(transcript: Transcript) -> tuple[Mistake, ...]:
    """Find first tries that were said again.

    Both must be there: something that announces it (a phrase such as "let me say that again", a slate, a clap), and after it the words of
    the first try. A pick-up, and a later take that says a passage again nearly word for word, supersede it wherever it was said.

    Args:
        transcript: What is said in the takes.

    Returns:
        Stretches to leave out, in order, none overlapping. One that was said again at once goes from the first word of the first try to
        the end of what announced the second.
    """
    keys = plain_words(transcript)
    announced = _announced(keys) + _alone(transcript, keys) + _clapped(transcript)
    found: list[tuple[Span, int]] = []
    pickups = _announced(keys, "pickup")
    takes = _first_words(transcript)
    for begin, end in sorted(set(announced) - set(pickups)):
        first = _first_try(keys, begin, end, takes[bisect_right(takes, begin) - 1])
        if first is not None:
            found.append(((first, end), end))
    repeated = repeated_passages(transcript, announced, pickups)
    found += [(span, again) for span, again in repeated if again is not None]
    left_out = [_superseded(transcript, span, again) for span, again in _merged(found)]
    left_out += [
        structs.replace(_superseded(transcript, span, span[1]), why=_SLATE)
        for span, again in repeated
        if again is None and not any(m.span[0] < span[1] and span[0] < m.span[1] for m in left_out)
    ]
    return tuple(sorted(left_out, key=lambda mistake: mistake.span))


def _merged(found: Sequence[tuple[Span, int]]) -> list[tuple[Span, int]]:
    """Join stretches that overlap; where several are joined, the last word said again counts."""
    out: list[tuple[Span, int]] = []
    for span, again in sorted(found):
        if out and span[0] <= out[-1][0][1]:
            (begin, end), before = out.pop()
            out.append(((begin, max(end, span[1])), max(before, again)))
        else:
            out.append((span, again))
    return out


def with_tries(mentions: Mentions, tries: Sequence[Mistake]) -> Mentions:
    """Put first tries among the mistakes, those that lie in one left out; what a slate names is not spoken of."""
    mistakes = [m for m in mentions.mistakes if not any(_holds(t.span, m.span) for t in tries)]
    slates = [t.span for t in tries if t.why == _SLATE]
    return structs.replace(
        mentions,
        mistakes=tuple(sorted((*mistakes, *tries), key=lambda m: m.span)),
        mentions=tuple(m for m in mentions.mentions if not any(_holds(s, m.span) for s in slates)),
    )


def _holds(outer: Span, inner: Span) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1]


def _announced(keys: Sequence[str], *kinds: str) -> list[Span]:
    """Give the words of each announcing phrase, of some kinds or of all."""
    text = " ".join(keys)
    starts: dict[int, int] = {}
    at = 0
    for index, key in enumerate(keys):
        starts[at] = index
        at += len(key) + 1
    ends = {start + len(keys[index]): index + 1 for start, index in starts.items() if keys[index]}
    return [
        (starts[m.start()], ends[m.end()])
        for m in _phrase(*kinds).finditer(text)
        if m.start() in starts and m.end() in ends
    ]


@cache
def _phrase(*kinds: str) -> re.Pattern[str]:
    data = tomllib.loads(Path(__file__).with_name("tries.toml").read_text(encoding="utf-8"))
    phrases = [phrase for kind in kinds or data for phrase in data[kind]]
    return re.compile(r"\b(?:" + "|".join(phrases) + r")(?![\w])")


def _first_words(transcript: Transcript) -> list[int]:
    """Give the first word of each take."""
    dated = [(word.start_s, n) for n, word in enumerate(transcript.words) if word.start_s is not None]
    later = [bisect_left(dated, (file.offset_s - 1e-6, 0)) for file in transcript.files[1:]]
    return [0, *(dated[at][1] for at in later if at < len(dated))]


def _alone(transcript: Transcript, keys: Sequence[str]) -> list[Span]:
    """Give the sentences that say "again" and nothing else ("Okay. Again.", "Right, sorry, again.")."""
    out = []
    for utterance in transcript.utterances:
        words = [key for key in keys[utterance.span[0] : utterance.span[1]] if key]
        if "again" in words and len(words) <= _WAITS and set(words) <= _FILLERS:
            out.append(utterance.span)
    return out


def _clapped(transcript: Transcript) -> list[Span]:
    """Give the places in the talk at which somebody clapped: between two words."""
    dated = [(word.start_s, n) for n, word in enumerate(transcript.words) if word.start_s is not None]
    places = []
    for clap in transcript.claps:
        at = bisect_left(dated, (clap - _SLIP_S, 0))
        if at < len(dated):
            places.append((dated[at][1], dated[at][1]))
    return places


def _first_try(keys: Sequence[str], begin: int, end: int, earliest: int) -> int | None:
    """Give the word with which the first try began: the latest place from which the words before run as those after the phrase do."""
    best: tuple[float, int] | None = None
    for wait in range(_WAITS + 1):
        ahead = keys[end + wait : end + wait + _AHEAD]
        if not ahead:
            break
        for start in range(max(earliest, begin - _BACK), begin):
            if not alike(keys[start], ahead[0]):
                continue
            pairs, score = extension(keys[start : min(begin, start + _AHEAD)], ahead)
            if score < _LEAST or score / (max(pairs[-1]) + 1) < _LEAST_SHARE:
                continue
            if begin - (start + pairs[-1][0]) <= _ASIDE and (best is None or (score, start) > best):
                best = (score, start)
    return best[1] if best else None


def _superseded(transcript: Transcript, span: Span, again: int) -> Mistake:
    words = transcript.words
    later = words[again].start_s if again < len(words) else None
    where = ""
    if later is not None:
        place = stamp(Mistake(span=span, why="", start_s=later), transcript.files)
        other = len(transcript.files) > 1 and place.file != _file_of(transcript, words[span[0]].start_s)
        where = (
            f" in {place.file}" if other else ""
        ) + f" at {clock(place.at_s if place.at_s is not None else later)}"
    return Mistake(
        start_s=words[span[0]].start_s,
        end_s=words[span[1] - 1].end_s,
        span=span,
        why=f"said again{where}",
        text=transcript.text(span),
    )


def _file_of(transcript: Transcript, start_s: float | None) -> str | None:
    return stamp(Mistake(span=(0, 0), why="", start_s=start_s), transcript.files).file
