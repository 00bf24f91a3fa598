"""Cut the talk into passages short enough to have one part in hand, and find what each says of which part."""

from __future__ import annotations

import tomllib
from bisect import bisect_left
from functools import cache
from importlib.resources import files
from typing import Final

from msgspec import Struct, structs

from benchscribe.records import Measure, Mentions, PartList, Transcript
from benchscribe.spoken.phrases import PhraseBook, phrase_book
from benchscribe.spoken.words import Talk
from benchscribe.spoken.words import singular as _bare

_PAUSE_S: Final = 6.0
"""A silence as long as this is often the end of a job."""
_TURN_REACH: Final = 3
"""Turns count only so near the beginning of a passage."""


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


_OPENING: Final = 4
"""Words from the beginning of a sentence within which what is named is what it is about."""
_SIZED: Final = 10
"""Words from a name to the first size that is said of it."""
_CLOSING: Final = frozenset({"done", "finished", "sorted", "made", "ready"})
_CLOSING_BEFORE: Final = frozenset({"that's", "there's"})
_CLOSING_REACH: Final = 3
_VERBS: Final = frozenset(
    "is are was were be isn't aren't gets get goes go want wants need needs has have had come comes came start starts can should will they it".split()
)
"""Words right behind a name that say something of it; "the rails, they are" too."""


_PREPOSITIONS: Final = frozenset(
    "of in on at to for from with into onto inside through between under over behind against across along around round past off than like as by".split()
)
_ARTICLES: Final = frozenset(
    "the a an your my our those these both each every that this its all two three four".split()
)
_INTO: Final = frozenset({"in", "into", "through", "down", "along", "across", "up", "on", "of"})
_JOINTS: Final = frozenset(
    """hole slot groove dado housing rabbet rebate mortise mortice tenon notch recess pocket counterbore lip tongue window
    opening hem seam dart pleat keyway chamfer bevel line mark drill bore chop rout punch tap countersink hollow channel bend fold
    hinge screw bolt rivet peg""".split()
)
"""What is made in a part: what it is said to be in is what is worked on."""


class Naming(Struct, frozen=True):
    """A part named in a passage."""

    part: int
    at: int
    end: int
    confidence: float
    aside: bool
    """Named behind a preposition or only in passing."""
    subject: bool = False
    """What a verb behind it says something of: "the rail is 40 long"."""
    opens: bool = False
    """Near the beginning of its sentence."""
    sized: bool = False
    """A size follows in its sentence, before another part is named."""
    behind: str = ""
    """The preposition that it stands behind: "in the side", "for the weight"."""
    host: bool = False
    """A hole, a joint or a mark is said to be in it: "a groove down the back"."""
    closes: bool = False
    """Named at the end of what was said of it: "and that's the rail done"."""


class Segment(Struct, frozen=True):
    """A passage: a sentence or a piece of one."""

    start: int
    end: int
    utterance: int
    measures: tuple[int, ...]
    namings: tuple[Naming, ...]
    move: dict[str, float]
    """What speaks for a change of the part in hand here: features, by the words and the silence before."""


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
    namings = _namings(talk, measures, mentions, part_list, asides)
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
    talk: Talk, measures: tuple[Measure, ...], mentions: Mentions, part_list: PartList, asides: set[int]
) -> list[Naming]:
    number = {part.name: index for index, part in enumerate(part_list.parts)}
    sized = {index for measure in measures for index in range(*measure.span)}
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
    joined = _joined(talk, sorted(namings, key=lambda naming: naming.at))
    begins = sorted(measure.span[0] for measure in measures)
    return [_placed(talk, naming, joined[n + 1 : n + 2], begins) for n, naming in enumerate(joined)]


def _placed(talk: Talk, naming: Naming, following: list[Naming], begins: list[int]) -> Naming:
    """Note how a name stands in its sentence."""
    first = naming.at
    while (
        first > 0
        and naming.at - first <= _OPENING
        and talk.sentence_of[first - 1] == talk.sentence_of[naming.at]
    ):
        first -= 1
    after = (
        talk.tokens[naming.end]
        if naming.end < len(talk.tokens) and talk.same_sentence(naming.at, naming.end)
        else ""
    )
    where = bisect_left(begins, naming.end)
    sized = (
        where < len(begins)
        and begins[where] - naming.end <= _SIZED
        and talk.same_sentence(naming.at, begins[where])
        and not (following and naming.at < following[0].at < begins[where])
    )
    behind = talk.tokens[max(0, naming.at - _CLOSING_REACH) : naming.at]
    closes = after in _CLOSING or (
        not sized and bool(_CLOSING_BEFORE & set(behind)) and naming.at - first > 1
    )
    return structs.replace(
        naming,
        subject=after in _VERBS or after.endswith("'re"),
        opens=naming.at - first < _OPENING,
        sized=sized,
        closes=closes,
        behind=_preposition(talk, naming.at),
        host=_is_host(talk, naming.at),
    )


def _preposition(talk: Talk, at: int) -> str:
    for index in range(at - 1, max(-1, at - 4), -1):
        if talk.sentence_of[index] != talk.sentence_of[at]:
            return ""
        if talk.tokens[index] in _PREPOSITIONS:
            return talk.tokens[index]
        if talk.tokens[index] not in _ARTICLES:
            return ""
    return ""


def _is_host(talk: Talk, at: int) -> bool:
    """Tell whether a joint is named that is in a part: "a groove down the back edge of the side", "drill right through the post"."""
    where = next(
        (
            i
            for i in range(at - 1, max(-1, at - 4), -1)
            if talk.tokens[i] in _INTO and talk.sentence_of[i] == talk.sentence_of[at]
        ),
        None,
    )
    if where is None:
        return False
    return any(
        _bare(talk.tokens[i]) in _JOINTS and talk.sentence_of[i] == talk.sentence_of[at]
        for i in range(max(0, where - 5), where)
    )


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
    move = {"move": 1.0}
    if fresh or new_sentence or not talk.punctuated:
        move |= {f"move.{name}": 1.0 for name in ("strong", "weak") if name in names}
    if not (fresh or new_sentence):
        move["move.inside"] = 1.0
    elif not fresh:
        move["move.sentence"] = 1.0
    if end - start <= _SHORT:
        move["move.short"] = 1.0
    if talk.tokens[start] in _GOES_ON:
        move["move.goes-on"] = 1.0
    named = _named(inside[1])
    if named:
        move["move.named"] = named
    if not inside[0]:
        move["move.no-size" if inside[1] else "move.nothing"] = 1.0
    if start and _silence(transcript, start) >= _PAUSE_S:
        move["move.pause"] = 1.0
    return Segment(start, end, talk.utterance_of[start], tuple(inside[0]), tuple(inside[1]), move)


def _named(namings: list[Naming]) -> float:
    """Say how surely some part is named outright, whichever of several it is."""
    total: dict[int, float] = {}
    for naming in namings:
        if not naming.aside:
            total[naming.at] = total.get(naming.at, 0.0) + naming.confidence
    return max(total.values(), default=0.0)


def _silence(transcript: Transcript, index: int) -> float:
    before, after = transcript.words[index - 1].end_s, transcript.words[index].start_s
    return after - before if before is not None and after is not None else 0.0
