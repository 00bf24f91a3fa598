"""Passages of shop talk in which most numbers have no unit: nearly all sizes are read, and next to nothing else."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path
from typing import Literal

import pytest
from episode_scoring import f1, quantity

from benchscribe.measures import read

SIGNS = {"d": "degree", "m": "m", "cm": "cm", "thou": "thou"}


def _truth(text: str, units: str) -> list[object]:
    """Read "12 2.5 9d 1.8m 6ft4"."""
    out = []
    for word in text.split():
        if feet := re.fullmatch(r"(\d+)ft(\d*)", word):
            out.append(quantity(Fraction(feet[1]) * 12 + Fraction(feet[2] or 0), "inch"))
        elif size := re.fullmatch(r"([\d./]+)([a-z]*)", word):
            out.append(quantity(Fraction(size[1]), SIGNS.get(size[2], units)))
    return out


@pytest.mark.parametrize(
    ("name", "units", "floor"), [("passages-mm.txt", "mm", 0.93), ("passages-inch.txt", "inch", 0.95)]
)
def test_sizes_without_a_unit_are_read_in_passages(
    name: str, units: Literal["mm", "inch"], floor: float
) -> None:
    hits = found = truths = 0
    for line in (Path(__file__).parent / name).read_text(encoding="utf-8").splitlines():
        said, bar, sizes = line.partition("|")
        if line.startswith("#") or not bar:
            continue
        truth = _truth(sizes, units)
        got = [quantity(m.value, m.unit) for m in read(said, units=units).measures]
        found, truths = found + len(got), truths + len(truth)
        for size in truth:
            if size in got:
                got.remove(size)
                hits += 1
    assert truths > 90
    assert f1(hits, found, truths) >= floor
