"""The part list by itself: what arithmetic can doubt before anything has been cut."""

from __future__ import annotations

from fractions import Fraction

from bench_talk import part, plan
from msgspec import structs

from benchscribe.findings import check_plan
from benchscribe.records import Listed, PartList


def doubts(part_list: PartList) -> list[tuple[str, str | None]]:
    """Give part and dimension of each doubt."""
    return [(d.part, d.dimension) for d in check_plan(part_list)]


def test_a_good_list_has_no_doubts() -> None:
    assert check_plan(plan(part("Rail", 2, thickness="3/4", width="2", length="20"))) == ()


def test_a_blank_is_certain() -> None:
    (doubt,) = check_plan(plan(part("Rail", 2, thickness="3/4", width="2", length="")))
    assert (doubt.dimension, doubt.certain, doubt.row) == ("length", True, 2)


def test_a_column_that_is_missing_for_one_part_is_a_blank() -> None:
    assert doubts(plan(part("Rail", 2, thickness="3/4", width="2"))) == [("Rail", "length")]


def test_a_part_larger_than_its_stock_is_doubted() -> None:
    (doubt,) = check_plan(
        plan(part("Rail", 2, thickness="1", width="3 1/2", length="20", material="1x4 pine"))
    )
    assert doubt.dimension == "thickness"
    assert "3/4 in thick" in doubt.why


def test_a_groove_deeper_than_its_piece_is_doubted() -> None:
    rail = part("Rail", 2, thickness="3/4", width="2", length="20")
    groove = Listed(dimension="depth", value=Fraction(1), unit="inch", text="1", feature="groove")
    assert doubts(plan(structs.replace(rail, listed=(*rail.listed, groove)))) == [("Rail", "depth")]


def test_a_rough_size_smaller_than_the_finished_one_is_doubted() -> None:
    rail = part("Rail", 2, thickness="3/4", width="2", length="20")
    rough = Listed(dimension="length", value=Fraction(19), unit="inch", text="19", rough=True)
    assert doubts(plan(structs.replace(rail, listed=(*rail.listed, rough)))) == [("Rail", "length")]


def test_holes_span_one_gap_less_than_their_number() -> None:
    rail = part("Rail", 2, notes="9 holes at 2 in crs", thickness="3/4", width="2", length="16")
    pitch = Listed(dimension="spacing", value=Fraction(2), unit="inch", text="2", feature="hole")
    assert doubts(plan(structs.replace(rail, listed=(*rail.listed, pitch)))) == []
    long = structs.replace(pitch, value=Fraction(17, 8))
    assert doubts(plan(structs.replace(rail, listed=(*rail.listed, long)))) == [("Rail", "spacing")]


def test_the_whole_wedge_of_a_ring_is_doubted() -> None:
    (doubt,) = check_plan(plan(part("Segment", 12, thickness="3/4", width="2", length="3", angle="30 deg")))
    assert "15°" in doubt.why
    assert doubts(plan(part("Segment", 12, thickness="3/4", width="2", length="3", angle="15 deg"))) == []


def test_a_part_between_two_others_as_long_as_what_spans_them_is_doubted() -> None:
    side = part("Side", 2, thickness="3/4", width="3", length="20")
    floor = part("Floor", 1, thickness="1/2", width="9 5/8", length="20")
    end = part("End", 2, notes="fits between the sides", thickness="3/4", width="3", length="9 5/8")
    (doubt,) = check_plan(plan(side, floor, end))
    assert (doubt.part, doubt.dimension) == ("End", "length")
    assert "Floor" in doubt.why


def test_a_part_noted_as_the_same_as_another_must_be() -> None:
    left = part("Left cheek", 1, thickness="3/4", width="3", length="20")
    right = part("Right cheek", 1, notes="same as left cheek", thickness="3/4", width="3", length="21")
    assert doubts(plan(left, right)) == [("Right cheek", "length")]
