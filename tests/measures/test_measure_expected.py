"""The part list speaks for a bare number that nothing else speaks for, and for no other; no value is changed by it."""

from __future__ import annotations

import json
from fractions import Fraction
from pathlib import Path
from typing import Literal

import pytest

from benchscribe.measures import read_words
from benchscribe.measures.stage import find_measures
from benchscribe.records import Listed, Part, PartList, Transcript, Utterance, Word

Units = Literal["inch", "mm"]
FRESH = Path(__file__).parent / "fresh"
EVERY_SIZE = {Fraction(n, d): "inch" for d in (1, 2, 4, 10) for n in range(1, 3000)}


def sizes(said: str, units: Units, *expected: str) -> list[str]:
    """Read a line with a list of these sizes."""
    listed = {Fraction(text): units for text in expected}
    return [f"{m.value} {m.unit}" for m in read_words(said.split(), units=units, expected=listed).measures]


@pytest.mark.parametrize(
    ("said", "units", "value", "listed"),
    [
        ("The back panel of the case, 284, and a bit of felt.", "mm", "284", "284"),
        ("so that piece of webbing, yes, 37, goes round twice", "mm", "37", "37"),
        ("the thwart, yes, fifty one and not a hair over, like always", "inch", "51", "51"),
        ("and the pin, 2.5, that one's bought in", "mm", "5/2", "2.5"),
        ("then you can't get 29 in between the posts", "inch", "29", "29"),
    ],
)
def test_a_listed_size_with_nothing_against_it_is_read(
    said: str, units: Units, value: str, listed: str
) -> None:
    assert f"{value} {units}" in sizes(said, units, listed)


@pytest.mark.parametrize(
    ("said", "units", "listed"),
    [
        ("that makes twenty four clamps", "inch", "24"),
        ("I own sixteen, and it took seventeen", "inch", "16"),
        ("see page 36 of the booklet", "mm", "36"),
        ("we're on episode 45 now", "mm", "45"),
        ("he's seventy five and still at the anvil", "inch", "75"),
        ("through the papers, 150, then 240, and the 400 to finish", "mm", "240"),
        ("it's 20 past, so lunch", "inch", "20"),
        ("room one sixteen at the school", "inch", "16"),
        ("it cost me 125 quid", "mm", "125"),
        ("in 1987 my dad bought it", "mm", "1987"),
        ("the rivets, 8, in a row", "inch", "8"),
        ("and that's three, and then another three", "mm", "3"),
        ("call 555-0142 for the next one", "mm", "142"),
        ("50-50 whether it comes out of the mould", "inch", "50"),
        ("there's 28 and I need 30", "inch", "28"),
    ],
)
def test_a_listed_number_that_is_something_else_is_left_alone(said: str, units: Units, listed: str) -> None:
    assert sizes(said, units, listed) == []


@pytest.mark.parametrize("units", ["inch", "mm"])
def test_a_number_beside_a_listed_one_is_not_pulled_to_it(units: Units) -> None:
    said = "the back panel of the case, 286, and a bit of felt"
    assert "284" not in " ".join(sizes(said, units, "284"))


def test_words_that_read_as_sizes_without_a_list_read_the_same_with_one() -> None:
    said = "cut it 9 3/8 wide and 14 long, then the rail at 22 inches"
    without = read_words(said.split(), units="inch")
    with_list = read_words(said.split(), units="inch", expected=EVERY_SIZE)
    assert with_list == without


def test_no_number_in_talk_without_sizes_is_read_though_the_list_had_them_all() -> None:
    lines = [json.loads(line) for line in (FRESH / "without-sizes.jsonl").read_text("utf-8").splitlines()]
    false = [
        line["text"]
        for line in lines
        if read_words(line["text"].split(), units=line.get("units", "inch"), expected=EVERY_SIZE).measures
    ]
    assert len(lines) >= 300
    assert false == []


def test_the_stage_takes_the_sizes_of_the_list_in_the_unit_of_the_build() -> None:
    words = tuple(
        Word(text, i * 1.0, i + 0.5) for i, text in enumerate("the back panel, 254, and felt".split())
    )
    talk = Transcript(files=(), clock="captions", words=words, utterances=(Utterance((0, 6), 0.0, 6.0),))
    panel = Part(
        name="Back", row=2, listed=(Listed(dimension="width", value=Fraction(10), unit="inch", text="10in"),)
    )
    (measure,), _ = find_measures(
        talk, "mm", PartList(file="p.csv", parts=(panel,), units="mm", units_why="")
    )
    assert (measure.value, measure.unit, measure.words, measure.unit_said) == (
        Fraction(254),
        "mm",
        "254",
        False,
    )
