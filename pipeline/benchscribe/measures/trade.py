"""Numbers of the trade that are no sizes: nominal stock, drills, screws, threads, grits and the rest."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import NUMERAL, WORD, Token
from benchscribe.measures.number import Number, joined
from benchscribe.measures.numbers import read_number
from benchscribe.measures.types import BuildUnits
from benchscribe.measures.unit_words import unit_at

_PLURALS: Final = {"twos": 2, "threes": 3, "fours": 4, "sixes": 6, "eights": 8, "tens": 10, "twelves": 12}
_BY: Final = frozenset({"by", "x"})
_A: Final = frozenset({"a", "an"})
_DEGREES: Final = frozenset({"degree", "degrees", "°", "deg"})


@dataclass(slots=True, eq=False)
class Trade:
    """A number that is settled to be no size; without a kind it is passed over in silence."""

    start: int
    end: int
    kind: str = ""
    name: str = ""
    actual: tuple[tuple[Fraction, str], ...] = ()
    source: str = ""


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
    for reader in (_thread, _nominal, _quarters):
        found = reader(tokens, i, number, units)
        if found:
            return found
    if before is not None:
        numbered = _numbered(tokens, i, before, number)
        if numbered:
            return numbered
    return _by_unit(tokens, i, number) or _temperature(tokens, i, number)


def _near(tokens: list[Token], start: int, end: int, words: frozenset[str], reach: int = 5) -> bool:
    return any(t.text in words for t in tokens[max(0, start - reach) : end + reach])


def _text(value: Fraction) -> str:
    whole, part = divmod(value, 1)
    if part and value.denominator in (10, 100, 1000, 5, 20, 25, 50, 125, 250, 500):
        return str(float(value))
    return f"{whole} {part}" if part and whole else str(part or whole)


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
        return Trade(i, number.end, "money", tokens[i].text + _text(number.value))
    return _screw_or_drill(tokens, i, number)


def _screw_or_drill(tokens: list[Token], start: int, number: Number) -> Trade:
    value = int(number.value)
    if _near(tokens, start, number.end, g.DRILL, 3) and not _near(tokens, number.end, number.end, g.SCREW, 2):
        size = g.DRILL_NUMBERS.get(str(value))
        actual = ((size, "inch"),) if size else ()
        return Trade(
            start, number.end, "drill", f"#{value}", actual, g.SOURCES["drill_number"] if size else ""
        )
    by = joined(tokens, number.end) and tokens[number.end].text in _BY
    if (_near(tokens, number.end, number.end, g.SCREW, 9 if by else 4) and value <= g.SCREW_LAST) or tokens[
        start
    ].text == "#":
        size = g.SCREW_FIRST + g.SCREW_EACH * value if value <= g.SCREW_LAST else None
        actual = ((size, "inch"),) if size else ()
        return Trade(
            start, number.end, "screw", f"#{value}", actual, g.SOURCES["screw_number"] if size else ""
        )
    return Trade(start, number.end)


def _numbered(tokens: list[Token], i: int, before: Token, number: Number) -> Trade | None:
    """Read what follows "number", "No.", "episode", "sheet": a drill, a screw, or only a name."""
    if before.text not in g.CODE_BEFORE or number.form != "int":
        return None
    if before.text == "no" and before.post != ".":
        return None
    if unit_at(tokens, number.end, number) or (
        joined(tokens, number.end) and tokens[number.end].text in _BY and before.text not in ("number", "no")
    ):
        return None
    if before.text in ("number", "no", "nr", "numbers"):
        return _screw_or_drill(tokens, i - 1, number)
    if joined(tokens, number.end) and tokens[number.end].text in g.AFTER:
        return None
    if before.text in ("line", "mark", "top", "level", "track", "row", "table") and (
        number.value > 40 or not number.digits
    ):
        return None
    return Trade(i, _more_codes(tokens, number.end))


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
    del units
    token = tokens[i]
    if token.kind == NUMERAL:
        slash = i + 2 < len(tokens) and tokens[i + 1].text == "/" and not tokens[i + 1].pre
        k = i + 3 if slash else i + 1
        if not joined(tokens, k) or tokens[k].kind != NUMERAL or tokens[k].pre not in ("-", " "):
            return None
        name = "".join(t.text for t in tokens[i:k]) + "-" + tokens[k].text
        dash = tokens[k].pre == "-"
        end = k + 1
    else:
        part = number.form == "frac" and number.value < 1
        k = number.end if part else i + 1
        if not joined(tokens, k) or (not part and token.text not in g.SMALL):
            return None
        second = read_number(tokens, k)
        if second is None or second.form != "int" or second.value > 80 or unit_at(tokens, second.end, second):
            return None
        first = str(number.value) if part else str(g.SMALL[token.text])
        name, dash, end = f"{first}-{second.value}", False, second.end
        if part and number.value == Fraction(1, 4) and second.value == 20:
            dash = True
    if name not in g.THREADS:
        return None
    sure = dash and name not in ("1-8", "1-12", "1-14")
    if not sure and not _near(tokens, i, end, g.THREAD_NEAR, 4):
        return None
    return Trade(i, end, "thread", name)


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


def _nominal(tokens: list[Token], i: int, number: Number, units: BuildUnits | None) -> Trade | None:
    """Read "two by fours", "a 1x6", "four by two" (metric trades)."""
    end = number.end
    if number.form != "int" or number.value > 12 or not joined(tokens, end) or tokens[end].text not in _BY:
        return None
    if i and joined(tokens, i) and tokens[i - 1].text in _BY:
        return None
    thick = int(number.value)
    second = _whole(tokens, end + 1)
    if second is None:
        lone = (
            thick in (1, 2)
            and joined(tokens, end + 1)
            and tokens[end].text == "by"
            and tokens[i - 1].text in ("the", "some", "a", "of")
        )
        lone = (
            lone
            and tokens[end + 1].kind == WORD
            and read_number(tokens, end + 1) is None
            and tokens[end + 1].text not in ("the", "a", "an", "half", "inch")
        )
        return Trade(i, end + 1, "nominal-stock", f"{thick}x") if lone and i else None
    wide, after, plural = second
    name = f"{thick}x{wide}"
    known = g.NOMINAL | (g.NOMINAL_METRIC if units == "mm" else frozenset())
    if name not in known and not (plural and f"{wide}x{thick}" in known):
        return None
    if unit_at(tokens, after, Number(Fraction(wide), after, "int", digits=True)) and not plural:
        return None
    third = (
        read_number(tokens, after + 1) if joined(tokens, after + 1) and tokens[after].text in _BY else None
    )
    if third and not plural:
        at = unit_at(tokens, third.end, third)
        if at is None or at[0] != "foot":
            return None
    follows = tokens[after].text if joined(tokens, after) else ""
    before = tokens[i - 1].text if i and joined(tokens, i) else ""
    if name in g.SHEET_PAIRS and follows in g.SHEET_NAMES:
        return None
    if not plural and (
        follows in g.ROLE_AFTER or (follows in ("and", "over") and read_number(tokens, after + 1))
        if joined(tokens, after + 1)
        else False
    ):
        return None
    if name in g.NOMINAL_OPEN and units != "mm" and not plural:
        if before not in g.NOMINAL_ARTICLES and follows not in g.NOMINAL_STOCK:
            return None
    return Trade(
        i, after, "nominal-stock", name, _softwood(thick, wide, units), _softwood_source(thick, wide, units)
    )


def _softwood(thick: int, wide: int, units: BuildUnits | None) -> tuple[tuple[Fraction, str], ...]:
    if units == "mm" and thick > wide:
        thick, wide = wide, thick
    a, b = g.SOFTWOOD_THICKNESS.get(str(thick)), g.SOFTWOOD_WIDTH.get(str(wide))
    return ((a, "inch"), (b, "inch")) if a and b and units != "mm" else ()


def _softwood_source(thick: int, wide: int, units: BuildUnits | None) -> str:
    return g.SOURCES["softwood"] if _softwood(thick, wide, units) else ""


def _quarters(tokens: list[Token], i: int, number: Number, units: BuildUnits | None) -> Trade | None:
    """Read "five quarter", "8/4": rough hardwood."""
    del units
    token, end = tokens[i], i + 2
    if (
        token.kind == NUMERAL
        and i + 2 < len(tokens)
        and tokens[i + 1].text == "/"
        and tokens[i + 2].text == "4"
    ):
        over, end = int(token.value or 0), i + 3
        if i and tokens[i - 1].kind == NUMERAL and joined(tokens, i):
            return None
    else:
        whole = _whole(tokens, i) if i else None
        if i == 0:
            first = read_number(tokens, 0)
            whole = (int(first.value), first.end, False) if first and first.form == "int" else None
        if whole is None or not joined(tokens, whole[1]) or tokens[whole[1]].text != "quarter":
            return None
        over, end = whole[0], whole[1] + 1
    if over not in g.QUARTER_NUMERATORS or unit_at(
        tokens, end, Number(Fraction(1, 4), end, "frac", 4, digits=True)
    ):
        return None
    if (joined(tokens, end) and tokens[end].pre == "") or number.form == "mixed":
        return None
    size = g.HARDWOOD.get(f"{over}/4")
    actual = ((size, "inch"),) if size else ()
    return Trade(i, end, "nominal-stock", f"{over}/4", actual, g.SOURCES["hardwood"] if size else "")


def _by_unit(tokens: list[Token], i: int, number: Number) -> Trade | None:
    """Read a number by the word after it: minutes, grit, teeth, rpm, ounces, gauge ..."""
    ends = (number.run[1], number.end) if number.run else (number.end,)
    for end in ends:
        value = Fraction(number.run[0]) if number.run and end == number.run[1] else number.value
        k = end
        if number.form == "frac" and joined(tokens, k + 1) and tokens[k].text in ("of", *_A):
            k += 2 if tokens[k].text == "of" and tokens[k + 1].text in _A else 1
        if not joined(tokens, k):
            continue
        word = tokens[k].text
        if word in ("%", "percent"):
            return Trade(i, k + 1, "share", f"{_text(value)}%")
        if word == "times":
            return Trade(i, k + 1)
        if (
            word in ("foot", "inch", "ft", "in")
            and joined(tokens, k + 1)
            and tokens[k + 1].text in ("pounds", "pound", "lbs", "lb")
        ):
            return Trade(i, k + 2, "torque", f"{_text(value)} {word} pounds")
        if word in g.STITCH and joined(tokens, k + 2):
            per = tuple(t.text for t in tokens[k + 1 : k + 4])
            apart = (
                joined(tokens, k + 3)
                and tokens[k + 1].text == "an"
                and tokens[k + 3].text in (g.ROLE_AFTER | {"from", "in"})
            )
            if (not apart and per[:2] in (("per", "inch"), ("an", "inch"), ("per", "cm"))) or per == (
                "to",
                "the",
                "inch",
            ):
                long = 4 if per == ("to", "the", "inch") else 3
                kind = {"teeth": "teeth", "threads": "thread"}.get(word, "stitch")
                return Trade(i, k + long, kind, f"{_text(value)} {word} per inch")
        if word in ("on", "rockwell", "hrc") and any(
            t.text in ("rockwell", "hrc") for t in tokens[k : k + 3]
        ):
            return Trade(i, end, "hardness", f"{_text(value)} HRC")
        kind = g.AFTER.get(word, "")
        if (
            not kind
            and number.digits
            and word in g.ELECTRIC
            and tokens[k].pre in ("", " ")
            and tokens[k].capital
        ):
            kind = "electric"
        if kind and not (
            kind == "time" and number.bare and not number.article and k == end and word in ("second", "am")
        ):
            return _named(tokens, Trade(i, k + 1, kind, f"{_text(value)} {word}"), value, word)
    return None


def _named(tokens: list[Token], trade: Trade, value: Fraction, word: str) -> Trade:
    if trade.kind == "gauge":
        key = str(value)
        wire = word == "awg" or _near(
            tokens,
            trade.start,
            trade.end,
            frozenset({"wire", "cable", "strand", "stranded", "copper", "hookup"}),
            4,
        )
        if wire and word != "swg" and key in g.AWG:
            trade.actual, trade.source = ((g.AWG[key], "inch"),), g.SOURCES["awg"]
    elif (
        trade.kind == "weight"
        and word in ("ounce", "ounces", "oz")
        and _near(tokens, trade.start, trade.end, g.LEATHER)
    ):
        trade.kind, trade.name = "leather", f"{_text(value)} oz"
        trade.actual, trade.source = ((value * g.LEATHER_EACH, "inch"),), g.SOURCES["leather"]
    elif trade.kind == "grit":
        trade.name = f"{_text(value)} grit"
    return trade


def _temperature(tokens: list[Token], i: int, number: Number) -> Trade | None:
    end = number.end
    if not joined(tokens, end) or tokens[end].text not in _DEGREES or number.form == "frac":
        return None
    scale = tokens[end + 1].text if joined(tokens, end + 1) else ""
    if scale in ("c", "f", "celsius", "fahrenheit", "centigrade"):
        return Trade(i, end + 2, "temperature", f"{_text(number.value)} °{scale[0].upper()}")
    if _near(tokens, i, end + 1, g.ANGLE_NEAR - {"degree", "degrees", "angle"}, 8):
        return None
    here = (
        joined(tokens, end + 2)
        and tokens[end + 1].text == "in"
        and tokens[end + 2].text in ("here", "there", "the")
    )
    below = i and tokens[i - 1].text == "minus" and tokens[max(0, i - 2)].kind != NUMERAL
    if not (here or below or _near(tokens, i, end + 1, g.TEMPERATURE, 6)):
        return None
    return Trade(i, end + 1, "temperature", f"{_text(number.value)} degrees")


def _clock_or_code(tokens: list[Token], i: int) -> Trade | None:
    """Pass over what looks like a number and is none: "9:30", "24/7/365", "1:16", "2nd"."""
    if tokens[i].kind != NUMERAL:
        return None
    end = i + 1
    while end < len(tokens) and tokens[end].pre == "" and tokens[end - 1].post == "":
        end += 1
    return Trade(i, end)
