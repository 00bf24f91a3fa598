from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from markdown_it import MarkdownIt
from msgspec.structs import replace
from odd_records import HOSTILE, bare, hostile, long_talk, without_times
from sample_records import cabinet, measure, published, spoken

from benchscribe.records import EpisodeRecord, Finding, ListedName, Promise, Said, TradeNumber
from benchscribe.writers.corrections import correction_text
from benchscribe.writers.notes import MOST, description, length, show_notes
from benchscribe.writers.text import listing
from benchscribe.writers.view import make_view

BOTH = pytest.mark.parametrize("write", [show_notes, description])

Golden = Callable[[str, str | bytes], None]


def notes(record: EpisodeRecord) -> str:
    return show_notes(make_view(record)).decode()


def crowded() -> EpisodeRecord:
    """Give an episode with far more to say than fits: 200 tools, 200 materials, 32 corrections."""
    record = replace(published(), chapters=long_talk(9000).chapters)
    plan_wrong = record.findings[0]
    return replace(
        record,
        findings=tuple(replace(plan_wrong, id=f"f{n}", part=f"Part {n:03}", edition="") for n in range(32)),
        tools=tuple(
            ListedName(name=f"Tool number {n}", detail="with a long detail beside it") for n in range(200)
        ),
        materials=tuple(ListedName(name=f"Material number {n}", detail="as told") for n in range(200)),
    )


def test_the_sample_is_as_agreed(golden: Golden) -> None:
    for name, record in (
        ("cabinet", cabinet()),
        ("published", published()),
        ("untimed", without_times(cabinet())),
    ):
        golden(f"writers/{name}.show-notes.md", notes(record))
        golden(f"writers/{name}.description.txt", description(make_view(record)))


@BOTH
def test_the_notes_fit(write: Callable[..., Any]) -> None:
    assert length(write(make_view(crowded())).decode()) <= MOST


@BOTH
def test_no_correction_is_trimmed(write: Callable[..., Any]) -> None:
    text = write(make_view(crowded())).decode()
    for number in range(32):
        assert f"Part {number:03}, length: the plan (sheet 2) says 29 1/2 in; make it 30 1/2 in." in text


def many_corrections() -> EpisodeRecord:
    record = crowded()
    many = tuple(replace(record.findings[0], id=f"g{n}", part=f"Part {n:03}") for n in range(300))
    return replace(record, findings=many)


def test_corrections_stand_in_the_show_notes_even_where_they_alone_do_not_fit() -> None:
    text = notes(many_corrections())
    assert all(f"Part {n:03}" in text for n in range(300))


def test_a_description_that_corrections_alone_would_burst_counts_the_rest() -> None:
    text = description(make_view(many_corrections())).decode()
    assert length(text) <= MOST
    told = re.findall(r"^- Part \d{3}, length: the plan .*; make it 30 1/2 in\.", text, re.MULTILINE)
    more = re.search(r"^- (\d+) more corrections: all are in the build guide\.$", text, re.MULTILINE)
    assert more is not None
    assert len(told) + int(more[1]) == 300
    assert len(told) > 20


def test_the_length_is_counted_as_the_strictest_platform_counts() -> None:
    assert length("a") == 1
    assert length("\u05d0") == 2
    assert length("\U0001f331") == 4
    record = replace(crowded(), findings=())
    shown = replace(
        record,
        materials=tuple(replace(m, name="\u05d0" * 40 + str(n)) for n, m in enumerate(record.materials)),
    )
    assert len(description(make_view(shown))) < 5000


def test_what_can_hurt_is_corrected_first() -> None:
    record = published()
    first = replace(
        record.findings[0], id="a", part="Shelf", start_s=10.0, sentence="Shelf is half an inch too short."
    )
    later = replace(
        record.findings[0], id="b", part="Foot", start_s=90.0, sentence="Any shorter and it tips over on you."
    )
    for write in (show_notes, description):
        text = write(make_view(replace(record, findings=(first, later)))).decode()
        assert text.index("- Foot, length") < text.index("- Shelf, length")


