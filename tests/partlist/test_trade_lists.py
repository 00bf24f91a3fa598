"""Part lists of many trades: every size, count, material, reference and other name is right, and what is not understood is named."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from list_judge import cases, judge, make

from benchscribe.partlist import read_part_list

CASES = cases("shops", "lofts", "yards", "sheds", "benches")
LISTS = pytest.mark.parametrize("case", CASES, ids=[c["name"] for c in CASES])


@LISTS
def test_nothing_in_the_list_is_read_wrong(case: dict[str, Any], tmp_path: Path) -> None:
    assert [f.what for f in judge(case, tmp_path) if f.verdict != "right"] == []


@LISTS
def test_the_cells_that_are_not_understood_are_named(case: dict[str, Any], tmp_path: Path) -> None:
    found = read_part_list(make(case, tmp_path))
    assert [f"{n.row} {n.column}" for n in found.not_understood] == case.get("notes", [])
