"""The commands as a maker types them: what they print, how they end, and that a fault is one sentence."""

from __future__ import annotations

import io
import json
import sys
from typing import TYPE_CHECKING

import pytest

from benchscribe.cli import main

if TYPE_CHECKING:
    from pathlib import Path

CAPTIONS = """WEBVTT

00:00:01.000 --> 00:00:05.000
Right, the shelf. It's 22 and a half inches long.

00:00:06.000 --> 00:00:10.000
I'm ripping it to 7 and a quarter inches wide on the table saw.

00:00:12.000 --> 00:00:16.000
The list says 30 inches for the side and that's wrong, it needs to be 31.
"""
PARTS = "Part,Qty,Thickness,Width,Length\nSide,2,3/4,8,30\nShelf,3,3/4,7 1/4,22 1/2\n"


def run(*arguments: object) -> int:
    with pytest.raises(SystemExit) as caught:
        main([str(a) for a in arguments])
    return int(caught.value.code or 0)


def succeeds(*arguments: object) -> None:
    status: object = 0
    try:
        main([str(a) for a in arguments])
    except SystemExit as stop:
        status = stop.code
    assert not status, f"ended with {status}"


@pytest.fixture
def build(tmp_path: Path) -> Path:
    folder = tmp_path / "build"
    succeeds("start", folder)
    (folder / "parts.csv").write_text(PARTS)
    (folder / "episodes" / "01-first" / "take-1.vtt").write_text(CAPTIONS)
    return folder


