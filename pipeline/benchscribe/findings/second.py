"""A second look at sizes that were placed nowhere in the plan, now that it is known what was declared around them.

Placement asks where a size fits best, and one that differs from the list fits badly by nature. Here it is asked the other way round: the
maker says that something of the part in hand is otherwise than listed, or left open; which size near by can that be?
"""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec import Struct, structs

from benchscribe.findings.confusable import confusable, equals, in_proportion, like
from benchscribe.findings.scene import Scene, equal_sizes, sureness
from benchscribe.records import FIRM_DIMENSIONS, Listed, Measure, Part, Span
from benchscribe.spoken.plan import is_angle

_ROLES: Final = frozenset({"none", "rough", "comparison", "changed", "corrected", "supplied"})
"""Roles that a second look may overrule: the others are sizes of tools, holes and hardware, and stay what they are."""
_NOT_OF_IT: Final = frozenset({"rough", "comparison"})
"""Roles that only an open size overrules: against a listed one, a rough size and something else's are no difference."""
_DENIED: Final = frozenset({"not", "than", "never", "nor", "isn't", "instead"})
"""Right before a size (or before its article) they say what it is not: "rather than 155"."""
_TOLD: Final = 2.8
"""Weight of a declared difference from which a size that was placed nowhere is looked at again."""
_OUTRIGHT: Final = 4.0
_WRONG: Final = 1.9
_TOLD_BESIDE: Final = 1.4
_TOLD_NAMED: Final = 2.0
"""The same where the dimension was said, of the part that is surely in hand."""
_OPEN: Final = 2.6
"""The same for a size that the list leaves open."""
_CONTRAST: Final = 45
"""Words between the listed size and the other one where the maker says both."""
_SURE_HAND: Final = 0.55
_OWN_HAND: Final = 0.45
"""The same where placement already gave the size to that part."""
_HELD: Final = 0.75
_SPOKEN_OPEN: Final = 1.0
"""Weight of language from which a size fills an open one whose dimension was said, while its part is surely in hand."""
_LIKE: Final = (Fraction(3, 4), Fraction(4, 3))
"""A size that only its value ties to a listed one is no further from it than this."""
_LIKE_BESIDE: Final = (Fraction(1, 2), Fraction(2))
"""The same where the dimension was said."""
_LIKE_QUOTED: Final = (Fraction(2, 3), Fraction(3, 2))
"""The same where the listed size itself was said."""
_DISTANCE: Final = frozenset(
    "from apart edge edges end ends centres centers centre center between spacing spaced pitch deep depth in every".split()
)
_NAMED_NEAR: Final = 25
_LOOSE: Final = 0.35
"""A difference less sure than this may be of any other part."""
_TIED: Final = ("agrees", "not-listed")
_SURELY_THAT: Final = 0.6
_NAMED_WELL: Final = 0.6
_SURE_NAME: Final = 0.9
_SURE: Final = 0.6
_SURE_QUOTED: Final = 0.76
_SURE_BESIDE: Final = 0.78
_SURE_SLIP: Final = 0.7
_SURE_MATE: Final = 0.6
"""A size of the same row less sure than this shows no row that is read out."""
_SURE_OUTRIGHT: Final = 0.8


class _Found(Struct, frozen=True):
    listed: Listed
    why: str
    confidence: float


def second_look(scene: Scene) -> tuple[Measure, ...]:
    """Give the measures with those placed anew that a declaration, or a likely slip of the tongue, ties to a size of the plan.

    Args:
        scene: The episode as placed.

    Returns:
        As many measures, in the same order; one that is looked at anew says so in its `why`.
    """
    summed = {i for s in scene.sums for i in (s.base, s.other, s.result)}
    other = _other_dimensions(scene)
    return tuple(
        other.get(m.span) or _chain_mate(scene, m) or (m if i in summed else _seen_again(scene, m))
        for i, m in enumerate(scene.measures)
    )


