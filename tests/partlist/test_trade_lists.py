"""Part lists of many trades: every size, count, material, reference and other name is right, and what is not understood is named."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from list_judge import cases, judge, make

from benchscribe.partlist import read_part_list

CASES = cases("shops", "lofts", "yards", "sheds", "benches")
FIRST_SEEN = cases("makers", "barns")
"""Lists that were written without a look at the reader; a fact may be named as not understood, and none may be wrong in silence."""
LISTS = pytest.mark.parametrize("case", CASES, ids=[c["name"] for c in CASES])


@LISTS
def test_nothing_in_the_list_is_read_wrong(case: dict[str, Any], tmp_path: Path) -> None:
    assert [f.what for f in judge(case, tmp_path) if f.verdict != "right"] == []


@LISTS
def test_the_cells_that_are_not_understood_are_named(case: dict[str, Any], tmp_path: Path) -> None:
    found = read_part_list(make(case, tmp_path))
    assert [f"{n.row} {n.column}" for n in found.not_understood] == case.get("notes", [])


@pytest.mark.parametrize("case", FIRST_SEEN, ids=[c["name"] for c in FIRST_SEEN])
def test_no_fact_is_wrong_in_silence(case: dict[str, Any], tmp_path: Path) -> None:
    assert [f.what for f in judge(case, tmp_path) if f.verdict == "silent"] == []


def test_nearly_all_facts_of_lists_as_makers_type_them_are_right(tmp_path: Path) -> None:
    facts = [f for i, case in enumerate(FIRST_SEEN) for f in judge(case, _folder(tmp_path, i))]
    assert sum(f.verdict == "right" for f in facts) >= 0.97 * len(facts)


def _folder(parent: Path, number: int) -> Path:
    folder = parent / str(number)
    folder.mkdir()
    return folder
