"""Numbers said without a unit: whether each is a size, and in what unit. The careful part: when in doubt, it is none."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchscribe.measures.angles import is_angle
from benchscribe.measures.companions import companions, restarts
from benchscribe.measures.context import Context
from benchscribe.measures.expected import suggested
from benchscribe.measures.links import Item
from benchscribe.measures.number import joined
from benchscribe.measures.quantity import Quantity
from benchscribe.measures.refuse import refused
from benchscribe.measures.signs import feeler_before, is_size
from benchscribe.measures.sums import sums
from benchscribe.measures.trade_item import Trade

_CALIPERS: Final = frozenset({"caliper", "calipers", "calliper", "callipers", "micrometer", "mic", "vernier"})
_SURE_LISTED: Final = 10
"""From here on a listed number that is not round keeps the list's unit, whatever unit was said just before."""
_MOST_CM: Final = 250
"""A larger bare number is of millimetres even where the list is in centimetres."""
_FOOT_WORDS: Final = frozenset({"foot", "feet", "ft", "'"})


def settle(context: Context, items: list[Item]) -> None:
    """Settle every bare quantity, in order; what stays without a unit is no size.

    Args:
        context: Tokens and the build's unit; what becomes known is filled in.
        items: Quantities and trade numbers in order; quantities are filled in.
    """
    for k, item in enumerate(items):
        if isinstance(item, Trade):
            context.last_trade = item
            continue
        if item.refused and item.said:
            continue
        if item.unit is not None:
            if item.said or item.size or not refused(context, item):
                accept(context, item, item.unit, item.why)
        elif not _join_feet(context, items, k):
            _settle_bare(context, items, k, item)
    quantities = [item for item in items if isinstance(item, Quantity) and (item.size or not item.refused)]
    for q, unit, why in restarts(context, quantities):
        accept(context, q, unit, why)
    for q, unit, why in sums(context, quantities):
        accept(context, q, unit, why)
    for q, unit, why in companions(context, quantities):
        accept(context, q, unit, why)


def _settle_bare(context: Context, items: list[Item], k: int, item: Quantity) -> None:
    if item.refused or (not item.size and refused(context, item)):
        item.refused = True
        return
    neighbours = [x for x in items[max(0, k - 4) : k] if isinstance(x, Quantity) and x.size]
    if is_angle(context, item):
        accept(context, item, "degree", "the talk is of an angle")
    elif is_size(context, item, neighbours):
        unit = _length_unit(context, item, neighbours)
        accept(context, item, unit, item.why)
    elif suggested(context, item):
        accept(context, item, context.expected[item.value], "a size of the part list")


def accept(context: Context, q: Quantity, unit: str, why: str) -> None:
    """Make a quantity a size, and remember it."""
    q.unit, q.size, q.why = unit, True, why
    context.known[q.value] = unit
    context.last = q
    if unit == "degree":
        context.last_degree = q.end
    if unit == "cm" and q.said:
        context.centimetres = True
    feet = unit == "inch" and q.said and q.value >= 24
    if feet and any(t.text in _FOOT_WORDS for t in context.tokens[q.start : q.end]):
        context.feet.add(int(q.value // 12))


def _join_feet(context: Context, items: list[Item], k: int) -> bool:
    """Read "six two and a half" as feet and inches, where that many feet have been said before."""
    feet, inches = items[k], items[k + 1] if k + 1 < len(items) else None
    if not (isinstance(feet, Quantity) and isinstance(inches, Quantity)) or feet.value not in context.feet:
        return False
    tokens = context.tokens
    if (
        feet.form != "int"
        or inches.start != feet.end
        or inches.unit is not None
        or not joined(tokens, feet.end)
    ):
        return False
    if inches.form not in ("int", "mixed") or not 0 < inches.value < 12 or tokens[feet.end].pre != " ":
        return False
    if tokens[feet.end].word != tokens[feet.end - 1].word + 1:
        return False  # "two, uh, two and a quarter" begins again
    if inches.form == "int" and not context.free_after(inches):
        return False
    inches.value += feet.value * 12
    inches.start, feet.refused = feet.start, True
    accept(context, inches, "inch", "feet and inches, as said before")
    return True


def _length_unit(context: Context, q: Quantity, neighbours: list[Quantity]) -> str:
    number, metric = q.number, context.metric
    if metric and context.centimetres and _tape_reading(context, q):
        q.candidates.append((q.value, "mm", "millimetres to a tenth"))
        q.why = "a tape shows no tenths of a millimetre, and centimetres are said here"
        return "cm"
    if number and (number.den >= 8 or (metric and number.den == 4 and number.form == "frac")):
        return "inch"
    if _in_thou(context, q):
        q.why = "feeler leaves are named in thou"
        return "thou"
    said = next(
        (x for x in reversed(neighbours) if x.size and x.said and x.unit not in (None, "degree")), None
    )
    if said is not None and context.sentence[said.start] == context.sentence[q.start]:
        unit = _carried(said, q, metric=metric)
        sure = q.form == "int" and q.value >= _SURE_LISTED and q.value % 10 != 0
        listed = context.expected.get(q.value) if sure else None
        if unit and listed in (None, unit):
            q.why = f"{unit} was said just before"
            return unit
    if metric and _in_metres(context, q):
        return "m"
    if context.bare == "cm":
        return context.expected.get(q.value) or ("cm" if q.value < _MOST_CM else "mm")
    return "mm" if metric else "inch"


def _in_metres(context: Context, q: Quantity) -> bool:
    """Tell "1.94 long": nobody gives a length in millimetres to a hundredth, but in metres so."""
    hundredths = q.form == "dec" and q.step == Fraction(1, 100) and 1 < q.value < 10
    return hundredths and context.after(q) in ("long", "tall", "high")


def _in_thou(context: Context, q: Quantity) -> bool:
    if q.form != "int":
        return False
    return (not context.metric and context.near(q, frozenset({"feeler", "feelers"}), 30, 5)) or feeler_before(
        context, q
    )


def _carried(said: Quantity, q: Quantity, *, metric: bool) -> str | None:
    """Give the unit that carries over from a size said just before in the same sentence."""
    apart = q.start - said.end
    if said.unit == "cm" and q.value < said.value * 4 and apart < 14:
        return "cm"
    if said.unit == "m" and q.form == "dec" and q.value < 20:
        return "m"
    thousandths = q.form == "dec" and q.step <= Fraction(1, 1000)
    if said.unit == "mm" and not metric and q.form != "mixed" and not thousandths:
        return "mm"
    if said.unit == "thou" and q.form == "int" and q.value < 1000 and apart < 4:
        return "thou"
    if said.unit == "inch" and metric and apart < 8 and q.value < 100:
        return "inch"
    return None


def _tape_reading(context: Context, q: Quantity) -> bool:
    """Tell 42.1 off a tape (centimetres) from 17.7 off the calipers (millimetres)."""
    number = q.number
    if (
        number is None
        or number.form != "dec"
        or not number.digits
        or number.step != Fraction(1, 10)
        or q.value < 20
    ):
        return False
    return not context.around(q, _CALIPERS, 40, 0)
