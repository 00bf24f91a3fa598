"""Stock by its nominal size: "two by fours", "a 1x6", "four by two" in metric trades, "five quarter", "8/4"."""

from __future__ import annotations

from fractions import Fraction
from types import MappingProxyType
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import NUMERAL, WORD, Token
from benchscribe.measures.number import Number, joined
from benchscribe.measures.numbers import read_number
from benchscribe.measures.trade_item import Trade, near_words
from benchscribe.measures.types import BuildUnits
from benchscribe.measures.unit_words import unit_at

_PLURALS: Final = MappingProxyType(
    {"twos": 2, "threes": 3, "fours": 4, "sixes": 6, "eights": 8, "tens": 10, "twelves": 12}
)
_BY: Final = frozenset({"by", "x"})
_OF_ONE_BY: Final = frozenset({"the", "some", "a", "of"})
_NOT_ONE_BY: Final = frozenset({"the", "a", "an", "half", "inch"})


def _whole(tokens: list[Token], i: int) -> tuple[int, int, bool] | None:
    """Read a whole number below 20, plural or not: value, end, plural."""
    if not joined(tokens, i):
        return None
    token = tokens[i]
    if token.text in _PLURALS:
        return _PLURALS[token.text], i + 1, True
    number = read_number(tokens, i) if token.kind == NUMERAL or token.text in g.SMALL else None
    if number is None or number.form != "int":
        return None
    end = number.end
    plural = joined(tokens, end) and tokens[end].text in ("s", "'s") and tokens[end].pre in ("", "-")
    return int(number.value), end + plural, plural


def read_nominal(tokens: list[Token], i: int, number: Number, units: BuildUnits | None) -> Trade | None:
    """Read nominal softwood that begins at a token.

    Args:
        tokens: All tokens.
        i: Where to begin.
        number: The number there.
        units: The build's unit: metric trades say the larger figure first.
    """
    end, thick = number.end, int(number.value)
    chained = i and joined(tokens, i) and tokens[i - 1].text in _BY
    if (
        number.form != "int"
        or thick > 12
        or chained
        or not joined(tokens, end)
        or tokens[end].text not in _BY
    ):
        return None
    second = _whole(tokens, end + 1)
    if second is None:
        return _one_by(tokens, i, thick, end)
    wide, after, plural = second
    name = f"{thick}x{wide}"
    sold = near_words(tokens, i, after, g.NOMINAL_SOLD, 14)
    known = g.NOMINAL | (g.NOMINAL_METRIC if units == "mm" or sold else frozenset())
    listed = name in known or (plural and f"{wide}x{thick}" in known)
    if not listed or (
        not plural and (_is_real_size(tokens, wide, after) or _is_open(tokens, i, after, name, units))
    ):
        return None
    if name in g.SHEET_PAIRS and joined(tokens, after) and tokens[after].text in g.SHEET_NAMES:
        return None
    actual = _dressed(thick, wide, units)
    return Trade(i, after, "nominal-stock", name, actual, g.SOURCES["softwood"] if actual else "")


def _one_by(tokens: list[Token], i: int, thick: int, end: int) -> Trade | None:
    """Read "the one by" with no second figure."""
    if thick > 2 or not i or tokens[end].text != "by" or not joined(tokens, end + 1):
        return None
    if tokens[i - 1].text not in _OF_ONE_BY or tokens[end + 1].kind != WORD:
        return None
    if tokens[end + 1].text in _NOT_ONE_BY or read_number(tokens, end + 1) is not None:
        return None
    return Trade(i, end + 1, "nominal-stock", f"{thick}x")


def _is_real_size(tokens: list[Token], wide: int, after: int) -> bool:
    """Tell "two by four inches", "two by two by five eighths" and "2 by 4 wide" from stock; a length in feet may follow stock."""
    if unit_at(tokens, after, Number(Fraction(wide), after, "int", digits=True)):
        return True
    if not joined(tokens, after + 1):
        return joined(tokens, after) and tokens[after].text in g.ROLE_AFTER
    follows = tokens[after].text
    if follows in _BY:
        third = read_number(tokens, after + 1)
        at = unit_at(tokens, third.end, third) if third else None
        return third is not None and (at is None or at[0] != "foot")
    return follows in g.ROLE_AFTER or (
        follows in ("and", "over") and read_number(tokens, after + 1) is not None
    )


def _is_open(tokens: list[Token], i: int, after: int, name: str, units: BuildUnits | None) -> bool:
    """Tell a pair that is as likely a real size, with no article and no stock word beside it."""
    if name not in g.NOMINAL_OPEN or units == "mm":
        return False
    before = tokens[i - 1].text if i and joined(tokens, i) else ""
    follows = tokens[after].text if joined(tokens, after) else ""
    return before not in g.NOMINAL_ARTICLES and follows not in g.NOMINAL_STOCK


def _dressed(thick: int, wide: int, units: BuildUnits | None) -> tuple[tuple[Fraction, str], ...]:
    a, b = g.SOFTWOOD_THICKNESS.get(str(thick)), g.SOFTWOOD_WIDTH.get(str(wide))
    return ((a, "inch"), (b, "inch")) if a and b and units != "mm" else ()


def read_quarters(tokens: list[Token], i: int, number: Number) -> Trade | None:
    """Read hardwood by its quarters: "five quarter", "8/4"."""
    found = _typed_quarters(tokens, i) if tokens[i].kind == NUMERAL else None
    found = found or _said_quarters(tokens, number)
    if found is None or number.form == "mixed":
        return None
    over, end = found
    if over not in g.QUARTER_NUMERATORS or (joined(tokens, end) and tokens[end].pre == ""):
        return None
    if unit_at(tokens, end, Number(Fraction(1, 4), end, "frac", 4, digits=True)):
        return None
    size = g.HARDWOOD.get(f"{over}/4")
    actual = ((size, "inch"),) if size else ()
    return Trade(i, end, "nominal-stock", f"{over}/4", actual, g.SOURCES["hardwood"] if size else "")


def _typed_quarters(tokens: list[Token], i: int) -> tuple[int, int] | None:
    if i + 2 >= len(tokens) or tokens[i + 1].text != "/" or tokens[i + 2].text != "4":
        return None
    if i and tokens[i - 1].kind == NUMERAL and joined(tokens, i):
        return None
    return (int(tokens[i].text), i + 3) if tokens[i].text.isdigit() else None


def _said_quarters(tokens: list[Token], number: Number) -> tuple[int, int] | None:
    if number.form != "int" or not joined(tokens, number.end) or tokens[number.end].text != "quarter":
        return None
    return int(number.value), number.end + 1
