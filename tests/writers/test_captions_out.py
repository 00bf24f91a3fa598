from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import pytest
import srt
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from odd_records import HOSTILE, bare, hostile, long_talk, with_cues, with_good_cues, without_times
from outside_checks import vtt_cues, vtt_faults
from sample_records import cabinet, measure, published, spoken

from benchscribe.markers import strike_marked
from benchscribe.records import Cue, EpisodeRecord, Utterance, Word
from benchscribe.writers.caption_lines import WIDTH, break_lines, leaning
from benchscribe.writers.caption_times import FASTEST_WPM, LONGEST_S, SHIFT_S, CaptionCue, eased
from benchscribe.writers.captions import captions_srt, captions_vtt, make_cues
from benchscribe.writers.view import make_view

Golden = Callable[[str, str | bytes], None]


def vtt_of(record: EpisodeRecord) -> str:
    made = captions_vtt(make_view(record))
    assert made is not None
    return made.decode()


def text_of(record: EpisodeRecord) -> str:
    return " ".join(" ".join(cue.lines) for cue in make_cues(record))


def test_the_sample_is_as_agreed(golden: Golden) -> None:
    golden("writers/cabinet.captions.vtt", vtt_of(cabinet()))
    golden("writers/cabinet-cues.captions.vtt", vtt_of(with_good_cues(cabinet())))
    golden("writers/cabinet.captions.srt", captions_srt(make_view(cabinet())) or b"")


def test_captions_keep_the_two_lines_of_42_and_the_seven_seconds() -> None:
    for cue in make_cues(long_talk(600)):
        assert len(cue.lines) <= 2
        assert all(len(line) <= WIDTH for line in cue.lines)
        assert 1.0 <= cue.end_s - cue.start_s <= LONGEST_S


def test_captions_do_not_overlap_and_no_word_is_lost() -> None:
    record = long_talk(600)
    cues = make_cues(record)
    assert all(a.end_s <= b.start_s for a, b in pairwise(cues))
    assert text_of(record).split() == [w.text for w in record.transcript.words]


def test_a_size_and_its_unit_stay_on_one_line() -> None:
    for words_each in range(2, 12):
        text = vtt_of(with_cues(cabinet(), words_each))
        for size in (
            "7 1/4 inches",
            "30 1/2 inches",
            "22 1/4 inches",
            "5/8 inch",
            "6 1/4 inches",
            "2 5/8",
            "6 7/8",
        ):
            assert any(size in line for line in text.splitlines()), (words_each, size)


def test_captions_that_were_cut_with_care_keep_their_times() -> None:
    record = with_good_cues(cabinet())
    made = make_cues(record)
    assert [c.start_s for c in made] == [cue.start_s for cue in record.transcript.cues]
    for cue, came in zip(made, record.transcript.cues, strict=True):
        assert came.end_s is not None
        assert cue.end_s >= came.end_s
        assert cue.end_s == came.end_s or cue.wpm <= FASTEST_WPM


def test_captions_that_a_recogniser_cut_anywhere_are_cut_again_at_phrases() -> None:
    for words_each in (5, 11, 26):
        record = with_cues(cabinet(), words_each)
        made = make_cues(record)
        assert made == make_cues(cabinet())


def test_one_caption_too_long_among_good_ones_is_cut_and_the_others_stay() -> None:
    record = with_good_cues(cabinet())
    good = record.transcript.cues
    joined = (Cue((0, good[1].span[1]), good[0].start_s, good[1].end_s), *good[2:])
    made = make_cues(replace(record, transcript=replace(record.transcript, cues=joined)))
    assert all(len(c.lines) <= 2 for c in made)
    assert [c.start_s for c in good[2:]] == [c.start_s for c in made][-len(good[2:]) :]
    assert len(made) == len(good)


def test_a_caption_whose_every_word_belongs_to_the_size_before_is_joined_to_it() -> None:
    record = with_good_cues(cabinet())
    size = next(m for m in record.measures if m.words == "thirty and a half inches")
    begin, end = size.span
    words = record.transcript.words
    cues = []
    for cue in record.transcript.cues:
        if cue.span[0] <= begin < cue.span[1]:
            spans = [(cue.span[0], begin + 1), (begin + 1, end)]
            spans += [(end, cue.span[1])] if end < cue.span[1] else []
            cues += [Cue(s, words[s[0]].start_s, words[s[1] - 1].end_s) for s in spans]
        else:
            cues.append(cue)
    made = make_cues(replace(record, transcript=replace(record.transcript, cues=tuple(cues))))
    (joined,) = [c for c in made if "30 1/2 inches" in " ".join(c.lines)]
    assert joined.end_s >= (words[end - 1].end_s or 0.0)
    assert not any(c.start_s == words[begin + 1].start_s for c in made)


