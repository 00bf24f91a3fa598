"""The guide for readers abroad: in the other system of units, and what fitted still fits."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import example, given
from hypothesis import strategies as st
from msgspec.structs import replace
from sample_records import cabinet

from benchscribe.records import CutRow, CutSize, EpisodeRecord, Measure, Step
from benchscribe.writers.guide import guide_md, guide_twin
from benchscribe.writers.twin import nearest_drill, rounded, twin_record
from benchscribe.writers.view import make_view

F = Fraction
LENGTHS = st.fractions(min_value=0, max_value=3000, max_denominator=128)
OTHER = {"inch": "mm", "mm": "inch"}


def made(step: str, *measures: Measure, units: str = "inch") -> EpisodeRecord:
    record = cabinet()
    told = Step(part="Side", operation="rip", text=step, span=(0, 99), measures=tuple(range(len(measures))))
    row = CutRow(
        part="Side",
        count=2,
        material="ash",
        sizes=(
            CutSize(dimension="width", value=F(29, 4), unit="inch", origin="corrected", was=F(7)),
            CutSize(dimension="angle", value=F(45), unit="degree", origin="listed"),
            CutSize(dimension="length", value=None, unit="inch", origin="blank"),
        ),
    )
    info = replace(record.info, units=units, plan="own")
    return replace(record, info=info, steps=(told,), measures=measures, cut_list=(row,), findings=())


def said(value: Fraction, unit: str = "inch", role: str = "finished", dimension: str = "width") -> Measure:
    return Measure(value=value, unit=unit, words="", span=(0, 1), role=role, dimension=dimension)  # type: ignore[arg-type]


@example(F(1), F(7, 6), "mm")
@given(LENGTHS, LENGTHS, st.sampled_from(["inch", "mm"]))
def test_rounding_never_swaps_two_sizes(one: Fraction, other: Fraction, unit: str) -> None:
    small, large = sorted((one, other))
    assert rounded(small, unit, OTHER[unit])[0] <= rounded(large, unit, OTHER[unit])[0]  # type: ignore[arg-type]


@given(LENGTHS, LENGTHS, st.sampled_from(["inch", "mm"]))
def test_what_goes_into_an_opening_still_goes_in(one: Fraction, other: Fraction, unit: str) -> None:
    piece, opening = sorted((one, other))
    to = OTHER[unit]
    assert rounded(piece, unit, to)[0] <= rounded(opening, unit, to, "up")[0]  # type: ignore[arg-type]


@given(LENGTHS, st.sampled_from(["inch", "mm"]))
def test_a_size_is_off_by_no_more_than_half_a_mark(value: Fraction, unit: str) -> None:
    twin, to = rounded(value, unit, OTHER[unit])  # type: ignore[arg-type]
    exact = value * F(254, 10) if to == "mm" else value / F(254, 10)
    assert abs(twin - exact) <= (F(1, 2) if to == "mm" else F(1, 32))


def test_sizes_as_a_rule_of_the_other_system_shows_them() -> None:
    assert rounded(F(3, 4), "inch", "mm") == (F(19), "mm")
    assert rounded(F(600), "mm", "inch") == (F(189, 8), "inch")
    assert rounded(F(5), "thou", "mm") == (F(13, 100), "mm")
    assert rounded(F(45), "degree", "mm") == (F(45), "degree")
    assert rounded(F(18), "mm", "mm") == (F(18), "mm")


def test_the_nearest_drill_is_one_that_is_sold() -> None:
    assert nearest_drill(F(7, 64), "inch", "mm") == (F(28, 10), "mm")
    assert nearest_drill(F(6), "mm", "inch") == (F(15, 64), "inch")


def test_the_cut_list_is_in_the_other_system_with_what_it_was() -> None:
    width, angle, blank = twin_record(made("Rip it.")).cut_list[0].sizes
    assert (width.value, width.unit, width.was) == (184, "mm", 178)
    assert (angle.value, angle.unit) == (45, "degree")
    assert blank.value is None


def test_sizes_in_the_words_of_a_step_are_converted() -> None:
    record = twin_record(made("Rip it to 7 1/4 in, 6 ft 2 in long, in the vise.", said(F(29, 4))))
    assert record.steps[0].text == "Rip it to 184 mm, 1880 mm long, in the vise."


def test_a_drill_in_the_words_is_named_as_the_nearest() -> None:
    record = twin_record(made("Drill it 7/64 in.", said(F(7, 64), role="tool", dimension="diameter")))
    assert record.steps[0].text == "Drill it 2.8 mm (nearest)."


def test_a_groove_in_the_words_is_rounded_up() -> None:
    record = twin_record(made("The groove is 1/4 in wide.", said(F(1, 4), role="feature")))
    assert record.steps[0].text == "The groove is 6.5 mm wide."


def test_the_twin_says_what_it_is_and_stands_as_a_guide() -> None:
    text = guide_md(make_view(twin_record(made("Rip it to 7 1/4 in.", said(F(29, 4)))))).decode()
    assert "Sizes without a unit are millimetres (rounded from the guide in inches" in text
    assert "Rip it to 184 mm." in text


def test_the_twin_of_a_metric_guide_is_in_inches() -> None:
    record = twin_record(made("Rip it to 18 mm.", said(F(18), "mm"), units="mm"))
    assert record.steps[0].text == "Rip it to 23/32 in."


def test_the_guides_own_size_stands_beside_its_twin() -> None:
    record = made("Rip it to 1/2 in.", said(F(1, 2)))
    markdown, page, *inches = guide_twin(make_view(record))
    assert inches == [None, None]
    assert markdown is not None
    assert page is not None
    assert "width 12.5 mm (1/2 in)" in markdown.decode()
    assert "width: 184 mm (7 1/4 in), corrected, the plan has 178 mm" in markdown.decode()
