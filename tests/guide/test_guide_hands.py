"""What the work is done to, and in whose words a cut is told."""

from __future__ import annotations

from fractions import Fraction

from guide_bench import Bench
from msgspec.structs import replace

from benchscribe.records import InHand, Mention


def named(bench: Bench, words: str, part: str, confidence: float = 0.98) -> None:
    span = bench.find(words)
    bench.mentions.append(Mention(kind="part", name=part, words=words, span=span, confidence=confidence))


def unsure(bench: Bench, *confidence: float) -> None:
    bench.in_hand = tuple(
        InHand(utterance=item.utterance, parts=item.parts, confidence=c)
        for item, c in zip(bench.in_hand, confidence, strict=True)
    )


def test_a_place_that_any_part_has_is_not_the_part_of_that_name() -> None:
    bench = Bench((0, "Rail", "The rail."), (5, "", "The ends get tapped.")).does("tapped", "tap")
    named(bench, "rail", "Rail")
    named(bench, "ends", "Panel", 0.6)
    unsure(bench, 0.9, 0.0)
    assert bench.told() == [("Rail", "tap thread")]


def test_a_part_that_is_only_gone_by_is_not_worked_on() -> None:
    bench = Bench((0, "Rail", "The rail."), (5, "", "Mark it for the panel, and drill.")).does("drill")
    named(bench, "rail", "Rail")
    named(bench, "panel", "Panel")
    unsure(bench, 0.9, 0.0)
    assert bench.told() == [("Rail", "drill")]


def test_what_is_bought_is_not_worked_on() -> None:
    bench = Bench((0, "Rail", "The rail."), (5, "Screw", "Countersink for the screw.")).does("countersink")
    named(bench, "rail", "Rail")
    assert bench.told() == [("Rail", "countersink")]


def test_a_story_of_somebody_else_is_no_step() -> None:
    bench = Bench((0, "Rail", "There was a man who knew it all and drilled right through.")).does(
        "drilled", "drill"
    )
    assert bench.told() == []


def test_a_size_that_puts_the_plan_right_is_told_with_its_cut() -> None:
    bench = Bench(
        (0, "Panel", "So it wants to be ten."), (9, "Panel", "Then cut the panel with a knife.")
    ).does("cut")
    bench.size("ten", Fraction(10), "Panel", "width")
    bench.measures[0] = replace(bench.measures[0], verdict="disagrees", confidence=0.9)
    (step,) = bench.steps()
    assert step.text == "It wants to be 10 in. Then cut the panel with a knife."


def test_feet_stay_feet() -> None:
    bench = Bench((0, "Panel", "Then cut the panel to six foot.")).does("cut")
    bench.size("six foot", Fraction(6), "Panel", "length")
    bench.measures[0] = replace(bench.measures[0], unit="foot")
    assert bench.steps()[0].text == "Then cut the panel to 6 ft."


def test_how_a_piece_is_moved_is_no_work() -> None:
    bench = Bench((0, "Rail", "Roll it, don't spin it.")).does("roll", "bend").does("spin", "turn")
    assert bench.told() == []


def test_what_the_work_is_done_along_is_not_in_its_name() -> None:
    bench = Bench((0, "Rail", "Saw round the end.")).does("saw", "cut")
    assert bench.told() == [("Rail", "saw")]
