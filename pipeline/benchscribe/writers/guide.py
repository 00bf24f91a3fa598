"""The build guide as Markdown, one HTML page and PDF; of a private plan a public copy and a full one for the shop."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import structs

from benchscribe.writers.contexts import GuideContext, Row, Size
from benchscribe.writers.guide_context import guide_context
from benchscribe.writers.pdf import make_pdf
from benchscribe.writers.stills import still_data
from benchscribe.writers.templating import render, tidy
from benchscribe.writers.twin import originals, twin_record
from benchscribe.writers.view import View, make_view


def guide(view: View) -> tuple[bytes, bytes, bytes, bytes | None, bytes | None]:
    """Write `guide.md`, `guide.html` and `guide.pdf`, which may go out, and `shop-guide.md` and `shop-guide.html`, the maker's own.

    The shop copies are None where the public ones leave nothing out.
    """
    public = guide_context(view, shop=not view.private)
    made = (_markdown(view, public), _page(view, public), _pdf(view, public))
    if not view.private:
        return (*made, None, None)
    full = guide_context(view, shop=True)
    return (*made, _markdown(view, full), _page(view, full))


def guide_twin(view: View) -> tuple[bytes | None, ...]:
    """Write the guide for readers abroad: `guide-mm.md` and `guide-mm.html` of an inch build, `guide-inch.md` and `.html` of a metric one."""
    record = twin_record(view.record)
    named = {"mm": "in millimetres", "inch": "in inches"}[record.info.units]
    info = structs.replace(record.info, title=f"{view.title}, {named}")
    twin = make_view(structs.replace(record, info=info), template_dir=view.template_dir, out=view.out)
    context = _beside(guide_context(twin, shop=not twin.private), originals(view.record, record))
    made = (_markdown(twin, context), _page(twin, context))
    return (*made, None, None) if record.info.units == "mm" else (None, None, *made)


def _beside(context: GuideContext, first: Mapping[str, str]) -> GuideContext:
    """Put each size as the guide itself has it beside its twin."""

    def sizes(found: tuple[Size, ...]) -> tuple[Size, ...]:
        return tuple(structs.replace(s, other=first.get(s.text, s.other)) for s in found)

    def row(found: Row) -> Row:
        return structs.replace(found, sizes=sizes(found.sizes))

    sections = tuple(
        structs.replace(
            section,
            row=row(section.row) if section.row is not None else None,
            steps=tuple(structs.replace(step, sizes=sizes(step.sizes)) for step in section.steps),
        )
        for section in context.sections
    )
    return structs.replace(context, rows=tuple(map(row, context.rows)), sections=sections)


def guide_md(view: View) -> bytes:
    """Write `guide.md` alone."""
    return _markdown(view, guide_context(view, shop=not view.private))


def guide_html(view: View) -> bytes:
    """Write `guide.html` alone: one page that holds everything it needs."""
    return _page(view, guide_context(view, shop=not view.private))


def guide_pdf(view: View) -> bytes:
    """Write `guide.pdf` alone: the same as the page, to be printed."""
    return _pdf(view, guide_context(view, shop=not view.private))


def shop_md(view: View) -> bytes | None:
    """Write `shop-guide.md` alone."""
    return _markdown(view, guide_context(view, shop=True)) if view.private else None


def shop_html(view: View) -> bytes | None:
    """Write `shop-guide.html` alone."""
    return _page(view, guide_context(view, shop=True)) if view.private else None


def _markdown(view: View, context: GuideContext) -> bytes:
    return tidy(render("guide.md.j2", context, view.template_dir))


def _page(view: View, context: GuideContext) -> bytes:
    sections = tuple(
        structs.replace(
            section,
            steps=tuple(structs.replace(s, still=still_data(s.still, view.out)) for s in section.steps),
        )
        for section in context.sections
    )
    return render("guide.html.j2", structs.replace(context, sections=sections), view.template_dir).encode()


def _pdf(view: View, context: GuideContext) -> bytes:
    paper = "a4" if view.record.info.units == "mm" else "us-letter"
    return make_pdf("guide.typ", context, template_dir=view.template_dir, pictures=view.out, paper=paper)
