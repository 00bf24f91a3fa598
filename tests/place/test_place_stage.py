"""Placement: which part and which dimension a size belongs to, and what belongs to none."""

from __future__ import annotations

from fractions import Fraction

import pytest
from bench_talk import named, part, placed, plan, transcript_of, where
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from benchscribe.measures.stage import find_measures
from benchscribe.place import Switches, place
from benchscribe.place.weights import load_weights
from benchscribe.records import Candidate, Mentions

TRAY = plan(
    part("Long side", 2, thickness="1/2", width="2 3/4", length="19 1/4"),
    part("Short side", 2, thickness="1/2", width="2 3/4", length="12 5/8"),
    part("Bottom panel", 1, thickness="1/4", width="12 1/8", length="18 3/4", material="birch ply"),
    part("Handle", 2, diameter="7/8", length="5 1/2"),
    part("Wedge", 8, thickness="3/16", width="5/8", length=""),
)
BRACKET = plan(
    part("Base plate", 1, thickness="6mm", width="80mm", length="140mm"),
    part("Upright post", 2, thickness="10mm", width="25mm", length="215mm"),
    part("Pivot pin", 1, diameter="8mm", length="62mm"),
    units="mm",
)


def test_a_whole_chain_names_its_part_by_itself() -> None:
    measures = placed(
        "Now these get cut, half by two and three quarters by twelve and five eighths.", TRAY
    ).measures
    assert where(measures) == [
        ("Short side", "thickness"),
        ("Short side", "width"),
        ("Short side", "length"),
    ]


def test_the_part_in_hand_stays_until_another_is_named() -> None:
    text = "The handles are next. I turn them round. They finish seven eighths across. Then they are five and a half long."
    assert where(placed(text, TRAY).measures) == [("Handle", "diameter"), ("Handle", "length")]


def test_a_size_that_differs_goes_to_the_dimension_that_the_words_name() -> None:
    (measure,) = placed("Now the handles. They are five and three quarters long.", TRAY).measures
    assert (measure.part, measure.dimension, measure.verdict) == ("Handle", "length", "disagrees")
    assert measure.listed == Fraction(11, 2)


@pytest.mark.parametrize(
    ("text", "role"),
    [
        ("The handles. I bore them with a half inch brad point bit.", "tool"),
        ("The handles. They came out of a board that was six foot long.", "stock"),
        ("The handles. My last one was three inches and it broke.", "comparison"),
    ],
)
def test_what_is_no_size_of_a_part_gets_none(text: str, role: str) -> None:
    (measure,) = placed(text, TRAY).measures
    assert measure.role == role
    assert measure.part is None


def test_a_rough_size_keeps_its_part_and_does_not_disagree() -> None:
    text = "The handles are next. They are roughed out at an inch and a quarter. Then they come down to seven eighths."
    rough, finished = placed(text, TRAY).measures
    assert (rough.part, rough.role, rough.verdict) == ("Handle", "rough", "not-listed")
    assert (finished.dimension, finished.verdict) == ("diameter", "agrees")


def test_sheet_goods_that_measure_less_than_their_name_do_not_disagree() -> None:
    measures = placed("The bottom panel is a quarter thick, well the calipers say .219 thick.", TRAY).measures
    assert [m.verdict for m in measures if m.dimension == "thickness"] == ["agrees"] * len(measures)
    assert "sold" in measures[-1].why


def test_a_metric_list_agrees_with_inches_as_far_as_a_ruler_can_tell() -> None:
    (measure,) = placed("The pivot pin is five sixteenths in diameter.", BRACKET).measures
    assert (measure.part, measure.dimension, measure.verdict) == ("Pivot pin", "diameter", "agrees")
    assert "other units" in measure.why


def test_the_result_of_a_sum_belongs_to_what_it_was_worked_out_from() -> None:
    measures = placed("The base plate. Half of 140 mm is 70, so scribe that across.", BRACKET).measures
    assert (measures[1].part, measures[1].role) == ("Base plate", "derived")


def test_a_value_taken_back_is_marked() -> None:
    measures = placed("The base plate is 85, no, sorry, 80 wide.", BRACKET).measures
    assert [m.role for m in measures] == ["taken-back", "finished"]


def test_a_value_said_inside_a_mistake_is_marked() -> None:
    transcript = transcript_of("The upright post. I cut it at 215 and it split.")
    measures, numbers = find_measures(transcript, "mm")
    mentions = named(transcript, BRACKET, mistake=(3, 11))
    (measure,) = place(transcript, measures, numbers, mentions, BRACKET).measures
    assert measure.role == "mistake"