def _other_dimensions(scene: Scene) -> dict[Span, Measure]:
    """Place sizes on the dimension that the word right behind them says ("an inch and a half thick"), and the same size said near by."""
    moved: dict[Span, Measure] = {}
    for measure in scene.measures:
        said = scene.said_right_behind(measure)
        part = scene.parts.get(measure.part or "")
        if measure.verdict != "disagrees" or part is None or not said or measure.dimension in said:
            continue
        wanted = next((e for e in part.listed if e.dimension in said and e.value and not e.feature), None)
        if wanted is None or not like(measure, wanted, _LIKE_BESIDE) or equals(measure, wanted):
            continue
        found = _Found(wanted, f"you named the {wanted.dimension} of {part.name} with it", _SURE)
        for same in scene.measures:
            near = abs(same.span[0] - measure.span[0]) <= _CONTRAST
            if near and same.part == measure.part and equal_sizes(same, measure) and not same.taken_back:
                moved[same.span] = _placed(same, part, found)
    return moved


def _seen_again(scene: Scene, measure: Measure) -> Measure:
    if measure.taken_back or scene.of_another_build(measure):
        return measure
    part = _part_of(scene, measure)
    if _elsewhere(scene, measure):
        part = _held(scene, measure) or _named_open(scene, measure)
        if part is None or part.name == measure.part:
            return measure
        found = (
            _left_open(scene, measure, part)
            or _declared(scene, measure, part)
            or _slip(scene, measure, part, outright=True)
        )
        return _placed(measure, part, found) if found else measure
    if measure.role == "tool" and scene.said_right_behind(measure):
        # "Eight long, drill them all": what is said to be long is no drill.
        found = _slip(scene, measure, part, outright=True) if part else None
        return _placed(measure, part, found) if part and found else measure
    if measure.verdict == "disagrees" and (left := _named_open(scene, measure)) is not None:
        found = _left_open(scene, measure, left) if left.name != measure.part else None
        return _placed(measure, left, found) if found else measure
    of_it = measure.role in _ROLES or (measure.role == "feature" and _names_it(scene, measure))
    if measure.verdict not in ("not-listed", "no-part") or not of_it:
        return measure
    if part is None or scene.listed(measure) is not None:
        return measure
    found = _declared(scene, measure, part) or _left_open(scene, measure, part) or _slip(scene, measure, part)
    return _placed(measure, part, found) if found else measure


def _chain_mate(scene: Scene, measure: Measure) -> Measure | None:
    """Place a size of which the other one in its chain fills an open size ("394 by 234"), on the part's other open size."""
    if (
        measure.chain is None
        or measure.verdict in ("agrees", "disagrees")
        or scene.listed(measure) is not None
    ):
        return None
    mates = [m for m in scene.measures if m.chain == measure.chain and m.span != measure.span]
    filled = [m for m in mates if (entry := scene.listed(m)) is not None and entry.value is None]
    part = scene.parts.get(filled[0].part or "") if len(filled) == 1 and len(mates) == 1 else None
    if part is None:
        return None
    other = [e for e in scene.sizes(part) if e.value is None and e.dimension != filled[0].dimension]
    if len(other) != 1 or scene.declared_at(measure).of("supplied") < _OPEN:
        return None
    why = f"said in one breath with the open {filled[0].dimension} of {part.name}"
    return _placed(measure, part, _Found(other[0], why, filled[0].confidence or _SURE))


def _names_it(scene: Scene, measure: Measure) -> bool:
    """Tell whether the part is named right behind a size: "three quarter diameter pegs" are no holes."""
    first, last = measure.span[1], measure.span[1] + 1
    return any(
        m.name == measure.part and first <= m.span[0] <= last and m.confidence >= _NAMED_WELL
        for m in scene.part_mentions
    )


