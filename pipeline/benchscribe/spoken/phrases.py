"""A search for many phrases at once, linear in the words.

A phrase is written as words; `(a|b|c)` is any of those words, `_` is any one word, and `~` is up to three words of any kind. A word
in a phrase also fits its plural, and "that" fits "that's".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from benchscribe.spoken.words import bare

_ITEM = re.compile(r"\(([^)]*)\)|(\S+)")
_ANY_UP_TO = 3

Item = frozenset[str] | None


class Hit(Struct, frozen=True):
    """A phrase found in the talk."""

    name: str
    start: int
    end: int
    """Half-open word indices."""


class PhraseBook(Struct, frozen=True):
    """Phrases by the first word they begin with."""

    by_first: dict[str, tuple[tuple[str, tuple[Item, ...]], ...]]

    def find(self, tokens: Sequence[str]) -> list[Hit]:
        """Find every phrase, in order of place; of one name and start, the longest."""
        hits: dict[tuple[str, int], int] = {}
        plain = [bare(word) for word in tokens]
        for start, word in enumerate(tokens):
            options = self.by_first.get(word, ())
            if plain[start] != word:
                options = (*options, *self.by_first.get(plain[start], ()))
            for name, items in options:
                end = _match(items, 1, tokens, plain, start + 1)
                if end is not None and end > hits.get((name, start), -1):
                    hits[name, start] = end
        return [Hit(name, start, end) for (name, start), end in hits.items()]


def phrase_book(phrases: Iterable[tuple[str, str]]) -> PhraseBook:
    """Make a book of (name, phrase) pairs.

    Raises:
        ValueError: A phrase begins with a wildcard, or is empty.
    """
    by_first: dict[str, list[tuple[str, tuple[Item, ...]]]] = {}
    for name, phrase in ((name, one) for name, text in phrases for one in _spelled_out(text)):
        items = tuple(_item(match) for match in _ITEM.finditer(phrase.lower()))
        if not items or not items[0] or "~" in items[0]:
            raise ValueError(f"the phrase {phrase!r} does not begin with a word")
        for word in items[0]:
            by_first.setdefault(word, []).append((name, items))
    return PhraseBook({word: tuple(options) for word, options in by_first.items()})


def _spelled_out(phrase: str) -> list[str]:
    """Give a phrase for every choice of several words: "(left out|blank) there" is two phrases."""
    for group in _ITEM.finditer(phrase):
        choices = [choice.strip() for choice in (group[1] or "").split("|")]
        several = [choice for choice in choices if " " in choice]
        if several:
            single = "|".join(choice for choice in choices if " " not in choice)
            ways = [*several, *([f"({single})"] if single else [])]
            head, tail = phrase[: group.start()], phrase[group.end() :]
            return [full for way in ways for full in _spelled_out(head + way + tail)]
    return [phrase]


def _item(match: re.Match[str]) -> Item:
    if match[1] is not None:
        return frozenset(word.strip() for word in match[1].split("|"))
    return None if match[2] == "_" else frozenset((match[2],))


def _match(
    items: tuple[Item, ...], at: int, tokens: Sequence[str], plain: Sequence[str], index: int
) -> int | None:
    if at == len(items):
        return index
    item = items[at]
    if item is not None and "~" in item:
        for skip in range(_ANY_UP_TO + 1):
            end = _match(items, at + 1, tokens, plain, index + skip)
            if end is not None:
                return end
        return None
    if index >= len(tokens) or (item is not None and tokens[index] not in item and plain[index] not in item):
        return None
    return _match(items, at + 1, tokens, plain, index + 1)
