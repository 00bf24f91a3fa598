from __future__ import annotations

import io

import pdfplumber
import pytest
from msgspec.structs import replace
from odd_records import HOSTILE, hostile
from sample_records import cabinet, published

from benchscribe.records import EpisodeRecord
from benchscribe.writers.corrections_sheet import corrections_sheet, sheet_context
from benchscribe.writers.view import make_view


def with_sheets(*sheets: str) -> EpisodeRecord:
    record = published()
    wrong = record.findings[0]
    return replace(
        record, findings=tuple(replace(wrong, id=s, sheet=s, part=f"Part {n}") for n, s in enumerate(sheets))
    )


def test_marks_are_gathered_by_sheet_in_the_order_of_the_plan() -> None:
    groups = sheet_context(make_view(with_sheets("10", "2", "", "2", "B"))).groups
    assert [(g.sheet, len(g.marks)) for g in groups] == [
        ("sheet B", 1),
        ("sheet 2", 2),
        ("sheet 10", 1),
        ("", 1),
    ]


def test_only_what_is_wrong_or_missing_on_the_plan_is_marked() -> None:
    groups = sheet_context(make_view(published())).groups
    marks = [(g.sheet, m.part, m.plan, m.right) for g in groups for m in g.marks]
    assert marks == [
        ("sheet 2", "Side", "29 1/2 in", "30 1/2 in"),
        ("sheet 3", "Drawer bottom", "", "6 1/4 in"),
    ]


def test_a_finding_without_a_value_to_write_is_left_out() -> None:
    record = published()
    none = replace(record.findings[0], spoken=None)
    assert corrections_sheet(make_view(replace(record, findings=(none,)))) is None


def test_a_draft_says_so() -> None:
    context = sheet_context(make_view(cabinet()))
    assert context.draft
    assert context.open_line == "2 findings are still open."


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_can_be_set(name: str) -> None:
    assert (corrections_sheet(make_view(hostile(name))) or b"").startswith(b"%PDF-")


def test_thirty_marks_on_five_sheets_stay_on_one_page() -> None:
    wrong = published().findings[0]
    many = tuple(replace(wrong, id=f"m{n}", part=f"Part {n}", sheet=str(1 + n // 7)) for n in range(32))
    made = corrections_sheet(make_view(replace(published(), findings=many)))
    assert made is not None
    with pdfplumber.open(io.BytesIO(made)) as document:
        assert len(document.pages) == 1
        text = document.pages[0].extract_text()
    assert all(f"Part {n} " in text for n in range(32))
