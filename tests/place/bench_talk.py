"""A few sentences and a small plan, as records: what placement and findings are given."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

from benchscribe.measures.stage import find_measures
from benchscribe.place import Placed, Switches, place
from benchscribe.records import (
    Dimension,
    Listed,
    Measure,
    Mention,
    Mentions,
    Mistake,
    Part,
    PartList,
    SourceFile,
    Transcript,
    Utterance,
    Word,
)

SECONDS_PER_WORD = 0.4


def transcript_of(text: str) -> Transcript:
    """Give one utterance for each sentence, words 0.4 s apart."""
    words: list[Word] = []
    utterances: list[Utterance] = []
    for sentence in re.split(r"(?<=[.?!])\s+|\n", text.strip()):
        begin = len(words)
        for spoken in sentence.split():
            start_s = round(len(words) * SECONDS_PER_WORD, 3)
            words.append(Word(spoken, start_s, start_s + SECONDS_PER_WORD))
        if len(words) > begin:
            utterances.append(Utterance((begin, len(words)), words[begin].start_s, words[-1].end_s))
    file = SourceFile(name="talk.vtt", offset_s=0.0, duration_s=None, kind="captions")
    return Transcript(files=(file,), clock="captions", words=tuple(words), utterances=tuple(utterances))


def part(
    name: str, count: int | None = 1, *, row: int = 2, material: str = "", notes: str = "", **sizes: str
) -> Part:
    """Make a part: `part("Rail", 2, thickness="3/4", width="2 1/2", length="")`; an empty size is left open.

    A size with "deg" is an angle, one with "mm" is metric, else it is in inches.
    """
    return Part(
        name=name,
        row=row,
        count=count,
        material=material,
        notes=notes,
        listed=tuple(_listed(dimension, text) for dimension, text in sizes.items()),
    )


def _listed(dimension: str, text: str) -> Listed:
    unit = "degree" if "deg" in text else "mm" if "mm" in text else "inch"
    number = text.replace("deg", "").replace("mm", "").split()
    value = sum((Fraction(n) for n in number), Fraction(0)) if number else None
    kind: Dimension = dimension  # type: ignore[assignment]
    return Listed(dimension=kind, value=value, unit=unit, text=text)


def plan(*parts: Part, units: Literal["inch", "mm"] = "inch") -> PartList:
    """Make a part list, rows numbered."""
    rows = tuple(
        Part(
            name=p.name, row=i + 2, count=p.count, listed=p.listed, material=p.material, notes=p.notes, hardware=p.hardware
        )
        for i, p in enumerate(parts)
    )  # fmt: skip
    return PartList(file="parts.csv", parts=rows, units=units, units_why="set for the test")


def named(transcript: Transcript, part_list: PartList, *, mistake: tuple[int, int] | None = None) -> Mentions:
    """Name every part where its name, or its last word, is said."""
    tokens = [re.sub(r"\W", "", w.text.lower()).removesuffix("s") for w in transcript.words]
    found: list[Mention] = []
    for whole in (True, False):
        for row in part_list.parts:
            words = [w.lower() for w in row.name.split()]
            wanted = words if whole else words[-1:]
            for i in range(len(tokens) - len(wanted) + 1):
                end = i + len(wanted)
                if tokens[i:end] != wanted or any(m.span[1] == end and m.confidence > 0.9 for m in found):
                    continue
                found.append(
                    Mention(
                        kind="part",
                        name=row.name,
                        words=" ".join(wanted),
                        span=(i, end),
                        confidence=0.98 if whole else 0.75,
                        start_s=transcript.words[i].start_s,
                    )
                )
    mistakes = (Mistake(span=mistake, why="oh no"),) if mistake else ()
    return Mentions(mentions=tuple(sorted(found, key=lambda m: m.span)), mistakes=mistakes)


def placed(text: str, part_list: PartList, *, switches: Switches | None = None) -> Placed:
    """Place all that is said in a text."""
    transcript = transcript_of(text)
    measures, numbers = find_measures(transcript, part_list.units)
    return place(
        transcript,
        measures,
        numbers,
        named(transcript, part_list),
        part_list,
        switches=switches or Switches(),
    )


def where(measures: tuple[Measure, ...]) -> list[tuple[str | None, str | None]]:
    """Give part and dimension of each measure."""
    return [(m.part, m.dimension) for m in measures]
