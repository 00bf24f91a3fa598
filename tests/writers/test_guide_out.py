from __future__ import annotations

import base64
import io
import re
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import html5lib
import pdfplumber
import pytest
from markdown_it import MarkdownIt
from msgspec.structs import replace
from odd_records import HOSTILE, bare, hostile, long_talk, without_times
from outside_checks import accessibility_faults
from sample_records import cabinet, published

from benchscribe.records import EpisodeRecord, Measure, Said
from benchscribe.writers.guide import guide_html, guide_md, guide_pdf, shop_html, shop_md
from benchscribe.writers.guide_context import guide_context
from benchscribe.writers.view import make_view

ODD = {
    "sample": cabinet(),
    "published": published(),
    "untimed": without_times(cabinet()),
    "no parts": replace(published(), part_list=None, cut_list=(), shopping=()),
    "no sizes": replace(published(), measures=(), findings=(), steps=()),
    "one word": bare("Hello"),
    "no word": bare(""),
    "four hours": long_talk(30_000),
}
odd = pytest.mark.parametrize("record", ODD.values(), ids=ODD)
VOID = {"meta", "img", "br"}

Golden = Callable[[str, str | bytes], None]


def own(record: EpisodeRecord) -> EpisodeRecord:
    return replace(record, info=replace(record.info, plan="own"))


def text_of_page(data: bytes) -> str:
    tree = html5lib.parse(data.decode(), namespaceHTMLElements=False)
    body = tree.find("body")
    assert body is not None
    return " ".join(" ".join(body.itertext()).replace("\u00a0", " ").split())


def text_of_pdf(data: bytes) -> str:
    with pdfplumber.open(io.BytesIO(data)) as document:
        return " ".join(" ".join((page.extract_text() or "").split()) for page in document.pages)


def test_the_sample_is_as_agreed(golden: Golden) -> None:
    for name, record in (
        ("cabinet", cabinet()),
        ("published", published()),
        ("untimed", without_times(cabinet())),
    ):
        golden(f"writers/{name}.guide.md", guide_md(make_view(record)))
        golden(f"writers/{name}.guide.html", guide_html(make_view(record)))
    golden("writers/cabinet.shop-guide.md", shop_md(make_view(cabinet())) or b"")


@odd
def test_the_page_is_sound_html(record: EpisodeRecord) -> None:
    parser = html5lib.HTMLParser(strict=True)
    parser.parse(guide_html(make_view(record)).decode())


@odd
def test_the_page_loads_nothing_and_runs_nothing(record: EpisodeRecord) -> None:
    page = guide_html(make_view(record)).decode()
    tree = html5lib.parse(page, namespaceHTMLElements=False)
    assert tree.find(".//script") is None
    assert tree.find(".//link") is None
    assert not [e for e in tree.iter() if any(str(a).startswith("on") for a in e.attrib)]
    assert "url(" not in page
    assert {e.attrib["src"][:5] for e in tree.iter("img")} <= {"data:"}


@odd
def test_headings_go_down_by_one_and_every_anchor_is_there(record: EpisodeRecord) -> None:
    tree = html5lib.parse(guide_html(make_view(record)).decode(), namespaceHTMLElements=False)
    levels = [int(e.tag[1]) for e in tree.iter() if re.fullmatch(r"h[1-6]", str(e.tag))]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(b - a <= 1 for a, b in pairwise(levels))
    ids = [e.attrib["id"] for e in tree.iter() if "id" in e.attrib]
    assert len(ids) == len(set(ids))
    assert {e.attrib["href"][1:] for e in tree.iter("a") if e.attrib["href"].startswith("#")} <= set(ids)


@odd
def test_the_pdf_can_be_set_and_is_tagged(record: EpisodeRecord) -> None:
    data = guide_pdf(make_view(record))
    assert data.startswith(b"%PDF-")
    assert b"/MarkInfo" in data
    assert make_view(record).title in text_of_pdf(data)


