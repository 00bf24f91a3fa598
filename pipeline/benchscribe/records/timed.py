"""What every record of a moment has: its time, and the file that it is of."""

from __future__ import annotations

from msgspec import Struct, field

Span = tuple[int, int]
"""Half-open indices into `Transcript.words`."""


class Timed(Struct, frozen=True, kw_only=True):
    """Anything that happened at a time."""

    start_s: float | None = field(default=None, name="start")
    """Seconds of running time; None where there is no time."""
    end_s: float | None = field(default=None, name="end")
    """Seconds of running time; None where there is no time."""
    file: str | None = None
    """Name of the file that `at_s` is of; filled in by `stamp`."""
    at_s: float | None = field(default=None, name="at")
    """Seconds from the start of `file`; filled in by `stamp`."""
