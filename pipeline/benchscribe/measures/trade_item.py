"""What a number of the trade is, before it is handed out."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from benchscribe.measures.lexer import Token


@dataclass(slots=True, eq=False)
class Trade:
    """A number that is settled to be no size; without a kind it is passed over in silence."""

    start: int
    end: int
    kind: str = ""
    name: str = ""
    actual: tuple[tuple[Fraction, str], ...] = ()
    source: str = ""


def near_words(tokens: list[Token], start: int, end: int, words: frozenset[str], reach: int = 5) -> bool:
    """Tell whether one of the words stands within reach of a span of tokens."""
    return any(t.text in words for t in tokens[max(0, start - reach) : end + reach])


def as_text(value: Fraction) -> str:
    """Write a value as the trade does: "2 1/2", "2.4", "180"."""
    whole, part = divmod(value, 1)
    if part and value.denominator in (10, 100, 1000, 5, 20, 25, 50, 125, 250, 500):
        return str(float(value))
    return f"{whole} {part}" if part and whole else str(part or whole)
