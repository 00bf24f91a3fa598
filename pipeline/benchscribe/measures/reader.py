"""The reader: words in, readings out. One pass finds the numbers, four short ones settle what they are."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from benchscribe.measures import grammar as g
from benchscribe.measures.bare import settle
from benchscribe.measures.context import Context, phrase_ending, phrase_starting
from benchscribe.measures.corrections import mark_taken_back
from benchscribe.measures.flowing import is_flowing
from benchscribe.measures.lexer import GLYPH, NUMERAL, Token, lex
from benchscribe.measures.links import Item, clear_maybes, link, sentence_breaks
from benchscribe.measures.number import joined
from benchscribe.measures.quantities import read_quantity, settle_mil
from benchscribe.measures.quantity import MIL, Quantity
from benchscribe.measures.thousandths import as_thousandths, told_in_thousandths
from benchscribe.measures.trade import read_trade
from benchscribe.measures.trade_item import Trade
from benchscribe.measures.types import Alternative, BuildUnits, Hedge, Reading, Readings, Span, TradeReading

_STARTS: Final = (
    frozenset(g.SMALL)
    | frozenset(g.DENOMINATOR)
    | frozenset(
        {
            "a",
            "an",
            "another",
            "hundred",
            "point",
            "inch",
            "foot",
            "millimetre",
            "millimeter",
            "mil",
            "ø",
            "r",
            "#",
            "$",
            "£",
            "€",
            "m",
            "p",
        }
    )
)


def read(text: str, *, units: BuildUnits | None = None) -> Readings:
    """Read every size in a text, and the numbers of the trade that are no sizes.

    Args:
        text: What was said or typed, any length.
        units: The build's unit, for sizes said without one; None reads them as inches.

    Returns:
        Both kinds in the order of the words. Taken-back values are there too, flagged.

    >>> read("three quarters by two and a half").measures[1].value
    Fraction(5, 2)
    """
    places = _Places(text)
    found = read_words(places.words, units=units)
    return Readings(
        tuple(replace(m, chars=places.move(m.chars, m.span)) for m in found.measures),
        tuple(replace(n, chars=places.move(n.chars, n.span)) for n in found.trade_numbers),
    )


def read_words(
    words: Sequence[str],
    *,
    units: BuildUnits | None = None,
    expected: Mapping[Fraction, str] = MappingProxyType({}),
    bare: str | None = None,
) -> Readings:
    """Read every size in words that are already split, such as a whole transcript's.

    Args:
        words: Words with their punctuation; time taken is linear in their number.
        units: The build's unit, for sizes said without one; None reads them as inches.
        expected: Sizes of the part list, by their number as it is read aloud, with its unit: a bare number that nothing
            speaks for or against is a size where it is one of these and no everyday count. No value is ever changed.
        bare: What a bare number means, where it is another unit than the build's: "cm" for a list in centimetres.

    Returns:
        Both kinds, with spans of words; characters count as if the words were joined by single spaces.
    """
    tokens = lex(words)
    items = _find(tokens, units, thousandths=units == "inch" and told_in_thousandths(tokens))
    link(tokens, items)
    context = Context(
        tokens,
        sentence_breaks(tokens),
        units,
        expected=expected,
        bare=bare or units or "inch",
        flowing=is_flowing(tokens),
    )
    settle(context, items)
    clear_maybes(items)
    return _finish(tokens, items, words)


def read_size(text: str, *, units: BuildUnits | None = None) -> tuple[Reading, ...]:
    """Read a cell of a part list, where bare numbers are sizes.

    Args:
        text: The cell: "3/4 x 2 1/2 x 34 1/4", "188 dia", "22 1/2° bevel".
        units: The unit of bare numbers; None reads them as inches.

    Returns:
        The sizes in their order; empty where there are none.
    """
    places = _Places(text)
    tokens = lex(places.words)
    items = [
        item for item in _find(tokens, units, nominal=False) if isinstance(item, Quantity) and item.value
    ]
    if units == "mm":
        items = _grouped(tokens, items)
    link(tokens, list(items))
    for item in items:
        if item.unit is None:
            item.unit = "inch" if item.number and item.number.den >= 8 else (units or "inch")
        item.size = True
    found = _finish(tokens, list(items), places.words).measures
    return tuple(replace(m, chars=places.move(m.chars, m.span)) for m in found)


def _grouped(tokens: list[Token], items: list[Quantity]) -> list[Quantity]:
    """Join "1 220" in a metric cell."""
    out: list[Quantity] = []
    for item in items:
        left = out[-1] if out else None
        three = (
            item.form == "int" and len(tokens[item.start].text) == 3 and tokens[item.start].kind == NUMERAL
        )
        if (
            left
            and three
            and left.form == "int"
            and left.end == item.start
            and tokens[item.start].pre == " "
            and left.value < 1000
            and left.unit is None
        ):
            left.value, left.end, left.unit = left.value * 1000 + item.value, item.end, item.unit
        else:
            out.append(item)
    return out


class _Places:
    """Moves characters from words joined by single spaces to the text as it stands."""

    def __init__(self, text: str) -> None:
        self.words = text.split()
        self._shift: list[int] = []
        at = plain = 0
        for word in self.words:
            at = text.index(word, at)
            self._shift.append(at - plain)
            at += len(word)
            plain += len(word) + 1

    def move(self, chars: Span, span: Span) -> Span:
        return chars[0] + self._shift[span[0]], chars[1] + self._shift[span[1] - 1]


def _find(
    tokens: list[Token], units: BuildUnits | None, *, nominal: bool = True, thousandths: bool = False
) -> list[Item]:
    items: list[Item] = []
    i, n = 0, len(tokens)
    while i < n:
        token = tokens[i]
        if token.kind not in (NUMERAL, GLYPH) and token.text not in _STARTS:
            i += 1
            continue
        if (token.text == "one" and _pronoun(tokens, i)) or _of_a_name(tokens, i):
            i += 1
            continue
        found: Item | None = read_trade(tokens, i, units)
        if isinstance(found, Trade) and not nominal and found.kind in ("", "nominal-stock"):
            found = None
        if found is None:
            found = read_quantity(tokens, i, units)
            if found is not None and found.unit == MIL:
                settle_mil(tokens, found)
            if found is not None and thousandths:
                as_thousandths(tokens, found)
        if found is None:
            i += 1
            continue
        items.append(found)
        i = max(found.end, i + 1)
    return items


def _of_a_name(tokens: list[Token], i: int) -> bool:
    """Tell the number in a name of one word, "EN1A", "CR4", from a number."""
    token, before = tokens[i], tokens[i - 1] if i else None
    if before is None or token.kind != NUMERAL or token.pre or before.post or before.word != token.word:
        return False
    return len(before.text) > 1 and before.text.isalpha() and before.text not in ("by", "dia", "rad")


def _pronoun(tokens: list[Token], i: int) -> bool:
    """Tell "that was the last one 7/8" from "one 7/8"."""
    if not i or not joined(tokens, i) or tokens[i - 1].text not in g.POINTING:
        return False
    after = tokens[i + 1].text if joined(tokens, i + 1) else ""
    return after not in g.UNIT_WORDS and after not in ("and", "by", "x")


def _finish(tokens: list[Token], items: list[Item], words: Sequence[str]) -> Readings:
    sizes = [x for x in items if isinstance(x, Quantity) and x.size and x.unit is not None]
    mark_taken_back(tokens, sizes)
    place = {id(q): k for k, q in enumerate(sizes)}
    joined_text = _Texts(words)
    measures = tuple(_reading(tokens, q, place, joined_text) for q in sizes)
    numbers = tuple(_trade_reading(tokens, x, joined_text) for x in items if isinstance(x, Trade) and x.kind)
    return Readings(measures, numbers)


class _Texts:
    """Cuts the words of a span out of the split words."""

    def __init__(self, words: Sequence[str]) -> None:
        self._words = words

    def cut(self, first: Token, last: Token) -> str:
        text = " ".join(self._words[first.word : last.word + 1])
        return text[first.offset : first.offset + last.end - first.start]


def _reading(tokens: list[Token], q: Quantity, place: dict[int, int], texts: _Texts) -> Reading:
    first, last = tokens[q.start], tokens[q.end - 1]
    unit = q.unit or "inch"
    replaced = place.get(id(q.replaced_by)) if q.replaced_by else None
    return Reading(
        value=q.value,
        unit=unit,
        words=texts.cut(first, last),
        chars=(first.start, last.end),
        span=(first.word, last.word + 1),
        candidates=tuple(Alternative(v, u or unit, why) for v, u, why in q.candidates),
        why=q.why,
        hedge=q.hedge or _hedge(tokens, q),
        taken_back=q.taken_back,
        replaced_by=replaced,
        unit_said=q.said,
        range_end=q.range_end if q.range_end in ("low", "high") else None,  # type: ignore[arg-type]
        tolerance=q.tolerance,
        chain=q.chain,
        chain_position=q.position if q.chain is not None else None,
        step=q.step,
    )


def _hedge(tokens: list[Token], q: Quantity) -> Hedge | None:
    kinds: tuple[Hedge, ...] = ("under", "over", "about")
    best: tuple[int, Hedge] | None = None
    for kind in kinds:
        n = phrase_ending(tokens, q.start, g.HEDGE_BEFORE[kind])
        if n and (best is None or n > best[0]):
            best = (n, kind)
    if best:
        return best[1]
    for kind in kinds:
        if tokens[q.end - 1].post in ("", "~", ",") and phrase_starting(tokens, q.end, g.HEDGE_AFTER[kind]):
            return kind
    return None


def _trade_reading(tokens: list[Token], n: Trade, texts: _Texts) -> TradeReading:
    first, last = tokens[n.start], tokens[n.end - 1]
    return TradeReading(
        kind=n.kind,
        name=n.name,
        words=texts.cut(first, last),
        chars=(first.start, last.end),
        span=(first.word, last.word + 1),
        actual=n.actual,
        source=n.source,
    )
