"""Cut talk into sentences: by its full stops where it has them, elsewhere by pauses, by words that begin a sentence, and by length.

Captions break anywhere, and a recogniser may write no punctuation at all. What comes out is as near to a sentence as talk comes; every
word is in exactly one, and none is cut inside a size.
"""

from __future__ import annotations

import functools
import itertools
import re
import tomllib
from collections.abc import Collection, Sequence
from importlib.resources import files
from typing import Any, Final

from benchscribe.listen.sizes_in_talk import bare, inside_size, is_number, is_unit, takes_back
from benchscribe.records import Utterance, Word

_END: Final = re.compile(r"[.?!\u2026]+[\"')\]\u201d\u2019]*$")
_DOTS: Final = re.compile(r"(\.\.+|\u2026)[\"')\]\u201d\u2019]*$")
_INITIAL: Final = re.compile(r"[A-Z]\.$")

LONGEST: Final = 30
"""Words; a sentence without full stops is cut before it grows longer, save inside a size."""
_RUN_ON: Final = 40
"""Words; a sentence between two full stops is left whole up to here."""
_COMFORT: Final = (4, 16)
_LONG_PAUSE_S: Final = 1.2
"""Seconds; talk that stops this long begins anew."""
_NEVER: Final = -1000.0
_HANGING: Final = 2.5
_CERTAIN: Final = 6.0
_CUT_COST: Final = -0.5


@functools.cache
def _lists() -> dict[str, Any]:
    return tomllib.loads((files("benchscribe.listen") / "sentences.toml").read_text(encoding="utf-8"))


@functools.cache
def _weights() -> dict[str, float]:
    return tomllib.loads((files("benchscribe.listen") / "sentence_weights.toml").read_text(encoding="utf-8"))


def cut_utterances(
    words: Sequence[Word], *, breaks: Collection[int] = frozenset(), headings: Sequence[tuple[int, str]] = ()
) -> tuple[Utterance, ...]:
    """Cut words into sentence-like utterances.

    Args:
        words: In order of time.
        breaks: Indices of words that begin an utterance whatever stands there (a new file, a new line of notes).
        headings: Index of the first word under each heading, and the heading; only for notes.

    Returns:
        Utterances in order, covering every word exactly once; none where there are no words.
    """
    if not words:
        return ()
    texts = [bare(word.text) for word in words]
    cased = _is_cased(words)
    starts = {0, *(at for at in breaks if 0 < at < len(words))}
    fixed = frozenset(starts)
    starts |= {at for at in range(1, len(words)) if _sentence_ends(words, texts, at, cased=cased)}
    starts -= _lone_openers(words, texts, sorted(starts)) - fixed
    marks = [*sorted(starts), len(words)]
    for first, last in itertools.pairwise(marks):
        if last - first > _allowed(words, first, last):
            starts |= set(_cut_run(words, texts, first, last))
    marks = [*sorted(starts), len(words)]
    return tuple(
        Utterance(
            (first, last),
            _first_time(words[first:last]),
            _last_time(words[first:last]),
            _heading(headings, first),
        )
        for first, last in itertools.pairwise(marks)
    )


def _heading(headings: Sequence[tuple[int, str]], at: int) -> str:
    return next((text for first, text in reversed(headings) if first <= at), "")


def _first_time(words: Sequence[Word]) -> float | None:
    return next((word.start_s for word in words if word.start_s is not None), None)


def _last_time(words: Sequence[Word]) -> float | None:
    return next((word.end_s for word in reversed(words) if word.end_s is not None), None)


# --- talk with full stops ---


def _is_cased(words: Sequence[Word]) -> bool:
    """Tell whether sentences begin with capitals here, so that a small letter after a full stop means that none ended."""
    after = [b.text for a, b in itertools.pairwise(words) if _END.search(a.text) and b.text[:1].isalpha()]
    return bool(after) and sum(text[0].isupper() for text in after) >= 0.8 * len(after)


def _sentence_ends(words: Sequence[Word], texts: Sequence[str], at: int, *, cased: bool) -> bool:
    """Tell whether a full stop, question mark or exclamation mark before word `at` ends a sentence."""
    text, following = words[at - 1].text, words[at].text
    if not _END.search(text):
        return False
    pause = _pause(words, at)
    small = following[:1].islower()
    if _DOTS.search(text):
        return not (small or _hesitates(texts, at) or is_number(texts[at]) or inside_size(texts, at))
    if "?" in text or "!" in text:
        return not (small and cased and pause < _LONG_PAUSE_S)
    if _is_abbreviation(text, texts, at, small=small):
        return False
    if (
        texts[at - 1] in {"foot", "feet"}
        and is_number(texts[at])
        and is_number(texts[at - 2] if at > 1 else "")
    ):
        return pause >= _LONG_PAUSE_S
    return not (small and cased and pause < _LONG_PAUSE_S)


