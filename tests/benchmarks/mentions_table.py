"""Prints every tool, material and hazard that was missed, and every false tool and material, with its cause, as Markdown.

    mentions_table.py EPISODE_DIR... [--held] [--figures]

An episode folder holds `transcript.vtt`, `parts.csv` and `gold.json`; so do those of `tests/talks`. Of the folders that `HELD.txt` beside
them names nothing is printed but the figures, and only with `--held`: nobody tunes on them, so nobody looks at them by accident.

Two names are one thing where one has all the words of the other, or where they are spelled nearly alike; each name counts once. A hazard is
found where a word of four letters or more of it stands in the first 120 letters of a listed one.
"""

from __future__ import annotations

import argparse
import json
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any, Final

from msgspec import Struct
from score_episodes import held

from benchscribe.listen import read_captions
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import find_mentions, listed_materials, listed_tools, load_vocabulary
from benchscribe.partlist import read_part_list
from benchscribe.records import Mention, Mentions, Transcript

SURE: Final = 0.5
"""Below this a mention does not count for a list."""
SPELLED_ALIKE: Final = 0.86
AROUND: Final = 6
"""Words shown on either side of a name."""
MATERIAL_KINDS: Final = ("material", "hardware", "finish")


class Heard(Struct, frozen=True):
    """One episode as it was understood, and its truths."""

    name: str
    transcript: Transcript
    mentions: Mentions
    gold: dict[str, Any]


class Row(Struct, frozen=True):
    """One line of the table."""

    episode: str
    what: str
    name: str
    cause: str
    where: str


class Tally(Struct, frozen=True):
    """How many names of one sort are right."""

    hit: int
    found: int
    wanted: int

    @property
    def f1(self) -> float:
        """Give the F1."""
        return 2 * self.hit / (self.found + self.wanted) if self.found + self.wanted else 1.0


def hear(folder: Path) -> Heard:
    """Run the stages up to the mentions."""
    gold = json.loads((folder / "gold.json").read_text(encoding="utf-8"))
    transcript = read_captions(folder / "transcript.vtt")
    parts = read_part_list(folder / "parts.csv", units=gold.get("units", "auto"))
    measures, _ = find_measures(transcript, parts.units, parts)
    return Heard(folder.name, transcript, find_mentions(transcript, parts, measures, load_vocabulary()), gold)


def plain(name: str) -> str:
    return " ".join(re.sub(r"[^a-z0-9 ]", " ", name.lower()).split())


def alike(one: str, other: str) -> bool:
    """Tell whether two names are one thing."""
    one, other = plain(one), plain(other)
    a, b = ({w.removesuffix("s") for w in name.split()} for name in (one, other))
    return bool(a and b) and (a <= b or b <= a or SequenceMatcher(None, one, other).ratio() >= SPELLED_ALIKE)


def paired(found: Sequence[str], wanted: Sequence[str]) -> tuple[set[int], set[int]]:
    """Pair each name found with the first that is left of those wanted."""
    hits: set[int] = set()
    taken: set[int] = set()
    for i, name in enumerate(found):
        match = next((j for j, w in enumerate(wanted) if j not in taken and alike(name, w)), None)
        if match is not None:
            hits.add(i)
            taken.add(match)
    return hits, taken


def why_missed(name: str, heard: Heard, kinds: tuple[str, ...], listed: Iterable[str]) -> tuple[str, str]:
    """Give the cause of a miss, and where the name stands in the talk."""
    close = [m for m in heard.mentions.mentions if m.kind != "operation" and alike(m.name, name)]
    mine = [m for m in close if m.kind in kinds]
    if any(m.used and m.confidence >= SURE for m in mine):
        others = ", ".join(n for n in listed if alike(n, name))
        return f"listed under another name ({others or 'none alike'})", around(heard, mine[0])
    if any(m.used for m in mine):
        return "too general or too doubtful", around(heard, mine[0])
    if mine:
        return "taken as not used", around(heard, mine[0])
    if close:
        return f"taken as a {close[0].kind}", around(heard, close[0])
    head = plain(name).split()[-1].removesuffix("s")
    words = [plain(w.text) for w in heard.transcript.words]
    at = next((i for i, w in enumerate(words) if w.startswith(head[:5]) or w.endswith(head)), None)
    if at is None:
        return "never said so", ""
    return "word not known", heard.transcript.text((max(0, at - AROUND), min(len(words), at + AROUND)))


