"""One number, read exactly: cardinals, fractions, mixed numbers and decimals, said or typed."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from benchscribe.measures.grammar import (
    EN_DASH,
    FINE_RULER,
    ONES,
    RULER,
    SMALL,
    TENS,
    TWO_WORD,
)
from benchscribe.measures.lexer import GLYPH, NUMERAL, WORD, Token
from benchscribe.measures.number import SUFFIXES, Number, denominator_at, joined
from benchscribe.measures.typed import (
    dashed,
    improper,
    run_together_seconds,
    slashed,
    suffixed,
    typed_decimal,
)

_NOUGHTS: Final = frozenset({"oh", "nought", "zero"})
_BY: Final = frozenset({"by", "x"})
_A: Final = frozenset({"a", "an"})
_SOME: Final = frozenset(
    {"few", "couple", "several", "many", "some", "odd", "of", "half", "per", "hundred", "thousand"}
)


@dataclass(slots=True)
class _Cardinal:
    value: int
    end: int
    last: int
    """The last component: 3 in twenty three, 16 in a hundred and sixteen."""
    small: bool
    """Below a hundred, and said as one group."""


def read_number(tokens: list[Token], i: int) -> Number | None:
    """Read the longest number that begins at a token.

    Args:
        tokens: All tokens.
        i: Where to begin.

    Returns:
        The number, or None where none begins (an ordinal, a date or a code is none).
    """
    kind = tokens[i].kind
    if kind == NUMERAL:
        return _from_digits(tokens, i)
    if kind == GLYPH:
        return _glyph(tokens, i)
    return _from_words(tokens, i) if kind == WORD else None


def _glyph(tokens: list[Token], i: int, whole: int = 0) -> Number:
    part = tokens[i].value or Fraction(0)
    step = Fraction(1, part.denominator)
    return Number(
        whole + part, i + 1, "mixed" if whole else "frac", part.denominator, step, digits=True, whole=whole
    )


def _from_words(tokens: list[Token], i: int) -> Number | None:
    text = tokens[i].text
    following = tokens[i + 1].text if joined(tokens, i + 1) else ""
    if text == "point":
        return _decimals(tokens, i, 0, digits=False)
    if text in SMALL or (text in _A and following in ("hundred", "thousand")):
        if text == "oh" and following != "point":
            return None
        cardinal = _cardinal(tokens, i)
        return _with_tail(tokens, cardinal, digits=False) if cardinal else None
    if text == "hundred" and following == "and" and not _scaled(tokens, i):
        cardinal = _cardinal(tokens, i)
        if cardinal and cardinal.end > i + 2:
            return _with_tail(tokens, cardinal, digits=False)
    if text == "hundred" and (following in _BY or (i and tokens[i - 1].text in _BY)):
        return Number(Fraction(100), i + 1, "int")
    return _bare_fraction(tokens, i)


def _scaled(tokens: list[Token], i: int) -> bool:
    """Tell "few hundred and", "2 hundred and" from "hundred and thirty by eight", said with no "a" before it."""
    before = tokens[i - 1] if i and joined(tokens, i) else None
    return before is not None and (
        before.kind == NUMERAL or before.text in SMALL or before.text in _A or before.text in _SOME
    )


def _sub_hundred(tokens: list[Token], i: int) -> tuple[int, int] | None:
    """Read one group below a hundred, in words: value and end."""
    text = tokens[i].text
    if text in TENS:
        if joined(tokens, i + 1) and ONES.get(tokens[i + 1].text, 0) > 0:
            return TENS[text] + ONES[tokens[i + 1].text], i + 2
        return TENS[text], i + 1
    if text in SMALL:
        return SMALL[text], i + 1
    return None


def _cardinal(tokens: list[Token], i: int) -> _Cardinal | None:
    if tokens[i].text in _A:
        value, end = 1, i + 1
    elif tokens[i].text == "hundred":
        return _hundred_and(tokens, i)
    else:
        group = _sub_hundred(tokens, i)
        if group is None:
            return None
        value, end = group
    last = value % 10 if value > 20 and value % 10 else value
    small = True
    for scale_word, scale in (("hundred", 100), ("thousand", 1000)):
        if joined(tokens, end) and tokens[end].text == scale_word:
            value, end, small = value * scale, end + 1, False
            k = end + 1 if joined(tokens, end) and tokens[end].text == "and" else end
            if joined(tokens, k) and k < len(tokens):
                rest = _sub_hundred(tokens, k)
                if rest and rest[0]:
                    more, last_end = rest
                    if (
                        scale == 1000
                        and joined(tokens, last_end)
                        and tokens[last_end].text == "hundred"
                        and more < 10
                    ):
                        more, last_end = more * 100, last_end + 1
                        k2 = (
                            last_end + 1
                            if joined(tokens, last_end) and tokens[last_end].text == "and"
                            else last_end
                        )
                        tail = _sub_hundred(tokens, k2) if joined(tokens, k2) else None
                        if tail:
                            more, last_end = more + tail[0], tail[1]
                    value, end, last = value + more, last_end, more
    return _Cardinal(value, end, last, small)


def _hundred_and(tokens: list[Token], i: int) -> _Cardinal | None:
    """Read "hundred and thirty" with no "a" before it."""
    rest = _sub_hundred(tokens, i + 2) if joined(tokens, i + 2) else None
    if rest is None or not rest[0]:
        return None
    return _Cardinal(100 + rest[0], rest[1], rest[0], small=False)


def _part(tokens: list[Token], i: int, *, after_and: bool) -> Number | None:
    """Read a proper fraction that may follow a whole number."""
    if i >= len(tokens):
        return None
    if tokens[i].text in _A or tokens[i].text in ("half", "quarter"):
        return _bare_part(tokens, i) if after_and else None
    number = _numerator_part(tokens, i)
    if number is None or not 0 < number.value < 1:
        return None
    counted = number.singular and number.value.numerator != 1 and not after_and
    return None if counted else number


def _bare_part(tokens: list[Token], i: int) -> Number | None:
    """Read "a half", "an eighth" and "half" after "and"."""
    k = i + 1 if tokens[i].text in _A else i
    den = denominator_at(tokens, k) if k == i or joined(tokens, k) else None
    if den is None or den[0] not in RULER or den[2]:
        return None
    if k == i and joined(tokens, i + 1) and tokens[i + 1].text in ("a", "an", "the", "of", "my", "dozen"):
        return None  # "six of one and half a dozen of the other"
    return Number(Fraction(1, den[0]), den[1], "frac", den[0], Fraction(1, den[0]))


def _numerator_part(tokens: list[Token], i: int) -> Number | None:
    token = tokens[i]
    if token.kind == GLYPH:
        return _glyph(tokens, i)
    if token.kind == NUMERAL and token.value is not None and token.value.denominator == 1:
        return slashed(tokens, i) or _over_denominator(tokens, int(token.value), i + 1)
    group = _sub_hundred(tokens, i) if token.kind == WORD and token.text in SMALL else None
    return _over_denominator(tokens, group[0], group[1]) if group else None


def _over_denominator(tokens: list[Token], numerator: int, i: int) -> Number | None:
    if not joined(tokens, i):
        return None
    den = denominator_at(tokens, i)
    if den is None or not numerator:
        return None
    value, end, plural = den
    if not plural and numerator != 1 and (numerator % 2 == 0 or numerator >= value):
        return None
    return Number(
        Fraction(numerator, value),
        end,
        "frac",
        value,
        Fraction(1, value),
        singular=not plural and numerator != 1,
    )


def _with_tail(tokens: list[Token], head: _Cardinal, *, digits: bool) -> Number:
    """Read on after a whole number: denominator, fraction, decimals, or more groups."""
    value, end = head.value, head.end
    plain = Number(Fraction(value), end, "int", digits=digits)
    if not joined(tokens, end):
        return plain
    fraction = _over_denominator(tokens, value, end)
    if fraction:
        return _fraction_or_split(fraction, head, digits=digits)
    following = tokens[end]
    if following.text == "point":
        return _decimals(tokens, end, value, digits=digits) or plain
    and_word = following.text == "and"
    in_a = following.text in ("in", "an") and joined(tokens, end + 1)
    part = None
    if (and_word and joined(tokens, end + 1)) or (
        in_a and following.text == "in" and tokens[end + 1].text in _A
    ):
        part = _part(tokens, end + 1, after_and=True)
    elif following.pre != EN_DASH:
        part = _part(tokens, end, after_and=False)
        if part and not digits and value <= 12 and _plural_noun(tokens, part.end):
            part = None  # "two three-eighths dowels": a count, then the size
    if part and part.den in RULER | {3, 10, 100, 5, 6}:
        return Number(value + part.value, part.end, "mixed", part.den, part.step, digits=digits, whole=value)
    if not digits and head.small:
        plain.run = _run(tokens, value, end)
    return plain


_NO_NOUNS: Final = frozenset(
    {
        "across",
        "is",
        "as",
        "plus",
        "less",
        "this",
        "its",
        "was",
        "always",
        "inches",
        "yards",
        "metres",
        "meters",
        "centres",
        "comes",
        "goes",
        "leaves",
        "makes",
        "gives",
        "degrees",
        "minus",
    }
)


def _plural_noun(tokens: list[Token], i: int) -> bool:
    return (
        joined(tokens, i)
        and len(tokens[i].text) > 3
        and tokens[i].text.endswith("s")
        and tokens[i].text not in _NO_NOUNS
    )


def _fraction_or_split(fraction: Number, head: _Cardinal, *, digits: bool) -> Number:
    """Settle "twenty three quarters" (20 3/4) against "nine eighths" (9/8)."""
    fraction.digits = digits
    den, value = fraction.den, head.value
    whole = value - head.last
    if whole and 0 < head.last < den:
        mixed = whole + Fraction(head.last, den)
        if value >= den:
            return Number(mixed, fraction.end, "mixed", den, fraction.step, digits=digits, whole=whole)
        fraction.alternatives.append((mixed, f"{whole} and {head.last}/{den}, with the 'and' left out"))
        fraction.why = f"{value}/{den} is a proper fraction as it stands"
    return fraction


def _run(tokens: list[Token], first: int, i: int) -> tuple[Fraction, int] | None:
    """Read groups said one after another as one number: "seven twenty", "two four forty", "three oh five"."""
    groups, end = [first], i
    while joined(tokens, end) and len(groups) < 3:
        token = tokens[end]
        if token.kind != WORD or token.pre == EN_DASH:
            break
        if token.text in _NOUGHTS and joined(tokens, end + 1):
            digit = ONES.get(tokens[end + 1].text, 0)
            whole = _joined_groups([*groups, digit], end + 2, noughts=True) if digit else None
            and_word = joined(tokens, end + 2) and tokens[end + 2].text == "and"
            part = _part(tokens, end + 3, after_and=True) if and_word and joined(tokens, end + 3) else None
            return _and_a_half(whole, part) if part and part.den == 2 else whole
        group = _sub_hundred(tokens, end)
        if group is None or not group[0]:
            break
        after = group[1]
        if joined(tokens, after) and (
            denominator_at(tokens, after) or tokens[after].text in ("and", "hundred", "thousand", "point")
        ):
            two_word = tokens[end].text in TWO_WORD and denominator_at(tokens, end)
            part = _part(tokens, after + 1, after_and=True) if tokens[after].text == "and" else None
            if part and part.den == 2 and not two_word:
                return _and_a_half(_joined_groups([*groups, group[0]], after, noughts=False), part)
            if tokens[after].text != "and" or two_word or part:
                break
        groups.append(group[0])
        end = after
        if group[0] >= 10:
            beyond = _sub_hundred(tokens, end) if joined(tokens, end) else None
            if beyond and beyond[0] >= 10 and len(groups) == 2 and first < 10:
                return None  # "one twenty four forty": a count, then the size
            break
    return _joined_groups(groups, end, noughts=False)


def _and_a_half(whole: tuple[Fraction, int] | None, part: Number) -> tuple[Fraction, int] | None:
    """Read "five six three and a half" as 563 1/2."""
    return (whole[0] + part.value, part.end) if whole else None


def _joined_groups(groups: list[int], end: int, *, noughts: bool) -> tuple[Fraction, int] | None:
    if len(groups) == 2 and (groups[1] >= 10 or noughts) and groups[0]:
        return Fraction(groups[0] * 100 + groups[1]), end
    if len(groups) == 3 and groups[0] < 10 and groups[1] < 10:
        first, second, last = groups
        value = (
            first * 1000 + second * 100 + last if last >= 10 or noughts else first * 100 + second * 10 + last
        )
        return Fraction(value), end
    return None


def _decimals(tokens: list[Token], point: int, whole: int, *, digits: bool) -> Number | None:
    """Read the digits after a spoken "point"."""
    i, text = point + 1, ""
    while joined(tokens, i) and len(text) < 6:
        token = tokens[i]
        if (
            token.kind == NUMERAL
            and token.value is not None
            and token.value.denominator == 1
            and token.text.isdigit()
        ):
            text += token.text
            i += 1
            continue
        group = _sub_hundred(tokens, i) if token.kind == WORD else None
        if group is None or (text and denominator_at(tokens, i)):
            break
        text += str(group[0])
        i = group[1]
    if not text:
        return None
    step = Fraction(1, 10 ** len(text))
    return Number(whole + int(text) * step, i, "dec", step=step, digits=digits)


def _bare_fraction(tokens: list[Token], i: int) -> Number | None:
    """Read "half", "a quarter", "an eighth", "half a sixteenth", "half of seven eighths"."""
    token = tokens[i]
    article = token.text in _A
    k = i + 1 if article else i
    if article and not joined(tokens, k):
        return None
    den = denominator_at(tokens, k) if tokens[k].kind in (WORD, NUMERAL) else None
    if den is None or den[2]:
        return None
    value = Fraction(1, den[0])
    number = Number(value, den[1], "frac", den[0], value, bare=True, article=article, digits=False)
    if den[0] == 2:
        return _half_of(tokens, number)
    return number


def _half_of(tokens: list[Token], half: Number) -> Number:
    """Read on after "half": "half a sixteenth" and "half of a sixteenth" are products."""
    k = half.end
    if joined(tokens, k) and tokens[k].text == "of":
        k += 1
    if not joined(tokens, k) or k >= len(tokens):
        return half
    if tokens[k].text in _A and joined(tokens, k + 1):
        den = denominator_at(tokens, k + 1)
        if den and den[0] in FINE_RULER and not den[2]:
            value = Fraction(1, den[0] * 2)
            return Number(value, den[1], "frac", den[0] * 2, value)
    return half


def _from_digits(tokens: list[Token], i: int) -> Number | None:
    token = tokens[i]
    value = token.value or Fraction(0)
    glued = tokens[i + 1] if i + 1 < len(tokens) and not tokens[i + 1].pre and not token.post else None
    if glued is not None and (glued.kind == NUMERAL or glued.text in (":", "_")):
        return None
    if glued is not None and glued.kind == WORD and glued.text in SUFFIXES:
        return suffixed(tokens, i)
    if value.denominator != 1 or not token.text.replace(",", "").isdigit():
        return typed_decimal(token, i)
    stroke = slashed(tokens, i)
    if stroke or (glued is not None and glued.text == "/"):
        return improper(stroke, token.text) if stroke else None
    if joined(tokens, i + 1) and tokens[i + 1].kind == GLYPH:
        return _glyph(tokens, i + 1, int(value))
    special = dashed(tokens, i) or run_together_seconds(tokens, i)
    return special or _with_tail(tokens, _Cardinal(int(value), i + 1, int(value), small=False), digits=True)