def _is_abbreviation(text: str, texts: Sequence[str], at: int, *, small: bool) -> bool:
    lists = _lists()
    word, after = texts[at - 1], texts[at]
    number = is_number(after) and after[:1] not in "oz"
    if word in lists["titles"]:
        return True
    if word == "no" and number:
        # "No. 7" is a number; "No. 2 inches" is an answer.
        return not (at + 1 < len(texts) and is_unit(texts[at + 1]))
    if word in lists["numbered"] and number:
        return True
    if word in lists["abbreviations"]:
        counted = at > 1 and is_number(texts[at - 2])
        return small or (number and (counted or not is_unit(word))) or after in {"x", "by"}
    return bool(_INITIAL.search(text)) and word != "i" and not number


def _hesitates(texts: Sequence[str], at: int) -> bool:
    """Tell whether the words before `at` look for a word or take one back."""
    tail = " ".join(texts[max(0, at - 3) : at])
    return any(tail == said or tail.endswith(" " + said) for said in _lists()["hesitations"])


def _lone_openers(words: Sequence[Word], texts: Sequence[str], starts: Sequence[int]) -> set[int]:
    """Give starts that follow a mere "Okay." or "Right. So.": these belong to what comes next."""
    lone = _lists()["alone"]
    gone = set()
    for first, last in itertools.pairwise(starts):
        alone = last - first <= 2 and all(text in lone for text in texts[first:last])
        if alone and _pause(words, last) < _LONG_PAUSE_S:
            gone.add(last)
    return gone


def _allowed(words: Sequence[Word], first: int, last: int) -> int:
    """Give how many words a stretch may have before it is cut further: few where no full stop ends it."""
    if not _END.search(words[last - 1].text):
        return _COMFORT[0]
    return _RUN_ON if any("," in word.text for word in words[first:last]) else LONGEST


# --- talk without ---


def _cut_run(words: Sequence[Word], texts: Sequence[str], first: int, last: int) -> list[int]:
    """Find the best cuts in a run of words without full stops: the path of least cost over all cuts (dynamic programming)."""
    gains = [_NEVER, *(_gain(words, texts, at) for at in range(first + 1, last))]
    size = last - first
    best = [0.0] + [float("-inf")] * size
    back = [0] * (size + 1)
    for end in range(1, size + 1):
        for start in range(max(0, end - 2 * LONGEST), end):
            cost = _length_cost(end - start)
            gain = best[start] - cost + (gains[start] - _CUT_COST if start else 0.0)
            if gain > best[end]:
                best[end], back[end] = gain, start
    cuts = []
    at = back[size]
    while at > 0:
        cuts.append(first + at)
        at = back[at]
    return cuts


def _length_cost(length: int) -> float:
    short, long = _COMFORT
    if length < short:
        return 0.5 * (short - length)
    if length > LONGEST:
        return 40.0 + 10.0 * (length - LONGEST)
    return 0.1 * max(0, length - long)


def _gain(words: Sequence[Word], texts: Sequence[str], at: int) -> float:
    """Weigh a cut before word `at`: log odds that a sentence begins there, and what the pause says."""
    pause = _pause(words, at)
    if inside_size(texts, at):
        return _NEVER if pause < 2 * _LONG_PAUSE_S else -4.0
    if pause >= 2 * _LONG_PAUSE_S:
        return _CERTAIN
    if takes_back(texts, at):
        return -8.0
    weights = _weights()
    gain = weights["bias"] + sum(weights.get(name, 0.0) for name in features(texts, at))
    if _hesitates(texts, at):
        gain -= 1.0
    if texts[at - 1] in _lists()["hanging"]:
        gain -= _HANGING
    if pause >= _LONG_PAUSE_S:
        gain += 4.0
    elif pause > 0.05:
        gain += min(0.8, 2.0 * pause)
    return gain + {",": 0.4, ";": 2.0, ":": 1.0}.get(words[at - 1].text[-1:], 0.0)


def features(texts: Sequence[str], at: int) -> tuple[str, ...]:
    """Name what speaks for or against a sentence that begins with word `at`: the two words before it and the three from it on."""
    before, after = texts[at - 1], texts[at]
    earlier = texts[at - 2] if at > 1 else "^"
    later = texts[at + 1] if at + 1 < len(texts) else "$"
    return (
        f"{before} |",
        f"| {after}",
        f"{_class(before)} |",
        f"| {_class(after)}",
        f"{earlier} {before} |",
        f"{_class(earlier)} {_class(before)} |",
        f"| {after} {later}",
        f"| {after} {_class(later)}",
        f"| {_class(after)} {_class(later)}",
        f"{_class(before)} | {after}",
        f"{before} | {_class(after)}",
        f"{_class(before)} | {_class(after)}",
    )


def _class(word: str) -> str:
    """Give the kind of a word: a short list of its own for the words that hold sentences together, endings for the rest."""
    for name, members in _lists()["classes"].items():
        if word in members:
            return f"<{name}>"
    if is_number(word):
        return "<number>"
    if is_unit(word):
        return "<unit>"
    return next(
        (f"<-{end}>" for end in ("ing", "ed", "ly", "'s", "s") if word.endswith(end) and len(word) > 3),
        "<word>",
    )


def _pause(words: Sequence[Word], at: int) -> float:
    before, after = words[at - 1].end_s, words[at].start_s
    return 0.0 if before is None or after is None else max(0.0, after - before)
