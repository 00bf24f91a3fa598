"""What ties quantities together: chains, ranges, tolerances, lists of roles, and the units that they share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import count, pairwise
from typing import Final

from benchscribe import units as table
from benchscribe.measures import grammar as g
from benchscribe.measures.lexer import Token
from benchscribe.measures.number import joined
from benchscribe.measures.quantity import Quantity
from benchscribe.measures.trade_item import Trade

Item = Quantity | Trade
_BY: Final = frozenset({"by", "x"})
_PLUS_MINUS: Final = (
    ("plus", "or", "minus"),
    ("±",),
    ("+", "/", "-"),
    ("give", "or", "take"),
    ("+/-",),
    ("within",),
)
_DIVIDES: Final = frozenset({"divide", "divided", "dividing", "multiply", "multiplied", "times"})
_COARSEST: Final = 4
"""Millimetres of pitch up to M36 (ISO 261)."""
_GAP: Final = 5


def link(tokens: list[Token], items: list[Item]) -> None:
    """Link neighbours, and let units pass along what is linked.

    Args:
        tokens: All tokens.
        items: Quantities and trade numbers in order; quantities are filled in.
    """
    chains = count(1)
    for left, right in pairwise(items):
        if right.start - left.end > _GAP:
            continue
        words = [t.text for t in tokens[left.end : right.start]]
        if isinstance(left, Trade):
            _after_trade(left, right, words)
        elif isinstance(right, Trade):
            _before_trade(tokens, left, right, words)
        else:
            _link_sizes(tokens, left, right, words, chains)
    _share_along_lists(tokens, items)
    _share_along_chains(tokens, items)
    _share_along_ranges(items)


def _link_sizes(
    tokens: list[Token], left: Quantity, right: Quantity, words: list[str], chains: Iterator[int]
) -> None:
    if _is_by(words) and any(t.text in _DIVIDES for t in tokens[max(0, left.start - 3) : left.start]):
        right.refused = True  # "divide 560 by four"
    elif _is_by(words):
        if left.chain is None:
            left.chain, left.position = next(chains), 0
        right.chain, right.position = left.chain, (left.position or 0) + 1
    elif words == ["in"] and _is_slope(left, right):
        left.refused = right.refused = True
    elif _is_range(tokens, left, right, words):
        _mark_range(left, right)
    elif tuple(words) in _PLUS_MINUS and _smaller(right, left):
        right.linked = True


def _is_slope(left: Quantity, right: Quantity) -> bool:
    """Tell "one in six"."""
    return left.value == 1 and right.form == "int" and right.value > 2 and not (left.said or right.said)


def _smaller(right: Quantity, left: Quantity) -> bool:
    """Tell whether a tolerance is smaller than what it is of."""
    if left.unit in table.LENGTHS and right.unit in table.LENGTHS:
        return table.to_mm(right.value, right.unit or "mm") < table.to_mm(left.value, left.unit or "mm")
    return right.value < left.value


def _after_trade(left: Trade, right: Item, words: list[str]) -> None:
    """Read the length after a fastener: "10-24 by 3/4", "M6 x 20"."""
    if (
        not isinstance(right, Quantity)
        or left.kind not in ("thread", "screw")
        or words[-1:] not in (["by"], ["x"])
    ):
        return
    if left.kind == "thread" and left.name.startswith("M") and right.unit is None and right.value < _COARSEST:
        right.refused = True  # "M5 by 0.5": its pitch
        return
    right.size, right.position = True, 1
    if right.unit is None:
        right.unit = "mm" if left.name.startswith("M") else "inch"


def _before_trade(tokens: list[Token], left: Quantity, right: Trade, words: list[str]) -> None:
    """Refuse the first of "twenty or thirty minutes" and "eight to nine ounce"."""
    if left.said or not right.kind or right.kind in ("nominal-stock", "thread", "screw", "drill"):
        return
    dash = not words and right.start < len(tokens) and tokens[right.start].pre in ("-", g.EN_DASH)
    beside = not words and joined(tokens, right.start)
    if words in (["to"], ["or"], ["and"], ["by"], ["x"]) or dash or beside:
        left.refused = True


def _is_by(words: list[str]) -> bool:
    if not words:
        return False
    if words[-1] in _BY and all(w in g.ROLE_AFTER or w in ("in", "a", "about", "the") for w in words[:-1]):
        return True
    return words[0] in _BY and all(
        w in ("about", "roughly", "just", "over", "under", "a", "maybe", "say", "the") for w in words[1:]
    )


def _is_range(tokens: list[Token], left: Quantity, right: Quantity, words: list[str]) -> bool:
    if left.value >= right.value and left.unit == right.unit:
        return False
    dash = not words and tokens[right.start].pre in ("-", g.EN_DASH)
    if dash:
        return True
    if words in (["to"], ["-"], [g.EN_DASH], ["or"]):
        return words != ["or"] or not left.said
    if words == ["and"]:
        return any(t.text in ("between", "betwixt") for t in tokens[max(0, left.start - 4) : left.start])
    return words in (["up", "to"], ["or", "maybe"], ["maybe"]) and not left.said


def _mark_range(left: Quantity, right: Quantity) -> None:
    if left.unit is None and right.unit is None and (left.form == "int" and right.form == "int"):
        left.range_end = right.range_end = "maybe"
        return
    if (
        right.unit is not None
        and left.unit is not None
        and table.is_length(left.unit) != table.is_length(right.unit)
    ):
        return
    left.range_end, right.range_end = "low", "high"


def _share_along_chains(tokens: list[Token], items: list[Item]) -> None:
    """Give the bare members of a chain the unit of their neighbours: the next said one, else the last."""
    members: dict[int, list[Quantity]] = {}
    starts = {item.start: item for item in items if isinstance(item, Quantity)}
    for item in starts.values():
        if item.chain is not None:
            members.setdefault(item.chain, []).append(item)
    for chain in members.values():
        _pass_unit(reversed(chain), _stock_unit(tokens, starts, chain) or _sheet_unit(tokens, chain))
        _pass_unit(chain, None)
        if chain[0].value == chain[1].value == 1 and not any(q.said for q in chain):
            for item in chain:
                item.refused = True  # "one by one"
        for item in chain:
            item.size = item.size or not item.refused


def _pass_unit(chain: Iterable[Quantity], unit: str | None) -> None:
    """Pass the last said unit on to the bare members after it."""
    for item in chain:
        if item.unit not in (None, "degree"):
            unit = item.unit
        elif item.unit is None and unit:
            item.unit = _fitting(unit, item)


def _share_along_lists(tokens: list[Token], items: list[Item]) -> None:
    """Give the bare members of "nine, eighteen and twenty seven inches" the unit said at the end."""
    unit: str | None = None
    follower: Quantity | None = None
    for item in reversed(items):
        if not isinstance(item, Quantity):
            unit = follower = None
            continue
        if (
            follower is not None
            and item.unit is None
            and not item.refused
            and _listed(tokens, item, follower)
        ):
            item.unit, item.size = unit, True
        else:
            unit = item.unit if item.said and item.chain is None and item.form != "unit" else None
        follower = item if unit else None


def _listed(tokens: list[Token], left: Quantity, right: Quantity) -> bool:
    words = [t.text for t in tokens[left.end : right.start]]
    comma = "," in tokens[left.end - 1].post
    if left.form not in ("int", "dec") or right.form not in ("int", "dec") or left.chain is not None:
        return False
    if left.value >= right.value and right.unit != "degree":
        return False
    return (comma and words in ([], ["and"], ["then"], ["and", "then"])) or (
        words == ["and"] and left.value > 2
    )


def _stock_unit(tokens: list[Token], following: dict[int, Quantity], chain: list[Quantity]) -> str | None:
    """Read the unit off the stock: "seven twenty by three fifty in eighteen mil"."""
    last = chain[-1]
    if not (joined(tokens, last.end) and tokens[last.end].text == "in"):
        return None
    item = following.get(last.end + 1)
    return item.unit if item is not None and item.unit in ("mm", "cm") else None


def _sheet_unit(tokens: list[Token], chain: list[Quantity]) -> str | None:
    """Read "a four by eight sheet" and "a raised bed, three by six" in feet."""
    if len(chain) != 2 or any(q.form != "int" or q.unit for q in chain):
        return None
    end = chain[1].end
    built = tokens[max(0, chain[0].start - 5) : end + 4]
    if any(t.text in g.BUILT_IN_FEET for t in built) and all(2 <= q.value <= 30 for q in chain):
        return "foot"
    if f"{chain[0].value}x{chain[1].value}" not in g.SHEET_PAIRS or not tokens:
        return None
    if joined(tokens, end) and tokens[end].text in g.SHEET_NAMES:
        return "foot"
    near = tokens[max(0, chain[0].start - 5) : end + 5]
    large = chain[1].value >= 8
    return "foot" if large and any(t.text in g.SHEET_NEAR for t in near) else None


def _fitting(unit: str, item: Quantity) -> str:
    """Let a unit pass to a neighbour, save where nobody means it: a fraction is of an inch, and no chain is in feet and 18."""
    if unit == "foot" and (item.value > 40 or (item.number is not None and item.number.den > 4)):
        return "inch"
    if unit == "m" and item.value >= 20:
        return "mm"
    if unit in ("mm", "cm", "m", "mil") and item.number is not None and item.number.den >= 8:
        return "inch"
    return unit


def _share_along_ranges(items: list[Item]) -> None:
    for left, right in pairwise(items):
        if not (isinstance(left, Quantity) and isinstance(right, Quantity)):
            continue
        if left.range_end == "maybe" or (left.range_end == "low" and right.range_end == "high"):
            _share_range(left, right)
        elif right.linked and left.unit is not None:
            _keep_tolerance(left, right, left.unit)


def _share_range(left: Quantity, right: Quantity) -> None:
    left.unit = left.unit or right.unit
    right.unit = right.unit or left.unit
    if left.unit is not None and left.unit == right.unit and left.value < right.value:
        left.range_end, right.range_end = "low", "high"
        left.size = right.size = True


def _keep_tolerance(left: Quantity, right: Quantity, unit: str) -> None:
    other = right.unit = right.unit or unit
    if table.is_length(other) != table.is_length(unit):
        return
    left.tolerance = right.value if "mil" in (other, unit) else table.convert(right.value, other, unit)
    right.size = True


def sentence_breaks(tokens: list[Token]) -> list[int]:
    """Number the sentences: for every token, the sentence that it is in."""
    numbers, current = [], 0
    for token in tokens:
        numbers.append(current)
        if token.post and any(c in token.post for c in ".?!"):
            current += 1
    return numbers


def clear_maybes(items: list[Item]) -> None:
    """Forget ranges that turned out to be none."""
    for item in items:
        if isinstance(item, Quantity) and (item.range_end == "maybe" or (item.range_end and not item.size)):
            item.range_end = None
