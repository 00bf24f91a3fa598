"""Find what disagrees between talk and plan, what the plan leaves open, and what cannot be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from benchscribe.findings.contradictions import contradictions
from benchscribe.findings.counts import counts
from benchscribe.findings.coverage import coverage_of
from benchscribe.findings.declared import READ_OUT
from benchscribe.findings.derived import derivations
from benchscribe.findings.disagree import disagreements
from benchscribe.findings.impossible import impossibilities
from benchscribe.findings.markers import marked_passages
from benchscribe.findings.options import Found
from benchscribe.findings.scene import Scene
from benchscribe.findings.second import second_look
from benchscribe.findings.stock import too_small_stock
from benchscribe.findings.supplied import supplies
from benchscribe.findings.wording import in_order
from benchscribe.records import (
    FINDING_KINDS,
    Finding,
    InHand,
    Measure,
    Mentions,
    PartList,
    Transcript,
)

_DIFFER: Final = frozenset({"plan-wrong", "changed", "slip"})


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
        *too_small_stock(scene),
        *contradictions(scene),
    ]
    kept = in_order([marked.told(f) for f in _one_each(found) if not marked.strikes(f)])
    return Found(kept, coverage_of(scene, kept), marked.struck)


def _one_each(found: list[Finding]) -> list[Finding]:
    """Keep one finding for each measure: the first kind in the order of kinds wins."""
    best: dict[tuple[int, int], Finding] = {}
    for finding in found:
        old = best.get(finding.span)
        if old is None or _gives_way(old, finding):
            best[finding.span] = finding
    return list(best.values())


def _gives_way(old: Finding, new: Finding) -> bool:
    """Tell which of two findings about one size goes: a right sum gives way to what was declared, what only differs to a right sum."""
    if (old.right is True) != (new.right is True):
        other = new if old.right is True else old
        explained = other.kind in _DIFFER and not any(
            e.startswith("declared:") or e == READ_OUT for e in other.evidence
        )
        return explained == (new.right is True)
    return _rank(new) < _rank(old)


def _rank(finding: Finding) -> tuple[bool, int]:
    """Order by kind, with a bare difference behind all that explains it."""
    return finding.kind == "slip", FINDING_KINDS.index(finding.kind)
