"""A number with its unit, read from the tokens: the one place where numbers and units meet."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.compound import add_fraction, add_minutes, feet_and_inches, metres_and
from benchscribe.measures.lexer import GLYPH, NUMERAL, WORD, Token
from benchscribe.measures.number import Number, joined
from benchscribe.measures.numbers import read_number
from benchscribe.measures.quantity import MIL, Quantity
from benchscribe.measures.typed import as_written
from benchscribe.measures.types import BuildUnits
from benchscribe.measures.unit_words import (
    A,
    fraction_after,
    is_measure_with_article,
    is_mil,
    is_no_foot,
    unit_at,
)

_METRIC: Final = frozenset({"mm", "cm", "m", MIL})


def read_quantity(tokens: list[Token], i: int, units: BuildUnits | None) -> Quantity | None:
    """Read the quantity that begins at a token, unit or none.

    Args:
        tokens: All tokens.
        i: Where to begin.
        units: The build's unit, which settles runs such as "seven twenty".

    Returns:
        The quantity, or None where none begins.
    """
    start, prefixed = i, _is_prefix(tokens, i)
    if tokens[i].text == "r" and not prefixed:
        return None
    number = read_number(tokens, i + prefixed)
    if number is None:
        return _unit_alone(tokens, i)
    quantity = _with_unit(tokens, start, number, units)
    quantity.prefixed = prefixed
    if not quantity.said and number.bare and number.den not in g.RULER:
        return None
    return quantity


def _is_prefix(tokens: list[Token], i: int) -> bool:
    """Tell the mark of a diameter or a radius from the letter of a part or a grade: "R 1/8", "R1/8", not "R7", not "C R 4"."""
    if (
        tokens[i].text not in ("ø", "r")
        or not joined(tokens, i + 1)
        or tokens[i + 1].kind not in (NUMERAL, GLYPH)
    ):
        return False
    spelled = i > 0 and len(tokens[i - 1].text) == 1 and tokens[i - 1].text.isalpha() and joined(tokens, i)
    if spelled and tokens[i - 1].text != "a":
        return False  # "c r 4" is a name
    if tokens[i].text == "ø" or tokens[i + 1].pre:
        return True
    return i + 2 < len(tokens) and tokens[i + 2].text in ("/", '"')


def _unit_alone(tokens: list[Token], i: int) -> Quantity | None:
    """Read what has no number: "an inch", "another foot", "a couple of inches", "a good inch", "inch by inch"."""
    text = tokens[i].text
    k = i + 1 if text in A or text == "another" else i
    if k > i and not joined(tokens, k):
        return None
    if text == "a" and tokens[k].text == "couple":
        return _couple(tokens, i, k + 1)
    unit = g.UNIT_WORDS.get(tokens[k].text)
    if unit is None or (tokens[k].text.endswith(("s", "feet")) and tokens[k].text != "thous"):
        return None
    if k == i:
        return _without_article(tokens, i, unit)
    quantity = Quantity(i, k + 1, Fraction(1), unit, None, said=True)
    longer = _longer(tokens, quantity)
    if longer:
        return longer
    return quantity if is_measure_with_article(tokens, i, k, unit) else None


def _couple(tokens: list[Token], i: int, k: int) -> Quantity | None:
    """Read "a couple of inches": about two."""
    if joined(tokens, k) and tokens[k].text == "of":
        k += 1
    unit = g.UNIT_WORDS.get(tokens[k].text) if joined(tokens, k) else None
    if unit in (None, "degree"):
        return None
    return Quantity(i, k + 1, Fraction(2), unit, None, said=True, hedge="about")


def _longer(tokens: list[Token], quantity: Quantity) -> Quantity | None:
    """Read on after a single unit: "an inch and a quarter", "a foot and a half", "a metre and five"."""
    end, unit = quantity.end, quantity.unit or ""
    if unit == "foot":
        feet = feet_and_inches(tokens, quantity)
        return feet if feet.end > end else None
    if unit == "m":
        return metres_and(tokens, quantity)
    fraction = fraction_after(tokens, end, unit)
    return add_fraction(tokens, quantity, fraction) if fraction else None


def _without_article(tokens: list[Token], i: int, unit: str) -> Quantity | None:
    """Read "inch and five eighths", "a good inch", "inch by inch", "inch thick"."""
    good = i > 1 and tokens[i - 1].text in g.GOOD and tokens[i - 2].text == "a" and joined(tokens, i)
    if unit != "inch" and not (good and unit in ("foot", "mm", MIL)):
        return None
    quantity = Quantity(i, i + 1, Fraction(1), unit, None, said=True)
    longer = _longer(tokens, quantity)
    if longer or good:
        return longer or quantity
    return quantity if tokens[i].pre != "-" and _lone_inch(tokens, i) else None


def _lone_inch(tokens: list[Token], i: int) -> bool:
    """Tell whether "inch" with no number at all is one: in a chain, or before what it is the size of."""
    before = tokens[i - 1].text if i and joined(tokens, i) else ""
    after = tokens[i + 1].text if joined(tokens, i + 1) else ""
    if before in ("by", "x"):
        return True
    if after in ("by", "x"):
        far = i + 2
        return joined(tokens, far) and (
            tokens[far].text in ("inch", "a", "an") or read_number(tokens, far) is not None
        )
    return after in ("thick", "wide", "square", "deep", "diameter") and before not in ("each", "per")


def _with_unit(tokens: list[Token], start: int, number: Number, units: BuildUnits | None) -> Quantity:
    """Put a unit to a number, and read on where the size has a second part."""
    number = _run_or_not(tokens, start, number, units)
    unit = unit_at(tokens, number.end, number)
    if (unit[0] in _METRIC) if unit else units == "mm":
        number = as_written(number)
    if number.den == 1000 and number.form == "frac":
        return _thousandths(tokens, start, number)
    quantity = Quantity(start, number.end, number.value, None, number, step=number.step, why=number.why)
    quantity.candidates = [(value, "", why) for value, why in number.alternatives]
    at = unit_at(tokens, number.end, number)
    if at and units == "mm" and at[0] == "inch" and _means_inwards(tokens, number):
        at = None
    if at is None:
        _group_thousands(tokens, quantity, number)
        return quantity
    quantity.unit, quantity.end, quantity.said = at[0], at[1], True
    return _second_part(tokens, quantity, number)


def _means_inwards(tokens: list[Token], number: Number) -> bool:
    """Tell "fold lines are 12 in, so" in a metric build from "12 in." and "1/2 in": no inches, but how far in."""
    token = tokens[number.end]
    return token.text == "in" and "." not in token.post and number.form == "int" and number.value > 2


def _second_part(tokens: list[Token], quantity: Quantity, number: Number) -> Quantity:
    if quantity.unit == "foot":
        quantity.refused = is_no_foot(tokens, quantity)
        return quantity if quantity.refused else feet_and_inches(tokens, quantity)
    if quantity.unit == "m":
        return metres_and(tokens, quantity) or quantity
    if quantity.unit == "inch" and number.form == "int":
        fraction = fraction_after(tokens, quantity.end, "inch")
        if fraction:
            return add_fraction(tokens, quantity, fraction)
        _eighth_heard(tokens, quantity, number)
    if quantity.unit == "degree":
        add_minutes(tokens, quantity)
    return quantity


def _run_or_not(tokens: list[Token], start: int, number: Number, units: BuildUnits | None) -> Number:
    """Settle "seven twenty": one number in metric talk, before mil or thou, and in a chain."""
    if not number.run:
        return number
    value, end = number.run
    after = unit_at(tokens, end, None)
    metric = units == "mm" or _in_chain(tokens, start, end)
    if (after and (is_mil(after[0]) or after[0] == "thou")) or (
        metric and not unit_at(tokens, number.end, number)
    ):
        sure = value >= 200 and (end - number.end >= 2 or (value < 1000 and value % 100 >= 60))
        if value.denominator == 1:
            return Number(value, end, "int", digits=number.digits, was_run=sure)
        half = Fraction(1, 2)
        return Number(value, end, "mixed", 2, half, digits=number.digits, whole=int(value), was_run=sure)
    return number


def _in_chain(tokens: list[Token], start: int, end: int) -> bool:
    """Tell "by four fifty by": in a chain two numbers side by side can only be one."""
    after = tokens[end].text if joined(tokens, end) else ""
    before = tokens[start - 1].text if start and joined(tokens, start) else ""
    return after in ("by", "x") or before in ("by", "x")


def _thousandths(tokens: list[Token], start: int, number: Number) -> Quantity:
    """Read "three hundred and twelve thousandths" as thou, or of a millimetre where that is said."""
    at = unit_at(tokens, number.end, Number(Fraction(1, 1000), number.end, "frac", 1000))
    if at and at[0] != "inch":
        return Quantity(start, at[1], number.value, at[0], number, said=True, step=Fraction(1, 1000))
    return Quantity(start, at[1] if at else number.end, number.value * 1000, "thou", number, said=True)


def _group_thousands(tokens: list[Token], quantity: Quantity, number: Number) -> None:
    """Read "1 220 mm", "2 440 x": thousands apart by a space, as ISO 80000 writes them."""
    j = number.end
    if number.form != "int" or not number.digits or not 0 < number.value < 100 or not joined(tokens, j):
        return
    group = tokens[j]
    if group.kind != NUMERAL or group.pre != " " or len(group.text) != 3 or not group.text.isdigit():
        return
    at = unit_at(tokens, j + 1, Number(Fraction(1), j + 1, "int", digits=True))
    chained = joined(tokens, j + 1) and tokens[j + 1].text in ("x", "by")
    if at is not None and is_mil(at[0]):
        quantity.unit, quantity.end, quantity.said = at[0], at[1], True
    elif at is None and chained:
        quantity.end = j + 1
    else:
        return
    quantity.value, quantity.step = number.value * 1000 + int(group.text), Fraction(1)


def _eighth_heard(tokens: list[Token], quantity: Quantity, number: Number) -> None:
    """Give "8-inch" its other reading: an eighth of an inch, heard as a whole number."""
    if not number.digits or quantity.value not in (8, 16) or tokens[number.end].pre != "-":
        return
    under = int(quantity.value)
    quantity.candidates.append((Fraction(1, under), "inch", f"an {under}th-inch, heard as {under}-inch"))
    quantity.why = "as it is written"


def settle_mil(tokens: list[Token], quantity: Quantity) -> None:
    """Settle "mil": a millimetre, save near films, coatings and feelers, where it is a thousandth of an inch."""
    near = tokens[max(0, quantity.start - 3) : quantity.end + 3]
    words = {token.text for token in near if token.kind == WORD}
    if words & g.MIL_THOU_NEAR:
        quantity.unit = "thou"
        quantity.candidates.append((quantity.value, "mm", "mil said for millimetre"))
        quantity.why = "films and coatings are measured in thousandths"
    else:
        quantity.unit = "mm"
        quantity.candidates.append((quantity.value, "thou", "mil said for a thousandth of an inch"))
        quantity.why = "mil is said for millimetre"
