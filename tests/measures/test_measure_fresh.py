"""Lines of shop talk written without a look at the reader: nearly all sizes are read, and none where there is none."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from episode_scoring import f1, quantity

from benchscribe.measures import read

FRESH = Path(__file__).parent / "fresh"


def _lines(name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (FRESH / name).read_text(encoding="utf-8").splitlines()]


def test_fresh_lines_with_sizes_are_read() -> None:
    hits = found = truths = 0
    for line in _lines("with-sizes.jsonl"):
        got = [quantity(m.value, m.unit) for m in read(line["text"], units=line["units"]).measures]
        truth = [q for q in (quantity(v, u) for v, u in line["measures"]) if q]
        found, truths = found + len(got), truths + len(truth)
        for q in truth:
            if q in got:
                got.remove(q)
                hits += 1
    assert truths >= 300
    assert f1(hits, found, truths) >= 0.99


def test_no_size_is_read_in_fresh_lines_without_one() -> None:
    lines = _lines("without-sizes.jsonl")
    assert len(lines) >= 300
    assert [
        line["text"] for line in lines if read(line["text"], units=line.get("units", "inch")).measures
    ] == []
