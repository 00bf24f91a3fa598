"""Steps: what is done, once, in the maker's words; nothing from talk, mistakes or promises."""

from fractions import Fraction

import pytest
from guide_bench import Bench, Line

from benchscribe.guide.sized import sizing_name
from benchscribe.records import Chapter, Finding, Mistake, Promise, Said


def test_an_operation_is_a_step_with_part_tool_time_and_words() -> None:
    bench = Bench((5.0, "Rail", "So, um, I rip these on the table saw.")).does("rip").tool("table saw")
    (step,) = bench.steps()
    assert (step.part, step.operation, step.tools) == ("Rail", "rip cut to width", ("table saw",))
    assert step.text == "I rip these on the table saw."
    assert step.start_s == pytest.approx(5.9)


def test_what_is_made_stands_in_the_name() -> None:
    assert Bench((0, "Rail", "Drill the two holes.")).does("drill").told() == [("Rail", "drill holes")]


def test_a_cut_is_named_by_its_tool() -> None:
    bench = (
        Bench((0, "Rail", "Cut it on the miter saw."), (60, "Panel", "Cut it with the jigsaw."))
        .tool("miter saw")
        .tool("jigsaw")
    )
    bench.does("cut it on", "cut").does("cut it with", "cut")
    assert bench.told() == [("Rail", "crosscut to length"), ("Panel", "cut to shape")]


@pytest.mark.parametrize(
    "said",
    [
        "Don't drill it yet.",
        "Some people drill it by hand.",
        "I like to drill by ear.",
        "Would you drill this?",
        "You could drill it instead.",
        "Next week we drill it.",
    ],
)
def test_talk_is_no_step(said: str) -> None:
    assert Bench((0, "Rail", said)).does("drill").told() == []


def test_nothing_inside_a_mistake_or_a_promise_is_a_step() -> None:
    bench = Bench(
        (0, "Rail", "Drill it here."),
        (20, "Rail", "I bore that one wrong."),
        (60, "Rail", "I sand it another day."),
    )
    bench.does("drill").does("bore").does("sand")
    wrong, later = bench.talk.utterances[1], bench.talk.utterances[2]
    bench.mistakes = (Mistake(span=wrong.span, why="wrong", start_s=wrong.start_s, end_s=wrong.end_s),)
    bench.promises = (Promise(span=later.span, text="", start_s=later.start_s),)
    assert bench.told() == [("Rail", "drill")]


def test_an_opening_with_nothing_in_hand_tells_no_step() -> None:
    bench = Bench(
        (0, "", "We drill things here."), (60, "Rail", "Drill it."), (120, "Panel", "Sand it.")
    ).does("drill things", "drill")
    spans = [u.span for u in bench.talk.utterances]
    bench.chapters = tuple(
        Chapter(title=t, span=s, part=p)
        for t, s, p in zip("abc", spans, (None, "Rail", "Panel"), strict=True)
    )
    assert bench.told() == []


def test_one_thing_told_in_several_sentences_is_one_step() -> None:
    bench = (
        Bench((0, "Rail", "Drill it."), (4, "Rail", "Bore it slowly.")).does("drill").does("bore", "drill")
    )
    (step,) = bench.steps()
    assert step.text == "Drill it. Bore it slowly."


def test_chat_between_the_sentences_of_a_step_is_left_out() -> None:
    bench = (
        Bench((0, "Rail", "Drill it."), (3, "Rail", "The dog is asleep."), (6, "Rail", "Bore it through."))
        .does("drill")
        .does("bore", "drill")
    )
    (step,) = bench.steps()
    assert step.text == "Drill it. Bore it through."


def test_a_tool_named_in_an_opening_says_nothing_is_done() -> None:
    bench = Bench(
        (0, "Rail", "This is a sled for the planer."), (60, "Rail", "Drill it."), (120, "Panel", "Sand it.")
    )
    bench.tool("planer").does("drill").does("sand")
    spans = [u.span for u in bench.talk.utterances]
    bench.chapters = tuple(
        Chapter(title=t, span=s, part=p)
        for t, s, p in zip("abc", spans, (None, "Rail", "Panel"), strict=True)
    )
    assert bench.told() == [("Rail", "drill"), ("Panel", "sand")]


def test_two_operations_told_together_share_a_step() -> None:
    assert Bench((0, "Rail", "Drill it and tap it.")).does("drill").does("tap").told() == [
        ("Rail", "drill and tap")
    ]


