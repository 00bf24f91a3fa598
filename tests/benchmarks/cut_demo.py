"""Measures how exactly the demo's cut is mapped onto its takes, by words alone and with the sound.

    cut_demo.py DEMO_MEDIA

Listens (or takes what was heard before) and gives, of the cut's words that are out of a take, the share mapped within 0.8 s and within
20 ms, the median and 95th percentile of the error, inserted words that were given a take, and how far the pieces' beginnings are off.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from statistics import median

from benchscribe.cut import CutMap, map_cut, refine
from benchscribe.doubles import same_sound
from benchscribe.listen import ListenOptions, listen
from benchscribe.main_job import cache_folder
from benchscribe.records import Transcript


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("demo", type=Path)
    args = parser.parse_args()
    folder = next((args.demo / "build" / "episodes").glob("02-*"))
    paths = [folder / name for name in ("take-1.m4a", "take-2.mkv", "take-3.opus")]
    cache = cache_folder()
    takes = listen(paths, clock="takes", options=ListenOptions(), cache_dir=cache)
    path = args.demo / "cut" / "cut.m4a"
    cut = listen((path,), clock="cut", options=ListenOptions(), cache_dir=cache)
    by_words = map_cut(cut, takes)
    show("by words", by_words, cut, args.demo)
    show("with the sound", refine(by_words, cut, takes, same_sound(path, paths, cache)), cut, args.demo)


def show(name: str, found: CutMap, cut: Transcript, demo: Path) -> None:
    pieces = json.loads((demo / "truth" / "02-cut.json").read_text())["pieces"]
    offsets = {
        take["take"]: take["offset"] for take in json.loads((demo / "truth" / "02-said.json").read_text())
    }
    errors: list[float] = []
    total = false = inserted = 0
    for word in cut.words:
        at = word.start_s or 0.0
        truth = next((p for p in pieces if p["cut"][0] <= at < p["cut"][1]), None)
        piece = next((p for p in found.pieces if p.cut_from_s <= at <= p.cut_to_s and p.file), None)
        if truth is None:
            continue
        if truth["take"] is None:
            inserted += 1
            false += piece is not None
            continue
        total += 1
        if piece is not None and piece.file and piece.at_s is not None:
            inner = (found.to_take(at) or 0.0) - (piece.take_from_s or 0.0)
            errors.append(
                abs(offsets[piece.file] + piece.at_s + inner - truth["take"][0] - at + truth["cut"][0])
            )
    errors.sort()
    starts = [
        min(abs(p.cut_from_s - truth["cut"][0]) for p in found.pieces if p.file)
        for truth in pieces
        if truth["take"]
    ]
    print(
        f"{name:15} within 0.8 s {sum(e <= 0.8 for e in errors) / total:.2%}, within 20 ms {sum(e <= 0.02 for e in errors) / total:.2%},"
        f" median {1000 * median(errors):.0f} ms, 95th {1000 * errors[len(errors) * 95 // 100]:.0f} ms, inserted falsely {false} of {inserted},"
        f" beginnings off by {1000 * median(starts):.0f} ms (most {max(starts):.2f} s)"
    )


if __name__ == "__main__":
    main()
