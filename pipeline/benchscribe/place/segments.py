"""Cut the talk into passages short enough to have one part in hand, and find what each says of which part."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Final

from msgspec import Struct, structs

from benchscribe.records import Measure, Mentions, PartList, Transcript
from benchscribe.spoken.phrases import PhraseBook, phrase_book
from benchscribe.spoken.words import Talk

ASIDE: Final = 0.2
"""Share of its weight that a name keeps behind a preposition: "the same as the cheeks" is not about the cheeks."""
_PAUSE_S: Final = 6.0
"""A silence as long as this is often the end of a job."""
_TURN_REACH: Final = 3
"""Turns count only so near the beginning of a passage."""


_SAYS_NOTHING: Final = 0.15
_SHORT: Final = 4
"""Words of a passage that says too little to move on: "Hm." "Lovely." """
_GOES_ON: Final = frozenset(
    {
        "it",
        "it's",
        "they",
        "they're",
        "it'll",
        "they'll",
        "them",
        "you",
        "because",
        "or",
        "but",
        "which",
        "same",
        "half",
        "i",
    }
)
"""First words that go on about what is in hand."""


_PRONOUNS: Final = frozenset(
    {"it", "it's", "they", "they're", "it'll", "they'll", "it'd", "you", "which", "if"}
)
_BEHIND_PRONOUN: Final = 2
_FOR_THE: Final = 4
"""Words to the front of "hollow for the weight": nearer to its beginning, a sentence takes its subject up."""


class Naming(Struct, frozen=True):
    """A part named in a passage."""

    part: int
    at: int
    end: int
    confidence: float
    aside: bool
    """Named behind a preposition or only in passing."""


class Segment(Struct, frozen=True):
    """A passage: a sentence or a piece of one."""

    start: int
    end: int
    utterance: int
    measures: tuple[int, ...]
    namings: tuple[Naming, ...]
    move: float
    """Chance that the part in hand changes here, by the words and the silence before."""


@cache
def turn_book() -> PhraseBook:
    """Read the words that move on, and those that name a part in passing."""
    data = tomllib.loads(files("benchscribe.place").joinpath("turns.toml").read_text(encoding="utf-8"))
    return phrase_book((name, phrase) for name, phrases in data.items() for phrase in phrases)


def segments_of(
    transcript: Transcript,
    talk: Talk,
    measures: tuple[Measure, ...],
    mentions: Mentions,
    part_list: PartList,
) -> list[Segment]:
    """Cut at sentence ends, and before a part's name where the passage already speaks of another part or has sizes."""
    hits = turn_book().find(talk.tokens)
    turns = {hit.start: hit.name for hit in hits if hit.name == "weak"}
    turns |= {hit.start: hit.name for hit in hits if hit.name == "strong"}
    asides = {hit.end for hit in hits if hit.name == "aside"}
    sized = {index for measure in measures for index in range(*measure.span)}
    namings = _namings(talk, mentions, part_list, asides, sized)
    measure_at = {measure.span[0]: index for index, measure in enumerate(measures)}
    naming_at: dict[int, list[Naming]] = {}
    for naming in namings:
        naming_at.setdefault(naming.at, []).append(naming)
    segments: list[Segment] = []
    begin = 0
    inside: tuple[list[int], list[Naming]] = ([], [])
    for index in range(len(talk.tokens) + 1):
        if index > begin and _cuts(index, talk, inside, naming_at.get(index, [])):
            segments.append(_segment(transcript, talk, (begin, index), inside, turns))
            begin, inside = index, ([], [])
        if index in measure_at:
            inside[0].append(measure_at[index])
        inside[1].extend(naming_at.get(index, []))
    return segments


