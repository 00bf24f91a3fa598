"""Versions of the guide, and what changed since the one before."""

from __future__ import annotations

from fractions import Fraction

from msgspec import structs

from benchscribe.changes import with_version
from benchscribe.records import (
    CutRow,
    CutSize,
    EpisodeInfo,
    EpisodeRecord,
    Finding,
    Step,
    Transcript,
    from_json,
    to_json,
)


def guide(length: int, *, steps: tuple[str, ...] = ("rip",), is_open: bool = False) -> EpisodeRecord:
    size = CutSize(dimension="length", value=Fraction(length), unit="inch", origin="listed")
    row = CutRow(part="Rail", count=2, material="ash", sizes=(size,))
    doubt = Finding(id="f", kind="slip", part="Rail", dimension="length", spoken=None)
    return EpisodeRecord(
        info=EpisodeInfo(),
        draft=False,
        transcript=Transcript(files=(), clock="cut", words=(), utterances=()),
        part_list=None,
        cut_list=(row,),
        steps=tuple(Step(part="Rail", operation=name, text="", span=(0, 1)) for name in steps),
        findings=(doubt,) if is_open else (),
    )


def run(*records: EpisodeRecord) -> EpisodeRecord:
    """Write one after the other, on the first, second, third ... of the month."""
    before: EpisodeRecord | None = None
    for day, record in enumerate(records, 1):
        before = from_json(to_json(with_version(record, before, f"2030-02-0{day}")))
    assert before is not None
    return before


def told(record: EpisodeRecord) -> list[tuple[str, str, str]]:
    return [(line.part, line.what, line.text) for line in record.guide.changed]


def test_the_first_guide_is_version_one() -> None:
    made = run(guide(30)).guide
    assert (made.number, made.date, made.changed) == (1, "2030-02-01", ())


def test_a_size_that_changed_makes_a_new_version() -> None:
    made = run(guide(30), guide(31))
    assert (made.guide.number, made.guide.date, made.guide.since, made.guide.since_date) == (
        2,
        "2030-02-02",
        1,
        "2030-02-01",
    )
    assert told(made) == [("Rail", "length", "was 30 in, now 31 in")]


def test_a_run_that_changes_nothing_is_no_new_version() -> None:
    made = run(guide(30), guide(31), guide(31))
    assert (made.guide.number, made.guide.date) == (2, "2030-02-02")
    assert told(made) == [("Rail", "length", "was 30 in, now 31 in")]


def test_steps_that_came_and_went_are_told_behind_the_sizes() -> None:
    made = run(guide(30), guide(31, steps=("drill",)))
    assert told(made)[1:] == [("Rail", "step: drill", "new"), ("Rail", "step: rip", "left out")]


def test_drafts_between_are_no_versions_of_their_own() -> None:
    made = run(guide(30), guide(31, is_open=True), guide(32, is_open=True), guide(33))
    assert made.guide.number == 2
    assert told(made) == [("Rail", "length", "was 30 in, now 33 in")]


def test_a_guide_that_never_went_out_is_still_version_one() -> None:
    made = run(guide(30, is_open=True), guide(31, is_open=True), guide(32))
    assert (made.guide.number, made.guide.changed) == (1, ())


def test_a_draft_is_told_against_the_last_version_that_went_out() -> None:
    made = run(guide(30), guide(31), guide(32, is_open=True))
    assert (made.guide.number, made.guide.since) == (3, 2)
    assert told(made) == [("Rail", "length", "was 31 in, now 32 in")]


def test_an_earlier_record_without_a_version_is_none() -> None:
    assert with_version(guide(31), guide(30)).guide.number == 1


def test_a_part_that_is_new_is_told_whole() -> None:
    bare = structs.replace(guide(30), cut_list=())
    assert told(run(bare, guide(30))) == [("Rail", "count", "new, 2"), ("Rail", "length", "new, 30 in")]
