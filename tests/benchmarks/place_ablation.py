"""What each piece of placement earns, and how fast it is.

    python tests/benchmarks/place_ablation.py EPISODE_DIR... [--hours 10]

Every EPISODE_DIR holds transcript.vtt, parts.csv and gold.json. The measures are those that the reader finds; those that are annotated too
are judged. With --hours, the first episode's talk is repeated to that length and placed once, language processing not counted.
"""

from __future__ import annotations

import argparse
import resource
import sys
import time
from pathlib import Path
from typing import TypeVar

import msgspec

sys.path.insert(0, str(Path(__file__).resolve().parent))

from place_episodes import Episode, load_episode, score_places

from benchscribe.mentions import load_vocabulary
from benchscribe.place import Switches, place
from benchscribe.records import Measure, Mention, Mentions, TradeNumber, Transcript

Spanned = TypeVar("Spanned", Measure, Mention, TradeNumber)

VARIANTS = {
    "all of it": Switches(),
    "without the sequence model": Switches(sequence=False),
    "without assignment": Switches(assignment=False),
    "without names": Switches(names=False),
    "sizes alone": Switches(sequence=False, assignment=False, names=False),
}


def main() -> None:
    """Print the table, and the speed where it is asked for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--hours", type=float, default=0.0)
    options = parser.parse_args()
    vocabulary = load_vocabulary()
    episodes = [load_episode(folder, vocabulary) for folder in options.folders]
    print(f"{'':28}{'part':>8}{'dimension':>11}{'unplaced':>10}   (mean over {len(episodes)} episodes)")
    for name, switches in VARIANTS.items():
        rows = [score_places(e, switches=switches) for e in episodes]
        means = [sum(row[i] for row in rows) / len(rows) for i in range(3)]
        print(f"{name:28}{means[0]:8.3f}{means[1]:11.3f}{means[2]:10.3f}")
    if options.hours:
        _speed(episodes[0], options.hours)


def _speed(episode: Episode, hours: float) -> None:
    transcript, measures, trade_numbers, mentions, part_list = (
        episode.transcript, episode.measures, episode.trade_numbers, episode.mentions, episode.part_list,
    )  # fmt: skip
    length_s = transcript.words[-1].end_s or 1.0
    times = max(1, round(hours * 3600 / length_s))
    long = _repeated(transcript, times, length_s)
    words = len(transcript.words)
    many = tuple(_moved(m, i * words, i * length_s) for i in range(times) for m in measures)
    numbers = tuple(_moved(n, i * words, i * length_s) for i in range(times) for n in trade_numbers)
    named = Mentions(
        mentions=tuple(_moved(m, i * words, i * length_s) for i in range(times) for m in mentions.mentions)
    )
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.perf_counter()
    placed = place(long, many, numbers, named, part_list)
    took_s = time.perf_counter() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(
        f"{hours:g} h of talk, {len(long.words)} words, {len(placed.measures)} measures, {len(part_list.parts)} parts: "
        f"{took_s:.1f} s, {(peak - before) / 1024:.0f} MB more"
    )


def _repeated(transcript: Transcript, times: int, length_s: float) -> Transcript:
    words = len(transcript.words)
    return msgspec.structs.replace(
        transcript,
        words=tuple(
            msgspec.structs.replace(
                w, start_s=(w.start_s or 0) + i * length_s, end_s=(w.end_s or 0) + i * length_s
            )
            for i in range(times)
            for w in transcript.words
        ),
        utterances=tuple(
            msgspec.structs.replace(
                u,
                span=(u.span[0] + i * words, u.span[1] + i * words),
                start_s=(u.start_s or 0) + i * length_s,
                end_s=(u.end_s or 0) + i * length_s,
            )
            for i in range(times)
            for u in transcript.utterances
        ),
        cues=(),
    )


def _moved(item: Spanned, words: int, seconds: float) -> Spanned:
    return msgspec.structs.replace(
        item,
        span=(item.span[0] + words, item.span[1] + words),
        start_s=None if item.start_s is None else item.start_s + seconds,
    )


if __name__ == "__main__":
    main()
