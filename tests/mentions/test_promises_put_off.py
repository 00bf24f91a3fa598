"""What is put off to another day: something is meant, and it waits for a time or an occasion outside the episode."""

import pytest

from benchscribe.mentions import find_mentions
from benchscribe.mentions.vocabulary import load_vocabulary
from benchscribe.records import Promise, Transcript, Utterance, Word

TALK = "This is the long talk of an afternoon at the bench with nothing at all put off in it. " * 8


def promises(*lines: str, before: str = TALK) -> tuple[Promise, ...]:
    """Hear sentences at the end of a talk, four seconds a line."""
    words: list[Word] = []
    utterances: list[Utterance] = []
    for number, line in enumerate((before, *lines) if before else lines):
        begin = len(words)
        words += [Word(word, 4.0 * number, 4.0 * number + 0.3) for word in line.split()]
        utterances.append(Utterance((begin, len(words)), 4.0 * number, 4.0 * number + 4.0))
    talk = Transcript(files=(), clock="captions", words=tuple(words), utterances=tuple(utterances))
    return find_mentions(talk, None, (), load_vocabulary({})).promises


@pytest.mark.parametrize(
    "line",
    [
        "Next visit, she's going to line the bag.",
        "I mean to make a cover from the scraps, but I'm not starting it till there's snow.",
        "I'll get the list typed up again when our grandson's here to work the computer.",
        "The mooring bit, that's on my list, maybe when the tide's gone.",
        "I'll do you that one wet sunday.",
        "We'll varnish the hull in april.",
    ],
)
def test_what_is_meant_and_waits_is_put_off_near_the_end(line: str) -> None:
    assert len(promises(line)) == 1


@pytest.mark.parametrize(
    "line",
    [
        "I'm not soldering those today.",
        "That one waits till the bottle's full.",
    ],
)
def test_what_is_not_done_today_is_put_off_anywhere(line: str) -> None:
    assert len(promises(line, TALK, before="")) == 1


@pytest.mark.parametrize(
    "line",
    [
        "Sand the edge or it'll saw through the lining by Easter.",
        "Oil it outside when it's not going to rain.",
        "I'm not going to touch the mains in this one.",
        "When it's dry the seam gets a second row.",
    ],
)
def test_a_threat_and_an_instruction_are_no_promises(line: str) -> None:
    assert promises(line) == ()


def test_a_promise_that_points_back_is_told_with_what_it_points_to() -> None:
    found = promises("I haven't blued the screws.", "That'll have to wait till it's warm.")
    assert [p.text for p in found] == ["I haven't blued the screws. That'll have to wait till it's warm."]


def test_a_promise_does_not_begin_with_and() -> None:
    assert promises("And I owe you the sharpening.")[0].text == "I owe you the sharpening."


def test_two_things_put_off_one_after_the_other_are_two_promises() -> None:
    assert len(promises("I'll do the lining next week.", "We'll hang the doors in the spring.")) == 2
