"""Find what disagrees between talk and plan, what the plan leaves open, and what cannot be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from benchscribe.findings.contradictions import contradictions
from benchscribe.findings.counts import counts
from benchscribe.findings.coverage import coverage_of
from benchscribe.findings.derived import derivations
from benchscribe.findings.disagree import disagreements
from benchscribe.findings.impossible import impossibilities
from benchscribe.findings.markers import marked_passages
from benchscribe.findings.options import Found
from benchscribe.findings.scene import Scene
from benchscribe.findings.second import second_look
from benchscribe.findings.supplied import supplies
from benchscribe.findings.wording import in_order
from benchscribe.records import (
    DECLARED_KINDS,
    FINDING_KINDS,
    Finding,
    InHand,
    Measure,
    Mentions,
    PartList,
    Transcript,
)


def find_findings(
    transcript: Transcript,
    measures: tuple[Measure, ...],
    mentions: Mentions,
    part_list: PartList | None,
    in_hand: tuple[InHand, ...],
    *,
    markers: Mapping[str, Sequence[str]] = {},
) -> Found:
    """Find what the maker must know.

    Args:
        transcript: The words.
        measures: As placed.
        mentions: Names of parts, for counts.
        part_list: The plan; without one there are only sums.
        in_hand: The part in hand during every utterance.
        markers: The maker's own phrases: `plan_note` declares that the plan is wrong, `leave_out` strikes its passage.

    Returns:
        The findings in order of time, one for each disagreement; how much of the list was heard; and the passages struck.
    """
    scene = Scene(transcript, measures, mentions, part_list, in_hand)
    scene = Scene(transcript, second_look(scene), mentions, part_list, in_hand)
    marked = marked_passages(scene, markers)
    found = [
        *disagreements(scene),
        *supplies(scene),
        *derivations(scene),
        *counts(scene),
        *impossibilities(scene),
        *contradictions(scene),
    ]
    kept = in_order([marked.told(f) for f in _one_each(found) if not marked.strikes(f)])
    return Found(kept, coverage_of(scene, kept), marked.struck)


def _one_each(found: list[Finding]) -> list[Finding]:
    """Keep one finding for each measure: the first kind in the order of kinds wins, and a right sum gives way to any other."""
    best: dict[tuple[int, int], Finding] = {}
    for finding in found:
        old = best.get(finding.span)
        if old is None or _rank(finding) < _rank(old):
            best[finding.span] = finding
    return list(best.values())


def _rank(finding: Finding) -> tuple[int, int]:
    """Give way: a right sum to what was declared, and what only differs to a right sum that explains it."""
    told = finding.kind in DECLARED_KINDS and any(text.startswith("declared:") for text in finding.evidence)
    return (1 if finding.right is True else 0 if told or finding.kind != "slip" else 2), FINDING_KINDS.index(
        finding.kind
    )