def test_what_was_taken_back_is_still_in_the_captions() -> None:
    assert "cut this one to 5/8, no, make that 11/16." in text_of(cabinet())


def test_a_slip_stays_as_it_was_said() -> None:
    assert "22 1/4 inches long" in text_of(cabinet())


def test_trade_words_are_repaired() -> None:
    assert "miter saw" in text_of(cabinet())
    assert "mider" not in text_of(cabinet())


def test_feet_stay_feet() -> None:
    words, utterances = spoken(["The post is six foot two long."])
    record = bare()
    said = measure(words, "six foot two", Fraction(74))
    transcript = replace(record.transcript, words=words, utterances=utterances)
    assert "6 ft 2 in long" in text_of(replace(record, transcript=transcript, measures=(said,)))


@pytest.mark.parametrize(
    ("said", "value", "shown"),
    [
        ("an inch and a half", Fraction(3, 2), "1 1/2 inches"),
        ("half an inch", Fraction(1, 2), "1/2 inch"),
        ("two and a quarter inch", Fraction(9, 4), "2 1/4 inch"),
        ("eight footers", Fraction(96), "eight footers"),
    ],
)
def test_sizes_are_written_as_they_were_said(said: str, value: Fraction, shown: str) -> None:
    words, utterances = spoken([f"They were {said} to start."])
    record = bare()
    transcript = replace(record.transcript, words=words, utterances=utterances)
    text = text_of(replace(record, transcript=transcript, measures=(measure(words, said, value),)))
    assert text == f"They were {shown} to start."


def test_no_line_ends_on_a_word_that_leans_on_the_next() -> None:
    lines = [line for cue in make_cues(cabinet()) for line in cue.lines]
    assert [line for line in lines if line.split()[-1].casefold() in leaning()] == []


def test_lines_break_at_the_end_of_a_phrase() -> None:
    text = [
        "so",
        "I",
        "measured",
        "it",
        "off",
        "the",
        "drawer,",
        "and",
        "it",
        "came",
        "to",
        "six",
        "and",
        "a",
        "bit",
    ]
    assert break_lines(text)[0] == "so I measured it off the drawer,"


def test_a_word_longer_than_a_line_stands_whole() -> None:
    assert break_lines(["x" * 60, "and", "more"]) == ("x" * 60, "and more")


def test_fast_talk_is_flagged() -> None:
    words, utterances = spoken(["so then we " * 12], word_s=0.15)
    record = bare()
    fast = replace(record, transcript=replace(record.transcript, words=words, utterances=utterances))
    assert "words a minute" in vtt_of(fast)
    assert "words a minute" not in vtt_of(cabinet())


def test_a_caption_stands_on_into_the_pause_behind_it_before_it_is_called_fast() -> None:
    first = CaptionCue(0.0, 2.0, ("one two three four", "five six seven eight nine"))
    later = CaptionCue(6.0, 8.0, ("ten",))
    eased_first, eased_later = eased([first, later])
    assert (eased_first.start_s, eased_first.end_s) == (0.0, 3.0)
    assert eased_first.wpm == FASTEST_WPM
    assert eased_later == later


def test_a_caption_without_a_pause_behind_it_begins_early_and_the_next_waits() -> None:
    fast = CaptionCue(1.0, 3.0, ("one two three four", "five six seven eight"))
    slow = CaptionCue(3.0, 7.0, ("nine ten",))
    made = eased([fast, slow])
    assert made[0].start_s == pytest.approx(0.7)
    assert made[0].end_s == made[1].start_s
    assert 3.0 < made[1].start_s <= 3.3
    assert eased([fast, slow], shift=False) == (fast, slow)


@given(st.lists(st.tuples(st.floats(0, 3), st.floats(0.05, 8), st.integers(1, 20)), min_size=1, max_size=12))
def test_easing_never_makes_captions_overlap_nor_move_far(rows: list[tuple[float, float, int]]) -> None:
    cues, now = [], 0.0
    for pause, stands, words in rows:
        cues.append(CaptionCue(now + pause, now + pause + stands, (" ".join(["word"] * words),)))
        now += pause + stands
    made = eased(cues)
    for before, after in pairwise(made):
        assert before.end_s <= after.start_s + 1e-9
    for old, new in zip(cues, made, strict=True):
        assert abs(new.start_s - old.start_s) <= SHIFT_S + 0.001
        assert new.end_s >= old.end_s - 0.001
        wanted = min(old.end_s - old.start_s, 60 * old.words / FASTEST_WPM)
        assert new.end_s - new.start_s >= wanted - 0.002


