"""Gathers what goes out, for the previews."""

from __future__ import annotations

from benchscribe.desk.contexts import Frame, Leaf, OutPage
from benchscribe.desk.markup import as_html
from benchscribe.desk.model import Desk, Snapshot
from benchscribe.writers.captions import captions_vtt
from benchscribe.writers.guide import guide_md
from benchscribe.writers.notes import description, length, show_notes

SHOWN = ("notes", "guide", "captions")


def out_page(desk: Desk, now: Snapshot, show: str, base: Frame) -> OutPage:
    """Gather the page of everything that goes out."""
    made = leaf(now, show)
    paste = description(now.view).decode()
    out = desk.episode.out
    names = (
        tuple(sorted(p.name for p in out.iterdir() if p.is_file() and not p.name.startswith(".")))
        if out.is_dir()
        else ()
    )
    return OutPage(
        frame=base,
        show=made.show,
        paste=paste,
        paste_length=length(paste),
        guide=made.guide,
        captions=made.captions,
        names=names,
        folder=str(out),
    )


def leaf(now: Snapshot, show: str) -> Leaf:
    """Make one preview: the show notes, the guide or the captions."""
    show = show if show in SHOWN else "notes"
    captions = (captions_vtt(now.view) or b"").decode() if show == "captions" else ""
    return Leaf(
        show=show,
        notes=as_html(show_notes(now.view).decode()) if show == "notes" else "",
        guide=as_html(guide_md(now.view).decode()) if show == "guide" else "",
        captions=captions,
    )
