"""Where talk must not be cut: inside a size, and between a size and the word that takes it back.

This knows just enough of spoken sizes to keep them in one piece ("six foot | two and a half"); reading them is another stage's work.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Sequence
from importlib.resources import files
from typing import Final

_DIGITS: Final = re.compile(r"[#$]?[.\-]?\d[\d.,/'\-\u2044\u00bc-\u00be\u2150-\u215e]*(?:st|nd|rd|th|ths|s|'s)?[\"'\u2032\u2033\u00b0]*|[\u00bc-\u00be\u2150-\u215e]")  # fmt: skip
_REACH: Final = 3


@functools.cache
def _kind(name: str) -> frozenset[str]:
    """Give one list of `sizes.toml`."""
    table = tomllib.loads((files("benchscribe.listen") / "sizes.toml").read_text(encoding="utf-8"))
    return frozenset(table[name].split())


def bare(text: str) -> str:
    """Give a word in lower case without the punctuation around it (a leading decimal point stays)."""
    return text.casefold().strip(",;:!?\"'()[]\u201c\u201d\u2018\u2019\u2026").rstrip(".")


def is_number(word: str) -> bool:
    """Tell whether a bare word is a number, or part of one."""
    return (
        word in _kind("numbers")
        or bool(_DIGITS.fullmatch(word))
        or (
            "-" in word
            and all(part in _kind("numbers") | _kind("units") or part.isdigit() for part in word.split("-"))
        )
    )


def is_unit(word: str) -> bool:
    """Tell whether a bare word is a unit that follows a number."""
    return word in _kind("units")


def inside_size(words: Sequence[str], at: int) -> bool:
    """Tell whether a cut before word `at` would fall inside a size.

    Args:
        words: Bare words.
        at: Index of the word that would begin the next sentence.
    """
    if not 0 < at < len(words):
        return False
    left, right = _back(words, at - 1), _ahead(words, at)
    before, after = words[left] if left >= 0 else "", words[right] if right < len(words) else ""
    if before in {"a", "an"} and _sizeable(after):
        return True
    if _sizeable(before) and (
        is_number(after) or (is_unit(after) and after != "in") or after in _kind("ways")
    ):
        return True
    if before in _kind("joins") and _sizeable(words[left - 1] if left else "") and _begins_size(words, right):
        return True
    return after in _kind("joins") and _sizeable(before) and _begins_size(words, right + 1)


def takes_back(words: Sequence[str], at: int) -> bool:
    """Tell whether a cut before word `at` would part a size from the words that take it back or set it right."""
    near_left = any(_sizeable(word) for word in words[max(0, at - _REACH) : at])
    near_right = any(_sizeable(word) for word in words[at : at + _REACH + 1])
    between = words[max(0, at - 2) : at + 2]
    return near_left and near_right and any(word in _kind("taken_back") for word in between)


def _sizeable(word: str) -> bool:
    return is_number(word) or (is_unit(word) and word != "in")


def _begins_size(words: Sequence[str], at: int) -> bool:
    rest = words[at : at + 2]
    return bool(rest) and (
        is_number(rest[0]) or (rest[0] in {"a", "an"} and len(rest) > 1 and _sizeable(rest[1]))
    )


def _back(words: Sequence[str], at: int) -> int:
    while at >= 0 and words[at] in _kind("fillers"):
        at -= 1
    return at


def _ahead(words: Sequence[str], at: int) -> int:
    while at < len(words) and words[at] in _kind("fillers"):
        at += 1
    return at
