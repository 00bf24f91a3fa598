"""What is said again, having been announced, supersedes what was said before."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest
from msgspec import structs

from benchscribe.cut import find_tries, with_tries
from benchscribe.listen import read_captions
from benchscribe.records import Mention, Mentions, Mistake, SourceFile, Transcript, Utterance, Word


def said(text: str) -> Transcript:
    words = tuple(Word(t, i * 0.5, i * 0.5 + 0.4) for i, t in enumerate(text.split()))
    ends = [i + 1 for i, word in enumerate(words) if word.text[-1] in ".!?"]
    return Transcript(
        files=(SourceFile(name="take-1.wav", offset_s=0.0, duration_s=None, kind="audio"),),
        clock="takes",
        words=words,
        utterances=tuple(
            Utterance((a, b), words[a].start_s, words[b - 1].end_s)
            for a, b in pairwise(sorted({0, *ends, len(words)}))
        ),
    )


def takes(*texts: str) -> Transcript:
    """Lay several takes end to end, each named by its number."""
    whole = said(" ".join(texts))
    files, at = [], 0.0
    for number, text in enumerate(texts, 1):
        files.append(SourceFile(name=f"take-{number}.wav", offset_s=at, duration_s=None, kind="audio"))
        at += len(text.split()) * 0.5
    return structs.replace(whole, files=tuple(files))


def left_out(text: str) -> list[str]:
    return [found.text for found in find_tries(said(text))]


FIRST = "The hull planks are three eighths thick by four inches wide and I need fourteen of those."
AGAIN = "The hull planks are five eighths thick by four inches wide and I need fourteen of them."


@pytest.mark.parametrize(
    "phrase",
    [
        "Okay, take three.",
        "Scene one, take two.",
        "Slate.",
        "Marker.",
        "Let me start that again.",
        "Right. Again.",
        "No, scrap that.",
        "That was rubbish, going again.",
        "Let me redo that.",
        "I want to say that better.",
        "Back to the top.",
        "One more for safety.",
        "Third attempt.",
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
    assert any(found.endswith(word) for word in phrase.split())


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
    assert [m.span for m in with_tries(Mentions(mistakes=mistakes), tries).mistakes] == [(0, 5), (10, 40)]


def test_a_clap_and_the_same_words_again_are_a_second_try() -> None:
    talk = said(f"Morning all. {FIRST} {AGAIN}")
    assert find_tries(talk) == ()
    clap = (2 + len(FIRST.split())) * 0.5 - 0.05
    (found,) = find_tries(structs.replace(talk, claps=(clap,)))
    assert found.text == FIRST


def test_a_clap_alone_supersedes_nothing() -> None:
    other = "Then they go in the steam box for an hour and come out like rope."
    assert (
        find_tries(structs.replace(said(f"{FIRST} {other}"), claps=(len(FIRST.split()) * 0.5 - 0.05,))) == ()
    )


GLUE = (
    "Spread the glue thinly on the tenons only and bring the clamps up slowly until a bead shows all round. "
    "Then I check both diagonals with the folding rule and they agree to the width of a pencil line."
)
PICKUP = (
    "Spread the glue thinly on the tenons only and bring the clamps up slowly until you see a bead all round. "
    "Check both diagonals with the folding rule and they agree to a pencil line."
)


@pytest.mark.parametrize(
    "phrase",
    ["Pick-up for the glue-up.", "This is a pick up.", "Okay, retake for the glue-up.", "Take two, glue-up."],
)
def test_a_pick_up_in_a_later_take_replaces_the_passage_that_it_repeats(phrase: str) -> None:
    talk = takes(
        f"Morning all, back at the boat. {GLUE} That is it for today, see you.", f"Hello. {phrase} {PICKUP}"
    )
    found, slate = find_tries(talk)
    assert found.text == GLUE
    assert (slate.text, slate.why) == (phrase, "announces what is said again")
    named = tuple(
        Mention(kind="hardware", name="pickup", words="x", span=(n, n + 1)) for n in (3, slate.span[0])
    )
    assert with_tries(Mentions(mentions=named), (found, slate)).mentions == named[:1]
    assert found.why == f"said again in take-2.wav at 0:{(1 + len(phrase.split())) // 2:02}"


def test_a_pick_up_at_the_end_of_the_same_take_replaces_the_passage() -> None:
    between = " ".join(f"plank number {n} goes on with a dab of bedding and four rivets." for n in range(40))
    found, slate = find_tries(said(f"{GLUE} {between} Pick-up for the glue-up. {PICKUP}"))
    assert (found.text, slate.text) == (GLUE, "Pick-up for the glue-up.")


def test_a_later_take_that_says_it_all_again_needs_no_word_about_it() -> None:
    (found,) = find_tries(takes(f"Morning all. {GLUE} Now the dog wants out.", f"Right then. {GLUE} Lovely."))
    assert found.text == GLUE


@pytest.mark.parametrize(
    "texts",
    [
        (FIRST, "The deck planks are three eighths thick by four inches wide and I need twenty of those."),
        (
            f"Hello. {GLUE}",
            "Pick-up for the lid. The lid gets two hinges and a brass stay, and the screws are the small ones.",
        ),
        (FIRST, "Take the long one first, then take the other and mark it against the frame."),
    ],
    ids=["another part in the same turn of phrase", "a pick-up of something new", "other work"],
)
def test_what_only_sounds_like_an_earlier_take_replaces_nothing(texts: tuple[str, ...]) -> None:
    assert find_tries(takes(*texts)) == ()


EPISODES = Path(__file__).parents[1] / "episodes"
NAMES = "leather-satchel bent-sledge supply-case segment-lamp potting-bench tool-tray indicator-stand concrete-bench duffel-bag rug-loom"
TALKS = [EPISODES / name for name in NAMES.split()] + sorted(
    p.parent for p in (Path(__file__).parents[1] / "talks").glob("*/transcript.vtt")
)


@pytest.mark.parametrize("folder", TALKS, ids=lambda path: path.name)
def test_in_whole_talks_without_a_second_try_none_is_found(folder: Path) -> None:
    """Work that is done again, for each leg, seam or joint, is told in the same turns of phrase; laid out as four takes it stays."""
    talk = read_captions(folder / "transcript.vtt")
    quarter = (talk.words[-1].end_s or 0.0) / 4
    files = tuple(
        SourceFile(name=f"take-{n}.vtt", offset_s=n * quarter, duration_s=quarter, kind="captions")
        for n in range(4)
    )
    assert find_tries(structs.replace(talk, files=files, clock="takes")) == ()
