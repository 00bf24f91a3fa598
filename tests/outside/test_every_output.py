"""Every file that goes out, of every kind of episode, before every reader that others wrote."""

from __future__ import annotations

from pathlib import Path

import pytest
from folder_checks import folder_faults
from odd_episodes import lay_out, odd_episodes

from benchscribe.cli import main

EPISODES = Path(__file__).parent.parent / "episodes"
TUNED = [
    line
    for line in (EPISODES / "TUNE.txt").read_text("utf-8").split("\n")
    if line and not line.startswith("#")
]

pytestmark = [pytest.mark.slow, pytest.mark.timeout(300)]


@pytest.mark.parametrize("name", odd_episodes())
def test_every_file_of_an_odd_episode_is_sound(name: str, tmp_path: Path) -> None:
    main(lay_out(odd_episodes()[name], tmp_path))
    assert folder_faults(tmp_path / "out") == []


@pytest.mark.parametrize("name", TUNED)
def test_every_file_of_an_annotated_episode_is_sound(name: str, tmp_path: Path) -> None:
    folder = EPISODES / name
    main(
        ["write", "--transcript", str(folder / "transcript.vtt"), "--parts", str(folder / "parts.csv"),
         "--out", str(tmp_path / "out"), "--quiet"]
    )  # fmt: skip
    assert folder_faults(tmp_path / "out") == []


@pytest.mark.timeout(900)
def test_every_file_of_the_demo_is_sound(tmp_path: Path) -> None:
    main(["demo", str(tmp_path / "demo")])
    folders = sorted((tmp_path / "demo" / "episodes").glob("*/out"))
    assert len(folders) == 2
    for out in folders:
        main(["write", str(out.parent), "--quiet", "--only", "description,cutlist,overlays"])
        assert {p.name: folder_faults(out) for p in [out.parent]} == {out.parent.name: []}


def test_faults_are_found_where_there_are_some(tmp_path: Path) -> None:
    main(lay_out(odd_episodes()["no parts"], tmp_path))
    out = tmp_path / "out"
    text = (out / "captions.vtt").read_text("utf-8")
    (out / "captions.vtt").write_text(text.replace(" --> 00:00:0", " --> 00:01:0", 1), "utf-8")
    (out / "corrections.csv").write_bytes(b"a,b\r\n=1,2\r\n")
    (out / "description.txt").write_text("x" * 6000, "utf-8")
    (out / "guide.html").write_text("<p><script src=x></p>", "utf-8")
    found = "\n".join(folder_faults(out))
    for what in ("captions.vtt: 00:", "a formula", "6000 characters", "guide.html: a script"):
        assert what in found
