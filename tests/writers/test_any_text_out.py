"""What holds for any text and any times, not only for the ones that somebody thought of."""

from __future__ import annotations

import csv
import html
import io
import re
from itertools import pairwise
from typing import Any

import html5lib
import srt
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from msgspec.structs import replace
from odd_records import bare, hostile
from outside_checks import vtt_faults

from benchscribe.records import Chapter, Cue, EpisodeRecord, Utterance, Word
from benchscribe.writers.caption_lines import WIDTH, break_lines
from benchscribe.writers.captions import captions_srt, captions_vtt, make_cues
from benchscribe.writers.chapters import chapters_vtt, listed_chapters
from benchscribe.writers.corrections_sheet import corrections_sheet
from benchscribe.writers.guide import guide_html, guide_md, guide_pdf
from benchscribe.writers.notes import description, show_notes
from benchscribe.writers.review import for_review
from benchscribe.writers.tables import table
from benchscribe.writers.text import flat, markdown, markdown_line, plain
from benchscribe.writers.view import make_view

TEXT = st.text(
    st.one_of(st.sampled_from("<>&*_`[]()#-+!|\\~=@:.1 \n\t\"'"), st.characters(exclude_categories=("Cs",))),
    max_size=40,
)
WORD = st.text(
    st.characters(min_codepoint=33, max_codepoint=0x2FF, exclude_categories=("Cc", "Zs")),
    min_size=1,
    max_size=14,
)
SECONDS = st.floats(min_value=0, max_value=20_000, allow_nan=False)
MARKDOWN = MarkdownIt("commonmark").enable(["table", "strikethrough"])


@st.composite
def talk(draw: st.DrawFn) -> EpisodeRecord:
    """Give an episode of any words, at any pace, some of them without times."""
    now = draw(st.floats(min_value=0, max_value=10))
    words = []
    for text in draw(st.lists(WORD, min_size=1, max_size=40)):
        length = draw(st.floats(min_value=0, max_value=9))
        known = draw(st.booleans()) or not words
        words.append(Word(text, now, now + length) if known else Word(text))
        now += length + draw(st.sampled_from([0.0, 0.1, 0.5, 3.0]))
    record = bare()
    utterances = (Utterance((0, len(words)), words[0].start_s, words[-1].end_s),)
    return replace(record, transcript=replace(record.transcript, words=tuple(words), utterances=utterances))


@given(TEXT)
def test_markdown_shows_any_line_as_it_is(text: str) -> None:
    shown = html.unescape(re.sub(r"<[^>]*>", "", MARKDOWN.render("# " + markdown(text))))
    assert plain(shown) == plain(text).strip("#").strip() or plain(shown) == plain(text)


@given(TEXT)
def test_a_line_of_any_text_is_a_paragraph_of_that_text(text: str) -> None:
    made = MARKDOWN.render(markdown_line(text))
    if plain(text):
        assert made.startswith("<p>")
        assert html.unescape(made.removeprefix("<p>").removesuffix("</p>\n")) == plain(text)


@given(TEXT)
def test_a_line_has_no_line_breaks_and_keeps_its_words(text: str) -> None:
    assert "\n" not in flat(text)
    assert plain(plain(text)) == plain(text)


@given(st.lists(st.lists(TEXT, min_size=3, max_size=3), max_size=5))
def test_a_table_of_any_text_reads_back_whole_and_safe(rows: list[list[str]]) -> None:
    made = table(("a", "b", "c"), rows).decode()
    back = list(csv.reader(io.StringIO(made, newline=""), strict=True))
    assert len(back) == len(rows) + 1
    for given_row, row in zip(rows, back[1:], strict=True):
        for text, cell in zip(given_row, row, strict=True):
            assert cell.removeprefix("'") == plain(text).removeprefix("'")
            assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))


@given(st.lists(WORD, max_size=30))
def test_lines_hold_every_word_in_order_and_are_as_few_as_can_be(words: list[str]) -> None:
    lines = break_lines(words)
    assert " ".join(lines) == " ".join(words)
    assert all(len(line) <= WIDTH for line in lines)
    filled, length = 1, -1
    for word in words:
        length += len(word) + 1
        if length > WIDTH:
            filled, length = filled + 1, len(word)
    assert len(lines) == (filled if words else 0)


