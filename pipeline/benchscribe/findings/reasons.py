"""What speaks for a size that differs from the list: a sum that was said, the angles of a ring; and what changes along with it."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec import structs

from benchscribe.findings.scene import Scene, equal_sizes
from benchscribe.findings.wording import listed_as, size, spoken
from benchscribe.records import Finding, Listed, Measure
from benchscribe.spoken.plan import commonness, plain

_FEWEST_SIDES: Final = 3


def with_right(scene: Scene, finding: Finding, measure: Measure, listed: Listed) -> Finding:
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
        return f"{part.count} pieces make a ring when each end is cut at 180/{part.count}, which is {size(spoken(measure))}"
    if measure.value == 90 - listed.value:
        return f"90° less the listed {size(listed_as(listed))} is {size(spoken(measure))}"
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
