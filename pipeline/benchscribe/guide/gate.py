"""The publish gate: a value against which a finding is open is never printed as an instruction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from benchscribe.measures import write_measure
from benchscribe.records import Finding, Measure, Said
from benchscribe.units import same

ASKING = "[size: check]"
"""Printed where a doubtful value has no listed and no computed one to stand in for it."""
OWNED_UP = frozenset({"slip", "derived", "impossible", "contradiction"})
"""Kinds that the maker accepts as his own mistake: what was said is wrong."""


def doubtful(measures: Sequence[Measure], findings: Sequence[Finding]) -> Mapping[int, str]:
    """Find the measures that must not be printed as said.

    Args:
        measures: All measures of the episode.
        findings: What the maker must know. An open one holds its value back. One that the maker has settled as his own slip or a wrong
            sum is put right, and so is one that he has amended. No right derivation and no count matters here.

    Returns:
        For each such measure (by index) what stands in its place: the value that arithmetic gives, else the listed one; marked
        "(check)" as long as the finding is open.
    """
    gate: dict[int, str] = {}
    for finding in findings:
        if finding.right is True or finding.spoken is None or finding.kind == "count":
            continue
        for number, measure in enumerate(measures):
            shown = _shown(finding, finding.spoken, measure)
            if shown:
                gate[number] = shown
    return gate


def _shown(finding: Finding, spoken: Said, measure: Measure) -> str:
    """Give what is printed for a measure because of a finding; empty where it stands as said."""
    if finding.status == "open" and _is_of(measure, finding, spoken):
        return _stand_in(finding, measure)
    if finding.status == "accepted" and finding.kind in OWNED_UP and _is_of(measure, finding, spoken):
        right = _right(finding, measure)
        return write_measure(right.value, right.unit) if right is not None else ""
    if finding.status == "amended" and spoken.words and measure.words == spoken.words:
        # The finding holds the maker's new value now; the words are still those that were said.
        within = finding.span[0] <= measure.span[0] < max(finding.span[1], finding.span[0] + 1)
        if within and not same(measure.value, measure.unit, spoken.value, spoken.unit):
            return write_measure(spoken.value, spoken.unit)
    return ""


def _is_of(measure: Measure, finding: Finding, spoken: Said) -> bool:
    here = finding.span[0] <= measure.span[0] < max(finding.span[1], finding.span[0] + 1)
    # Said again elsewhere of the same part and dimension: as doubtful as the first time.
    again = (
        measure.part is not None and measure.part == finding.part and measure.dimension == finding.dimension
    )
    return (here or again) and same(measure.value, measure.unit, spoken.value, spoken.unit)


def _stand_in(finding: Finding, measure: Measure) -> str:
    right = _right(finding, measure)
    return ASKING if right is None else f"{write_measure(right.value, right.unit)} (check)"


def _right(finding: Finding, measure: Measure) -> Said | None:
    """Give the value that arithmetic gives, else the listed one; None where there is neither."""
    right = finding.probably_right
    if right is None and finding.kind != "derived":
        right = finding.listed
        if right is None and measure.listed is not None and measure.listed_unit is not None:
            right = Said(measure.listed, measure.listed_unit)
    return None if right is None or right.unit == "count" else right
