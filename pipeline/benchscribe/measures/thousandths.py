"""The machinist's way of saying a size: "three seventy five" for 0.375, "one seven fifty" for 1.750, "437 and a half" for 0.4375."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from benchscribe.measures.lexer import NUMERAL, Token
from benchscribe.measures.number import Number
from benchscribe.measures.quantity import Quantity
from benchscribe.measures.unit_words import unit_at

_THOU: Final = frozenset({"thou", "thous", "thousandth", "thousandths"})
_LEAST: Final = 4
"""Sizes in thousandths that show how a talk is told."""
_SHARE: Final = 400
"""At least one such size in so many words."""
_PLACES: Final = 3


def told_in_thousandths(tokens: Sequence[Token]) -> bool:
    """Tell whether sizes are told in thousandths of an inch here: decimals of three places, "thou"."""
    shown = sum(
        token.text in _THOU or (token.kind == NUMERAL and len(token.text.partition(".")[2]) >= _PLACES)
        for token in tokens
    )
    return shown >= max(_LEAST, len(tokens) // _SHARE)


def as_thousandths(tokens: list[Token], quantity: Quantity) -> None:
    """Make a hundreds number that has no unit a decimal of an inch; common practice in machine shops.

    Args:
        tokens: All tokens.
        quantity: As read; changed where it is such a number.
    """
    number = quantity.number
    if number is None or quantity.unit is not None or quantity.prefixed:
        return
    if number.run:
        value, end = number.run
    elif number.form in ("int", "mixed") and (number.digits or not _hundreds_said(tokens, quantity)):
        value, end = number.value, number.end
    else:
        return
    said_whole = tokens[quantity.start].value or Fraction(0)
    if not _shaped(tokens, quantity, value, said_whole) or unit_at(tokens, end, None):
        return
    value /= 1000
    step = Fraction(1, 1000 if value * 1000 == int(value * 1000) else 10000)
    quantity.number = Number(value, end, "dec", step=step, digits=number.digits, thousandths=True)
    quantity.value, quantity.end, quantity.step, quantity.candidates = value, end, step, []
    quantity.why = "told in thousandths of an inch"


def _shaped(tokens: list[Token], quantity: Quantity, value: Fraction, said_whole: Fraction) -> bool:
    """Tell 375, "three seventy five" and "one seven fifty" from 1988 and "nineteen eighty eight"."""
    if 100 <= value < 1000:
        return len(tokens[quantity.start].text) == _PLACES if said_whole else True
    return not said_whole and 1000 <= value < 10000 and tokens[quantity.start].text in _ONES


def _hundreds_said(tokens: list[Token], quantity: Quantity) -> bool:
    """Tell "three hundred and seventy five" from "three seventy five"."""
    return any(t.text in ("hundred", "thousand") for t in tokens[quantity.start : quantity.end])


_ONES: Final = frozenset({"one", "two", "three", "four", "five", "six", "seven", "eight", "nine"})
