"""How much of the part list was heard."""

from __future__ import annotations

from benchscribe.findings.scene import Scene
from benchscribe.records import Coverage, Finding


def coverage_of(scene: Scene, findings: tuple[Finding, ...]) -> Coverage:
    """Count the listed sizes that were said and agree, that disagree, and that were never said.

    Sizes of bought hardware, features and rough sizes are left out: nobody has to say them.
    """
    listed, agree, disagree = 0, 0, 0
    unheard: list[tuple[str, str]] = []
    agreeing: set[tuple[str, str]] = set()
    for measure in scene.measures:
        if (
            measure.verdict == "agrees"
            and measure.role != "taken-back"
            and measure.part
            and measure.dimension
        ):
            agreeing.update((name, measure.dimension) for name in (measure.part, *measure.also_parts))
    differing = {(f.part, f.dimension) for f in findings if f.kind in ("plan-wrong", "changed", "slip")}
    for part in scene.parts.values():
        if part.hardware:
            continue
        for dimension in dict.fromkeys(
            e.dimension for e in part.listed if e.value is not None and not e.feature and not e.rough
        ):
            listed += 1
            if (part.name, dimension) in differing:
                disagree += 1
            elif (part.name, dimension) in agreeing:
                agree += 1
            else:
                unheard.append((part.name, dimension))
    spoken = {name for hand in scene.in_hand for name in hand.parts} | {
        m.name for m in scene.mentions.mentions if m.kind == "part"
    }
    return Coverage(
        listed=listed,
        agree=agree,
        disagree=disagree,
        never_said=len(unheard),
        unheard_parts=tuple(name for name in scene.parts if name not in spoken),
        unheard_sizes=tuple(unheard),
    )
