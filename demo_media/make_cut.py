"""Make a published cut of episode 2 from its takes, as an editor would, and the truth about it.

    python demo_media/make_cut.py

The mistake is cut out, long pauses are shortened, the packet dividers are told where the drawers are told (a passage that was moved), and a
spoken word of greeting is put in that no take holds. Writes `cut/cut.m4a` and `truth/02-cut.json`: pieces in the order of the cut, each with
its stretch of the cut and of the takes' running time (none for what was put in), and the chapters in cut time.
"""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
from demo_script import Take, read_script
from make_demo import HERE, RATE, Placed, place, speak, truth, write_json, write_take

INSERT = (
    "Just a quick word from the kitchen table, because I forgot to say it on the day.",
    "The drawings and the whole list are on the page below, and I do read the questions, even if it takes me a week.",
)
MOVED, AFTER = "Packet divider", "Drawer bottom"
BESIDE_S, LONGEST_GAP_S = 0.15, 0.7
Stretch = tuple[float, float]


def main() -> None:
    """Make the cut and its truth."""
    script = read_script(HERE / "script" / "02.md")
    takes: list[Placed] = []
    with tempfile.TemporaryDirectory() as temporary:
        home = Path(temporary)
        for take in script.takes:
            placed = place(take, script.voice, home)
            placed.offset_s = sum(p.duration_s for p in takes)
            takes.append(placed)
        insert = [speak(text, script.voice, home) for text in INSERT]
    gold = truth(script, takes)
    sound = np.concatenate([p.samples for p in takes])
    blocks = _blocks(takes, gold["mistakes"])
    moved = blocks.pop(MOVED)
    pieces: list[dict[str, list[float] | None]] = []
    out: list[np.ndarray] = []

    def add(samples: np.ndarray, stretch: Stretch | None) -> None:
        at = sum(len(x) for x in out) / RATE
        out.append(samples)
        pieces.append({"cut": _round((at, at + len(samples) / RATE)), "take": stretch and _round(stretch)})

    for name, stretches in blocks.items():
        for a, b in [*stretches, *(moved if name == AFTER else [])]:
            add(sound[int(a * RATE) : int(b * RATE)], (a, b))
        if name == AFTER:
            for samples in insert:
                add(np.concatenate([samples, np.zeros(RATE // 3)]), None)
    cut = Placed(Take("cut.m4a", "2026-04-17T20:00:00", "room"), np.concatenate(out))
    (HERE / "cut").mkdir(exist_ok=True)
    write_take(cut, HERE / "cut" / "cut.m4a")
    write_json(HERE / "truth" / "02-cut.json", {"pieces": pieces, "chapters": _chapters(gold["chapters"], pieces)})
    print(f"cut.m4a: {cut.duration_s:.1f} s, {len(pieces)} pieces")


def _blocks(takes: list[Placed], mistakes: list[dict[str, float]]) -> dict[str, list[Stretch]]:
    """The stretches of running time that are kept, by chapter; a long gap between sentences ends a stretch."""
    starts = [(p.offset_s + t, f"{c.part or c.about[0]}") for p in takes for t, c in p.chapters]
    blocks: dict[str, list[Stretch]] = {name: [] for _, name in starts}
    for placed in takes:
        for start, end, _ in placed.said:
            a, b = placed.offset_s + start - BESIDE_S, placed.offset_s + end + BESIDE_S
            if any(m["start"] <= a + BESIDE_S and b - BESIDE_S <= m["end"] + 0.01 for m in mistakes):
                continue
            block = blocks[[name for t, name in starts if t <= a + BESIDE_S + 0.001][-1]]
            if block and a - block[-1][1] < LONGEST_GAP_S:
                block[-1] = (block[-1][0], b)
            else:
                block.append((a, b))
    return blocks


def _chapters(chapters: list[dict[str, float]], pieces: list[dict[str, list[float] | None]]) -> list[dict[str, float]]:
    """A chapter begins with the first of its sentences that is kept: the mistake may have stood at its head."""
    found = []
    ends = [c["start"] for c in chapters[1:]] + [float("inf")]
    for chapter, end in zip(chapters, ends, strict=True):
        kept = [
            (p["take"][0], p["cut"][0] + BESIDE_S)
            for p in pieces
            if p["take"] and p["cut"] and chapter["start"] - BESIDE_S - 0.01 <= p["take"][0] < end - BESIDE_S - 0.01
        ]
        if kept:
            found.append({**chapter, "start": round(min(kept)[1], 3)})
    return sorted(found, key=lambda c: c["start"])


def _round(stretch: Stretch) -> list[float]:
    return [round(x, 3) for x in stretch]


if __name__ == "__main__":
    main()
