"""Placement and findings over whole annotated episodes: the half that was tuned on. Floors, so that no change loses ground unseen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from gold_episode import gold_measures, gold_of

from benchscribe.findings import find_findings
from benchscribe.listen import read_captions
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import find_mentions, load_vocabulary
from benchscribe.partlist import read_part_list
from benchscribe.place import place
from benchscribe.records import FIRM_DIMENSIONS, Finding, Measure

EPISODES = Path(__file__).resolve().parent.parent / "episodes"
TUNED = [
    line.split("#")[0].strip()
    for line in (EPISODES / "TUNE.txt").read_text(encoding="utf-8").splitlines()
    if line.split("#")[0].strip()
]
TAKEN_BACK = ("retracted", "withdrawn", "superseded", "mistake", "quoted plan", "quoted-plan")


def run(name: str) -> tuple[dict[str, Any], tuple[Measure, ...], tuple[Finding, ...]]:
    """Place and find over one episode, with the measures as annotated."""
    folder = EPISODES / name
    gold = gold_of(folder)
    transcript = read_captions(folder / "transcript.vtt")
    part_list = read_part_list(folder / "parts.csv")
    measures = gold_measures(transcript, gold)
    _, numbers = find_measures(transcript, gold["units"])
    mentions = find_mentions(transcript, part_list, measures, load_vocabulary())
    placed = place(transcript, measures, numbers, mentions, part_list)
    found = find_findings(transcript, placed.measures, mentions, part_list, placed.in_hand)
    return gold, placed.measures, found.findings


def near(measure: Measure, truth: dict[str, Any]) -> bool:
    """Tell whether a measure is the annotated one."""
    return measure.words == truth["text"] and abs((measure.start_s or 0) - truth["t"]) <= 12


def test_the_episodes_together_are_placed_as_well_as_before() -> None:
    """Floors over all episodes: new ones come in hard, and each by itself has too few sizes for a figure of its own."""
    part, both, none = [], [], []
    for name in TUNED:
        gold, measures, _ = run(name)
        for measure in measures:
            truth = next(t for t in gold["measures"] if near(measure, t))
            if truth.get("role", "") in TAKEN_BACK:
                continue
            if not truth["part"]:
                none.append(measure.part is None)
                continue
            part.append(measure.part == truth["part"])
            if truth["dimension"] in FIRM_DIMENSIONS:
                both.append(measure.part == truth["part"] and measure.dimension == truth["dimension"])
    assert sum(part) / len(part) >= 0.7
    assert sum(both) / len(both) >= 0.65
    assert sum(none) / len(none) >= 0.6


@pytest.mark.parametrize("name", TUNED)
def test_an_episode_cries_no_wolf(name: str) -> None:
    """Rough, taken back and tool sizes, and those said while the work went wrong, are no findings."""
    gold, measures, findings = run(name)
    forbidden = {
        measure.span
        for measure in measures
        if next(t for t in gold["measures"] if near(measure, t)).get("role", "")
        in ("rough", "tool", "retracted", "withdrawn", "mistake")
    }
    wolves = [f for f in findings if f.span in forbidden and f.right is not True and f.kind != "impossible"]
    assert wolves == []
    assert all(f.why and f.advice and f.sentence for f in findings)