def test_the_same_record_gives_the_same_pdf() -> None:
    assert guide_pdf(make_view(cabinet())) == guide_pdf(make_view(cabinet()))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_text_on_the_page(name: str) -> None:
    page = guide_html(make_view(hostile(name)))
    html5lib.HTMLParser(strict=True).parse(page.decode())
    tree = html5lib.parse(page.decode(), namespaceHTMLElements=False)
    assert tree.find(".//script") is None
    assert {
        e.attrib["href"].split(":")[0] for e in tree.iter("a") if not e.attrib["href"].startswith("#")
    } <= {"https"}
    shown = " ".join(name.replace("\u202e", "").split())
    assert shown in text_of_page(page)
    assert "\u202e" not in page.decode()


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_text_in_markdown(name: str) -> None:
    made = MarkdownIt("commonmark").enable("table").render(guide_md(make_view(hostile(name))).decode())
    allowed = {"h1", "h2", "h3", "p", "ul", "ol", "li", "a", "strong", "em", "blockquote"}
    assert set(re.findall(r"<(\w+)", made)) <= allowed
    assert set(re.findall(r'href="(\w+):', made)) <= {"https"}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_text_in_the_pdf(name: str) -> None:
    text = text_of_pdf(guide_pdf(make_view(hostile(name))))
    if name.isascii() and "\n" not in name and len(name) < 30:
        assert name in text
    assert "Corrections" in text


WRITERS = {
    "markdown": lambda record: guide_md(make_view(record)).decode(),
    "page": lambda record: text_of_page(guide_html(make_view(record))),
    "pdf": lambda record: text_of_pdf(guide_pdf(make_view(record))),
    "shop page": lambda record: text_of_page(shop_html(make_view(record)) or b""),
    "shop markdown": lambda record: (shop_md(make_view(record)) or b"").decode(),
}
every = pytest.mark.parametrize("write", WRITERS.values(), ids=WRITERS)
public = pytest.mark.parametrize(
    "write", [WRITERS[n] for n in ("markdown", "page", "pdf")], ids=["markdown", "page", "pdf"]
)


@every
def test_a_doubtful_value_is_printed_nowhere(write: Callable[..., Any]) -> None:
    text = write(cabinet())
    assert "22 1/4" not in text
    assert "22 1/2 in (check)" in text


@every
def test_the_guide_is_a_draft_while_findings_are_open(write: Callable[..., Any]) -> None:
    assert "DRAFT: 2 findings are still open." in write(cabinet()).replace("\\", "")
    assert "DRAFT" not in write(published())


def test_a_step_that_still_holds_a_doubtful_value_is_put_right() -> None:
    record = cabinet()
    shelf = next(s for s in record.steps if s.part == "Shelf")
    assert "22 1/4 in" in shelf.text
    shown = guide_context(make_view(record), shop=True)
    (step,) = next(s for s in shown.sections if s.name == "Shelf").steps
    assert step.text == "The shelves are 22 1/2 in (check) long."


def test_a_slip_that_was_accepted_is_not_worked_to() -> None:
    shown = guide_context(make_view(published()), shop=True)
    (step,) = next(s for s in shown.sections if s.name == "Shelf").steps
    assert step.text == "The shelves are 22 1/2 in (I say 22 1/4 in) long."
    assert [(z.text, z.origin, z.check) for z in step.sizes] == [("22 1/2 in", "listed", False)]


def test_a_value_put_in_at_review_stands_in_the_step() -> None:
    record = cabinet()
    amended = [
        replace(f, status="amended", spoken=Said(Fraction(22), "inch", f.spoken.words))
        for f in record.findings
        if f.kind == "slip" and f.part == "Shelf" and f.spoken is not None
    ]
    shown = guide_context(make_view(replace(record, findings=tuple(amended))), shop=True)
    (step,) = next(s for s in shown.sections if s.name == "Shelf").steps
    assert step.text == "The shelves are 22 in (I say 22 1/4 in) long."
    assert [(z.text, z.origin) for z in step.sizes] == [("22 in", "put right")]


@public
def test_a_private_plan_stays_out_of_the_public_copy(write: Callable[..., Any]) -> None:
    text = write(cabinet())
    for only_listed in ("walnut", "plywood", "Pin hinge", "brass", "To buy", "12 of them"):
        assert only_listed not in text
    assert "30 1/2 in" in text
    assert "Plan: Seed packet cabinet, three sheets, second printing." in text


@public
def test_an_own_plan_goes_out_whole(write: Callable[..., Any]) -> None:
    text = write(own(cabinet()))
    for listed in ("walnut", "Pin hinge", "To buy"):
        assert listed in text
    assert shop_html(make_view(own(cabinet()))) is None


def test_every_value_says_where_it_comes_from() -> None:
    shown = guide_context(make_view(cabinet()), shop=True)
    sizes = [s for row in shown.rows for s in row.sizes] + [
        s for p in shown.sections for t in p.steps for s in t.sizes
    ]
    assert sizes
    assert all(size.origin for size in sizes)
    assert {s.origin for row in shown.rows for s in row.sizes} == {
        "listed",
        "corrected",
        "measured from the piece",
        "my change",
    }