def test_a_single_word_gets_a_second() -> None:
    (cue,) = make_cues(bare("Hello"))
    assert cue.end_s - cue.start_s == pytest.approx(1.0)


def test_without_times_there_are_no_captions() -> None:
    view = make_view(without_times(cabinet()))
    assert captions_vtt(view) is None
    assert captions_srt(view) is None


def test_the_draft_line_is_a_note() -> None:
    assert "NOTE draft: times are of the takes\n" in vtt_of(cabinet())
    assert "draft" not in vtt_of(published())


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_words_are_text_in_webvtt(name: str) -> None:
    assert vtt_faults(vtt_of(hostile(name))) == []


@pytest.mark.parametrize("name", HOSTILE)
def test_subrip_reads_back_with_as_many_captions_as_webvtt(name: str) -> None:
    made = captions_srt(make_view(hostile(name)))
    assert made is not None
    subtitles = list(srt.parse(made.decode(), ignore_errors=False))
    assert [s.index for s in subtitles] == list(range(1, len(subtitles) + 1))
    assert [s.start.total_seconds() for s in subtitles] == pytest.approx(
        [c.start_s for c in make_cues(hostile(name))], abs=0.001
    )
    assert not any("<script>" in s.content for s in subtitles)


def test_captions_that_end_before_they_begin_are_put_right() -> None:
    record = bare("one two")
    cues = (Cue((0, 1), 5.0, 5.0), Cue((1, 2), 9.0, 8.0))
    made = vtt_of(replace(record, transcript=replace(record.transcript, cues=cues)))
    assert vtt_faults(made) == []
    assert len(vtt_cues(made)) == 2


def test_words_without_times_among_timed_ones_are_kept() -> None:
    words = (Word("one", 1.0, 1.2), Word("two"), Word("three", 2.0, 2.3))
    record = bare()
    transcript = replace(record.transcript, words=words, utterances=(Utterance((0, 3), 1.0, 2.3),))
    assert text_of(replace(record, transcript=transcript)) == "one two three"


@pytest.mark.parametrize(
    "cues", [lambda r: r, with_good_cues, with_cues], ids=["words", "good cues", "cues cut anywhere"]
)
def test_what_was_struck_is_in_no_caption_and_none_stands_there(
    cues: Callable[[EpisodeRecord], EpisodeRecord],
) -> None:
    words, utterances = spoken(
        ["Now the rail goes on.", "Leave this out, the neighbour owes me forty.", "And it gets two screws."]
    )
    words = tuple(replace(w, end_s=(w.end_s or 0.0) + 0.02) for w in words)
    record = bare()
    whole = cues(replace(record, transcript=replace(record.transcript, words=words, utterances=utterances)))
    struck = replace(whole, transcript=strike_marked(whole.transcript, ["leave this out"]))
    view = make_view(struck)
    for text in ((captions_vtt(view) or b"").decode(), (captions_srt(view) or b"").decode()):
        assert "neighbour" not in text
        assert "two screws" in text
    (gap,) = struck.transcript.gaps
    assert gap.start_s is not None
    assert gap.end_s is not None
    for cue in make_cues(struck):
        shown_there = min(cue.end_s, words[12].end_s or 0.0) - max(cue.start_s, words[5].start_s or 0.0)
        assert shown_there <= 0.05, cue


def test_captions_of_rough_notes_can_be_read_and_begin_at_their_marks() -> None:
    marks = (0.0, 20.0, 55.0)
    passage = "lay the pattern on the cloth and chalk round it twice then cut along the line and leave the seam alone".split()
    words = tuple(Word(text, mark) for mark in marks for text in passage)
    each = len(passage)
    record = bare()
    notes = replace(
        record,
        transcript=replace(
            record.transcript,
            clock="notes",
            words=words,
            cues=(),
            utterances=tuple(
                Utterance((n * each, (n + 1) * each), mark, mark) for n, mark in enumerate(marks)
            ),
        ),
    )
    cues = make_cues(notes)
    assert all(cue.end_s - cue.start_s >= 1.0 and cue.wpm <= FASTEST_WPM + 1 for cue in cues)
    assert all(any(abs(cue.start_s - mark) <= SHIFT_S for cue in cues) for mark in marks)
