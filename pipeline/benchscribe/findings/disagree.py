"""Sizes that differ from the list."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec import structs

from benchscribe.findings.confusable import equals
from benchscribe.findings.declared import evidence_of, kind_declared, why_both, why_differs
from benchscribe.findings.elsewhere import corrected_at_once, of_something_else, worked_on
from benchscribe.findings.reasons import with_right
from benchscribe.findings.scene import LIVE, Scene, equal_sizes, merged, sureness
from benchscribe.findings.stock import of_stock
from benchscribe.findings.wording import listed_as, spoken
from benchscribe.records import Finding, Listed, Measure
from benchscribe.spoken.language import Declared
from benchscribe.spoken.plan import commonness, plain, size_of

SURE_SLIP: Final = 0.4
"""A bare difference less sure than this is no finding: the measure may well belong elsewhere."""
SURE_DECLARED: Final = 0.2
_ON_THE_WAY: Final = 70
"""Words from a size on the way to the one that is aimed at."""
_BOTH_SAID: Final = 45
"""Words between the listed size and the other one where the maker says both."""
_RIGHT_AFTER: Final = 25
_DOWN: Final = frozenset("down then to back trim face take bring bringing after finish finished rip".split())
_CONTRAST: Final = frozenset("yours your plan drawing list sheet pattern print not instead says said".split())
"""Words between two sizes that make the second the later state of the first, or the plan's beside the maker's."""
_CLAUSE: Final = 12
_FIRST_PERSON: Final = frozenset("i i'm i've i'd i'll my mine mine's our ours we we're we've".split())
_OUTRIGHT: Final = 2.6
"""Weight of language from which words of rough work beside it no longer matter."""
_FAR_SURE: Final = 0.6
_FAR_TOLD: Final = 0.35
"""The same where the declaration is outright."""
_QUOTED_IN: Final = 6
_PLAN: Final = frozenset("plan drawing list sheet print pattern printout booklet".split())
_NO_QUOTE: Final = frozenset(
    "i i've i'm mine ours wrong should ought but so make cut need needs wants want instead out off not never than from".split()
)
_BARE_PARTS: Final = frozenset({"a", "half", "quarter", "third"})
_ABSURD: Final = Fraction(5, 2)
"""Nobody chooses a size so many times the plan's, and no plan is so far out: it is of something else."""
_SURELY_HELD: Final = 0.8
"""While its part is as surely in hand as this, an outright declaration needs no more than that."""
_IN_HAND: Final = 0.6
_FAR: Final = 0.25
"""A declared size further off than this part of the listed one must be placed the surer."""
_SAID_OF_IT: Final = 0.75
"""How far a size of another part is believed as a slip, where part and dimension were said of it."""


def disagreements(scene: Scene) -> list[Finding]:
    """Find sizes said otherwise than listed: the plan is wrong, the maker chose, or it is a slip."""
    groups: dict[tuple[str, str], list[list[Measure]]] = {}
    for measure in scene.measures:
        if (
            measure.verdict == "disagrees"
            and measure.role in LIVE
            and measure.part
            and not measure.taken_back
            and measure.span not in scene.operands
        ):
            rows = groups.setdefault((measure.part, measure.dimension or ""), [])
            same = next((g for g in rows if equal_sizes(g[0], measure)), None)
            if same is None:
                rows.append([measure])
            else:
                same.append(measure)
    found = []
    for rows in groups.values():
        made = [(group, _disagreement(scene, group)) for group in rows]
        found.extend(_last_word(scene, [(g, f) for g, f in made if f is not None]))
    return found


def _last_word(scene: Scene, made: list[tuple[list[Measure], Finding]]) -> list[Finding]:
    """Keep one declared finding for a part, dimension and passage: the result of a sum, else what was said last."""
    kept: list[Finding] = []
    declared = sorted((f for _, f in made if f.kind != "slip"), key=lambda f: f.span)
    for finding in declared:
        old = kept[-1] if kept else None
        if old is None or not _one_passage(scene, old, finding):
            kept.append(finding)
        elif not old.probably_right or finding.probably_right:
            kept[-1] = finding
    slips = [f for _, f in made if f.kind == "slip" and not any(_one_passage(scene, f, d) for d in declared)]
    return kept + slips


