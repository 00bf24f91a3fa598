"""Puts the maker's changes into the lists that go out: tools, materials, cautions, steps."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import Final

from msgspec import structs

from benchscribe.decisions.anchors import NEAR_S, SAME_SENTENCE, likeness, running, said_at
from benchscribe.decisions.tables import Decisions, ListChange, StillChoice
from benchscribe.records import (
    NO_STILL,
    EpisodeRecord,
    Hazard,
    ListedName,
    Step,
    Transcript,
    picked_name,
    stamp,
)

OWN_WORDS: Final = "your own words, put in at review"


def apply_lists(record: EpisodeRecord, decisions: Decisions) -> EpisodeRecord:
    """Strike out, write otherwise and add what the maker has settled; what fits nothing is reported with the orphaned decisions."""
    if not (decisions.tool or decisions.material or decisions.caution or decisions.step or decisions.still):
        return record
    told = record.transcript
    tools, lost = _names(record.tools, decisions.tool, told, "tool")
    materials, lost_too = _names(record.materials, decisions.material, told, "material")
    hazards, no_hazards = _hazards(record.hazards, decisions.caution, told)
    pictured, no_pictures = _pictured(record.steps, decisions.still, told)
    steps, no_steps = _steps(pictured, decisions.step, told)
    return structs.replace(
        record,
        tools=tools,
        materials=materials,
        hazards=hazards,
        steps=steps,
        orphaned_decisions=(
            *record.orphaned_decisions,
            *lost,
            *lost_too,
            *no_hazards,
            *no_steps,
            *no_pictures,
        ),
    )


def fits_step(change: ListChange, step: Step, transcript: Transcript) -> float:
    """Score how well a change fits a step; 0 where it does not."""
    same_part = change.part.casefold() == (step.part or "").casefold()
    same_name = change.name.casefold() == step.operation.casefold()
    alike = 100.0 if change.text == step.text else likeness(change.text, step.text)
    time = running(change.file, change.at, change.start, transcript)
    apart = None if time is None or step.start_s is None else abs(time - step.start_s)
    near = apart is not None and apart <= NEAR_S
    if alike >= SAME_SENTENCE and (near or apart is None or same_part):
        return 2.0 + alike / 100 + same_part + same_name + near
    return 1.0 + (1 - (apart or 0.0) / NEAR_S) if near and same_part and same_name else 0.0


def fits_still(change: StillChoice, step: Step, transcript: Transcript) -> bool:
    """Tell whether a choice of picture is about this step."""
    as_step = ListChange(
        change="rename",
        name=change.name,
        part=change.part,
        text=change.sentence,
        file=change.file,
        at=change.at,
        start=change.start,
    )
    return fits_step(as_step, step, transcript) > 0


def _pictured(
    steps: tuple[Step, ...], choices: Sequence[StillChoice], transcript: Transcript
) -> tuple[tuple[Step, ...], list[str]]:
    """Give steps the pictures that the maker chose for them."""
    chosen = list(steps)
    lost = []
    for choice in choices:
        at = next((n for n, s in enumerate(chosen) if fits_still(choice, s, transcript)), None)
        if at is None:
            lost.append(
                f'the picture for "{choice.name}"{said_at(choice)}: that step is not in this run; it is kept'
            )
            continue
        picked = choice.from_at is not None and choice.from_file
        still = picked_name(choice.from_file, choice.from_at or 0.0) if picked else NO_STILL
        chosen[at] = structs.replace(chosen[at], still=still)
    return tuple(chosen), lost


def fits_hazard(change: ListChange, hazard: Hazard) -> bool:
    """Tell whether a change is about this caution."""
    return (
        change.name.casefold() == hazard.name.casefold()
        and (not change.text or change.text == hazard.caution or likeness(change.text, hazard.caution) >= SAME_SENTENCE)
    )  # fmt: skip


def _names(
    listed: tuple[ListedName, ...], changes: Sequence[ListChange], transcript: Transcript, what: str
) -> tuple[tuple[ListedName, ...], list[str]]:
    rows = list(listed)
    lost = []
    for change in changes:
        at = next((i for i, r in enumerate(rows) if r.name.casefold() == change.name.casefold()), None)
        if change.change == "add":
            if at is None:
                time = running(change.file, change.at, change.start, transcript)
                own = ListedName(name=change.name, detail=change.text, start_s=time)
                rows.append(stamp(own, transcript.files))
        elif at is None:
            lost.append(_orphan(change, what))
        elif change.change == "strike":
            del rows[at]
        else:
            rows[at] = structs.replace(
                rows[at], name=change.new_name or rows[at].name, detail=change.new_text or rows[at].detail
            )
    return tuple(rows), lost


def _hazards(
    hazards: tuple[Hazard, ...], changes: Sequence[ListChange], transcript: Transcript
) -> tuple[tuple[Hazard, ...], list[str]]:
    rows = list(hazards)
    lost = []
    for change in changes:
        if change.change == "add":
            time = running(change.file, change.at, change.start, transcript)
            own = Hazard(
                name=change.name or "warning", caution=change.text, source=OWN_WORDS, said=True, start_s=time, words=change.text
            )  # fmt: skip
            rows.append(stamp(own, transcript.files))
            continue
        at = next((i for i, h in enumerate(rows) if fits_hazard(change, h)), None)
        if at is None:
            lost.append(_orphan(change, "caution"))
        elif change.change == "strike":
            del rows[at]
        else:
            rows[at] = structs.replace(
                rows[at],
                name=change.new_name or rows[at].name,
                caution=change.new_text or rows[at].caution,
                source=OWN_WORDS,
            )
    return tuple(rows), lost


def _steps(
    steps: tuple[Step, ...], changes: Sequence[ListChange], transcript: Transcript
) -> tuple[tuple[Step, ...], list[str]]:
    given: dict[int, ListChange] = {}
    added: list[Step] = []
    lost = []
    for change in changes:
        if change.change == "add":
            added.append(_own_step(change, transcript))
            continue
        scores = [(fits_step(change, s, transcript), -i) for i, s in enumerate(steps) if i not in given]
        score, at = max(scores, default=(0.0, 0))
        if score > 0:
            given[-at] = change
        else:
            lost.append(_orphan(change, "step"))
    kept: list[tuple[int | None, Step]] = []
    for i, step in enumerate(steps):
        mine = given.get(i)
        if mine is None:
            kept.append((i, step))
        elif mine.change == "rename":
            kept.append((i, _renamed(step, mine)))
    for step in added:
        times = [s.start_s if s.start_s is not None else -1.0 for _, s in kept]
        place = len(kept) if step.start_s is None else bisect_right(times, step.start_s)
        kept.insert(place, (None, step))
    place_of = {old: new for new, (old, _) in enumerate(kept) if old is not None}
    return tuple(_pointed(step, steps, place_of) for _, step in kept), lost


def _renamed(step: Step, change: ListChange) -> Step:
    return structs.replace(
        step,
        operation=change.new_name or step.operation,
        text=change.new_text or step.text,
        part=change.new_part or step.part,
    )


def _own_step(change: ListChange, transcript: Transcript) -> Step:
    time = running(change.file, change.at, change.start, transcript)
    starts = [w.start_s if w.start_s is not None else -1.0 for w in transcript.words]
    at = bisect_right(starts, time) if time is not None else len(starts)
    own = Step(
        part=change.part or None, operation=change.name or "do", text=change.text, span=(at, at), start_s=time
    )
    return stamp(own, transcript.files)


def _pointed(step: Step, old: Sequence[Step], place_of: dict[int, int]) -> Step:
    """Let a step point to where the step that it points back to stands now; past one that was struck to what that one pointed to."""
    back = step.points_back_to
    while back is not None and back not in place_of:
        back = old[back].points_back_to
    return structs.replace(step, points_back_to=None if back is None else place_of[back])


def _orphan(change: ListChange, what: str) -> str:
    named = change.name or change.text or what
    return f'{change.change} the {what} "{named}"{said_at(change)}: it is not in this run; it is kept'
