"""Measures what is carried from takes to their published cut, on edited copies of annotated episodes.

    cut_episodes.py --maker MAKE_CUT.PY EPISODE_DIR... [--noise 0.05] [--seeds 1 2] [--details]

An episode is understood once from its takes, then with each edited copy beside them. Given: chapter starts within 15 s of the truth
without an edit and in the cut; sizes, findings and steps that stand within 0.8 s of their true place in the cut, that were lost though
the cut has them, and that were kept though it does not; sizes whose words in the cut are those that were said.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path
from typing import Any

from benchscribe.episode import Job, understand, understand_cut
from benchscribe.listen import read_captions
from benchscribe.partlist import read_part_list
from benchscribe.records import EpisodeInfo, EpisodeRecord


def true_place(pieces: list[dict[str, Any]], start_s: float) -> float | None:
    """Give the cut's time of a moment of the take; None where the edit took it out."""
    for piece in pieces:
        if piece["take"] and piece["take"][0] - 0.001 <= start_s < piece["take"][1] - 0.001:
            return float(piece["cut"][0] + start_s - piece["take"][0])
    return None


def near(start_s: float, record: EpisodeRecord) -> int:
    return int(any(c.start_s is not None and abs(start_s - c.start_s) <= 15 for c in record.chapters))


def compare(takes: EpisodeRecord, cut: EpisodeRecord, truth: dict[str, Any], details: bool) -> Counter[str]:
    """Hold a carried record against the record of the takes and the truth of the edit."""
    count: Counter[str] = Counter()
    where = {f.id: f for f in cut.findings}
    pairs = [("size", a, b) for a, b in zip(takes.measures, cut.measures[: len(takes.measures)], strict=True)]
    pairs += [("finding", f, where[f.id]) for f in takes.findings if f.id in where]
    pairs += [("step", a, b) for a, b in zip(takes.steps, cut.steps[: len(takes.steps)], strict=True)]
    for kind, before, after in pairs:
        if before.start_s is None:
            continue
        wanted = true_place(truth["pieces"], before.start_s)
        if wanted is None:
            outcome = "gone" if after.start_s is None else "kept falsely"
        elif after.start_s is None:
            outcome = "lost"
        else:
            outcome = "right" if abs(after.start_s - wanted) <= 0.8 else "wrong"
        count[f"{kind} {outcome}"] += 1
        if details and outcome not in ("right", "gone"):
            print(
                "    ",
                kind,
                outcome,
                before.start_s,
                wanted,
                after.start_s,
                getattr(before, "words", "") or getattr(before, "text", "")[:60],
            )
        if kind == "size" and after.start_s is not None:
            same = cut.transcript.text(after.span).lower() == takes.transcript.text(before.span).lower()
            count["words the same" if same else "words otherwise"] += 1
            if details and not same:
                print(
                    "     words:", takes.transcript.text(before.span), "->", cut.transcript.text(after.span)
                )
    return count


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("episodes", nargs="+", type=Path)
    parser.add_argument("--maker", type=Path, required=True)
    parser.add_argument("--noise", type=float, default=0.05)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--details", action="store_true")
    args = parser.parse_args()
    total: Counter[str] = Counter()
    for folder in args.episodes:
        job = Job(sources=(), info=EpisodeInfo(), cache=Path())
        takes = read_captions(folder / "transcript.vtt")
        part_list = read_part_list(folder / "parts.csv", units=None, other_names={})
        whole = understand(takes, part_list, job)
        gold = {
            str(c["about"]): c["start"] for c in json.loads((folder / "gold.json").read_text())["chapters"]
        }
        count: Counter[str] = Counter()
        for seed in args.seeds:
            with tempfile.TemporaryDirectory() as out:
                command = [
                    sys.executable,
                    str(args.maker),
                    str(folder),
                    out,
                    "--noise",
                    str(args.noise),
                    "--seed",
                    str(seed),
                ]
                subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
                cut = read_captions(Path(out) / "cut.vtt")
                truth = json.loads((Path(out) / "cut-truth.json").read_text())
            record = understand_cut(takes, cut, part_list, job)
            count += compare(whole, record, truth, args.details)
            for about, start in gold.items():
                then = next((c["start"] for c in truth["chapters"] if str(c["about"]) == about), None)
                if then is None:
                    continue
                before, after = near(start, whole), near(then, record)
                count.update(
                    {"chapters": 1, "chapters found in takes": before, "chapters found in cut": after}
                )
                if args.details and before != after:
                    print(
                        "     chapter",
                        about,
                        start,
                        "in cut",
                        then,
                        [c.start_s for c in whole.chapters],
                        [c.start_s for c in record.chapters],
                    )
        print(folder.name, dict(sorted(count.items())))
        total += count
    print("all", dict(sorted(total.items())))


if __name__ == "__main__":
    main()
