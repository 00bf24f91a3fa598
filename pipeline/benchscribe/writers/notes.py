"""Show notes and description: what the viewer reads under the video, in less than 5,000 characters."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from msgspec import structs

from benchscribe.records import EpisodeRecord, ListedName, Measure, Span
from benchscribe.writers.caption_lines import leaning
from benchscribe.writers.chapters import chapter_times, listed_chapters
from benchscribe.writers.contexts import Entry, NotesContext
from benchscribe.writers.corrections import PLAN_GROUP, VIDEO_GROUP, correction_entries
from benchscribe.writers.gate import gated_text
from benchscribe.writers.said import said_text
from benchscribe.writers.sizes import measure_size
from benchscribe.writers.templating import render
from benchscribe.writers.text import (
    DRAFT,
    capital,
    clock,
    counted,
    lettered,
    listing,
    lowered,
    opened,
    plain,
    sentence,
)
from benchscribe.writers.view import View

MOST: Final = 4999
"""Most that a description may be long: under 5,000, counted by `length`."""

_LONGEST_KIND: Final = 4
"""Words of the longest kind or size of a tool; what has more is talk."""

_NAMED: Final = 4
"""Parts that a summary names before it only counts the rest."""


def show_notes(view: View) -> bytes:
    """Write `show-notes.md`. Every correction stands in it, also where they alone are longer than a description may be."""
    return _fitted(view, "show-notes.md.j2", _trims(view))


def description(view: View) -> bytes:
    """Write `description.txt`, ready to be pasted: a platform takes nothing longer, so at the very last corrections are counted, not told."""
    return _fitted(view, "description.txt.j2", (*_trims(view), *_counted_only(view)))


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
        promises=promise_entries(view),
        cautions=tuple(
            Entry(text=sentence(plain(n.text)))
            for n in record.not_in_cut
            if n.kind == "caution" and n.answer == "notes"
        ),
        credit=credit_line(view),
    )


def promise_entries(view: View) -> tuple[Entry, ...]:
    """Give what is put off to a later episode, each as a sentence that stands by itself."""
    record = view.record
    return tuple(
        Entry(
            text=gated_text(view, opened(said_text(record, p.span, p.text)), _within(record, p.span)),
            time=clock(p.start_s),
            link=view.link(p.start_s),
        )
        for p in record.promises
        if plain(p.text)
    )


def _within(record: EpisodeRecord, span: Span) -> tuple[Measure, ...]:
    return tuple(m for m in record.measures if span[0] <= m.span[0] < span[1])


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
            text=capital(lettered(plain(n.name))),
            detail=detail_text(view.record, n.detail),
            time=clock(n.times[0]) if n.times else clock(n.start_s),
            link=view.link(n.times[0] if n.times else n.start_s),
        )
        for n in names
        if plain(n.name)
    )


def detail_text(record: EpisodeRecord, detail: str) -> str:
    """Write size and kind of a tool or material as the trade does: "3/8 in" for "3 8ths", each once.

    Talk that was caught with it is left away: of a long piece only a size or number of the trade in it stays.
    """
    if not detail:
        return ""
    written = {m.words.casefold(): measure_size(m) for m in record.measures if not m.taken_back}
    written |= {n.words.casefold(): n.name for n in record.trade_numbers}
    shown = []
    for piece in plain(detail).split(", "):
        inside = sorted((w for w in written if w and _holds(piece, w)), key=len, reverse=True)
        if not _is_kind(piece):
            shown += [written[w] for w in inside[:1]]
        elif inside:
            shown.append(_put_for(piece, inside[0], written[inside[0]]))
        else:
            shown.append(piece)
    return ", ".join(dict.fromkeys(text for text in shown if text))


def _is_kind(piece: str) -> bool:
    """Tell a size or kind ("3/4 flat heads", "down-cut spiral") from talk."""
    words = piece.split()
    return len(words) <= _LONGEST_KIND and not (
        leaning() & {w.casefold().strip(".,") for w in words if not any(c.isdigit() for c in piece)}
    )


def _whole(words: str) -> re.Pattern[str]:
    return re.compile(rf"(?<!\w){re.escape(words)}(?!\w)", re.IGNORECASE)


def _put_for(piece: str, words: str, written: str) -> str:
    return _whole(words).sub(lambda _: written, piece)


def _holds(piece: str, words: str) -> bool:
    return words in piece.casefold() and _whole(words).search(piece) is not None


def _fitted(view: View, template: str, trims: Iterable[Trim]) -> bytes:
    """Fill a template and trim until it fits, the least needed first; whole lines go, never a part of one."""
    context = notes_context(view)
    text = render(template, context, view.template_dir)
    for trim in trims:
        if length(text) <= MOST:
            break
        context = trim(context)
        text = render(template, context, view.template_dir)
    return (text.rstrip("\n") + "\n").encode()


def length(text: str) -> int:
    """Count the bytes of UTF-8, as the strictest platform does; where another counts characters, there are never more of them."""
    return len(text.encode())


Trim = Callable[[NotesContext], NotesContext]
"""Makes notes shorter by whole lines."""


def _trims(view: View) -> tuple[Trim, ...]:
    """Give what is left away, the least needed first. The maker's own text and the corrections are not among it."""
    chapters = len(chapter_times(view.record))
    return (
        _unlinked,
        lambda c: structs.replace(c, promises=()),
        lambda c: structs.replace(c, materials=_bare(c.materials), tools=_bare(c.tools)),
        *(_cut("materials", keep) for keep in (20, 10, 5, 0)),
        *(_cut("tools", keep) for keep in (20, 10, 5, 0)),
        *(_thin(keep) for keep in (60, 40, 25, 15, 8, 3) if keep < chapters),
        lambda c: structs.replace(c, summary=""),
        lambda c: structs.replace(c, chapters=()),
    )


def _counted_only(view: View) -> tuple[Trim, ...]:
    """Give what is left where corrections alone are too long: those of safety and of the plan first, and how many more there are."""
    every = len(view.published)
    plan, video = correction_entries(view, PLAN_GROUP), correction_entries(view, VIDEO_GROUP)

    def keep(number: int) -> Trim:
        kept = tuple(structs.replace(e, link="") for e in (*plan, *video)[:number])
        more = Entry(text=f"{counted(every - number, 'more correction')}: all are in the build guide.")
        shown, rest = kept[: len(plan)], kept[len(plan) :]
        groups = (shown, (*rest, more)) if rest or not plan else ((*shown, more), ())
        return lambda c: structs.replace(c, on_the_plan=groups[0], in_this_video=groups[1])

    steps = sorted({every * share // 32 for share in range(32)}, reverse=True)
    return tuple(keep(number) for number in steps if number < every)


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
