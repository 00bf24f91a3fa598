"""Ten talks of ten trades: tools, materials, hazards, what went wrong and what is put off."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from talk_files import TALKS, alike, f1, load, plan, say, seconds_of

from benchscribe.mentions import find_mentions, listed_materials, listed_tools, load_vocabulary
from benchscribe.records import Mentions, Transcript


def heard(path: Path) -> tuple[dict[str, Any], Transcript, Mentions]:
    talk = load(path)
    transcript = say(talk["text"])
    return talk, transcript, find_mentions(transcript, plan(*talk["parts"]), (), load_vocabulary())


EACH = pytest.mark.parametrize("path", TALKS, ids=lambda p: p.stem)


def test_there_are_ten_talks_of_different_trades() -> None:
    assert len({load(path)["trade"] for path in TALKS}) >= 10


def test_tools_are_listed_over_all_trades() -> None:
    scores = [f1([t.name for t in listed_tools(m)], talk["tools"]) for talk, _, m in map(heard, TALKS)]
    assert sum(scores) / len(scores) >= 0.85


def test_materials_are_listed_over_all_trades() -> None:
    scores = [
        f1([t.name for t in listed_materials(m)], talk["materials"]) for talk, _, m in map(heard, TALKS)
    ]
    assert sum(scores) / len(scores) >= 0.78


@EACH
def test_the_stretch_that_went_wrong_is_found_and_no_other(path: Path) -> None:
    talk, transcript, mentions = heard(path)
    truths = [(seconds_of(transcript, a), seconds_of(transcript, b)) for a, b in talk["mistakes"]]
    assert len(mentions.mistakes) == len(truths)
    for found, (start, end) in zip(mentions.mistakes, truths, strict=True):
        assert found.start_s is not None
        assert found.end_s is not None
        assert found.start_s < end
        assert found.end_s > start


@EACH
def test_what_is_put_off_is_found(path: Path) -> None:
    talk, transcript, mentions = heard(path)
    starts = [p.start_s or 0.0 for p in mentions.promises]
    for phrase in talk["promises"]:
        assert any(abs(seconds_of(transcript, phrase) - start) <= 12 for start in starts)


@EACH
def test_every_hazard_that_the_talk_calls_for_is_there(path: Path) -> None:
    talk, _, mentions = heard(path)
    shown = [f"{h.name} {h.caution} {h.words}".lower() for h in mentions.hazards]
    for hazard in talk["hazards"]:
        wanted = [w for w in hazard.replace(",", "").split() if len(w) > 3]
        assert any(any(w in text for w in wanted) for text in shown)


@EACH
def test_hazards_come_once_each_and_are_not_many(path: Path) -> None:
    talk, _, mentions = heard(path)
    names = [h.name for h in mentions.hazards if h.source != "said in the talk"]
    assert len(names) == len(set(names))
    assert len(mentions.hazards) <= 2 * len(talk["hazards"]) + 2


@EACH
def test_every_hazard_has_a_caution_and_a_source(path: Path) -> None:
    assert all(h.name and h.caution and h.source for h in heard(path)[2].hazards)


def test_alike_needs_all_words_of_one_name_in_the_other() -> None:
    assert alike("bar clamps", "clamp")
    assert not alike("block plane", "jack plane")
