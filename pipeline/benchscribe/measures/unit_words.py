"""Units as they are said and typed, and what only looks like one: pads, idioms, "2 in the vice"."""

from __future__ import annotations

from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import MARK, NUMERAL, Token
from benchscribe.measures.number import Number, joined
from benchscribe.measures.numbers import read_number
from benchscribe.measures.quantity import MIL, Quantity

A: Final = frozenset({"a", "an"})
_GIVES: Final = frozenset({"give", "gives", "giving", "budge", "budges"})
_REALLY_AN_INCH: Final = frozenset({"long", "wide", "each", "either", "extra", "more", "of"})


def unit_at(tokens: list[Token], j: int, number: Number | None) -> tuple[str, int] | None:
    """Read a unit at a token.

    Args:
        tokens: All tokens.
        j: The token after the number.
        number: The number before it; abbreviations and "of an inch" depend on it.

    Returns:
        The unit's name ("mil" is still unsettled) and its end, or None.
    """
    if not joined(tokens, j):
        return None
    token = tokens[j]
    if token.kind == MARK:
        return (
            (g.UNIT_MARKS[token.text], j + 1)
            if token.text in g.UNIT_MARKS and token.pre in ("", " ")
            else None
        )
    if token.text in g.UNIT_WORDS:
        return None if _other_meaning(tokens, j) else (g.UNIT_WORDS[token.text], j + 1)
    if number is None:
        return None
    if token.text in g.UNIT_ABBREVIATIONS and number.digits:
        return (g.UNIT_ABBREVIATIONS[token.text], j + 1) if _abbreviation(tokens, j) else None
    return _after_fraction(tokens, j, number) if number.form in ("frac", "dec") and number.value < 1 else None


def _other_meaning(tokens: list[Token], j: int) -> bool:
    """Tell "the whole nine yards", "14 Mill Lane" and "degrees of freedom" from units."""
    text = tokens[j].text
    following = tokens[j + 1].text if joined(tokens, j + 1) else ""
    if text == "yards":
        return j > 1 and tokens[j - 1].text in ("nine", "9") and tokens[j - 2].text == "whole"
    if text in ("mill", "mills"):
        return following in g.MILL_NOT_BEFORE
    beyond = tokens[j + 2].text if following and joined(tokens, j + 2) else ""
    return text == "degrees" and following == "of" and beyond in ("freedom", "separation")


def _abbreviation(tokens: list[Token], j: int) -> bool:
    """Tell "2 in." and "2 in x 4 in" from "2 in the vice"."""
    token = tokens[j]
    following = tokens[j + 1] if j + 1 < len(tokens) else None
    if token.text == "m":
        return token.pre != "" or following is None or following.pre != ""
    if token.post and j > 1 and tokens[j - 2].text in ("the", "this", "that"):
        return False  # "put the 8 in."
    if token.pre in ("", "-") or token.post or following is None:
        return True
    return (
        following.opened
        or following.text in g.ROLE_AFTER
        or following.text in ("x", "by", "and", "-", g.EN_DASH)
    )


def _after_fraction(tokens: list[Token], j: int, number: Number) -> tuple[str, int] | None:
    """Read "of an inch", "an inch" and "and inch" (for "an inch") after a fraction."""
    if not joined(tokens, j + 1):
        return None
    text = tokens[j].text
    whole = tokens[j + 1].text == "inch" and fraction_after(tokens, j + 2, "inch") is not None
    if text in A or (text == "and" and number.bare and tokens[j + 1].text == "inch" and not whole):
        unit = g.UNIT_WORDS.get(tokens[j + 1].text)
        return (unit, j + 2) if unit else None
    if text != "of":
        return None
    k = j + 2 if tokens[j + 1].text in A and joined(tokens, j + 2) else j + 1
    unit = g.UNIT_WORDS.get(tokens[k].text)
    if unit in (None, "degree") or (k == j + 1 and unit != "inch"):
        return None
    if number.bare and number.den == 2 and fraction_after(tokens, k + 1, unit or ""):
        return None  # half of (an inch and three quarters)
    return unit or "", k + 1


