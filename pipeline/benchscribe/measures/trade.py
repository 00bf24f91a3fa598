"""Numbers of the trade that are no sizes: nominal stock, drills, screws, threads, grits and the rest."""

from __future__ import annotations

from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import NUMERAL, WORD, Token
from benchscribe.measures.nominal import read_nominal, read_quarters
from benchscribe.measures.number import Number, joined
from benchscribe.measures.numbers import read_number
from benchscribe.measures.other_units import read_by_unit, read_temperature
from benchscribe.measures.trade_item import Trade, as_text, near_words
from benchscribe.measures.types import BuildUnits
from benchscribe.measures.unit_words import unit_at

_BY: Final = frozenset({"by", "x"})
_SAID_THREADS: Final = frozenset({"6-32", "8-32", "10-24", "10-32"})
"""Said without a dash, and sure where a length follows: "six thirty two by half inch"."""
_LIKE_RANGES: Final = frozenset({"1-8", "1-12", "1-14"})
_PLACES: Final = frozenset({"line", "mark", "top", "level", "track", "row", "table"})
"""Words that number a thing, and are as often the thing itself: "a line six hundred and forty down"."""


def read_trade(tokens: list[Token], i: int, units: BuildUnits | None) -> Trade | None:
    """Read a number of the trade that begins at a token.

    Args:
        tokens: All tokens.
        i: A token at which a number or a sign of one begins.
        units: The build's unit: nominal timber is said the other way round in metric trades.
    """
    token = tokens[i]
    if token.kind == WORD and token.pre != "" and i + 1 < len(tokens) and tokens[i + 1].pre == "":
        lettered = _lettered(tokens, i)
        if lettered:
            return lettered
    if token.text in ("#", "$", "£", "€"):
        return _signed(tokens, i)
    before = tokens[i - 1] if i and (joined(tokens, i) or tokens[i - 1].text == "no") else None
    number = read_number(tokens, i)
    if number is None:
        return _clock_or_code(tokens, i)
    stock = read_nominal(tokens, i, number, units) or read_quarters(tokens, i, number)
    found = _thread(tokens, i, number, units) or stock
    if found:
        return found
    if before is not None:
        numbered = _numbered(tokens, i, before, number)
        if numbered:
            return numbered
    return read_by_unit(tokens, i, number) or read_temperature(tokens, i, number)


def _lettered(tokens: list[Token], i: int) -> Trade | None:
    """Read "M5", "P220", and pass over codes such as "T6" and "B12"; "R1/8" and "x2" are left to others."""
    letter, number = tokens[i], tokens[i + 1]
    if number.kind != NUMERAL or len(letter.text) > 4 or letter.text in ("r", "x", "dia", "d", "by", "ø"):
        return None
    end = i + 2
    if joined(tokens, end) and tokens[end].text in ("s", "'s") and tokens[end].pre == "":
        end += 1
    if letter.text == "m" and number.value is not None and number.value <= 64:
        pitch = read_number(tokens, end + 1) if joined(tokens, end + 1) and tokens[end].text == "x" else None
        if (
            pitch
            and pitch.value < 3
            and pitch.form in ("dec", "int")
            and unit_at(tokens, pitch.end, pitch) is None
        ):
            return Trade(i, pitch.end, "thread", f"M{number.text}x{float(pitch.value):g}")
        return Trade(i, end, "thread", f"M{number.text}")
    if letter.text == "p" and number.text in g.GRIT_P:
        size = (g.GRIT_P[number.text] / 1000, "mm")
        return Trade(i, end, "grit", f"P{number.text}", (size,), g.SOURCES["grit_p"])
    while joined(tokens, end) and tokens[end].pre == "":
        end += 1
    return Trade(i, end)


def _signed(tokens: list[Token], i: int) -> Trade | None:
    if not joined(tokens, i + 1):
        return None
    number = read_number(tokens, i + 1)
    if number is None:
        return None
    if tokens[i].text != "#":
        return Trade(i, number.end, "money", tokens[i].text + as_text(number.value))
    return _screw_or_drill(tokens, i, number)