@settings(deadline=None)
@given(talk())
def test_captions_of_any_talk_are_sound(record: EpisodeRecord) -> None:
    view = make_view(record)
    made = (captions_vtt(view) or b"").decode()
    assert vtt_faults(made) == []
    cues = make_cues(record)
    # Only the word "I" is written otherwise than a recogniser without capitals has it.
    assert [w.replace("i", "I") for c in cues for line in c.lines for w in line.split()] == [
        w.text.replace("i", "I") for w in record.transcript.words
    ]
    assert all(len(c.lines) <= 2 for c in cues)
    assert len(list(srt.parse((captions_srt(view) or b"").decode()))) == len(cues)


@settings(deadline=None)
@given(talk(), st.lists(st.tuples(SECONDS, SECONDS), min_size=1, max_size=6))
def test_captions_that_came_in_are_written_soundly_whatever_their_times(
    record: EpisodeRecord, times: list[tuple[float, float]]
) -> None:
    words = len(record.transcript.words)
    edges = [n * words // len(times) for n in range(len(times) + 1)]
    cues = tuple(Cue((a, b), *t) for a, b, t in zip(edges, edges[1:], times, strict=False))
    kept = replace(record, transcript=replace(record.transcript, cues=cues))
    made = captions_vtt(make_view(kept))
    assert made is not None
    assert vtt_faults(made.decode()) == []


@given(st.lists(st.tuples(SECONDS, TEXT), max_size=12))
def test_chapters_at_any_times_are_sound(marks: list[tuple[float, str]]) -> None:
    chapters = tuple(Chapter(title=title, span=(0, 1), start_s=start) for start, title in marks)
    record = replace(bare(), chapters=chapters)
    made = chapters_vtt(make_view(record))
    assert made is None or vtt_faults(made.decode()) == []
    starts = [int(c.start_s) for c in listed_chapters(record)]
    assert starts == [] or starts[0] == 0
    assert len(starts) == 0 or len(starts) >= 3
    assert all(b - a >= 10 for a, b in pairwise(starts))


ACTIVE = re.compile(r"^on|^style$|^srcdoc$|^formaction$")
QUIET = {"html", "head", "meta", "title", "style", "body", "a", "div", "header", "p", "h1", "h2", "h3", "h4", "span", "nav", "ul", "li",
         "ol", "main", "section", "table", "caption", "thead", "tbody", "tr", "th", "td", "dl", "dt", "dd", "strong", "em", "bdi", "svg",
         "path", "img", "footer", "figure", "figcaption", "br", "text", "g", "line", "circle", "details", "summary", "time", "code",
         "blockquote", "hr", "small", "aside", "article", "link", "label", "b", "i", "s", "del", "ins"}  # fmt: skip
"""Elements that do nothing by themselves."""
NASTY = st.one_of(
    TEXT,
    st.lists(
        st.sampled_from(
            ["<script>", "</style>", "<img src=x onerror=y>", "</title>", "]]>", "{{x}}", "{%", "](javascript:a)", "```", "](", "<!--",
             "-->", "#sys.inputs", "$x$", "\\u{41}", "@ref", "=1+1", "\n\n", "\r", "`rm -rf`", "$(id)", "|", "\t=", "&lt;", "'\"", "\u202e"]
        ),
        min_size=1, max_size=5,
    ).map("".join),
)  # fmt: skip


def elements(page: str) -> list[Any]:
    return [e for e in html5lib.parse(page, namespaceHTMLElements=False).iter() if isinstance(e.tag, str)]


@settings(deadline=None, max_examples=25)
@given(NASTY)
def test_any_name_comes_out_as_text_in_every_page_and_list(name: str) -> None:
    view = make_view(hostile(name))
    pages = [MARKDOWN.render(made(view).decode()) for made in (show_notes, for_review, guide_md)]
    pages.append(guide_html(view).decode())
    for page in pages:
        for element in elements(page):
            assert element.tag.split("}")[-1] in QUIET, element.tag
            for attribute, value in element.attrib.items():
                assert not ACTIVE.match(attribute) or (
                    attribute == "style" and value.startswith("text-align")
                )
                if attribute in ("href", "src"):
                    assert value.startswith(("#", "https://", "data:image/")), value
    text = description(view).decode()
    assert re.search(r"[\x00-\x08\x0b-\x1f\x7f\u202a-\u202e\u2066-\u2069]", text) is None


@settings(deadline=None, max_examples=8)
@given(NASTY)
def test_any_name_can_be_set_in_print(name: str) -> None:
    view = make_view(hostile(name))
    assert (corrections_sheet(view) or b"%PDF-").startswith(b"%PDF-")
    assert guide_pdf(view).startswith(b"%PDF-")
