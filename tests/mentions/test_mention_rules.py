"""Single rules of what is spoken of, one sentence at a time."""

from __future__ import annotations

from fractions import Fraction

import pytest
from talk_files import plan, say

from benchscribe.mentions import find_mentions, listed_materials, listed_tools, load_vocabulary
from benchscribe.records import Measure, Mentions, PartList


def hear(text: str, parts: PartList | None = None, measures: tuple[Measure, ...] = ()) -> Mentions:
    return find_mentions(say(text), parts, measures, load_vocabulary())


def tools(text: str) -> list[str]:
    return [t.name for t in listed_tools(hear(text))]


def materials(text: str) -> list[str]:
    return [t.name for t in listed_materials(hear(text))]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("I cut that on the band saw.", "band saw"),
        ("I cut that on the bandsaw.", "band saw"),
        ("Then it's over to the planer.", "planer"),
        ("Tighten it with the skirt wrench.", "skirt wrench"),
        ("I split the hide with the slitter.", "slitter"),
        ("Check it with the mic.", "micrometer"),
        ("Clean the edge up with the pin hammer.", "pin hammer"),
    ],
)
def test_a_tool_in_use_is_listed(text: str, name: str) -> None:
    assert name in tools(text)


@pytest.mark.parametrize(
    "text",
    [
        "You could use a band saw for this.",
        "I don't own a band saw.",
        "We're doing this without a band saw.",
        "Cut it by hand, not with a band saw.",
        "Some people use a band saw.",
        "It sounds like a band saw.",
        "A band saw would do as well.",
    ],
)
def test_a_tool_that_is_only_talked_about_is_not_listed(text: str) -> None:
    assert "band saw" not in tools(text)


@pytest.mark.parametrize(
    "text",
    [
        "It wants to be in the plane of the face.",
        "It'll plane to three quarters, near enough.",
        "Just clean it up, then file it under later.",
        "Give it a tap with your knuckle.",
        "Hang on to that.",
    ],
)
def test_a_verb_is_no_tool(text: str) -> None:
    assert not {"plane", "tap"} & set(tools(text))


@pytest.mark.parametrize(
    ("text", "tool"),
    [
        ("Centre punch each one.", "center punch"),
        ("Drill it first.", "drill"),
        ("Glue it and clamp it.", "clamps"),
    ],
)
def test_a_verb_names_the_tool_where_no_tool_does(text: str, tool: str) -> None:
    assert any(name.replace("centre", "center") == tool for name in tools(text))


def test_a_tool_that_does_as_well_stands_for_the_implied_one() -> None:
    assert "drill" not in tools("Over at the drill press. Drill it first.")


def test_the_size_of_a_tool_is_its_detail() -> None:
    found = listed_tools(hear("I use a 35 mm forstner bit for that."))
    assert [(t.name, t.detail) for t in found] == [("forstner bit", "35 mm")]


def test_a_tool_is_listed_once_with_every_time() -> None:
    found = listed_tools(hear("The lathe is warm. Back to the lathe. Off the lathe it comes."))
    assert [t.name for t in found] == ["lathe"]
    assert len(found[0].times) == 3


def test_a_general_name_stands_for_the_particular_one() -> None:
    assert tools("Take the block plane. Two strokes with the plane and it fits.") == ["block plane"]


def test_thread_of_a_screw_is_no_sewing_thread() -> None:
    assert materials("Run a nut on so it cleans the thread up.") == []


def test_linen_thread_is_a_material() -> None:
    assert "linen thread" in materials("Two needles and linen thread, waxed.")


def test_what_a_screw_is_made_of_belongs_to_its_name() -> None:
    assert materials("Fix it with brass screws.") == ["brass screws"]


def test_a_can_of_paint_is_no_paint() -> None:
    assert materials("I bent it round a paint can.") == []


