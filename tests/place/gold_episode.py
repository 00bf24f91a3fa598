"""Read an annotated episode, and give its truths as records: measures as perfectly read as they were annotated."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

from benchscribe.records import Measure, Transcript
from benchscribe.spoken.words import token

_UNITS = {"ft": "foot", "in": "inch"}


def gold_of(folder: Path) -> dict[str, Any]:
    """Read an episode's truths."""
    truth: dict[str, Any] = json.loads((folder / "gold.json").read_text(encoding="utf-8"))
    return truth


def gold_measures(transcript: Transcript, gold: dict[str, Any]) -> tuple[Measure, ...]:
    """Give the annotated measures as the reader of measures would give them, without places."""
    tokens = [token(word.text) for word in transcript.words]
    starts = [word.start_s or 0.0 for word in transcript.words]
    back = {(c["t"], c["first"]) for c in gold.get("self_corrections", [])}
    found: list[Measure] = []
    used: set[int] = set()
    for truth in gold["measures"]:
        wanted = [token(w) for w in truth["text"].split()]
        span = _find(tokens, starts, wanted, truth["t"], used)
        if span is None:
            continue
        used.update(range(*span))
        unit = _UNITS.get(truth["unit"], truth["unit"])
        value = Fraction(truth["value"])
        taken = truth.get("role") in ("withdrawn", "retracted") and any(
            abs(t - truth["t"]) < 9 for t, _ in back
        )
        found.append(
            Measure(
                value=value, unit=unit, words=truth["text"], span=span, taken_back=taken,
                start_s=starts[span[0]], step=Fraction(1, max(value.denominator, 16 if unit == "inch" else 1)),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda m: m.span))


def _find(
    tokens: list[str], starts: list[float], wanted: list[str], at_s: float, used: set[int]
) -> tuple[int, int] | None:
    for index in range(len(tokens)):
        if starts[index] < at_s - 1 or starts[index] > at_s + 12 or index in used:
            continue
        if tokens[index : index + len(wanted)] == wanted:
            return index, index + len(wanted)
    flat = re.sub(r"\W", "", "".join(wanted))
    for index in range(len(tokens)):
        if at_s - 1 <= starts[index] <= at_s + 12 and index not in used:
            for end in range(index + 1, index + 8):
                if re.sub(r"\W", "", "".join(tokens[index:end])) == flat:
                    return index, end
    return None
