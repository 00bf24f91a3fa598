"""Every line of the case files reads as the trade means it."""

from __future__ import annotations

from pathlib import Path

import pytest
from measure_cases import Case, load, problems

CASES = tuple(load(Path(__file__).parent / "cases"))


def test_there_are_at_least_six_hundred_cases() -> None:
    assert len({(case.units, case.said) for case in CASES}) >= 600


@pytest.mark.parametrize("case", CASES, ids=[f"{c.file}:{c.line} {c.title}" for c in CASES])
def test_case_is_read_as_expected(case: Case) -> None:
    assert problems(case) == []