def _elsewhere(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size was placed on a part that is neither in hand nor named near by."""
    tied = measure.verdict in _TIED or (measure.verdict == "disagrees" and sureness(measure) < _LOOSE)
    if measure.part is None or measure.role != "finished" or not tied:
        return False
    hand = scene.hand_at(measure.span[0])
    if hand is None or (not hand.parts and measure.verdict == "agrees"):
        return False
    alone = len(hand.parts) == 1 and hand.confidence >= _SURELY_THAT
    if measure.part in hand.parts and (alone or _named_alone(scene, measure) is None):
        return False
    return not any(
        m.name == measure.part and abs(m.span[0] - measure.span[0]) <= _NAMED_NEAR
        for m in scene.part_mentions
    )


def _held(scene: Scene, measure: Measure) -> Part | None:
    """Give the part in hand where a size stands that was placed on another: the only one named near by, or the only one in hand."""
    hand = scene.hand_at(measure.span[0])
    named = _named_alone(scene, measure)
    if named is not None:
        return scene.parts.get(named)
    return scene.parts.get(hand.parts[0]) if hand and len(hand.parts) == 1 else None


def _named_alone(scene: Scene, measure: Measure) -> str | None:
    """Give the only part that was named shortly before a size."""
    named = {
        m.name
        for m in scene.part_mentions
        if 0 < measure.span[0] - m.span[0] <= _NAMED_NEAR and m.confidence >= _NAMED_WELL
    }
    return named.pop() if len(named) == 1 else None


def _placed(measure: Measure, part: Part, found: _Found) -> Measure:
    listed = found.listed
    return structs.replace(
        measure,
        part=part.name,
        dimension=listed.dimension,
        role="none",
        verdict="not-listed" if listed.value is None else "disagrees",
        listed=listed.value,
        listed_unit=listed.unit if listed.value is not None else None,
        confidence=found.confidence,
        why=found.why,
    )


def _part_of(scene: Scene, measure: Measure) -> Part | None:
    """Give the part that a size must be of if it is of any: its own, else the one that is surely in hand."""
    hand = scene.hand_at(measure.span[0])
    if measure.part is not None:
        held = hand is not None and measure.part in hand.parts and hand.confidence >= _OWN_HAND
        return scene.parts.get(measure.part) if held else None
    if hand is None or len(hand.parts) != 1 or hand.confidence < _SURE_HAND:
        return _named_open(scene, measure)
    return scene.parts.get(hand.parts[0])


def _named_open(scene: Scene, measure: Measure) -> Part | None:
    """Give the only part named shortly before that the list leaves a size open of, while nothing is surely in hand."""
    named = {
        m.name
        for m in scene.part_mentions
        if 0 < measure.span[0] - m.span[0] <= _NAMED_NEAR and m.confidence >= _SURE_NAME
    }
    left_open = [
        scene.parts[name]
        for name in sorted(named)
        if any(e.value is None for e in scene.sizes(scene.parts[name]))
    ]
    return left_open[0] if len(left_open) == 1 else None


def _declared(scene: Scene, measure: Measure, part: Part) -> _Found | None:
    """Find the listed size that a declared one stands against."""
    tokens = scene.talk.tokens
    if _is_not_of_it(scene, measure) or _DENIED & set(tokens[max(0, measure.span[0] - 2) : measure.span[0]]):
        return None
    declared = scene.declared_at(measure)
    told = max(declared.of("plan-wrong"), declared.of("changed"))
    beside = _said_beside(scene, measure, part)
    held = _surely_held(scene, measure, part) and measure.dimension in FIRM_DIMENSIONS
    if told < (_TOLD_NAMED if held else _TOLD) and not (beside and told >= _TOLD_BESIDE):
        return None
    choices = [
        entry
        for entry in scene.sizes(part)
        if entry.value is not None
        and not entry.feature
        and is_angle(entry.unit) == is_angle(measure.unit)
        and not equals(measure, entry)
    ]
    outright = _named_alone(scene, measure) == part.name and bool(scene.said_right_behind(measure))
    within = _LIKE_BESIDE if told >= _TOLD or outright else _LIKE_QUOTED
    named = [e for e in choices if e.dimension == measure.dimension and like(measure, e, within)]
    if named:
        sure = _SURE_BESIDE if named[0] in beside else _SURE
        return _Found(
            named[0], f"you named the {named[0].dimension} of {part.name}, and said that it differs", sure
        )
    if measure.dimension in FIRM_DIMENSIONS and not is_angle(measure.unit):
        return None
    if _is_a_distance(scene, measure):
        return None
    quoted = [e for e in choices if e in beside and like(measure, e, _LIKE_QUOTED)]
    if quoted:
        return _Found(
            quoted[-1], f"said right after the listed {quoted[-1].dimension} of {part.name}", _SURE_QUOTED
        )
    near = [e for e in choices if like(measure, e, _LIKE)]
    if len(near) != 1:
        return None
    return _Found(
        near[0], f"of the listed sizes of {part.name}, only the {near[0].dimension} is like it", _SURE - 0.1
    )


def _is_not_of_it(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is a rough one or something else's; a mere trace of rough work gives way to a clear choice."""
    if measure.role != "rough":
        return measure.role in _NOT_OF_IT
    declared = scene.declared_at(measure)
    clear = declared.of("changed") >= _OUTRIGHT or declared.of("plan-wrong") >= _WRONG
    return scene.said_of("rough", measure) or not clear


def _surely_held(scene: Scene, measure: Measure, part: Part) -> bool:
    hand = scene.hand_at(measure.span[0])
    return hand is not None and hand.parts[:1] == (part.name,) and hand.confidence >= _HELD


def _is_a_distance(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is told from something or between two things: that is where a hole is, and no size of the part."""
    first, last = max(0, measure.span[0] - 3), min(len(scene.talk.tokens), measure.span[1] + 4)
    near = {scene.talk.tokens[i] for i in range(first, last) if scene.talk.same_sentence(i, measure.span[0])}
    return bool(near & _DISTANCE)


def _said_beside(scene: Scene, measure: Measure, part: Part) -> list[Listed]:
    """Give the sizes of the part whose listed value was said shortly before: whoever says both speaks of the difference."""
    said = []
    for other in scene.measures:
        if other.verdict != "agrees" or other.part != part.name or other.taken_back:
            continue
        if 0 < measure.span[0] - other.span[0] <= _CONTRAST and (listed := scene.listed(other)) is not None:
            said.append(listed)
    return said


def _left_open(scene: Scene, measure: Measure, part: Part) -> _Found | None:
    """Find the open size of the part that a supplied one fills."""
    told = scene.declared_at(measure).of("supplied")
    if told < _SPOKEN_OPEN:
        return None
    blanks = [
        e for e in scene.sizes(part) if e.value is None and not e.feature and not is_angle(measure.unit)
    ]
    said = [e for e in blanks if e.dimension == measure.dimension]
    if measure.dimension in FIRM_DIMENSIONS and not said:
        return None
    hand = scene.hand_at(measure.span[0])
    nothing = hand is None or not hand.parts
    if told < _OPEN and not (said and (nothing or _surely_held(scene, measure, part))):
        return None
    open_to = said or [e for e in blanks if in_proportion(measure, e, part)]
    if len(open_to) != 1:
        return None
    why = f"the only size of {part.name} that the list leaves open"
    return _Found(open_to[0], why, _SURE)


def _slip(scene: Scene, measure: Measure, part: Part, *, outright: bool = False) -> _Found | None:
    """Find the listed size that a tongue can have slipped from, among those of the part that were not said.

    The part's other sizes stand in the same sentence and agree: it is being read out, and what does not fit is its next size. Where the
    size happens to be another part's, its dimension must be said right behind it (`outright`).
    """
    of_it = measure.part is not None or outright
    if not of_it or measure.hedge is not None or (measure.role != "none" and not outright):
        return None
    mates = [
        m
        for m in scene.measures
        if m.verdict == "agrees"
        and m.part == part.name
        and sureness(m) >= _SURE_MATE
        and scene.talk.same_sentence(m.span[0], measure.span[0])
    ]
    heard = {m.dimension for m in scene.measures if m.verdict == "agrees" and m.part == part.name}
    waiting = [
        e
        for e in part.listed
        if e.value is not None and not e.feature and not e.rough and e.dimension not in heard
    ]
    slipped = [e for e in waiting if confusable(measure, e)]
    if not mates or len(slipped) != 1:
        return None
    entry = slipped[0]
    of_it = entry.dimension in scene.said_right_behind(measure)
    if outright and not (of_it and _surely_held(scene, measure, part)):
        return None
    if not outright and _is_elsewhere(scene, measure):
        return None
    return _Found(
        entry,
        f"the one size of {part.name} that was not said yet, and easily said wrong for it",
        _SURE_OUTRIGHT if outright else _SURE_SLIP,
    )


def _is_elsewhere(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is a listed one of any part: then it is no slip but that."""
    return any(equals(measure, entry) for part in scene.parts.values() for entry in part.listed)
