"""Talk is cut into sentences, with full stops and without, never inside a size."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchscribe.listen import cut_utterances
from benchscribe.records import Word


def words(text: str, pauses: dict[int, float] | None = None) -> list[Word]:
    """Date words a third of a second apart, with longer pauses before some of them."""
    out, at = [], 0.0
    for i, part in enumerate(text.split()):
        at += (pauses or {}).get(i, 0.0)
        out.append(Word(part, round(at, 3), round(at + 0.3, 3)))
        at += 0.3
    return out


def cut(text: str, pauses: dict[int, float] | None = None) -> list[str]:
    said = words(text, pauses)
    return [" ".join(w.text for w in said[u.span[0] : u.span[1]]) for u in cut_utterances(said)]


@pytest.mark.parametrize(
    "sentences",
    [
        ["Rip it to 3.5 inches.", "Then crosscut."],
        ["Use a No. 7 drill here.", "Tap it."],
        ["Is it No. 7?", "No. It is the other one."],
        ["It's 6 ft. 3 in. long.", "Next one."],
        ["Make it 1/2 in. long and square.", "Done there."],
        ["Make it 1/2 in.", "Then sand it."],
        ["It's an inch, hang on... inch and a half.", "There."],
        ["Thirteen... wait, let me look... Thirteen and a half.", "There."],
        ["Dr. Smith made it with Mrs. Jones.", "It works."],
        ["Drill .201, that's the one.", ".1495 is too small."],
        ["Cut approx. three of them.", "Stop!", "Look at that."],
        ["He said \u201crip it.\u201d", "So I did."],
        ["It goes on sheet 3.", "5 of them are wrong."],
    ],
)
def test_full_stops_end_sentences_and_other_dots_do_not(sentences: list[str]) -> None:
    assert cut(" ".join(sentences)) == sentences


def test_a_mere_okay_belongs_to_what_follows() -> None:
    assert cut("Okay. Right. So the legs are done. Grips. We turn those.") == [
        "Okay. Right. So the legs are done.",
        "Grips.",
        "We turn those.",
    ]


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("they all land at the same six foot two and a half so i stand them up", "six foot two and a half"),
        (
            "the sheet says five and thirteen sixteenths and that was right till i moved it",
            "five and thirteen sixteenths",
        ),
        (
            "it's three quarters by two and a half by thirty four and a quarter and there's two",
            "three quarters by two and a half by thirty four and a quarter",
        ),
        (
            "it's two uh two and a quarter square and four long so take it to the saw",
            "two uh two and a quarter square",
        ),
        ("that is four point nine eight degrees and good luck finding that", "four point nine eight degrees"),
        (
            "it's five and a quarter make that five and a half and that's that",
            "five and a quarter make that five and a half",
        ),
        (
            "so it's seven hundred and twenty by three fifty in eighteen mil now the back",
            "seven hundred and twenty by three fifty",
        ),
        (
            "the bottom ring is thirteen wait let me look thirteen and a half on the long edge",
            "thirteen and a half",
        ),
    ],
)
def test_a_size_is_never_cut(text: str, size: str) -> None:
    assert any(size in sentence for sentence in cut(text))


def test_talk_without_full_stops_is_cut_where_sentences_begin() -> None:
    found = cut(
        "so the rungs are next there's three rings of four and i cut them all to the same stop okay now the lid goes on top of that"
    )
    assert len(found) >= 2
    assert any(sentence.startswith("okay now the lid") for sentence in found)


def test_a_long_pause_begins_a_sentence() -> None:
    assert cut("and you cut the head end and well i turned it", {7: 4.0})[1].startswith("well i turned")


def test_talk_without_full_stops_never_runs_on() -> None:
    text = " ".join("and the board goes to the saw with the fence on the left" for _ in range(30))
    assert max(len(sentence.split()) for sentence in cut(text)) <= 30


def test_a_list_of_sizes_longer_than_a_sentence_is_not_cut_inside_one() -> None:
    text = " by ".join("three and a half" for _ in range(12))
    assert cut(text) == [text]


def test_given_breaks_and_headings_are_kept() -> None:
    said = words("rip it cut it glue it")
    found = cut_utterances(said, breaks={2, 4}, headings=[(2, "Legs")])
    assert [(u.span, u.heading) for u in found] == [((0, 2), ""), ((2, 4), "Legs"), ((4, 6), "Legs")]


def test_times_are_those_of_the_first_and_last_word() -> None:
    found = cut_utterances(words("Rip it. Cut it.", {2: 1.0}))
    assert [(u.start_s, u.end_s) for u in found] == [(0.0, 0.6), (1.6, 2.2)]
    assert cut_utterances([Word("Rip"), Word("it.")])[0].start_s is None
    assert cut_utterances([]) == ()


SOUP = st.lists(
    st.sampled_from(
        [
            "so",
            "okay",
            "now",
            "the",
            "a",
            "and",
            "by",
            "six",
            "foot",
            "two",
            "half",
            "inch",
            "inches",
            "3/4",
            "3.5",
            "No.",
            "in.",
            "ft.",
            "...",
            "hang",
            "on,",
            "legs.",
            "rails?",
            "it's",
            "7",
            "x",
            "uh",
            "wait",
            "but",
            "then",
        ]
    ),
    max_size=120,
)


@settings(max_examples=80, deadline=None)
@given(SOUP, st.lists(st.floats(0, 3), max_size=5))
def test_every_word_is_in_exactly_one_sentence(parts: list[str], pauses: list[float]) -> None:
    said = words(" ".join(parts), {i * 7: pause for i, pause in enumerate(pauses)})
    spans = [u.span for u in cut_utterances(said)]
    assert [i for first, last in spans for i in range(first, last)] == list(range(len(said)))
