"""Which step an operation is: one a machine, named by joint, size or fastener, and done to the right part."""

from fractions import Fraction

import pytest
from guide_bench import Bench

from benchscribe.records import InHand, Mention, Mistake


def test_operations_told_one_after_the_other_are_one_step() -> None:
    bench = Bench((0, "Rail", "Drill it."), (6, "Rail", "Tap it.")).does("drill").does("tap")
    assert bench.told() == [("Rail", "drill and tap")]


def test_operations_told_far_apart_are_different_steps() -> None:
    bench = Bench((0, "Rail", "Drill it."), (16, "Rail", "Tap it.")).does("drill").does("tap")
    assert bench.told() == [("Rail", "drill"), ("Rail", "tap thread")]


@pytest.mark.parametrize(
    ("said", "verb"),
    [
        ("It binds there.", "binds"),
        ("They stop it, they bend it over.", "bend"),
        ("A bit of ply screwed to the base holds it.", "screwed"),
        ("Now turn it over.", "turn"),
        ("Tap it down with the mallet.", "tap"),
        ("You'll iron it by accident.", "iron"),
    ],
)
def test_what_a_thing_does_or_is_like_and_how_it_is_moved_are_no_steps(said: str, verb: str) -> None:
    assert Bench((0, "Rail", said)).does(verb).told() == []


@pytest.mark.parametrize(
    ("said", "verb"),
    [
        ("I drilled it.", "drilled"),
        ("The ends get drilled.", "drilled"),
        ("Both of them drilled, carefully.", "drilled"),
        ("You just drill it.", "drill"),
    ],
)
def test_what_the_maker_does_is_a_step_in_any_tense(said: str, verb: str) -> None:
    assert Bench((0, "Rail", said)).does(verb, "drill").told() == [("Rail", "drill")]


def test_the_tool_that_brings_a_piece_to_its_size_is_in_the_name_of_the_cut() -> None:
    bench = Bench((0, "Panel", "It is ten by twenty."), (8, "Panel", "That is on the guillotine."))
    bench.size("ten", Fraction(10), "Panel", "width").size("twenty", Fraction(20), "Panel", "length").tool(
        "guillotine"
    )
    assert bench.told() == [("Panel", "shear to size")]


def test_an_afterthought_near_the_end_tells_no_new_step() -> None:
    lines = [(float(n), "Panel", "This is only talk of a panel.") for n in range(9)]
    bench = Bench(*lines, (90, "Rail", "Oh before I forget, the rail."), (93, "Rail", "Drill it.")).does(
        "drill"
    )
    assert bench.told() == []


def test_what_brings_stock_to_size_is_a_step_for_each_machine() -> None:
    bench = Bench((0, "Rail", "Rip it and plane it.")).does("rip").does("plane")
    assert bench.told() == [("Rail", "rip cut to width"), ("Rail", "plane to thickness")]


def test_two_steps_of_one_sentence_have_a_clause_each() -> None:
    bench = Bench((0, "Rail", "I rip the lot at three inches, and then crosscut them on the sled at thirty."))
    bench.does("rip").does("crosscut")
    first, second = bench.steps()
    assert first.text == "I rip the lot at three inches."
    assert second.text == "Crosscut them on the sled at thirty."


def test_a_joint_that_only_says_where_something_is_tells_no_step() -> None:
    bench = Bench((0, "Rail", "It stops three inches above the groove."))
    bench.size("three inches", Fraction(3), "Rail", "other", "feature")
    assert bench.told() == []


def test_the_object_of_the_verb_is_what_it_is_done_to() -> None:
    bench = Bench((0, "Rail", "Then sand the panel.")).does("sand")
    span = bench.find("panel")
    bench.mentions.append(Mention(kind="part", name="Panel", words="panel", span=span))
    assert bench.told() == [("Panel", "sand")]


def test_what_is_glued_up_together_is_no_single_parts_step() -> None:
    assert Bench((0, "Rail", "Glue up with four clamps.")).does("glue up", "glue").told() == [
        (None, "glue up")
    ]


def test_a_part_that_is_guessed_at_takes_over_only_once_it_is_named() -> None:
    bench = Bench(
        (0, "Rail", "Drill the rail."), (20, "Panel", "Sand it."), (40, "Panel", "The panel is next.")
    )
    bench.does("drill").does("sand")
    bench.mentions.append(Mention(kind="part", name="Panel", words="panel", span=bench.find("panel")))
    guessed = InHand(utterance=1, parts=("Panel",), confidence=0.6)
    bench.in_hand = (bench.in_hand[0], guessed, bench.in_hand[2])
    assert bench.told() == [("Rail", "drill"), ("Rail", "sand")]


def test_a_joint_that_is_sized_is_cut() -> None:
    bench = Bench((0, "Rail", "There is a groove three inches long."))
    bench.size("three inches", Fraction(3), "Rail", "other", "feature")
    assert bench.told() == [("Rail", "cut groove")]


def test_a_cutter_named_after_a_joint_makes_that_joint() -> None:
    bench = Bench(
        (0, "Rail", "There is a groove three inches long."), (5, "Rail", "That is on the router table.")
    )
    bench.size("three inches", Fraction(3), "Rail", "other", "feature").tool("router table")
    (step,) = bench.steps()
    assert (step.part, step.operation) == ("Rail", "rout groove")
    assert step.start_s == pytest.approx(6.2)


def test_a_joint_is_made_in_the_part_that_it_is_in_and_not_the_one_it_is_for() -> None:
    bench = Bench((0, "Panel", "A groove in the rail three inches up for the panel."))
    bench.size("three inches", Fraction(3), "Rail", "other", "feature")
    bench.mentions.append(Mention(kind="part", name="Rail", words="rail", span=bench.find("rail")))
    bench.mentions.append(Mention(kind="part", name="Panel", words="panel", span=bench.find("panel")))
    assert bench.told() == [("Rail", "cut groove")]


def test_a_cut_of_no_special_kind_is_named_by_its_sizes() -> None:
    bench = Bench((0, "Rail", "Cut it at thirty inches.")).does("cut")
    bench.size("thirty inches", Fraction(30), "Rail", "length")
    assert bench.told() == [("Rail", "crosscut to length")]


def test_a_thickness_told_beside_a_cut_does_not_make_it_planing() -> None:
    bench = (
        Bench((0, "Rail", "Cut it, it is one inch."))
        .does("cut")
        .size("one inch", Fraction(1), "Rail", "thickness")
    )
    assert bench.told() == [("Rail", "cut")]


def test_nails_that_go_in_are_nailed() -> None:
    assert Bench((0, "Panel", "Two nails at each crossing.")).told() == [("Panel", "nail")]


def test_no_step_begins_within_a_mistake_even_where_its_words_are_not_counted_in() -> None:
    bench = Bench((0, "Rail", "Now then, drill it.")).does("drill")
    bench.mistakes = (Mistake(span=(0, 0), why="wrong", start_s=1.0, end_s=9.0),)
    assert bench.told() == []
