"""Make the build guide: steps, cut list, stock to buy."""

from __future__ import annotations

from benchscribe.guide.cutlist import make_cut_list
from benchscribe.guide.found import Found
from benchscribe.guide.steps import find_steps
from benchscribe.guide.stock import make_shopping
from benchscribe.records import Chapter, Finding, Guide, InHand, Measure, Mentions, PartList, Transcript


def make_guide(
    transcript: Transcript,
    measures: tuple[Measure, ...],
    mentions: Mentions,
    part_list: PartList | None,
    in_hand: tuple[InHand, ...],
    findings: tuple[Finding, ...],
    chapters: tuple[Chapter, ...],
) -> Guide:
    """Make the guide from what was said and what is listed.

    Args:
        transcript: What was said.
        measures: All measures, placed.
        mentions: Operations, tools, mistakes, promises and repairs.
        part_list: The plan's parts; None where there is no plan.
        in_hand: The part in hand, by utterance.
        findings: What the maker must know, with what he has settled.
        chapters: The chapters; a step does not run over into the next one.

    Returns:
        Steps in order, a cut-list row for each part that is made, and the stock to buy for them. A value against which a finding is
        open never stands as an instruction: the listed or computed value does, marked `check`.
    """
    found = Found(
        transcript=transcript,
        measures=measures,
        mentions=mentions,
        part_list=part_list,
        in_hand=in_hand,
        findings=findings,
        chapters=chapters,
    )
    rows = make_cut_list(part_list, findings)
    return Guide(
        steps=find_steps(found),
        cut_list=rows,
        shopping=make_shopping(rows, part_list),
    )
