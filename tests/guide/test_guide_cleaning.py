"""The maker's words, cleaned."""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchscribe.guide import clean_text
from benchscribe.records import Measure, Repair, Transcript, Utterance, Word


def talk(*sentences: str) -> Transcript:
    words: list[Word] = []
    utterances: list[Utterance] = []
    for sentence in sentences:
        begin = len(words)
        words += [Word(word) for word in sentence.split()]
        utterances.append(Utterance((begin, len(words)), None, None))
    return Transcript(files=(), clock="none", words=tuple(words), utterances=tuple(utterances))


def size(transcript: Transcript, said: str, value: Fraction, unit: str = "inch", **more: object) -> Measure:
    words, wanted = [word.text.strip(".,") for word in transcript.words], said.split()
    start = next(i for i in range(len(words)) if words[i : i + len(wanted)] == wanted)
    return Measure(value=value, unit=unit, words=said, span=(start, start + len(wanted)), **more)  # type: ignore[arg-type]


def cleaned(*sentences: str, measures: tuple[Measure, ...] = (), repairs: tuple[Repair, ...] = ()) -> str:
    transcript = talk(*sentences)
    return clean_text(transcript, (0, len(transcript.words)), measures, repairs)


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("So, um, the blade goes up.", "The blade goes up."),
        ("Okay so now the rail, you know, gets cut.", "The rail gets cut."),
        ("So the, uh, the carriage goes on.", "The carriage goes on."),
        ("Drill it, uh, slowly, and, yeah, clamp it.", "Drill it slowly, and clamp it."),
        ("and then i glue it and i'm done", "I glue it and I'm done."),
        ("It's .472, not half.", "It's .472, not half."),
        ("Do not, do not reach over.", "Do not reach over."),
    ],
)
def test_filler_and_stammer_go(said: str, written: str) -> None:
    assert cleaned(said) == written


@pytest.mark.parametrize(
    "said",
    [
        "Right hand side first.",
        "Now and then turn it over.",
        "Slide it along, don't turn it.",
        "One left, one right, mirrored.",
        "Keep the good face toward you.",
        "Flip the second one, other way round.",
        "Look at the grain.",
        "Like grain goes with like grain.",
    ],
)
def test_words_of_hand_and_direction_stay(said: str) -> None:
    assert cleaned(said) == said


def test_a_sentence_of_nothing_but_filler_is_left_out() -> None:
    assert cleaned("Well.", "Okay, there.", "Cut it.", "And, uh.") == "Cut it."


def test_a_size_is_written_the_one_right_way() -> None:
    transcript = talk("Rip it to two and a quarter, then stop.")
    measures = (size(transcript, "two and a quarter", Fraction(9, 4)),)
    assert clean_text(transcript, (0, len(transcript.words)), measures) == "Rip it to 2 1/4 in, then stop."


def test_a_size_taken_back_goes_with_the_words_that_take_it_back() -> None:
    transcript = talk("It is five eighths, no, make that eleven sixteenths thick.")
    first = size(transcript, "five eighths", Fraction(5, 8), taken_back=True, replaced_by=1)
    second = size(transcript, "eleven sixteenths", Fraction(11, 16))
    assert clean_text(transcript, (0, len(transcript.words)), (first, second)) == "It is 11/16 in thick."


def test_a_size_taken_back_long_after_gives_way_to_the_one_that_stands() -> None:
    transcript = talk("The cork is 12 mm.", "Did I say twelve? It is 10 mm.")
    first = size(transcript, "12 mm", Fraction(12), "mm", taken_back=True, replaced_by=1)
    second = size(transcript, "10 mm", Fraction(10), "mm")
    assert clean_text(transcript, (0, 5), (first, second)) == "The cork is 10 mm."


def test_a_size_that_may_not_be_printed_gives_way_to_what_stands_in_for_it() -> None:
    transcript = talk("Cut it at 17 mm.")
    measures = (size(transcript, "17 mm", Fraction(17), "mm"),)
    assert (
        clean_text(transcript, (0, 5), measures, instead={0: "18 mm (check)"}) == "Cut it at 18 mm (check)."
    )


def test_a_misheard_trade_word_is_put_right() -> None:
    repair = Repair(span=(2, 3), heard="mighter", meant="miter", why="a saw is named after it")
    assert cleaned("On the mighter saw.", repairs=(repair,)) == "On the miter saw."


def test_only_the_passage_is_written() -> None:
    transcript = talk("First cut it.", "Then drill it.")
    assert clean_text(transcript, (3, 6), ()) == "Then drill it."


PIECES = [
    "so",
    "um,",
    "uh",
    "right",
    "right,",
    "cut",
    "the",
    "the",
    "rail.",
    "and,",
    "you",
    "know,",
    "left",
    "Well.",
    "2",
    "2",
    ".5",
    "i",
    "mirror",
    "?",
    "no,",
]


@given(st.lists(st.lists(st.sampled_from(PIECES), min_size=1, max_size=8), max_size=4))
def test_no_word_is_made_up_and_none_changes_its_place(sentences: list[list[str]]) -> None:
    transcript = talk(*(" ".join(sentence) for sentence in sentences))
    written = clean_text(transcript, (0, len(transcript.words)), ())
    said = iter(re.findall(r"[\w.']+", " ".join(w.text for w in transcript.words).lower()))
    bare = (word.strip(".") for word in said)
    for word in re.findall(r"[\w.']+", written.lower()):
        assert word.strip(".") in bare, "the words come in the order in which they were said"
    assert all(word not in written.lower().split() for word in ("um", "uh"))
