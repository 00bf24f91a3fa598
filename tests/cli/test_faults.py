"""What a maker can get wrong at the command line is one sentence, and nothing is written down that a later run could not read."""

from __future__ import annotations

import io
import os
import sys
from typing import TYPE_CHECKING

import pytest

from benchscribe.build import list_episodes
from benchscribe.cli import main
from benchscribe.main_job import copy_demo

if TYPE_CHECKING:
    from pathlib import Path

CAPTIONS = """WEBVTT

00:00:01.000 --> 00:00:05.000
Right, the shelf. It's 22 and a half inches long.

00:00:12.000 --> 00:00:16.000
The list says 30 inches for the side and that's wrong, it needs to be 31.
"""
PARTS = "Part,Qty,Thickness,Width,Length\nSide,2,3/4,8,30\nShelf,3,3/4,7 1/4,22 1/2\n"


def status(*arguments: object) -> int:
    try:
        main([str(a) for a in arguments])
    except SystemExit as stop:
        return int(stop.code or 0)
    return 0


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give an episode that has been written, with one finding: the side is 31 long."""
    build = tmp_path_factory.mktemp("build")
    episode = build / "episodes" / "01"
    episode.mkdir(parents=True)
    (build / "build.toml").write_text('title = "Shelf"\n')
    (build / "parts.csv").write_text(PARTS)
    (episode / "take-1.vtt").write_text(CAPTIONS)
    assert status("write", episode, "--quiet", "--only", "record") == 0
    return episode


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--amend", 1, "--value", "45 degrees"), "is an angle, and this finding is about a length"),
        (("--amend", 1, "--value", "-3"), "is not one size"),
        (("--amend", 1, "--part", "Shelve"), 'Did you mean "Shelf"?'),
        (("--amend", 1, "--dimension", "girth"), "is no dimension. Use one of: thickness"),
        (("--amend", 1), "--amend needs"),
        (("--accept", 1, "--value", "3"), "--value goes with --amend"),
        (("--accept", 1, "--why", 1), "one finding one way at a time"),
        (("--accept", 1, "--dismiss", 1), "one finding one way at a time"),
        (("--note", "x"), "--note goes with"),
        (("--why", 9), "there is no finding 9"),
    ],
)
def test_an_answer_that_cannot_be_kept_is_refused_before_it_is_written_down(
    written: Path, capsys: pytest.CaptureFixture[str], options: tuple[object, ...], words: str
) -> None:
    assert status("findings", written, *options) == 1
    assert words in capsys.readouterr().err
    assert not (written / "decisions.toml").exists()


def test_help_says_what_accepting_a_slip_means(capsys: pytest.CaptureFixture[str]) -> None:
    assert status("findings", "--help") == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "for a slip, you misspoke and the listed size is right" in told
    assert "for plan-wrong, the plan is wrong and the said size is right" in told


def test_an_amended_finding_shows_the_answer_as_the_makers_own(
    written: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        assert status("findings", written, "--amend", 1, "--value", "31 1/2", "--part", "side") == 0
        assert status("findings", written) == 0
        assert "Side, length: your answer is 31 1/2 in, listed 30 in." in capsys.readouterr().out
    finally:
        (written / "decisions.toml").unlink()
        status("write", written, "--quiet", "--only", "record")


def test_a_build_in_the_place_of_an_episode_is_told_apart(
    written: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status("findings", written.parent.parent) == 1
    said = capsys.readouterr().err
    assert "this is a build" in said
    assert str(written) in said


def test_a_folder_in_the_place_of_the_record_is_one_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "out" / "record.json").mkdir(parents=True)
    assert status("findings", tmp_path) == 1
    assert "record.json: cannot be read" in capsys.readouterr().err


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no full device here")  # noqa: PTH110 - in a decorator
def test_output_that_cannot_be_printed_is_one_sentence(
    written: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Full(io.StringIO):
        def write(self, _text: str) -> int:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(sys, "stdout", Full())
    assert status("findings", written) == 1
    assert "benchscribe: No space left on device." in capsys.readouterr().err


def test_signs_that_a_terminal_lacks_do_not_stop_the_work(
    written: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    screen = io.TextIOWrapper(io.BytesIO(), "ascii")
    monkeypatch.setattr(sys, "stdout", screen)
    (written / "episode.toml").write_text('title = "Böden ½ ″"\n', encoding="utf-8")
    try:
        assert status("write", written, "--only", "record") == 0
    finally:
        (written / "episode.toml").unlink()
    screen.flush()
    assert b"B?den ? ?" in screen.buffer.getvalue()  # type: ignore[attr-defined]


def test_no_part_name_is_cut_short_in_a_narrow_table(
    written: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    build = written.parent.parent
    (build / "parts.csv").write_text(PARTS + "Adjustable bookshelf divider,1,1/4,7,9\n")
    monkeypatch.setenv("COLUMNS", "40")
    try:
        assert status("check", build) == 0
    finally:
        (build / "parts.csv").write_text(PARTS)
    assert "…" not in capsys.readouterr().out


def test_check_names_the_part_of_a_doubt_and_an_unknown_output(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "build.toml").write_text('write = ["guides"]\n')
    (tmp_path / "parts.csv").write_text("Part,Qty,T,W,L\nSide,2,3/4,8,30\nShelf,3,3/4,,22 1/2\n")
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "shownotes.md.j2").write_text("x")
    assert status("check", tmp_path) == 1
    told = capsys.readouterr().out
    assert "row 3, Shelf: The list leaves the width open." in told
    assert 'no output called "guides"' in told
    assert "templates/shownotes.md.j2: no template of this name is used" in told


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--only", "guide", "--except", "guide"), "leave nothing to write"),
        (("--chapters", "²"), "is no number of chapters"),
    ],
)
def test_options_that_ask_for_nothing_are_refused(
    written: Path, capsys: pytest.CaptureFixture[str], options: tuple[str, ...], words: str
) -> None:
    assert status("write", written, *options) == 1
    assert words in capsys.readouterr().err


def test_a_file_where_the_outputs_go_is_named_before_any_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "take-1.vtt").write_text(CAPTIONS)
    (tmp_path / "out").write_text("")
    assert status("write", tmp_path) == 1
    assert "out: this is a file, and the outputs need a folder" in capsys.readouterr().err


def test_an_episode_that_is_named_twice_is_written_once(
    written: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status("write", written, written.parent.parent, "--only", "record") == 0
    assert capsys.readouterr().out.count("Written to") == 1


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("show-notes.md.j2", b"{{ title + 1 }}", "cannot be filled"),
        ("guide.html.j2", b"{{ 1 / 0 }}", "cannot be filled"),
        ("show-notes.md.j2", b"\xff\xfe\x00", "not UTF-8"),
    ],
)
def test_a_fault_in_an_own_template_is_one_sentence(
    written: Path, capsys: pytest.CaptureFixture[str], name: str, text: bytes, words: str
) -> None:
    folder = written.parent.parent / "templates"
    folder.mkdir()
    (folder / name).write_bytes(text)
    try:
        assert status("write", written, "--only", "show-notes,guide") == 1
    finally:
        (folder / name).unlink()
        folder.rmdir()
    assert words in capsys.readouterr().err


def test_the_demo_is_not_laid_over_a_build_of_the_makers_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "build.toml").write_text('title = "Mine"\n')
    (tmp_path / "parts.csv").write_text(PARTS)
    assert status("demo", tmp_path) == 1
    assert "this folder holds something else" in capsys.readouterr().err
    assert (tmp_path / "parts.csv").read_text() == PARTS


def test_the_demo_leaves_what_was_tried_in_it(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    copy_demo(folder)
    first = list_episodes(folder)[0] / "episode.toml"
    first.write_text('title = "Tried"\n')
    copy_demo(folder)
    assert first.read_text() == 'title = "Tried"\n'


def test_the_welcome_gives_each_command_a_line_of_its_own(capsys: pytest.CaptureFixture[str]) -> None:
    assert status("--help") == 0
    told = capsys.readouterr().out
    assert "\\b" not in told
    assert "\n  benchscribe start DIR       lay out a build of your own\n" in told


def test_a_folder_that_is_not_there_is_not_fine(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert status("check", tmp_path / "nowhere") == 1
    assert "there is no such folder" in capsys.readouterr().out


def test_a_name_cannot_give_orders_to_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "build.toml").write_text("")
    (tmp_path / "parts.csv").write_text("Part,Qty,T,W,L\nFl\x1b[31map \u202egnis,1,1,7,26\n")
    assert status("check", tmp_path) == 0
    told = capsys.readouterr().out
    assert "\x1b" not in told
    assert "\u202e" not in told
    assert "1 part;" in told


def test_a_fault_with_a_name_that_gives_orders_is_harmless(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status("findings", tmp_path / "no\x1b[2Jwhere") == 1
    assert "\x1b" not in capsys.readouterr().err


def test_too_little_memory_is_one_sentence(
    written: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(*_: object, **__: object) -> None:
        raise MemoryError

    monkeypatch.setattr("benchscribe.main_job.make_record", full)
    assert status("write", written) == 1
    assert "benchscribe: there is not enough memory for this." in capsys.readouterr().err


def test_one_episode_that_cannot_be_done_keeps_no_other_from_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "build.toml").write_text('title = "Shelf"\n')
    (tmp_path / "parts.csv").write_text(PARTS)
    for name in ("01", "02", "03"):
        (tmp_path / "episodes" / name).mkdir(parents=True)
    (tmp_path / "episodes" / "01" / "take-1.vtt").write_text("no captions\n")
    (tmp_path / "episodes" / "03" / "take-1.vtt").write_text(CAPTIONS)
    assert status("write", tmp_path, "--quiet", "--only", "record") == 1
    said = capsys.readouterr().err
    assert "2 of 3 episodes could not be written" in said
    assert "take-1.vtt" in said
    assert (tmp_path / "episodes" / "03" / "out" / "record.json").is_file()
