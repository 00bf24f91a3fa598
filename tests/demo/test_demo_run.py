"""The main job on the demo's real recordings, from sound to everything that goes out."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

DEMO = Path(__file__).parents[2] / "demo_media"
EPISODES = ("01-carcass", "02-drawers-and-doors")
pytestmark = [pytest.mark.slow, pytest.mark.timeout(900)]


def benchscribe(*arguments: object) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "benchscribe.cli", *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def build(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "build"
    benchscribe("demo", folder)
    return folder


def record(build: Path, episode: str) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((build / "episodes" / episode / "out" / "record.json").read_text())
    return loaded


def truth(number: int) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads((DEMO / "truth" / f"{number:02}.json").read_text())
    return loaded


@pytest.mark.parametrize("number", [1, 2])
def test_nine_in_ten_of_the_sizes_in_the_talk_come_through_exactly(build: Path, number: int) -> None:
    heard = [
        (m["start"], Fraction(m["value"]), m["unit"]) for m in record(build, EPISODES[number - 1])["measures"]
    ]
    wanted = [(m["t"], Fraction(m["value"]), m["unit"]) for m in truth(number)["measures"]]
    hits = 0
    for time, value, unit in wanted:
        match = next((h for h in heard if abs(h[0] - time) <= 12 and h[1:] == (value, unit)), None)
        if match:
            heard.remove(match)
            hits += 1
    assert hits / len(wanted) >= 0.9


@pytest.mark.parametrize("number", [1, 2])
def test_nothing_false_is_published_as_a_correction(build: Path, number: int) -> None:
    known = {(f["part"], f["kind"]) for f in truth(number)["findings"]}
    published = [f for f in record(build, EPISODES[number - 1])["findings"] if f["status"] == "declared"]
    assert published
    assert [
        (f["part"], f["kind"], f["spoken"]) for f in published if (f["part"], f["kind"]) not in known
    ] == []
    places = [(f["part"], f["dimension"]) for f in published]
    assert len(places) == len(set(places)), "one disagreement is one finding"


@pytest.mark.parametrize("episode", EPISODES)
def test_every_time_says_which_take_it_is_of(build: Path, episode: str) -> None:
    result = record(build, episode)
    takes = {file["name"] for file in result["transcript"]["files"]}
    assert len(takes) == 3
    for kind in ("chapters", "measures", "findings", "steps", "promises", "mentions"):
        assert {item["file"] for item in result[kind]} <= takes, kind
    assert result["draft"]


def test_a_second_run_gives_the_same_record_without_listening(build: Path) -> None:
    episode = build / "episodes" / EPISODES[0]
    before = (episode / "out" / "record.json").read_bytes()
    benchscribe("write", episode, "--quiet")
    assert (episode / "out" / "record.json").read_bytes() == before


def test_a_real_edit_is_mapped_and_every_time_becomes_public(build: Path, tmp_path: Path) -> None:
    shutil.copytree(build, tmp_path / "edited")
    episode = tmp_path / "edited" / "episodes" / EPISODES[1]
    shutil.copy(DEMO / "cut" / "cut.m4a", episode)
    benchscribe("write", episode, "--quiet")
    result = record(tmp_path / "edited", EPISODES[1])
    assert (result["draft"], result["transcript"]["clock"]) == (False, "cut")
    edit = json.loads((DEMO / "truth" / "02-cut.json").read_text())
    offsets = {
        take["take"]: take["offset"] for take in json.loads((DEMO / "truth" / "02-said.json").read_text())
    }
    right = exact = total = false = inserted = 0
    for word in result["transcript"]["words"]:
        cut_s = word[1]
        piece = next((p for p in edit["pieces"] if p["cut"][0] <= cut_s < p["cut"][1]), None)
        found = next((p for p in result["cut_pieces"] if p["cut_from_s"] <= cut_s <= p["cut_to_s"]), None)
        if piece is None:
            continue
        take_s = None
        if found is not None and found["take_from_s"] is not None:
            take_s = offsets[found["file"]] + found["at_s"] + cut_s - found["cut_from_s"]
        if piece["take"] is None:
            inserted += 1
            false += take_s is not None
        else:
            off = None if take_s is None else abs(piece["take"][0] + cut_s - piece["cut"][0] - take_s)
            total += 1
            right += off is not None and off <= 0.8
            exact += off is not None and off <= 0.02
    assert right / total >= 0.98
    assert exact / total >= 0.98
    assert false / inserted <= 0.03
    assert {p["by"] for p in result["cut_pieces"] if p["file"]} == {"words and sound"}
    wanted = [c["start"] for c in edit["chapters"]]
    starts = [c["start"] for c in result["chapters"]]
    assert sum(any(abs(s - w) <= 15 for w in wanted) for s in starts) / len(starts) >= 0.9
    assert "draft" not in (episode / "out" / "show-notes.md").read_text()