def test_only_what_is_wrong_is_struck_out() -> None:
    shown = guide_context(make_view(cabinet()), shop=True)
    struck = {(row.part, s.was) for row in shown.rows for s in row.sizes if s.struck}
    assert struck == {("Side", "29 1/2 in")}


def test_a_caution_stands_once_at_the_first_step_that_needs_it() -> None:
    shown = guide_context(make_view(cabinet()), shop=True)
    at = [(step.number, c.name) for p in shown.sections for step in p.steps for c in step.cautions]
    assert at == [(1, "Table saw"), (5, "Wood dust")]
    assert [(c.name, c.source) for c in shown.cautions] == [
        ("Table saw", "29 CFR 1910.213"),
        ("Wood dust", "NIOSH pocket guide"),
    ]


def test_a_mistake_becomes_a_warning_at_its_part() -> None:
    shown = guide_context(make_view(cabinet()), shop=True)
    side = next(s for s in shown.sections if s.name == "Side")
    assert [w.text for w in side.watch_outs] == ["The dado went into the wrong face."]
    assert all("dado" not in step.text for p in shown.sections for step in p.steps)


def test_steps_at_the_same_fence_are_gathered_as_a_setup() -> None:
    (setup,) = guide_context(make_view(cabinet()), shop=True).setups
    assert setup.setting == "Fence at 7 1/4 in"
    assert [use.detail for use in setup.uses] == ["step 1", "step 2"]


def test_steps_are_numbered_as_they_stand_on_the_page() -> None:
    record = cabinet()
    mixed = tuple(record.steps[i] for i in (0, 2, 1, 3, 4))
    shown = guide_context(make_view(replace(record, steps=mixed)), shop=True)
    assert [t.number for s in shown.sections for t in s.steps] == [1, 2, 3, 4, 5]
    (setup,) = shown.setups
    assert [use.detail for use in setup.uses] == ["step 1", "step 2"]


def test_a_step_shown_before_points_back() -> None:
    steps = [t for p in guide_context(make_view(cabinet()), shop=True).sections for t in p.steps]
    assert [t.back for t in steps] == [0, 0, 0, 3, 0]


def test_an_angle_is_given_both_ways_with_the_worked_out_one_named() -> None:
    cap = next(s for s in guide_context(make_view(cabinet()), shop=True).sections if s.name == "Cap")
    assert [(a.drawing, a.machine, a.check) for a in cap.angles] == [("35°", "55°", False)]
    assert (
        "55° on a scale where square is 0 (worked out, 90° less 35°)"
        in guide_md(make_view(cabinet())).decode()
    )


def test_a_wrong_complement_shows_the_right_one_to_check() -> None:
    record = cabinet()
    wrong = [
        replace(
            f, right=False, spoken=Said(Fraction(56), "degree"), probably_right=Said(Fraction(55), "degree")
        )
        for f in record.findings
        if f.part == "Cap"
    ]
    cap = next(
        s
        for s in guide_context(make_view(replace(record, findings=tuple(wrong))), shop=True).sections
        if s.name == "Cap"
    )
    assert [(a.machine, a.check) for a in cap.angles] == [("55°", True)]


def test_half_an_angle_is_no_complement() -> None:
    record = cabinet()
    half = [replace(f, spoken=Said(Fraction(35, 2), "degree")) for f in record.findings if f.part == "Cap"]
    shown = guide_context(make_view(replace(record, findings=tuple(half))), shop=True)
    assert not [s for s in shown.sections if s.angles]


def test_the_other_system_of_units_is_beside_each_length() -> None:
    side = guide_context(make_view(cabinet()), shop=True).rows[0]
    assert [s.other for s in side.sizes] == ["19 mm", "184 mm", "775 mm"]


def test_times_link_to_the_video() -> None:
    page = guide_html(make_view(published())).decode()
    assert 'href="https://example.org/watch?v=seeds&amp;t=11"' in page
    assert 'href="https://' not in guide_html(make_view(cabinet())).decode()


def test_the_guide_from_notes_has_no_time_anywhere() -> None:
    assert not re.search(r"\d:\d\d", text_of_page(guide_html(make_view(without_times(cabinet())))))


