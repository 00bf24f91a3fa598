"""Gathers what goes out, for the previews."""

from __future__ import annotations

from benchscribe.desk.contexts import Frame, Leaf, OutPage
from benchscribe.desk.model import Desk, Snapshot
from benchscribe.writers.captions import captions_vtt
from benchscribe.writers.guide import guide_md
from benchscribe.writers.notes import description, length

SHOWN = ("notes", "guide", "captions")


def out_page(desk: Desk, now: Snapshot, show: str, base: Frame) -> OutPage:
    """Gather the page of everything that goes out."""
    made = leaf(now, show)
    out = desk.episode.out
    names = (
        tuple(sorted(p.name for p in out.iterdir() if p.is_file() and not p.name.startswith(".")))
        if out.is_dir()
        else ()
    )
    return OutPage(
        frame=base,
        show=made.show,
        paste=made.paste,
        paste_length=length(made.paste),
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
        paste=description(now.view).decode() if show == "notes" else "",
        guide=_guide(now) if show == "guide" else "",
        captions=captions,
    )


def _guide(now: Snapshot) -> str:
    """Give the guide as HTML: from its Markdown, with HTML of any other origin turned off."""
    from markdown_it import MarkdownIt

    text = guide_md(now.view).decode()
    # The page has its own headings above; the guide's come below them.
    html: str = MarkdownIt("js-default", {"html": False, "linkify": False}).render(text)
    for level in (4, 3, 2, 1):
        html = html.replace(f"<h{level}>", f"<h{level + 2}>").replace(f"</h{level}>", f"</h{level + 2}>")
    return html.replace(
        "<table>", '<div class="scroll" tabindex="0" role="region" aria-label="Table"><table>'
    ).replace("</table>", "</table></div>")
