"""What the stage gives back."""

from __future__ import annotations

from msgspec import Struct

from benchscribe.records import Coverage, Dimension, Finding, Span


class Found(Struct, frozen=True):
    """All that was found in one episode."""

    findings: tuple[Finding, ...]
    """In order of time; right derivations stand among them with `right: true` and are confirmations."""
    coverage: Coverage
    struck: tuple[Span, ...] = ()
    """Passages that the maker asked to leave out, by a phrase of their own."""


class PlanDoubt(Struct, frozen=True, kw_only=True):
    """A doubt about the part list itself, before anything has been cut."""

    part: str
    dimension: Dimension | None
    row: int
    """Row in the list's file, counting from 1."""
    why: str
    """One plain sentence."""
    certain: bool = False
    """True for a blank, which is a fact; False for arithmetic, which is a doubt."""
