"""The short talks are well-formed, and what their truths list is really said."""

from __future__ import annotations

import csv
import json
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

TALKS = sorted(path.parent for path in Path(__file__).parent.glob("*/gold.json"))
FILLED = {"units", "tools", "materials", "hazards", "promises", "mistakes"}
EMPTY = {"chapters", "measures", "findings", "self_corrections", "decoys", "steps"}
CUE = re.compile(r"(\d+):(\d+):([\d.]+) --> (\d+):(\d+):([\d.]+)")

each_talk = pytest.mark.parametrize("talk", TALKS, ids=lambda path: path.name)


def _gold(talk: Path) -> dict[str, Any]:
    read: dict[str, Any] = json.loads((talk / "gold.json").read_text(encoding="utf-8"))
    return read


def _cues(talk: Path) -> list[tuple[float, float, str]]:
    """Start and end in seconds, and the text."""
    cues = []
    for block in (talk / "transcript.vtt").read_text(encoding="utf-8").split("\n\n"):
        if found := CUE.search(block):
            hour, minute, second, *end = (float(part) for part in found.groups())
            start_s = round(hour * 3600 + minute * 60 + second, 3)
            end_s = round(end[0] * 3600 + end[1] * 60 + end[2], 3)
            cues.append((start_s, end_s, block[found.end() :].strip()))
    return cues


def _said(talk: Path) -> str:
    return " ".join(text for _, _, text in _cues(talk)).lower()


@each_talk
def test_the_keys_are_those_of_an_annotated_episode(talk: Path) -> None:
    gold = _gold(talk)
    assert set(gold) - {"heard"} == FILLED | EMPTY
    assert gold["units"] in {"inch", "mm"}
    assert all(gold[key] == [] for key in EMPTY)


@each_talk
def test_names_are_short_and_stand_once(talk: Path) -> None:
    gold = _gold(talk)
    for key in ("tools", "materials", "hazards"):
        names = gold[key]
        assert names
        assert len(set(names)) == len(names)
        assert all(isinstance(name, str) and name == name.strip() and name for name in names)
    assert all(len(name.split()) <= 3 for name in gold["tools"] + gold["materials"])


@each_talk
def test_every_tool_and_material_is_said(talk: Path) -> None:
    gold, said = _gold(talk), _said(talk)
    heard = gold.get("heard", {})
    for name in gold["tools"] + gold["materials"]:
        head = heard.get(name, name.split()[-1].removesuffix("s")).lower()
        assert re.search(rf"\b{re.escape(head)}", said), f"{name} ({head}) is not said"


@each_talk
def test_what_was_heard_belongs_to_a_listed_name(talk: Path) -> None:
    gold = _gold(talk)
    assert set(gold.get("heard", {})) <= set(gold["tools"] + gold["materials"])


@each_talk
def test_cues_run_forward_without_overlap(talk: Path) -> None:
    cues = _cues(talk)
    assert cues
    assert all(start_s < end_s and text for start_s, end_s, text in cues)
    assert all(one[1] <= two[0] for one, two in pairwise(cues))


@each_talk
def test_promises_and_mistakes_begin_and_end_with_cues(talk: Path) -> None:
    gold, cues = _gold(talk), _cues(talk)
    starts, ends = ({cue[side] for cue in cues} for side in (0, 1))
    assert all(promise["t"] in starts and promise["what"] for promise in gold["promises"])
    for mistake in gold["mistakes"]:
        assert mistake["start"] in starts
        assert mistake["end"] in ends
        assert mistake["start"] < mistake["end"]


@each_talk
def test_the_part_list_has_as_many_cells_as_headings_in_every_row(talk: Path) -> None:
    with (talk / "parts.csv").open(encoding="utf-8", newline="") as file:
        heading, *rows = list(csv.reader(file))
    assert rows
    assert all(len(row) == len(heading) for row in rows)


def test_there_are_twenty_eight_talks() -> None:
    assert len(TALKS) == 28
