"""A recogniser for tests: it hears one word for each second of sound, and counts how often it was asked."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from benchscribe.listen.decode import RATE
from benchscribe.listen.phrases import Heard, Phrase
from benchscribe.listen.windows import Span
from benchscribe.records import Word


class Stopped(BaseException):
    """The run was killed."""


class FakeRecogniser:
    """Hears the loudness of each second."""

    def __init__(self, dies_at: int | None = None) -> None:
        """Die at the given piece, as a run that is killed."""
        self.heard: list[int] = []
        self.dies_at = dies_at

    def hear(self, samples: np.ndarray, done: Callable[[float], None]) -> Heard:
        if self.dies_at is not None and len(self.heard) == self.dies_at:
            raise Stopped
        self.heard.append(samples.size)
        words = tuple(
            Word(f"w{int(1e6 * float(np.abs(samples[i : i + RATE]).mean()))}", i / RATE, i / RATE + 0.5, 0.9)
            for i in range(0, samples.size, RATE)
        )
        done(samples.size / RATE)
        return Heard(
            phrases=(Phrase(start_s=0.0, end_s=samples.size / RATE, words=words),),
            speech=(Span(0.0, samples.size / RATE),),
        )
