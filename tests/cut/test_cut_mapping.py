"""A cut is mapped onto its takes by the words that they share."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest

from benchscribe.cut import CutMap, map_cut
from benchscribe.records import SourceFile, Transcript, Utterance, Word


def _words(text: str) -> list[str]:
    return text.split()


TALK = _words(
    "today we build the lid of the tool chest and the first thing is the frame around the panel so rip two stiles to two and a quarter "
    "then crosscut both rails with the stop block set once and never touched again after that comes the groove for the panel which runs "
    "from end to end on the router table with a quarter inch bit now dry fit everything before any glue goes near it because a twisted "
    "lid never closes and nobody wants to plane that out later I check the diagonals with a folding rule and they agree to the width of "
    "a pencil line good enough spread glue thinly on the tenons only bring the clamps up slowly and leave the whole thing alone overnight"
)
INSERT = _words(
    "thanks to everybody who wrote about the drawings last month your letters keep me going please send more photographs of benches"
)
PACE_S = 0.4


def spoken(words: list[str], offset_s: float = 0.0) -> list[Word]:
    return [Word(text, offset_s + i * PACE_S, offset_s + i * PACE_S + 0.3) for i, text in enumerate(words)]


def transcript(words: list[Word], *files: tuple[str, float]) -> Transcript:
    sources = tuple(
        SourceFile(name=n, offset_s=o, duration_s=None, kind="captions")
        for n, o in files or (("take-1.vtt", 0.0),)
    )
    utterances = (Utterance((0, len(words)), words[0].start_s, words[-1].end_s),) if words else ()
    return Transcript(files=sources, clock="takes", words=tuple(words), utterances=utterances)


def mapped(cut: list[str], takes: list[str] = TALK) -> CutMap:
    return map_cut(transcript(spoken(cut)), transcript(spoken(takes)))


def takes_of(found: CutMap) -> list[tuple[int, int] | None]:
    return [piece.take_span for piece in found.pieces]


def test_a_cut_that_is_the_whole_take_is_one_piece() -> None:
    found = mapped(TALK)
    assert takes_of(found) == [(0, len(TALK))]
    assert found.to_take(12.3) == pytest.approx(12.3)
    assert found.to_cut(12.3) == pytest.approx(12.3)


def test_what_was_cut_out_has_no_time_in_the_cut() -> None:
    found = mapped(TALK[:40] + TALK[60:])
    assert takes_of(found) == [(0, 40), (60, len(TALK))]
    assert found.to_cut(50 * PACE_S) is None
    assert found.to_cut(70 * PACE_S) == pytest.approx(50 * PACE_S)
    assert found.to_take(50 * PACE_S) == pytest.approx(70 * PACE_S)


def test_an_insert_is_a_piece_without_a_take() -> None:
    found = mapped(TALK[:50] + INSERT + TALK[50:])
    assert takes_of(found) == [(0, 50), None, (50, len(TALK))]
    assert found.to_take(60 * PACE_S) is None
    assert found.pieces[1].cut_span == (50, 50 + len(INSERT))


def test_a_moved_passage_is_a_piece_of_its_own_and_says_so() -> None:
    found = mapped(TALK[:30] + TALK[60:90] + TALK[30:60] + TALK[90:])
    assert takes_of(found) == [(0, 30), (60, 90), (30, 60), (90, len(TALK))]
    assert [piece.moved for piece in found.pieces] == [False, True, False, False]
    assert found.to_cut(70 * PACE_S) == pytest.approx(40 * PACE_S)


def test_a_teaser_shown_twice_maps_back_to_the_longer_piece() -> None:
    found = mapped(TALK[70:90] + TALK)
    assert found.to_take(2.0) == pytest.approx(2.0 + 70 * PACE_S)
    assert found.to_cut(75 * PACE_S) == pytest.approx(95 * PACE_S)


def test_a_voice_over_in_the_same_turn_of_phrase_is_no_second_use_of_the_take() -> None:
    said = _words(
        "the list says the long rails are nine inches wide and that is wrong they need to be ten inches wide"
    )
    over = _words(
        "the list says the two posts are four inches thick and that is wrong they need to be five inches thick"
    )
    found = mapped(TALK[:40] + said + over + TALK[40:], TALK[:40] + said + TALK[40:])
    assert takes_of(found) == [(0, 40 + len(said)), None, (40 + len(said), len(TALK) + len(said))]


def test_of_two_tries_the_later_one_is_meant() -> None:
    again = TALK[:50] + TALK[30:50] + TALK[50:]
    found = mapped(TALK, again)
    assert takes_of(found) == [(0, 30), (50, len(again))]


def test_misheard_words_keep_their_place() -> None:
    heard = [w if i % 7 else "mhm" for i, w in enumerate(TALK)]
    found = mapped(heard)
    assert len(found.pieces) == 1
    assert found.pieces[0].confidence == pytest.approx(6 / 7, abs=0.02)
    assert all(found.to_take(i * PACE_S) == pytest.approx(i * PACE_S) for i in range(len(TALK)))


def test_every_piece_names_its_take_and_the_time_in_it() -> None:
    words = spoken(TALK[:60]) + spoken(TALK[60:], offset_s=100.0)
    found = map_cut(transcript(spoken(TALK)), transcript(words, ("take-1.vtt", 0.0), ("take-2.vtt", 100.0)))
    assert [(p.file, p.at_s) for p in found.pieces] == [("take-1.vtt", 0.0), ("take-2.vtt", 0.0)]


def test_another_talk_of_the_trade_is_an_insert_from_end_to_end() -> None:
    other = _words(
        "this week the handle gets its pins and the first thing is to drill the bolster so mark the centres and run the small bit in "
        "the press with a stop then the scales go on with epoxy and two clamps and nobody touches it until the morning after that"
    )
    assert takes_of(mapped(other)) == [None]


def test_the_pieces_cover_every_word_once() -> None:
    rng = random.Random(3)  # noqa: S311 - invented data
    cut = TALK[20:70] + INSERT + TALK[:15] + TALK[90:]
    found = mapped([w if rng.random() > 0.1 else "mhm" for w in cut])
    spans = [piece.cut_span for piece in found.pieces]
    assert spans[0][0] == 0
    assert spans[-1][1] == len(cut)
    assert all(a[1] == b[0] for a, b in pairwise(spans))


@pytest.mark.parametrize(("cut", "takes"), [([], TALK), (TALK, []), ([], [])])
def test_nothing_on_one_side_maps_nothing(cut: list[str], takes: list[str]) -> None:
    found = mapped(cut, takes)
    assert found.to_cut(1.0) is None
    assert found.to_take(1.0) is None
    assert found.share_mapped == 0.0


def test_words_without_a_time_are_passed_over() -> None:
    words = [Word("hello", None, None), *spoken(TALK)]
    found = map_cut(transcript(words), transcript(spoken(TALK)))
    assert found.inside[0] is None
    assert found.take_words[1] == 0