def _one_passage(scene: Scene, one: Finding, other: Finding) -> bool:
    first, last = scene.passage(one.span[0], one.part)
    return first <= other.span[0] < last


def _beside_the_listed(scene: Scene, measure: Measure) -> bool:
    """Tell whether the listed size was said too: whoever says both knows of the difference.

    Behind it only a larger one counts: a smaller one may be what this one is worked down to.
    """
    first, last = scene.passage(measure.span[0], measure.part)
    for other in scene.measures:
        if other.verdict != "agrees" or other.taken_back:
            continue
        if (other.part, other.dimension) != (measure.part, measure.dimension):
            continue
        if max(first, measure.span[0] - _BOTH_SAID) <= other.span[0] < measure.span[0]:
            return True
        larger = size_of(other) > size_of(measure)
        if larger and 0 < other.span[0] - measure.span[1] <= _CLAUSE and other.span[0] < last:
            return True
    return False


def _own_doing(scene: Scene, measure: Measure) -> bool:
    """Tell whether the maker speaks of their own piece in the size's sentence, or of liking it so."""
    tokens = scene.talk.tokens
    near = range(max(0, measure.span[0] - _CLAUSE), min(len(tokens), measure.span[1] + _CLAUSE))
    return any(tokens[i] in _FIRST_PERSON and scene.talk.same_sentence(i, measure.span[0]) for i in near)


def _not_final(scene: Scene, measure: Measure, listed: Listed) -> bool:
    """Tell whether a size is on the way to the finished one, or another printing's: neither is a disagreement."""
    if measure.hedge == "about" or scene.said_of("edition", measure):
        return True
    return (
        listed.value is not None
        and size_of(measure) > plain(listed.value, listed.unit)
        and scene.said_of("rough", measure)
    )


def _disagreement(scene: Scene, group: list[Measure]) -> Finding | None:
    measure = group[0]
    listed = scene.listed(measure)
    if listed is None or listed.value is None or _read_otherwise(measure, listed):
        return None
    wanted = plain(listed.value, listed.unit)
    if not wanted or not 1 / _ABSURD <= size_of(measure) / wanted <= _ABSURD:
        return None
    if _is_no_size_of_it(scene, group):
        return None
    declared = [scene.declared_at(m) for m in group]
    kind, phrase = kind_declared(scene, group, declared)
    told = kind != "slip"
    if _on_the_way(scene, group, listed, declared):
        return None
    sure = _declared_sure(scene, group, listed, declared) if told else _slip_sure(scene, group, listed)
    if sure < (SURE_DECLARED if told else SURE_SLIP):
        return None
    if not told and any(_beside_the_listed(scene, m) for m in group):
        kind = "changed" if any(_own_doing(scene, m) for m in group) else "plan-wrong"
    plan, said = listed_as(listed), spoken(measure)
    why = (
        why_differs(kind, said, plan, measure, outright=bool(phrase))
        if told or kind == "slip"
        else why_both(kind, said, plan, measure)
    )
    finding = scene.finding(kind, measure, why=why, confidence=sure)
    finding = structs.replace(finding, listed=plan, edition=listed.edition)
    if told:
        finding = structs.replace(finding, evidence=(*finding.evidence, *evidence_of(scene, group, phrase)))
    if kind != "slip" and not (told and phrase and any(scene.surely_held(m) for m in group)):
        finding = structs.replace(finding, declared=False, status="open")
    return merged(with_right(scene, finding, measure, listed), group[1:])


