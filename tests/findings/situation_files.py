"""Read the short situations, and run the stages over them: a few sentences, a small plan, and what is to be found."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Literal

from bench_talk import transcript_of
from msgspec import Struct

from benchscribe.findings import find_findings
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import find_mentions, load_vocabulary
from benchscribe.place import place
from benchscribe.records import Dimension, Finding, Listed, Part, PartList

FOLDER = Path(__file__).resolve().parent / "situations"


class Situation(Struct, frozen=True):
    """One short talk and the findings that it must give."""

    trade: str
    title: str
    text: str
    wanted: tuple[str, ...]
    """Each "kind | part | dimension | value"."""
    part_list: PartList

    @property
    def name(self) -> str:
        """Name it for a test's title."""
        return f"{self.trade}: {self.title}"


def situations(folder: Path = FOLDER) -> list[Situation]:
    """Read every file of the folder."""
    return [case for file in sorted(folder.glob("*.txt")) for case in _read(file)]


def _read(file: Path) -> list[Situation]:
    blocks = file.read_text(encoding="utf-8").split("\n\n")
    rows = blocks[0].splitlines()
    units: Literal["inch", "mm"] = "mm" if rows[0].split()[1] == "mm" else "inch"
    parts = tuple(_part(row, number, units) for number, row in enumerate(rows[1:], 2))
    plan = PartList(file=file.name, parts=parts, units=units, units_why="set for the test")
    return [_situation(file.stem, block.strip(), plan) for block in blocks[1:]]


def _situation(trade: str, block: str, plan: PartList) -> Situation:
    lines = block.splitlines()
    wanted = tuple(line[3:].strip() for line in lines if line.startswith("->"))
    text = "\n".join(line for line in lines[1:] if not line.startswith("->"))
    return Situation(trade, lines[0][2:], text, tuple(w for w in wanted if w != "nothing"), plan)


def _part(row: str, number: int, units: Literal["inch", "mm"]) -> Part:
    name, count, *cells = (cell.strip() for cell in row.split("|"))
    sizes, material = [], ""
    for cell in cells:
        key, _, text = cell.partition(" ")
        if key == "material":
            material = text
            continue
        dimension: Dimension = key  # type: ignore[assignment]
        unit = "degree" if "deg" in text else units
        value = sum(map(Fraction, text.replace("deg", "").split()), Fraction(0)) if text else None
        sizes.append(Listed(dimension=dimension, value=value, unit=unit, text=text))
    return Part(name=name, row=number, count=int(count), listed=tuple(sizes), material=material)


def findings_of(case: Situation) -> list[Finding]:
    """Run all stages over one situation; right sums are left out."""
    transcript = transcript_of(case.text)
    measures, numbers = find_measures(transcript, case.part_list.units, case.part_list)
    mentions = find_mentions(transcript, case.part_list, measures, load_vocabulary({}))
    result = place(transcript, measures, numbers, mentions, case.part_list)
    found = find_findings(transcript, result.measures, mentions, case.part_list, result.in_hand)
    return [f for f in found.findings if f.right is not True]


def line_of(finding: Finding) -> str:
    """Write a finding as the files do."""
    value = "" if finding.spoken is None else str(finding.spoken.value)
    return f"{finding.kind} | {finding.part} | {finding.dimension or 'count'} | {value}"


def _plain(line: str) -> str:
    kind, part, dimension, value = (cell.strip() for cell in line.split("|"))
    number = sum(map(Fraction, value.split()), Fraction(0))
    return f"{kind} | {part} | {'' if kind in ('derived', 'impossible') else dimension} | {number}"


def compare(case: Situation) -> tuple[list[str], list[str]]:
    """Give what was missed, and what was found beyond what is wanted.

    Where a size of an open cell is given twice, giving it is a finding too, and either of the two may be the one that stands.
    """
    found = Counter(_plain(line_of(f)) for f in findings_of(case) if f.spoken is not None)
    wanted = Counter(_plain(line) for line in case.wanted)
    missed, extra = wanted - found, found - wanted
    if any(line.startswith("contradiction") for line in wanted):
        extra = Counter({line: n for line, n in extra.items() if not line.startswith("supplied")})
    return list(missed.elements()), list(extra.elements())
