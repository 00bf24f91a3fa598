"""Layout marks and holes have a place in the guide though no row lists them."""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace
from sample_records import cabinet

from benchscribe.records import EpisodeRecord, Finding, Measure, Said, Step, Transcript, Utterance, Word
from benchscribe.writers.guide import guide_html, guide_md, guide_pdf
from benchscribe.writers.marks import marks_by_part
from benchscribe.writers.view import make_view

WORDS = "The holes are a quarter across and two from the end".split()


def drilled(*steps: Step, role: str = "feature", findings: tuple[Finding, ...] = ()) -> EpisodeRecord:
    words = tuple(Word(w, 0.3 * n, 0.3 * n + 0.3) for n, w in enumerate(WORDS))
    talk = Transcript(files=(), clock="cut", words=words, utterances=(Utterance((0, len(words)), 0.0, 3.0),))
    measures = (
        Measure(
            value=Fraction(1, 4),
            unit="inch",
            words="a quarter",
            span=(3, 5),
            start_s=0.9,
            part="Side",
            dimension="diameter",
            role=role,
        ),  # type: ignore[arg-type]
        Measure(
            value=Fraction(2),
            unit="inch",
            words="two",
            span=(7, 8),
            start_s=2.1,
            part="Side",
            dimension="spacing",
            role=role,
        ),  # type: ignore[arg-type]
    )
    return replace(
        cabinet(),
        transcript=talk,
        measures=measures,
        steps=steps,
        findings=findings,
        hazards=(),
        mistakes=(),
        in_hand=(),
    )


def test_a_hole_that_no_step_tells_stands_at_its_part() -> None:
    (mark,) = marks_by_part(make_view(drilled()))["Side"]
    assert mark.text == "Diameter 1/4 in, spacing 2 in"
    assert mark.detail == "\u201cThe holes are a quarter across and two from the end.\u201d"
    assert mark.time == "0:00"


def test_what_a_step_tells_is_not_told_twice() -> None:
    step = Step(part="Side", operation="drill", text="Drill it.", span=(0, 11), measures=(0, 1))
    assert marks_by_part(make_view(drilled(step))) == {}


def test_a_size_of_the_part_itself_is_no_mark() -> None:
    assert marks_by_part(make_view(drilled(role="finished"))) == {}


def test_a_doubtful_size_is_marked_and_its_sentence_is_not_repeated() -> None:
    said = Said(Fraction(1, 4), "inch", "a quarter")
    doubt = Finding(id="f", kind="contradiction", part="Side", dimension="diameter", spoken=said, span=(3, 5))
    (mark,) = marks_by_part(make_view(drilled(findings=(doubt,))))["Side"]
    assert "(check)" in mark.text
    assert mark.detail == ""


def test_marks_stand_in_every_form_of_the_guide() -> None:
    view = make_view(drilled())
    for text in (guide_md(view).decode(), guide_html(view).decode()):
        assert "Marks and holes" in text
        assert "Diameter 1/4 in, spacing 2 in" in text
    assert guide_pdf(view).startswith(b"%PDF")
