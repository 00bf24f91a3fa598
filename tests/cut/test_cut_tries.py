"""What is said again, having been announced, supersedes what was said before."""

from __future__ import annotations

import pytest

from benchscribe.cut import find_tries, with_tries
from benchscribe.records import Mistake, SourceFile, Transcript, Utterance, Word


def said(text: str) -> Transcript:
    words = tuple(Word(t, i * 0.5, i * 0.5 + 0.4) for i, t in enumerate(text.split()))
    return Transcript(
        files=(SourceFile(name="take-1.wav", offset_s=0.0, duration_s=None, kind="audio"),),
        clock="takes",
        words=words,
        utterances=(Utterance((0, len(words)), 0.0, words[-1].end_s),),
    )


def left_out(text: str) -> list[str]:
    return [found.text for found in find_tries(said(text))]


FIRST = "The hull planks are three eighths thick by four inches wide and I need fourteen of those."
AGAIN = "The hull planks are five eighths thick by four inches wide and I need fourteen of them."


@pytest.mark.parametrize(
    "phrase",
    [
        "Let me say that again.",
        "Take two.",
        "Okay, I'll do that again.",
        "Hang on, start again.",
        "From the top.",
        "Sorry, one more time, right.",
    ],
)
def test_the_first_try_and_the_phrase_are_left_out(phrase: str) -> None:
    (found,) = left_out(
        f"Morning all, back at the boat. {FIRST} {phrase} {AGAIN} Then they go in the steam box."
    )
    assert found.startswith("The hull planks are three eighths")
    assert "five eighths" not in found
    assert found.rstrip(".,").lower().endswith(("again", "two", "top", "time"))


def test_an_aside_before_the_phrase_goes_with_the_first_try() -> None:
    (found,) = left_out(f"{FIRST} Oh, that was the telephone, wonderful. Let me say that again. {AGAIN}")
    assert "telephone" in found


def test_three_tries_leave_only_the_last() -> None:
    (found,) = left_out(f"Hello. {FIRST} Take two. {FIRST} Take three. {AGAIN} Bye.")
    assert found.count("three eighths") == 2
    assert "five eighths" not in found


@pytest.mark.parametrize(
    "text",
    [
        "Sand it with 180 grit, wipe it down and do that again with the 240 until the scratches are gone.",
        "Take two of the long rails and lay them side by side, then take three of the slats.",
        f"{FIRST} Then they go in the steam box and I turn the stack from the top to the bottom every hour.",
        "Cut the left side, flip the blank, cut the right side. Same again, one more time for the second pair, flip the blank.",
        f"{FIRST} {AGAIN}",
    ],
)
def test_work_that_is_done_again_is_no_second_try(text: str) -> None:
    assert left_out(text) == []


def test_a_first_try_has_its_times_and_says_where_it_was_said_again() -> None:
    (found,) = find_tries(said(f"{FIRST} Take two. {AGAIN}"))
    assert (found.start_s, found.end_s) == (0.0, (len(FIRST.split()) + 2) * 0.5 - 0.1)
    assert found.why == "said again at 0:09"


def test_a_mistake_inside_a_first_try_is_not_told_twice() -> None:
    tries = (Mistake(span=(10, 40), why="said again"),)
    mistakes = (Mistake(span=(0, 5), why="split"), Mistake(span=(12, 20), why="slipped"))
    assert [m.span for m in with_tries(mistakes, tries)] == [(0, 5), (10, 40)]