def numbers(text: str) -> set[str]:
    return set(re.findall(r"\d+(?:[./]\d+)?", text))


def test_every_figure_in_the_guide_traces_to_the_record() -> None:
    record = cabinet()
    view = make_view(record)
    context = guide_context(view, shop=True)
    known: set[str] = set()
    for text in (
        *(s.text + s.setting for s in record.steps),
        *(h.caution + h.source for h in record.hazards),
        *(t.name + t.detail for t in (*record.tools, *record.materials)),
        *(m.name for m in record.mentions),
        record.info.date, str(record.info.number), record.made_by, str(len(view.open)), str(len(view.published)),
        *(str(n) for n in range(1, len(record.steps) + 1)),
        *(s.buy for s in record.shopping), *(str(s.pieces) for s in record.shopping), "8.8",
        *(str(p.count) for p in (record.part_list.parts if record.part_list else ())),
        *(str(r.count) + r.sheet for r in record.cut_list),
    ):  # fmt: skip
        known |= numbers(text)
    for value in (
        *((m.value, m.unit) for m in record.measures),
        *((v.value, v.unit) for f in record.findings for v in (f.spoken, f.listed, f.probably_right) if v),
        (Fraction(90), "degree"),
        (Fraction(0), "degree"),
        *((v, s.unit) for r in record.cut_list for s in r.sizes for v in (s.value, s.was) if v is not None),
        *((s.thickness, s.unit) for s in record.shopping if s.thickness is not None),
    ):
        whole, part = divmod(value[0], 1)
        known |= {str(whole), str(part), str(value[0])}
        known |= {str(round(value[0] * Fraction(254, 10)))} if value[1] == "inch" else set()
    for entry in (*context.on_the_plan, *context.in_this_video):
        known |= numbers(entry.time)
    for text in re.findall(r"\d+:\d+", text_of_page(shop_html(view) or b"")):
        minutes, seconds = text.split(":")
        at = int(minutes) * 60 + int(seconds)
        starts = [
            t.start_s
            for n in ("steps", "hazards", "mistakes", "promises", "mentions", "findings")
            for t in getattr(record, n)
        ]
        starts += [t for n in (*record.tools, *record.materials) for t in n.times] + [
            f.at_s for f in record.findings
        ]
        assert any(s is not None and int(s) == at for s in starts), text
        known |= {minutes, seconds}
    shown = text_of_page(shop_html(view) or b"")
    assert numbers(shown) - known == set()


def test_a_measure_that_was_taken_back_is_in_no_step() -> None:
    record = cabinet()
    taken = next(i for i, m in enumerate(record.measures) if m.taken_back)
    steps = tuple(replace(s, measures=(*s.measures, taken)) for s in record.steps)
    before = guide_context(make_view(record), shop=True)
    assert guide_context(make_view(replace(record, steps=steps)), shop=True).sections == before.sections


def test_a_longer_size_is_not_replaced_inside() -> None:
    record = cabinet()
    shelf = next(n for n, s in enumerate(record.steps) if s.part == "Shelf")
    quarter = Measure(value=Fraction(1, 4), unit="inch", words="a quarter", span=record.findings[1].span)
    doubt = replace(record.findings[1], spoken=replace(record.findings[1].spoken, value=Fraction(1, 4)))  # type: ignore[type-var]
    steps = tuple(
        replace(s, text="Take 1/4 in off 3 1/4 in.", measures=(len(record.measures),)) if n == shelf else s
        for n, s in enumerate(record.steps)
    )
    changed = replace(record, measures=(*record.measures, quarter), steps=steps, findings=(doubt,))
    (step,) = next(
        s for s in guide_context(make_view(changed), shop=True).sections if s.name == "Shelf"
    ).steps
    assert step.text == "Take 22 1/2 in (check) off 3 1/4 in."


@pytest.mark.slow
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_a_browser_finds_no_fault_of_accessibility(tmp_path: Path, dark: bool) -> None:
    page = shop_html(make_view(cabinet()))
    assert page is not None
    assert accessibility_faults(page.decode(), tmp_path, dark=dark) == []


@pytest.mark.slow
def test_the_browser_does_find_faults(tmp_path: Path) -> None:
    assert accessibility_faults("<html><body><img src='x.png'></body></html>", tmp_path)


PIXEL = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)


def with_still(name: str) -> EpisodeRecord:
    record = cabinet()
    first, *others = record.steps
    return replace(record, steps=(replace(first, still=name), *others))


