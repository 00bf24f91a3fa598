"""Sizes that differ from the list, and sizes that the list leaves open."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec import structs

from benchscribe.findings.scene import LIVE, Scene, equal_sizes, merged, sureness
from benchscribe.findings.wording import dimension_words, size
from benchscribe.records import Finding, FindingKind, Listed, Measure, Said
from benchscribe.spoken.language import Declared
from benchscribe.spoken.plan import commonness, plain, size_of

SURE_SLIP: Final = 0.5
"""A bare difference less sure than this is no finding: the measure may well belong elsewhere."""
SURE_DECLARED: Final = 0.2
_ON_THE_WAY: Final = 70
"""Words from a size on the way to the one that is aimed at."""
SURE_SUPPLIED: Final = 0.35
SURE_UNTOLD: Final = 0.6
"""The same for an open size of which it was never said that it is open, or how it was found."""
_SPOKEN_OF: Final = 1.3
_SURE_AGAINST: Final = 0.75
"""Two sizes of one open cell contradict each other only where both surely are its own."""
_FAR_SURE: Final = 0.75
_FAR: Final = 0.25
"""A declared size further off than this part of the listed one must be placed the surer."""
_FEWEST_SIDES: Final = 3
_DECLARES: Final = 1.9
"""Weight of language from which a declaration is taken as made."""


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


def _not_final(scene: Scene, measure: Measure, listed: Listed, kind: FindingKind) -> bool:
    """Tell whether a size is on the way to the finished one, or another printing's: neither is a disagreement."""
    if kind != "slip":
        return False
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
    declared = [scene.declared_at(m) for m in group]
    kind, phrase = _kind(declared)
    sure = max(m.confidence or 0.0 for m in group)
    if all(_not_final(scene, m, listed, kind) for m in group):
        return None
    if kind == "slip":
        sure *= _doubt(scene, measure, listed)
        if len(group) > 1:
            sure = 1 - (1 - sure) * 0.6
        if _settled_later(scene, group) or _worked_down(scene, measure, listed):
            return None
    else:
        if max(sureness(m) for m in group) < _FAR_SURE and abs(
            size_of(measure) - plain(listed.value, listed.unit)
        ) > _FAR * plain(listed.value, listed.unit):
            return None
        sure = 0.5 + 0.5 * sure
    if sure < (SURE_SLIP if kind == "slip" else SURE_DECLARED):
        return None
    plan = Said(listed.value, listed.unit, listed.text)
    spoken = Said(measure.value, measure.unit, measure.words)
    finding = scene.finding(kind, measure, why=_why(kind, spoken, plan, measure), confidence=sure)
    finding = structs.replace(finding, listed=plan, edition=listed.edition)
    if phrase:
        finding = structs.replace(finding, evidence=(*finding.evidence, f'declared: "{phrase}"'))
    if kind != "slip" and not any(scene.surely_held(m) for m in group):
        finding = structs.replace(finding, declared=False, status="open")
    return merged(_with_right(scene, finding, measure, listed), group[1:])


def _kind(declared: list[Declared]) -> tuple[FindingKind, str]:
    wrong = max((d.of("plan-wrong") for d in declared), default=0.0)
    chosen = max((d.of("changed") for d in declared), default=0.0)
    fine = max((d.of("plan-right") for d in declared), default=0.0)
    if fine >= _DECLARES:
        # "That was right till I moved it": the plan is called good, so what follows is a choice.
        wrong, chosen = 0.0, max(chosen, fine)
    strongest = max(declared, key=lambda d: max(d.of("plan-wrong"), d.of("changed"), d.of("plan-right")))
    if max(wrong, chosen) < _DECLARES:
        return "slip", ""
    if wrong >= chosen:
        return "plan-wrong", strongest.because.get("plan-wrong", "")
    return "changed", strongest.because.get("changed", strongest.because.get("plan-right", ""))