def test_what_is_done_beside_the_work_is_no_step_of_its_own() -> None:
    assert Bench((0, "Rail", "Clamp it, mark it and drill it.")).does("clamp").does("mark").does(
        "drill"
    ).told() == [("Rail", "drill")]


def test_a_repeated_demonstration_points_back() -> None:
    bench = (
        Bench((0, "Rail", "Drill it."), (100, "Panel", "Sand it."), (300, "Rail", "Bore it."))
        .does("drill")
        .does("sand")
        .does("bore", "drill")
    )
    assert [step.points_back_to for step in bench.steps()] == [None, None, 0]


def test_sizes_told_without_a_verb_are_a_cut() -> None:
    bench = (
        Bench((0, "Panel", "This one is ten by twenty."))
        .size("ten", Fraction(10), "Panel", "width")
        .size("twenty", Fraction(20), "Panel", "length")
    )
    (step,) = bench.steps()
    assert (step.operation, step.text, step.measures) == (
        "cut to size",
        "This one is 10 in by 20 in.",
        (0, 1),
    )


def test_sizes_of_what_is_being_cut_make_no_second_step() -> None:
    bench = (
        Bench((0, "Rail", "I rip it to three inches."))
        .does("rip")
        .size("three inches", Fraction(3), "Rail", "width")
    )
    assert bench.told() == [("Rail", "rip cut to width")]


def test_a_bought_part_is_not_cut() -> None:
    assert (
        Bench((0, "Screw", "These are two inches.")).size("two inches", Fraction(2), "Screw", "length").told()
        == []
    )


@pytest.mark.parametrize(
    ("dimensions", "material", "name"),
    [
        ({"length"}, "white ash", "crosscut to length"),
        ({"width"}, "white ash", "rip cut to width"),
        ({"thickness"}, "white ash", "plane to thickness"),
        ({"width", "length"}, "white ash", "rip and crosscut to size"),
        ({"length", "angle"}, "white ash", "miter crosscut to length"),
        ({"length"}, "mild steel", "saw to length"),
        ({"length"}, "bridle leather", "cut to length"),
        ({"width", "length"}, "birch ply", "cut to size"),
    ],
)
def test_a_sizing_cut_is_named_as_the_trade_of_its_material_names_it(
    dimensions: set[str], material: str, name: str
) -> None:
    assert sizing_name(dimensions, material) == name


def test_an_open_finding_keeps_its_value_out_of_the_step() -> None:
    bench = (
        Bench((0, "Rail", "Cut it at thirty one inches."))
        .does("cut")
        .size("thirty one inches", Fraction(31), "Rail", "length")
    )
    bench.findings = (
        Finding(
            id="f", kind="slip", part="Rail", dimension="length", span=(0, 6), spoken=Said(Fraction(31), "inch"), listed=Said(Fraction(30), "inch"),
        ),
    )  # fmt: skip
    (step,) = bench.steps()
    assert (step.text, step.measures) == ("Cut it at 30 in (check).", ())


def test_a_setting_stands_apart() -> None:
    bench = (
        Bench((0, "Rail", "Rip it with the fence at three inches."))
        .does("rip")
        .size("three inches", Fraction(3), "Rail", "setting", "setting")
    )
    assert bench.steps()[0].setting == "fence 3 in"


def test_notes_without_times_give_the_same_steps_without_times() -> None:
    lines: tuple[Line, ...] = ((0, "Rail", "Drill it."), (30, "Panel", "Sand it."))
    timed = Bench(*lines).does("drill").does("sand")
    notes = Bench(*lines, times=False).does("drill").does("sand")
    assert notes.told() == timed.told()
    assert all(step.start_s is None and step.end_s is None for step in notes.steps())


def test_every_step_and_measure_traces_to_what_was_said() -> None:
    bench = Bench(
        (0, "Rail", "Rip it to three inches, then drill the holes."), (30, "Panel", "Ten inches wide.")
    )
    bench.does("rip").does("drill").size("three inches", Fraction(3), "Rail", "width").size(
        "ten inches", Fraction(10), "Panel", "width"
    )
    spans = {u.span for u in bench.talk.utterances}
    for step in bench.steps():
        assert step.span in spans
        assert all(step.span[0] <= bench.measures[n].span[0] < step.span[1] for n in step.measures)