def test_a_still_is_held_in_the_page_and_in_the_pdf(tmp_path: Path) -> None:
    (tmp_path / "step-1.png").write_bytes(PIXEL)
    view = make_view(with_still("step-1.png"), out=tmp_path)
    assert 'src="data:image/png;base64,' in guide_html(view).decode()
    assert "![Rip to width](<step-1.png>)" in guide_md(view).decode()
    assert b"/Image" in guide_pdf(view)


@pytest.mark.parametrize(
    "name", ["../secret.png", "/etc/passwd", "none.png", "notes.txt", "fake.png", "linked.png"]
)
def test_only_a_picture_in_the_folder_is_shown(tmp_path: Path, name: str) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (tmp_path / "secret.png").write_bytes(PIXEL)
    (out / "notes.txt").write_bytes(PIXEL)
    (out / "fake.png").write_text("no picture")
    (out / "linked.png").symlink_to(tmp_path / "secret.png")
    view = make_view(with_still(name), out=out)
    assert "<img" not in guide_html(view).decode()
    assert "![" not in guide_md(view).decode()
    assert guide_pdf(view) == guide_pdf(make_view(cabinet(), out=out))


def test_the_plans_wrong_value_is_no_size_of_a_step() -> None:
    record = cabinet()
    read_aloud = next(i for i, m in enumerate(record.measures) if m.role == "quoted-plan")
    plain_role = replace(record.measures[read_aloud], role="finished", verdict="agrees")
    measures = tuple(plain_role if i == read_aloud else m for i, m in enumerate(record.measures))
    steps = tuple(replace(s, measures=(*s.measures, read_aloud)) for s in record.steps)
    shown = guide_context(make_view(replace(record, measures=measures, steps=steps)), shop=True)
    sizes = [z.text for s in shown.sections for t in s.steps for z in t.sizes]
    assert "30 1/2 in" in sizes
    assert "29 1/2 in" not in sizes


def test_a_warning_in_the_makers_own_words_has_no_other_source() -> None:
    record = cabinet()
    own_words = replace(
        record.hazards[0], name="warning", caution="mind the off-cut", source="said in the talk"
    )
    shown = guide_context(make_view(replace(record, hazards=(own_words,))), shop=True)
    assert [(c.name, c.text, c.source) for c in shown.cautions] == [("", "Mind the off-cut.", "")]
    text = guide_md(make_view(replace(record, hazards=(own_words,)))).decode()
    assert "- Mind the off-cut. I say so (0:25)" in text
    assert "> **Careful**: Mind the off-cut." in text


def test_a_doubtful_size_with_nothing_to_stand_in_is_not_printed_at_all() -> None:
    record = cabinet()
    open_one = [
        replace(f, listed=None, probably_right=None)
        for f in record.findings
        if f.kind == "slip" and f.part == "Shelf"
    ]
    text = guide_md(make_view(replace(record, findings=tuple(open_one)))).decode()
    assert "The shelves are \\[size: check\\] long." in text
    assert "- length no size, not settled **check**" in text
    assert "22 1/4" not in text


def test_a_caution_with_no_step_for_its_tool_stands_where_it_came_up() -> None:
    record = cabinet()
    shelf = next(s for s in record.steps if s.part == "Shelf")
    assert shelf.start_s is not None
    loose = replace(record.hazards[0], name="loose sleeves", start_s=shelf.start_s + 1)
    shown = guide_context(make_view(replace(record, hazards=(loose,))), shop=True)
    assert [(s.name, c.name) for s in shown.sections for t in s.steps for c in t.cautions] == [
        ("Shelf", "Loose sleeves")
    ]


def test_stock_says_what_is_not_counted() -> None:
    record = cabinet()
    rod = replace(
        record.shopping[0], running_length=Fraction(72), without=("Knob",), thickness=None, material=""
    )
    (stock,) = guide_context(make_view(replace(record, shopping=(rod,))), shop=True).stock
    assert stock.material == "material not named"
    assert "72 in end to end, no kerf added" in stock.detail
    assert "not counted, since a size or the number of Knob is missing" in stock.detail


def test_stock_of_which_nothing_is_counted_does_not_name_its_parts_twice() -> None:
    record = cabinet()
    none = replace(record.shopping[0], parts=("Knob",), without=("Knob",))
    (stock,) = guide_context(make_view(replace(record, shopping=(none,))), shop=True).stock
    assert stock.detail.endswith("for Knob; not counted, since a size or the number is missing")