def _why(kind: FindingKind, spoken: Said, plan: Said, measure: Measure) -> str:
    what = f"the {dimension_words(measure.dimension)} of {measure.part}"
    if kind == "plan-wrong":
        return f"You said that the plan is wrong: {what} is {size(spoken)}, where the list has {size(plan)}."
    if kind == "changed":
        return f"You chose {size(spoken)} for {what}; the plan has {size(plan)}."
    return f"You said {size(spoken)} for {what}, and the list has {size(plan)}; nothing was said about a difference."


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
    wanted = plain(listed.value, listed.unit) if listed.value else said
    apart = abs(said - wanted) / wanted if wanted else 1
    return factor * (0.6 if apart > 0.3 else 1.0)


def _settled_later(scene: Scene, group: list[Measure]) -> bool:
    """Tell whether the maker came back to it: "did I say 12? It's 10"."""
    return any(
        m.role == "superseded" for m in scene.measures if equal_sizes(m, group[0]) and m.part == group[0].part
    )


def _worked_down(scene: Scene, measure: Measure, listed: Listed) -> bool:
    """Tell whether a larger size is soon followed by a smaller one for the same place: then it was on the way to it."""
    if listed.value is None or size_of(measure) <= plain(listed.value, listed.unit):
        return False
    first, last = scene.passage(measure.span[0], measure.part)
    down = scene.language.around(
        measure.span,
        first=max(first, measure.span[0]),
        last=min(last, measure.span[1] + _ON_THE_WAY),
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


def _with_right(scene: Scene, finding: Finding, measure: Measure, listed: Listed) -> Finding:
    """Say who is probably right, where a sum that was said aloud shows it."""
    for total in scene.sums:
        result = scene.measures[total.result]
        if not total.right or not (
            equal_sizes(result, measure) and abs(result.span[0] - measure.span[0]) < 80
        ):
            continue
        base = scene.measures[total.base]
        why = f"{base.words} is worked on to {result.words}, and the sum is right"
        return structs.replace(
            finding,
            probably_right=finding.spoken,
            probably_why=why,
            drags_along=_drags(scene, finding, listed),
            evidence=(*finding.evidence, f"sum: {why}"),
        )
    finding = structs.replace(finding, drags_along=_drags(scene, finding, listed))
    why = _by_arithmetic(scene, measure, listed)
    if not why:
        return finding
    return structs.replace(
        finding, probably_right=finding.spoken, probably_why=why, evidence=(*finding.evidence, f"sum: {why}")
    )


def _by_arithmetic(scene: Scene, measure: Measure, listed: Listed) -> str:
    """Say what makes an angle probably right: the cut of a ring is 180/n, and 90 less the listed angle is the same cut, other face."""
    part = scene.parts.get(measure.part or "")
    if measure.unit != "degree" or listed.value is None or part is None:
        return ""
    if part.count and part.count >= _FEWEST_SIDES and measure.value == Fraction(180, part.count):
        return f"{part.count} pieces make a ring when each end is cut at 180/{part.count}, which is {size(Said(measure.value, 'degree'))}"
    if measure.value == 90 - listed.value:
        return f"90° less the listed {size(Said(listed.value, 'degree'))} is {size(Said(measure.value, 'degree'))}"
    return ""


def _drags(scene: Scene, finding: Finding, listed: Listed) -> tuple[str, ...]:
    """Name the other sizes of the list that are the same rare size: they were probably drawn to match."""
    if finding.kind not in ("changed", "plan-wrong") or listed.value is None:
        return ()
    if commonness(listed.value, listed.unit) >= 0.015:
        return ()
    wanted = plain(listed.value, listed.unit)
    names = [
        f"{part.name}, {other.dimension}"
        for part in scene.parts.values()
        for other in part.listed
        if part.name != finding.part
        and other.value is not None
        and (other.unit == "degree") == (listed.unit == "degree")
        and plain(other.value, other.unit) == wanted
    ]
    return tuple(names[:4])


def supplies(scene: Scene) -> list[Finding]:
    """Find sizes that the list leaves open and the maker gives; a second, different one is a contradiction."""
    groups: dict[tuple[str, str], list[list[Measure]]] = {}
    for measure in scene.measures:
        if not _supplied(scene, measure):
            continue
        rows = groups.setdefault((measure.part or "", measure.dimension or ""), [])
        same = next((g for g in rows if equal_sizes(g[0], measure)), None)
        if same is None:
            rows.append([measure])
        else:
            same.append(measure)
    found = []
    for rows in groups.values():
        found.extend(_supplies_and_contradiction(scene, rows))
    return found


def _supplies_and_contradiction(scene: Scene, rows: list[list[Measure]]) -> list[Finding]:
    """Give the size of an open cell, and what contradicts it; a size that is contradicted does not go out unasked.

    The size said oftenest is where the maker ended up; said once each, two sizes contradict each other where the later one is said.
    """
    rows = sorted(rows, key=lambda g: (-len(g), -g[0].span[0]))
    supply = _supply(scene, rows[0])
    if len(rows) == 1:
        return [supply] if supply else []
    first, second = sorted(rows[:2], key=lambda g: g[0].span[0]) if len(rows[0]) == len(rows[1]) else rows[:2]
    against = _contradiction(scene, first[0], second)
    if against is None:
        return [supply] if supply else []
    supply = _supply(scene, first)
    return [against, *([structs.replace(supply, declared=False, status="open")] if supply else [])]


def _supplied(scene: Scene, measure: Measure) -> bool:
    if measure.verdict != "not-listed" or measure.taken_back or not measure.part:
        return False
    listed = scene.listed(measure)
    if measure.role in LIVE and listed is not None and listed.value is None:
        return True
    if measure.role not in ("none", "feature") or listed is not None:
        return False
    row = scene.parts.get(measure.part)
    known = {entry.dimension for entry in row.listed if not entry.feature} if row else set()
    firm = measure.dimension in ("thickness", "width", "length", "diameter", "angle", "radius")
    return (
        firm
        and (measure.role == "feature" or measure.dimension not in known)
        and (measure.confidence or 0) > 0.4
        and scene.declared_at(measure).of("supplied") >= 2.2
    )


def _supply(scene: Scene, group: list[Measure]) -> Finding | None:
    group = sorted(group, key=lambda m: m.span)
    measure = group[0]
    said = [scene.declared_at(m) for m in group]
    told = max(d.of("supplied") for d in said)
    sure = max(m.confidence or 0.0 for m in group)
    sure = min(0.97, sure + 0.15 * min(told, 3) + 0.1 * (len(group) - 1))
    scaled, measured = max(d.of("scaled") for d in said), max(d.of("measured") for d in said)
    spoken_of = told >= _SPOKEN_OF or max(scaled, measured) >= _SPOKEN_OF
    if sure < (SURE_SUPPLIED if spoken_of else SURE_UNTOLD):
        return None
    how = "scaled" if scaled >= 2 else "measured" if measured >= 1.3 else "said"
    what = f"the {dimension_words(measure.dimension)} of {measure.part}"
    gave = {"scaled": "scaled it off the drawing as", "measured": "measured it as", "said": "gave it as"}[how]
    spoken = Said(measure.value, measure.unit, measure.words)
    finding = scene.finding(
        "supplied", measure, why=f"The list leaves {what} open; you {gave} {size(spoken)}.", confidence=sure
    )
    finding = structs.replace(finding, supplied_how=how)
    phrases = [d.because["supplied"] for d in said if "supplied" in d.because]
    if phrases:
        finding = structs.replace(finding, evidence=(*finding.evidence, f'declared: "{phrases[0]}"'))
    return merged(finding, group[1:])


def _contradiction(scene: Scene, first: Measure, group: list[Measure]) -> Finding | None:
    measure = group[0]
    declared = scene.declared_at(measure)
    if (
        measure.role != "finished"
        or (measure.confidence or 0) < _SURE_AGAINST
        or declared.of("changed") >= _DECLARES
    ):
        return None
    if not 0.6 < size_of(measure) / size_of(first) < 1.6 or "said with" not in measure.why:
        return None
    one, two = Said(first.value, first.unit), Said(measure.value, measure.unit)
    what = f"the {dimension_words(measure.dimension)} of {measure.part}"
    why = f"You gave {what} as {size(one)} and as {size(two)}, and the list has no value to settle it."
    finding = scene.finding("contradiction", measure, why=why, confidence=0.6)
    return structs.replace(finding, listed=None)
