"""What is used in the build, and what is only near by, alike, or spoken of."""

from __future__ import annotations

import pytest
from talk_files import say

from benchscribe.mentions import find_mentions, listed_materials, listed_tools, load_vocabulary
from benchscribe.records import Mentions, Part, PartList


def listed(*rows: tuple[str, str], bought: bool = False) -> PartList:
    """Make a part list of names and materials."""
    parts = tuple(Part(name=n, material=m, row=i, hardware=bought) for i, (n, m) in enumerate(rows, 2))
    return PartList(file="parts.csv", parts=parts, units="mm", units_why="stated")


def hear(text: str, parts: PartList | None = None) -> Mentions:
    return find_mentions(say(text), parts, (), load_vocabulary())


def tools(text: str, parts: PartList | None = None) -> list[str]:
    return [t.name for t in listed_tools(hear(text, parts))]


def materials(text: str, parts: PartList | None = None) -> list[str]:
    return [t.name for t in listed_materials(hear(text, parts))]


@pytest.mark.parametrize(
    ("material", "text"),
    [
        ("zintec", "The tray is folded from one sheet of zintec."),
        ("1018", "I've a lump of 1018 off the rack."),
        ("bridle shoulder", "The keepers are cut from the shoulder."),
        ("ribbed rubber", "The mat is ribbed rubber, cut with a knife."),
    ],
)
def test_the_lists_own_material_is_known_by_the_lists_word(material: str, text: str) -> None:
    assert material in materials(text, listed(("Front", material)))


def test_a_material_that_differs_by_its_colour_is_known_by_the_colour() -> None:
    rods = listed(("Stake", "brown willow"), ("Bow", "white willow"))
    assert materials("Weave the siding with the brown. Push it down.", rods) == ["brown willow"]


def test_a_colour_before_another_noun_is_no_material() -> None:
    rods = listed(("Stake", "brown willow"), ("Bow", "white willow"))
    assert materials("Put the brown coat on.", rods) == []


def test_a_bought_part_that_is_named_is_a_fixing() -> None:
    assert materials("Two set screws hold it.", listed(("Set screw, M4", ""), bought=True)) == ["set screws"]


def test_stuff_that_the_list_does_not_know_of_is_no_stuff_of_the_build() -> None:
    parts = listed(("Leg", "oak"), ("Rail", "oak"))
    assert materials("The legs are oak. Lay the rags flat on the gravel.", parts) == ["oak"]


def test_a_bit_of_cloth_to_rub_with_is_an_aid() -> None:
    assert "canvas" not in materials("Rub the edge with a bit of canvas.", listed(("Strap", "leather")))


def test_what_the_buckles_are_of_is_not_listed_beside_them() -> None:
    found = materials("The buckles are brass, solid.", listed(("Strap", "hide"), ("Buckle", "brass")))
    assert len(found) == 1
    assert "buckle" in found[0]


@pytest.mark.parametrize(
    "text",
    [
        "It comes off like gravel.",
        "The hole for the screws is six millimetres.",
        "Copper tacks? No, never, that's how you rot it.",
        "The gravel man rings on Monday.",
        "My old boss did it with copper tacks.",
    ],
)
def test_likeness_purpose_and_what_is_denied_are_no_materials(text: str) -> None:
    assert not {"gravel", "screws", "copper tacks"} & set(materials(text))


@pytest.mark.parametrize(
    ("text", "tool"),
    [
        ("It'll mic four ninety nine and a half.", "micrometer"),
        ("Then a five mil drill, and tap it.", "drill"),
        ("Paint it with the hammer finish, two coats.", "hammer"),
        ("Today it's a bench supply. It gets a house.", "bench supply"),
        ("There's a hole in the dead centre of each.", "dead centre"),
        ("Match your four snips to the seams.", "snips"),
    ],
)
def test_an_everyday_sense_of_a_tools_word_is_no_tool(text: str, tool: str) -> None:
    assert tool not in tools(text)


def test_a_bare_saw_stands_for_the_only_saw() -> None:
    assert tools("Set your blade square. Run it over the saw.") == ["saw"]


def test_a_bare_saw_is_the_one_that_is_named() -> None:
    assert tools("Rip it on the table saw. Off the saw it's rough.") == ["table saw"]


def test_a_second_tool_after_and_is_a_noun() -> None:
    assert set(tools("Clean it up with the chisel and mallet.")) == {"chisel", "mallet"}


