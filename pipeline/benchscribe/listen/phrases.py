"""What the recogniser gives back."""

from __future__ import annotations

from msgspec import Struct

from benchscribe.listen.windows import Span
from benchscribe.records import Word


class Phrase(Struct, frozen=True, kw_only=True):
    """What was heard in one window."""

    start_s: float
    end_s: float
    words: tuple[Word, ...]
    log_probability: float = 0.0
    """Mean over its tokens."""
    no_speech: float = 0.0
    """How likely nobody speaks here, as the recogniser thinks."""
    repetition: float = 1.0
    """How far its text can be packed: from 2.4 on it repeats itself."""


class Heard(Struct, frozen=True, kw_only=True):
    """What was heard in one piece of a recording, and where somebody spoke."""

    phrases: tuple[Phrase, ...]
    speech: tuple[Span, ...] = ()
