"""Sizes in decimals where they were said, typed or listed in decimals; fractions of a rule elsewhere."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from odd_records import bare
from sample_records import measure, spoken

from benchscribe.records import CutRow, CutSize, Finding, Listed, Part, PartList, Said
from benchscribe.writers.captions import make_cues
from benchscribe.writers.corrections import correction_text
from benchscribe.writers.gate import gated_text
from benchscribe.writers.sizes import places_of, size
from benchscribe.writers.tables import cutlist_csv
from benchscribe.writers.view import make_view


@pytest.mark.parametrize(
    ("value", "words", "written"),
    [
        (F(5, 8), ".625", "0.625 in"),
        (F(5, 8), "point six two five", "0.625 in"),
        (F(5, 8), "five eighths", "5/8 in"),
        (F(13, 4), "3.250", "3.250 in"),
        (F(7, 16), "7.16", "7/16 in"),  # a recogniser's way of writing seven sixteenths
        (F(13, 8), ".875 x .875 x 1.625", "1.625 in"),
        (F(121, 400), "three oh two and a half", "0.3025 in"),
        (F(3), "3.0", "3.0 in"),
        (F(3), "three point oh", "3 in"),
    ],
)
def test_a_size_is_written_in_the_manner_of_its_words(value: F, words: str, written: str) -> None:
    assert size(value, "inch", places=places_of(value, words)) == written


@given(st.integers(0, 10**6), st.integers(0, 4))
def test_a_decimal_is_exact(number: int, places: int) -> None:
    value = F(number, 10**4)
    written = size(value, "inch", places=places)
    assert F(written.removesuffix(" in")) == value


def test_captions_of_a_machinist_stay_in_decimals() -> None:
    words, utterances = spoken(["Bring it in at point six two five and then five eighths."])
    sizes = (
        measure(words, "point six two five", F(5, 8), unit_said=False),
        measure(words, "five eighths", F(5, 8), unit_said=False),
    )
    record = bare()
    transcript = replace(record.transcript, words=words, utterances=utterances)
    text = " ".join(
        " ".join(c.lines) for c in make_cues(replace(record, transcript=transcript, measures=sizes))
    )
    assert text == "Bring it in at 0.625 and then 5/8."


def test_a_correction_is_in_decimals_where_either_side_is() -> None:
    listed = Said(F(11, 8), "inch", ".875 x .875 x 1.375")
    said = Said(F(13, 8), "inch", "one and five eighths")
    finding = Finding(
        id="x",
        kind="plan-wrong",
        part="Block",
        dimension="length",
        spoken=said,
        listed=listed,
        status="accepted",
    )
    assert correction_text(finding) == "Block, length: the plan says 1.375 in; make it 1.625 in."


def test_the_cut_list_writes_a_size_as_the_plan_does() -> None:
    record = bare(plan="own")
    part = Part(
        name="Arm",
        row=2,
        listed=(
            Listed(dimension="length", value=F(15, 2), unit="inch", text="Ø.375 x 7.500"),
            Listed(dimension="width", value=F(3, 4), unit="inch", text="3/4"),
        ),
    )
    row = CutRow(
        part="Arm",
        count=1,
        material="",
        sizes=(
            CutSize(dimension="length", value=F(29, 4), unit="inch", origin="corrected", was=F(15, 2)),
            CutSize(dimension="width", value=F(3, 4), unit="inch", origin="listed"),
        ),
    )
    record = replace(
        record, part_list=PartList(file="p.csv", parts=(part,), units="inch", units_why=""), cut_list=(row,)
    )
    text = cutlist_csv(make_view(record)).decode()
    assert '7.250 in,"corrected, was 7.500 in",3/4 in,listed' in text


def test_no_way_of_writing_gets_a_doubtful_size_past_the_gate() -> None:
    for said in ("22 1/4 inches", "22 1/4 in", "22.25 in"):
        words, utterances = spoken(["The shelf is 22.25 inches."])
        size_said = measure(words, "22.25 inches", F(89, 4), part="Shelf", dimension="length")
        doubt = Finding(
            id="d", kind="slip", part="Shelf", dimension="length", spoken=Said(F(89, 4), "inch", "22.25 inches"),
            listed=Said(F(45, 2), "inch"), span=size_said.span,
        )  # fmt: skip
        record = bare()
        record = replace(
            record,
            transcript=replace(record.transcript, words=words, utterances=utterances),
            measures=(size_said,),
            findings=(doubt,),
        )
        shown = gated_text(make_view(record), f"The shelf is {said} long", (size_said,))
        assert "(check)" in shown, said
        assert "22.25" not in shown
        assert "22 1/4" not in shown
