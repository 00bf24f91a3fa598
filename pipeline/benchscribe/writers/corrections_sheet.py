"""One page to pin to the plan: what is wrong on which sheet, and what to write there."""

from __future__ import annotations

import re

from benchscribe.records import Finding
from benchscribe.writers.contexts import SheetContext, SheetGroup, SheetMark
from benchscribe.writers.corrections import PLAN_GROUP, group_of, moved, right_value
from benchscribe.writers.notes import credit_line
from benchscribe.writers.pdf import make_pdf
from benchscribe.writers.sizes import said_size
from benchscribe.writers.text import DRAFT, counted, plain, sentence, sheet_name
from benchscribe.writers.view import View


def corrections_sheet(view: View) -> bytes | None:
    """Write `corrections-sheet.pdf`; only where something on the plan is to be marked."""
    context = sheet_context(view)
    if not context.groups:
        return None
    paper = "a4" if view.record.info.units == "mm" else "us-letter"
    return make_pdf(
        "corrections-sheet.typ", context, template_dir=view.template_dir, pictures=view.out, paper=paper
    )


def sheet_context(view: View) -> SheetContext:
    """Gather what is published against the plan and has a value to write, by sheet."""
    by_sheet: dict[str, list[SheetMark]] = {}
    for finding in view.published:
        if group_of(finding) == PLAN_GROUP and right_value(finding) is not None:
            by_sheet.setdefault(sheet_name(finding.sheet), []).append(_mark(finding))
    info = view.record.info
    number = f"episode {info.number}: " if info.number is not None else ""
    are = "is" if len(view.open) == 1 else "are"
    return SheetContext(
        title=f"Corrections: {plain(info.plan_name) or view.title}",
        plan=credit_line(view),
        draft=DRAFT if view.record.draft else "",
        open_line=f"{counted(len(view.open), 'finding')} {are} still open." if view.open else "",
        groups=tuple(
            SheetGroup(sheet=s, marks=tuple(by_sheet[s])) for s in sorted(by_sheet, key=_sheet_order)
        ),
        source=f"From {number}{view.title}{f', {plain(info.date)}' if plain(info.date) else ''}.",
    )


def _mark(finding: Finding) -> SheetMark:
    how = {"measured": "Measured from the piece.", "scaled": "Scaled off the drawing."}
    notes = [how.get(finding.supplied_how, ""), sentence(finding.note), moved(finding)]
    return SheetMark(
        part=plain(finding.part or "") or "No part named",
        what=finding.dimension if finding.dimension and finding.dimension != "other" else "",
        plan=said_size(finding.listed, finding.spoken),
        right=said_size(right_value(finding), finding.spoken, finding.listed),
        note=" ".join(n for n in notes if n),
    )


def _sheet_order(sheet: str) -> tuple[bool, int, str]:
    """Sort sheet 2 before sheet 10, and what has no sheet last."""
    number = re.search(r"\d+", sheet)
    return (not sheet, int(number[0]) if number else 0, sheet)
