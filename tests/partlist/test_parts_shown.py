"""A part list as `benchscribe check` shows it: every line fits, sizes stand under one another, and each doubtful cell says what to do."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from rich.cells import cell_len
from rich.console import Console

from benchscribe.partlist import advise, read_part_list
from benchscribe.parts_shown import show_notes, show_parts
from benchscribe.records import CellNote, PartList

LIST = """Mark,Part,Qty,T,W,L,Wood,Notes
A,Leg (post),4,1-3/4,1-3/4,28 1/4,white oak,mortise 3/8 x 2 x 1 1/8 dp
B,"Rail, short",2,3/4,3 1/2,to suit,white oak,
C,Adjustable bookshelf divider with a scalloped front,3,3/16,7,9,ply,
D,Spacer,2,3-4,2,12 mm,brass,oversize by 1 until assembled
E,"Screw, #8 x 1 1/4",12,,,1 1/4,brass,
"""


@pytest.fixture
def part_list(tmp_path: Path) -> PartList:
    path = tmp_path / "parts.csv"
    path.write_text(LIST)
    return read_part_list(path)


def shown(part_list: PartList, width: int) -> list[str]:
    screen = Console(file=io.StringIO(), width=width, soft_wrap=True, highlight=False)
    show_parts(screen, part_list)
    show_notes(screen, part_list.not_understood)
    return screen.file.getvalue().splitlines()  # type: ignore[attr-defined, no-any-return]


@pytest.mark.parametrize("width", [30, 40, 60, 80, 120, 200])
def test_no_line_is_wider_than_the_terminal(part_list: PartList, width: int) -> None:
    assert [line for line in shown(part_list, width) if cell_len(line) > width] == []


@pytest.mark.parametrize("width", [30, 40, 80, 120])
def test_every_name_material_and_size_is_shown(part_list: PartList, width: int) -> None:
    text = " ".join(" ".join(shown(part_list, width)).split())
    for word in (
        "Leg (post)",
        "28 1/4",
        "white oak",
        "scalloped",
        "mortise 3/8 wide x 2 long x 1 1/8",
        "12 mm",
        "bought",
        "post",
    ):
        assert word in text


def test_whole_numbers_and_fractions_stand_under_one_another(part_list: PartList) -> None:
    rows = [line for line in shown(part_list, 100) if line.strip()[:1].isdigit()]
    leg, rail = rows[0], rows[1]
    assert leg.index("3/4") == rail.index("3/4")
    assert leg.index("28") + 1 == rail.index("?")


def test_what_is_wanted_and_not_given_is_marked_and_explained(part_list: PartList) -> None:
    lines = shown(part_list, 80)
    assert any("Rail, short" in line and "?" in line for line in lines)
    assert any(line.strip().startswith("? is wanted") for line in lines)


def test_a_cell_that_was_not_understood_is_named_with_what_to_do(part_list: PartList) -> None:
    text = " ".join(" ".join(shown(part_list, 80)).split())
    assert 'row 5, T: "3-4": two values and no single size → write the size to build to' in text
    assert "Kept in words: 1 cell" in text


def test_a_long_list_is_shown_in_its_first_rows(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L\n" + "".join(f"Slat {n},1,9,30,{n + 200}\n" for n in range(1000)))
    lines = shown(read_part_list(path), 80)
    assert len(lines) < 450
    assert any("600 parts more" in line for line in lines)


def test_a_name_cannot_give_orders_to_the_terminal(tmp_path: Path) -> None:
    path = tmp_path / "parts.csv"
    path.write_text("Part,Qty,T,W,L,Wood\nLeg\x1b[2J,1,9,30,200,oak\x1b]0;x\x07\n")
    assert "\x1b" not in "".join(shown(read_part_list(path), 80))


def test_every_note_gets_advice() -> None:
    assert advise(CellNote(row=1, column="T", text="x", note="something new")).todo
    assert (
        advise(CellNote(row=1, column="T", text="x", note="a weight or a gauge, and no size")).kind == "lost"
    )