@pytest.mark.parametrize(
    ("text", "heard", "meant"),
    [
        ("There's a rabbit along the bottom edge for the ply.", "rabbit", "rabbet"),
        ("Set the dato stack up.", "dato stack", "dado stack"),
        ("Allow for the curf.", "curf", "kerf"),
        ("Square it at the mighter saw.", "mighter", "miter"),
        ("Over the joiner, hollow side down.", "joiner", "jointer"),
        ("A little chamber on every edge.", "chamber", "chamfer"),
        ("Knock the tea nuts in.", "tea nuts", "T-nuts"),
        ("Cut the tenant to fit the mortise.", "tenant", "tenon"),
    ],
)
def test_a_garbled_trade_word_is_repaired_and_what_was_heard_is_kept(
    text: str, heard: str, meant: str
) -> None:
    assert (heard, meant) in [(r.heard, r.meant) for r in hear(text).repairs]


@pytest.mark.parametrize(
    "text",
    [
        "A rabbit ran across the garden.",
        "It's just plain pine.",
        "Use the biscuit joiner.",
        "The tenant paid his rent.",
        "We wait in the smoke chamber.",
        "That's the final coat.",
    ],
)
def test_a_word_that_is_right_stays(text: str) -> None:
    assert hear(text).repairs == ()


def test_a_word_that_sounds_like_a_part_beside_its_other_word_is_repaired() -> None:
    found = hear("So this is the front waffle.", plan("Front baffle"))
    assert [(r.heard, r.meant) for r in found.repairs] == [("waffle", "baffle")]
    assert [m.name for m in found.mentions if m.kind == "part"] == ["Front baffle"]


def test_a_size_is_never_touched() -> None:
    size = Measure(value=Fraction(1, 2), unit="inch", words="a rabbit inch", span=(2, 4))
    found = hear("Cut the rabbit half deep along the bottom edge.", measures=(size,))
    assert found.repairs == ()


def parts_of(text: str, *names: str) -> list[str]:
    return [m.name for m in hear(text, plan(*names)).mentions if m.kind == "part"]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("The carriage sides are ripped.", "Carriage side"),
        ("Now the baffle.", "Front baffle"),
        ("Tops and bottoms go through as well.", "Top panel"),
        ("Next, the plinth.", "Plinth"),
        ("The uprights are first.", "Leg"),
    ],
)
def test_a_part_is_named_in_many_ways(text: str, name: str) -> None:
    assert name in parts_of(text, "Carriage side", "Front baffle", "Top panel", "Plinth", "Leg")


def test_a_name_that_fits_several_parts_is_evidence_for_each_and_sure_of_none() -> None:
    found = [m for m in hear("Cut the rails.", plan("Lower rail", "Upper rail")).mentions if m.kind == "part"]
    assert sorted(m.name for m in found) == ["Lower rail", "Upper rail"]
    assert all(m.confidence < 0.5 for m in found)


def test_a_place_is_no_part() -> None:
    assert parts_of("Measure off the top edge, at the back of it.", "Top panel", "Back panel") == []


def test_a_part_is_no_tool() -> None:
    found = hear("The clamp bars are cut.", plan("Clamp bar"))
    assert [t.name for t in listed_tools(found)] == []


def test_a_longer_tool_is_no_part() -> None:
    assert parts_of("Keep it down with the push block.", "Stop block") == []


def test_the_makers_own_words_are_known() -> None:
    vocabulary = load_vocabulary({"tools": ["wobbler = wobble bar"], "operations": ["wobble"]})
    found = find_mentions(say("Take the wobble bar and wobble it."), None, (), vocabulary)
    assert [t.name for t in listed_tools(found)] == ["wobble bar"]
    assert "wobble" in [m.name for m in found.mentions if m.kind == "operation"]


@pytest.mark.parametrize(
    ("text", "verb"),
    [
        ("Then I ripped them to width.", "rip"),
        ("They get countersunk.", "countersink"),
        ("Crosscut both ends.", "crosscut"),
        ("I glued it up last night.", "glue"),
        ("Skive the edges where they fold.", "skive"),
        ("Now solder the ground wire.", "solder"),
    ],
)
def test_what_is_done_is_named_by_the_trades_verb(text: str, verb: str) -> None:
    assert verb in [m.name for m in hear(text).mentions if m.kind == "operation"]


