"""The maker's decisions about findings: read, applied and written down in `decisions.toml`."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from msgspec import Struct

from benchscribe.records import Finding


class Decisions(Struct, frozen=True):
    """All decisions of one episode."""


def load_decisions(path: Path) -> Decisions:
    """Read decisions (the first version follows)."""
    return Decisions()


def apply_decisions(
    findings: tuple[Finding, ...], decisions: Decisions
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Apply decisions (the first version follows)."""
    return findings, ()


def record_decision(
    path: Path,
    finding: Finding,
    answer: str,
    *,
    value: Fraction | None = None,
    unit: str | None = None,
    part: str | None = None,
    dimension: str | None = None,
    note: str = "",
) -> None:
    """Write a decision down (the first version follows)."""
    raise NotImplementedError