def test_without_a_plan_nothing_has_a_part() -> None:
    transcript = transcript_of("The rail is two and a half wide.")
    measures, numbers = find_measures(transcript, "inch")
    result = place(transcript, measures, numbers, Mentions(), None)
    assert [m.part for m in result.measures] == [None]
    assert [h.parts for h in result.in_hand] == [()]


def test_silence_gives_nothing() -> None:
    transcript = transcript_of("")
    result = place(transcript, (), (), Mentions(), TRAY)
    assert result.measures == ()
    assert result.in_hand == ()


def test_several_parts_named_together_are_all_in_hand() -> None:
    result = placed("The long sides and the short sides are both half thick.", TRAY)
    assert set(result.in_hand[0].parts) == {"Long side", "Short side"}


def test_every_measure_says_why() -> None:
    measures = placed(
        "The long sides are half thick, and I use a 60 mm cutter, and my shelf is 30 inches.", TRAY
    ).measures
    assert all(m.why for m in measures)
    assert all(0 < (m.confidence or 0) <= 1 for m in measures)


def test_a_size_of_several_parts_in_hand_names_them_all() -> None:
    (measure,) = placed("The long sides and the short sides are both half thick.", TRAY).measures
    assert {measure.part, *measure.also_parts} == {"Long side", "Short side"}


def test_doubtful_words_are_read_as_the_part_in_hand_has_it() -> None:
    transcript = transcript_of("The handles. They finish 78 long.")
    (measure,), numbers = find_measures(transcript, "inch")
    doubtful = structs.replace(
        measure, candidates=(Candidate(Fraction(7, 8), "inch", "7/8 without its stroke"),)
    )
    (read,) = place(transcript, (doubtful,), numbers, named(transcript, TRAY), TRAY).measures
    assert (read.value, read.dimension, read.verdict) == (Fraction(7, 8), "diameter", "agrees")
    assert read.candidates[0].value == 78


def test_a_clear_size_is_never_read_as_the_listed_one() -> None:
    (measure,) = placed("The handles. They finish five and three quarters long.", TRAY).measures
    assert measure.value == Fraction(23, 4)


@pytest.mark.parametrize("off", ["sequence", "assignment", "names"])
def test_a_piece_can_be_switched_off(off: str) -> None:
    switches = Switches(**{off: False})
    measures = placed("The handles are seven eighths across.", TRAY, switches=switches).measures
    assert len(measures) == 1


SAYINGS = st.sampled_from(
    [
        "The long sides are next.", "Half by two and three quarters.", "Okay, now the handle.", "It's 18 3/4 long.",
        "With a quarter inch bit.", "No, hang on.", "Take off a sixteenth.", "So half of that is six.", "Five of them.",
        "The plan says nineteen, that's wrong.", "I've gone to twelve.", "Hm.", "45 degrees.",
    ]
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(SAYINGS, max_size=12), st.booleans())
def test_any_talk_keeps_every_measure_in_its_order(sayings: list[str], with_plan: bool) -> None:
    """Placement only adds: values, words and spans stay; and the same talk gives the same places."""
    transcript = transcript_of(" ".join(sayings))
    measures, numbers = find_measures(transcript, "inch")
    mentions = named(transcript, TRAY)
    part_list = TRAY if with_plan else None
    result = place(transcript, measures, numbers, mentions, part_list)
    assert [(m.value, m.unit, m.span, m.words) for m in result.measures] == [
        (m.value, m.unit, m.span, m.words) for m in measures
    ]
    assert len(result.in_hand) == len(transcript.utterances)
    assert place(transcript, measures, numbers, mentions, part_list) == result


def test_two_equal_sizes_of_a_chain_go_to_two_dimensions_in_the_list_s_order() -> None:
    batten = plan(part("Batten", 2, thickness="3/4", width="3/4", length="30"))
    measures = placed("The battens are three quarters by three quarters by thirty.", batten).measures
    assert [m.dimension for m in measures] == ["thickness", "width", "length"]


def test_a_long_list_is_cut_to_the_parts_that_are_spoken_of() -> None:
    """A thousand rows cost no more than the few that the talk is about, and the part named is found among them."""
    rows = [part(f"Plate {n}", 1, thickness="1/4", width="2", length=str(100 + n)) for n in range(1000)]
    long_list = plan(*rows, part("Handle", 2, diameter="7/8", length="5 1/2"))
    measures = placed("The handles are five and a half long.", long_list).measures
    assert [(m.part, m.dimension) for m in measures] == [("Handle", "length")]


def test_the_weights_are_there_and_within_reason() -> None:
    """The data file is read whole, and its weights are numbers that can be believed."""
    weights = load_weights()
    assert {"agree.rare", "name", "move", "none", "hand"} <= set(weights)
    assert all(abs(weight) < 20 for weight in weights.values())
