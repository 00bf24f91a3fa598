"""What a number is, and the denominators that fractions are said and typed with."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, Literal

from benchscribe.measures.grammar import DENOMINATOR, DENOMINATORS, RULER, TWO_WORD
from benchscribe.measures.lexer import NUMERAL, OPEN_POST, WORD, Token

Form = Literal["int", "dec", "frac", "mixed"]
SUFFIXES: Final = frozenset({"th", "ths", "nd", "nds", "rd", "rds", "st", "s", "'s", "ds"})
"""Endings of a denominator in digits."""


@dataclass(slots=True)
class Number:
    """A number without its unit.

    Attributes:
        value: Exact.
        end: Token after its last.
        form: How it was made.
        den: Denominator as said (8 for two eighths); 1 for whole numbers.
        step: The finest graduation that it implies, in its unit.
        digits: Begins in digits rather than words.
        bare: "half", "a quarter": no numerator said.
        article: Began with "a" or "an".
        singular: The denominator was said in the singular ("three quarter").
        whole: The whole part of a mixed number.
        was_run: It is such a longer reading, and neither a clock time ("six forty five") nor a year.
        run: Value and end of the longer reading ("seven twenty" as 720).
        alternatives: Other values, with the reason.
        why: Why this one, where there are alternatives.
        thousandths: Said as a whole number of thousandths.
    """

    value: Fraction
    end: int
    form: Form
    den: int = 1
    step: Fraction = Fraction(1)
    digits: bool = False
    bare: bool = False
    article: bool = False
    singular: bool = False
    whole: int = 0
    run: tuple[Fraction, int] | None = None
    was_run: bool = False
    alternatives: list[tuple[Fraction, str]] = field(default_factory=list)
    why: str = ""
    thousandths: bool = False


def joined(tokens: list[Token], i: int) -> bool:
    """Tell whether token `i` exists and no punctuation stands before it."""
    return i < len(tokens) and tokens[i - 1].post in OPEN_POST and not tokens[i].opened


def denominator_at(tokens: list[Token], i: int) -> tuple[int, int, bool] | None:
    """Read a denominator: its value, its end, and whether it is plural.

    Reads "sixteenths", "eighth's", "16ths", "thirty seconds", "30 seconds", "64th".
    """
    token = tokens[i]
    if token.kind == WORD:
        return _in_words(tokens, i, token.text)
    if (
        token.kind == NUMERAL
        and token.value is not None
        and token.value.denominator == 1
        and joined(tokens, i + 1)
    ):
        return _in_digits(tokens[i + 1], i, int(token.value))
    return None


def _in_words(tokens: list[Token], i: int, text: str) -> tuple[int, int, bool] | None:
    following = tokens[i + 1].text if joined(tokens, i + 1) else ""
    if following in TWO_WORD.get(text, ()):
        return TWO_WORD[text][following], i + 2, following.endswith("s")
    if text in DENOMINATOR:
        plural = following == "'s" and not tokens[i + 1].pre
        return DENOMINATOR[text], i + 1 + plural, plural
    return (DENOMINATORS[text], i + 1, True) if text in DENOMINATORS else None


def _in_digits(after: Token, i: int, value: int) -> tuple[int, int, bool] | None:
    if after.kind != WORD:
        return None
    if after.text in ("s", "'s") and value not in RULER:
        return None  # "two 153s" are two pieces of 153
    if after.text in SUFFIXES and after.pre in ("", "-"):
        return (value, i + 2, after.text.endswith("s")) if value > 1 else None
    spoken = TWO_WORD["thirty"] if value == 30 else TWO_WORD["sixty"] if value == 60 else {}
    return (spoken[after.text], i + 2, after.text.endswith("s")) if after.text in spoken else None
