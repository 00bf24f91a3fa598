"""How fast the reader of measures is, in one process, and that its time grows with the words alone.

    python tests/benchmarks/measures_speed.py [TRANSCRIPT.vtt ...]

Reads running narration (the given caption files, else the long talk of the case files), repeated to 1,000, 10,000, 100,000 and
1,000,000 words, and prints words a second of processor time, which a busy machine does not spoil, and the time on the wall. The best
of three runs counts for the three smaller sizes.
"""

from __future__ import annotations

import argparse
import re
import time
from pathlib import Path

from benchscribe.measures import read_words

SIZES = (1_000, 10_000, 100_000, 1_000_000)


def narration(files: list[Path]) -> list[str]:
    """Give the words of the caption files, or of the longer talk in the case files."""
    if files:
        lines = [
            line
            for file in files
            for line in file.read_text(encoding="utf-8").splitlines()
            if line and "-->" not in line and not re.fullmatch(r"\d+|WEBVTT.*", line)
        ]
    else:
        cases = Path(__file__).parents[1] / "measures" / "cases"
        rows = [
            row.split(" | ")
            for name in ("long-talk.md", "talk-without-sizes.md")
            for row in (cases / name).read_text(encoding="utf-8").splitlines()
            if row.startswith("| ") and " | " in row
        ]
        lines = [row[1] for row in rows[2:] if len(row) == 3]
    return " ".join(lines).split()


def main() -> None:
    """Time the reader at each size."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("files", nargs="*", type=Path)
    base = narration(parser.parse_args().files)
    for size in SIZES:
        words = (base * (size // len(base) + 1))[:size]
        best, wall, found = float("inf"), float("inf"), 0
        for _ in range(1 if size > 100_000 else 3):
            began, began_wall = time.process_time(), time.perf_counter()
            found = len(read_words(words, units="inch").measures)
            best = min(best, time.process_time() - began)
            wall = min(wall, time.perf_counter() - began_wall)
        print(
            f"{size:>9,} words  {best:7.3f} s  {size / best:>8,.0f} words/s  (wall {wall:.3f} s)  {found:,} measures"
        )


if __name__ == "__main__":
    main()
