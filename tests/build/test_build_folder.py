"""Build and episode folders as people lay them out."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from benchscribe.build import find_build, list_episodes, load_build, load_episode, start_build
from benchscribe.errors import BuildError

if TYPE_CHECKING:
    from pathlib import Path


def folder_with(home: Path, *names: str, toml: str = "") -> Path:
    home.mkdir(parents=True, exist_ok=True)
    for name in names:
        (home / name).write_text("x")
    if toml:
        (home / "episode.toml").write_text(toml)
    return home


def used(folder: Path) -> list[str]:
    return [path.name for path in load_episode(folder).sources]


def test_takes_are_taken_in_the_order_of_their_numbers(tmp_path: Path) -> None:
    assert used(folder_with(tmp_path / "e", "take-10.m4a", "take-2.mp4", "take-1.opus")) == [
        "take-1.opus",
        "take-2.mp4",
        "take-10.m4a",
    ]


def test_an_order_in_episode_toml_comes_first(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "e", "a.wav", "b.wav", "c.wav", toml='takes = ["c.wav", "a.wav"]\n')
    episode = load_episode(folder)
    assert [p.name for p in episode.sources] == ["c.wav", "a.wav"]
    assert episode.ordered
    assert ("b.wav", "not among the takes that episode.toml names") in episode.left_out


def test_a_take_that_is_named_and_not_there_is_an_error_that_says_what_is(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "e", "a.wav", toml='takes = ["z.wav"]\n')
    with pytest.raises(BuildError, match=r'"z\.wav".*There are: a\.wav'):
        load_episode(folder)


def test_a_published_cut_alone_is_the_episode(tmp_path: Path) -> None:
    episode = load_episode(folder_with(tmp_path / "e", "cut.mp4", "notes.md"))
    assert [p.name for p in episode.sources] == ["cut.mp4"]
    assert episode.clock == "cut"
    assert episode.cut is None
    assert {name for name, _ in episode.left_out} == {"notes.md"}


def test_takes_beside_a_published_cut_are_carried_to_it(tmp_path: Path) -> None:
    episode = load_episode(
        folder_with(tmp_path / "e", "take-1.m4a", "take-2.m4a", "cut.mp4", "cut.vtt", "notes.md")
    )
    assert [p.name for p in episode.sources] == ["take-1.m4a", "take-2.m4a"]
    assert episode.cut is not None
    assert episode.cut.name == "cut.vtt"
    assert episode.clock == "takes"
    assert {name for name, _ in episode.left_out} == {"cut.mp4", "notes.md"}


def test_discarded_takes_are_left_out_with_their_captions(tmp_path: Path) -> None:
    folder = folder_with(
        tmp_path / "e", "take-1.mp4", "take-2.mp4", "take-2.vtt", toml='discard = ["take-2.mp4"]\n'
    )
    episode = load_episode(folder)
    assert [p.name for p in episode.sources] == ["take-1.mp4"]
    assert ("take-2.vtt", "episode.toml discards it") in episode.left_out


def test_a_cut_whose_takes_are_all_discarded_is_the_episode(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "e", "take-1.mp4", "cut.mp4", toml='discard = ["take-1.mp4"]\n')
    assert [p.name for p in load_episode(folder).sources] == ["cut.mp4"]


def test_discarding_a_take_that_is_not_there_is_an_error_that_says_what_is(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "e", "take-1.mp4", toml='discard = ["take-9.mp4"]\n')
    with pytest.raises(BuildError, match=r'discards the take "take-9\.mp4".*There are: take-1\.mp4'):
        load_episode(folder)


def test_captions_stand_in_for_the_recording_of_the_same_name(tmp_path: Path) -> None:
    episode = load_episode(folder_with(tmp_path / "e", "take-1.m4a", "take-1.vtt", "take-2.m4a"))
    assert [p.name for p in episode.sources] == ["take-1.vtt", "take-2.m4a"]
    assert episode.clock == "takes"
    assert ("take-1.m4a", "take-1.vtt stands in for it") in episode.left_out


def test_captions_of_a_take_are_a_draft_and_a_lone_caption_file_is_not(tmp_path: Path) -> None:
    assert load_episode(folder_with(tmp_path / "a", "take-1.vtt")).clock == "takes"
    assert load_episode(folder_with(tmp_path / "b", "episode.srt")).clock == "captions"


def test_notes_count_only_where_there_is_nothing_else(tmp_path: Path) -> None:
    assert load_episode(folder_with(tmp_path / "a", "notes.md")).clock == "notes"
    assert used(folder_with(tmp_path / "b", "notes.md", "take-1.wav")) == ["take-1.wav"]


def test_a_file_of_another_kind_is_left_out_and_said(tmp_path: Path) -> None:
    episode = load_episode(folder_with(tmp_path / "e", "take-1.wav", "thumbnail.png"))
    assert ("thumbnail.png", "not a recording, captions or notes") in episode.left_out


def test_an_empty_episode_says_what_to_put_there(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match=r"nothing to work from.*take-1\.vtt"):
        load_episode(folder_with(tmp_path / "e"))


@pytest.mark.parametrize("above", ["b", "b/episodes"])
def test_the_folder_above_the_episodes_names_them(tmp_path: Path, above: str) -> None:
    start_build(tmp_path / "b", {"build.toml": "", "episodes/01-first/episode.toml": ""})
    with pytest.raises(BuildError, match=r"nothing to work from.*holds some.*01-first") as told:
        load_episode(tmp_path / above)
    assert "Put the takes here" not in str(told.value)


def test_a_missing_folder_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match="no such episode folder"):
        load_episode(tmp_path / "nowhere")
    with pytest.raises(BuildError, match="no such folder"):
        load_build(tmp_path / "nowhere")


def test_the_build_is_found_from_inside_an_episode(tmp_path: Path) -> None:
    start_build(tmp_path / "b", {"build.toml": "", "episodes/01-first/episode.toml": ""})
    inner = tmp_path / "b" / "episodes" / "01-first"
    assert find_build(inner) == tmp_path / "b"
    assert list_episodes(tmp_path / "b") == (inner,)


def test_a_part_list_that_is_named_and_not_there_is_an_error(tmp_path: Path) -> None:
    start_build(tmp_path, {"build.toml": 'part_list = "list.xlsx"\n'})
    with pytest.raises(BuildError, match=r'part list "list\.xlsx" is not there'):
        load_build(tmp_path)


def test_an_unnamed_part_list_is_found_by_its_usual_name(tmp_path: Path) -> None:
    start_build(tmp_path, {"build.toml": "", "parts.csv": "Part\nA\n"})
    found = load_build(tmp_path).part_list
    assert found is not None
    assert found.name == "parts.csv"


def test_starting_a_build_twice_changes_nothing(tmp_path: Path) -> None:
    start_build(tmp_path, {"build.toml": "", "parts.csv": "mine"})
    with pytest.raises(BuildError, match="a build here already"):
        start_build(tmp_path, {"build.toml": "", "parts.csv": "theirs"})
    assert (tmp_path / "parts.csv").read_text() == "mine"


def test_starting_a_build_keeps_files_that_are_there(tmp_path: Path) -> None:
    (tmp_path / "parts.csv").write_text("mine")
    written = start_build(tmp_path, {"build.toml": "", "parts.csv": "theirs"})
    assert [p.name for p in written] == ["build.toml"]
    assert (tmp_path / "parts.csv").read_text() == "mine"


def test_a_link_that_leads_to_nothing_is_no_take_less(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "e", "take-1.wav")
    (folder / "take-2.wav").symlink_to(tmp_path / "disk" / "take-2.wav")
    with pytest.raises(BuildError, match="leads to nothing"):
        load_episode(folder)


def test_a_folder_with_the_name_of_a_take_is_named_among_what_is_not_used(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "e", "take-1.wav")
    (folder / "take-2.mp4").mkdir()
    assert load_episode(folder).left_out == (("take-2.mp4", "a folder, not a file"),)


def test_a_take_is_not_laid_down_twice(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "e", "a.wav", "b.wav", toml='takes = ["a.wav", "b.wav", "a.wav"]\n')
    with pytest.raises(BuildError, match=r'names the take "a\.wav" twice'):
        load_episode(folder)


def test_an_episode_that_is_linked_from_elsewhere_has_its_build(tmp_path: Path) -> None:
    folder = folder_with(tmp_path / "build" / "episodes" / "01", "take-1.wav")
    (tmp_path / "build" / "build.toml").write_text("")
    (tmp_path / "now").symlink_to(folder)
    assert find_build(tmp_path / "now") == (tmp_path / "build").resolve()


def test_a_folder_called_build_toml_is_a_fault_and_not_a_missing_build(tmp_path: Path) -> None:
    (tmp_path / "build.toml").mkdir()
    assert find_build(tmp_path) == tmp_path
    with pytest.raises(BuildError, match="cannot be read"):
        load_build(tmp_path)
