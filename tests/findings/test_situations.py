"""Short situations of ten trades: each says what must be found, and that nothing else is."""

from __future__ import annotations

import pytest
from situation_files import FOLDER, Situation, compare, findings_of, situations

from benchscribe.records import DECLARED_KINDS, FINDING_KINDS

CASES = situations()


def _listed(name: str) -> set[str]:
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    return {line.strip() for line in lines if line.strip() and not line.startswith("#")}


MISSED = _listed("missed.list")
"""Situations that are missed so far: each fails, and must be taken off this list once it does not."""
WRONG = _listed("wrong.list")
"""Situations that give a wrong finding so far; the same holds."""


def test_every_kind_of_finding_is_said_in_ten_ways_or_more() -> None:
    """The files hold ten situations for each kind, and forty that give nothing."""
    kinds = [line.split(" |")[0] for case in CASES for line in case.wanted]
    assert all(kinds.count(kind) >= 10 for kind in FINDING_KINDS)
    assert sum(not case.wanted for case in CASES) >= 40


@pytest.mark.parametrize("case", [c for c in CASES if c.name not in MISSED | WRONG], ids=lambda c: c.name)
def test_a_situation_gives_what_it_must_and_nothing_else(case: Situation) -> None:
    """What is wanted is found, with its kind, part, dimension and value; nothing more is."""
    assert compare(case) == ([], [])


@pytest.mark.parametrize("case", [c for c in CASES if not c.wanted], ids=lambda c: c.name)
def test_nothing_goes_out_that_nobody_declared(case: Situation) -> None:
    """Rough, denied, quoted and borrowed sizes are never published."""
    assert not [f for f in findings_of(case) if f.declared and f.kind in DECLARED_KINDS]


@pytest.mark.parametrize("case", [c for c in CASES if c.name in MISSED], ids=lambda c: c.name)
def test_what_is_missed_gives_nothing_wrong(case: Situation) -> None:
    """A situation that is missed gives no other finding instead."""
    missed, extra = compare(case)
    assert missed
    assert extra == []


@pytest.mark.parametrize("case", [c for c in CASES if c.name in WRONG], ids=lambda c: c.name)
def test_what_gives_something_wrong_is_known(case: Situation) -> None:
    """A situation on the list of wrong ones gives a finding that it must not; once it does not, it comes off."""
    assert compare(case)[1]
