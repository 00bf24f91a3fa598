"""Other names that a part's own name holds."""

from __future__ import annotations

import pytest

from benchscribe.partlist.called import with_derived_names
from benchscribe.records import Part


def others(*names: str, material: str = "") -> list[tuple[str, ...]]:
    parts = [Part(name=n, row=i, material=material) for i, n in enumerate(names, 2)]
    return [p.other_names for p in with_derived_names(parts)]


@pytest.mark.parametrize(
    ("name", "also"),
    [
        ("Cleat (batten)", ("batten",)),
        ("Coaming (cockpit rim)", ("cockpit rim",)),
        ("Stretcher / rail", ("Stretcher", "rail")),
        ("Lid or cover", ("Lid", "cover")),
        ("Left / right side", ("Left side", "right side")),
        ("Rail, lower", ("lower rail",)),
        ("Post - short", ("short post",)),
        ("Drawer front (false)", ("false drawer front",)),
        ("Side LH", ("left side",)),
        ("Brg hsg", ("bearing housing",)),
        ("side_panel.stl", ("side panel",)),
        ("MotorMount", ("motor mount",)),
    ],
)
def test_a_name_holds_other_names(name: str, also: tuple[str, ...]) -> None:
    assert others(name) == [also]


@pytest.mark.parametrize(
    "name",
    ["Cap (oak)", "Spigot (for chuck)", "Brace (see note)", "Shim (optional)", "Leg (x4)", "2x4 / stud", "Top / bottom", "Front and back", "End plate, idler end", "Panel (12 mm)"],
)  # fmt: skip
def test_a_remark_is_no_name(name: str) -> None:
    assert others(name) == [()]


def test_what_a_part_is_made_of_is_no_name_of_it() -> None:
    assert others("Cap (bocote)", material="bocote offcut") == [()]


def test_a_name_of_another_part_is_not_given_away() -> None:
    assert others("Cleat (batten)", "Batten") == [(), ()]


def test_a_name_that_two_parts_would_get_is_given_to_neither() -> None:
    assert others("Cleat (strip)", "Fillet (strip)") == [(), ()]


def test_brackets_that_tell_two_rows_apart_are_no_name() -> None:
    assert others("Bracket (hook)", "Bracket (eye)") == [(), ()]


def test_bought_things_keep_their_name() -> None:
    part = Part(name="Screw (roundhead)", row=2, hardware=True)
    assert with_derived_names([part])[0].other_names == ()
