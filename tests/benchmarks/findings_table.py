"""Prints every finding that was missed, and every false alarm, with its cause, as Markdown.

    findings_table.py EPISODE_DIR... [--held] [--figures]

An episode folder holds `transcript.vtt`, `parts.csv` and `gold.json`. Of the folders that `HELD.txt` beside them names nothing is printed
but the figures, and only with `--held`: nobody tunes on them, so nobody looks at them by accident.

A finding is the annotated one where value, part and (for firm dimensions) dimension are its own, within 15 seconds of one of its times.
"""

from __future__ import annotations

import argparse
import json
import re
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from score_episodes import held

from benchscribe.findings import find_findings
from benchscribe.listen import read_captions
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import find_mentions, load_vocabulary
from benchscribe.partlist import read_part_list
from benchscribe.place import place
from benchscribe.records import FIRM_DIMENSIONS, Finding, InHand, Measure, PartList, Transcript
from benchscribe.units import is_length, to_mm

NEAR_S: Final = 15.0
UNITS: Final = {
    "in": "inch",
    "inches": "inch",
    "ft": "foot",
    "feet": "foot",
    "degrees": "degree",
    "deg": "degree",
}
MUST: Final = ("slip", "plan-wrong", "changed", "supplied", "count", "contradiction", "impossible")
"""Kinds that must be shown; of derivations only wrong ones."""


class Heard(Struct, frozen=True):
    """One episode as the stages see it, and its truths."""

    name: str
    transcript: Transcript
    part_list: PartList
    measures: tuple[Measure, ...]
    in_hand: tuple[InHand, ...]
    findings: tuple[Finding, ...]
    gold: dict[str, Any]


class Row(Struct, frozen=True):
    """One line of the table."""

    episode: str
    at_s: float
    what: str
    finding: str
    cause: str


class Tally(Struct, frozen=True):
    """The figures of one episode."""

    hit: int
    shown: int
    wanted: int
    kinds: int
    """Of those hit, how many have the annotated kind."""


def hear(folder: Path) -> Heard:
    """Run every stage that findings come out of."""
    gold = json.loads((folder / "gold.json").read_text(encoding="utf-8"))
    transcript, part_list = read_captions(folder / "transcript.vtt"), read_part_list(folder / "parts.csv")
    measures, numbers = find_measures(transcript, part_list.units, part_list)
    mentions = find_mentions(transcript, part_list, measures, load_vocabulary())
    placed = place(transcript, measures, numbers, mentions, part_list)
    found = find_findings(transcript, placed.measures, mentions, part_list, placed.in_hand)
    shown = tuple(f for f in found.findings if f.right is not True)
    return Heard(folder.name, transcript, part_list, placed.measures, placed.in_hand, shown, gold)


def plain(value: Fraction, unit: str) -> tuple[str, Fraction]:
    """Give a size so that one size in two units is equal."""
    return ("mm", to_mm(value, unit)) if is_length(unit) else (unit, value)


def said(text: str) -> tuple[str, Fraction]:
    """Read an annotated value: "13 1/4 inch", "19 thou (0.019 inch)"."""
    *number, unit = re.sub(r"\(.*?\)", "", text).split()
    return plain(sum(map(Fraction, number), Fraction(0)), UNITS.get(unit, unit))


def times(truth: dict[str, Any]) -> list[float]:
    return [truth["t"], *truth.get("repeated", [])]


def is_it(finding: Finding, truth: dict[str, Any]) -> bool:
    """Tell whether a finding is the annotated one."""
    spoken = finding.spoken
    values = [said(text) for text in (truth["spoken"], *truth.get("spoken_also", [])) if text]
    return (
        any(abs((finding.start_s or 0.0) - at) <= NEAR_S for at in times(truth))
        and (not values or (spoken is not None and plain(spoken.value, spoken.unit) in values))
        and (truth["dimension"] not in FIRM_DIMENSIONS or finding.dimension == truth["dimension"])
        and truth["part"] in (None, finding.part)
    )


def must_see(truth: dict[str, Any]) -> bool:
    if truth.get("optional"):
        return False
    wrong = truth.get("right") is False or "WRONG" in truth.get("note", "")
    return truth["kind"] in MUST or (truth["kind"] == "derived" and wrong)


def compare(heard: Heard) -> tuple[Tally, list[Row]]:
    """Compare what was found with the truths."""
    left = list(heard.findings)
    rows, hit, kinds, wanted = [], 0, 0, 0
    for truth in sorted(heard.gold["findings"], key=lambda g: not must_see(g)):
        found = [f for f in left if is_it(f, truth)]
        best = min(
            found, key=lambda f: (f.kind != truth["kind"], abs((f.start_s or 0) - truth["t"])), default=None
        )
        if best is not None:
            left.remove(best)
        if not must_see(truth):
            continue
        wanted += 1
        label = f"{truth['kind']}: {truth['part']}, {truth['dimension']}, {truth['spoken']}"
        if best is None:
            rows.append(Row(heard.name, truth["t"], "missed", label, why_missed(heard, truth)))
            continue
        hit += 1
        kinds += best.kind == truth["kind"]
        if best.kind != truth["kind"]:
            rows.append(Row(heard.name, truth["t"], "other kind", label, f"told as {best.kind}: {best.why}"))
    for finding in left:
        label = f"{finding.kind}: {finding.part}, {finding.dimension}, {finding.spoken.words if finding.spoken else ''}"
        rows.append(Row(heard.name, finding.start_s or 0.0, "false", label, why_false(heard, finding)))
    return Tally(hit, hit + len(left), wanted, kinds), sorted(rows, key=lambda r: r.at_s)


