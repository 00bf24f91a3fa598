"""Sizes of one hole, joint or mark that were said twice, differently, with no correction between."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import Final

from msgspec import Struct, structs

from benchscribe.findings.scene import Scene, equal_sizes
from benchscribe.findings.tables import table
from benchscribe.findings.wording import size, spoken
from benchscribe.records import Dimension, Finding, Measure
from benchscribe.spoken.plan import size_of
from benchscribe.spoken.words import singular

_SHARED: Final = 2
_WINDOW: Final = 12
_BREATH: Final = 8
_NAMED: Final = 0.4
_NAMED_BEFORE: Final = 22
"""A part named so many words before a size is what the maker came back to."""
_FEW: Final = 2
"""A noun that more parts have than this names none of them."""
_TALKED_OF: Final = 80
_AGAIN: Final = 26
_CAME_UP: Final = 25
"""Words between the first size and the one that the maker comes back with."""
_APART_S: Final = 12.0
"""Two sizes said closer together than this are two sizes of one thing, not the same one twice."""
_NO_ROLE: Final = frozenset({"taken-back", "rough", "mistake", "superseded", "allowance", "stock", "nominal"})
_HAND: Final = 0.15
_SURE: Final = 0.55


class _Words(Struct, frozen=True):
    features: frozenset[str]
    bored: frozenset[str]
    again: tuple[str, ...]
    other_one: frozenset[str]
    common: frozenset[str]
    relations: dict[str, frozenset[str]]


@cache
def _words() -> _Words:
    data = table("features")
    features, twice = data["features"], data["twice"]
    return _Words(
        features=frozenset(features["cut_into"] + features["bored"] + features["other"]),
        bored=frozenset(features["bored"]),
        again=tuple(twice["again"]),
        other_one=frozenset(twice["other_one"]),
        common=frozenset(twice["common"]),
        relations={name: frozenset(words) for name, words in twice["relations"].items()},
    )


def contradictions(scene: Scene) -> list[Finding]:
    """Find a hole, joint or mark whose same size was said twice, differently, with no correction between.

    The two must speak of the same thing: a like dimension, at least two telling words in common, and the same part with a feature among
    those words; or the second takes up what was said before ("oh, and that hollow"), whatever part is in hand by then.
    """
    features = [m for m in scene.measures if _of_a_feature(m)]
    words = {m.span: _words_near(scene, m) for m in features}
    found: dict[tuple[int, int], Finding] = {}
    for place, measure in enumerate(features):
        if words[measure.span] & _words().other_one or any(equal_sizes(m, measure) for m in features[:place]):
            continue
        first = _said_before(scene, measure, features[:place], words)
        if first is not None:
            found[measure.span] = _contradiction(
                scene, first, measure, words[first.span] & words[measure.span]
            )
    for measure in scene.measures:
        first = None if measure.span in found else _came_back_to(scene, measure)
        if first is not None:
            shared = _words_near(scene, first) & _words_near(scene, measure)
            found[measure.span] = _contradiction(scene, first, measure, shared)
    return list(found.values())


def _said_before(
    scene: Scene, measure: Measure, before: list[Measure], words: dict[tuple[int, int], set[str]]
) -> Measure | None:
    """Give the earlier size that speaks of the same thing in the most words."""
    again = _takes_up(scene, measure)
    best: tuple[int, Measure] | None = None
    for first in before:
        shared = words[first.span] & words[measure.span]
        part = first.part or _part_at(scene, first)
        if part is None or len(shared) < _SHARED or not _may_contradict(first, measure):
            continue
        if words[first.span] & _words().other_one:
            continue
        fit = len(shared) + 2 * (first.dimension == measure.dimension) + (part == measure.part)
        same = part == measure.part and shared & _words().features
        if (same or (again and fit >= _SHARED + 2)) and (best is None or fit >= best[0]):
            best = (fit, first)
    return best[1] if best else None


def _came_back_to(scene: Scene, measure: Measure) -> Measure | None:
    """Give the earlier size of a part that the maker comes back to by name, where both are told by the same relation.

    "Oh, going back, those pedals: leave 3 1/8 between centres", after "space them 2 3/4 centre to centre" while the pedals were in hand.
    """
    relation = _relation(scene, measure)
    if not relation or not _can_be_one(measure) or not _takes_up(scene, measure):
        return None
    named = _spoken_of(scene, measure)
    telling = _words_near(scene, measure)
    earlier = [
        first
        for first in scene.measures
        if measure.span[0] - first.span[1] > _CAME_UP
        and _can_be_one(first)
        and _relation(scene, first) == relation
        and Fraction(1, 2) < size_of(first) / size_of(measure) < 2
        and (
            _part_at(scene, first) in named
            or (named & _named_by(scene, first) and telling & _words_near(scene, first))
        )
    ]
    if not earlier or any(equal_sizes(first, measure) for first in earlier):
        return None
    return max(earlier, key=lambda first: (len(telling & _words_near(scene, first)), first.span))


def _spoken_of(scene: Scene, measure: Measure) -> set[str]:
    """Give the parts that the maker came back to: those named shortly before, in full or by the noun of their name, else the one in hand."""
    first, last = measure.span[0] - _NAMED_BEFORE, measure.span[0]
    named = {m.name for m in scene.part_mentions if first <= m.span[0] < last and m.confidence >= _NAMED}
    words = {singular(word) for word in scene.talk.tokens[max(0, first) : last]}
    by_noun = {name for name in scene.parts if singular(name.lower().split()[-1]) in words}
    named |= by_noun if len(by_noun) <= _FEW else set()
    hand = scene.hand_at(measure.span[0])
    return named or set(hand.parts[:1] if hand else ())


def _named_by(scene: Scene, measure: Measure) -> set[str]:
    """Give the parts that were named in the talk up to a size."""
    return {m.name for m in scene.part_mentions if 0 < measure.span[0] - m.span[0] <= _TALKED_OF}


def _can_be_one(measure: Measure) -> bool:
    return (
        not measure.taken_back
        and measure.role not in _NO_ROLE
        and measure.unit != "degree"
        and bool(measure.value)
    )


def _part_at(scene: Scene, measure: Measure) -> str | None:
    """Give the part that a hole or mark is of: the one it was placed on, else the one in hand, however weakly."""
    if measure.part is not None and measure.verdict != "agrees":
        return measure.part
    hand = scene.hand_at(measure.span[0])
    return hand.parts[0] if hand and hand.parts and hand.confidence >= _HAND else None


def _relation(scene: Scene, measure: Measure) -> str:
    """Say how a size is told: from an end, apart, deep; empty where no such word is by it."""
    tokens, talk = scene.talk.tokens, scene.talk
    reach = range(max(0, measure.span[0] - 4), min(len(tokens), measure.span[1] + 5))
    near = {tokens[i] for i in reach if talk.same_sentence(i, measure.span[0])}
    behind = [tokens[i] for i in range(measure.span[1], min(len(tokens), measure.span[1] + 5))]
    for name, words in _words().relations.items():
        if name == "from" and not ("from" in near or "off" in behind):
            continue
        if near & words:
            return name
    return ""


def _contradiction(scene: Scene, first: Measure, measure: Measure, shared: set[str]) -> Finding:
    one, two = spoken(first), spoken(measure)
    part = _named_with(scene, measure) or _which(scene, first, measure) or first.part
    what = f"{_thing(scene, measure, shared)} of {part}"
    why = f"You said {size(one)} earlier and {size(two)} here, both for {what}, and took neither back."
    dimension = _dimension(first, measure)
    if dimension in (None, "other") and shared & _words().bored:
        dimension = "diameter"
    finding = scene.finding(
        "contradiction", measure, why=why, confidence=_SURE, part=part, dimension=dimension
    )
    before = f'said earlier: "{scene.sentence(first.span)}"'
    return structs.replace(finding, evidence=(*finding.evidence, before))


def _which(scene: Scene, first: Measure, measure: Measure) -> str | None:
    """Give the part that both sizes are of: the earlier one's own where the maker named it again, else the one named with both."""
    part = _part_at(scene, first)
    both = sorted(_spoken_of(scene, measure) & _named_by(scene, first))
    return part if part in _spoken_of(scene, measure) or not both else both[0]


