"""Reads a caption file into a transcript and compares the measures found in it with an annotated truth."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from pathlib import Path
from typing import Any

from benchscribe.measures.stage import find_measures
from benchscribe.records import Cue, Measure, Transcript, Utterance, Word
from benchscribe.units import MM_PER

_TIME = re.compile(r"(?:(\d+):)?(\d+):(\d+)[.,](\d+) --> (?:(\d+):)?(\d+):(\d+)[.,](\d+)")


def _seconds(h: str | None, m: str, s: str, ms: str) -> float:
    return int(h or 0) * 3600 + int(m) * 60 + int(s) + int(ms) / 1000


def read_vtt(path: Path) -> Transcript:
    """Read a plain WebVTT file: words share their cue's time out by their number."""
    words: list[Word] = []
    cues: list[Cue] = []
    for block in re.split(r"\n\s*\n", path.read_text(encoding="utf-8")):
        match = _TIME.search(block)
        if not match:
            continue
        start, end = _seconds(*match.groups()[:4]), _seconds(*match.groups()[4:])
        texts = block[match.end() :].split()
        first = len(words)
        each = (end - start) / max(1, len(texts))
        words.extend(Word(text, start + i * each, start + (i + 1) * each) for i, text in enumerate(texts))
        cues.append(Cue((first, len(words)), start, end))
    return Transcript(
        files=(),
        clock="captions",
        words=tuple(words),
        utterances=(Utterance((0, len(words)), 0.0, None),),
        cues=tuple(cues),
    )


def quantity(value: str | Fraction, unit: str) -> tuple[str, Fraction] | None:
    """Give a comparable quantity, or None where it is neither length nor angle."""
    unit = {"inches": "inch", "ft": "foot", "millimetre": "mm", "centimetre": "cm", "metre": "m"}.get(
        unit, unit
    )
    if unit in MM_PER:
        return "length", Fraction(value) * MM_PER[unit]
    return ("angle", Fraction(value)) if unit == "degree" else None


def compare(folder: Path) -> tuple[int, list[Measure], list[dict[str, Any]], int, int]:
    """Find the measures of an episode and pair them with its truth, within 9 seconds.

    Returns:
        Pairs, measures found and not in the truth, truths not found, number found, number of truths.
    """
    gold = json.loads((folder / "gold.json").read_text(encoding="utf-8"))
    found, _ = find_measures(read_vtt(folder / "transcript.vtt"), gold["units"])
    truth = [g for g in gold["measures"] if quantity(g["value"], g["unit"])]
    options = sorted(
        (abs((f.start_s or 0) - g["t"]), i, j)
        for i, f in enumerate(found)
        for j, g in enumerate(truth)
        if abs((f.start_s or 0) - g["t"]) <= 9
        and quantity(f.value, f.unit) == quantity(g["value"], g["unit"])
    )
    used_f: set[int] = set()
    used_g: set[int] = set()
    for _, i, j in options:
        if i not in used_f and j not in used_g:
            used_f.add(i)
            used_g.add(j)
    extra = [f for i, f in enumerate(found) if i not in used_f]
    missed = [g for j, g in enumerate(truth) if j not in used_g]
    return len(used_f), extra, missed, len(found), len(truth)


def f1(hits: int, found: int, truths: int) -> float:
    """Give the harmonic mean of precision and recall."""
    return 2 * hits / (found + truths) if found + truths else 1.0