def why_missed(heard: Heard, truth: dict[str, Any]) -> str:
    """Say at which stage an annotated finding was lost."""
    unit, value = said(truth["spoken"])
    if unit == "count":
        return "the number was not tied to the part, or not taken for the whole number"
    near = [
        m
        for m in heard.measures
        if plain(m.value, m.unit) == (unit, value)
        and any(abs((m.start_s or 0.0) - at) <= NEAR_S for at in times(truth))
    ]
    if not near:
        return "size not read"
    measure = next((m for m in near if m.part == truth["part"]), near[0])
    if measure.taken_back or measure.role in ("taken-back", "mistake", "superseded"):
        return f"taken for {measure.role}"
    if measure.part != truth["part"]:
        hand = in_hand(heard, measure)
        return f"placed on {measure.part or 'no part'} as {measure.role}; in hand: {hand}"
    if truth["dimension"] in FIRM_DIMENSIONS and measure.dimension != truth["dimension"]:
        return f"placed on another dimension ({measure.dimension}, {measure.role})"
    if measure.role not in ("finished", "none", "feature", "changed", "corrected", "supplied"):
        return f"taken for {measure.role}"
    return f"read and placed ({measure.role}, {measure.verdict}), and no finding made of it"


def why_false(heard: Heard, finding: Finding) -> str:
    """Say what an annotator has where a false alarm stands."""
    if finding.spoken is None or finding.spoken.unit == "count":
        return "no number of pieces of this part"
    value = plain(finding.spoken.value, finding.spoken.unit)
    near = [
        g
        for g in heard.gold["measures"]
        if abs(g["t"] - (finding.start_s or 0.0)) <= NEAR_S and said(f"{g['value']} {g['unit']}") == value
    ]
    if not near:
        return "no size there: misread, or a number of something else"
    truth = next((g for g in near if g["part"] == finding.part), near[0])
    role = f", {truth['role']}" if truth.get("role") else ""
    if truth["part"] != finding.part:
        return f"is of {truth['part'] or 'no part'} ({truth['dimension']}{role})"
    if truth["dimension"] != finding.dimension:
        return f"is its {truth['dimension']}{role}"
    return f"is {truth['verdict']}{role}: wrong by itself, or told elsewhere"


def in_hand(heard: Heard, measure: Measure) -> str:
    for hand, utterance in zip(heard.in_hand, heard.transcript.utterances, strict=True):
        if utterance.span[0] <= measure.span[0] < utterance.span[1]:
            return f"{', '.join(hand.parts) or 'nothing'} ({hand.confidence:.2f})"
    return "nothing"


def figures(tallies: Sequence[Tally]) -> str:
    hit, shown, wanted, kinds = (
        sum(getattr(t, name) for t in tallies) for name in ("hit", "shown", "wanted", "kinds")
    )
    parts = [f"precision {hit}/{shown}", f"recall {hit}/{wanted}", f"kinds right {kinds}/{hit}"]
    return ", ".join(parts)


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("episodes", nargs="+", type=Path)
    parser.add_argument("--held", action="store_true", help="also the figures of the episodes kept aside")
    parser.add_argument("--figures", action="store_true", help="no table")
    args = parser.parse_args()
    folders = [f for f in args.episodes if (f / "gold.json").is_file()]
    open_, aside = [f for f in folders if not held(f)], [f for f in folders if held(f)]
    results = [compare(hear(folder)) for folder in open_]
    rows = [row for _, found in results for row in found]
    print(f"{len(open_)} episodes: {figures([tally for tally, _ in results])}")
    for folder, (tally, _) in zip(open_, results, strict=True):
        print(f"- {folder.name}: {figures([tally])}")
    if args.held and aside:
        print(f"{len(aside)} episodes kept aside: {figures([compare(hear(f))[0] for f in aside])}")
    if args.figures:
        return
    print("\n| episode | time | what | finding | cause |\n| --- | --- | --- | --- | --- |")
    for row in rows:
        clock = f"{int(row.at_s) // 60}:{int(row.at_s) % 60:02}"
        print(f"| {row.episode} | {clock} | {row.what} | {row.finding} | {row.cause} |")
    causes = Counter((row.what, row.cause.split(" (")[0].split(";")[0].split(":")[0]) for row in rows)
    print("\n| what | cause | how often |\n| --- | --- | --- |")
    for (what, cause), often in causes.most_common():
        print(f"| {what} | {cause} | {often} |")


if __name__ == "__main__":
    main()
