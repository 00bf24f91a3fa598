"""A number with its unit, and the sizes said in two units: feet and inches, a metre and five."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from benchscribe.measures.grammar import (
    DENOMINATOR,
    MIL_THOU_NEAR,
    MILL_NOT_BEFORE,
    ROLE_AFTER,
    RULER,
    SMALL,
    UNIT_ABBREVIATIONS,
    UNIT_MARKS,
    UNIT_WORDS,
)
from benchscribe.measures.lexer import MARK, NUMERAL, OPEN_POST, WORD, Token
from benchscribe.measures.number import Number, joined
from benchscribe.measures.numbers import read_number
from benchscribe.measures.types import BuildUnits, Hedge

_A: Final = frozenset({"a", "an"})
_METRIC: Final = frozenset({"mm", "cm", "m"})
MIL: Final = "mil"
GOOD_INCH: Final = frozenset(
    {
        "good",
        "full",
        "bare",
        "scant",
        "clear",
        "strong",
        "heavy",
        "light",
        "generous",
        "whole",
        "solid",
        "extra",
        "fat",
    }
)
"""A good inch, a bare inch: the number one goes unsaid."""


@dataclass(slots=True, eq=False)
class Quantity:
    """A number in the text, with its unit where one was said; filled in by the later passes.

    Attributes:
        start, end: Half-open span of tokens.
        value: Exact, in `unit`.
        unit: None where none was said (yet).
        number: How it was said; None for "an inch".
        said: The unit was said with it.
        prefixed: "Ø", "R" or "±" stood before it.
        size: Settled to be a size.
    """

    start: int
    end: int
    value: Fraction
    unit: str | None
    number: Number | None
    said: bool = False
    prefixed: bool = False
    step: Fraction = Fraction(1)
    candidates: list[tuple[Fraction, str, str]] = field(default_factory=list)
    why: str = ""
    size: bool = False
    refused: bool = False
    chain: int | None = None
    position: int | None = None
    range_end: str | None = None
    tolerance: Fraction | None = None
    hedge: Hedge | None = None
    taken_back: bool = False
    replaced_by: Quantity | None = None
    linked: bool = False
    """Unit shared with the neighbour before it (chain, range, list of roles)."""
    half_of: bool = False
    anchor: int | None = None
    """Token at which the words begin where hedge-like words belong to the number ("half of")."""

    @property
    def form(self) -> str:
        """How the number was made; "unit" for a bare "an inch"."""
        return self.number.form if self.number else "unit"


def read_quantity(tokens: list[Token], i: int, units: BuildUnits | None) -> Quantity | None:
    """Read the quantity that begins at a token, unit or none.

    Args:
        tokens: All tokens.
        i: Where to begin.
        units: The build's unit, which settles runs such as "seven twenty".
    """
    token = tokens[i]
    start, prefixed = i, False
    if token.text in ("ø", "r") and joined(tokens, i + 1) and tokens[i + 1].kind in (NUMERAL, "g"):
        if token.text == "r" and tokens[i + 1].pre == "" and not _slash_follows(tokens, i + 1):
            return None
        prefixed, i = True, i + 1
    number = read_number(tokens, i)
    if number is None:
        return _unit_alone(tokens, i)
    quantity = _with_unit(tokens, start, number, units)
    quantity.prefixed = prefixed
    if not quantity.said and number.bare and number.den not in RULER:
        return None
    return quantity


def _slash_follows(tokens: list[Token], i: int) -> bool:
    return i + 1 < len(tokens) and tokens[i + 1].text in ("/", '"')


def unit_at(tokens: list[Token], j: int, number: Number | None) -> tuple[str, int] | None:
    """Read a unit at a token: its name ("mil" is still unsettled) and its end."""
    if not joined(tokens, j):
        return None
    token = tokens[j]
    if token.kind == MARK:
        if token.text in UNIT_MARKS and token.pre in ("", " "):
            return UNIT_MARKS[token.text], j + 1
        return None
    text = token.text
    if text in UNIT_WORDS:
        if (
            text == "yards"
            and j > 1
            and tokens[j - 1].text in ("nine", "9")
            and tokens[j - 2].text == "whole"
        ):
            return None
        if text in ("mill", "mills") and joined(tokens, j + 1) and tokens[j + 1].text in MILL_NOT_BEFORE:
            return None
        if (
            text == "degrees"
            and joined(tokens, j + 2)
            and tokens[j + 1].text == "of"
            and tokens[j + 2].text in ("freedom", "separation")
        ):
            return None
        return UNIT_WORDS[text], j + 1
    if (
        text in UNIT_ABBREVIATIONS
        and number is not None
        and (number.digits or number.form in ("frac", "mixed"))
    ):
        return (UNIT_ABBREVIATIONS[text], j + 1) if _abbreviation(tokens, j, number) else None
    fraction = number is not None and number.form in ("frac", "dec") and number.value < 1
    if not fraction:
        return None
    if text == "of" and joined(tokens, j + 1):
        k = j + 2 if tokens[j + 1].text in _A and joined(tokens, j + 2) else j + 1
        unit = UNIT_WORDS.get(tokens[k].text)
        if unit and unit != "degree" and (k == j + 2 or tokens[k].text in ("inch", "inches")):
            if (
                number is not None
                and number.bare
                and number.den == 2
                and _fraction_after(tokens, k + 1, unit)
            ):
                return None  # half of (an inch and three quarters)
            return unit, k + 1
        return None
    if (text in _A or (text == "and" and number is not None and number.bare)) and joined(tokens, j + 1):
        unit = UNIT_WORDS.get(tokens[j + 1].text)
        if unit and (text != "and" or tokens[j + 1].text == "inch"):
            return unit, j + 2
    return None


def _abbreviation(tokens: list[Token], j: int, number: Number) -> bool:
    """Tell "2 in." and "2 in x 4 in" from "2 in the vice"."""
    token = tokens[j]
    if not number.digits:
        return False
    if token.text == "m" and token.pre == "" and j + 1 < len(tokens) and not tokens[j + 1].pre:
        return False
    if token.text == "m" or token.pre in ("", "-") or token.post:
        return True
    if j + 1 >= len(tokens):
        return True
    following = tokens[j + 1]
    return following.opened or following.text in ROLE_AFTER or following.text in ("x", "by", "and", "-", "–")


def _unit_alone(tokens: list[Token], i: int) -> Quantity | None:
    """Read "an inch", "a foot", and "inch and five eighths" or "inch by"."""
    token = tokens[i]
    k = i
    if token.text in _A or token.text == "another":
        if not joined(tokens, i + 1):
            return None
        k = i + 1
    unit = UNIT_WORDS.get(tokens[k].text)
    couple = False
    if unit is None and token.text == "a" and tokens[k].text == "couple":
        k += 1
        if joined(tokens, k) and tokens[k].text == "of":
            k += 1
        if not joined(tokens, k):
            return None
        unit, couple = UNIT_WORDS.get(tokens[k].text), True
        if unit in (None, "degree"):
            return None
    if unit is None or (
        not couple and tokens[k].text.endswith(("s", "feet", "ers")) and tokens[k].text != "thous"
    ):
        return None
    good = (
        k == i
        and i > 1
        and tokens[i - 1].text in GOOD_INCH
        and tokens[i - 2].text == "a"
        and joined(tokens, i)
    )
    if k == i and unit != "inch" and not (good and unit in ("foot", "mm", MIL)):
        return None
    one = Fraction(2 if couple else 1)
    quantity = Quantity(i, k + 1, one, unit, None, said=True)
    if couple:
        quantity.hedge = "about"
        return quantity
    mixed = _fraction_after(tokens, k + 1, unit)
    if mixed:
        return _add_fraction(quantity, mixed, tokens)
    metric = _metre_and(tokens, quantity) if unit == "m" else None
    if metric:
        return metric
    if unit == "foot":
        feet = _feet_and_inches(tokens, quantity)
        if feet.end > k + 1:
            return feet
    if good:
        return quantity
    if k == i:
        return _lone_inch(tokens, i, quantity)
    return quantity if _article_unit(tokens, i, k, unit) else None


def _lone_inch(tokens: list[Token], i: int, quantity: Quantity) -> Quantity | None:
    """Read "inch" with no number at all: only in a chain, or before what it is the size of."""
    before = tokens[i - 1].text if i and joined(tokens, i) else ""
    after = tokens[i + 1].text if joined(tokens, i + 1) else ""
    if tokens[i].pre == "-":
        return None
    if after in ("by", "x") or before in ("by", "x"):
        far = i + 2 if after in ("by", "x") else i - 2
        if 0 <= far < len(tokens) and (
            tokens[far].text in ("inch", "a", "an", "half") or tokens[far].kind == NUMERAL
        ):
            return quantity
        if after in ("by", "x") and joined(tokens, far) and read_number(tokens, far):
            return quantity
        return quantity if before in ("by", "x") else None
    return (
        quantity
        if after in ("thick", "wide", "square", "deep", "diameter") and before not in ("each", "per")
        else None
    )


_AFTER_FOOT: Final = frozenset(
    [
        "long",
        "wide",
        "tall",
        "high",
        "deep",
        "apart",
        "off",
        "in",
        "from",
        "above",
        "below",
        "or",
        "across",
        "and",
        "up",
        "down",
        "at",
        "past",
        "longer",
        "shorter",
        "square",
        "away",
        "of",
        "by",
        "i",
        "so",
        "each",
        "is",
        "left",
        "a",
        "an",
        "wider",
        "inside",
        "outside",
        "by",
        "x",
        "thick",
    ]
)


def _article_unit(tokens: list[Token], i: int, k: int, unit: str) -> bool:
    """Tell "an inch long" from "every inch", "put a foot on it" and "to a degree"."""
    before = tokens[i - 1].text if i else ""
    after = tokens[k + 1].text if joined(tokens, k + 1) else ""
    if unit in ("inch", "mm", "cm", "thou", MIL):
        if unit == "inch" and _idiom(tokens, i, before, after):
            return False
        return tokens[k].text not in ("mill", "mils")
    if unit == "degree":
        return before not in ("to", "such") and after not in ("in", "course")
    if unit == "yard":
        return after in ("of", "long", "wide", "and", "or", "apart", "by", "off")
    if unit == "foot" and before in (
        "put",
        "has",
        "with",
        "like",
        "is",
        "on",
        "into",
        "as",
        "for",
        "glue",
        "screw",
        "turn",
        "make",
        "set",
    ):
        return after in ("long", "wide", "tall", "high", "deep", "apart", "square", "across", "of")
    return not after or after in _AFTER_FOOT


def _idiom(tokens: list[Token], i: int, before: str, after: str) -> bool:
    """Tell "give him an inch", "not giving an inch" and "within an inch of my life" from a size."""
    if before in ("within", "every") and after == "of":
        return True
    gives = any(t.text in ("give", "gives", "giving", "budge", "budges") for t in tokens[max(0, i - 2) : i])
    return gives and after not in ("long", "wide", "each", "either", "extra", "more", "of")


def _with_unit(tokens: list[Token], start: int, number: Number, units: BuildUnits | None) -> Quantity:
    """Put a unit to a number, and read on where the size has a second part."""
    if number.run:
        after = unit_at(tokens, number.run[1], None)
        metric = units == "mm" or _in_chain(tokens, start, number.run[1])
        if (after and after[0] in (MIL, "mm", "thou")) or (
            metric and not unit_at(tokens, number.end, number)
        ):
            number = Number(Fraction(number.run[0]), number.run[1], "int", digits=number.digits)
    if number.den == 1000 and number.form == "frac":
        return _thousandths(tokens, start, number)
    at = unit_at(tokens, number.end, number)
    quantity = Quantity(start, number.end, number.value, None, number, step=number.step, why=number.why)
    quantity.candidates = [(value, "", why) for value, why in number.alternatives]
    if at is None:
        grouped = _grouped_thousands(tokens, number)
        if grouped:
            quantity.value, (quantity.unit, quantity.end) = grouped[0], grouped[1]
            quantity.said, quantity.step = quantity.unit is not None, Fraction(1)
        return quantity
    if number.singular and number.den == 4 and number.value.numerator > 3:
        return quantity
    quantity.unit, quantity.end, quantity.said = at[0], at[1], True
    if quantity.unit == "foot" and (_pads(tokens, quantity) or _no_foot(tokens, quantity)):
        quantity.refused = True
        return quantity
    if quantity.unit == "foot":
        return _feet_and_inches(tokens, quantity)
    if quantity.unit == "m":
        return _metre_and(tokens, quantity) or quantity
    if quantity.unit == "inch" and number.form == "int":
        mixed = _fraction_after(tokens, quantity.end, "inch")
        if mixed:
            return _add_fraction(quantity, mixed, tokens)
        _eighth_heard(tokens, quantity)
    if quantity.unit == "degree" and joined(tokens, quantity.end):
        _minutes(tokens, quantity)
    return quantity


def _in_chain(tokens: list[Token], start: int, end: int) -> bool:
    """Tell "by four fifty by": in a chain two numbers side by side can only be one."""
    after = tokens[end].text if joined(tokens, end) else ""
    before = tokens[start - 1].text if start and joined(tokens, start) else ""
    return after in ("by", "x") or before in ("by", "x")


def _thousandths(tokens: list[Token], start: int, number: Number) -> Quantity:
    """Read "three hundred and twelve thousandths" as thou, or of a millimetre where that is said."""
    value = number.value * 1000
    at = unit_at(tokens, number.end, Number(Fraction(1, 1000), number.end, "frac", 1000))
    if at and at[0] != "inch":
        unit = at[0]
        return Quantity(start, at[1], number.value, unit, number, said=True, step=Fraction(1, 1000))
    end = at[1] if at else number.end
    return Quantity(start, end, value, "thou", number, said=True)


def _grouped_thousands(tokens: list[Token], number: Number) -> tuple[Fraction, tuple[str | None, int]] | None:
    """Read "1 220 mm": thousands apart by a space, as ISO 80000 writes them."""
    j = number.end
    if number.form != "int" or not number.digits or not 0 < number.value < 100 or not joined(tokens, j):
        return None
    group = tokens[j]
    if group.kind != NUMERAL or group.pre != " " or len(group.text) != 3 or not group.text.isdigit():
        return None
    at = unit_at(tokens, j + 1, Number(Fraction(1), j + 1, "int", digits=True))
    if at is None and joined(tokens, j + 1) and tokens[j + 1].text in ("x", "by"):
        return number.value * 1000 + int(group.text), (None, j + 1)
    if at is None or at[0] not in ("mm", MIL):
        return None
    return number.value * 1000 + int(group.text), at


def _fraction_after(tokens: list[Token], i: int, unit: str) -> Number | None:
    """Read the fraction after "an inch" or "two inches": "and a quarter", "one eighth", "and 5/8"."""
    if unit not in ("inch", "foot", "yard", "m") or not joined(tokens, i):
        return None
    and_word = tokens[i].text in ("and", "&") or (
        tokens[i].text == "in" and joined(tokens, i + 1) and tokens[i + 1].text in _A
    )
    k = i + 1 if and_word else i
    if not joined(tokens, k):
        return None
    if not and_word and unit != "inch":
        return None
    number = read_number(tokens, k)
    if number is None or number.form != "frac" or not 0 < number.value < 1 or number.den == 1000:
        return None
    if number.bare and not number.article and number.den not in (2, 4):
        return None
    if not and_word and (number.bare or number.singular):
        return None
    if joined(tokens, number.end) and tokens[number.end].text in ("by", "x") and not and_word:
        return None
    return number


def _add_fraction(quantity: Quantity, number: Number, tokens: list[Token]) -> Quantity:
    """Add the fraction to what it follows: of the same unit, or of an inch after feet."""
    at = unit_at(tokens, number.end, number)
    end = number.end
    if at and at[0] == quantity.unit:
        end = at[1]
    elif at:
        return quantity
    quantity.value += number.value
    quantity.step, quantity.end, quantity.number = number.step, end, quantity.number or number
    quantity.number = Number(quantity.value, end, "mixed", number.den, number.step, digits=number.digits)
    return quantity


def _eighth_heard(tokens: list[Token], quantity: Quantity) -> None:
    """Give "8-inch" its other reading: an eighth of an inch, heard as a whole number."""
    number = quantity.number
    if number is None or not number.digits or quantity.value not in (8, 16) or tokens[number.end].pre != "-":
        return
    under = int(quantity.value)
    quantity.candidates.append((Fraction(1, under), "inch", f"an {under}th-inch, heard as {under}-inch"))
    quantity.why = "as it is written"


def _minutes(tokens: list[Token], quantity: Quantity) -> None:
    number = read_number(tokens, quantity.end)
    if number is None or number.form != "int" or number.value >= 60 or not joined(tokens, number.end):
        return
    if tokens[number.end].text in ("minutes", "minute", "'"):
        quantity.value += number.value / 60
        quantity.step, quantity.end = Fraction(1, 60), number.end + 1


def _feet_and_inches(tokens: list[Token], feet: Quantity) -> Quantity:
    """Read on after feet: "six foot two and a half", `5'-6 1/2"`, "a foot and a half", "four foot and a quarter"."""
    j = feet.end
    half = _fraction_after(tokens, j, "foot")
    if half:
        after = unit_at(tokens, half.end, half)
        if after and after[0] == "inch":
            return _inches(feet, half.value, after[1], half.step)
        if half.den == 2 and (feet.value == 1 or tokens[j - 1].text == "feet") and after is None:
            feet.value += Fraction(1, 2)
            feet.end, feet.step = half.end, Fraction(1, 2)
            return feet
        if half.den == 2 or feet.value == 1:
            other = (feet.value + half.value) * 12
            result = _inches(feet, half.value, half.end, half.step)
            result.candidates.append((other, "inch", "the fraction is of a foot"))
            result.why = "after feet, a fraction is of an inch"
            return result
        return _inches(feet, half.value, half.end, half.step)
    if j >= len(tokens) or feet.value.denominator != 1:
        return feet
    post = tokens[j - 1].post
    if post not in ("", "~", ",", "."):
        return feet
    k = j + 1 if tokens[j].text == "and" and post in OPEN_POST else j
    if k >= len(tokens) or tokens[k].opened or tokens[k].pre == "–":
        return feet
    number = read_number(tokens, k)
    if number is None or not 0 <= number.value < 12 or number.article:
        return feet
    at = unit_at(tokens, number.end, number)
    explicit = at is not None and at[0] == "inch"
    if at is not None and not explicit:
        return feet
    if not explicit and (post in (",", ".") or k > j or not _bare_inches(tokens, number, feet)):
        return feet
    return _inches(feet, number.value, at[1] if at else number.end, number.step)


_PAD_OWNERS: Final = frozenset(
    {
        "the",
        "all",
        "these",
        "those",
        "its",
        "both",
        "his",
        "her",
        "my",
        "your",
        "little",
        "rubber",
        "bun",
        "has",
    }
)
_PAD_AFTER: Final = frozenset(
    {
        "each",
        "on",
        "are",
        "go",
        "get",
        "need",
        "underneath",
        "under",
        "screw",
        "screwed",
        "glue",
        "glued",
        "made",
        "turned",
        "and",
        "with",
    }
)


def _pads(tokens: list[Token], feet: Quantity) -> bool:
    """Tell the four feet that a box stands on from a length of four feet."""
    word = tokens[feet.end - 1]
    if word.text != "feet" or feet.form != "int" or not 1 < feet.value < 9:
        return False
    before = tokens[feet.start - 1].text if feet.start and joined(tokens, feet.start) else ""
    talk = {t.text for t in tokens[max(0, feet.start - 10) : feet.end + 8]}
    if (
        feet.value > 2
        and talk & _PAD_TALK
        and tokens[feet.end : feet.end + 1]
        and (tokens[feet.end].text not in ROLE_AFTER)
    ):
        return True
    if feet.value == 2:
        return before in ("own", "my", "your", "both")
    after = tokens[feet.end].text if joined(tokens, feet.end) else ""
    if before in _PAD_OWNERS:
        return (
            after not in ROLE_AFTER
            and before in ("all", "these", "those", "its", "both", "rubber", "bun", "little")
        ) or after in _PAD_AFTER - {"and"}
    return after in _PAD_AFTER - {"and", "with", "on"} or (
        after == "on"
        and tokens[feet.end + 1 : feet.end + 2] != []
        and tokens[feet.end + 1].text in ("the", "it", "each", "there")
        and before not in ("is", "about", "at", "to")
    )


_PAD_TALK: Final = frozenset(
    {"rubber", "felt", "pads", "pad", "cork", "bun", "glides", "levelling", "leveling"}
)


def _no_foot(tokens: list[Token], feet: Quantity) -> bool:
    """Tell "one foot went to sleep" and "the whole nine yards" from lengths."""
    if feet.value != 1 or feet.form != "int" or tokens[feet.end - 1].text != "foot":
        return False
    after = tokens[feet.end] if joined(tokens, feet.end) else None
    return after is not None and not (
        after.kind == NUMERAL or after.text in SMALL or after.text in DENOMINATOR or after.text in _AFTER_FOOT
    )


def _bare_inches(tokens: list[Token], number: Number, feet: Quantity) -> bool:
    """Tell "ten foot six" from "eight foot two by fours" and "six foot three times"."""
    if number.bare or number.form == "dec":
        return False
    if not joined(tokens, number.end):
        return True
    after = tokens[number.end]
    if (
        tokens[feet.end - 1].text in ("foot", "feet")
        and after.text in ("by", "x")
        and joined(tokens, number.end + 1)
    ):
        far = read_number(tokens, number.end + 1)
        if number.form == "int" and far and joined(tokens, far.end) and tokens[far.end].text == "s":
            return False
        if number.form == "int" and tokens[number.end + 1].text in (
            "fours",
            "sixes",
            "eights",
            "threes",
            "twos",
        ):
            return False
    return after.text not in (
        "times",
        "of",
        "minutes",
        "hours",
        "mm",
        "screws",
        "pieces",
        "boards",
        "lengths",
        "sheets",
    )


def _inches(feet: Quantity, more: Fraction, end: int, step: Fraction) -> Quantity:
    feet.value = feet.value * 12 + more
    feet.unit, feet.end, feet.step, feet.said = "inch", end, step, True
    return feet


def _metre_and(tokens: list[Token], metres: Quantity) -> Quantity | None:
    """Read on after metres: "a metre and five", "two metre forty", "one metre two fifty", "a metre and a half"."""
    half = _fraction_after(tokens, metres.end, "m")
    if half and unit_at(tokens, half.end, half) is None:
        metres.value += half.value
        metres.end, metres.step = half.end, half.step
        return metres
    j = metres.end
    if not joined(tokens, j) or metres.value.denominator != 1:
        return None
    and_word = tokens[j].text == "and"
    k = j + 1 if and_word else j
    if not joined(tokens, k):
        return None
    number = read_number(tokens, k)
    if number is None or number.form != "int" or number.bare:
        return None
    value, end = (Fraction(number.run[0]), number.run[1]) if number.run else (number.value, number.end)
    at = unit_at(tokens, end, number)
    if at and at[0] in ("mm", "cm", MIL):
        mm = metres.value * 1000 + value * (10 if at[0] == "cm" else 1)
        return _as_mm(metres, mm, at[1])
    if at or (joined(tokens, end) and tokens[end].text in ("of", "times", "pieces", "lengths")):
        return None
    whole = metres.value * 1000
    if value >= 100 or and_word:
        result = _as_mm(metres, whole + value, end)
        if value < 100:
            result.candidates.append((whole + value * 10, "mm", f"{value} centimetres"))
            result.why = "the rest of a metre is said in millimetres"
        return result
    result = _as_mm(metres, whole + value * 10, end)
    result.step = Fraction(10)
    result.candidates.append((whole + value, "mm", f"{value} millimetres"))
    result.why = "straight after metres, two figures are centimetres"
    return result


def _as_mm(metres: Quantity, value: Fraction, end: int) -> Quantity:
    metres.value, metres.unit, metres.end, metres.step, metres.said = value, "mm", end, Fraction(1), True
    return metres


def settle_mil(tokens: list[Token], quantity: Quantity) -> None:
    """Settle "mil": a millimetre, save near films, coatings and feelers, where it is a thousandth of an inch."""
    near = tokens[max(0, quantity.start - 3) : quantity.end + 3]
    words = {token.text for token in near if token.kind == WORD}
    if words & MIL_THOU_NEAR:
        quantity.unit = "thou"
        quantity.candidates.append((quantity.value, "mm", "mil said for millimetre"))
        quantity.why = "films and coatings are measured in thousandths"
    else:
        quantity.unit = "mm"
        quantity.candidates.append((quantity.value, "thou", "mil said for a thousandth of an inch"))
        quantity.why = "mil is said for millimetre"
