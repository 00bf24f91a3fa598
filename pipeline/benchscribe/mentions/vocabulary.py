"""The words of the trade, read from the data files in `words/`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct


class Vocabulary(Struct, frozen=True, kw_only=True):
    """All words of the trade that `find_mentions` looks for."""


def load_vocabulary(extra: Mapping[str, Sequence[str]] = {}) -> Vocabulary:
    """Read the vocabulary, with the maker's own words added."""
    return Vocabulary()
