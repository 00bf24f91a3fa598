from __future__ import annotations

from pathlib import Path

import pytest

from benchscribe.main_job import _title_of


@pytest.mark.parametrize(
    ("path", "title"),
    [
        ("build/episodes/01-the-case", "The case"),
        ("build/episodes/carcass", "Carcass"),
        ("build/episodes/2030-01-31", "2030-01-31"),
        ("rack/transcript.vtt", "Rack"),
        ("rack/take-1.srt", "Rack"),
        ("rack/notes.md", "Rack"),
        ("rack/bench_top-2.vtt", "Bench top 2"),
        ("rack/Oil finish.md", "Oil finish"),
    ],
)
def test_an_episode_without_a_title_is_named_after_its_file_or_folder(path: str, title: str) -> None:
    assert _title_of(Path(path)) == title
