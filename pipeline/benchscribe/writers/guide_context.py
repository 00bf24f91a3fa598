"""Puts the guide together from the record: parts in order, their steps, what can hurt, what went wrong, where each value comes from."""

from __future__ import annotations

from collections.abc import Sequence

from benchscribe.records import CutRow, CutSize, StockRow
from benchscribe.writers.angles import angles_by_part
from benchscribe.writers.contexts import Caution, Entry, GuideContext, Row, Section, Size, Stock
from benchscribe.writers.corrections import PLAN_GROUP, VIDEO_GROUP, correction_entries
from benchscribe.writers.guide_steps import (
    cautions_by_step,
    make_steps,
    step_numbers,
    step_title,
    watch_outs_by_part,
)
from benchscribe.writers.marks import marks_by_part
from benchscribe.writers.notes import credit_line, name_entries, summary_line
from benchscribe.writers.setups import setups
from benchscribe.writers.sizes import ORIGINS, other_system, size
from benchscribe.writers.tables import cut_rows, public_rows
from benchscribe.writers.text import DRAFT, capital, clock, counted, listing, plain, sentence, sheet_name
from benchscribe.writers.view import View


def guide_context(view: View, *, shop: bool) -> GuideContext:
    """Gather the guide.

    Args:
        view: The record, sorted.
        shop: The full copy, with all that the part list says. Otherwise, of somebody else's plan, only what was said, changed or
            corrected.
    """
    record = view.record
    rows = cut_rows(view) if shop else public_rows(view)
    sections = _sections(view, rows)
    hardware = _hardware(view, shop=shop)
    anchors = {s.name: s.anchor for s in sections if s.name}
    return GuideContext(
        title=view.title,
        kicker=_kicker(view),
        shop=shop and view.private,
        draft=DRAFT if record.draft else "",
        open_line=_open_line(view),
        credit=credit_line(view),
        summary=summary_line(view),
        units=_units(view),
        version=_version(record.guide.number, record.guide.date),
        since=_version(record.guide.since, record.guide.since_date),
        changed=_changed(view, rows, shop=shop),
        on_the_plan=correction_entries(view, PLAN_GROUP),
        in_this_video=correction_entries(view, VIDEO_GROUP),
        cautions=_gathered(view),
        rows=tuple(_row(row, anchors.get(plain(row.part), "")) for row in rows),
        dimensions=tuple(dict.fromkeys(s.dimension for row in rows for s in row.sizes)),
        has_counts=any(row.count is not None for row in rows),
        has_materials=any(row.material for row in rows),
        stock=tuple(_stock(s) for s in record.shopping) if shop else (),
        tools=name_entries(view, record.tools),
        materials=tuple(m for m in name_entries(view, record.materials) if m.text.casefold() not in hardware),
        hardware=tuple(hardware.values()),
        sections=sections,
        setups=setups(view, rows, anchors, _step_titles(view)),
        watch_outs=watch_outs_by_part(view).get("", ()),
        promises=tuple(
            Entry(text=sentence(p.text), time=clock(p.start_s), link=view.link(p.start_s))
            for p in record.promises
        ),
        made_by=plain(record.made_by),
    )


def _sections(view: View, rows: Sequence[CutRow]) -> tuple[Section, ...]:
    """Give parts in the order in which they are first worked on, each with all its steps."""
    by_name = {plain(row.part): row for row in rows}
    steps = make_steps(view, cautions_by_step(view))
    watch_outs = watch_outs_by_part(view)
    names = list(dict.fromkeys(plain(step.part or "") for step in view.record.steps))
    angles = angles_by_part(view)
    marks = marks_by_part(view)
    names += [n for n in dict.fromkeys((*watch_outs, *angles, *marks)) if n and n not in names]
    made = []
    for number, name in enumerate(names, 1):
        mine = tuple(
            shown
            for step, shown in zip(view.record.steps, steps, strict=True)
            if plain(step.part or "") == name
        )
        row = by_name.get(name)
        anchor = f"part-{number}"
        made.append(
            Section(
                name=name,
                anchor=anchor,
                row=_row(row, anchor) if row is not None and name else None,
                steps=mine,
                watch_outs=watch_outs.get(name, ()) if name else (),
                angles=angles.get(name, ()),
                marks=marks.get(name, ()),
            )
        )
    return tuple(made)


def _step_titles(view: View) -> tuple[tuple[int, str], ...]:
    steps = view.record.steps
    return tuple((number, step_title(step)) for number, step in zip(step_numbers(steps), steps, strict=True))


def _row(row: CutRow, anchor: str) -> Row:
    return Row(
        part=plain(row.part) or "Unnamed part",
        anchor=anchor,
        count="" if row.count is None else str(row.count),
        material=plain(row.material),
        sheet=sheet_name(row.sheet),
        notes=plain(row.notes),
        sizes=tuple(_size(s) for s in row.sizes),
    )


