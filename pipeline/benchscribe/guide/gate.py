"""The publish gate: a value against which a finding is open is never printed as an instruction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from benchscribe.measures import write_measure
from benchscribe.records import Finding, Measure, Said
from benchscribe.units import same

ASKING = "[size: check]"
"""Printed where a doubtful value has no listed and no computed one to stand in for it."""


def doubtful(measures: Sequence[Measure], findings: Sequence[Finding]) -> Mapping[int, str]:
    """Find the measures that must not be printed as said.

    Args:
        measures: All measures of the episode.
        findings: What the maker must know; only the open ones count, and no right derivation.

    Returns:
        For each such measure (by index) what stands in its place: the value that arithmetic gives, else the listed one, marked
        "(check)".
    """
    gate: dict[int, str] = {}
    for finding in findings:
        if (
            finding.status != "open"
            or finding.right is True
            or finding.spoken is None
            or finding.kind == "count"
        ):
            continue
        for number, measure in enumerate(measures):
            if _is_of(measure, finding, finding.spoken):
                gate[number] = _stand_in(finding, measure)
    return gate


def _is_of(measure: Measure, finding: Finding, spoken: Said) -> bool:
    if not same(measure.value, measure.unit, spoken.value, spoken.unit):
        return False
    if finding.span[0] <= measure.span[0] < max(finding.span[1], finding.span[0] + 1):
        return True
    # Said again elsewhere of the same part and dimension: as doubtful as the first time.
    return (
        measure.part is not None and measure.part == finding.part and measure.dimension == finding.dimension
    )


def _stand_in(finding: Finding, measure: Measure) -> str:
    right = finding.probably_right
    if right is None and finding.kind != "derived":
        right = finding.listed
        if right is None and measure.listed is not None and measure.listed_unit is not None:
            right = Said(measure.listed, measure.listed_unit)
    if right is None or right.unit == "count":
        return ASKING
    return f"{write_measure(right.value, right.unit)} (check)"
