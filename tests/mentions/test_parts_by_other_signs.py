"""Parts meant by the plan's letter, by what they are made of, and by where they are."""

from __future__ import annotations

import pytest
from bench_talk import part, plan, transcript_of
from msgspec import structs

from benchscribe.mentions import find_mentions, load_vocabulary

ROWS = plan(
    part("Front rail", 2, material="ash", length="420"),
    part("Back rail", 1, material="oak", length="360"),
    part("Side rail", 2, material="ash", length="372"),
    part("Leg", 4, material="beech", length="430"),
    units="mm",
)
FRAME = structs.replace(
    ROWS, parts=tuple(structs.replace(p, ref=r) for p, r in zip(ROWS.parts, "ABCD", strict=True))
)
NUMBERED = structs.replace(
    ROWS, parts=tuple(structs.replace(p, ref=r) for p, r in zip(ROWS.parts, "1234", strict=True))
)


def meant(text: str, plan_: object = FRAME) -> dict[str, str]:
    """Give the parts that are surely meant, with the words."""
    found = find_mentions(transcript_of(text), plan_, (), load_vocabulary({})).mentions  # type: ignore[arg-type]
    return {m.name: m.words for m in found if m.kind == "part" and (m.confidence or 0) >= 0.6}


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Part C goes in the vice.", "Side rail"),
        ("Then letter A gets a groove.", "Front rail"),
        ("The oak one is a bit shorter.", "Back rail"),
        ("The rails come next. The one at the back is shorter.", "Back rail"),
        ("The rails come next. The two at the sides get a tenon.", "Side rail"),
    ],
)
def test_a_sign_of_the_plan_names_the_part(text: str, name: str) -> None:
    assert set(meant(text)) == {name}


@pytest.mark.parametrize(
    "text", ["A part a day is enough.", "Part D of it I do not mind.", "Look at the back of it."]
)
def test_what_only_sounds_like_a_sign_names_nothing_but_a_letter(text: str) -> None:
    """A single "a" is an article; a letter behind "part" is the plan's."""
    assert set(meant(text)) <= {"Leg"}


def test_part_two_is_the_next_film_and_item_two_is_the_plan_s() -> None:
    assert meant("That comes in part 2.", NUMBERED) == {}
    assert set(meant("Cut item 2 now.", NUMBERED)) == {"Back rail"}


def test_a_stuff_of_several_parts_is_none_of_them_surely() -> None:
    assert meant("The ash ones are next.") == {}