def _screw_or_drill(tokens: list[Token], start: int, number: Number) -> Trade:
    value = int(number.value)
    if near_words(tokens, start, number.end, g.DRILL, 3) and not near_words(
        tokens, number.end, number.end, g.SCREW, 2
    ):
        size = g.DRILL_NUMBERS.get(str(value))
        actual = ((size, "inch"),) if size else ()
        return Trade(
            start, number.end, "drill", f"#{value}", actual, g.SOURCES["drill_number"] if size else ""
        )
    by = joined(tokens, number.end) and tokens[number.end].text in _BY
    if (
        near_words(tokens, number.end, number.end, g.SCREW, 9 if by else 4) and value <= g.SCREW_LAST
    ) or tokens[start].text == "#":
        size = g.SCREW_FIRST + g.SCREW_EACH * value if value <= g.SCREW_LAST else None
        actual = ((size, "inch"),) if size else ()
        return Trade(
            start, number.end, "screw", f"#{value}", actual, g.SOURCES["screw_number"] if size else ""
        )
    return Trade(start, number.end)


def _numbered(tokens: list[Token], i: int, before: Token, number: Number) -> Trade | None:
    """Read what follows "number", "No.", "episode", "sheet": a drill, a screw, or only a name."""
    word = before.text
    if word not in g.CODE_BEFORE or number.form != "int" or (word == "no" and before.post != "."):
        return None
    follows = tokens[number.end].text if joined(tokens, number.end) else ""
    named = word in ("number", "no", "nr", "numbers")
    if unit_at(tokens, number.end, number) or (follows in _BY and not named):
        return None
    if named:
        return _screw_or_drill(tokens, i - 1, number)
    place = word in _PLACES and (number.value > 40 or not number.digits)
    return None if place or follows in g.AFTER else Trade(i, _more_codes(tokens, number.end))


def _more_codes(tokens: list[Token], end: int) -> int:
    """Read on over "of 12", "to 9", "and 14": the same kind of name again."""
    for _ in range(4):
        if end >= len(tokens) or tokens[end - 1].post not in ("", "~", ","):
            return end
        link = tokens[end].text in ("of", "to", "and", "or", "through")
        k = end + 1 if link else end
        if not (link or tokens[end - 1].post == ",") or not joined(tokens, k) or k >= len(tokens):
            return end
        more = read_number(tokens, k) if tokens[k].kind == NUMERAL or tokens[k].text in g.SMALL else None
        if more is None or more.form != "int" or unit_at(tokens, more.end, more):
            return end
        if joined(tokens, more.end) and tokens[more.end].text in g.ROLE_AFTER | _BY:
            return end
        end = more.end
    return end


def _thread(tokens: list[Token], i: int, number: Number, units: BuildUnits | None) -> Trade | None:
    """Read "1/4-20", "10-32", "quarter twenty", "ten thirty two"."""
    found = _typed_thread(tokens, i) if tokens[i].kind == NUMERAL else _said_thread(tokens, i, number)
    if found is None or found[0] not in g.THREADS:
        return None
    name, end, sure = found
    if not sure and units != "mm":
        sure = name in _SAID_THREADS and joined(tokens, end) and tokens[end].text in _BY
    if (not sure or name in _LIKE_RANGES) and not near_words(tokens, i, end, g.THREAD_NEAR, 4):
        return None
    return Trade(i, end, "thread", name)


def _typed_thread(tokens: list[Token], i: int) -> tuple[str, int, bool] | None:
    """Give name, end, and whether a dash makes it sure."""
    slash = i + 2 < len(tokens) and tokens[i + 1].text == "/" and not tokens[i + 1].pre
    first = i + 3 if slash else i + 1
    marked = first < len(tokens) and tokens[first].text == '"' and not tokens[first].pre
    k = first + 1 if marked else first
    if not joined(tokens, k) or tokens[k].kind != NUMERAL or tokens[k].pre not in ("-", " "):
        return None
    return "".join(t.text for t in tokens[i:first]) + "-" + tokens[k].text, k + 1, tokens[k].pre == "-"


def _said_thread(tokens: list[Token], i: int, number: Number) -> tuple[str, int, bool] | None:
    part = number.form == "frac" and number.value < 1
    k = number.end if part else i + 1
    if not joined(tokens, k) or (not part and tokens[i].text not in g.SMALL):
        return None
    second = read_number(tokens, k)
    if second is None or second.form != "int" or second.value > 80 or unit_at(tokens, second.end, second):
        return None
    first = str(number.value) if part else str(g.SMALL[tokens[i].text])
    name = f"{first}-{second.value}"
    return name, second.end, name == "1/4-20"


def _clock_or_code(tokens: list[Token], i: int) -> Trade | None:
    """Pass over what looks like a number and is none: "9:30", "24/7/365", "1:16", "2nd"."""
    if tokens[i].kind != NUMERAL:
        return None
    end = i + 1
    while end < len(tokens) and tokens[end].pre == "" and tokens[end - 1].post == "":
        end += 1
    return Trade(i, end)
