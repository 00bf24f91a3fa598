"""The build guide as Markdown, one HTML page and PDF; of a private plan a public copy and a full one for the shop."""

from __future__ import annotations

from msgspec import structs

from benchscribe.writers.guide_context import guide_context
from benchscribe.writers.pdf import make_pdf
from benchscribe.writers.stills import still_data
from benchscribe.writers.templating import render, tidy
from benchscribe.writers.view import View


def guide_md(view: View) -> bytes:
    """Write `guide.md`, which may go out."""
    return tidy(render("guide.md.j2", guide_context(view, shop=not view.private), view.template_dir))


def shop_md(view: View) -> bytes | None:
    """Write `shop-guide.md`, the maker's own full copy; only where the public one leaves something out."""
    if not view.private:
        return None
    return tidy(render("guide.md.j2", guide_context(view, shop=True), view.template_dir))


def guide_html(view: View) -> bytes:
    """Write `guide.html`, which may go out: one page that holds everything it needs."""
    return _page(view, shop=not view.private)


def guide_pdf(view: View) -> bytes:
    """Write `guide.pdf`, which may go out: the same as the page, to be printed."""
    return make_pdf(
        "guide.typ",
        guide_context(view, shop=not view.private),
        template_dir=view.template_dir,
        pictures=view.out,
        paper="a4" if view.record.info.units == "mm" else "us-letter",
    )


def shop_html(view: View) -> bytes | None:
    """Write `shop-guide.html`, the maker's own full copy; only where the public one leaves something out."""
    if not view.private:
        return None
    return _page(view, shop=True)


def _page(view: View, *, shop: bool) -> bytes:
    context = guide_context(view, shop=shop)
    sections = tuple(
        structs.replace(
            section,
            steps=tuple(structs.replace(s, still=still_data(s.still, view.out)) for s in section.steps),
        )
        for section in context.sections
    )
    return render("guide.html.j2", structs.replace(context, sections=sections), view.template_dir).encode()
