"""Sizes of the stock that a part is cut out of, and parts that are larger than theirs."""

from __future__ import annotations

from functools import cache
from typing import Final

from msgspec import Struct

from benchscribe.findings.scene import Scene
from benchscribe.findings.tables import word_sets
from benchscribe.findings.wording import listed_as, size, spoken
from benchscribe.records import Finding, Listed, Measure, Part
from benchscribe.spoken.plan import is_angle, plain, size_of
from benchscribe.spoken.words import singular

_REACH: Final = 16
"""Words from "out of" to the sizes of what it is cut out of."""
_NOUN: Final = 4
"""Words from "out of" to the name of the stock: "out of a bit of old strip"."""
_BEHIND: Final = 2
"""Words from a size to the stock that it is of: "out of a ten by eighteen strip"."""
_SURE: Final = 0.6
_HELD: Final = 0.6


class _Words(Struct, frozen=True):
    nouns: frozenset[str]
    told: frozenset[str]
    places: frozenset[str]
    joined: frozenset[str]


@cache
def _words() -> _Words:
    return _Words(**word_sets("stock"))


def of_stock(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is of what a part is cut out of: "out of a strip I had left, that's ten by eighteen"."""
    tokens, talk = scene.talk.tokens, scene.talk
    chain = _chain(scene, measure)
    start, end = chain[0].span[0], chain[-1].span[1]
    for at in range(start - 1, max(-1, start - _REACH), -1):
        if not talk.same_sentence(at, start) or (at in scene.sized):
            return False
        between = tokens[at + 1 : start]
        source = tokens[at] == "from" or tokens[max(0, at - 1) : at + 1] == ("out", "of")
        told = _told_of_it(between) or _names_stock(tokens[end : end + _BEHIND])
        if source and told and not _words().places & set(between):
            return True
    return False


def _told_of_it(between: tuple[str, ...]) -> bool:
    """Tell whether the words from "out of" to a size name the stock, and then say what size it is."""
    noun = next((i for i, w in enumerate(between[: _NOUN + 1]) if singular(w) in _words().nouns), None)
    return noun is not None and bool(_words().told & set(between[noun + 1 :]))


def _names_stock(words: tuple[str, ...]) -> bool:
    return any(singular(word) in _words().nouns for word in words)


def _chain(scene: Scene, measure: Measure) -> list[Measure]:
    if measure.chain is None:
        return [measure]
    return [m for m in scene.measures if m.chain == measure.chain]


def too_small_stock(scene: Scene) -> list[Finding]:
    """Find parts that are said to be cut in one piece out of stock that is smaller than they are."""
    found, seen = [], set()
    for measure in scene.measures:
        chain = _chain(scene, measure)
        if measure.unit == "degree" or measure.taken_back or chain[0].span in seen:
            continue
        if of_stock(scene, measure):
            seen.add(chain[0].span)
            finding = _too_small(scene, chain)
            found.extend([finding] if finding else [])
    return found


def _too_small(scene: Scene, chain: list[Measure]) -> Finding | None:
    hand = scene.hand_at(chain[0].span[0])
    part = scene.parts.get(hand.parts[0]) if hand and hand.parts and hand.confidence >= _HELD else None
    near = scene.talk.tokens[max(0, chain[0].span[0] - _REACH) : chain[-1].span[1] + _REACH]
    if part is None or len(chain) == 1 or _words().joined & set(near):
        return None
    stock = sorted(chain, key=size_of, reverse=True)
    for measure, listed in zip(stock, _largest_first(part), strict=False):
        if size_of(measure) < plain(listed.value or 0, listed.unit):  # type: ignore[arg-type]
            why = f"{part.name} is {size(listed_as(listed))} and cannot come in one piece out of stock of {size(spoken(measure))}."
            return scene.finding(
                "impossible", measure, why=why, confidence=_SURE, part=part.name, dimension=listed.dimension
            )
    return None


def _largest_first(part: Part) -> list[Listed]:
    """Give the part's own sizes, the largest first."""
    own = [
        e
        for e in part.listed
        if e.value is not None and not e.feature and not e.rough and not is_angle(e.unit)
    ]
    return sorted(own, key=lambda e: plain(e.value, e.unit), reverse=True)  # type: ignore[arg-type]
