"""How findings are worded: numbers as they were said, reasons that are true, times of the take that is shown."""

from __future__ import annotations

from fractions import Fraction

import pytest
from bench_talk import part, plan, transcript_of

from benchscribe.findings import find_findings
from benchscribe.findings.wording import beside, size
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import find_mentions, load_vocabulary
from benchscribe.place import place
from benchscribe.records import EpisodeInfo, EpisodeRecord, Finding, PartList, Said, SourceFile, Transcript
from benchscribe.settle import _explain

MM = plan(
    part("Beam bar", 4, diameter="10 mm", length="1200 mm"),
    part("Seat slat", 5, thickness="42 mm", width="70 mm", length="1650 mm"),
    units="mm",
)
INCH = plan(
    part("Rail", 2, thickness="3/4", width="2 1/2", length="20 1/2"),
    part("Leg", 4, thickness="1 1/2", width="1 1/2", length="30"),
)


def told(text: str, part_list: PartList, **markers: list[str]) -> Finding:
    """Give the one finding of a short talk."""
    transcript = transcript_of(text)
    measures, numbers = find_measures(transcript, part_list.units, part_list)
    mentions = find_mentions(transcript, part_list, measures, load_vocabulary({}))
    placed = place(transcript, measures, numbers, mentions, part_list)
    found = find_findings(transcript, placed.measures, mentions, part_list, placed.in_hand, markers=markers)
    (finding,) = [f for f in found.findings if f.right is not True]
    return finding


@pytest.mark.parametrize(
    ("said", "written"),
    [
        (Said(Fraction(9, 2), "mm", "four and a half mil"), "4.5 mm"),
        (Said(Fraction(11, 8), "inch", "1.375"), "1.375 in"),
        (Said(Fraction(11, 8), "inch", "one and three eighths"), "1 3/8 in"),
        (Said(Fraction(135, 2), "degree", "67 and a half"), "67 1/2°"),
    ],
)
def test_a_size_is_written_as_it_was_said(said: Said, written: str) -> None:
    """Metric sizes are decimals, and inches are decimals where they were told in them."""
    assert size(said) == written


@pytest.mark.parametrize(
    ("listed", "said", "written"),
    [
        (Said(Fraction(1200), "mm"), Said(Fraction(115), "cm"), "1200 mm (120 cm)"),
        (Said(Fraction(11, 2), "inch"), Said(Fraction(140), "mm"), "5 1/2 in (139.7 mm)"),
        (Said(Fraction(230), "mm"), Said(Fraction(9), "inch"), "230 mm (9.06 in)"),
        (Said(Fraction(20), "degree"), Said(Fraction(25), "degree"), "20°"),
    ],
)
def test_two_units_are_told_in_both(listed: Said, said: Said, written: str) -> None:
    """A listed size is told in the unit of the said one too, never as a fraction of another system."""
    assert beside(listed, said) == written


def test_a_slip_says_that_nothing_was_said() -> None:
    """The reason of a slip names both sizes and that there was no remark."""
    finding = told(
        "The rail is three quarters thick, two and a half wide and twenty and a quarter long.", INCH
    )
    assert finding.kind == "slip"
    assert finding.why == (
        "You said 20 1/4 in for the length of Rail, and the list has 20 1/2 in; nothing was said about a difference."
    )


def test_a_plan_note_makes_a_slip_a_fault_of_the_plan() -> None:
    """The maker's own phrase declares it, and the reason says so in one sentence."""
    text = "Red pencil time. The rail is three quarters thick, two and a half wide and twenty and a quarter long."
    finding = told(text, INCH, plan_note=["red pencil time"])
    assert (finding.kind, finding.status) == ("plan-wrong", "declared")
    assert finding.why.endswith("the list has 20 1/2 in, and you marked it as a plan note.")


def test_a_choice_in_other_units_is_told_in_both() -> None:
    """What is said in metres stands beside the list's millimetres."""
    finding = told("The seat slats on mine are a metre eighty long, I like to lie down.", MM)
    assert finding.kind == "changed"
    assert "for the length of Seat slat; the plan has 1650 mm" in finding.why


def test_advice_gives_the_time_of_the_take_that_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    """Of the second take, both the place where it was heard and what to do name the take's own time."""
    finding = told(
        "The rail is three quarters thick, two and a half wide and twenty and a quarter long.", INCH
    )
    from msgspec import structs

    later = structs.replace(
        finding, start_s=125.0, file="take-2.mp4", at_s=5.0, advice=finding.advice.replace("0:04", "2:05")
    )
    files = tuple(
        SourceFile(name=f"take-{n}.mp4", offset_s=120.0 * (n - 1), duration_s=120.0, kind="video")
        for n in (1, 2)
    )
    record = EpisodeRecord(
        info=EpisodeInfo(),
        draft=True,
        transcript=Transcript(files=files, clock="takes", words=(), utterances=()),
        part_list=None,
        findings=(later,),
    )
    _explain(later, record)
    shown = capsys.readouterr().out
    assert "listen at take-2.mp4 0:05" in shown
    assert "2:05" not in shown
