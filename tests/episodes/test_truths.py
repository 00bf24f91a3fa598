"""The annotated episodes are consistent: truths, transcripts and part lists agree with one another."""

import csv
import json
import re
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
EPISODES = sorted(p.parent for p in HERE.glob("*/gold.json"))
MM = {
    "inch": Fraction(254, 10),
    "foot": Fraction(3048, 10),
    "yard": Fraction(9144, 10),
    "thou": Fraction(254, 10000),
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
}
KINDS = {"plan-wrong", "changed", "slip", "supplied", "derived", "count", "contradiction", "impossible"}
KEYS = (
    "chapters",
    "measures",
    "findings",
    "self_corrections",
    "decoys",
    "tools",
    "materials",
    "hazards",
    "mistakes",
    "promises",
    "steps",
)
DIMENSIONS = {
    "thickness",
    "width",
    "length",
    "height",
    "depth",
    "diameter",
    "radius",
    "angle",
    "spacing",
    "setting",
    "other",
}
VERDICTS = {"agrees", "disagrees", "not-listed", "no-part", "tool-size"}
NEAR = {"measured", "converted"}  # readings of a piece, and sizes turned from one system to the other
NAME_HEADS = {"part", "part name", "piece", "item", "name", "component"}

pytestmark = pytest.mark.parametrize("episode", EPISODES, ids=lambda p: p.name)


def gold_of(episode: Path) -> dict[str, Any]:
    """The truth of an episode."""
    truth: dict[str, Any] = json.loads((episode / "gold.json").read_text(encoding="utf-8"))
    return truth


def cues_of(episode: Path) -> dict[float, str]:
    """Start of each cue in seconds -> its text."""
    cues = {}
    for block in (episode / "transcript.vtt").read_text(encoding="utf-8").split("\n\n")[1:]:
        if not block.strip():
            continue
        head, text = block.strip().split("\n", 1)
        hours, minutes, seconds = head.split(" --> ")[0].split(":")
        cues[round(int(hours) * 3600 + int(minutes) * 60 + float(seconds), 3)] = text
    return cues


def list_of(episode: Path) -> dict[str, list[str]]:
    """Part name -> its row's cells, the name left out."""
    with (episode / "parts.csv").open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    head = next(h for h in rows[0] if h.lower() in NAME_HEADS)
    return {row[head]: [v for h, v in row.items() if h != head and v] for row in rows}


def amounts(cells: list[str], unit: str) -> Iterator[Fraction]:
    """Every number of a row: in millimetres by the list's unit or the cell's own, and bare (angles)."""
    for cell in cells:
        number = r"(?:(\d+)[- ])?(\d+)/(\d+)|(\d*\.?\d+)"
        for m in re.finditer(rf"(?:{number})\s*(mm|cm|m\b|ft)?", cell):
            value = Fraction(m[1] or 0) + Fraction(int(m[2]), int(m[3])) if m[2] else Fraction(m[4])
            own = {"ft": "foot"}.get(m[5], m[5]) if m[5] else unit
            yield value * MM[own]
            yield value


def size(measure: dict[str, Any]) -> Fraction:
    """A measure in millimetres, or in degrees."""
    value = Fraction(measure["value"])
    return value if measure["unit"] == "degree" else value * MM[measure["unit"]]


def test_every_key_is_there_and_nothing_is_empty(episode: Path) -> None:
    """An episode has talk, parts and each kind of truth."""
    gold = gold_of(episode)
    assert gold["units"] in ("inch", "mm")
    assert all(gold[key] for key in KEYS)
    assert len(cues_of(episode)) >= 70
    assert len(gold["measures"]) >= 45
    assert 10 <= len(list_of(episode)) <= 16
    assert 8 <= len(gold["chapters"]) <= 14
    assert len(gold["self_corrections"]) >= 2


def test_cues_and_truths_are_in_time_order(episode: Path) -> None:
    """Cues follow one another without overlap; each list of truths ascends."""
    last = 0.0
    for block in (episode / "transcript.vtt").read_text(encoding="utf-8").split("\n\n")[1:]:
        if " --> " in block:
            ends = [x.split(":") for x in block.strip().split("\n")[0].split(" --> ")]
            start, end = (int(h) * 3600 + int(m) * 60 + float(s) for h, m, s in ends)
            assert last <= start + 1e-6
            assert start < end
            last = end
    gold = gold_of(episode)
    for key in ("measures", "findings", "steps", "promises"):
        times = [x["t"] for x in gold[key]]
        assert times == sorted(times), key
    starts = [c["start"] for c in gold["chapters"]]
    assert starts[0] == 0
    assert all(a < b for a, b in pairwise(starts))


