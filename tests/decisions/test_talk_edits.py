"""Words put right and stretches off the record, before anything is read out of the talk."""

from __future__ import annotations

import itertools

import pytest
from msgspec import structs
from talk_samples import BENCH, said, talk

from benchscribe.decisions import Decisions, across, carry_out, edit_talk, joined, plan_edits
from benchscribe.decisions.tables import OffRecord, WordChange
from benchscribe.records import Transcript

GROOVE = BENCH[3]


def word_change(told: Transcript, sentence: int, number: int, meant: str, *, words: int = 1) -> WordChange:
    """Make the table that the desk writes for some words of a sentence."""
    utterance = told.utterances[sentence]
    first = utterance.span[0] + number
    start = told.words[first].start_s
    return WordChange(
        heard=told.text((first, first + words)),
        meant=meant,
        sentence=told.text(utterance.span),
        file=told.files[0].name if start is not None else "",
        at=start,
        start=start,
    )


def stretch(told: Transcript, first: int, last: int) -> OffRecord:
    """Make the table that the desk writes for sentences off the record."""
    one, other = told.utterances[first], told.utterances[last]
    return OffRecord(
        sentence=told.text(one.span),
        to_sentence=told.text(other.span),
        file=told.files[0].name if one.start_s is not None else "",
        at=one.start_s,
        start=one.start_s,
        to_at=other.end_s,
        to_start=other.end_s,
    )


def test_a_word_put_right_keeps_its_time() -> None:
    told = talk()
    edited = edit_talk(told, Decisions(word=(word_change(told, 3, 2, "cills"),)))
    where = told.utterances[3].span[0] + 2
    old, new = told.words[where], edited.transcript.words[where]
    assert (new.text, new.start_s, new.end_s) == ("cills", old.start_s, old.end_s)
    assert edited.edited == {where}
    assert said(edited.transcript) == said(told).replace("Now the sells", "Now the cills")


def test_of_two_words_heard_alike_the_one_at_that_time_is_put_right() -> None:
    told = talk()
    edited = edit_talk(told, Decisions(word=(word_change(told, 2, 8, "cills"),)))
    assert "for the cills. Now the sells" in said(edited.transcript)


def test_a_full_stop_stays_behind_the_new_word() -> None:
    told = talk()
    edited = edit_talk(told, Decisions(word=(word_change(told, 2, 8, "cills"),)))
    assert edited.transcript.text(edited.transcript.utterances[2].span).endswith("cills.")


def test_one_word_may_become_several_that_share_its_time() -> None:
    told = talk()
    edited = edit_talk(told, Decisions(word=(word_change(told, 1, 4, "fourteen and a half"),)))
    new = [w for n, w in enumerate(edited.transcript.words) if n in edited.edited]
    old = told.words[told.utterances[1].span[0] + 4]
    assert [w.text for w in new] == ["fourteen", "and", "a", "half"]
    assert new[0].start_s == old.start_s
    assert new[-1].end_s == pytest.approx(old.end_s)
    assert all(a.end_s == b.start_s for a, b in itertools.pairwise(new))


def test_several_words_may_become_one_and_every_word_stays_in_a_sentence_and_a_cue() -> None:
    told = talk(cues=True)
    edited = edit_talk(told, Decisions(word=(word_change(told, 1, 4, "14-5/8", words=4),))).transcript
    assert edited.text(edited.utterances[1].span) == "I cut it at 14-5/8 off the stop."
    for spans in ([u.span for u in edited.utterances], [c.span for c in edited.cues]):
        assert spans[0][0] == 0
        assert spans[-1][1] == len(edited.words)
        assert all(a[1] == b[0] for a, b in itertools.pairwise(spans))


def test_a_word_struck_out_is_gone() -> None:
    told = talk()
    edited = edit_talk(told, Decisions(word=(word_change(told, 0, 1, ""),)))
    assert said(edited.transcript).startswith("Right the next piece")


def test_an_edit_is_found_again_where_another_model_heard_the_rest_otherwise_and_later() -> None:
    told = talk()
    change = word_change(told, 3, 2, "cills")
    other = talk([*BENCH[:3], "now the sells get a groove along this edge"], start_s=10.4)
    assert "now the cills get" in said(edit_talk(other, Decisions(word=(change,))).transcript)


