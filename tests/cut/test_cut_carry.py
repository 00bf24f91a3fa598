"""What was settled on the takes stands at its place in the published cut, or says that it is not there."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from msgspec import structs

from benchscribe.cut import carry_to_cut, map_cut, with_inserts
from benchscribe.records import (
    Chapter,
    EpisodeInfo,
    EpisodeRecord,
    Finding,
    Hazard,
    InHand,
    ListedName,
    Measure,
    Mention,
    Mistake,
    NotInCut,
    Promise,
    Said,
    SourceFile,
    Span,
    Step,
    Transcript,
    Utterance,
    Word,
    from_json,
    stamp,
    to_json,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

PACE_S = 0.5
SENTENCES = (
    "morning all this week the tray gets its ends and the long rails come out of the ash",
    "first I rip both rails to one and three quarters with the riving knife in place",
    "keep your fingers well away from that blade because the offcut likes to jump",
    "the plan says the ends are nine inches and that is wrong they must be nine and a half",
    "now the dado plane cuts the housings a quarter deep across each of the ends",
    "well that went badly the batten slipped and the housing wandered off the line",
    "take a fresh piece and clamp the batten down properly before you cut anything",
    "dry fit the whole frame and look along it for any sign of a twist",
    "the handles are something that I will show you next time when the bending form is ready",
    "that is it for today oil goes on tomorrow once the glue has gone hard",
)
INSERT = "one thing that I forgot to say at the bench is to seal the end grain with thin shellac first"


def words_of(sentences: Sequence[str]) -> tuple[list[Word], tuple[Utterance, ...]]:
    words: list[Word] = []
    utterances = []
    for sentence in sentences:
        first = len(words)
        words += [
            Word(t, (first + i) * PACE_S, (first + i) * PACE_S + 0.4) for i, t in enumerate(sentence.split())
        ]
        utterances.append(Utterance((first, len(words)), words[first].start_s, words[-1].end_s))
    return words, tuple(utterances)


def talk(sentences: Sequence[str], name: str) -> Transcript:
    words, utterances = words_of(sentences)
    file = SourceFile(name=name, offset_s=0.0, duration_s=None, kind="captions")
    return Transcript(
        files=(file,),
        clock="takes" if name != "cut.vtt" else "cut",
        words=tuple(words),
        utterances=utterances,
    )


TAKES = talk(SENTENCES, "take-1.vtt")


def span_of(words: str, transcript: Transcript = TAKES) -> Span:
    said = [w.text for w in transcript.words]
    wanted = words.split()
    return next((i, i + len(wanted)) for i in range(len(said)) if said[i : i + len(wanted)] == wanted)


def timed(words: str) -> dict[str, object]:
    span = span_of(words)
    return {"span": span, "start_s": TAKES.words[span[0]].start_s, "end_s": TAKES.words[span[1] - 1].end_s}


def measure(words: str, value: str) -> Measure:
    return Measure(value=Fraction(value), unit="inch", words=words, **timed(words))  # type: ignore[arg-type]


def made(**changes: object) -> EpisodeRecord:
    record = EpisodeRecord(info=EpisodeInfo(), draft=True, transcript=TAKES, part_list=None)
    items = {name: tuple(stamp(i, TAKES.files) for i in value) for name, value in changes.items()}  # type: ignore[attr-defined]
    return structs.replace(record, **items)


def carried(record: EpisodeRecord, sentences: Sequence[str]) -> EpisodeRecord:
    cut = talk(sentences, "cut.vtt")
    return carry_to_cut(record, cut, map_cut(cut, TAKES))


def finding(words: str, **changes: object) -> Finding:
    values: dict[str, object] = {
        "id": "f1", "kind": "plan-wrong", "part": "End", "dimension": "length", "spoken": Said(Fraction(19, 2), "inch", "nine and a half"),
        "sentence": words, "status": "declared", "advice": "listen at 0:23, then mark the sheet", **timed(words), **changes,
    }  # fmt: skip
    return Finding(**values)  # type: ignore[arg-type]


WRONG = "that is wrong they must be nine and a half"
WITHOUT_FIRST = SENTENCES[1:]
FIRST_S = len(SENTENCES[0].split()) * PACE_S


def test_a_carried_record_is_no_draft_and_has_the_words_of_the_cut() -> None:
    record = carried(made(), WITHOUT_FIRST)
    assert not record.draft
    assert record.transcript.clock == "cut"
    assert record.transcript.words[0].text == "first"


def test_a_size_stands_at_its_time_and_words_in_the_cut() -> None:
    (size,) = carried(made(measures=(measure("one and three quarters", "7/4"),)), WITHOUT_FIRST).measures
    assert size.start_s == pytest.approx(timed("one and three quarters")["start_s"] - FIRST_S)  # type: ignore[operator]
    assert size.span == tuple(i - len(SENTENCES[0].split()) for i in span_of("one and three quarters"))
    assert (size.file, size.at_s) == ("cut.vtt", size.start_s)


@pytest.mark.parametrize(
    ("heard", "words"),
    [
        (
            "first I rip both rails to 1 and three quarters with the riving knife in place",
            "1 and three quarters",
        ),
        ("first I rip both rails to one and three 4ths with the riving knife in place", "one and three 4ths"),
        ("first I rip both rails to 1-3/4 with the riving knife in place", "1-3/4"),
    ],
)
def test_a_size_that_was_heard_otherwise_in_the_cut_keeps_its_whole_stretch(heard: str, words: str) -> None:
    record = carried(
        made(measures=(measure("one and three quarters", "7/4"),)), (SENTENCES[0], heard, *SENTENCES[2:])
    )
    assert record.transcript.text(record.measures[0].span) == words


def test_a_size_that_was_taken_out_stays_without_a_time() -> None:
    sizes = (measure("one and three quarters", "7/4"), measure("nine and a half", "19/2"))
    record = carried(made(measures=sizes), SENTENCES[:1] + SENTENCES[2:])
    assert [m.start_s is None for m in record.measures] == [True, False]
    assert record.measures[0].span == (0, 0)
    assert record.measures[0].file is None


def test_a_finding_carries_its_time_its_advice_and_its_repeats() -> None:
    again = TAKES.words[span_of("dry fit the whole")[0]].start_s
    (found,) = carried(made(findings=(finding(WRONG, repeated=(again,)),)), WITHOUT_FIRST).findings
    assert found.start_s == pytest.approx(timed(WRONG)["start_s"] - FIRST_S)  # type: ignore[operator]
    assert found.repeated == (pytest.approx(again - FIRST_S),)  # type: ignore[operator]
    assert found.advice == f"listen at 0:{int(found.start_s or 0):02}, then mark the sheet"


def test_a_correction_that_was_cut_out_is_asked_about_and_says_which_take() -> None:
    record = carried(made(findings=(finding(WRONG),)), SENTENCES[:3] + SENTENCES[4:])
    assert record.findings[0].start_s is None
    assert record.findings[0].status == "open"
    (missing,) = record.not_in_cut
    assert (missing.kind, missing.finding, missing.file) == ("correction", "f1", "take-1.vtt")
    assert missing.at_s == timed(WRONG)["start_s"]
    assert missing.start_s is None
    assert "not in the cut" in record.findings[0].advice


def test_a_correction_said_again_elsewhere_stands_there() -> None:
    again = TAKES.words[span_of("dry fit the whole")[0]].start_s
    record = carried(made(findings=(finding(WRONG, repeated=(again,)),)), SENTENCES[:3] + SENTENCES[4:])
    assert record.findings[0].start_s is not None
    assert record.not_in_cut == ()


def test_an_open_slip_that_was_cut_out_is_nothing_to_ask_about() -> None:
    slip = finding(WRONG, kind="slip", status="open")
    assert carried(made(findings=(slip,)), SENTENCES[:3] + SENTENCES[4:]).not_in_cut == ()


def test_a_caution_and_a_promise_that_were_cut_out_are_asked_about() -> None:
    caution, later = "keep your fingers well away", "I will show you next time"
    start = timed(caution)["start_s"]
    hazard = Hazard(
        name="table saw", caution="Use a push stick.", source="-", words=caution, said=True, start_s=start
    )  # type: ignore[arg-type]
    promise = Promise(text=later, **timed(later))  # type: ignore[arg-type]
    record = carried(
        made(hazards=(hazard,), promises=(promise,)), SENTENCES[:2] + SENTENCES[3:8] + SENTENCES[9:]
    )
    assert [(n.kind, n.text) for n in record.not_in_cut] == [("caution", caution), ("promise", later)]
    assert record.promises == ()
    assert [h.start_s for h in record.hazards] == [None]


def test_a_mistake_and_a_mention_that_were_cut_out_are_gone() -> None:
    went = Mistake(why="slipped", **timed("well that went badly the batten slipped"))  # type: ignore[arg-type]
    tool = Mention(kind="tool", name="dado plane", words="dado plane", **timed("dado plane"))  # type: ignore[arg-type]
    record = carried(made(mistakes=(went,), mentions=(tool,)), SENTENCES[:4] + SENTENCES[6:])
    assert record.mistakes == ()
    assert record.mentions == ()


def test_a_tool_has_the_first_time_that_the_cut_has() -> None:
    first, later = TAKES.words[2].start_s, TAKES.words[40].start_s
    assert first is not None
    assert later is not None
    record = carried(
        made(tools=(ListedName(name="saw", start_s=first, times=(first, later)),)), WITHOUT_FIRST
    )
    assert record.tools[0].start_s == pytest.approx(later - FIRST_S)
    assert record.tools[0].times == (pytest.approx(later - FIRST_S),)


def chapters() -> tuple[Chapter, ...]:
    starts = [0, 3, 5, 8]
    spans = [u.span for u in TAKES.utterances]
    return tuple(
        Chapter(
            title=f"Chapter {n}",
            span=(spans[a][0], spans[b - 1][1]),
            start_s=TAKES.utterances[a].start_s,
            end_s=TAKES.utterances[b - 1].end_s,
        )
        for n, (a, b) in enumerate(pairwise([*starts, len(SENTENCES)]))
    )


def test_chapters_begin_with_the_first_words_that_are_left_of_them() -> None:
    record = carried(made(chapters=chapters()), SENTENCES[:5] + SENTENCES[6:])
    assert [c.title for c in record.chapters] == ["Chapter 0", "Chapter 1", "Chapter 2", "Chapter 3"]
    text = [" ".join(record.transcript.text(c.span).split()[:3]) for c in record.chapters]
    assert text == ["morning all this", "the plan says", "take a fresh", "the handles are"]
    assert record.chapters[-1].end_s == record.transcript.words[-1].end_s


def test_chapters_cover_the_cut_without_a_gap() -> None:
    record = carried(made(chapters=chapters()), (*SENTENCES[1:4], INSERT, *SENTENCES[6:]))
    assert record.chapters[0].start_s == 0.0
    assert all(a.span[1] == b.span[0] and a.end_s == b.start_s for a, b in pairwise(record.chapters))


def test_a_chapter_of_which_nothing_is_left_is_gone() -> None:
    record = carried(made(chapters=chapters()), SENTENCES[:5] + SENTENCES[8:])
    assert [c.title for c in record.chapters] == ["Chapter 0", "Chapter 1", "Chapter 3"]


def test_moved_chapters_stand_in_the_order_of_the_cut() -> None:
    record = carried(
        made(chapters=chapters()), SENTENCES[:3] + SENTENCES[5:8] + SENTENCES[3:5] + SENTENCES[8:]
    )
    assert [c.title for c in record.chapters] == ["Chapter 0", "Chapter 2", "Chapter 1", "Chapter 3"]
    assert all((a.start_s or 0.0) < (b.start_s or 0.0) for a, b in pairwise(record.chapters))


def test_steps_and_their_sizes_still_belong_together() -> None:
    sizes = (measure("nine and a half", "19/2"), measure("one and three quarters", "7/4"))
    step = Step(
        part="Rail", operation="rip", text="Rip both rails.", measures=(1,), **timed("first I rip both rails")
    )  # type: ignore[arg-type]
    record = carried(made(measures=sizes, steps=(step,)), SENTENCES[:3] + SENTENCES[4:])
    assert record.measures[record.steps[0].measures[0]].words == "one and three quarters"
    assert record.steps[0].start_s is not None


def test_the_part_in_hand_is_given_to_the_sentences_of_the_cut() -> None:
    held = tuple(
        InHand(utterance=n, parts=(f"Part {n}",), confidence=0.9, start_s=u.start_s)
        for n, u in enumerate(TAKES.utterances)
    )
    record = carried(made(in_hand=held), SENTENCES[4:6] + SENTENCES[:2])
    assert [(h.utterance, h.parts) for h in record.in_hand] == [
        (0, ("Part 4",)), (1, ("Part 5",)), (2, ("Part 0",)), (3, ("Part 1",)),
    ]  # fmt: skip


def test_an_insert_is_laid_behind_the_takes_and_carried_to_its_place() -> None:
    cut = talk((*SENTENCES[:4], INSERT, *SENTENCES[4:]), "cut.vtt")
    found = map_cut(cut, TAKES)
    both = with_inserts(TAKES, cut, found)
    assert both.text((len(TAKES.words), len(both.words))) == INSERT
    assert [f.name for f in both.files] == ["take-1.vtt", "cut.vtt"]
    begin = span_of("thin shellac", both)
    tool = Mention(
        kind="finish",
        name="shellac",
        words="thin shellac",
        span=begin,
        start_s=both.words[begin[0]].start_s,
        end_s=both.words[begin[1] - 1].end_s,
    )
    stamped = stamp(tool, both.files)
    wanted = cut.words[span_of("thin shellac", cut)[0]].start_s
    assert (stamped.file, stamped.at_s) == ("cut.vtt", wanted)
    record = EpisodeRecord(
        info=EpisodeInfo(), draft=True, transcript=both, part_list=None, mentions=(stamped,)
    )
    (there,) = carry_to_cut(record, cut, found).mentions
    assert there.start_s == wanted
    assert there.span == span_of("thin shellac", cut)


def test_takes_without_an_insert_stay_as_they_are() -> None:
    cut = talk(SENTENCES[2:], "cut.vtt")
    assert with_inserts(TAKES, cut, map_cut(cut, TAKES)) is TAKES


def test_the_record_shows_the_pieces_and_can_be_read_again() -> None:
    record = carried(made(findings=(finding(WRONG),)), SENTENCES[:3] + SENTENCES[4:])
    assert (record.cut_pieces[0].file, record.cut_pieces[0].at_s) == ("take-1.vtt", 0.0)
    assert isinstance(record.not_in_cut[0], NotInCut)
    assert from_json(to_json(record)) == record


def test_every_time_lies_within_the_cut_whatever_the_edit() -> None:
    rng = random.Random(11)  # noqa: S311 - invented data
    sizes = (
        measure("one and three quarters", "7/4"),
        measure("nine and a half", "19/2"),
        measure("a quarter deep", "1/4"),
    )
    record = made(measures=sizes, findings=(finding(WRONG),), chapters=chapters())
    for _ in range(25):
        order = rng.sample(SENTENCES, rng.randrange(1, len(SENTENCES)))
        done = carried(record, order)
        end = done.transcript.words[-1].end_s or 0.0
        for item in (*done.measures, *done.findings, *done.chapters):
            assert item.start_s is None or 0.0 <= item.start_s <= end
            assert 0 <= item.span[0] <= item.span[1] <= len(done.transcript.words)
        for size in done.measures:
            assert size.start_s is None or done.transcript.text(size.span) == size.words
