"""The guide by setup: what is run at one setting stands together."""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace
from sample_records import cabinet

from benchscribe.records import CutRow, CutSize, EpisodeRecord, Step
from benchscribe.writers.contexts import Setup
from benchscribe.writers.guide import guide_html, guide_md
from benchscribe.writers.guide_context import guide_context
from benchscribe.writers.view import make_view


def row(part: str, value: int, *, unit: str = "inch", check: bool = False) -> CutRow:
    size = CutSize(dimension="width", value=Fraction(value), unit=unit, origin="listed", check=check)
    return CutRow(part=part, count=2, material="ash", sizes=(size,))


def of_list(*rows: CutRow) -> EpisodeRecord:
    return replace(cabinet(), cut_list=rows, steps=())


def shown(record: EpisodeRecord, *, shop: bool = True) -> tuple[Setup, ...]:
    return guide_context(make_view(record), shop=shop).setups


def test_parts_of_one_width_are_run_at_one_fence() -> None:
    (setup,) = shown(of_list(row("Rail", 3), row("Stile", 3, check=True), row("Panel", 9)))
    assert setup.setting == "Width 3 in (76 mm)"
    assert [(u.text, u.detail) for u in setup.uses] == [("Rail", "2 pieces"), ("Stile", "2 pieces, check")]


def test_widths_in_two_units_that_are_exactly_the_same_are_one_setup() -> None:
    assert len(shown(of_list(row("Rail", 127, unit="mm"), row("Stile", 5)))) == 1


def test_what_only_somebody_elses_plan_says_is_no_setup_of_the_public_copy() -> None:
    assert shown(of_list(row("Rail", 3), row("Stile", 3)), shop=False) == ()


def test_every_setting_of_a_step_is_a_setup_of_its_own() -> None:
    steps = (
        Step(
            part="Side", operation="rip", text="Rip it.", span=(0, 1), setting="fence 3 in, each pass 1/8 in"
        ),
        Step(part="Top", operation="rip", text="Rip that.", span=(2, 3), setting="fence 3 in"),
    )
    (setup,) = shown(replace(cabinet(), cut_list=(), steps=steps))
    assert (setup.setting, [u.text for u in setup.uses]) == ("Fence 3 in", ["Side: rip", "Top: rip"])


def test_a_setup_stands_in_the_page_and_in_the_notes() -> None:
    view = make_view(
        replace(of_list(row("Rail", 3), row("Stile", 3)), info=replace(cabinet().info, plan="own"))
    )
    for text in (guide_html(view).decode(), guide_md(view).decode()):
        assert "Width 3 in (76 mm)" in text
        assert text.count("Stile") > 1
