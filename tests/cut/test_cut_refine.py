"""The map by words is sharpened by what sounds the same."""

from __future__ import annotations

import pytest

from benchscribe.cut import CutMap, map_cut, refine
from benchscribe.cut.places import Places
from benchscribe.records import SourceFile, Transcript, Utterance, Word
from benchscribe.sound import Same

TALK = (
    "today we build the lid of the tool chest and the first thing is the frame around the panel so rip two stiles to two and a quarter "
    "then crosscut both rails with the stop block set once and never touched again after that comes the groove for the panel which runs "
    "from end to end on the router table with a quarter inch bit now dry fit everything before any glue goes near it because a twisted"
).split()
PACE_S = 0.4


def transcript(
    words: list[str], off_s: float = 0.0, names: tuple[tuple[str, float], ...] = (("take-1.wav", 0.0),)
) -> Transcript:
    """Date words evenly; `off_s` is how far the recogniser dates them wrong."""
    dated = tuple(Word(w, i * PACE_S + off_s, i * PACE_S + off_s + 0.3) for i, w in enumerate(words))
    return Transcript(
        files=tuple(SourceFile(name=n, offset_s=o, duration_s=100.0, kind="audio") for n, o in names),
        clock="takes",
        words=dated,
        utterances=(Utterance((0, len(words)), 0.0, None),),
    )


def same(from_s: float, to_s: float, at_s: float, other: int = 0) -> Same:
    return Same(from_s=from_s, to_s=to_s, other=other, at_s=at_s, likeness=0.95)


def refined(cut: list[str], *stretches: Same, off_s: float = 0.0) -> CutMap:
    ours, theirs = transcript(cut, off_s), transcript(TALK)
    return refine(map_cut(ours, theirs), ours, theirs, stretches)


def test_words_dated_wrong_do_not_shift_a_piece_that_the_sound_knows() -> None:
    found = refined(TALK[20:60], same(0.0, 16.0, 8.0), off_s=0.25)
    (piece,) = found.pieces
    assert (piece.take_from_s, piece.cut_from_s, piece.cut_to_s, piece.by) == (
        8.0,
        0.0,
        16.0,
        "words and sound",
    )
    assert found.to_take(10.0) == 18.0
    assert found.to_cut(18.0) == 10.0
    assert found.take_words == tuple(range(20, 60))


def test_at_a_joint_each_word_goes_to_the_side_whose_take_says_it() -> None:
    found = refined(TALK[0:20] + TALK[50:75], same(0.0, 8.0, 0.0), same(8.0, 18.0, 20.0), off_s=-0.3)
    assert [p.cut_span for p in found.pieces] == [(0, 20), (20, 45)]
    assert [p.take_span for p in found.pieces] == [(0, 20), (50, 75)]


def test_a_passage_in_which_nothing_is_said_is_a_piece_by_the_sound() -> None:
    ours, theirs = transcript(TALK[:20]), transcript(TALK[:20])
    found = refine(map_cut(ours, theirs), ours, theirs, [same(0.0, 8.0, 0.0), same(9.0, 30.0, 40.0)])
    saw = found.pieces[1]
    assert (saw.by, saw.cut_span, saw.at_s, saw.confidence) == ("sound", (20, 20), 40.0, 0.95)
    assert found.to_take(12.0) == pytest.approx(43.0)
    assert found.to_cut(61.0) == pytest.approx(30.0)


def test_of_two_takes_of_the_same_words_the_sound_tells_which_is_in_the_cut() -> None:
    theirs = transcript(TALK[:40] + TALK[:40])
    ours = transcript(TALK[:40])
    by_words = map_cut(ours, theirs)
    wanted = 0.0 if (by_words.to_take(1.0) or 0.0) > 16.0 else 16.0
    found = refine(by_words, ours, theirs, [same(0.0, 16.0, wanted)])
    assert found.to_take(1.0) == wanted + 1.0


def test_words_that_no_sound_covers_stay_where_the_words_have_them() -> None:
    found = refined(TALK[:60], same(0.0, 7.4, 0.0))
    assert [p.by for p in found.pieces] == ["words and sound", "words"]
    assert found.to_take(20.0) == pytest.approx(20.0)
    assert found.take_words == tuple(range(60))


def test_an_insert_between_two_stretches_stays_an_insert() -> None:
    insert = (
        "thanks to everybody who wrote about the drawings last month please send more photographs".split()
    )
    found = refined(TALK[:20] + insert + TALK[20:40], same(0.0, 8.0, 0.0), same(13.6, 21.6, 8.0))
    assert [p.take_span for p in found.pieces] == [(0, 20), None, (20, 40)]
    assert found.to_take(10.0) is None


def test_a_knock_over_the_sound_does_not_part_a_piece() -> None:
    found = refined(TALK[:60], same(0.0, 8.0, 0.0), same(8.4, 24.0, 8.4))
    assert len(found.pieces) == 1


def test_pieces_name_the_take_and_the_time_in_it() -> None:
    names = (("take-1.wav", 0.0), ("take-2.wav", 12.0))
    ours, theirs = transcript(TALK[40:70]), transcript(TALK, names=names)
    (piece,) = refine(map_cut(ours, theirs), ours, theirs, [same(0.0, 12.0, 4.0, other=1)]).pieces
    assert (piece.file, piece.at_s, piece.take_from_s) == ("take-2.wav", 4.0, 16.0)


def test_without_sound_the_map_is_the_words() -> None:
    ours, theirs = transcript(TALK[:30]), transcript(TALK)
    by_words = map_cut(ours, theirs)
    assert refine(by_words, ours, theirs, []) is by_words
    assert {p.by for p in by_words.pieces} == {"words"}


def test_what_was_heard_quite_otherwise_is_in_the_cut_where_the_sound_says_so() -> None:
    heard = [*TALK[:20], *("mumble grumble tumbler fell over blank thing went by".split()), *TALK[29:60]]
    ours, theirs = transcript(heard), transcript(TALK)
    by_words = map_cut(ours, theirs)
    exact = refine(by_words, ours, theirs, [same(0.0, 24.0, 0.0)])
    assert Places(theirs, ours, by_words).stretch((20, 29)) is None
    assert Places(theirs, ours, exact).stretch((20, 29)) == (20, 29)
    cut_out = refine(by_words, ours, theirs, [same(0.0, 8.0, 0.0), same(11.6, 24.0, 11.6)])
    assert Places(theirs, ours, cut_out).stretch((20, 29)) is None
