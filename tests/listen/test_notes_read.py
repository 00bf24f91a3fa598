"""Rough notes keep their headings and marks, and get no times of their own."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchscribe.errors import TranscriptError
from benchscribe.listen import read_notes
from benchscribe.records import Transcript


def read(tmp_path: Path, text: str, name: str = "notes.md") -> Transcript:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return read_notes(path)


def lines(transcript: Transcript) -> list[tuple[str, str, float | None]]:
    return [(u.heading, transcript.text(u.span), u.start_s) for u in transcript.utterances]


def test_notes_without_marks_have_no_times(tmp_path: Path) -> None:
    notes = read(
        tmp_path, "# Legs\n\nRip to 1 1/2. Four of them.\n\n- taper the foot\n- plan says 34, **wrong**\n"
    )
    assert notes.clock == "none"
    assert lines(notes) == [
        ("Legs", "Rip to 1 1/2.", None),
        ("Legs", "Four of them.", None),
        ("Legs", "taper the foot", None),
        ("Legs", "plan says 34, wrong", None),
    ]
    assert all(word.start_s is None and word.end_s is None for word in notes.words)


@pytest.mark.parametrize(
    ("text", "time"),
    [
        ("[02:10] Rip it", 130.0),
        ("[1:02:10] Rip it", 3730.0),
        ("2:10 - Rip it", 130.0),
        ("02:10 \u2013 Rip it", 130.0),
        ("- [02:10] Rip it", 130.0),
        ("(02:10) Rip it", 130.0),
        ("72:10 - Rip it", 4330.0),
    ],
)
def test_marks_are_read(tmp_path: Path, text: str, time: float) -> None:
    assert lines(read(tmp_path, text)) == [("", "Rip it", time)]


def test_a_mark_in_a_heading_dates_what_stands_under_it(tmp_path: Path) -> None:
    notes = read(tmp_path, "## [02:10] Legs\nRip it.\n\n## Rails\nCut them.\n")
    assert notes.clock == "notes"
    assert lines(notes) == [("Legs", "Rip it.", 130.0), ("Rails", "Cut them.", None)]


def test_a_mark_within_a_line_begins_a_new_passage(tmp_path: Path) -> None:
    notes = read(tmp_path, "[00:10] Rip it [00:40] Cut it to 3:1 slope")
    assert lines(notes) == [("", "Rip it", 10.0), ("", "Cut it to 3:1 slope", 40.0)]


def test_what_is_no_mark_stays_a_word(tmp_path: Path) -> None:
    assert [
        text for _, text, _ in lines(read(tmp_path, "2:10 slope on the lid\nstart at 9:30 in the morning"))
    ] == [
        "2:10 slope on the lid",
        "start at 9:30 in the morning",
    ]


def test_plain_text_lines_are_passages_but_wrapped_lines_are_not(tmp_path: Path) -> None:
    text = "legs 34 1/4\nRails 12\nthe stretcher sits four inches up from the floor, measured on the\noutside face\n"
    assert [text for _, text, _ in lines(read(tmp_path, text, "notes.txt"))] == [
        "legs 34 1/4",
        "Rails 12",
        "the stretcher sits four inches up from the floor, measured on the outside face",
    ]


def test_markdown_is_taken_out(tmp_path: Path) -> None:
    text = "---\ntitle: x\n---\n\nSee [the sheet](http://e.invalid/a_b) and `3/4` *ply*, ~~5/8~~ &amp; glue\n\n| part | size |\n|---|---|\n| leg | 34 |\n\n- [x] done\n"
    assert [text for _, text, _ in lines(read(tmp_path, text))] == [
        "See the sheet and 3/4 ply, & glue",
        "part",
        "size",
        "leg",
        "34",
        "done",
    ]


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("first\n\n[02:75] Rip it", 3, "no time"),
        ("[02:10] a\n\nb\n\n[01:10] c", 5, "earlier"),
        ("[1:75:00] a", 1, "no time"),
        ("# Only a heading\n", 1, "nothing is written"),
    ],
)
def test_broken_notes_are_named_with_their_line(tmp_path: Path, text: str, line: int, words: str) -> None:
    with pytest.raises(TranscriptError) as caught:
        read(tmp_path, text)
    assert f"line {line}" in str(caught.value)
    assert words in str(caught.value)
