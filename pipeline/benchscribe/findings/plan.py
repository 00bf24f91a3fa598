"""Arithmetic on the part list alone."""

from __future__ import annotations

from benchscribe.findings.options import PlanDoubt
from benchscribe.records import PartList


def check_plan(part_list: PartList) -> tuple[PlanDoubt, ...]:
    """Give the doubtful rows of a part list (the first version follows)."""
    return ()
