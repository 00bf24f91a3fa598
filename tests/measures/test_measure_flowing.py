"""Talk without a single stop, a machinist's thousandths, and a list in centimetres."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

import pytest

from benchscribe.measures.reader import read_words

TRAY = (
    "right so the tray is one point two sheet and the blank goes in at {said} that is after the bends and you want the scriber for "
    "this not a pencil because a pencil rubs off as soon as it sees oil and then the walls come up and they sit on the line all the "
    "way round so check it before you fold the next one i always say that and i never do it"
)


def sizes(
    said: str,
    units: Literal["inch", "mm"],
    expected: dict[Fraction, str] | None = None,
    bare: str | None = None,
) -> list[str]:
    found = read_words(said.split(), units=units, expected=expected or {}, bare=bare)
    return [f"{m.value} {m.unit}" for m in found.measures]


@pytest.mark.parametrize(
    ("said", "size"),
    [
        ("the walls up 55 check it with the vernier", "55 mm"),
        ("there's a 12 flange turned down all round", "12 mm"),
        ("it's a hacksaw job to 396 cut it in the gap", "396 mm"),
        ("they're 236 long and 69 i've got it upside down", "69 mm"),
    ],
)
def test_without_stops_a_number_ends_where_nothing_behind_it_can_be_counted(said: str, size: str) -> None:
    assert size in sizes(TRAY.format(said="400 wide " + said), "mm")


@pytest.mark.parametrize(
    "said", ["i bought 22 sheets of it", "there's 20 rivets to do", "and 14 long bend lines"]
)
def test_without_stops_a_plural_behind_it_is_counted(said: str) -> None:
    number = next(word for word in said.split() if word.isdigit())
    assert f"{number} mm" not in sizes(TRAY.format(said="400 wide " + said), "mm")


MACHINED = "It's 1.250 wide and 0.375 thick, take ten thou off, five thou a pass, and the bore is 0.500. "


@pytest.mark.parametrize(
    ("said", "size"),
    [
        ("The bar is 875 by 875.", "7/8 inch"),
        ("It's three seventy five by five eighths.", "3/8 inch"),
        ("The screw is one seven fifty long.", "7/4 inch"),
        ("Half of that's 437 and a half.", "7/16 inch"),
        ("And that's one nine oh six.", "953/500 inch"),
        ("so that's three oh two and a half, and in from the end it's 0.250.", "121/400 inch"),
    ],
)
def test_among_thousandths_a_number_in_the_hundreds_is_of_thousandths(said: str, size: str) -> None:
    assert size in sizes(MACHINED + said, "inch")


@pytest.mark.parametrize(
    "said",
    [
        "I sanded to 220 on the lathe.",
        "It cost me three seventy five, dollars that is.",
        "Three hundred rpm for this.",
        "We have 250 screws left.",
    ],
)
def test_among_thousandths_other_numbers_stay_what_they_are(said: str) -> None:
    assert sizes(MACHINED + said, "inch") == sizes(MACHINED, "inch")


def test_without_thousandths_a_number_in_the_hundreds_is_none() -> None:
    assert sizes("The bench is 96 inches long and it's three seventy five by the time you pay.", "inch") == [
        "96 inch"
    ]


LISTED = {Fraction(42): "cm", Fraction(120): "cm", Fraction(18): "mm", Fraction(420): "mm"}


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("the leg's forty two long", "42 cm"),
        ("two at a hundred and twenty long", "120 cm"),
        ("the ply is eighteen thick", "18 mm"),
        ("that makes it four twenty long", "420 mm"),
    ],
)
def test_a_list_in_centimetres_is_told_in_centimetres(said: str, found: str) -> None:
    assert sizes(said, "mm", LISTED, "cm") == [found]


def test_a_letter_before_r_makes_a_name() -> None:
    assert sizes("the soft stuff they call it c r 4 is fine", "mm") == []