def test_start_lays_out_a_build_that_check_finds_nothing_wrong_with(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "mine"
    succeeds("start", folder)
    (folder / "episodes" / "01-first" / "notes.md").write_text("# Sides\n\nCut two sides 30 inches long.\n")
    succeeds("check", folder)
    printed = capsys.readouterr().out
    assert "3 parts" in printed
    assert "length not given" not in printed
    assert "01-first: notes.md" in printed


def test_write_puts_every_output_in_the_episode_folder(build: Path) -> None:
    episode = build / "episodes" / "01-first"
    succeeds("write", episode)
    names = {p.name for p in (episode / "out").iterdir()}
    assert {
        "record.json", "show-notes.md", "chapters.vtt", "captions.vtt", "captions.srt",
        "guide.md", "guide.html", "corrections.csv", "for-review.md",
    } <= names  # fmt: skip


def test_a_build_folder_stands_for_all_its_episodes(build: Path) -> None:
    second = build / "episodes" / "02-second"
    second.mkdir()
    (second / "notes.md").write_text("# Shelf\n\nThe shelf is 22 1/2 inches long.\n")
    succeeds("write", build, "--only", "record", "--quiet")
    assert (build / "episodes" / "01-first" / "out" / "record.json").is_file()
    assert (second / "out" / "record.json").is_file()


def test_takes_make_a_draft_and_every_text_says_so(build: Path) -> None:
    episode = build / "episodes" / "01-first"
    succeeds("write", episode, "--quiet")
    for path in (episode / "out").iterdir():
        if path.suffix in {".md", ".html", ".vtt", ".txt"}:
            assert "draft: times are of the takes" in path.read_text().lower(), path.name


def test_a_transcript_alone_is_enough(tmp_path: Path) -> None:
    (tmp_path / "talk.vtt").write_text(CAPTIONS)
    (tmp_path / "parts.csv").write_text(PARTS)
    succeeds(
        "write",
        "--transcript",
        tmp_path / "talk.vtt",
        "--parts",
        tmp_path / "parts.csv",
        "--out",
        tmp_path / "o",
        "--quiet",
    )
    record = json.loads((tmp_path / "o" / "record.json").read_text())
    assert [m["value"] for m in record["measures"]][:2] == ["45/2", "29/4"]
    wrong = [f for f in record["findings"] if f["kind"] == "plan-wrong"]
    assert [(f["part"], f["dimension"], f["spoken"]["value"]) for f in wrong] == [("Side", "length", "31")]


def test_units_may_be_set_and_are_said_to_be(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("The shelf is 450 long and 18 thick.")
    succeeds(
        "write", "--transcript", tmp_path / "notes.txt", "--out", tmp_path / "o", "--units", "mm", "--quiet"
    )
    record = json.loads((tmp_path / "o" / "record.json").read_text())
    assert (record["info"]["units"], record["info"]["units_why"]) == ("mm", "as set")
    assert {m["unit"] for m in record["measures"]} == {"mm"}


def test_only_and_except_choose_the_outputs(build: Path) -> None:
    episode = build / "episodes" / "01-first"
    succeeds("write", episode, "--only", "record,chapters", "--except", "chapters", "--quiet")
    assert [p.name for p in (episode / "out").iterdir()] == ["record.json"]


def test_findings_are_listed_explained_and_settled(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    episode = build / "episodes" / "01-first"
    succeeds("write", episode, "--quiet")
    succeeds("findings", episode)
    listed = capsys.readouterr().out
    assert "plan-wrong: Side, length: said 31" in listed
    number = next(line.split()[0] for line in listed.splitlines() if "plan-wrong" in line)
    succeeds("findings", episode, "--why", number)
    assert "heard" in capsys.readouterr().out
    succeeds("findings", episode, "--dismiss", number)
    capsys.readouterr()
    succeeds("findings", episode)
    assert "(dismissed)" in capsys.readouterr().out
    assert "Side" not in (episode / "out" / "corrections.csv").read_text()


def test_measures_prints_a_table(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(
        sys,
        "stdin",
        io.TextIOWrapper(io.BytesIO(b"cut it two and five eighths long\nno size here\n"), "utf-8"),
    )
    succeeds("measures", "-")
    printed = capsys.readouterr().out
    assert "21/8 inch" in printed
    assert "two and five eighths" in printed


def test_measures_answers_json_lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "lines.jsonl").write_text(
        '{"text": "it is three and three quarters wide", "units": "inch"}\n{"text": "hello", "units": "mm"}\n'
    )
    succeeds("measures", "--lines", tmp_path / "lines.jsonl")
    assert [json.loads(x) for x in capsys.readouterr().out.splitlines()] == [
        {"measures": [["15/4", "inch"]]},
        {"measures": []},
    ]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("write", "nowhere"), "no such episode folder"),
        (("write",), "name an episode folder"),
        (("write", "--transcript", "none.vtt", "--out", "o"), "no such transcript"),
        (("write", "--transcript", "none.vtt"), "needs --out"),
        (("write", "x", "--transcript", "y.vtt"), "not both"),
        (("write", "x", "--parts", "y.csv"), "goes with --transcript"),
        (("findings", "nowhere"), "no such episode folder"),
        (("measures", "none.txt"), "No such file"),
    ],
)
def test_a_fault_is_one_sentence_and_a_status(
    arguments: tuple[str, ...],
    words: str,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run(*arguments) > 0
    printed = capsys.readouterr().err
    assert words in printed
    assert "Traceback" not in printed


@pytest.mark.parametrize(
    ("option", "value", "words"),
    [
        ("--only", "show-note", 'no output called "show-note"'),
        ("--chapters", "lots", "few, some, many, or a number"),
        ("--chapters", "0", "few, some, many, or a number"),
    ],
)
def test_a_wrong_option_says_what_is_allowed(
    build: Path, option: str, value: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("write", build / "episodes" / "01-first", option, value) == 1
    assert words in capsys.readouterr().err


def test_an_unknown_output_in_build_toml_is_named_before_anything_is_written(
    build: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (build / "build.toml").write_text('part_list = "parts.csv"\nwrite = ["gide"]\n')
    assert run("write", build) == 1
    assert '"gide"' in capsys.readouterr().err
    assert not (build / "episodes" / "01-first" / "out").exists()


def test_check_fails_on_a_build_that_cannot_run(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (build / "build.toml").write_text('unit = "mm"\n')
    assert run("check", build) == 1
    assert 'Did you mean "units"?' in capsys.readouterr().out


def test_a_demo_is_not_copied_over_something_else(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "mine.txt").write_text("x")
    assert run("demo", tmp_path) == 1
    assert "holds something else" in capsys.readouterr().err


def test_a_passage_that_the_maker_strikes_reaches_no_output(build: Path) -> None:
    episode = build / "episodes" / "01-first"
    (build / "build.toml").write_text('part_list = "parts.csv"\n[markers]\nleave_out = ["off the record"]\n')
    more = "\n00:00:20.000 --> 00:00:24.000\nOff the record, the password is swordfish.\n"
    (episode / "take-1.vtt").write_text(CAPTIONS + more)
    succeeds("write", episode, "--quiet")
    for path in (episode / "out").iterdir():
        assert b"swordfish" not in path.read_bytes(), path.name
