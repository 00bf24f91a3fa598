"""Gathers tools, materials, cautions and steps for their page, and what was struck out or is off the record."""

from __future__ import annotations

from typing import get_args

from benchscribe.decisions.lists import fits_still
from benchscribe.decisions.tables import ListKind
from benchscribe.desk.contexts import (
    Frame,
    Gone,
    Group,
    Item,
    ListsPage,
    Picture,
    Struck,
)
from benchscribe.desk.model import Snapshot
from benchscribe.desk.views import Room
from benchscribe.stills import candidate_times
from benchscribe.writers.text import clock, plain


def lists_page(room: Room, now: Snapshot, base: Frame) -> ListsPage:
    """Gather tools, materials, cautions and steps, with what was struck out."""
    record = now.record
    names = {
        "tool": tuple((t.name, t.detail, "", t.start_s, t.end_s) for t in record.tools),
        "material": tuple((m.name, m.detail, "", m.start_s, m.end_s) for m in record.materials),
        "caution": tuple((h.name, h.caution, "", h.start_s, h.end_s) for h in record.hazards),
        "step": tuple((s.operation, s.text, s.part or "", s.start_s, s.end_s) for s in record.steps),
    }
    titles = {"tool": "Tools", "material": "Materials", "caution": "Cautions", "step": "Steps"}
    return ListsPage(
        frame=base,
        groups=tuple(
            Group(
                kind=kind,
                title=titles[kind],
                items=tuple(
                    Item(
                        number=n,
                        name=plain(name),
                        text=plain(text),
                        part=plain(part),
                        time=clock(start),
                        clip=room.clip(now, start, end),
                        mine=_is_mine(now, kind, name, text),
                        pictures=_pictures(room, now, n) if kind == "step" else (),
                        picture=_picked(now, n) if kind == "step" else "",
                    )
                    for n, (name, text, part, start, end) in enumerate(names[kind])
                ),
                gone=tuple(
                    Gone(row=n, name=plain(c.text if kind in ("step", "caution") and c.text else c.name))
                    for n, c in enumerate(getattr(now.decisions, kind))
                    if c.change == "strike"
                ),
            )
            for kind in get_args(ListKind)
        ),
        part_names=tuple(p.name for p in record.part_list.parts) if record.part_list else (),
    )


def _pictures(room: Room, now: Snapshot, number: int) -> tuple[Picture, ...]:
    """Give the pictures to choose from for a step that is on video."""
    step = now.record.steps[number]
    if step.file not in {s.name for s in room.sounds if s.moves}:
        return ()
    return tuple(Picture(number=n, about=clock(t)) for n, t in enumerate(candidate_times(step)))


def _picked(now: Snapshot, number: int) -> str:
    step = now.record.steps[number]
    choice = next((c for c in now.decisions.still if fits_still(c, step, now.record.transcript)), None)
    if choice is None:
        return "found"
    times = candidate_times(step)
    return str(times.index(choice.from_at)) if choice.from_at in times else "none"


def _is_mine(now: Snapshot, kind: ListKind, name: str, text: str) -> bool:
    return any(
        (c.change == "add" and (c.name == name or (text and c.text == text)))
        or (c.change == "rename" and ((c.new_name and c.new_name == name) or (text and c.new_text == text)))
        for c in getattr(now.decisions, kind)
    )


def struck_lines(now: Snapshot) -> tuple[Struck, ...]:
    """Give the stretches off the record, by their times alone."""
    lines = []
    for n, stretch in enumerate(now.decisions.off_record):
        begin, end = (clock(t) for t in (stretch.at, stretch.to_at))
        where = f"{plain(stretch.file)} " if stretch.file else ""
        text = f"{where}{begin} to {end}" if begin else f'from "{plain(stretch.sentence)[:40]}"'
        lines.append(Struck(row=n, text=text))
    return tuple(lines)
