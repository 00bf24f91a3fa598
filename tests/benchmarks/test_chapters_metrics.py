"""The chapter metrics, used as they must be used: against published worked values."""

import json
import sys
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

import chapters_baselines as bench  # noqa: E402

ROWS: list[dict[str, Any]] = json.loads((HERE / "chapters_metric_values.json").read_text("utf-8"))["rows"]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['hyp']}-{row['ref']}")
def test_pk_and_window_diff_give_the_published_values(row: dict[str, Any]) -> None:
    assert bench.window_of(row["ref"]) == row["k"]
    pk, wd = bench.pk_and_window_diff(tuple(row["hyp"]), tuple(row["ref"]))
    assert pk == pytest.approx(float(Fraction(row["pk"])))
    assert wd == pytest.approx(float(Fraction(row["windowdiff"])))


@pytest.mark.parametrize("row", ROWS[:8], ids=lambda row: f"{row['hyp']}-{row['ref']}")
def test_boundary_similarity_gives_the_published_values(row: dict[str, Any]) -> None:
    import segeval

    assert float(segeval.boundary_similarity(tuple(row["hyp"]), tuple(row["ref"]))) == pytest.approx(
        float(Fraction(row["boundary_similarity"]))
    )


def test_a_boundary_within_ten_seconds_hits_and_an_optional_one_costs_nothing() -> None:
    gold = [{"start": 0}, {"start": 60}, {"start": 100, "optional": True}, {"start": 200}]
    assert bench.boundary_score([0.0, 69.0, 101.0, 215.0], gold) == (1, 2, 2)
    assert bench.boundary_score([0.0, 70.1], gold) == (0, 1, 2)


def test_segments_cover_the_whole_in_units() -> None:
    assert bench.segments([0.0, 61.0, 299.0], 300.0) == (12, 48)