def test_corrections_come_before_the_chapters() -> None:
    assert notes(published()).index("## Corrections") < notes(published()).index("## Chapters")
    text = description(make_view(published())).decode()
    assert text.index("CORRECTIONS") < text.index("CHAPTERS")


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("and next week we'll do the drawers,", "Next week we'll do the drawers."),
        ("Okay, so, um, the back i'll do next time", "The back I'll do next time."),
        ("But that's another day.", "That's another day."),
        ("Andirons come next month.", "Andirons come next month."),
        ("So that is for later", "So that is for later."),
        ("Wellingtons off, doors next week!", "Wellingtons off, doors next week!"),
    ],
)
def test_a_promise_stands_by_itself(said: str, told: str) -> None:
    record = bare(said)
    promised = replace(record, promises=(Promise(start_s=None, span=(0, len(said.split())), text=said),))
    text = description(make_view(promised)).decode()
    assert f"NEXT TIME\n- {told}\n" in text


def test_a_size_in_a_promise_is_written_right() -> None:
    words, utterances = spoken(["The bars are 10 and 5 8ths, that'll be next time."])
    record = bare()
    transcript = replace(record.transcript, words=words, utterances=utterances)
    size = measure(words, "10 and 5 8ths", Fraction(85, 8), unit_said=False)
    promise = Promise(start_s=1.0, span=(0, len(words)), text=transcript.text((0, len(words))))
    text = notes(replace(record, transcript=transcript, measures=(size,), promises=(promise,)))
    assert "- The bars are 10 5/8, that'll be next time. (at 0:01)" in text


@pytest.mark.parametrize(
    ("detail", "shown"),
    [
        ("3 8ths", "Bit (3/8 in)"),
        (
            "Somebody asked me about it, and yes, 400 grit before the wax, if you're showing off",
            "Bit (400 grit)",
        ),
        ("down-cut spiral", "Bit (down-cut spiral)"),
        ("3 8ths, 3 8ths flat head", "Bit (3/8 in, 3/8 in flat head)"),
        ("", "Bit"),
    ],
)
def test_the_kind_of_a_tool_is_a_size_or_a_kind_and_no_talk(detail: str, shown: str) -> None:
    words, utterances = spoken(["I use a 3 8ths bit and then 400 grit."])
    record = bare()
    size = measure(words, "3 8ths", Fraction(3, 8))
    grit = TradeNumber(kind="grit", name="400 grit", words="400 grit", span=(7, 9))
    text = notes(
        replace(
            record,
            transcript=replace(record.transcript, words=words, utterances=utterances),
            measures=(size,),
            trade_numbers=(grit,),
            tools=(ListedName(name="bit", detail=detail),),
        )
    )
    assert f"- {shown}\n" in text


def test_what_is_known_by_its_letters_is_written_in_capitals() -> None:
    record = replace(bare(), materials=(ListedName(name="mdf base"), ListedName(name="uhmw plastic")))
    assert "- MDF base\n- UHMW plastic\n" in notes(record)


def test_nothing_is_cut_in_the_middle_of_a_line() -> None:
    whole = notes(replace(crowded(), findings=()))
    for line in whole.splitlines():
        if line.startswith("- Tool"):
            assert re.fullmatch(r"- Tool number \d+( \(with a long detail beside it\))?", line)


@BOTH
def test_own_text_is_word_for_word_and_counted_first(write: Callable[..., Any]) -> None:
    before = "Hello & <welcome>  *friends*\n\n\n  keep   my spaces\n" + "y" * 3000
    record = replace(crowded(), findings=crowded().findings[:5])
    record = replace(
        record, info=replace(record.info, before=before, after="[mine](https://example.org)\n\n\nbye")
    )
    text = write(make_view(record)).decode()
    assert before in text
    assert "[mine](https://example.org)\n\n\nbye" in text
    assert length(text) <= MOST


def test_chapters_follow_the_usual_rule() -> None:
    lines = re.findall(r"^((?:\d+:)?\d+:\d\d) \S.*$", notes(cabinet()), re.MULTILINE)
    seconds = [sum(int(p) * 60**n for n, p in enumerate(reversed(t.split(":")))) for t in lines]
    assert seconds[0] == 0
    assert len(seconds) >= 3
    assert all(b - a >= 10 for a, b in pairwise(seconds))


def test_notes_without_times_have_chapters_in_order_and_no_time_anywhere() -> None:
    record = without_times(cabinet())
    text = notes(record)
    places = [text.index(chapter.title) for chapter in record.chapters]
    assert places == sorted(places)
    assert not re.search(r"\d:\d\d", text)
    assert not re.search(r"\d:\d\d", description(make_view(record)).decode())


def test_takes_are_told_beside_the_running_time() -> None:
    assert "(at 1:45, take-2.m4a 0:38)" in notes(cabinet())


def test_a_published_correction_links_to_its_moment() -> None:
    assert "[at 0:50](<https://example.org/watch?v=seeds&t=50>)" in notes(published())