def _namings(
    talk: Talk, mentions: Mentions, part_list: PartList, asides: set[int], sized: set[int]
) -> list[Naming]:
    number = {part.name: index for index, part in enumerate(part_list.parts)}
    namings = []
    for mention in mentions.mentions:
        if mention.kind != "part" or mention.name not in number or mention.span[0] >= len(talk.tokens):
            continue
        at = mention.span[0]
        if at in sized:
            continue  # the "foot" of "6 foot" is no foot of the bench
        # The article may be inside the mention's own words or before them.
        aside = (
            at in asides
            or (at + 1 in asides and mention.span[1] > at + 1)
            or _goes_on(talk, at)
            or _what_for(talk, at)
        )
        namings.append(Naming(number[mention.name], at, mention.span[1], mention.confidence, aside))
    return _joined(talk, sorted(namings, key=lambda naming: naming.at))


def _joined(talk: Talk, namings: list[Naming]) -> list[Naming]:
    """Treat what is joined by "and" to a part named in passing as named in passing too: "for the lid and the tray"."""
    passing = {naming.end for naming in namings if naming.aside}
    result = []
    for naming in namings:
        first = naming.at
        while first > 0 and talk.tokens[first - 1] in ("the", "a", "an", "your", "my", "both"):
            first -= 1
        joined = first > 0 and talk.tokens[first - 1] in ("and", "or") and first - 1 in passing
        if joined and not naming.aside:
            passing.add(naming.end)
        result.append(structs.replace(naming, aside=naming.aside or joined))
    return result


def _goes_on(talk: Talk, at: int) -> bool:
    """Tell whether a name stands behind a pronoun that begins its sentence: "it stops the sides from flapping" is not about the sides."""
    first = at
    while first > 0 and talk.sentence_of[first - 1] == talk.sentence_of[at]:
        first -= 1
    if talk.tokens[first] in ("and", "so", "but", "because") and first + 1 < at:
        first += 1
    return at - first >= _BEHIND_PRONOUN and talk.tokens[first] in _PRONOUNS


def _what_for(talk: Talk, at: int) -> bool:
    """Tell whether a name only says what something is for: "a hollow for the weight"; "now for the weight" begins with it."""
    if at < _FOR_THE or talk.tokens[at - 1] not in ("the", "a", "an", "your", "my", "each"):
        return False
    return talk.tokens[at - 2] == "for" and talk.sentence_of[at - _FOR_THE] == talk.sentence_of[at]


def _cuts(index: int, talk: Talk, inside: tuple[list[int], list[Naming]], starting: list[Naming]) -> bool:
    if index == len(talk.tokens) or talk.sentence_of[index] != talk.sentence_of[index - 1]:
        return True
    if not starting or not (inside[0] or inside[1]):
        return False
    return not ({n.part for n in starting} & {n.part for n in inside[1]})


def _segment(
    transcript: Transcript,
    talk: Talk,
    span: tuple[int, int],
    inside: tuple[list[int], list[Naming]],
    turns: dict[int, str],
) -> Segment:
    start, end = span
    names = {turns.get(index) for index in range(start, min(start + _TURN_REACH, end))}
    fresh = start == 0 or talk.utterance_of[start] != talk.utterance_of[start - 1]
    new_sentence = start == 0 or talk.sentence_of[start] != talk.sentence_of[start - 1]
    move = 0.08 if fresh else 0.05 if new_sentence else 0.04
    if end - start <= _SHORT or talk.tokens[start] in _GOES_ON:
        move = 0.03
    if fresh or new_sentence or not talk.punctuated:
        move = max(move, 0.35 if "strong" in names else 0.14 if "weak" in names else 0.0)
    if any(not naming.aside for naming in inside[1]):
        move = max(move, 0.2)
    if start and _silence(transcript, start) >= _PAUSE_S:
        move = max(move, 0.3)
    if not inside[0] and not inside[1]:
        # Whoever moves on says so: with a name or a size. A passage with neither mostly goes on about the same.
        move *= _SAYS_NOTHING
    return Segment(start, end, talk.utterance_of[start], tuple(inside[0]), tuple(inside[1]), move)


def _silence(transcript: Transcript, index: int) -> float:
    before, after = transcript.words[index - 1].end_s, transcript.words[index].start_s
    return after - before if before is not None and after is not None else 0.0
