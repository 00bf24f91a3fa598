"""Measures how well cuts are mapped onto their takes, on edited copies of annotated episodes.

    cut_mapping.py --maker MAKE_CUT.PY EPISODE_DIR... [--noise 0 0.05 0.1 0.2] [--seeds 1 2 3 4 5] [--details]

For each noise: share of the cut's words whose time in the take is right within 0.8 s (the truth dates each caption, and words share its
time out), share of the inserted words that were given a take, and share of chapter starts within 15 s of the truth. `--long` maps a
40-minute cut onto three hours of takes and gives the seconds that it took.
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from benchscribe.cut import map_cut
from benchscribe.listen import read_captions
from benchscribe.records import SourceFile, Transcript, Utterance, Word


def one(folder: Path, out: Path) -> dict[str, Any]:
    """Map one edited copy and compare it with its truth."""
    cut, takes = read_captions(out / "cut.vtt"), read_captions(folder / "transcript.vtt")
    truth = json.loads((out / "cut-truth.json").read_text())
    found = map_cut(cut, takes)
    right = said = false = inserted = 0
    misses = []
    pieces = sorted(truth["pieces"], key=lambda p: p["cut"][0])
    at = 0
    for word in cut.words:
        start = word.start_s or 0.0
        while at + 1 < len(pieces) and pieces[at + 1]["cut"][0] <= start + 1e-3:
            at += 1
        piece = pieces[at]
        got = found.to_take(start)
        if piece["take"] is None:
            inserted += 1
            false += got is not None
            if got is not None:
                misses.append((word.text, start, got, "insert"))
            continue
        said += 1
        want = piece["take"][0] + start - piece["cut"][0]
        if got is not None and abs(got - want) <= 0.8:
            right += 1
        else:
            misses.append((word.text, start, got, want))
    gold = json.loads((folder / "gold.json").read_text())["chapters"]
    starts = {str(c["about"]): c["start"] for c in truth["chapters"]}
    hits = total = 0
    for chapter in gold:
        if str(chapter["about"]) in starts:
            total += 1
            got = found.to_cut(chapter["start"])
            hits += got is not None and abs(got - starts[str(chapter["about"])]) <= 15
    return {
        "right": right,
        "said": said,
        "false": false,
        "inserted": inserted,
        "hits": hits,
        "chapters": total,
        "misses": misses,
    }


def rough_edit(folder: Path, others: list[Path], noise: float, seed: int) -> dict[str, float]:
    """Map a rough edit: takes with passages said twice, a cut with passages out, moved and shown twice, and inserts of the same trade.

    Words have their own times (no captions between), so what counts is whether each word is given to the right take word or to none.
    """
    rng = random.Random(f"{folder.name} {noise} {seed}")  # noqa: S311 - invented data
    said = [w.text for w in read_captions(folder / "transcript.vtt").words]
    cues = [said[i : i + 12] for i in range(0, len(said), 12)]
    takes: list[str] = []
    kept: list[list[tuple[str, int]]] = []
    for cue in cues:
        if rng.random() < 0.06:
            takes += garbled(cue, 0.15, rng)  # a first try, said again better
        kept.append([(word, len(takes) + k) for k, word in enumerate(cue)])
        takes += cue
    cut = [cue for cue in kept if rng.random() > 0.12]
    for _ in range(2):
        begin = rng.randrange(len(cut) - 8)
        moved = cut[begin : begin + 5]
        del cut[begin : begin + 5]
        at = rng.randrange(len(cut))
        cut[at:at] = moved
    for _ in range(3):
        talk = [w.text for w in read_captions(rng.choice(others) / "transcript.vtt").words]
        begin, at = rng.randrange(len(talk) - 60), rng.randrange(len(cut))
        cut[at:at] = [[(word, -1) for word in talk[begin : begin + 60]]]
    heard = [pair for cue in cut for pair in heard_again(cue, noise, rng)]
    ours = [Word(text, i * 0.4, i * 0.4 + 0.3) for i, (text, _) in enumerate(heard)]
    theirs = [Word(text, i * 0.4, i * 0.4 + 0.3) for i, text in enumerate(takes)]
    found = map_cut(whole("cut.vtt", ours), whole("take.vtt", theirs))
    right = said_words = false = inserted = 0
    for i, (_, truth) in enumerate(heard):
        got = found.to_take(i * 0.4)
        inserted += truth < 0
        false += truth < 0 and got is not None
        said_words += truth >= 0
        right += truth >= 0 and got is not None and abs(got - truth * 0.4) <= 0.81
    return {"right": right, "said": said_words, "false": false, "inserted": inserted}


def garbled(words: list[str], noise: float, rng: random.Random) -> list[str]:
    return [text for text, _ in heard_again([(w, 0) for w in words], noise, rng)]


def heard_again(words: list[tuple[str, int]], noise: float, rng: random.Random) -> list[tuple[str, int]]:
    """Lose, double, clip or change words, a quarter each."""
    out = []
    for text, at in words:
        x = rng.random() / noise if noise else 1.0
        new = (
            []
            if x < 0.25
            else [text, text]
            if x < 0.5
            else [text[:-1] or text]
            if x < 0.75
            else ["mhm"]
            if x < 1
            else [text]
        )
        out += [(word, at) for word in new]
    return out


def long_set(hours: float = 3.0, cut_minutes: float = 40.0) -> tuple[float, int, int]:
    """Time the mapping of a long cut: invented words, 150 a minute, the cut in passages of 20 to 60 s, a word in twenty otherwise."""
    rng = random.Random(1)  # noqa: S311 - as above
    vocabulary = [f"w{int(rng.paretovariate(0.6)) % 3000}" for _ in range(40000)]
    words = [Word(rng.choice(vocabulary), i * 0.4, i * 0.4 + 0.3) for i in range(int(hours * 9000))]
    cut: list[Word] = []
    while len(cut) < cut_minutes * 150:
        begin, length = rng.randrange(len(words) - 200), rng.randrange(50, 150)
        for word in words[begin : begin + length]:
            text = rng.choice(vocabulary) if rng.random() < 0.05 else word.text
            cut.append(Word(text, len(cut) * 0.4, len(cut) * 0.4 + 0.3))
    before = time.perf_counter()
    map_cut(whole("cut.vtt", cut), whole("take.vtt", words))
    return time.perf_counter() - before, len(words), len(cut)


def whole(name: str, words: list[Word]) -> Transcript:
    file = SourceFile(name=name, offset_s=0.0, duration_s=None, kind="captions")
    return Transcript(
        files=(file,),
        clock="takes",
        words=tuple(words),
        utterances=(Utterance((0, len(words)), 0.0, words[-1].end_s),),
    )


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("episodes", nargs="*", type=Path)
    parser.add_argument("--maker", type=Path)
    parser.add_argument("--noise", type=float, nargs="+", default=[0.0, 0.05, 0.1, 0.2])
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3, 4, 5])
    parser.add_argument("--details", action="store_true")
    parser.add_argument("--long", action="store_true")
    args = parser.parse_args()
    if args.long:
        seconds, takes, cut = long_set()
        print(f"{cut} words of cut onto {takes} words of takes: {seconds:.2f} s")
    if args.episodes and args.maker is None:
        sys.exit("--maker is needed: the script that makes the edited copies")
    for noise in args.noise if args.episodes else ():
        rows = []
        for folder in args.episodes:
            for seed in args.seeds:
                with tempfile.TemporaryDirectory() as out:
                    command = [
                        sys.executable,
                        str(args.maker),
                        str(folder),
                        out,
                        "--noise",
                        str(noise),
                        "--seed",
                        str(seed),
                    ]
                    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
                    rows.append((folder.name, seed, one(folder, Path(out))))
        total = {
            k: sum(r[2][k] for r in rows) for k in ("right", "said", "false", "inserted", "hits", "chapters")
        }
        worst = min(rows, key=lambda r: r[2]["right"] / r[2]["said"])
        print(
            f"noise {noise:4.0%}: words {total['right'] / total['said']:.2%} (worst {worst[2]['right'] / worst[2]['said']:.2%},"
            f" {worst[0]} seed {worst[1]}), inserted falsely {total['false'] / total['inserted']:.2%},"
            f" chapters {total['hits']} of {total['chapters']}"
        )
        rough = [
            rough_edit(folder, [f for f in args.episodes if f != folder], noise, seed)
            for folder in args.episodes
            for seed in args.seeds
            if len(args.episodes) > 1
        ]
        if rough:
            sums = {k: sum(r[k] for r in rough) for k in rough[0]}
            print(
                f"      rough edit: words {sums['right'] / sums['said']:.2%} (worst {min(r['right'] / r['said'] for r in rough):.2%}),"
                f" inserted falsely {sums['false'] / sums['inserted']:.2%}"
            )
        if args.details:
            for name, seed, row in rows[:3]:
                for miss in row["misses"]:
                    print("  ", name, seed, miss)


if __name__ == "__main__":
    main()
