"""Says a size in every way that people and recognisers do; the reader must give it back exactly."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

_ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS = ["", "_", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_DENOMINATORS = {
    2: ("half", "halves"),
    4: ("quarter", "quarters"),
    8: ("eighth", "eighths"),
    16: ("sixteenth", "sixteenths"),
    32: ("thirty second", "thirty seconds"),
    64: ("sixty fourth", "sixty fourths"),
}
_GLYPHS = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}


def cardinal(n: int) -> str:
    """Say a whole number below 10,000 in words."""
    if n < 20:
        return _ONES[n]
    if n < 100:
        return _TENS[n // 10] + (f" {_ONES[n % 10]}" if n % 10 else "")
    if n < 1000:
        return f"{_ONES[n // 100]} hundred" + (f" and {cardinal(n % 100)}" if n % 100 else "")
    rest = n % 1000
    return f"{cardinal(n // 1000)} thousand" + (
        f" {'and ' if rest < 100 else ''}{cardinal(rest)}" if rest else ""
    )


def fraction_words(part: Fraction) -> str:
    """Say a proper ruler fraction in words."""
    one, many = _DENOMINATORS[part.denominator]
    if part.numerator == 1:
        return f"{'an' if part.denominator == 8 else 'a'} {one}"
    return f"{cardinal(part.numerator)} {many}"


def _split(value: Fraction) -> tuple[int, Fraction]:
    whole = value.numerator // value.denominator
    return whole, value - whole


def spoken_and(value: Fraction) -> str:
    """Say "four and three sixteenths inches"."""
    whole, part = _split(value)
    if not part:
        return "an inch" if whole == 1 else f"{cardinal(whole)} inches"
    if not whole:
        return f"{fraction_words(part)} of an inch" if part != Fraction(1, 2) else "half an inch"
    return f"{cardinal(whole)} and {fraction_words(part)} inches"


def spoken_without_and(value: Fraction) -> str | None:
    """Say "four three sixteenths inches"; a numerator of one is not said so, nor after tens ("twenty" takes the numerator)."""
    whole, part = _split(value)
    if not whole or not part or part.numerator == 1 or (whole >= 20 and whole % 10 == 0):
        return None
    return f"{cardinal(whole)} {fraction_words(part)} inches"


def inch_first(value: Fraction) -> str | None:
    """Say "two inches and a quarter"."""
    whole, part = _split(value)
    if not whole or not part:
        return None
    return f"{'an inch' if whole == 1 else cardinal(whole) + ' inches'} and {fraction_words(part)}"


def feet_and_inches(value: Fraction) -> str | None:
    """Say "six foot two and a half"."""
    feet, inches = divmod(value, 12)
    whole, part = _split(inches)
    if not feet or not whole:
        return None
    return f"{cardinal(feet)} foot {cardinal(whole)}" + (f" and {fraction_words(part)}" if part else "")


def typed_mark(value: Fraction) -> str:
    """Type `3 3/4"`."""
    whole, part = _split(value)
    return (f"{whole} {part}" if whole and part else str(part or whole)) + '"'


def typed_dash(value: Fraction) -> str | None:
    """Type `3-3/4"`."""
    whole, part = _split(value)
    return f'{whole}-{part}"' if whole and part else None


def typed_glyph(value: Fraction) -> str | None:
    """Type `3¾"`."""
    whole, part = _split(value)
    glyph = _GLYPHS.get(str(part))
    return f'{whole or ""}{glyph}"' if glyph else None


def typed_feet(value: Fraction) -> str | None:
    """Type `5'-6 1/2"`."""
    feet, inches = divmod(value, 12)
    return f"{feet}'-{typed_mark(inches)}" if feet and inches else None


def digits_and_ordinal(value: Fraction) -> str | None:
    """Write "4 and 13 16ths inches", as recognisers do."""
    whole, part = _split(value)
    if part.denominator < 8 or part.numerator == 1:
        return None
    ending = {8: "8ths", 16: "16ths", 32: "32nds", 64: "64ths"}[part.denominator]
    return (f"{whole} and " if whole else "") + f"{part.numerator} {ending} inches"


def dashed_ordinal(value: Fraction) -> str | None:
    """Write "8-9-16ths", "7-8ths"."""
    whole, part = _split(value)
    if part.denominator < 8 or part.numerator == 1:
        return None
    ending = {8: "8ths", 16: "16ths", 32: "32nds", 64: "64ths"}[part.denominator]
    return (f"{whole}-" if whole else "") + f"{part.numerator}-{ending}"


def seconds_in_digits(value: Fraction) -> str | None:
    """Write "23-30 seconds" for 23/32."""
    whole, part = _split(value)
    if part.denominator != 32 or part.numerator == 1:
        return None
    return (f"{whole}-" if whole else "") + f"{part.numerator}-30 seconds"


def decimal_mark(value: Fraction) -> str:
    """Type `4.015625"`."""
    return f'{float(value):.6f}"'


def bare_mixed(value: Fraction) -> str | None:
    """Say "cut it at four and three sixteenths", with no unit."""
    whole, part = _split(value)
    if not part or not whole:
        return None
    return f"cut it at {cardinal(whole)} and {fraction_words(part)}"


def thou(value: Fraction) -> str | None:
    """Say whole thousandths: "a hundred and twenty five thou"."""
    n = value * 1000
    return f"{cardinal(int(n))} thou" if n.denominator == 1 and 1 < n < 10000 else None


WAYS: tuple[Callable[[Fraction], str | None], ...] = (
    spoken_and,
    spoken_without_and,
    inch_first,
    feet_and_inches,
    typed_mark,
    typed_dash,
    typed_glyph,
    typed_feet,
    digits_and_ordinal,
    dashed_ordinal,
    seconds_in_digits,
    decimal_mark,
    bare_mixed,
    thou,
)
