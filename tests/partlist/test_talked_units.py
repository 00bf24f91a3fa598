"""The talk settles what a list's sizes without a unit mean, where the list itself leaves it open."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pytest

from benchscribe.listen import read_notes
from benchscribe.measures.stage import find_measures
from benchscribe.partlist import read_part_list, units_by_list_and_talk, units_by_talk
from benchscribe.records import Measure, PartList

FRAME = "Mark,Timber,Count,Section,Length,Wood\nP,Post,4,7 x 7,96,oak\nR,Rafter,6,4 x 5,88,oak\nT,Tie beam,2,7 x 9,132,oak\n"


def said(
    tmp_path: Path, talk: str, unit: Literal["inch", "mm"], part_list: PartList | None = None
) -> tuple[Measure, ...]:
    notes = tmp_path / "talk.md"
    notes.write_text(talk)
    return find_measures(read_notes(notes), unit, part_list)[0]


def listed_and_talk(tmp_path: Path, rows: str, talk: str) -> str | None:
    path = tmp_path / "parts.csv"
    path.write_text(rows)
    part_list = read_part_list(path)
    return units_by_list_and_talk(part_list, said(tmp_path, talk, part_list.units, part_list))


def test_listed_numbers_said_with_another_unit_are_of_that_unit(tmp_path: Path) -> None:
    talk = "The posts are ninety six inches. The rafters come out at eighty eight inches, and the tie beam is a hundred and thirty two inches."
    assert listed_and_talk(tmp_path, FRAME, talk) == "inch"


def test_a_talk_all_in_inches_turns_a_guess_at_millimetres(tmp_path: Path) -> None:
    talk = "A mortise an inch and a half wide. The brace is thirty inches from the corner. Pegs every foot. Leave it two inches long."
    assert listed_and_talk(tmp_path, FRAME, talk) == "inch"


def test_a_metric_list_told_in_inches_stays_metric(tmp_path: Path) -> None:
    talk = "The post is three and three quarter inches. The rafter is three and fifteen thirty seconds of an inch. The beam is five and three sixteenths inches."
    rows = "Part,Qty,W,L\nPost,4,60,95\nRafter,6,30,88\nBeam,2,40,132\n"
    assert listed_and_talk(tmp_path, rows, talk) is None


@pytest.mark.parametrize(
    "rows", ["Part,Qty,W,L (mm)\nPost,4,7,96\n", "Part,Qty,W,L\nPost,4,3/4,96\nRail,2,1 1/2,30\n"]
)
def test_a_list_that_says_its_unit_is_left_alone(tmp_path: Path, rows: str) -> None:
    talk = "Ninety six inches. Seven inches. Thirty inches. Ninety six mil, thirty mil, seven mil."
    assert listed_and_talk(tmp_path, rows, talk) is None


def test_large_numbers_are_no_inches_whatever_the_talk(tmp_path: Path) -> None:
    talk = "Two inches off. One inch from the end. Three inches down. A foot apart."
    assert listed_and_talk(tmp_path, "Part,Qty,W,L\nPost,4,70,720\nRail,2,60,450\n", talk) is None


def test_without_a_list_the_unit_said_is_the_unit(tmp_path: Path) -> None:
    assert units_by_talk(said(tmp_path, "Cut it 40 mm wide, 300 mm long and 12 mm thick.", "inch")) == "mm"


def test_a_talk_in_both_units_settles_nothing(tmp_path: Path) -> None:
    assert units_by_talk(said(tmp_path, "40 mm, 2 inches, 30 mm, 5 inches, 20 mm, 1 inch.", "inch")) is None