def _size(found: CutSize) -> Size:
    return Size(
        what=found.dimension,
        text=size(found.value, found.unit) if found.value is not None else "",
        other=other_system(found.value, found.unit) if found.value is not None else "",
        origin=ORIGINS[found.origin],
        was=size(found.was, found.unit) if found.was is not None and found.was != found.value else "",
        struck=found.origin != "changed" and found.was is not None and found.was != found.value,
        check=found.check,
    )


def _stock(row: StockRow) -> Stock:
    details = [counted(row.pieces, "piece")] if row.pieces is not None else []
    if row.board_feet is not None:
        # A knob's blank is "0.0" board feet to one place, which says that none is needed.
        feet = float(row.board_feet)
        amount = f"{feet:.1f}" if feet >= 0.05 else "less than 0.1"
        details.append(f"{amount} board feet, no waste added")
    if row.running_length is not None:
        details.append(f"{size(row.running_length, row.unit)} end to end, no kerf added")
    details.append(f"for {listing(plain(p) for p in row.parts)}")
    if row.without:
        which = "" if row.without == row.parts else f" of {listing(plain(p) for p in row.without)}"
        details.append(f"not counted, since a size or the number{which} is missing")
    thick = f"{size(row.thickness, row.unit)} " if row.thickness is not None else ""
    return Stock(
        material=f"{thick}{plain(row.material) or 'material not named'}",
        buy=plain(row.buy),
        detail="; ".join(details),
        check=row.check,
    )


def _hardware(view: View, *, shop: bool) -> dict[str, Entry]:
    """Give screws, hinges and the like by name: what was named in the talk, and in the full copy what the list adds."""
    found: dict[str, Entry] = {}
    for mention in view.record.mentions:
        name = plain(mention.name)
        if mention.kind == "hardware" and mention.used and name:
            found.setdefault(
                name.casefold(),
                Entry(text=capital(name), time=clock(mention.start_s), link=view.link(mention.start_s)),
            )
    parts = view.record.part_list.parts if view.record.part_list else ()
    for part in parts if shop else ():
        if part.hardware:
            name = plain(part.name)
            known = found.get(name.casefold(), Entry(text=name))
            count = f"{part.count} of them" if part.count is not None else ""
            detail = ", ".join(t for t in (count, plain(part.notes)) if t)
            found[name.casefold()] = Entry(text=name, detail=detail, time=known.time, link=known.link)
    return found


def _gathered(view: View) -> tuple[Caution, ...]:
    """Give every caution once, those that the maker said out loud first."""
    found: dict[tuple[str, str], Caution] = {}
    for caution in (c for cautions in cautions_by_step(view).values() for c in cautions):
        found.setdefault((caution.name, caution.text), caution)
    return tuple(sorted(found.values(), key=lambda c: not c.said))


def _kicker(view: View) -> str:
    info = view.record.info
    build = plain(info.build_title)
    number = f"episode {info.number}" if info.number is not None else ""
    texts = [t for t in (build if build != view.title else "", number, plain(info.date)) if t]
    line = ", ".join(texts)
    return line[:1].upper() + line[1:]


def _open_line(view: View) -> str:
    number = len(view.open)
    if not number:
        return ""
    are = "is" if number == 1 else "are"
    return f'DRAFT: {counted(number, "finding")} {are} still open. What hangs on {"it" if number == 1 else "them"} is marked "check".'


def _version(number: int, date: str) -> str:
    """Name a version: "version 2, 2030-02-14"; empty where there is none."""
    return ", ".join(filter(None, (f"version {number}", plain(date)))) if number else ""


def _changed(view: View, rows: Sequence[CutRow], *, shop: bool) -> tuple[str, ...]:
    """Say what changed; of somebody else's plan, the public copy tells only of sizes that it shows."""
    shown = {(row.part, size.dimension) for row in rows for size in row.sizes}
    whole = shop or not view.private
    lines = []
    for line in view.record.guide.changed:
        step = line.what.removeprefix("step: ") if line.what.startswith("step: ") else ""
        if step:
            lines.append(
                f"{plain(line.part) or 'No single part'}: {line.text} step, {plain(step)}.".replace(
                    "left out step", "step left out"
                )
            )
        elif whole or (line.part, line.what) in shown:
            lines.append(f"{plain(line.part)}, {line.what}: {plain(line.text)}.")
    return tuple(lines)


def _units(view: View) -> str:
    info = view.record.info
    named = {"inch": "inches", "mm": "millimetres"}[info.units]
    return f"Sizes without a unit are {named}{f' ({plain(info.units_why)})' if info.units_why else ''}."
