"""What is put off in the middle of a talk, by what is owed, awaited or kept for a season; and what only waits at the work."""

import pytest

from benchscribe.mentions import find_mentions
from benchscribe.mentions.vocabulary import load_vocabulary
from benchscribe.records import Promise, Transcript, Utterance, Word

TALK = "This is the long talk of an afternoon at the bench with nothing at all put off in it."


def promises(line: str) -> tuple[Promise, ...]:
    """Hear a sentence early in a talk, four seconds a line."""
    words: list[Word] = []
    utterances: list[Utterance] = []
    for number, said in enumerate((TALK, line, *[TALK] * 8)):
        begin = len(words)
        words += [Word(word, 4.0 * number, 4.0 * number + 0.3) for word in said.split()]
        utterances.append(Utterance((begin, len(words)), 4.0 * number, 4.0 * number + 4.0))
    talk = Transcript(files=(), clock="captions", words=tuple(words), utterances=tuple(utterances))
    return find_mentions(talk, None, (), load_vocabulary({})).promises


@pytest.mark.parametrize(
    "line",
    [
        "remind me to ease that edge.",
        "i owe you the other sleeve.",
        "i'm still waiting on the hinges so that's not happening now.",
        "the lining goes in once it's dry which won't be today.",
        "i still have to make the lid and that'll be its own thing.",
        "i've put the buttonholes on the list for later.",
        "the knobs aren't here yet.",
        "i'll get round to the back panel eventually.",
        "the bed gets planted up in autumn.",
        "i won't cut the slot for the blade until i have the blade in hand.",
        "that's a job for the weekend.",
        "we'll do the zip on saturday.",
        "don't let me forget the drain plug.",
        "the drip line isn't going in until the raised bed has settled.",
        "we'll see how the joint took it once it's been in the water.",
        "the top frets i'm leaving until i can borrow the big press.",
    ],
)
def test_what_waits_for_another_day_is_put_off_anywhere(line: str) -> None:
    assert len(promises(line)) == 1


@pytest.mark.parametrize(
    "line",
    [
        "i'll come back to the line with a chisel.",
        "another time i did that and it split.",
        "the plan says to leave it until the end.",
        "it gets tight in the summer and loose in the winter.",
        "i'll wait for the bead to form.",
        "i'm leaving it proud until the glue is dry.",
        "i'm keeping the pressure on until it stops squeezing out.",
        "the spring goes in after the washer.",
        "i won't go past the line.",
        "once it's back on the mandrel tap it round.",
        "when you get to the end let the feed off.",
        "i'll take it down to twenty now.",
    ],
)
def test_what_only_waits_at_the_work_is_not_put_off(line: str) -> None:
    assert promises(line) == ()
