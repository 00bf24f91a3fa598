from __future__ import annotations

import json
import re
from itertools import pairwise

import jsonschema
import pytest
from msgspec.structs import replace
from odd_records import HOSTILE, bare, hostile, long_talk, without_times
from outside_checks import CHAPTERS_SCHEMA, vtt_cues, vtt_faults
from sample_records import cabinet, published

from benchscribe.records import Chapter, EpisodeRecord
from benchscribe.writers.chapters import chapters_json, chapters_vtt, listed_chapters, running_end
from benchscribe.writers.view import make_view


def with_chapters(*starts: float) -> EpisodeRecord:
    chapters = tuple(Chapter(title=f"At {s}", span=(0, 1), start_s=s) for s in starts)
    return replace(published(), chapters=chapters)


def json_of(record: EpisodeRecord) -> dict:  # type: ignore[type-arg]
    made = chapters_json(make_view(record))
    assert made is not None
    document: dict = json.loads(made)  # type: ignore[type-arg]
    return document


@pytest.mark.parametrize("name", ["plain", *HOSTILE])
def test_json_chapters_follow_the_open_specification(name: str) -> None:
    document = json_of(hostile(name))
    jsonschema.validate(document, CHAPTERS_SCHEMA)
    starts = [c["startTime"] for c in document["chapters"]]
    assert starts == sorted(starts)
    assert all(c["endTime"] > c["startTime"] for c in document["chapters"])


@pytest.mark.parametrize("name", ["plain", *HOSTILE])
def test_webvtt_chapters_have_no_faults_and_do_not_overlap(name: str) -> None:
    made = (chapters_vtt(make_view(hostile(name))) or b"").decode()
    assert vtt_faults(made) == []
    cues = vtt_cues(made)
    assert all(a[1] <= b[0] for a, b in pairwise(cues))


def test_the_first_chapter_begins_at_nought() -> None:
    record = with_chapters(3.2, 40, 70)
    assert json_of(record)["chapters"][0]["startTime"] == 0
    assert listed_chapters(record)[0].start_s == 0


def test_listed_chapters_are_ten_seconds_or_longer() -> None:
    end = running_end(published())
    assert end is not None
    starts = [c.start_s for c in listed_chapters(with_chapters(0, 5, 40, 49, 50, end - 5))]
    assert starts == [0, 40, 50]


def test_fewer_than_three_chapters_are_no_list() -> None:
    assert listed_chapters(with_chapters(0, 60)) == ()


def test_chapters_at_the_same_time_are_one() -> None:
    assert len(json_of(with_chapters(0, 30, 30, 60))["chapters"]) == 3


def test_the_draft_is_told_in_the_json() -> None:
    assert json_of(cabinet())["description"] == "draft: times are of the takes"
    assert "description" not in json_of(published())


def test_without_times_there_is_no_chapter_file() -> None:
    view = make_view(without_times(cabinet()))
    assert chapters_vtt(view) is None
    assert chapters_json(view) is None


def test_an_episode_without_chapters_has_no_chapter_file() -> None:
    assert chapters_json(make_view(bare())) is None


def test_four_hours_have_hours_in_their_times() -> None:
    record = long_talk(40)
    far = tuple(replace(c, start_s=n * 720.0) for n, c in enumerate(record.chapters))
    made = (chapters_vtt(make_view(replace(record, chapters=far))) or b"").decode()
    assert re.search(r"^03:48:00\.000 --> ", made, re.MULTILINE)