def test_a_cutter_is_called_by_its_kind() -> None:
    assert "dovetail cutter" in tools("Then the dovetail cutter, slow, in the mill.")


@pytest.mark.parametrize(
    "text",
    [
        "Come in, mind the cat, sit down over there.",
        "It would have to be made of fresh air.",
        "Every step was a hair off, and that adds up.",
    ],
)
def test_everyday_words_are_no_warning(text: str) -> None:
    assert hear(text).hazards == ()


@pytest.mark.parametrize(
    "text",
    [
        "Don't wipe it with a rag while it's turning.",
        "Hold it tight on the drill press, if it grabs it comes round.",
        "Take your foot off the pedal when you thread the needle.",
    ],
)
def test_a_warning_is_heard_in_many_trades(text: str) -> None:
    assert any(h.said for h in hear(text).hazards)


def test_a_warning_in_a_hazards_own_words_belongs_to_it_from_farther_away() -> None:
    found = hear(
        "Rip it on the table saw. They are all the same width. Four of them. Lay them out. Turn them over. "
        "Now the long ones, don't trap it at the fence, it'll come at you."
    )
    assert [h.name.split(" (")[0] for h in found.hazards if h.said] == ["table saw"]


@pytest.mark.parametrize(
    ("text", "heard", "meant"),
    [
        ("Set each rivot over the burr.", "rivot", "rivet"),
        ("Grip it in the colette on the lathe.", "colette", "collet"),
        ("Run the led came round the glass.", "led came", "lead came"),
        ("Into the kiln for the bisk firing.", "bisk", "bisque"),
        ("Lift the hetals and pass the shuttle.", "hetals", "heddles"),
        ("Put the grow met in with the setter.", "grow met", "grommet"),
    ],
)
def test_garbled_words_of_many_trades_are_repaired(text: str, heard: str, meant: str) -> None:
    assert [(r.heard, r.meant) for r in hear(text).repairs] == [(heard, meant)]


def test_metal_stock_is_known_by_its_shape_where_the_talk_is_of_that_metal() -> None:
    text = "It's all steel. We weld the legs, inch and a half angle, and tack the eighth plate to them with the welder."
    assert materials(text) == ["steel angle", "steel plate"]


def test_an_angle_and_a_plate_are_no_stock_outside_metalwork() -> None:
    assert not {"steel angle", "steel plate"} & set(materials("Set the half angle on the fat plate. Steel."))


def test_a_list_that_names_its_metals_gives_the_stock_its_names() -> None:
    text = "Weld the eighth plate on, then a tack with the welder. Steel."
    assert "steel plate" not in materials(text, listed(("Base", "mild steel")))


def test_two_names_of_one_thing_are_one() -> None:
    assert materials("Sew the canvas seam. The thread's bonded nylon. Wax the thread.") == [
        "canvas",
        "bonded nylon thread",
    ]


def test_a_likeness_before_a_comma_does_not_deny_what_comes_after() -> None:
    assert "rotary cutter" in tools("It drags like a wet tissue, so use the rotary cutter on the fabric.")


def test_what_somebody_is_going_to_say_is_not_used() -> None:
    assert materials("Somebody's going to say use plywood. The top is oak.") == ["oak"]


@pytest.mark.parametrize(
    ("hazard", "text"),
    [
        ("power planer", "I hog it off with the power planer, and park it till it quits spinning."),
        ("gas bottle", "The welder's bottle. Never carry it by the cap."),
        ("hot steel", "We weld it. Write hot on it, it looks like cold steel."),
        ("solvent near", "Weld it clean. Not brake cleaner, near an arc it makes gas."),
        ("sharp metal edges", "Fold the sheet metal. The edge will open your thumb up."),
        ("cement mixer", "The cement mixer goes on, and don't put a hand in while she's turning."),
    ],
)
def test_a_warning_names_its_hazard(hazard: str, text: str) -> None:
    assert any(h.name.startswith(hazard) for h in hear(text).hazards)


@pytest.mark.parametrize(
    "text",
    [
        "Now watch the list, it goes length then width.",
        "Eleven and a half, let me put my specs on and read it.",
        "Mind the mast leans back three degrees here.",
        "I never carry on after supper in the cold.",
    ],
)
def test_a_word_to_the_viewer_that_warns_of_nothing_is_no_hazard(text: str) -> None:
    assert hear(text).hazards == ()
