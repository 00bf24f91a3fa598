"""What is set for a step, and what was shown before."""

from fractions import Fraction

import pytest
from guide_bench import Bench

from benchscribe.records import Mistake


@pytest.mark.parametrize(
    ("said", "size", "setting"),
    [
        ("Rip it with the fence at three inches.", "three inches", "fence 3 in"),
        ("Rip it while the fence is sat at three inches.", "three inches", "fence 3 in"),
        ("Rip it at three inches on the fence.", "three inches", "fence 3 in"),
        ("Rip it, three inches, and mind the fence.", "three inches", ""),
        ("Rip it to three inches.", "three inches", ""),
    ],
)
def test_a_size_belongs_to_what_it_is_set_on(said: str, size: str, setting: str) -> None:
    bench = Bench((0, "Rail", said)).does("rip").size(size, Fraction(3), "Rail", "width")
    assert bench.steps()[0].setting == setting


def test_the_same_fence_is_still_where_it_was_set() -> None:
    bench = Bench(
        (0, "Rail", "Rip it with the fence at three inches."),
        (50, "Panel", "Then plane the panel, same fence."),
    )
    bench.does("rip").does("plane").size("three inches", Fraction(3), "Rail", "width")
    assert [step.setting for step in bench.steps()] == ["fence 3 in", "fence 3 in"]


def test_what_one_pass_takes_is_called_so() -> None:
    bench = Bench((0, "Rail", "Plane it a sixteenth at a time.")).does("plane")
    bench.size("a sixteenth", Fraction(1, 16), "Rail", "setting", "setting")
    assert bench.steps()[0].setting == "each pass 1/16 in"


def test_what_is_worn_is_no_tool_of_a_step() -> None:
    bench = Bench((0, "Rail", "Glasses on, rip it on the table saw.")).does("rip")
    bench.tool("glasses").tool("table saw")
    assert bench.steps()[0].tools == ("table saw",)


def test_work_shown_again_on_another_part_points_back_where_the_maker_says_so() -> None:
    bench = Bench(
        (0, "Rail", "Sand the rail."),
        (60, "Panel", "Sand the panel the same way."),
        (120, "Knob", "Sand the knob."),
    )
    for text in ("rail", "panel", "knob"):
        at = bench.find(text)[0]
        bench.mentions.append(bench.operation(at - 2, "sand"))
    assert [step.points_back_to for step in bench.steps()] == [None, 0, None]


def test_the_same_cut_at_another_size_is_no_repetition() -> None:
    bench = Bench((0, "Rail", "Rip it to three inches."), (60, "Rail", "Ripping again, two inches."))
    bench.does("rip").does("ripping", "rip")
    bench.size("three inches", Fraction(3), "Rail", "width").size("two inches", Fraction(2), "Rail", "width")
    assert [step.points_back_to for step in bench.steps()] == [None, None]


@pytest.mark.parametrize(
    "said",
    [
        "Good face down, both times.",
        "Left and right are mirror images.",
        "Slide it, don't turn it.",
        "One goes left, one goes right.",
        "Flesh side up, always.",
    ],
)
def test_which_way_round_stays_with_its_step(said: str) -> None:
    bench = Bench((0, "Rail", "Cut a groove in the rail."), (12, "Rail", said)).does("cut")
    assert said.rstrip(".") in bench.steps()[0].text


def test_which_way_round_in_a_mistake_is_left_out() -> None:
    bench = Bench(
        (0, "Rail", "Cut a groove in the rail."), (12, "Rail", "It is a mirror image of the other.")
    ).does("cut")
    bench.mistakes = (Mistake(span=(6, 14), why="wrong", start_s=12.0, end_s=20.0),)
    assert "mirror" not in bench.steps()[0].text


def test_a_size_alone_shows_nothing_to_point_back_to() -> None:
    bench = Bench((0, "Panel", "It is ten by twenty."), (60, "Panel", "Cut the panel on the saw."))
    bench.size("ten", Fraction(10), "Panel", "width").size("twenty", Fraction(20), "Panel", "length").does(
        "cut"
    )
    assert [step.points_back_to for step in bench.steps()] == [None, None]
