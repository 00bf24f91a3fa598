"""Sizes said in two units: feet and inches, a metre and five, two inches and a quarter, degrees and minutes."""

from __future__ import annotations

from fractions import Fraction

from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import OPEN_POST, Token
from benchscribe.measures.number import Number, joined
from benchscribe.measures.numbers import read_number
from benchscribe.measures.quantity import MIL, Quantity
from benchscribe.measures.unit_words import fraction_after, unit_at


def add_fraction(tokens: list[Token], quantity: Quantity, number: Number) -> Quantity:
    """Add a fraction to the inches that it follows."""
    at = unit_at(tokens, number.end, number)
    if at and at[0] != quantity.unit:
        return quantity
    end = at[1] if at else number.end
    quantity.value += number.value
    quantity.step, quantity.end = number.step, end
    quantity.number = Number(quantity.value, end, "mixed", number.den, number.step, digits=number.digits)
    return quantity


def feet_and_inches(tokens: list[Token], feet: Quantity) -> Quantity:
    """Read on after feet: "six foot two and a half", `5'-6 1/2"`, "a foot and a half", "four foot and a quarter"."""
    fraction = fraction_after(tokens, feet.end, "foot")
    if fraction:
        return _feet_and_fraction(tokens, feet, fraction)
    k = _inches_at(tokens, feet)
    number = read_number(tokens, k) if k is not None else None
    if number is None or not 0 <= number.value < 12 or number.article:
        return feet
    at = unit_at(tokens, number.end, number)
    if at is not None:
        return _as_inches(feet, number.value, at[1], number.step) if at[0] == "inch" else feet
    loose = tokens[feet.end - 1].post not in OPEN_POST or k != feet.end
    if loose or not _bare_inches(tokens, number, feet):
        return feet
    return _as_inches(feet, number.value, number.end, number.step)


def _feet_and_fraction(tokens: list[Token], feet: Quantity, fraction: Number) -> Quantity:
    at = unit_at(tokens, fraction.end, fraction)
    if at and at[0] == "inch":
        return _as_inches(feet, fraction.value, at[1], fraction.step)
    of_a_foot = (feet.value + fraction.value) * 12
    if fraction.den == 2 and at is None and (feet.value == 1 or tokens[feet.end - 1].text == "feet"):
        feet.value += Fraction(1, 2)
        feet.end, feet.step = fraction.end, Fraction(1, 2)
        return feet
    ambiguous = fraction.den == 2 or feet.value == 1
    result = _as_inches(feet, fraction.value, fraction.end, fraction.step)
    if ambiguous:
        result.candidates.append((of_a_foot, "inch", "the fraction is of a foot"))
        result.why = "after feet, a fraction is of an inch"
    return result


def _inches_at(tokens: list[Token], feet: Quantity) -> int | None:
    """Give the token at which inches may begin."""
    j = feet.end
    if j >= len(tokens) or feet.value.denominator != 1 or tokens[j - 1].post not in ("", "~", ",", "."):
        return None
    k = j + 1 if tokens[j].text == "and" and tokens[j - 1].post in OPEN_POST else j
    if k >= len(tokens) or tokens[k].opened or tokens[k].pre == g.EN_DASH:
        return None
    return k


def _bare_inches(tokens: list[Token], number: Number, feet: Quantity) -> bool:
    """Tell "ten foot six" from "eight foot two by fours" and "six foot three times"."""
    if number.bare or number.form == "dec":
        return False
    if not joined(tokens, number.end):
        return True
    after = tokens[number.end].text
    said = tokens[feet.end - 1].text in ("foot", "feet")
    if said and number.form == "int" and after in ("by", "x") and joined(tokens, number.end + 1):
        return not _plural_number(tokens, number.end + 1)
    return after not in g.NOT_INCHES_BEFORE


def _plural_number(tokens: list[Token], i: int) -> bool:
    """Tell "fours" and "4s": the second figure of nominal stock."""
    if tokens[i].text in ("twos", "threes", "fours", "sixes", "eights", "tens", "twelves"):
        return True
    number = read_number(tokens, i)
    return number is not None and joined(tokens, number.end) and tokens[number.end].text == "s"


def _as_inches(feet: Quantity, more: Fraction, end: int, step: Fraction) -> Quantity:
    feet.value = feet.value * 12 + more
    feet.unit, feet.end, feet.step, feet.said = "inch", end, step, True
    return feet


def metres_and(tokens: list[Token], metres: Quantity) -> Quantity | None:
    """Read on after metres: "a metre and five", "two metre forty", "one metre two fifty", "a metre and a half"."""
    fraction = fraction_after(tokens, metres.end, "m")
    if fraction and unit_at(tokens, fraction.end, fraction) is None:
        metres.value += fraction.value
        metres.end, metres.step = fraction.end, fraction.step
        return metres
    j = metres.end
    if not joined(tokens, j) or metres.value.denominator != 1:
        return None
    and_word = tokens[j].text == "and"
    k = j + 1 if and_word else j
    number = read_number(tokens, k) if joined(tokens, k) else None
    if number is None or number.form != "int" or number.bare:
        return None
    value, end = number.run or (number.value, number.end)
    return _rest_of_a_metre(tokens, metres, value, end, and_word=and_word)


def _rest_of_a_metre(
    tokens: list[Token], metres: Quantity, value: Fraction, end: int, *, and_word: bool
) -> Quantity | None:
    whole = metres.value * 1000
    at = unit_at(tokens, end, None)
    if at:
        factor = {"mm": 1, MIL: 1, "cm": 10}.get(at[0])
        return _as_mm(metres, whole + value * factor, at[1]) if factor else None
    after = tokens[end].text if joined(tokens, end) else ""
    if after in ("times", "pieces", "lengths") or (after in ("of", "by", "x") and (and_word or value < 10)):
        return None
    if (
        after == "of"
        and joined(tokens, end + 1)
        and tokens[end + 1].text in ("these", "those", "them", "the")
    ):
        return None
    if value >= 100:
        return _as_mm(metres, whole + value, end)
    in_mm, in_cm = whole + value, whole + value * 10
    if and_word:
        metres.candidates.append((in_cm, "mm", f"{value} centimetres"))
        metres.why = "the rest of a metre is said in millimetres"
        return _as_mm(metres, in_mm, end)
    metres.candidates.append((in_mm, "mm", f"{value} millimetres"))
    metres.why = "straight after metres, two figures are centimetres"
    return _as_mm(metres, in_cm, end, step=Fraction(10))


def _as_mm(metres: Quantity, value: Fraction, end: int, *, step: Fraction = Fraction(1)) -> Quantity:
    metres.value, metres.unit, metres.end, metres.step, metres.said = value, "mm", end, step, True
    return metres


def add_minutes(tokens: list[Token], quantity: Quantity) -> None:
    """Read the minutes of "12° 30'" and "five degrees thirty minutes"."""
    if not joined(tokens, quantity.end):
        return
    number = read_number(tokens, quantity.end)
    if number is None or number.form != "int" or number.value >= 60 or not joined(tokens, number.end):
        return
    if tokens[number.end].text in ("minutes", "minute", "'"):
        quantity.value += number.value / 60
        quantity.step, quantity.end = Fraction(1, 60), number.end + 1