@pytest.mark.parametrize(
    "text",
    [
        "The next one is nine and seven eighths.",
        "Leave it overnight till it's dry.",
        "I've been promising these since last winter.",
        "I said I'd come back to it.",
    ],
)
def test_not_every_later_is_a_promise(text: str) -> None:
    assert hear(text).promises == ()


@pytest.mark.parametrize(
    "text",
    [
        "I'll do the lid next week.",
        "The lid gets a video to itself.",
        "I'll fit the lid when the hinges arrive.",
    ],
)
def test_a_promise_is_found(text: str) -> None:
    assert len(hear(text).promises) == 1


@pytest.mark.parametrize(
    "text",
    [
        "If you cut it too short, start again.",
        "Five eighths, no, hang on, eleven sixteenths.",
        "I once made a whole one back to front.",
        "The sheet is wrong here, write that in.",
    ],
)
def test_a_slip_of_the_tongue_is_no_mistake_in_the_work(text: str) -> None:
    assert hear(text).mistakes == ()


def test_a_talk_without_words_gives_nothing() -> None:
    assert hear("") == Mentions()


def test_times_are_none_where_the_words_have_none() -> None:
    transcript = say("Take the block plane to it.")
    bare = tuple(type(w)(w.text) for w in transcript.words)
    timeless = type(transcript)(
        files=transcript.files,
        clock="none",
        words=bare,
        utterances=tuple(type(u)(u.span, None, None) for u in transcript.utterances),
    )
    found = find_mentions(timeless, None, (), load_vocabulary())
    assert all(m.start_s is None for m in found.mentions)
    assert [t.times for t in listed_tools(found)] == [()]


def test_a_material_of_the_list_is_known_when_it_is_said() -> None:
    listed = plan("Stiffener")
    part = type(listed.parts[0])(name="Stiffener", row=2, material="1.5 mm bag board")
    parts = type(listed)(file="p.csv", parts=(part,), units="mm", units_why="stated")
    assert "bag board" in [m.name for m in listed_materials(hear("In the bottom goes bag board.", parts))]


def test_a_bought_thing_of_the_list_stays_in_the_list_of_materials() -> None:
    part = type(plan("x").parts[0])(name="Coach bolt", row=2, hardware=True)
    parts = PartList(file="p.csv", parts=(part,), units="mm", units_why="stated")
    assert "coach bolts" in [m.name for m in listed_materials(hear("Two M8 coach bolts hold it.", parts))]


def test_a_tool_keeps_the_spelling_in_which_it_was_said() -> None:
    assert tools("Hold it in the vice.") == ["vice"]


def test_a_word_is_a_thing_of_a_trade_only_where_that_trade_is_spoken_of() -> None:
    weaving = "The willow rods are soaked, so weave the base and the siding. Round goes the hoop."
    assert "hoop" in tools(weaving)
    assert "hoop" not in tools("The shelf is planed. The dog jumps through the hoop.")


def test_what_is_named_only_in_a_promise_is_not_listed() -> None:
    assert materials("The rails are oak. Next week we'll do the lid with the brass screws.") == ["oak"]


def test_a_small_word_beside_a_parts_name_is_heard_right() -> None:
    assert hear("Hessian over the top.", plan("Hessian cover")).repairs == ()


def test_a_warning_that_fits_no_hazard_is_called_by_the_tool_before_it() -> None:
    found = hear(
        "The bodkin goes in here. Keep your hand out of the way, it goes through a palm like butter."
    )
    assert [(h.name, h.said) for h in found.hazards] == [("bodkin", True)]


def test_a_saw_in_use_is_a_hazard_without_a_warning_and_a_planer_is_not() -> None:
    found = hear("Rip it on the table saw. Then over to the planer.")
    assert [h.name for h in found.hazards] == ["table saw"]


def test_a_thing_that_another_person_uses_is_not_listed() -> None:
    assert tools("My cousin does this with a staple gun. I use the tack hammer.") == ["tack hammer"]
