"""Chapters beside what costs nothing: TextTiling and the best blind grid, with F1 within ten seconds, Pk and WindowDiff.

    python tests/benchmarks/chapters_baselines.py EPISODE_DIR...

Each folder holds `transcript.vtt`, `parts.csv` and `gold.json`. Needs the `nltk` and `segeval` packages. Without arguments the episodes
that rules may be tuned on are scored.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

WITHIN_S = 10.0
UNIT_S = 5.0
"""Segments are counted in units of five seconds: segeval fails on segments of more than 256 units."""
GRIDS_S = range(20, 125, 5)


def boundary_score(found: Iterable[float], gold: Sequence[dict[str, Any]]) -> tuple[int, int, int]:
    """Count hits, boundaries found and boundaries wanted; an optional one costs nothing either way.

    Args:
        found: Starts in seconds.
        gold: The truth's chapters.

    Returns:
        Hits, found, wanted. The first second never counts: every list begins there.
    """
    starts = [start for start in found if start > 1]
    wanted = [chapter for chapter in gold if chapter["start"] > 1]
    near = sorted(
        (abs(start - chapter["start"]), i, j)
        for i, start in enumerate(starts)
        for j, chapter in enumerate(wanted)
        if abs(start - chapter["start"]) <= WITHIN_S
    )
    used_i: set[int] = set()
    used_j: set[int] = set()
    for _, i, j in near:
        if i not in used_i and j not in used_j:
            used_i.add(i)
            used_j.add(j)
    needless = sum(bool(wanted[j].get("optional")) for j in used_j)
    return len(used_j) - needless, len(starts) - needless, sum(not c.get("optional") for c in wanted)


def f1(hits: int, found: int, wanted: int) -> float:
    """Give the harmonic mean of precision and recall; 0 where nothing is right."""
    return 2 * hits / (found + wanted) if hits else 0.0


def segments(starts: Iterable[float], end_s: float) -> tuple[int, ...]:
    """Give the lengths between boundaries in whole units, none of them empty."""
    units = round(end_s / UNIT_S)
    marks = sorted(
        {0, units, *(round(start / UNIT_S) for start in starts if 0 < round(start / UNIT_S) < units)}
    )
    return tuple(b - a for a, b in pairwise(marks))


def pk_and_window_diff(hypothesis: tuple[int, ...], reference: tuple[int, ...]) -> tuple[float, float]:
    """Give Pk and WindowDiff, the window half the mean segment of the reference (0 is perfect).

    segeval takes the hypothesis first; the window is given, because each package has its own default.
    """
    import segeval

    window = window_of(reference)
    return (
        float(segeval.pk(hypothesis, reference, window_size=window)),
        float(segeval.window_diff(hypothesis, reference, window_size=window)),
    )


def window_of(reference: Sequence[int]) -> int:
    """Give half the mean segment length of the reference, at least 2, ties to even."""
    return max(2, round(sum(reference) / len(reference) / 2))


def text_tiling(sentences: Sequence[str], starts: Sequence[float]) -> list[float]:
    """Cut by TextTiling with its usual settings, each sentence a paragraph; an empty list where it gives up."""
    from nltk.tokenize import TextTilingTokenizer

    from benchscribe.chapters.vocabulary import stopwords

    try:
        tiles = TextTilingTokenizer(stopwords=sorted(stopwords())).tokenize("\n\n".join(sentences))
    except ValueError:
        return []
    cut, done = [], 0
    for tile in tiles[:-1]:
        done += len([p for p in tile.split("\n\n") if p.strip()])
        if done < len(starts):
            cut.append(starts[done])
    return cut


def score_episode(folder: Path) -> dict[str, tuple[list[float], list[dict[str, Any]], float]]:
    """Cut one episode in every way; grids are made by the caller."""
    from benchscribe.chapters import cut_chapters
    from benchscribe.episode import Job, understand
    from benchscribe.listen import read_captions
    from benchscribe.partlist import read_part_list
    from benchscribe.records import EpisodeInfo, Mentions

    gold = json.loads((folder / "gold.json").read_text("utf-8"))
    transcript = read_captions(folder / "transcript.vtt")
    parts = read_part_list(folder / "parts.csv", units=gold["units"])
    job = Job(sources=(folder / "transcript.vtt",), info=EpisodeInfo(), units=gold["units"], cache=folder)
    record = understand(transcript, parts, job)
    words_only = cut_chapters(transcript, Mentions(), (), ())
    sentences = [transcript.text(u.span) for u in transcript.utterances]
    times = [u.start_s or 0.0 for u in transcript.utterances]
    end = transcript.utterances[-1].end_s or 0.0
    cuts = {
        "Benchscribe": [c.start_s or 0.0 for c in record.chapters],
        "Benchscribe, words alone": [c.start_s or 0.0 for c in words_only],
        "TextTiling": text_tiling(sentences, times),
    }
    return {name: (cut, gold["chapters"], end) for name, cut in cuts.items()}


def main(folders: Sequence[Path]) -> None:
    """Print the table."""
    rows: dict[str, list[tuple[list[float], list[dict[str, Any]], float]]] = {}
    for folder in folders:
        for name, cut in score_episode(folder).items():
            rows.setdefault(name, []).append(cut)
    grids = {
        step: [([*range(step, int(end), step)], gold, end) for _, gold, end in rows["Benchscribe"]]
        for step in GRIDS_S
    }
    best = max(
        grids,
        key=lambda step: f1(*map(sum, zip(*(boundary_score(c, g) for c, g, _ in grids[step]), strict=True))),
    )
    rows[f"best blind grid, every {best} s"] = [
        ([float(t) for t in cut], gold, end) for cut, gold, end in grids[best]
    ]
    sys.stdout.write(f"{'':32} {'F1':>6} {'P':>6} {'R':>6} {'Pk':>6} {'WD':>6}   F1 by episode\n")
    for name, cuts in rows.items():
        counts = [boundary_score(cut, gold) for cut, gold, _ in cuts]
        hits, found, wanted = map(sum, zip(*counts, strict=True))
        truth = [[c["start"] for c in gold if not c.get("optional")] for _, gold, _ in cuts]
        windows = [
            pk_and_window_diff(segments(cut, end), segments(true, end))
            for (cut, _, end), true in zip(cuts, truth, strict=True)
        ]
        pk, wd = (sum(column) / len(windows) for column in zip(*windows, strict=True))
        each = " ".join(f"{f1(*count):.2f}" for count in counts)
        sys.stdout.write(
            f"{name:32} {f1(hits, found, wanted):6.3f} {hits / max(found, 1):6.3f} {hits / max(wanted, 1):6.3f} "
            f"{pk:6.3f} {wd:6.3f}   {each}\n"
        )


if __name__ == "__main__":
    here = Path(__file__).parent.parent / "episodes"
    named = [Path(arg) for arg in sys.argv[1:]]
    main(named or [here / name for name in (here / "TUNE.txt").read_text("utf-8").split()])