@pytest.mark.parametrize(
    "pattern", ["javascript:alert({seconds})", 'https://e.org/{seconds}" onclick=x', "https://e.org/"]
)
def test_only_a_web_address_with_a_place_for_seconds_becomes_a_link(pattern: str) -> None:
    record = published()
    assert "](" not in notes(replace(record, info=replace(record.info, link=pattern)))


def test_drafts_have_no_links() -> None:
    assert "https://" not in notes(cabinet())


def test_what_is_open_or_dismissed_is_not_published() -> None:
    text = notes(cabinet())
    assert "22 1/4" not in text
    assert "220 in" not in text


def test_a_right_derivation_is_never_a_correction() -> None:
    assert "Drawer front, width" not in notes(published())


def test_a_change_is_no_fault_of_the_plan() -> None:
    text = notes(cabinet())
    change = text.index("Knob, diameter: I made mine 5/8 in; the plan has 1/2 in.")
    assert change > text.index("### In this video") > text.index("### On the plan")


def said(kind: str, **more: object) -> str:
    inch = {
        "part": "Rail",
        "dimension": "length",
        "spoken": Said(Fraction(9, 4), "inch"),
        "listed": Said(Fraction(5, 2), "inch"),
    }
    return correction_text(Finding(id="x", kind=kind, **{**inch, "status": "accepted", **more}))  # type: ignore[arg-type]


def test_each_kind_says_what_to_build_from() -> None:
    assert said("plan-wrong") == "Rail, length: the plan says 2 1/2 in; make it 2 1/4 in."
    assert said("slip") == "Rail, length: I say 2 1/4 in; it should be 2 1/2 in."
    half = Said(Fraction(5, 4), "inch")
    assert said("derived", probably_right=half) == "Rail, length: I work out 2 1/4 in; it should be 1 1/4 in."
    assert said("derived") == "Rail, length: I work out 2 1/4 in, and that is wrong."
    assert said("supplied", listed=None, supplied_how="scaled") == (
        "Rail, length: the plan gives none; mine is 2 1/4 in (scaled off the drawing)."
    )
    assert said(
        "count", dimension=None, spoken=Said(Fraction(6), "count"), listed=Said(Fraction(4), "count")
    ) == ("Rail: I make 6; the plan lists 4.")
    assert said("contradiction") == "Rail, length: I give two sizes, 2 1/4 in and 2 1/2 in."
    assert (
        said("impossible", why="The hole is wider than its rail")
        == "Rail, length: The hole is wider than its rail."
    )
    assert said("slip", part=None, dimension=None) == "I say 2 1/4 in; it should be 2 1/2 in."


def test_an_amended_value_is_the_one_to_build_from() -> None:
    assert said("slip", status="amended") == "Rail, length: make it 2 1/4 in."


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_come_out_as_text(name: str) -> None:
    made = MarkdownIt("commonmark").enable("table").render(notes(hostile(name)))
    shown = " ".join(name.replace("\u202e", "").split())
    escaped = shown.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").replace('"', "&quot;")
    if shown:
        assert f"<h1>{escaped}</h1>" in made
    allowed = {"h1", "h2", "h3", "p", "ul", "li", "a", "br", "em"}
    assert set(re.findall(r"<(\w+)", made)) <= allowed
    assert set(re.findall(r'href="(\w+):', made)) <= {"https"}


@pytest.mark.parametrize("record", [bare("Hello"), bare("")], ids=["one word", "no word"])
@BOTH
def test_an_episode_with_nothing_in_it_still_has_notes(
    record: EpisodeRecord, write: Callable[..., Any]
) -> None:
    assert write(make_view(record)).decode().startswith(("# Untitled episode", "Untitled episode"))


def test_names_with_commas_of_their_own_are_set_apart() -> None:
    assert listing(["flap", "tie, leather", "handle"]) == "flap; tie, leather; and handle"
    assert listing(["flap", "handle"]) == "flap and handle"


def test_a_promise_is_linked_to_the_moment_where_it_was_made() -> None:
    record = cabinet()
    linked = replace(
        record,
        draft=False,
        info=replace(record.info, link="https://example.org/v?t={seconds}"),
        promises=(Promise(start_s=129.0, span=(0, 1), text="Wiring next week."),),
    )
    text = show_notes(make_view(linked)).decode()
    assert "- Wiring next week. ([at 2:09](<https://example.org/v?t=129>))" in text
