"""The maker's own phrases, named in build.toml, from the file to the record: plan note, warning, leave this out, next time."""

from __future__ import annotations

from pathlib import Path

from bench_talk import part, plan, transcript_of

from benchscribe.build import Markers
from benchscribe.episode import Job, understand
from benchscribe.markers import strike_marked
from benchscribe.records import EpisodeInfo, EpisodeRecord

MARKERS = Markers(
    plan_note=("red pencil time",),
    warning=("mind yourself here",),
    leave_out=("off the record",),
    next_time=("one for the shelf",),
)
RAIL = plan(part("Rail", 2, thickness="3/4", width="2 1/2", length="20 1/2"))
TALK = """Red pencil time. The rail is three quarters thick, two and a half wide and twenty and a quarter long.
Mind yourself here, the glue is still warm.
Off the record, the rail was nineteen inches long at first.
One for the shelf, the drawer with the false bottom."""


def understood(markers: Markers, tmp_path: Path) -> EpisodeRecord:
    """Do the main job from the words on, as an episode with these phrases does it."""
    job = Job(sources=(), info=EpisodeInfo(), markers=markers, cache=tmp_path)
    return understand(strike_marked(transcript_of(TALK), markers.leave_out), RAIL, job)


def test_the_phrases_of_a_build_declare_warn_strike_and_put_off(tmp_path: Path) -> None:
    """Each of the four does its own work in one talk."""
    record = understood(MARKERS, tmp_path)
    (finding,) = record.findings
    assert (finding.kind, finding.declared, finding.part) == ("plan-wrong", True, "Rail")
    assert "Mind yourself here, the glue is still warm" in [hazard.caution for hazard in record.hazards]
    assert "One for the shelf, the drawer with the false bottom." in [p.text for p in record.promises]
    assert "nineteen" not in " ".join(word.text for word in record.transcript.words)
    assert [gap.kind for gap in record.transcript.gaps] == ["off-record"]


def test_without_the_phrases_the_same_talk_declares_nothing(tmp_path: Path) -> None:
    """The words alone make a slip; nothing is struck and nothing is put off."""
    record = understood(Markers(), tmp_path)
    assert {f.kind for f in record.findings} == {"slip"}
    assert record.promises == ()
    assert record.transcript.gaps == ()