def _dimension(first: Measure, measure: Measure) -> Dimension | None:
    return measure.dimension if first.dimension in (None, "other") else first.dimension


_RELATION_NAMES: Final = {
    "from": "the distance from the edge",
    "apart": "the spacing",
    "deep": "the depth",
    "high": "the height",
}


def _thing(scene: Scene, measure: Measure, shared: set[str]) -> str:
    """Name what both sizes are of: "the hollow", "the spacing"."""
    features = sorted(shared & _words().features)
    relation = _RELATION_NAMES.get(_relation(scene, measure), "")
    if features:
        return f"{relation} of the {features[0]}" if relation else f"the {features[0]}"
    return relation or "the same thing"


def _named_with(scene: Scene, measure: Measure) -> str | None:
    """Give the part named in the same breath as a size, where it is the only one."""
    first, last = measure.span[0] - _BREATH, measure.span[0]
    named = {
        m.name
        for m in scene.part_mentions
        if m.confidence >= _NAMED and first <= m.span[0] < last and not scene.is_for(m)
    }
    return named.pop() if len(named) == 1 else None


def _takes_up(scene: Scene, measure: Measure) -> bool:
    """Tell whether the maker comes back to something: "oh, before I forget"."""
    before = " ".join(scene.talk.tokens[max(0, measure.span[0] - _AGAIN) : measure.span[0]])
    return any(f" {phrase} " in f" {before} " for phrase in _words().again)


def _of_a_feature(measure: Measure) -> bool:
    return (
        measure.listed is None
        and measure.role in ("feature", "none")
        and not measure.taken_back
        and measure.unit != "degree"
    )


def _words_near(scene: Scene, measure: Measure) -> set[str]:
    """Give the telling words around a measure, in its sentence and the one before."""
    first = max(0, measure.span[0] - _WINDOW)
    last = min(len(scene.talk.tokens), measure.span[1] + _WINDOW)
    inside = scene.talk.sentence_of[measure.span[0]]
    return {
        singular(scene.talk.tokens[i])
        for i in range(first, last)
        if len(scene.talk.tokens[i]) > 3
        and not scene.talk.tokens[i][0].isdigit()
        and i not in scene.sized
        and inside - 1 <= scene.talk.sentence_of[i] <= inside
        and scene.talk.tokens[i] not in _words().common
    }


def _may_contradict(first: Measure, second: Measure) -> bool:
    if equal_sizes(first, second) or not size_of(second):
        return False
    if first.start_s is not None and second.start_s is not None and second.start_s - first.start_s < _APART_S:
        return False
    like = first.dimension == second.dimension or "other" in (first.dimension, second.dimension)
    return like and Fraction(1, 2) < size_of(first) / size_of(second) < 2
