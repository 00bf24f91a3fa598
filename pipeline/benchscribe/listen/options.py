"""What a run of listening is told, and what it tells while it runs."""

from __future__ import annotations

from msgspec import Struct


class ListenOptions(Struct, frozen=True, kw_only=True):
    """How to listen."""

    model: str = "base"
    """Name of a speech model (tiny, base, or any other size by name), or a folder that holds one."""
    device: str = "auto"
    """auto, cpu or cuda."""
    language: str = "en"
    beam_size: int = 5
    """Fewer than five loses sizes: beam 1 lost 9 to 25 of 79."""
    prompt_names: tuple[str, ...] = ()
    """Names of parts and of the trade. Never a size: the recogniser would echo the plan and hide a slip."""
    threads: int | None = None
    """Threads on the CPU; None for a sensible number."""


class Progress(Struct, frozen=True, kw_only=True):
    """How far listening has come."""

    file: str
    """The file that is being listened to."""
    done_s: float
    """Seconds of sound that are finished, over all files."""
    total_s: float
    """Seconds of sound in all files."""
    eta_s: float | None = None
    """Seconds that the rest will take at this pace; None while there is nothing to go by."""
    message: str = ""
    """What is being done, where it is not plain listening."""
