"""Words as they are compared between a cut and its takes."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from benchscribe.records import Transcript

_SHORTEST: Final = 3
"""Letters from which two words that differ in their last letter alone count as one word heard twice."""


class Talk(Struct, frozen=True):
    """The comparable words of a transcript: what has a time and more than punctuation."""

    keys: tuple[str, ...]
    """Lower case, letters and digits only."""
    at: tuple[int, ...]
    """Index of each in `Transcript.words`."""
    start_s: tuple[float, ...]
    end_s: tuple[float, ...]
    file: tuple[int, ...]
    """Index of the file that each word is of."""


def talk_of(transcript: Transcript) -> Talk:
    """Give the words that can be compared and dated."""
    keys: list[str] = []
    at: list[int] = []
    starts: list[float] = []
    ends: list[float] = []
    files: list[int] = []
    offsets = [file.offset_s for file in transcript.files]
    home = 0
    for index, word in enumerate(transcript.words):
        key = _key(word.text)
        if not key or word.start_s is None:
            continue
        while home + 1 < len(offsets) and offsets[home + 1] <= word.start_s + 1e-6:
            home += 1
        keys.append(key)
        at.append(index)
        starts.append(word.start_s)
        ends.append(word.end_s if word.end_s is not None else word.start_s)
        files.append(home)
    return Talk(tuple(keys), tuple(at), tuple(starts), tuple(ends), tuple(files))


def plain_words(transcript: Transcript) -> tuple[str, ...]:
    """Give every word in lower case, letters and digits only; empty for punctuation alone."""
    return tuple(_key(word.text) for word in transcript.words)


def _key(text: str) -> str:
    return "".join(c for c in text.lower() if c.isalnum())


def alike(one: str, other: str) -> bool:
    """Tell whether two words are one word, heard a little otherwise at its end."""
    if one == other:
        return True
    short, long = (one, other) if len(one) <= len(other) else (other, one)
    return len(short) >= _SHORTEST and len(long) - len(short) <= 1 and long[: len(short) - 1] == short[:-1]
