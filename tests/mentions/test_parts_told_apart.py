"""Parts that share a noun are told apart by looks, by number, and by a word of their name before "one"."""

from __future__ import annotations

import pytest
from bench_talk import part, plan, transcript_of

from benchscribe.mentions import find_mentions, load_vocabulary

GATE = plan(
    part("Front post", 2, thickness="3", width="3", length="48"),
    part("Back post", 2, thickness="3", width="3", length="60"),
    part("Top rail", 1, thickness="1", width="3", length="36"),
    part("Middle rail", 4, thickness="1", width="2", length="36"),
    part("Slat", 9, thickness="1 2", width="4", length="40"),
)


def meant(text: str) -> set[str]:
    """Give the parts that are found, but for those of the first sentence."""
    transcript = transcript_of(text)
    first = transcript.utterances[0].span[1]
    found = find_mentions(transcript, GATE, (), load_vocabulary({})).mentions
    return {m.name for m in found if m.kind == "part" and m.span[0] >= first}


@pytest.mark.parametrize(
    ("said", "name"),
    [
        ("The tall posts come next.", "Back post"),
        ("The short posts come next.", "Front post"),
        ("Now four rails on the bench.", "Middle rail"),
        ("I cut the middle ones first.", "Middle rail"),
    ],
)
def test_what_stands_before_a_shared_noun_chooses_the_part(said: str, name: str) -> None:
    assert meant(f"Good morning. {said}") == {name}


def test_the_long_one_is_one_of_those_just_named() -> None:
    """Slats are shorter than the back post and rails are not spoken of: the longest of the posts is meant."""
    assert meant("First the posts. The long ones have a foot in the ground.") == {"Back post"}


def test_each_end_is_a_place_and_no_part() -> None:
    """A word of place behind a preposition names no part."""
    ends = plan(part("End board", 2, thickness="1", width="6", length="20"))
    transcript = transcript_of("There is a peg in each end of it.")
    found = find_mentions(transcript, ends, (), load_vocabulary({})).mentions
    assert [m.name for m in found if m.kind == "part"] == []
