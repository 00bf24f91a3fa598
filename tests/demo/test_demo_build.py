"""The demo build is what its README says: faults that are really in the list, a truth that fits the recordings."""

from __future__ import annotations

import csv
import json
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import pytest

DEMO = Path(__file__).parents[2] / "demo_media"
EPISODES = ("01", "02")
COLUMN = {"thickness": "T", "width": "W", "length": "L", "angle": "Angle"}
INCHES = {"inch": Fraction(1), "thou": Fraction(1, 1000), "degree": Fraction(1), "count": Fraction(1)}


def number(text: str) -> Fraction:
    """Read a cell of the list or a value of the truth ("7 1/4", "45°", "22-1/2", "7/8 dia")."""
    return sum((Fraction(x) for x in re.findall(r"\d+/\d+|\d+\.\d+|\d+", text)), Fraction(0))


def listed(part: str, dimension: str) -> str:
    row = PARTS[part]
    if dimension == "count":
        return row["Qty"]
    if "dia" in row["T"]:
        return (
            row["T"]
            if dimension == "diameter"
            else ""
            if dimension == "thickness"
            else row[COLUMN[dimension]]
        )
    return row[COLUMN[dimension]] if dimension in COLUMN else ""


def read_json(name: str) -> Any:  # noqa: ANN401 - whatever the file holds
    return json.loads((DEMO / "truth" / name).read_text(encoding="utf-8"))


def read_parts() -> dict[str, dict[str, str]]:
    lines = (DEMO / "build" / "parts.csv").read_text(encoding="utf-8").splitlines()
    return {row["Part"]: row for row in csv.DictReader(x for x in lines if not x.startswith("#"))}


PARTS = read_parts()
GOLD = {n: read_json(f"{n}.json") for n in EPISODES}
SAID = {n: read_json(f"{n}-said.json") for n in EPISODES}
FINDINGS = [pytest.param(f, id=f"{n}-{f['part']}-{f['kind']}") for n in EPISODES for f in GOLD[n]["findings"]]
TAKES = [pytest.param(n, take, id=take["take"]) for n in EPISODES for take in SAID[n]]


def folder(episode: str) -> Path:
    return next((DEMO / "build" / "episodes").glob(f"{episode}-*"))


def test_list_has_fourteen_parts_on_three_sheets() -> None:
    assert len(PARTS) >= 14
    assert {row["Sheet"] for row in PARTS.values()} == {"1", "2", "3"}


@pytest.mark.parametrize("finding", FINDINGS)
def test_finding_quotes_the_list_as_it_stands(finding: dict[str, Any]) -> None:
    assert number(finding["listed"]) == number(listed(finding["part"], finding["dimension"]))


@pytest.mark.parametrize("finding", FINDINGS)
def test_finding_disagrees_with_the_list_unless_it_is_worked_out(finding: dict[str, Any]) -> None:
    value, unit = finding["spoken"].split("(")[0].strip().rsplit(" ", 1)
    cell = listed(finding["part"], finding["dimension"])
    if finding["kind"] == "supplied":
        assert not cell
    elif finding["kind"] != "derived":
        assert cell
        assert number(value) * INCHES[unit] != number(cell)


@pytest.mark.parametrize("episode", EPISODES)
def test_measures_that_agree_are_in_the_list(episode: str) -> None:
    for m in GOLD[episode]["measures"]:
        if m["verdict"] != "agrees":
            continue
        said = Fraction(m["value"]) * INCHES[m["unit"]]
        # A caliper reading agrees within what sanding takes off.
        slack = Fraction(5, 1000) if m.get("role") == "measured" else 0
        assert abs(said - number(listed(m["part"], m["dimension"]))) <= slack, m


@pytest.mark.parametrize("episode", EPISODES)
def test_measures_that_disagree_are_not_in_the_list(episode: str) -> None:
    for m in GOLD[episode]["measures"]:
        if m["verdict"] == "disagrees":
            assert Fraction(m["value"]) * INCHES[m["unit"]] != number(listed(m["part"], m["dimension"])), m


@pytest.mark.parametrize("episode", EPISODES)
def test_every_part_of_the_truth_is_in_the_list(episode: str) -> None:
    gold = GOLD[episode]
    named = {x["part"] for key in ("chapters", "measures", "findings", "steps") for x in gold[key]} - {None}
    assert named <= set(PARTS)


@pytest.mark.parametrize("episode", EPISODES)
@pytest.mark.parametrize(
    "key", ["chapters", "measures", "findings", "steps", "promises", "decoys", "mistakes"]
)
def test_times_ascend_and_lie_inside_the_takes(episode: str, key: str) -> None:
    times = [x.get("t", x.get("start")) for x in GOLD[episode][key]]
    last = SAID[episode][-1]
    assert times
    assert times == sorted(times)
    assert times[0] >= 0
    assert times[-1] < last["offset"] + last["duration"]


@pytest.mark.parametrize("episode", EPISODES)
def test_measures_are_said_in_the_sentence_at_their_time(episode: str) -> None:
    texts = {s["start"]: s["text"] for take in SAID[episode] for s in take["sentences"]}
    for m in GOLD[episode]["measures"]:
        assert m["text"] in texts[m["t"]]


def test_every_kind_of_trouble_is_planted() -> None:
    kinds = {f["kind"] for n in EPISODES for f in GOLD[n]["findings"]}
    assert kinds >= {"plan-wrong", "slip", "changed", "supplied", "derived", "count"}
    assert {f.get("right") for n in EPISODES for f in GOLD[n]["findings"] if f["kind"] == "derived"} == {
        True,
        False,
    }
    for episode in EPISODES:
        for key in ("self_corrections", "mistakes", "promises", "hazards"):
            assert GOLD[episode][key], key


@pytest.mark.parametrize(("episode", "take"), TAKES)
def test_take_decodes_to_the_length_in_the_truth(episode: str, take: dict[str, Any]) -> None:
    with av.open(str(folder(episode) / take["take"])) as container:
        assert container.metadata.get("creation_time") or container.streams.audio[0].metadata.get(
            "creation_time"
        )
        rate = container.streams.audio[0].rate
        samples = sum(frame.samples for frame in container.decode(audio=0))
    # Encoders work in whole frames: up to a tenth of a second more at the end.
    assert samples / rate == pytest.approx(take["duration"], abs=0.15)


def test_one_take_is_a_film_with_several_scenes() -> None:
    with av.open(str(folder("01") / "take-2.mp4")) as container:
        pictures = {
            frame.to_ndarray(format="gray8")[::8, ::8].astype(int).sum() // 500
            for frame in container.decode(video=0)
        }
    assert len(pictures) >= 3


@pytest.mark.parametrize("episode", EPISODES)
def test_episode_is_longer_than_five_minutes(episode: str) -> None:
    assert sum(take["duration"] for take in SAID[episode]) > 300
    assert len(SAID[episode]) >= 2


def test_demo_is_small() -> None:
    assert sum(p.stat().st_size for p in DEMO.rglob("*") if p.is_file()) < 8_000_000
