"""Part lists of many shapes: every cell is right, or named as not understood."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

from benchscribe.partlist import read_part_list
from benchscribe.records import Listed, PartList

CASES: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "lists" / "cases.toml").read_text(encoding="utf-8")
)["list"]
LISTS = pytest.mark.parametrize("case", CASES, ids=[c["name"] for c in CASES])


def read(case: dict[str, Any], folder: Path) -> PartList:
    path = folder / case.get("file", "parts.csv")
    path.write_text(case["text"].lstrip("\n"), encoding="utf-8")
    return read_part_list(path)


def written(size: Listed) -> str:
    if size.value is None:
        return f"{size.dimension} none"
    text = f"{size.dimension} {size.value} {size.unit}"
    return text + (f" [{size.feature}]" if size.feature else "") + (" *" if size.rough else "")


@LISTS
def test_every_size_of_the_list_is_read(case: dict[str, Any], tmp_path: Path) -> None:
    parts = read(case, tmp_path).parts
    for line in case["sizes"]:
        name, _, sizes = line.rpartition(": ")
        part = next(p for p in parts if p.name == name)
        assert sorted(written(s) for s in part.listed) == sorted(sizes.split(", "))


@LISTS
def test_the_unit_is_settled_and_the_reason_given(case: dict[str, Any], tmp_path: Path) -> None:
    found = read(case, tmp_path)
    assert found.units == case["units"]
    assert found.units_why


@LISTS
def test_what_is_not_understood_is_named_by_row_and_column(case: dict[str, Any], tmp_path: Path) -> None:
    found = read(case, tmp_path)
    assert [f"{n.row} {n.column}" for n in found.not_understood] == case.get("notes", [])


def having(key: str) -> list[dict[str, Any]]:
    return [c for c in CASES if key in c]


@pytest.mark.parametrize("case", having("counts"), ids=lambda c: c["name"])
def test_counts_are_read(case: dict[str, Any], tmp_path: Path) -> None:
    assert [p.count or 0 for p in read(case, tmp_path).parts] == case["counts"]


@pytest.mark.parametrize("case", having("hardware"), ids=lambda c: c["name"])
def test_bought_things_are_marked(case: dict[str, Any], tmp_path: Path) -> None:
    assert [p.name for p in read(case, tmp_path).parts if p.hardware] == case["hardware"]


@pytest.mark.parametrize("case", having("others"), ids=lambda c: c["name"])
def test_other_names_are_read(case: dict[str, Any], tmp_path: Path) -> None:
    assert [f"{p.name}: {', '.join(p.other_names)}" for p in read(case, tmp_path).parts] == case["others"]


@pytest.mark.parametrize("case", having("materials"), ids=lambda c: c["name"])
def test_a_ditto_mark_stands_for_the_cell_above(case: dict[str, Any], tmp_path: Path) -> None:
    assert [p.material for p in read(case, tmp_path).parts] == case["materials"]


@pytest.mark.parametrize("case", having("refs"), ids=lambda c: c["name"])
def test_the_plans_own_numbers_are_kept(case: dict[str, Any], tmp_path: Path) -> None:
    assert [p.ref for p in read(case, tmp_path).parts] == case["refs"]


def test_editions_of_a_size_are_kept_apart(tmp_path: Path) -> None:
    case = next(c for c in CASES if "editions" in c)
    sizes = read(case, tmp_path).parts[0].listed
    assert {s.edition: s.value for s in sizes if s.edition} == {"A": Fraction(340), "B": Fraction(352)}


@pytest.mark.parametrize(
    ("cell", "name"),
    [
        ("**Seat**", "Seat"),
        ("*Seat*", "Seat"),
        ("***Seat***", "Seat"),
        ("~~Bench~~ Seat", "Seat"),
        ("2*3 rail", "2*3 rail"),
    ],
)
def test_markdown_emphasis_is_no_part_of_a_name(tmp_path: Path, cell: str, name: str) -> None:
    path = tmp_path / "parts.md"
    path.write_text(f"| Part | No. | T | W | L |\n|---|---|---|---|---|\n| {cell} | 1 | 1 1/4 | 9 | 11 |\n")
    assert [p.name for p in read_part_list(path).parts] == [name]


def test_a_blank_row_above_the_headings_is_not_taken_for_them(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Tool roll,,,\n,,,\nPc.,No. off,Size (W x L),Px\nFlap,1,7 x 26 1/2,4\nTie,2,1 x 36,7\n")
    found = read_part_list(path)
    assert [(p.name, p.row) for p in found.parts] == [("Flap", 4), ("Tie", 5)]
    assert {c.row for c in found.not_understood} == {3}
