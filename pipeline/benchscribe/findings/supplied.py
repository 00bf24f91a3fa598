"""Sizes that the list leaves open and the maker gives, and open sizes given twice."""

from __future__ import annotations

from typing import Final

from msgspec import structs

from benchscribe.findings.elsewhere import corrected_at_once, worked_on
from benchscribe.findings.scene import LIVE, Scene, equal_sizes, merged
from benchscribe.findings.wording import dimension_words, size, spoken
from benchscribe.records import Finding, Measure
from benchscribe.spoken.plan import size_of

SURE_SUPPLIED: Final = 0.35
SURE_UNTOLD: Final = 0.45
"""The same for an open size of which it was never said that it is open, or how it was found."""
_PLACED_AT_ALL: Final = 0.2
"""A size placed less surely than this fills no open cell, whatever is said around it."""
_SPOKEN_OF: Final = 1.3
_SURE_AGAINST: Final = 0.6
"""Two sizes of one open cell contradict each other only where both surely are its own."""
_TOLD_ENOUGH: Final = 2.6
_PLACED: Final = 0.3
_AGAIN: Final = 1.0
"""What a size said once more adds to its claim."""
_CUT: Final = 0.8
"""What it adds that the piece is cut to this size: what was only measured may still get an allowance."""
_OF_THEM: Final = (("of", "that"), ("of", "them"), ("of", "those"), ("of", "these"))
_DECLARES: Final = 1.9
"""Weight of language from which a declaration is taken as made."""


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
        final = [group for group in rows if not all(scene.said_of("rough", m) for m in group)]
        found.extend(_supplies_and_contradiction(scene, final or rows))
    return found


def _supplies_and_contradiction(scene: Scene, rows: list[list[Measure]]) -> list[Finding]:
    """Give the size of an open cell, and what contradicts it; a size that is contradicted does not go out unasked.

    The size of which it is said most clearly that the list leaves it open, and that is said oftenest and placed most surely, is where the
    maker ended up; said alike, two sizes contradict each other where the later one is said.
    """
    rows = sorted(rows, key=lambda g: (-_claim(scene, g), -g[0].span[0]))
    supply = _supply(scene, rows[0])
    if len(rows) == 1:
        return [supply] if supply else []
    first, second = sorted(rows[:2], key=lambda g: g[0].span[0]) if len(rows[0]) == len(rows[1]) else rows[:2]
    against = _contradiction(scene, first[0], second)
    if against is None:
        return [supply] if supply else []
    supply = _supply(scene, first)
    return [against, *([structs.replace(supply, declared=False, status="open")] if supply else [])]


def _claim(scene: Scene, group: list[Measure]) -> float:
    """Give how strongly a size claims an open cell."""
    told = max(scene.declared_at(m).of("supplied") for m in group)
    sure = max(m.confidence or 0.0 for m in group)
    cut = _CUT if any(scene.is_cut_to(m) for m in group) else 0.0
    return round(min(told, _TOLD_ENOUGH) + cut + _AGAIN * (len(group) - 1) + _PLACED * sure, 1)


def _supplied(scene: Scene, measure: Measure) -> bool:
    if measure.verdict != "not-listed" or measure.taken_back or not measure.part:
        return False
    if (
        measure.span in scene.operands
        or _is_a_number(scene, measure)
        or _of_the_section(scene, measure)
        or scene.is_a_difference(measure)
        or corrected_at_once(scene, measure)
        or worked_on(scene, measure)
    ):
        return False
    listed = scene.listed(measure)
    if measure.role in LIVE and listed is not None and listed.value is None:
        return True
    if measure.role != "none" or listed is not None:
        return False
    row = scene.parts.get(measure.part)
    known = {entry.dimension for entry in row.listed if not entry.feature} if row else set()
    firm = measure.dimension in ("thickness", "width", "length", "diameter", "angle", "radius")
    return (
        firm
        and measure.dimension not in known
        and (measure.confidence or 0) > 0.4
        and scene.declared_at(measure).of("supplied") >= 2.2
    )


def _is_a_number(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size without a unit is a number of pieces: "so cut nine of that"."""
    behind = scene.talk.tokens[measure.span[1] : measure.span[1] + 2]
    return not measure.unit_said and behind in _OF_THEM


def _of_the_section(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size in a chain is said twice in it, as of angle iron: "25 by 25 by 3" gives no length."""
    return measure.chain is not None and any(
        m.chain == measure.chain and m.span != measure.span and equal_sizes(m, measure)
        for m in scene.measures
    )


def _supply(scene: Scene, group: list[Measure]) -> Finding | None:
    group = sorted(group, key=lambda m: m.span)
    measure = group[0]
    said = [scene.declared_at(m) for m in group]
    told = max(d.of("supplied") for d in said)
    sure = max(m.confidence or 0.0 for m in group)
    if sure < _PLACED_AT_ALL:
        return None
    sure = min(0.97, sure + 0.15 * min(told, 3) + 0.1 * (len(group) - 1))
    scaled, measured = max(d.of("scaled") for d in said), max(d.of("measured") for d in said)
    spoken_of = told >= _SPOKEN_OF or max(scaled, measured) >= _SPOKEN_OF
    if sure < (SURE_SUPPLIED if spoken_of else SURE_UNTOLD):
        return None
    how = "scaled" if scaled >= 2 else "measured" if measured >= 1.3 else "said"
    what = f"the {dimension_words(measure.dimension)} of {measure.part}"
    gave = {"scaled": "scaled it off the drawing as", "measured": "measured it as", "said": "gave it as"}[how]
    finding = scene.finding(
        "supplied",
        measure,
        why=f"The list leaves {what} open; you {gave} {size(spoken(measure))}.",
        confidence=sure,
    )
    finding = structs.replace(finding, supplied_how=how)
    if not any(scene.surely_held(m) for m in group):
        finding = structs.replace(finding, declared=False, status="open")
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
    one, two = spoken(first), spoken(measure)
    what = f"the {dimension_words(measure.dimension)} of {measure.part}"
    why = f"You gave {what} as {size(one)} and as {size(two)}, and the list has no value to settle it."
    finding = scene.finding("contradiction", measure, why=why, confidence=0.6)
    return structs.replace(finding, listed=None)