def test_every_time_is_the_start_of_a_cue(episode: Path) -> None:
    """A truth points at the cue in which it is said."""
    cues = cues_of(episode)
    gold = gold_of(episode)
    for key in ("measures", "findings", "self_corrections", "decoys", "promises", "steps"):
        for item in gold[key]:
            for t in [item["t"], *item.get("repeated", [])]:
                assert round(t, 3) in cues, (key, item)
    for mistake in gold["mistakes"]:
        assert mistake["start"] < mistake["end"]
        assert round(mistake["start"], 3) in cues
        assert round(mistake["end"], 3) in cues


def test_the_words_of_each_measure_stand_in_its_cue(episode: Path) -> None:
    """A measure's words, and a decoy's, are quoted as the recogniser wrote them."""
    cues = cues_of(episode)
    gold = gold_of(episode)
    for item in gold["measures"] + gold["decoys"]:
        assert item["text"] in cues[round(item["t"], 3)], item


def test_a_cue_says_a_measure_as_often_as_the_truth_counts_it(episode: Path) -> None:
    """Two truths with the same words in a cue need those words twice."""
    cues = cues_of(episode)
    for (t, text), n in Counter((m["t"], m["text"]) for m in gold_of(episode)["measures"]).items():
        assert cues[round(t, 3)].count(text) >= n, (t, text)


def test_parts_dimensions_and_verdicts_are_known(episode: Path) -> None:
    """Part names are the list's own; the other words are those of the format."""
    gold = gold_of(episode)
    names = set(list_of(episode))
    for m in gold["measures"]:
        assert m["dimension"] in DIMENSIONS, m
        assert m["verdict"] in VERDICTS, m
        assert m["unit"] in MM or m["unit"] == "degree", m
        assert {m["part"], *m.get("also_parts", [])} - {None} <= names, m
        assert (m["part"] is None) == (m["verdict"] in ("no-part", "tool-size")), m
    for key, field in (("chapters", "part"), ("findings", "part"), ("steps", "part")):
        for item in gold[key]:
            assert item[field] is None or item[field] in names, item


def test_verdicts_agree_with_the_list(episode: Path) -> None:
    """What "agrees" stands in the row of its part after conversion; what "disagrees" does not."""
    gold = gold_of(episode)
    rows = list_of(episode)
    right = {(f["t"], f["part"]) for f in gold["findings"] if f["kind"] == "derived" and f["right"]}
    for m in gold["measures"]:
        if m["part"] is None:
            continue
        listed = set(amounts(rows[m["part"]], gold["units"]))
        if m["verdict"] == "disagrees" and m.get("role") != "derived":
            assert size(m) not in listed, m
        if m["verdict"] == "agrees":
            slack = Fraction(1) if m.get("role") in NEAR else Fraction(0)
            derived = m.get("role") == "derived" and (m["t"], m["part"]) in right
            assert derived or any(abs(size(m) - x) <= slack for x in listed), m


def test_every_disagreement_is_a_finding_or_in_a_mistake(episode: Path) -> None:
    """A finished size that disagrees with the list is accounted for, where it is said."""
    gold = gold_of(episode)
    for m in gold["measures"]:
        if m["verdict"] != "disagrees":
            continue
        told = [
            f
            for f in gold["findings"]
            if f["part"] == m["part"] and m["t"] in [f["t"], *f.get("repeated", [])]
        ]
        assert told, m


def test_findings_are_of_known_kinds_and_quote_the_list(episode: Path) -> None:
    """A finding's kind is known, its listed value stands in the row, a supplied one has none."""
    gold = gold_of(episode)
    rows = list_of(episode)
    for f in gold["findings"]:
        assert f["kind"] in KINDS, f
        assert f["note"], f
        if f["kind"] == "derived":
            assert isinstance(f["right"], bool), f
        if f["kind"] == "supplied":
            assert f["listed"] is None, f
        elif f["kind"] != "contradiction":
            assert f["listed"], f
            assert any(f["listed"] in cell for cell in rows[f["part"]]), f


def test_a_findings_value_is_one_of_the_measures_there(episode: Path) -> None:
    """What a finding says was spoken is a measure of that cue; a count is in the cue's words."""
    gold = gold_of(episode)
    for f in gold["findings"]:
        if f["kind"] == "count":
            continue
        m = re.fullmatch(r"(?:(\d+(?:\.\d+)?) )?(?:(\d+)/(\d+) )?([a-z]+)", f["spoken"])
        assert m, f
        value = Fraction(m[1] or 0) + (Fraction(int(m[2]), int(m[3])) if m[2] else 0)
        spoken = value if m[4] == "degree" else value * MM[m[4]]
        assert any(x["t"] == f["t"] and size(x) == spoken for x in gold["measures"]), f


def test_the_half_of_an_episode_is_named_once(episode: Path) -> None:
    """Each episode is either tuned on or kept aside."""
    tune = (HERE / "TUNE.txt").read_text(encoding="utf-8").split()
    held = (HERE / "HELD.txt").read_text(encoding="utf-8").split()
    assert [*tune, *held].count(episode.name) == 1