def fraction_after(tokens: list[Token], i: int, unit: str) -> Number | None:
    """Read the fraction after "an inch" or "two inches": "and a quarter", "one eighth", "and 5/8"."""
    if unit == "degree" or not joined(tokens, i):
        return None
    small = unit in ("thou", "mm", "cm", MIL)
    in_a = tokens[i].text == "in" and joined(tokens, i + 1) and tokens[i + 1].text in A
    and_word = tokens[i].text == "and" or in_a
    k = i + 1 if and_word else i
    if not joined(tokens, k) or (unit != "inch" and not and_word):
        return None
    number = read_number(tokens, k)
    if number is None or number.form != "frac" or not 0 < number.value < 1 or number.den == 1000:
        return None
    if number.bare and not number.article and number.den not in (2, 4):
        return None
    if small and number.den != 2:
        return None
    chained = joined(tokens, number.end) and tokens[number.end].text in ("by", "x")
    return number if and_word or not (number.bare or number.singular or chained) else None


def is_measure_with_article(tokens: list[Token], i: int, k: int, unit: str) -> bool:
    """Tell "an inch long" from "every inch", "put a foot on it" and "to a degree".

    Args:
        tokens: All tokens.
        i: The article.
        k: The unit.
        unit: Its name.
    """
    before = tokens[i - 1].text if i else ""
    after = tokens[k + 1].text if joined(tokens, k + 1) else ""
    if unit == "degree":
        return before not in ("to", "such") and after not in ("in", "course")
    if unit == "yard":
        return after in g.AFTER_YARD
    if unit == "foot":
        return after in g.FOOT_SIZES if before in g.PAD_VERBS else not after or after in g.AFTER_FOOT
    if unit == "inch":
        return not _idiom(tokens, i, before, after)
    return tokens[k].text not in ("mill", "mils")


def _idiom(tokens: list[Token], i: int, before: str, after: str) -> bool:
    """Tell "give him an inch", "not giving an inch" and "within an inch of my life" from a size."""
    if before in ("within", "every") and after == "of":
        return True
    return any(t.text in _GIVES for t in tokens[max(0, i - 2) : i]) and after not in _REALLY_AN_INCH


def is_no_foot(tokens: list[Token], feet: Quantity) -> bool:
    """Tell "one foot went to sleep", and the four feet that a box stands on, from lengths."""
    if feet.form != "int":
        return False
    word = tokens[feet.end - 1].text
    after = tokens[feet.end] if joined(tokens, feet.end) else None
    if feet.value == 1 and word == "foot" and after is not None:
        number = after.kind == NUMERAL or after.text in g.SMALL or after.text in g.DENOMINATOR
        return not number and after.text not in g.AFTER_FOOT
    return word == "feet" and 1 < feet.value < 9 and _pads(tokens, feet)


def _pads(tokens: list[Token], feet: Quantity) -> bool:
    before = tokens[feet.start - 1].text if feet.start and joined(tokens, feet.start) else ""
    after = tokens[feet.end].text if joined(tokens, feet.end) else ""
    if feet.value == 2:
        return before in ("own", "my", "your", "both")
    near = tokens[max(0, feet.start - 10) : feet.end + 8]
    if after not in g.ROLE_AFTER and feet.end < len(tokens) and any(t.text in g.PAD_TALK for t in near):
        return True
    if before in g.PAD_OWNERS:
        return (after not in g.ROLE_AFTER and before in g.PAD_SURE) or after in g.PAD_AFTER
    if after == "on":
        where = tokens[feet.end + 1].text if feet.end + 1 < len(tokens) else ""
        return where in ("the", "it", "each", "there", "that", "this") and before not in (
            "is",
            "about",
            "at",
            "to",
        )
    return after in g.PAD_AFTER - {"with"}


def is_mil(unit: str | None) -> bool:
    """Tell whether a unit is a millimetre, by one name or the other."""
    return unit in (MIL, "mm")
