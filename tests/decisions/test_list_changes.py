"""Tools, materials, cautions and steps: struck out, written otherwise, added."""

from __future__ import annotations

from msgspec import structs
from talk_samples import talk

from benchscribe.decisions import Decisions, apply_lists
from benchscribe.decisions.tables import ListChange
from benchscribe.records import EpisodeInfo, EpisodeRecord, Hazard, ListedName, Step


def step(number: int, start_s: float, *, back: int | None = None, text: str = "") -> Step:
    """Make a step."""
    return Step(
        part="Rail",
        operation=f"work {number}",
        text=text or f"Do the thing with the number {number} on it.",
        span=(number, number + 1),
        start_s=start_s,
        points_back_to=back,
    )


def record(*steps: Step) -> EpisodeRecord:
    """Make a record with something in every list."""
    return EpisodeRecord(
        info=EpisodeInfo(),
        draft=True,
        transcript=talk(),
        part_list=None,
        tools=(ListedName(name="clamps", start_s=12.0), ListedName(name="lathe", start_s=20.0)),
        materials=(ListedName(name="ash", detail="1 in", start_s=13.0),),
        hazards=(Hazard(name="lathe", caution="Stand aside when it starts.", source="manual", start_s=20.0),),
        steps=steps or (step(0, 11.0), step(1, 18.0, back=0), step(2, 26.0, back=1)),
    )


def changed(before: EpisodeRecord, **changes: ListChange) -> EpisodeRecord:
    """Apply one change to each list named."""
    return apply_lists(before, Decisions(**{kind: (change,) for kind, change in changes.items()}))  # type: ignore[arg-type]


def test_nothing_changes_without_changes() -> None:
    before = record()
    assert apply_lists(before, Decisions()) is before


def test_a_tool_is_struck_renamed_and_added() -> None:
    gone = changed(record(), tool=ListChange(change="strike", name="Clamps"))
    assert [t.name for t in gone.tools] == ["lathe"]
    other = changed(record(), tool=ListChange(change="rename", name="clamps", new_name="pony clamps"))
    assert [t.name for t in other.tools] == ["pony clamps", "lathe"]
    assert other.tools[0].start_s == 12.0
    more = changed(record(), tool=ListChange(change="add", name="spokeshave", text="flat sole"))
    assert (more.tools[-1].name, more.tools[-1].detail) == ("spokeshave", "flat sole")


def test_what_is_added_is_not_there_twice_once_it_is_found() -> None:
    more = changed(record(), material=ListChange(change="add", name="Ash"))
    assert [m.name for m in more.materials] == ["ash"]


def test_a_caution_in_the_makers_own_words_has_no_other_source() -> None:
    own = ListChange(
        change="rename", name="lathe", text="Stand aside when it starts.", new_text="Keep out of the line."
    )
    (hazard,) = changed(record(), caution=own).hazards
    assert hazard.caution == "Keep out of the line."
    assert hazard.source != "manual"


def test_a_struck_step_is_passed_over_by_those_that_point_back_to_it() -> None:
    before = record()
    strike = ListChange(
        change="strike", name="work 1", text=before.steps[1].text, part="Rail", file="take-1.m4a", at=18.0
    )
    after = changed(before, step=strike).steps
    assert [s.operation for s in after] == ["work 0", "work 2"]
    assert after[1].points_back_to == 0


def test_an_added_step_stands_at_its_time_and_moves_what_points_back() -> None:
    add = ListChange(change="add", name="sand", text="Break the edges.", file="take-1.m4a", at=17.0)
    after = changed(record(), step=add).steps
    assert [s.operation for s in after] == ["work 0", "sand", "work 1", "work 2"]
    assert [s.points_back_to for s in after] == [None, None, 0, 2]


def test_a_step_keeps_its_change_where_another_run_words_it_a_little_otherwise() -> None:
    before = record()
    change = ListChange(
        change="rename", name="work 1", text=before.steps[1].text, part="Rail", file="take-1.m4a", at=18.0, new_name="rout"
    )  # fmt: skip
    again = record(step(0, 11.0), step(1, 18.4, text="Do that thing with the number 1 on it now."))
    assert [s.operation for s in changed(again, step=change).steps] == ["work 0", "rout"]


def test_a_change_goes_to_one_step_only_where_two_say_the_same() -> None:
    twice = record(step(0, 11.0, text="Cut it to length."), step(0, 26.0, text="Cut it to length."))
    strike = ListChange(
        change="strike", name="work 0", text="Cut it to length.", part="Rail", file="take-1.m4a", at=26.0
    )
    assert [s.start_s for s in changed(twice, step=strike).steps] == [11.0]


def test_a_change_that_fits_nothing_is_reported() -> None:
    after = changed(record(), tool=ListChange(change="strike", name="anvil"))
    assert len(after.orphaned_decisions) == 1
    assert "anvil" in after.orphaned_decisions[0]


def test_the_record_is_otherwise_untouched() -> None:
    before = record()
    after = changed(before, tool=ListChange(change="strike", name="clamps"))
    assert structs.replace(after, tools=before.tools) == before