def why_false(name: str, heard: Heard, kinds: tuple[str, ...], wanted: Sequence[str]) -> tuple[str, str]:
    """Give the cause of a false name, and where it was first found."""
    mine = [m for m in heard.mentions.mentions if m.kind in kinds and m.name == name and m.used]
    term = next((t for t in load_vocabulary().terms.values() if t.name == name), None)
    group = term.group if term else "by its grammar or the list"
    if any(alike(name, w) for w in wanted):
        return "second name of one thing", around(heard, mine[0])
    if mine and mine[0].confidence == IMPLIED and plain(name) not in plain(mine[0].words):
        return "implied by what is done", around(heard, mine[0])
    often = "once" if len(mine) == 1 else f"{len(mine)} times"
    return f"named {often} ({group})", around(heard, mine[0]) if mine else ""


IMPLIED: Final = 0.6
"""How sure a thing is that only its verb or its setting gives away."""


def around(heard: Heard, mention: Mention) -> str:
    start, end = mention.span
    return heard.transcript.text((max(0, start - AROUND), min(len(heard.transcript.words), end + AROUND)))


def names_of(heard: Heard) -> tuple[tuple[str, tuple[str, ...], list[str]], ...]:
    return (
        ("tools", ("tool",), [n.name for n in listed_tools(heard.mentions)]),
        ("materials", MATERIAL_KINDS, [n.name for n in listed_materials(heard.mentions)]),
    )


def hazards_missed(heard: Heard) -> list[str]:
    """Give the annotated hazards of which no word is listed."""
    listed = [plain(f"{h.name} {h.caution}")[:120] for h in heard.mentions.hazards]
    return [
        wanted
        for wanted in heard.gold.get("hazards") or []
        if not any(w in h for h in listed for w in plain(wanted).split() if len(w) > 3)
    ]


def rows_of(heard: Heard) -> list[Row]:
    """Give the missed and the false names of an episode."""
    rows = []
    for key, kinds, found in names_of(heard):
        wanted = heard.gold.get(key) or []
        hits, taken = paired(found, wanted)
        for j, name in enumerate(wanted):
            if j not in taken:
                rows.append(Row(heard.name, f"{key} missed", name, *why_missed(name, heard, kinds, found)))
        for i, name in enumerate(found):
            if i not in hits:
                rows.append(Row(heard.name, f"{key} false", name, *why_false(name, heard, kinds, wanted)))
    rows += [Row(heard.name, "hazard missed", h, "", "") for h in hazards_missed(heard)]
    return rows


def tallies_of(heard: Heard) -> dict[str, Tally]:
    out = {}
    for key, _, found in names_of(heard):
        wanted = heard.gold.get(key) or []
        out[key] = Tally(len(paired(found, wanted)[0]), len(found), len(wanted))
    wanted = heard.gold.get("hazards") or []
    out["hazards"] = Tally(len(wanted) - len(hazards_missed(heard)), len(heard.mentions.hazards), len(wanted))
    return out


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("episodes", nargs="+", type=Path)
    parser.add_argument("--held", action="store_true", help="also the figures of those nobody tunes on")
    parser.add_argument("--figures", action="store_true", help="the figures alone")
    args = parser.parse_args()
    folders = [f for f in args.episodes if (f / "gold.json").is_file() and (args.held or not held(f))]
    rows: list[Row] = []
    print(
        "| episode | tools F1 | materials F1 | hazards found | hazards listed |\n| --- | --- | --- | --- | --- |"
    )
    total: Counter[str] = Counter()
    for folder in folders:
        heard = hear(folder)
        tally = tallies_of(heard)
        hazards = tally["hazards"]
        recall = hazards.hit / hazards.wanted if hazards.wanted else 1.0
        figures = (tally["tools"].f1, tally["materials"].f1, recall)
        print(
            f"| {folder.name} |", *(f"{x:.3f} |" for x in figures), f"{hazards.found} of {hazards.wanted} |"
        )
        for key, x in zip(("tools", "materials", "hazards"), figures, strict=True):
            total[key] += x  # type: ignore[assignment]
        rows += [] if args.figures or held(folder) else rows_of(heard)
    print("| mean |", *(f"{x / max(1, len(folders)):.3f} |" for x in total.values()), "|")
    if args.figures:
        return
    print("\n| episode | what | name | cause | where |\n| --- | --- | --- | --- | --- |")
    for r in rows:
        print(f"| {r.episode} | {r.what} | {r.name} | {r.cause} | {r.where.replace('|', '/')} |")
    causes = Counter((r.what, re.sub(r" \(.*", "", r.cause)) for r in rows if r.cause)
    print("\n| what | cause | how many |\n| --- | --- | --- |")
    for (what, cause), count in causes.most_common():
        print(f"| {what} | {cause} | {count} |")


if __name__ == "__main__":
    main()
