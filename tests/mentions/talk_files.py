"""Talks of other trades, with what a careful listener hears in them."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from benchscribe.listen import cut_utterances
from benchscribe.records import Part, PartList, SourceFile, Transcript, Word

TALKS = sorted((Path(__file__).parent / "talks").glob("*.toml"))
SECONDS_A_WORD = 0.4


def say(text: str) -> Transcript:
    """Make a transcript of a text, at an even pace."""
    spoken = text.split()
    words = tuple(
        Word(w, round(i * SECONDS_A_WORD, 3), round((i + 1) * SECONDS_A_WORD, 3))
        for i, w in enumerate(spoken)
    )
    file = SourceFile(name="talk.vtt", offset_s=0.0, duration_s=len(words) * SECONDS_A_WORD, kind="captions")
    return Transcript(files=(file,), clock="captions", words=words, utterances=tuple(cut_utterances(words)))


def plan(*names: str) -> PartList:
    """Make a part list of names alone."""
    parts = tuple(Part(name=name, row=i) for i, name in enumerate(names, 2))
    return PartList(file="parts.csv", parts=parts, units="inch", units_why="stated")


def load(path: Path) -> dict[str, Any]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def seconds_of(transcript: Transcript, phrase: str) -> float:
    """Give the time at which a phrase begins."""
    plain = [re.sub(r"[^a-z0-9']", "", w.text.lower()) for w in transcript.words]
    wanted = [re.sub(r"[^a-z0-9']", "", w.lower()) for w in phrase.split()]
    at = next(i for i in range(len(plain)) if plain[i : i + len(wanted)] == wanted)
    start = transcript.words[at].start_s
    assert start is not None
    return start


def alike(found: str, wanted: str) -> bool:
    """Tell whether two names mean the same thing: one has all the words of the other, plural or not."""
    a, b = ({w.rstrip("s") for w in re.sub(r"[^a-z0-9 ]", " ", n.lower()).split()} for n in (found, wanted))
    joined = ["".join(sorted(x)) for x in (a, b)]
    return a <= b or b <= a or joined[0] == joined[1]


def f1(found: list[str], wanted: list[str]) -> float:
    """Give the F1 of names, each used once."""
    left = list(wanted)
    hits = 0
    for name in found:
        match = next((w for w in left if alike(name, w)), None)
        if match is not None:
            left.remove(match)
            hits += 1
    return 2 * hits / (len(found) + len(wanted))
