"""Numbers as they are typed, and as recognisers run them together: "13/16ths", "716th", "7.16", "8-9-16th", "8'9'16"."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchscribe.measures.grammar import FINE_RULER, RULER
from benchscribe.measures.lexer import NUMERAL, Token
from benchscribe.measures.number import SUFFIXES, Form, Number, denominator_at, joined

AS_WRITTEN: Final = "the decimal as it is written"


def slashed(tokens: list[Token], i: int) -> Number | None:
    """Read "13/16", with a suffix or not; a date or a code is none."""
    if i + 2 >= len(tokens) or tokens[i + 1].text != "/" or tokens[i + 1].pre or tokens[i + 2].pre:
        return None
    over, under = tokens[i].value, tokens[i + 2].value
    if over is None or under is None or over.denominator != 1 or under.denominator != 1 or not under:
        return None
    end = i + 3
    if end < len(tokens) and not tokens[end].pre and tokens[end - 1].post == "":
        if tokens[end].text == "/" or tokens[end].kind == NUMERAL:
            return None
        if tokens[end].text in SUFFIXES:
            end += 1
    den = int(under)
    return Number(over / under, end, "frac", den, Fraction(1, den), digits=True)


def as_written(number: Number) -> Number:
    """Give back the decimal that was taken for a fraction heard as one: no metric rule has sixteenths."""
    if not number.alternatives or number.alternatives[0][1] != AS_WRITTEN:
        return number
    return Number(number.alternatives[0][0], number.end, "dec", step=Fraction(1, 100), digits=True)


def typed_decimal(token: Token, i: int) -> Number:
    """Read a typed decimal; "7.16" is 7/16, heard as a decimal."""
    value = token.value or Fraction(0)
    places = len(token.text.rpartition(".")[2])
    number = Number(value, i + 1, "dec", step=Fraction(1, 10**places), digits=True)
    left, _, right = token.text.partition(".")
    if left.isdigit() and right in ("4", "8", "16", "32", "64") and int(left) % 2 and int(left) < int(right):
        fraction = Fraction(int(left), int(right))
        if right in ("4", "8"):
            number.alternatives.append((fraction, f"{left}/{right}, heard as a decimal"))
            number.why = "a decimal as it is written"
        else:
            number.alternatives.append((value, AS_WRITTEN))
            number.value, number.form, number.den = fraction, "frac", int(right)
            number.step = Fraction(1, int(right))
            number.why = f"a ruler has {left}/{right}, and nobody says {token.text} of an inch"
    return number


def suffixed(tokens: list[Token], i: int) -> Number | None:
    """Read "716th" as 7/16 and "the 415s" as 415; "16th" alone and "3rd" are no numbers here."""
    token, suffix = tokens[i], tokens[i + 1]
    if suffix.text in ("s", "'s"):
        form: Form = "int" if (token.value or Fraction(0)).denominator == 1 else "dec"
        step = Fraction(1, 10 ** len(token.text.partition(".")[2]))
        end = i + 2 if suffix.text == "s" else i + 1  # "the 415s", but "95's plenty"
        return Number(token.value or Fraction(0), end, form, step=step, digits=True)
    split = _split_fraction(token.text)
    if split is None:
        return None
    over, under = split
    return Number(
        Fraction(over, under),
        i + 2,
        "frac",
        under,
        Fraction(1, under),
        digits=True,
        alternatives=[(Fraction(1, int(token.text)), f"one {token.text}th")],
        why=f"no ruler has {token.text}ths; {over}/{under} run together",
    )


def _split_fraction(text: str) -> tuple[int, int] | None:
    for under in ("64", "32", "16", "8", "4"):
        if text.endswith(under) and len(text) > len(under) and text.isdigit():
            over = int(text[: -len(under)])
            if over % 2 and over < int(under):
                return over, int(under)
    return None


def run_together_seconds(tokens: list[Token], i: int) -> Number | None:
    """Read "2330 seconds" as 23/32."""
    text = tokens[i].text
    if len(text) not in (3, 4) or not joined(tokens, i + 1):
        return None
    for tail, under, words in (("30", 32, ("second", "seconds")), ("60", 64, ("fourth", "fourths"))):
        if text.endswith(tail) and tokens[i + 1].text in words:
            over = int(text[:-2])
            if over % 2 and over < under:
                return Number(
                    Fraction(over, under),
                    i + 2,
                    "frac",
                    under,
                    Fraction(1, under),
                    digits=True,
                    alternatives=[],
                    why=f"{over} thirty-seconds run together"
                    if under == 32
                    else f"{over} sixty-fourths run together",
                )
    return None


def improper(number: Number, over_text: str) -> Number:
    """Settle "13/4": makers write 3 1/4 so, recognisers write 1 3/4 so."""
    den = number.den
    if number.value < 1 or den not in RULER or len(over_text) < 2:
        return number
    for cut in range(1, len(over_text)):
        whole, over = int(over_text[:cut]), int(over_text[cut:])
        if over % 2 and over < den and over_text[cut] != "0":
            number.alternatives.append((number.value, f"{over_text}/{den} as it is written"))
            number.value = whole + Fraction(over, den)
            number.form, number.whole = "mixed", whole
            number.why = f"nobody says {over_text}/{den}; {whole} {over}/{den} run together"
            return number
    return number


def dashed(tokens: list[Token], i: int) -> Number | None:
    """Read "7-16", "7 16", "1-7-8", "8-9-16th" and "8'9'16"."""
    second = _whole_at(tokens, i + 1, "- ")
    if second is None:
        return _between_marks(tokens, i)
    third = _whole_at(tokens, i + 2, "-") if tokens[i + 1].pre == "-" else None
    if third is not None:
        return _three_dashed(tokens, i, second, third)
    return _two_side_by_side(tokens, i, second)


def _mixed(whole: int, over: int, under: int, end: int, why: str) -> Number:
    value = whole + Fraction(over, under)
    return Number(value, end, "mixed", under, Fraction(1, under), digits=True, whole=whole, why=why)


def _between_marks(tokens: list[Token], i: int) -> Number | None:
    """Read "8'9'16"."""
    if i + 4 >= len(tokens) or any(tokens[i + k].text != "'" or tokens[i + k].pre for k in (1, 3)):
        return None
    if not (tokens[i + 2].text + tokens[i + 4].text).isdigit():
        return None
    over, under = int(tokens[i + 2].text), int(tokens[i + 4].text)
    if under not in FINE_RULER or over % 2 == 0 or over >= under:
        return None
    return _mixed(
        int(tokens[i].text), over, under, i + 5, "marks put between the numbers of a mixed fraction"
    )


def _three_dashed(tokens: list[Token], i: int, over: int, under: int) -> Number | None:
    """Read "1-7-8", "8-9-16th"."""
    if under not in RULER - {2} or over % 2 == 0 or over >= under:
        return None
    end = i + 3
    if joined(tokens, end) and not tokens[end].pre and tokens[end].text in SUFFIXES:
        end += 1
    if end < len(tokens) and tokens[end].text == "/" and not tokens[end].pre:
        return None
    return _mixed(int(tokens[i].text), over, under, end, "dashes between the numbers of a mixed fraction")


def _two_side_by_side(tokens: list[Token], i: int, second: int) -> Number | None:
    """Read "7-16" and "7 16"."""
    first, end, dash = int(tokens[i].value or 0), i + 2, tokens[i + 1].pre == "-"
    if first % 2 == 0 or first >= second or second not in FINE_RULER:
        return None
    if end < len(tokens) and not tokens[end].pre and tokens[end].text not in ('"', "'"):
        return None
    if second == 8 and not (dash and first in (3, 5, 7)):
        return None
    number = Number(Fraction(first, second), end, "frac", second, Fraction(1, second), digits=True)
    following = tokens[end].text if joined(tokens, end) else ""
    if dash:
        number.alternatives.append((Fraction(first), f"from {first} to {second}"))
        number.why = "a dash put for the stroke of a ruler fraction"
        return None if second - first == 1 and following in ("inches", "feet", "mm") else number
    if following in ("by", "x", "/") or (following and denominator_at(tokens, end)):
        return None
    number.why = "two numbers that make a ruler fraction, with nothing between"
    number.alternatives.append((Fraction(second), "two numbers apart"))
    return number


def _whole_at(tokens: list[Token], i: int, joins: str) -> int | None:
    if not joined(tokens, i):
        return None
    token = tokens[i]
    if token.kind == NUMERAL and token.pre and token.pre in joins and token.text.isdigit():
        return int(token.text)
    return None
