"""A mistake that ends with a break: the camera was off while a new piece was made ready."""

from benchscribe.mentions import find_mentions
from benchscribe.mentions.vocabulary import load_vocabulary
from benchscribe.records import Mistake, Transcript, Utterance, Word

Line = tuple[float, str]


def mistakes(*lines: Line) -> tuple[Mistake, ...]:
    """Hear sentences, each from its second on."""
    words: list[Word] = []
    utterances: list[Utterance] = []
    for start, line in lines:
        begin = len(words)
        words += [Word(w, start + 0.3 * n, start + 0.3 * n + 0.3) for n, w in enumerate(line.split())]
        utterances.append(Utterance((begin, len(words)), start, words[-1].end_s))
    talk = Transcript(files=(), clock="captions", words=tuple(words), utterances=tuple(utterances))
    return find_mentions(talk, None, (), load_vocabulary({})).mistakes


WRONG = (
    (0.0, "Now the lining goes on like that."),
    (4.0, "Where's my pull?"),
    (6.0, "Oh, good grief."),
    (8.0, "I have sewn the whole thing in face down."),
)


def test_what_went_wrong_before_a_break_is_a_mistake_up_to_the_break() -> None:
    (found,) = mistakes(*WRONG, (24.0, "Okay. Pull facing up this time."))
    assert (found.start_s, found.span[1]) == (0.0, 22)


def test_a_break_alone_is_no_mistake() -> None:
    assert mistakes((0.0, "Now the lining goes on like that."), (24.0, "Right, another panel.")) == ()


def test_what_the_talk_has_left_behind_before_the_break_is_no_mistake() -> None:
    later = (
        (12.0, "The rail is oak."),
        (15.0, "It is wide."),
        (17.0, "The top is oak too."),
        (19.0, "It is planed."),
    )
    assert mistakes(*WRONG[:3], *later, (36.0, "Right, the legs.")) == ()
