"""The guide says which version it is, and what changed since the one before."""

from __future__ import annotations

from msgspec.structs import replace
from sample_records import cabinet

from benchscribe.records import EpisodeRecord, GuideLine, GuideVersion
from benchscribe.writers.guide import guide_html, guide_md, guide_pdf
from benchscribe.writers.guide_context import guide_context
from benchscribe.writers.tables import public_rows
from benchscribe.writers.view import make_view


def second(*changed: GuideLine) -> EpisodeRecord:
    made = GuideVersion(number=2, date="2030-02-14", since=1, since_date="2030-02-01", changed=changed)
    return replace(cabinet(), guide=made)


def test_version_and_changes_stand_in_every_form_of_the_guide() -> None:
    view = make_view(second(GuideLine("Side", "step: rip", "new")))
    for text in (guide_md(view).decode(), guide_html(view).decode()):
        assert "This guide is version 2, 2030-02-14." in text
        assert "Changed since version 1, 2030-02-01" in text
        assert "Side: new step, rip." in text
    assert guide_pdf(view).startswith(b"%PDF")


def test_the_public_copy_tells_no_size_that_only_the_plan_gives() -> None:
    view = make_view(second(GuideLine("Nowhere", "length", "was 30 in, now 31 in")))
    assert guide_context(view, shop=False).changed == ()
    assert guide_context(view, shop=True).changed == ("Nowhere, length: was 30 in, now 31 in.",)


def test_the_public_copy_tells_a_size_that_it_shows() -> None:
    view = make_view(cabinet())
    row = public_rows(view)[0]
    line = GuideLine(row.part, row.sizes[0].dimension, "was 30 in, now 31 in")
    assert len(guide_context(make_view(second(line)), shop=False).changed) == 1


def test_a_guide_without_a_version_says_nothing_of_it() -> None:
    assert "This guide is" not in guide_md(make_view(cabinet())).decode()
