"""Annotated episodes as placement sees them, and the score of placement alone."""

from __future__ import annotations

import json
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

from msgspec import Struct

from benchscribe.listen import read_captions
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import Vocabulary, find_mentions
from benchscribe.partlist import read_part_list
from benchscribe.place import Switches, place
from benchscribe.place.weights import load_weights
from benchscribe.records import FIRM_DIMENSIONS, Measure, Mentions, PartList, TradeNumber, Transcript
from benchscribe.units import is_length, to_mm

NOT_SCORED = ("retracted", "withdrawn", "superseded", "mistake", "quoted plan", "quoted-plan")
"""Where a value that was taken back belongs is a matter of taste."""
NEAR_S = 9.0


class Episode(Struct, frozen=True):
    """All that placement is given, and the truth."""

    name: str
    transcript: Transcript
    measures: tuple[Measure, ...]
    trade_numbers: tuple[TradeNumber, ...]
    mentions: Mentions
    part_list: PartList
    gold: dict[str, Any]


def load_episode(folder: Path, vocabulary: Vocabulary) -> Episode:
    """Listen to nothing, read everything: the measures are those that the reader finds."""
    gold = json.loads((folder / "gold.json").read_text(encoding="utf-8"))
    transcript = read_captions(folder / "transcript.vtt")
    part_list = read_part_list(folder / "parts.csv")
    measures, numbers = find_measures(transcript, part_list.units, part_list)
    mentions = find_mentions(transcript, part_list, measures, vocabulary)
    return Episode(folder.name, transcript, measures, numbers, mentions, part_list, gold)


def places_of(episode: Episode) -> dict[int, dict[str, Any]]:
    """Pair the measures with the annotated ones, nearest first; one whose place is not scored has none."""
    truths = episode.gold["measures"]
    options = sorted(
        (abs((m.start_s or 0.0) - truth["t"]), i, j)
        for j, truth in enumerate(truths)
        for i, m in enumerate(episode.measures)
        if abs((m.start_s or 0.0) - truth["t"]) <= NEAR_S and _same(m, truth)
    )
    found: dict[int, int] = {}
    for _, i, j in options:
        if i not in found and j not in found.values():
            found[i] = j
    return {i: truths[j] for i, j in found.items() if truths[j].get("role") not in NOT_SCORED}


def _same(measure: Measure, truth: Mapping[str, Any]) -> bool:
    unit = {"ft": "foot", "in": "inch"}.get(truth["unit"], truth["unit"])
    if not is_length(unit) and unit != "degree":
        return False
    return (measure.unit == "degree") == (unit == "degree") and _size(measure.value, measure.unit) == _size(
        Fraction(truth["value"]), unit
    )


def _size(value: Fraction, unit: str) -> Fraction:
    return to_mm(value, unit) if is_length(unit) else value


def score_places(
    episode: Episode, weights: Mapping[str, float] | None = None, switches: Switches | None = None
) -> tuple[float, float, float]:
    """Give the shares of measures with the right part, the right part and dimension, and rightly without a part."""
    measures = place(
        episode.transcript,
        episode.measures,
        episode.trade_numbers,
        episode.mentions,
        episode.part_list,
        switches=switches or Switches(),
        weights=weights or load_weights(),
    ).measures
    part, both, none = [], [], []
    for index, truth in places_of(episode).items():
        found = measures[index]
        if not truth.get("part"):
            none.append(found.part is None)
            continue
        part.append(found.part == truth["part"])
        if truth["dimension"] in FIRM_DIMENSIONS:
            both.append(part[-1] and found.dimension == truth["dimension"])
    return tuple(sum(row) / len(row) if row else 1.0 for row in (part, both, none))  # type: ignore[return-value]
