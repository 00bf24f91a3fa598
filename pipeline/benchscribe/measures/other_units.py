"""Numbers by the word after them that is no length: minutes, grit, teeth, rpm, ounces, gauge, degrees of heat."""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import NUMERAL, Token
from benchscribe.measures.number import Number, joined
from benchscribe.measures.trade_item import Trade, as_text, near_words

_HOTTEST_ANGLE: Final = 135
"""Above this, degrees are of heat where heat is spoken of at all."""
_A: Final = frozenset({"a", "an"})
_DEGREES: Final = frozenset({"degree", "degrees", "°", "deg"})
_POUNDS: Final = frozenset({"pounds", "pound", "lbs", "lb"})
_WIRE: Final = frozenset({"wire", "cable", "strand", "stranded", "copper", "hookup"})
_POWERS: Final = MappingProxyType({"square": "area", "sq": "area", "cubic": "volume", "cu": "volume"})
_PER: Final = (("per", "inch"), ("an", "inch"), ("per", "cm"))


def read_by_unit(tokens: list[Token], i: int, number: Number) -> Trade | None:
    """Read a number by the word after it.

    Args:
        tokens: All tokens.
        i: Where the number begins.
        number: The number; where it is a run ("seven twenty") the longer reading is tried first.
    """
    if number.run:
        found = _at(tokens, i, number.run[0], number.run[1], number)
        if found:
            return found
    return _at(tokens, i, number.value, number.end, number)


def _at(tokens: list[Token], i: int, value: Fraction, end: int, number: Number) -> Trade | None:
    k = end
    if number.form == "frac" and joined(tokens, k + 1) and tokens[k].text in ("of", *_A):
        k += 2 if tokens[k].text == "of" and tokens[k + 1].text in _A else 1
    if not joined(tokens, k):
        return None
    word = tokens[k].text
    if word in ("%", "percent"):
        return Trade(i, k + 1, "share", f"{as_text(value)}%")
    if word == "times":
        return Trade(i, k + 1)
    if word in ("on", "rockwell", "hrc") and any(t.text in ("rockwell", "hrc") for t in tokens[k : k + 3]):
        return Trade(i, end, "hardness", f"{as_text(value)} HRC")
    special = _torque(tokens, i, k, value) or _per_inch(tokens, i, k, value) or _area(tokens, i, k, value)
    return special or _by_kind(tokens, i, k, value, number)


def _torque(tokens: list[Token], i: int, k: int, value: Fraction) -> Trade | None:
    """Read "20 foot pounds", "18 ft-lb"."""
    word = tokens[k].text
    if (
        word not in ("foot", "inch", "ft", "in")
        or not joined(tokens, k + 1)
        or tokens[k + 1].text not in _POUNDS
    ):
        return None
    return Trade(i, k + 2, "torque", f"{as_text(value)} {word} pounds")


def _area(tokens: list[Token], i: int, k: int, value: Fraction) -> Trade | None:
    """Read "1.4 square metres", "12 cubic feet", "3 metres squared"."""
    words = [t.text for t in tokens[k : k + 2]]
    if len(words) < 2 or not joined(tokens, k + 1):
        return None
    kind = _POWERS.get(words[0]) if words[1] in g.UNIT_WORDS else None
    if kind is None and words[0] in g.UNIT_WORDS:
        kind = {"squared": "area", "cubed": "volume"}.get(words[1])
    return Trade(i, k + 2, kind, f"{as_text(value)} {words[0]} {words[1]}") if kind else None


def _per_inch(tokens: list[Token], i: int, k: int, value: Fraction) -> Trade | None:
    """Read "seven stitches per inch", "ten teeth to the inch"; "seven holes an inch apart" is none."""
    word = tokens[k].text
    if word == "to" and [t.text for t in tokens[k + 1 : k + 3]] in (["the", "inch"], ["an", "inch"]):
        return Trade(i, k + 3, "stitch", f"{as_text(value)} to the inch") if value.denominator == 1 else None
    if word not in g.STITCH or not joined(tokens, k + 2):
        return None
    per = tuple(t.text for t in tokens[k + 1 : k + 4])
    to_the = per == ("to", "the", "inch")
    if not to_the and per[:2] not in _PER:
        return None
    if per[0] == "an" and joined(tokens, k + 3) and tokens[k + 3].text in (g.ROLE_AFTER | {"from", "in"}):
        return None
    kind = {"teeth": "teeth", "threads": "thread"}.get(word, "stitch")
    return Trade(i, k + (4 if to_the else 3), kind, f"{as_text(value)} {word} per inch")


def _by_kind(tokens: list[Token], i: int, k: int, value: Fraction, number: Number) -> Trade | None:
    word = tokens[k].text
    kind = g.AFTER.get(word, "")
    letter = word in g.ELECTRIC and tokens[k].capital and tokens[k].pre in ("", " ")
    if not kind and number.digits and letter:
        kind = "electric"
    if not kind or (kind == "time" and number.bare and not number.article and word in ("second", "am")):
        return None
    return _named(tokens, Trade(i, k + 1, kind, f"{as_text(value)} {word}"), value, word)


def _named(tokens: list[Token], trade: Trade, value: Fraction, word: str) -> Trade:
    """Give the name and the real size where a table has one."""
    if trade.kind == "grit":
        trade.name = f"{as_text(value)} grit"
    elif trade.kind == "gauge" and word != "swg" and str(value) in g.AWG:
        if word == "awg" or near_words(tokens, trade.start, trade.end, _WIRE, 4):
            trade.actual, trade.source = ((g.AWG[str(value)], "inch"),), g.SOURCES["awg"]
    elif word in ("ounce", "ounces", "oz") and near_words(tokens, trade.start, trade.end, g.LEATHER):
        trade.kind, trade.name = "leather", f"{as_text(value)} oz"
        trade.actual, trade.source = ((value * g.LEATHER_EACH, "inch"),), g.SOURCES["leather"]
    return trade


def read_temperature(tokens: list[Token], i: int, number: Number) -> Trade | None:
    """Read degrees of heat: by their scale, or by the talk around."""
    end = number.end
    if not joined(tokens, end) or tokens[end].text not in _DEGREES or number.form == "frac":
        return None
    scale = tokens[end + 1].text if joined(tokens, end + 1) else ""
    if scale in ("c", "f", "celsius", "fahrenheit", "centigrade"):
        return Trade(i, end + 2, "temperature", f"{as_text(number.value)} °{scale[0].upper()}")
    if number.value > 360:
        return Trade(i, end + 1, "temperature", f"{as_text(number.value)} degrees")
    if near_words(tokens, i, end + 1, g.ANGLE_NEAR - {"degree", "degrees", "angle"}, 8):
        return None
    hot = number.value > _HOTTEST_ANGLE and near_words(tokens, i, end + 1, g.TEMPERATURE, 18)
    here = (
        joined(tokens, end + 2)
        and tokens[end + 1].text == "in"
        and tokens[end + 2].text in ("here", "there", "the")
    )
    below = i and tokens[i - 1].text == "minus" and tokens[max(0, i - 2)].kind != NUMERAL
    if not (here or below or hot or near_words(tokens, i, end + 1, g.TEMPERATURE, 6)):
        return None
    return Trade(i, end + 1, "temperature", f"{as_text(number.value)} degrees")