def _is_no_size_of_it(scene: Scene, group: list[Measure]) -> bool:
    """Tell whether a size is the plan's, another build's, another dimension's, the stock's, another thing's, or was taken back."""
    if all(
        _quotes_the_plan(scene, m)
        or scene.of_another_build(m)
        or _of_another_dimension(scene, m)
        or of_stock(scene, m)
        or _agrees_in_hand(scene, m)
        or (m.listed is not None and m.listed_unit and worked_on(scene, m, plain(m.listed, m.listed_unit)))
        for m in group
    ):
        return True
    return of_something_else(scene, group) or any(corrected_at_once(scene, m) for m in group)


def _agrees_in_hand(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is the listed one of the part in hand, in the very dimension in which it would differ from another part."""
    hand = scene.hand_at(measure.span[0])
    surely = hand is not None and len(hand.parts) == 1 and hand.confidence >= _IN_HAND
    part = scene.parts.get(hand.parts[0]) if hand and surely and hand.parts[0] != measure.part else None
    return part is not None and any(
        e.dimension == measure.dimension and not e.feature and equals(measure, e) for e in part.listed
    )


def _quotes_the_plan(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is read off the plan ("on my drawing it's 230"): that cannot differ from the plan, so it is of another part."""
    tokens = scene.talk.tokens
    for at in range(measure.span[0] - 1, max(-1, measure.span[0] - _QUOTED_IN), -1):
        if tokens[at] in _NO_QUOTE or at in scene.sized or not scene.talk.same_sentence(at, measure.span[0]):
            return False
        if tokens[at] in _PLAN:
            return True
    return False


def _of_another_dimension(scene: Scene, measure: Measure) -> bool:
    """Tell whether the word right behind a size is of another dimension than it was placed on: "an inch and a quarter thick"."""
    said = scene.said_right_behind(measure)
    return bool(said) and measure.dimension not in said


def _on_the_way(scene: Scene, group: list[Measure], listed: Listed, declared: list[Declared]) -> bool:
    """Tell whether the size is a step to the listed one, a rough one, or of another printing."""
    if all(_taken_down(scene, m, listed) for m in group):
        return True
    weak = max(max(d.of("plan-wrong"), d.of("changed")) for d in declared) < _OUTRIGHT
    return weak and all(_not_final(scene, m, listed) for m in group)


def _declared_sure(scene: Scene, group: list[Measure], listed: Listed, declared: list[Declared]) -> float:
    """Give how sure a declared difference is; nothing where it is far off, not surely placed, and not declared outright."""
    wanted = plain(listed.value, listed.unit) if listed.value is not None else Fraction(0)
    far = abs(size_of(group[0]) - wanted) > _FAR * wanted
    told = max(max(d.of("plan-wrong"), d.of("changed")) for d in declared)
    held = any(scene.held(m) >= _SURELY_HELD for m in group)
    needed = _FAR_SURE if told < _OUTRIGHT else SURE_DECLARED if held else _FAR_TOLD
    if far and max(sureness(m) for m in group) < needed:
        return 0.0
    return 0.5 + 0.5 * max(m.confidence or 0.0 for m in group)


def _slip_sure(scene: Scene, group: list[Measure], listed: Listed) -> float:
    """Give how sure a bare difference is; nothing where the maker came back to it or worked on from it."""
    if all(scene.is_a_difference(m) or _is_half_of_something(m) for m in group):
        return 0.0
    if _settled_later(scene, group) or _worked_down(scene, group[0], listed):
        return 0.0
    if all(_comes_to_it(scene, m, listed) for m in group):
        return 0.0
    sure = max(m.confidence or 0.0 for m in group) * _doubt(scene, group[0], listed)
    return 1 - (1 - sure) * 0.6 if len(group) > 1 else sure


def _is_half_of_something(measure: Measure) -> bool:
    """Tell whether a size is nothing but "half" or "a quarter", which without a unit is mostly of something."""
    return not measure.unit_said and set(measure.words.lower().strip(",.;").split()) <= _BARE_PARTS


def _comes_to_it(scene: Scene, measure: Measure, listed: Listed) -> bool:
    """Tell whether the listed size itself follows: "turned to 738, the knurl raises it, and it measures three quarters"."""
    wanted = plain(listed.value, listed.unit) if listed.value is not None else None
    for other in scene.measures:
        apart = other.span[0] - measure.span[1]
        if (
            not 0 < apart <= _RIGHT_AFTER
            or other.part not in (measure.part, None)
            or size_of(other) != wanted
        ):
            continue
        between = scene.talk.tokens[measure.span[1] : other.span[0]]
        if (other.unit == "degree") == (measure.unit == "degree") and not _CONTRAST & set(between):
            return True
    return False


def _read_otherwise(measure: Measure, listed: Listed) -> bool:
    """Tell whether the words can be read as the listed size: then it is the reading that is in doubt, not the maker."""
    if listed.value is None:
        return False
    return any(
        (c.unit == "degree") == (listed.unit == "degree")
        and plain(c.value, c.unit) == plain(listed.value, listed.unit)
        for c in measure.candidates
    )


def _doubt(scene: Scene, measure: Measure, listed: Listed) -> float:
    """Give how far a bare difference can be believed: less where the size is that of another part."""
    said = size_of(measure)
    elsewhere = [
        part.name
        for part in scene.parts.values()
        for other in part.listed
        if other.value is not None
        and (other.unit == "degree") == (measure.unit == "degree")
        and plain(other.value, other.unit) == said
    ]
    factor = 1.0
    if elsewhere:
        factor = 0.45 if commonness(measure.value, measure.unit) < 0.02 else 0.7
    if measure.part in elsewhere:
        factor *= 0.5
    elif measure.dimension in scene.said_right_behind(measure) and scene.surely_held(measure):
        factor = max(factor, _SAID_OF_IT)
    wanted = plain(listed.value, listed.unit) if listed.value else said
    apart = abs(said - wanted) / wanted if wanted else 1
    return factor * (0.6 if apart > 0.3 else 1.0)


def _settled_later(scene: Scene, group: list[Measure]) -> bool:
    """Tell whether the maker came back to it: "did I say 12? It's 10"."""
    return any(
        m.role == "superseded" for m in scene.measures if equal_sizes(m, group[0]) and m.part == group[0].part
    )


def _taken_down(scene: Scene, measure: Measure, listed: Listed) -> bool:
    """Tell whether a larger size is taken down to the listed one right after: "I turn mine to 1 1/4 and then down to 1 1/8"."""
    if listed.value is None or size_of(measure) <= plain(listed.value, listed.unit):
        return False
    after = [m for m in scene.measures if 0 < m.span[0] - measure.span[1] <= _RIGHT_AFTER]
    return any(
        m.verdict == "agrees"
        and (m.part, m.dimension) == (measure.part, measure.dimension)
        and _DOWN & set(scene.talk.tokens[measure.span[1] : m.span[0]])
        and not _CONTRAST & set(scene.talk.tokens[measure.span[1] : m.span[0]])
        for m in after
    )


def _worked_down(scene: Scene, measure: Measure, listed: Listed) -> bool:
    """Tell whether a larger size is soon followed by a smaller one for the same place: then it was on the way to it."""
    if listed.value is None or size_of(measure) <= plain(listed.value, listed.unit):
        return False
    first, last = scene.passage(measure.span[0], measure.part)
    others = (
        m.span[0]
        for m in scene.measures
        if m.span[0] > measure.span[1]
        and (m.part, m.role in LIVE) == (measure.part, True)
        and (m.chain is None or m.chain != measure.chain)
    )
    down = scene.language.around(
        measure.span,
        first=max(first, measure.span[0]),
        last=min(last, measure.span[1] + _ON_THE_WAY, next(others, last)),
        reach=_ON_THE_WAY,
    )
    if down.of("worked-down"):
        return True
    return any(
        m.part == measure.part
        and m.dimension == measure.dimension
        and 0 < m.span[0] - measure.span[1] <= _ON_THE_WAY
        and not m.taken_back
        and m.role in LIVE
        and size_of(m) < size_of(measure)
        for m in scene.measures
    )
