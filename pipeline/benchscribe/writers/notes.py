"""Show notes and description: what the viewer reads under the video, in at most 5,000 characters."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from msgspec import structs

from benchscribe.records import EpisodeRecord, ListedName
from benchscribe.writers.chapters import chapter_times, listed_chapters
from benchscribe.writers.contexts import Entry, NotesContext
from benchscribe.writers.corrections import PLAN_GROUP, VIDEO_GROUP, correction_entries
from benchscribe.writers.templating import render
from benchscribe.writers.text import DRAFT, capital, clock, counted, listing, lowered, plain
from benchscribe.writers.view import View

MOST = 5000
"""Characters that a description may have on the usual platforms."""

_NAMED = 4
"""Parts that a summary names before it only counts the rest."""


def show_notes(view: View) -> bytes:
    """Write `show-notes.md`."""
    return _fitted(view, "show-notes.md.j2")


def description(view: View) -> bytes:
    """Write `description.txt`, ready to be pasted."""
    return _fitted(view, "description.txt.j2")


def notes_context(view: View) -> NotesContext:
    """Gather everything that the notes can hold; what does not fit is trimmed later."""
    record = view.record
    return NotesContext(
        title=view.title,
        before=record.info.before.strip("\n"),
        after=record.info.after.strip("\n"),
        draft=DRAFT if record.draft else "",
        summary=summary_line(view),
        chapters=chapter_entries(record),
        on_the_plan=correction_entries(view, PLAN_GROUP),
        in_this_video=correction_entries(view, VIDEO_GROUP),
        tools=name_entries(view, record.tools),
        materials=name_entries(view, record.materials),
        promises=tuple(
            Entry(text=plain(p.text), time=clock(p.start_s), link=view.link(p.start_s))
            for p in record.promises
        ),
        credit=credit_line(view),
    )


def summary_line(view: View) -> str:
    """Say in one line what the episode holds: parts in hand, and how many corrections there are."""
    record = view.record
    parts = tuple(dict.fromkeys(plain(s.part) for s in record.steps if s.part))
    parts = parts or tuple(dict.fromkeys(plain(c.part) for c in record.chapters if c.part))
    shown = [lowered(part) for part in parts[:_NAMED]]
    if len(parts) > _NAMED:
        shown.append(counted(len(parts) - _NAMED, "more part"))
    said = []
    if shown:
        said.append(f"In this one: {listing(shown)}.")
    if view.published:
        number = len(view.published)
        said.append(
            f"{counted(number, 'correction')} below: read {'it' if number == 1 else 'them'} before you cut."
        )
    if not said and record.chapters:
        said.append(f"{counted(len(record.chapters), 'chapter')}.")
    return " ".join(said)


def credit_line(view: View) -> str:
    """Name the plan and its edition, where the build names them."""
    info = view.record.info
    named = ", ".join(plain(t) for t in (info.plan_name, info.edition) if plain(t))
    if not named:
        return ""
    return f"Plan: {named}."


def chapter_entries(record: EpisodeRecord) -> tuple[Entry, ...]:
    """Give the chapters for a list: with times as the usual rule wants them, without times where there are none."""
    if any(c.start_s is not None for c in record.chapters):
        return tuple(Entry(text=c.title, time=clock(c.start_s)) for c in listed_chapters(record))
    return tuple(Entry(text=plain(c.title) or "Untitled") for c in record.chapters)


def name_entries(view: View, names: Sequence[ListedName]) -> tuple[Entry, ...]:
    """Give tools or materials, each with its kind and the first time it was named."""
    return tuple(
        Entry(
            text=capital(plain(n.name)),
            detail=plain(n.detail),
            time=clock(n.times[0]) if n.times else clock(n.start_s),
            link=view.link(n.times[0] if n.times else n.start_s),
        )
        for n in names
        if plain(n.name)
    )


def _fitted(view: View, template: str) -> bytes:
    """Fill a template and trim until it fits, the least needed first. Corrections are never what is trimmed."""
    context = notes_context(view)
    text = render(template, context, view.template_dir)
    for trimmed in _trims(context, chapters=len(chapter_times(view.record))):
        if length(text) <= MOST:
            break
        text = render(template, trimmed, view.template_dir)
    return (text.rstrip("\n") + "\n").encode()


def length(text: str) -> int:
    """Count characters as browsers do, where a character beyond the basic plane counts twice."""
    return len(text.encode("utf-16-le")) // 2


def _trims(context: NotesContext, *, chapters: int) -> Iterator[NotesContext]:
    """Give ever shorter notes: whole lines go, never a part of one."""
    now = context
    steps: list[Callable[[NotesContext], NotesContext]] = [
        _unlinked,
        lambda c: structs.replace(c, promises=()),
        lambda c: structs.replace(c, materials=_bare(c.materials), tools=_bare(c.tools)),
        *(_cut("materials", keep) for keep in (20, 10, 5, 0)),
        *(_cut("tools", keep) for keep in (20, 10, 5, 0)),
        *(_thin(keep) for keep in (60, 40, 25, 15, 8, 3) if keep < chapters),
        lambda c: structs.replace(c, summary=""),
        lambda c: structs.replace(c, chapters=()),
    ]
    for step in steps:
        now = step(now)
        yield now


def _bare(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    return tuple(structs.replace(e, detail="") for e in entries)


def _unlinked(context: NotesContext) -> NotesContext:
    """Leave the times of corrections and drop their addresses: platforms make links of times by themselves."""
    plan = tuple(structs.replace(e, link="") for e in context.on_the_plan)
    video = tuple(structs.replace(e, link="") for e in context.in_this_video)
    promises = tuple(structs.replace(e, link="") for e in context.promises)
    return structs.replace(context, on_the_plan=plan, in_this_video=video, promises=promises)


def _cut(field: str, keep: int) -> Callable[[NotesContext], NotesContext]:
    return lambda c: structs.replace(c, **{field: getattr(c, field)[:keep]})


def _thin(keep: int) -> Callable[[NotesContext], NotesContext]:
    """Keep chapters spread over the episode, the first among them."""

    def thin(context: NotesContext) -> NotesContext:
        every = context.chapters
        kept = tuple(every[i * len(every) // keep] for i in range(keep)) if len(every) > keep else every
        return structs.replace(context, chapters=kept)

    return thin