def test_an_edit_that_another_model_makes_needless_is_not_reported() -> None:
    told = talk()
    change = word_change(told, 3, 2, "cills")
    other = talk([*BENCH[:3], GROOVE.replace("sells", "cills")])
    edited = edit_talk(other, Decisions(word=(change,)))
    assert edited.orphaned == ()
    assert said(edited.transcript) == said(other)


def test_an_edit_that_fits_nothing_is_reported() -> None:
    told = talk()
    change = structs.replace(word_change(told, 3, 2, "cills"), at=400.0, start=400.0)
    edited = edit_talk(told, Decisions(word=(change,)))
    assert said(edited.transcript) == said(told)
    assert len(edited.orphaned) == 1
    assert "sells" in edited.orphaned[0]


def test_notes_without_times_are_edited_by_their_sentence() -> None:
    told = talk(times=False)
    edited = edit_talk(told, Decisions(word=(word_change(told, 3, 2, "cills"),)))
    assert "for the sells. Now the cills" in said(edited.transcript)


@pytest.mark.parametrize("times", [True, False])
def test_a_stretch_off_the_record_leaves_no_word_behind(times: bool) -> None:
    told = talk(times=times, cues=True)
    edited = edit_talk(told, Decisions(off_record=(stretch(told, 2, 2),)))
    assert "Alwin" not in said(edited.transcript)
    assert len(edited.transcript.utterances) == len(BENCH) - 1
    assert len(edited.transcript.cues) == len(BENCH) - 1
    (gap,) = edited.transcript.gaps
    assert gap.kind == "off-record"
    assert "Alwin" not in gap.note


def test_a_stretch_is_off_the_record_for_another_model_too() -> None:
    told = talk()
    other = talk([*BENCH[:2], "My neighbor Alvin oh is me forty for the cells", *BENCH[3:]], start_s=10.2)
    edited = edit_talk(other, Decisions(off_record=(stretch(told, 2, 2),)))
    assert "Alvin" not in said(edited.transcript)
    assert "off the stop." in said(edited.transcript)
    assert "Now the sells" in said(edited.transcript)


def test_a_stretch_that_is_not_there_is_reported_without_a_word_of_it() -> None:
    told = talk()
    gone = structs.replace(stretch(told, 2, 2), at=900.0, start=900.0, to_at=904.0, to_start=904.0)
    edited = edit_talk(told, Decisions(off_record=(gone,)))
    assert len(edited.orphaned) == 1
    assert "Alwin" not in edited.orphaned[0]


def test_an_edit_inside_a_stretch_off_the_record_has_nothing_to_do() -> None:
    told = talk()
    both = Decisions(word=(word_change(told, 2, 8, "cills"),), off_record=(stretch(told, 2, 2),))
    edited = edit_talk(told, both)
    assert edited.orphaned == ()
    assert "cills" not in said(edited.transcript)


def test_what_is_edited_in_the_cut_is_edited_in_the_takes_as_well() -> None:
    takes = talk()
    cut = talk(BENCH[1:4], name="cut.m4a", start_s=0.0)
    skipped = takes.utterances[1].span[0]
    decisions = Decisions(word=(word_change(cut, 2, 2, "cills"),), off_record=(stretch(cut, 1, 1),))
    there = across(plan_edits(cut, decisions), cut, takes, lambda word: word + skipped)
    edited = carry_out(takes, joined(plan_edits(takes, decisions), there))
    assert said(carry_out(takes, there).transcript) == said(edited.transcript)
    assert "Now the cills get" in said(edited.transcript)
    assert "Alwin" not in said(edited.transcript)


def test_words_that_only_one_recording_has_are_struck_between_those_that_both_have() -> None:
    takes = talk()
    cut = talk([BENCH[2].replace("owes me", "well owes me")], name="cut.m4a", start_s=0.0)
    takes_first = takes.utterances[2].span[0]
    met = {0: 0, 1: 1, 2: 2, 7: 6, 8: 7, 9: 8}
    plan = plan_edits(cut, Decisions(off_record=(stretch(cut, 0, 0),)))
    there = across(plan, cut, takes, lambda word: takes_first + met[word] if word in met else None)
    assert said(carry_out(takes, there).transcript) == " ".join(BENCH[:2] + BENCH[3:])
