"""The reader: words in, readings out."""

from __future__ import annotations

from collections.abc import Sequence

from benchscribe.measures.types import BuildUnits, Reading, Readings


def read(text: str, *, units: BuildUnits | None = None) -> Readings:
    """Read every size in a text."""
    return read_words(text.split(), units=units)


def read_words(words: Sequence[str], *, units: BuildUnits | None = None) -> Readings:
    """Read every size in words already split."""
    return Readings()


def read_size(text: str, *, units: BuildUnits | None = None) -> tuple[Reading, ...]:
    """Read a cell of a part list, where bare numbers are sizes."""
    return ()
