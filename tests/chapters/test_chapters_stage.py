"""Chapters: hard limits, places and titles."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchscribe.chapters import cut_chapters
from benchscribe.records import (
    Cue,
    Finding,
    InHand,
    Mention,
    Mentions,
    Mistake,
    Said,
    Transcript,
    Utterance,
    Word,
)

NOTHING = Mentions()


def talk(*lines: tuple[float, str], times: bool = True, headings: tuple[str, ...] = ()) -> Transcript:
    """Make a transcript of (start, sentence); each word lasts 0.4 s."""
    words: list[Word] = []
    utterances: list[Utterance] = []
    cues: list[Cue] = []
    for number, (start, text) in enumerate(lines):
        begin = len(words)
        for place, word in enumerate(text.split()):
            at = start + 0.4 * place
            words.append(Word(word, at, at + 0.4) if times else Word(word))
        end = start + 0.4 * len(text.split())
        heading = headings[number] if headings else ""
        utterances.append(
            Utterance((begin, len(words)), start if times else None, end if times else None, heading)
        )
        cues.append(Cue((begin, len(words)), start, end))
    return Transcript(
        files=(),
        clock="captions" if times else "none",
        words=tuple(words),
        utterances=tuple(utterances),
        cues=tuple(cues) if times else (),
    )


def filler(start: float, matter: str, count: int) -> list[tuple[float, str]]:
    return [
        (start + 6 * n, f"the {matter} wants care and the {matter} takes another pass here")
        for n in range(count)
    ]


THREE = talk(
    (0, "Hello, this is the garden bench."), *filler(4, "weather", 6), (45, "Right, the legs first."), *filler(48, "leg", 10),
    (115, "Next up, the rails."), *filler(118, "rail", 10), (185, "Now the seat boards."), *filler(188, "seat", 10),
)  # fmt: skip


def starts(transcript: Transcript, **more: str | int) -> list[float | None]:
    return [c.start_s for c in cut_chapters(transcript, NOTHING, (), (), **more)]  # type: ignore[arg-type]


def test_chapters_begin_where_the_maker_turns_to_something_new() -> None:
    assert starts(THREE) == [0.0, 45.0, 115.0, 185.0]


def test_a_count_is_kept() -> None:
    assert len(starts(THREE, how_many=3)) == 3
    assert len(starts(THREE, how_many="6")) == 6


def test_few_gives_no_more_than_many() -> None:
    assert (
        len(starts(THREE, how_many="few"))
        <= len(starts(THREE, how_many="some"))
        <= len(starts(THREE, how_many="many"))
    )


@pytest.mark.parametrize("wrong", [0, -1, "several"])
def test_a_number_that_is_none_is_refused(wrong: str | int) -> None:
    with pytest.raises(ValueError, match="no number of chapters"):
        starts(THREE, how_many=wrong)


def test_an_empty_transcript_has_no_chapters() -> None:
    assert starts(talk()) == []


def test_one_word_is_one_chapter_at_zero() -> None:
    assert starts(talk((1.2, "Hello."))) == [0.0]


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.floats(0.1, 40),
            st.sampled_from(["Next the leg is cut", "and so on it goes", "Right. The top", "um"]),
        ),
        min_size=1,
        max_size=60,
    )
)
def test_hard_limits_hold_for_any_talk(pieces: list[tuple[float, str]]) -> None:
    at, lines = 0.0, []
    for gap, text in pieces:
        lines.append((at, text))
        at += gap + 0.4 * len(text.split())
    transcript = talk(*lines)
    chapters = cut_chapters(transcript, NOTHING, (), ())
    times = [c.start_s for c in chapters if c.start_s is not None]
    assert times[0] == 0.0
    assert all(b - a >= 10 for a, b in pairwise(times))
    assert all(a.span[1] == b.span[0] for a, b in pairwise(chapters))
    assert (chapters[0].span[0], chapters[-1].span[1]) == (0, len(transcript.words))
    titles = [c.title for c in chapters]
    assert len({title.casefold() for title in titles}) == len(titles)
    assert all(0 < len(title) < 50 for title in titles)


def test_headings_of_notes_are_kept_and_no_time_is_made_up() -> None:
    notes = talk(
        (0, "It rained."),
        (1, "Cut the legs."),
        (2, "Both of them."),
        (3, "Glue."),
        times=False,
        headings=("", "Legs", "Legs", "Glue up"),
    )
    chapters = cut_chapters(notes, NOTHING, (), ())
    assert [c.title for c in chapters][1:] == ["Legs", "Glue up"]
    assert all(c.start_s is None and c.end_s is None for c in chapters)


def test_one_heading_over_all_of_the_notes_is_their_title_and_no_chapter() -> None:
    lines = [(u.start_s or 0.0, THREE.text(u.span)) for u in THREE.utterances]
    bare = cut_chapters(talk(*lines), NOTHING, HELD, ())
    headed = cut_chapters(talk(*lines, headings=("The stool",) * len(lines)), NOTHING, HELD, ())
    assert len(bare) > 1
    assert [c.start_s for c in headed] == [c.start_s for c in bare]


def hand(*spells: tuple[int, int, str]) -> tuple[InHand, ...]:
    return tuple(
        InHand(utterance=n, parts=(part,), confidence=0.9)
        for begin, end, part in spells
        for n in range(begin, end)
    )


HELD = hand((7, 18, "Leg"), (18, 29, "Rail"), (29, 40, "Seat board"))


def titles(mentions: Mentions = NOTHING, findings: tuple[Finding, ...] = ()) -> list[str]:
    return [c.title for c in cut_chapters(THREE, mentions, HELD, findings)]


def operation(name: str, utterance: int) -> Mention:
    begin = THREE.utterances[utterance].span[0]
    return Mention(
        kind="operation",
        name=name,
        words=name,
        span=(begin, begin + 1),
        start_s=THREE.utterances[utterance].start_s,
    )


def test_a_title_names_the_part_and_what_is_done_to_it() -> None:
    named = titles(Mentions(mentions=(operation("rip", 9), operation("plane", 12), operation("drill", 20))))
    assert named[1:3] == ["Leg: ripping and planing", "Rail: drilling"]


def test_an_opening_names_its_subject() -> None:
    assert titles()[0] == "Introduction: garden bench"


def correction(**more: object) -> Finding:
    begin = THREE.utterances[20].span[0]
    given: dict[str, object] = {
        "id": "f", "kind": "plan-wrong", "part": "Rail", "dimension": "length", "spoken": Said(Fraction(234), "mm"), "span": (begin, begin + 3),
        "declared": True, "status": "declared",
    }  # fmt: skip
    return Finding(**{**given, **more})  # type: ignore[arg-type]


def test_a_correction_of_the_plan_shows_in_the_title() -> None:
    assert titles(findings=(correction(),))[2] == "Rail: the plan is wrong, make it 234 mm"


def test_an_open_or_dismissed_finding_prints_no_value_in_a_title() -> None:
    for status in ("open", "dismissed"):
        assert "234" not in " ".join(titles(findings=(correction(status=status, declared=False),)))


def test_a_mistake_shows_in_the_title() -> None:
    span = THREE.utterances[22].span
    mentions = Mentions(mentions=(operation("drill", 20),), mistakes=(Mistake(span=span, why="oh no"),))
    assert titles(mentions)[2] == "Rail: drilling, with a mistake"


def test_a_talk_without_parts_is_named_by_what_is_said_most_there() -> None:
    lecture = talk(
        *filler(0, "glacier", 12),
        (75, "Now the rivers."),
        *filler(78, "delta", 12),
        (152, "Finally, volcanoes."),
        *filler(155, "magma", 12),
    )
    chapters = cut_chapters(lecture, NOTHING, (), ())
    assert [c.start_s for c in chapters] == [0.0, 75.0, 152.0]
    assert [
        word in chapter.title.lower()
        for word, chapter in zip(("glacier", "delta", "magma"), chapters, strict=True)
    ] == [True] * 3


def test_the_same_talk_gives_the_same_chapters() -> None:
    assert cut_chapters(THREE, NOTHING, HELD, ()) == cut_chapters(THREE, NOTHING, HELD, ())


LECTURE = talk(
    (0, "Today's talk is about reading a weather map."), *filler(6, "newspaper", 5), (45, "Let's start with the isobars."), *filler(48, "isobar", 10),
    (115, "Next up, cold fronts."), *filler(118, "front", 10), (185, "Now the forecast."), *filler(188, "forecast", 10),
)  # fmt: skip


def test_a_lecture_is_named_by_what_it_is_about() -> None:
    titles = [c.title for c in cut_chapters(LECTURE, NOTHING, (), ())]
    assert titles[0] == "Introduction: weather map"
    assert [
        matter in title.lower()
        for matter, title in zip(("isobar", "front", "forecast"), titles[1:], strict=True)
    ] == [True] * 3
