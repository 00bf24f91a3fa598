"""Reads the case files (title, said, expected) and tells where the reader differs from them.

Expected is `none`, or sizes in order, each "VALUE UNIT" with what is worth checking beside it: `under`, `over` or `about` before it;
`taken back`, `low`, `high`, `± 1/64` or `or OTHER UNIT` (the first other reading) after it. `{kind name}` is a number of the trade.
What a case does not mention is not checked, save that values, units and taken-back flags always are.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from benchscribe.measures import BuildUnits, Reading, read

_SIZE = re.compile(
    r"(?:(?P<hedge>under|over|about) )?(?P<value>(?:\d+ )?\d+/\d+|\d*\.?\d+) (?P<unit>[a-z]+)"
    r"(?P<back> taken back)?(?: (?P<end>low|high))?(?: ± (?P<tolerance>\S+))?"
    r"(?: or (?P<other>(?:\d+ )?\d+/\d+|\d*\.?\d+) (?P<other_unit>[a-z]+))?"
)


@dataclass(frozen=True)
class Case:
    """One line of a case file."""

    file: str
    line: int
    units: BuildUnits
    title: str
    said: str
    expected: str


def load(folder: Path) -> Iterator[Case]:
    """Read all cases of a folder."""
    for path in sorted(folder.glob("*.md")):
        units: BuildUnits = "inch"
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            if line.startswith("units:"):
                units = "mm" if line.split(":")[1].strip() == "mm" else "inch"
            if line.startswith("| ") and not line.startswith(("| title", "| ---")):
                title, said, expected = (cell.strip() for cell in line.strip("| ").split(" | "))
                yield Case(path.name, number, units, title, said, expected)


def number(text: str) -> Fraction:
    """Read "3 3/4", "15/4", "0.032"."""
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def problems(case: Case) -> list[str]:
    """Compare what is read with what is expected; one sentence for each difference."""
    found = read(case.said, units=case.units)
    trade = re.findall(r"\{(\S+) ([^}]+)\}", case.expected)
    expected = re.sub(r"\{[^}]*\}", "", case.expected).strip(" ;")
    wanted = [] if expected in ("none", "") else [part.strip() for part in expected.split(";")]
    out = []
    if len(wanted) != len(found.measures):
        out.append(f"want {expected}, got {_show(found.measures)}")
    else:
        for text, got in zip(wanted, found.measures, strict=True):
            out.extend(_differences(text, got))
    got_trade = [(n.kind, n.name) for n in found.trade_numbers]
    if trade and got_trade != [tuple(t) for t in trade]:
        out.append(f"want trade {trade}, got {got_trade}")
    return out


def _show(measures: tuple[Reading, ...]) -> str:
    return "; ".join(f"{m.value} {m.unit}{' taken back' if m.taken_back else ''}" for m in measures) or "none"


def _differences(text: str, got: Reading) -> Iterator[str]:
    match = _SIZE.fullmatch(text)
    if match is None:
        yield f"cannot read the expectation {text!r}"
        return
    if (number(match["value"]), match["unit"]) != (got.value, got.unit):
        yield f"want {text}, got {got.value} {got.unit}"
    if bool(match["back"]) != got.taken_back:
        yield f"want {text}, got taken back: {got.taken_back}"
    if match["hedge"] and match["hedge"] != got.hedge:
        yield f"want {text}, got hedge {got.hedge}"
    if match["end"] and match["end"] != got.range_end:
        yield f"want {text}, got range end {got.range_end}"
    if match["tolerance"] and number(match["tolerance"]) != got.tolerance:
        yield f"want {text}, got tolerance {got.tolerance}"
    if match["other"] and (number(match["other"]), match["other_unit"]) not in {
        (c.value, c.unit) for c in got.candidates[:1]
    }:
        yield f"want {text}, got candidates {[(str(c.value), c.unit) for c in got.candidates]}"
