"""Find what disagrees."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from benchscribe.findings.options import Found
from benchscribe.records import Coverage, InHand, Measure, Mentions, PartList, Transcript


def find_findings(
    transcript: Transcript,
    measures: tuple[Measure, ...],
    mentions: Mentions,
    part_list: PartList | None,
    in_hand: tuple[InHand, ...],
    *,
    markers: Mapping[str, Sequence[str]] = {},
) -> Found:
    """Find what the maker must know (the first version follows)."""
    return Found((), Coverage(listed=0, agree=0, disagree=0, never_said=0))
