"""The second try after a mistake: where it begins, and that it is a step though nobody names it again."""

import pytest

from benchscribe.guide import make_guide
from benchscribe.records import InHand, Mention, Mentions, Mistake, Step, Transcript, Utterance, Word

LINES = [
    (0.0, "Drill it from one end."),
    (10.0, "It has come out of the side."),
    (12.5, "Everybody says never drill it like that."),
]


def steps(*after: tuple[float, str], drilled: tuple[int, ...] = (0, 2)) -> list[Step]:
    """Give the steps of a talk in which the first two sentences went wrong; `drilled` are the sentences that say "drill"."""
    words: list[Word] = []
    utterances: list[Utterance] = []
    for start, text in [*LINES, *after]:
        begin = len(words)
        words += [Word(w, start + 0.3 * n, start + 0.3 * n + 0.3) for n, w in enumerate(text.split())]
        utterances.append(Utterance((begin, len(words)), start, words[-1].end_s))
    talk = Transcript(files=(), clock="captions", words=tuple(words), utterances=tuple(utterances))
    mentions = []
    for number in drilled:
        span = utterances[number].span
        at = next(i for i in range(*span) if words[i].text.lower().startswith("drill"))
        mentions.append(
            Mention(
                kind="operation", name="drill", words="drill", span=(at, at + 1), start_s=words[at].start_s
            )
        )
    wrong = Mistake(span=(0, utterances[1].span[1]), why="wrong", start_s=0.0, end_s=utterances[1].end_s)
    hand = tuple(InHand(utterance=n, parts=("Stem",), confidence=0.95) for n in range(len(utterances)))
    found = Mentions(mentions=tuple(mentions), mistakes=(wrong,))
    return list(make_guide(talk, (), found, None, hand, (), ()).steps)


@pytest.mark.parametrize(
    "said", ["Take two, half way from each end.", "This time from both ends.", "Second stem, from both ends."]
)
def test_the_second_try_is_a_step_though_nobody_names_it(said: str) -> None:
    (step,) = steps((17.0, said))
    assert (step.part, step.operation, step.start_s, step.text) == ("Stem", "drill", 17.0, said)


def test_after_a_pause_comes_the_second_try() -> None:
    (step,) = steps((40.0, "Half way from each end."))
    assert (step.operation, step.start_s) == ("drill", 40.0)


def test_talk_about_what_went_wrong_is_no_step() -> None:
    assert [step.start_s for step in steps((40.0, "Half way from each end."), drilled=(0, 2))] == [40.0]


def test_talk_about_the_second_piece_does_not_begin_it() -> None:
    (step,) = steps((16.0, "The second one was meant to be right."), (40.0, "Half way from each end."))
    assert step.start_s == 40.0


def test_a_second_try_that_is_named_is_told_once() -> None:
    (step,) = steps((17.0, "Take two."), (19.0, "Drill from both ends."), drilled=(0, 4))
    assert step.text == "Drill from both ends."


def test_the_sentence_that_follows_belongs_to_the_second_try() -> None:
    (step,) = steps((17.0, "Take two."), (18.0, "Half way from each end."))
    assert step.text == "Take two. Half way from each end."


def test_what_was_never_named_is_not_made_up() -> None:
    assert steps((17.0, "Take two."), drilled=()) == []
