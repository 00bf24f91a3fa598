"""Gathers what each page shows out of the episode as it stands."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import Any, Final, get_args

from benchscribe.desk.answers import Choice, choices, chosen
from benchscribe.desk.contexts import (
    Cell,
    ChapterLine,
    Frame,
    GlancePage,
    Line,
    Option,
    SettlePage,
    Start,
    TakenOut,
    Ticket,
)
from benchscribe.desk.markup import as_html
from benchscribe.desk.model import Desk, Snapshot
from benchscribe.desk.places import Clip, Sound, clip_in, clip_of
from benchscribe.desk.ruler import ruler
from benchscribe.desk.timeline import timeline
from benchscribe.records import FINDING_KINDS, Dimension, Finding, Part
from benchscribe.writers.chapters import SHORTEST_S, running_end
from benchscribe.writers.corrections import correction_text
from benchscribe.writers.notes import description, length, show_notes
from benchscribe.writers.review import KIND_WORDS, how_sure, numbered
from benchscribe.writers.sizes import said_size
from benchscribe.writers.text import DRAFT, capital, clock, counted, plain, sentence

MINUTES_EACH: Final = 2
"""Minutes that a finding takes: to hear it, to think, to answer."""
TITLE_LIMIT: Final = 100
"""Characters; longer chapter titles are cut off on the usual platforms."""
_NEAR_START_S: Final = 75.0
_RUNNERS: Final = 0.05
_STATES: Final = {"declared": "goes out, as you said it", "accepted": "settled, goes out", "amended": "settled, goes out", "dismissed": "settled, nothing goes out"}  # fmt: skip


class Room:
    """What the pages are made in: the desk, its recordings, and the loudness of them."""

    def __init__(self, desk: Desk, sounds: Sequence[Sound], peaks: object) -> None:
        """Take them."""
        self.desk = desk
        self.sounds = tuple(sounds)
        self.peaks = peaks

    def clip(self, now: Snapshot, start_s: float | None, end_s: float | None) -> Clip | None:
        """Give what is played for a stretch of running time."""
        return clip_of(start_s, end_s, now.record.transcript, self.sounds)


def frame(room: Room, now: Snapshot, page: str, *, problem: str = "") -> Frame:
    """Gather what stands on every page."""
    found = numbered(now.record)
    waiting = sum(f.status == "open" for f in found)
    info = now.record.info
    written, when, trouble = room.desk.files_state()
    files = "writing the files" if not written or now.catching_up else f"files written {when}" if when else ""
    parts = [plain(info.build_title), f"episode {info.number}" if info.number is not None else ""]
    return Frame(
        page=page,
        title=now.view.title,
        kicker=", ".join(p for p in parts if p and p != now.view.title),
        head=head_line(waiting, len(found)),
        settled=len(found) - waiting,
        total=len(found),
        version=now.digest,
        number=now.number,
        files=f"the files cannot be written: {trouble}" if trouble else files,
        undo=room.desk.last_deed(),
        can_hear=any(s.path for s in room.sounds),
        draft=DRAFT if now.record.draft else "",
        trouble=now.trouble,
        problem=problem,
    )


def head_line(waiting: int, total: int) -> str:
    """Say how much there is to do."""
    if waiting:
        return f"{counted(waiting, 'thing')} to settle, about {counted(waiting * MINUTES_EACH, 'minute')}"
    return "All settled" if total else "Nothing to settle"


# --- findings ---


def settle_page(room: Room, now: Snapshot, wanted: str, base: Frame, *, typed: str = "") -> SettlePage:
    """Gather the first look: what is open, the ticket on top, and the text to paste.

    Args:
        room: Where it is made.
        now: The episode as it stands.
        wanted: Id of the finding whose ticket is shown; the most important open one unless there is such.
        base: What stands on every page.
        typed: What was typed last and could not be read.
    """
    found = numbered(now.record)
    numbers = {f.id: n for n, f in enumerate(found, 1)}
    waiting = sorted((f for f in found if f.status == "open"), key=urgency)
    done = [f for f in found if f.status != "open"]
    order = [*waiting, *done]
    here = next((f for f in order if f.id == wanted), waiting[0] if waiting else None)
    paste = description(now.view).decode()
    coverage = now.record.coverage
    return SettlePage(
        frame=base,
        open=tuple(_line(room, now, f, numbers[f.id], here) for f in waiting),
        done=tuple(_line(room, now, f, numbers[f.id], here) for f in done),
        ticket=_ticket(room, now, here, numbers[here.id], order, typed) if here else None,
        notes=as_html(show_notes(now.view).decode()),
        paste=paste,
        paste_length=length(paste),
        coverage=f"{coverage.sentence()}." if coverage and coverage.listed else "",
        taken_out=_taken_out(room, now),
        orphans=tuple(plain(t) for t in now.record.orphaned_decisions),
    )


def _taken_out(room: Room, now: Snapshot) -> tuple[TakenOut, ...]:
    """Give the cautions and promises that the cut does not have; a correction is answered as the finding that it is."""
    return tuple(
        TakenOut(
            number=number,
            kind=item.kind,
            text=sentence(plain(item.text)),
            where=f"{plain(item.file or '')} {clock(item.at_s)}".strip(),
            clip=clip_in(item.file, item.at_s, room.sounds),
            answer=item.answer,
        )
        for number, item in enumerate(now.record.not_in_cut)
        if item.kind != "correction"
    )


def urgency(finding: Finding) -> tuple[int, float, float]:
    """Order findings: what hurts a viewer most comes first."""
    return FINDING_KINDS.index(finding.kind), -finding.confidence, finding.start_s or 0.0


def subject_of(finding: Finding) -> str:
    """Name what a finding is about."""
    named = [plain(finding.part or ""), finding.dimension or ""]
    return ", ".join(t for t in named if t and t != "other") or "no part"


def when(now: Snapshot, finding: Finding) -> str:
    """Say when it was said, with the take where there are several."""
    return now.view.when(finding)


def _line(room: Room, now: Snapshot, finding: Finding, number: int, here: Finding | None) -> Line:
    raw = now.said(finding.id) or finding
    return Line(
        id=finding.id,
        number=number,
        kind=KIND_WORDS[finding.kind],
        subject=subject_of(finding),
        said=said_size(raw.spoken),
        listed=said_size(finding.listed),
        time=when(now, finding),
        clip=room.clip(now, finding.start_s, finding.end_s),
        state=_STATES.get(finding.status, "open"),
        is_open=finding.status == "open",
        here=here is not None and finding.id == here.id,
    )


def _ticket(
    room: Room, now: Snapshot, finding: Finding, number: int, order: Sequence[Finding], typed: str
) -> Ticket:
    raw = now.said(finding.id) or finding
    decision = next((d for d in now.decisions.decision if d.id == finding.id), None)
    if decision is None and finding.status not in ("open", "declared"):
        decision = next((d for d in now.decisions.decision if d.sentence == raw.sentence), None)
    picked = chosen(raw, decision) if finding.status not in ("open", "declared") else ""
    before, marked, after = _split(raw)
    place = [f.id for f in order].index(finding.id)
    likely = ""
    if raw.probably_right is not None:
        likely = f"{said_size(raw.probably_right)}: {plain(raw.probably_why)}".rstrip(": ")
    # A sum that went wrong stands beside what comes out right; the listed size is only what it was worked out from.
    worked = raw.kind in ("derived", "impossible") and raw.probably_right is not None
    beside, beside_word = (raw.probably_right, "worked out") if worked else (raw.listed, "listed")
    if raw.kind == "contradiction":
        beside_word = "said as well"
    own = picked == "other" and finding.spoken is not None and finding.spoken != raw.spoken
    return Ticket(
        id=finding.id,
        number=number,
        kind=KIND_WORDS[raw.kind],
        subject=subject_of(raw),
        time=when(now, finding),
        clip=room.clip(now, finding.start_s, finding.end_s),
        again=tuple((clock(t), room.clip(now, t, None)) for t in finding.repeated),
        said=said_size(raw.spoken),
        listed=said_size(beside),
        ruler=ruler(raw.spoken, beside, beside_word),
        beside_word=beside_word,
        before=before,
        marked=marked,
        after=after,
        why=capital(sentence(raw.why)),
        likely=likely,
        sure=how_sure(raw.confidence),
        moves=tuple(plain(t) for t in raw.drags_along),
        runners=tuple(
            f"{plain(r.part or 'no part')}, {r.dimension or 'no dimension'} ({round(100 * r.confidence)} %)"
            for r in raw.runners_up
            if r.confidence >= _RUNNERS
        ),
        evidence=tuple(plain(t) for t in raw.evidence),
        options=tuple(_option(c, picked) for c in choices(raw)),
        status=_STATES.get(finding.status, ""),
        is_open=finding.status == "open",
        note=finding.note,
        value=typed or (said_size(finding.spoken) if own else ""),
        new_part=finding.part or "" if finding.part != raw.part else "",
        new_dimension=finding.dimension or "" if finding.dimension != raw.dimension else "",
        parts=tuple(p.name for p in now.record.part_list.parts) if now.record.part_list else (),
        dimensions=get_args(Dimension),
        outcome=_outcome(finding),
        next_id=order[place + 1].id if place + 1 < len(order) else "",
        previous_id=order[place - 1].id if place else "",
        **_row_of(now, raw),
    )


def _option(choice: Choice, picked: str) -> Option:
    return Option(
        id=choice.id,
        label=choice.label,
        means=choice.means,
        goes_out=choice.goes_out,
        chosen=choice.id == picked,
    )


def _outcome(finding: Finding) -> str:
    if finding.status == "open":
        return ""
    return "Nothing goes out." if finding.status == "dismissed" else correction_text(finding)


def _split(finding: Finding) -> tuple[str, str, str]:
    """Give the sentence in three pieces, the size in the middle."""
    told, words = plain(finding.sentence), plain(finding.spoken.words) if finding.spoken else ""
    at = told.lower().find(words.lower()) if words else -1
    return (told[:at], told[at : at + len(words)], told[at + len(words) :]) if at >= 0 else (told, "", "")


def _row_of(now: Snapshot, finding: Finding) -> dict[str, Any]:
    parts = now.record.part_list
    part: Part | None = next((p for p in parts.parts if p.name == finding.part), None) if parts else None
    if parts is None or part is None:
        return {"part": "", "row": "", "cells": ()}
    cells = [
        Cell(
            name=f"{listed.feature} {listed.dimension}".strip(),
            text=said_size_of(listed.value, listed.unit) or listed.text or "blank",
            here=listed.dimension == finding.dimension and not listed.feature,
        )
        for listed in part.listed
    ]
    if part.count is not None:
        cells.insert(0, Cell(name="pieces", text=str(part.count), here=finding.kind == "count"))
    if part.material:
        cells.append(Cell(name="material", text=plain(part.material), here=False))
    where = f"row {part.row} of {plain(parts.file.rpartition('/')[2])}"
    sheet = f", sheet {plain(part.sheet)}" if part.sheet else ""
    return {"part": plain(part.name), "row": f"{where}{sheet}", "cells": tuple(cells)}


def said_size_of(value: object, unit: str) -> str:
    """Write a listed value; empty for a blank."""
    from fractions import Fraction

    from benchscribe.writers.sizes import size

    return size(value, unit) if isinstance(value, Fraction) else ""


# --- at a glance, and chapters ---


def glance_page(room: Room, now: Snapshot, chapter: int, base: Frame) -> GlancePage:
    """Gather the picture of the episode and its chapters.

    Args:
        room: Where it is made.
        now: The episode as it stands.
        chapter: Number of the chapter that is open, from 1; 0 for none.
        base: What stands on every page.
    """
    record, peaks = now.record, room.peaks
    picture = timeline(record, numbered(record), room.sounds, peaks.of, KIND_WORDS)  # type: ignore[attr-defined]
    coverage = record.coverage
    around, inside = _starts(room, now, chapter - 1)
    return GlancePage(
        frame=base,
        picture=picture,
        waiting=bool(picture) and not peaks.done,  # type: ignore[attr-defined]
        coverage=f"{coverage.sentence()}." if coverage and coverage.listed else "",
        chapters=chapter_lines(room, now, chapter),
        around=around,
        inside=inside,
        limit=TITLE_LIMIT,
    )


def chapter_lines(room: Room, now: Snapshot, here: int) -> tuple[ChapterLine, ...]:
    """Give the chapters as lines of a list."""
    record = now.record
    end = running_end(record)
    lines = []
    for n, chapter in enumerate(record.chapters):
        after = record.chapters[n + 1].start_s if n + 1 < len(record.chapters) else end
        lasts = after - chapter.start_s if after is not None and chapter.start_s is not None else None
        begins = now.settled.chapters.begins
        lines.append(
            ChapterLine(
                number=n + 1,
                title=plain(chapter.title) or "Untitled",
                time=clock(chapter.start_s),
                lasts=clock(lasts) if lasts is not None else "",
                clip=room.clip(now, chapter.start_s, (chapter.start_s or 0.0) + 4.0),
                mine=n < len(begins) and begins[n].change is not None,
                here=n + 1 == here,
                too_short=lasts is not None and lasts < SHORTEST_S,
            )
        )
    return tuple(lines)


def _starts(room: Room, now: Snapshot, number: int) -> tuple[tuple[Start, ...], tuple[Start, ...]]:
    """Give the sentences near a chapter's beginning, and those within it."""
    record = now.record
    if not 0 <= number < len(record.chapters):
        return (), ()
    told = record.transcript
    starts = [u.span[0] for u in told.utterances]
    first = max(0, bisect_right(starts, record.chapters[number].span[0]) - 1)
    last = max(0, bisect_right(starts, record.chapters[number].span[1] - 1) - 1)
    begin = told.utterances[first].start_s

    def near(n: int) -> bool:
        start = told.utterances[n].start_s
        return abs(n - first) <= 8 if begin is None or start is None else abs(start - begin) <= _NEAR_START_S

    around = [n for n in range(1, len(told.utterances)) if near(n)] if number else []
    return (
        tuple(_start(room, now, n, here=n == first) for n in around),
        tuple(_start(room, now, n, here=False) for n in range(first + 1, last + 1)),
    )


def _start(room: Room, now: Snapshot, number: int, *, here: bool) -> Start:
    told = now.record.transcript
    utterance = told.utterances[number]
    return Start(
        utterance=number,
        time=clock(utterance.start_s),
        text=plain(told.text(utterance.span)),
        clip=room.clip(now, utterance.start_s, utterance.end_s),
        here=here,
    )
