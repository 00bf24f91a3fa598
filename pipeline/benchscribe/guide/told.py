"""What was done or told to be done, piece by piece, before it is made into steps."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib import resources

from msgspec import Struct

from benchscribe.guide.stock import material_form
from benchscribe.records import InHand, Measure, Mention, Mentions, PartList, Span, Transcript

SURE = 0.3
"""A part in hand with less confidence is not named."""
NEAR_S = 20.0
"""A size told so near an operation on the same part belongs to that step."""
RUN_S = 30.0
"""Sizes of one part told within this time belong together."""
WORDS_PER_S = 2.5
"""For notes, which have no times."""
FINISHED = frozenset({"finished", "corrected", "changed", "supplied"})
SIZES = frozenset({"length", "width", "height", "depth", "thickness", "angle"})


class Told(Struct, frozen=True):
    """One operation as it was told: on what, where, and in which utterances."""

    verb: str
    name: str
    part: str | None
    rank: int
    """3 for work proper, 2 for a cut of no special kind, 1 for what is done beside it."""
    clock_s: float
    """Running time, or words at talking speed where there is no time; for distances only."""
    start_s: float | None
    first: int
    last: int
    at: int
    """Word index."""


class StepWords(Struct, frozen=True):
    """The names of steps, from `operations.toml`."""

    names: Mapping[str, str]
    short: Mapping[str, str]
    sizing: frozenset[str]
    generic: frozenset[str]
    length_tools: frozenset[str]
    curve_tools: frozenset[str]
    out_tools: frozenset[str]
    side: frozenset[str]
    never: frozenset[str]
    features: frozenset[str]
    talk: re.Pattern[str]


@lru_cache(maxsize=1)
def step_words() -> StepWords:
    """Read the names of steps."""
    table = tomllib.loads(resources.files("benchscribe.guide").joinpath("operations.toml").read_text("utf-8"))
    before = sorted(table["talk"]["before"], key=len, reverse=True)
    return StepWords(
        names=table["names"],
        short=table["short"],
        sizing=frozenset(table["sizing"]["verbs"]),
        generic=frozenset(table["generic"]["verbs"]),
        length_tools=frozenset(table["generic"]["length_tools"]),
        curve_tools=frozenset(table["generic"]["curve_tools"]),
        out_tools=frozenset(table["generic"]["out_tools"]),
        side=frozenset(table["side"]["verbs"]),
        never=frozenset(table["never"]["verbs"]),
        features=frozenset(table["features"]["words"]),
        talk=re.compile(r"\b(?:" + "|".join(map(re.escape, before)) + r")\b(?:\s+\S+){0,3}\s*$"),
    )


def clock(transcript: Transcript, word: int) -> float:
    """Give a word's place on the clock: its time, else how long the words before it take to say."""
    start = transcript.words[word].start_s
    return start if start is not None else word / WORDS_PER_S


def left_out(transcript: Transcript, mentions: Mentions) -> frozenset[int]:
    """Give the utterances that went wrong or speak of another day."""
    out = set()
    for number, utterance in enumerate(transcript.utterances):
        begin, end = utterance.span
        if any(begin < mistake.span[1] and end > mistake.span[0] for mistake in mentions.mistakes):
            out.add(number)
        for mistake in mentions.mistakes:
            if utterance.start_s is None or mistake.start_s is None or mistake.end_s is None:
                continue
            if mistake.start_s - 1 <= utterance.start_s < mistake.end_s:
                out.add(number)
        if any(begin <= promise.span[0] < end for promise in mentions.promises):
            out.add(number)
    return frozenset(out)


def told_operations(
    transcript: Transcript, mentions: Mentions, in_hand: Sequence[InHand], skipped: frozenset[int]
) -> list[Told]:
    """Find the operations that were named as done, or told to be done.

    Args:
        transcript: What was said.
        mentions: Operations, tools and parts.
        in_hand: The part in hand, by utterance.
        skipped: Utterances that are passed over.

    Returns:
        One for each operation and part, in the order in which they were said.
    """
    words = step_words()
    held = {item.utterance: item for item in in_hand}
    named = [m for m in mentions.mentions if m.kind == "part"]
    tools = [m for m in mentions.mentions if m.kind == "tool" and m.used]
    operations = sorted(
        (m for m in mentions.mentions if m.kind == "operation" and m.used), key=lambda m: m.span
    )
    told: list[Told] = []
    for number, utterance in enumerate(transcript.utterances):
        if number in skipped or transcript.text(utterance.span).endswith("?"):
            continue
        near_tools = [m.name.lower() for m in tools if utterance.span[0] <= m.span[0] < utterance.span[1]]
        for operation in operations:
            verb = operation.name.lower()
            inside = utterance.span[0] <= operation.span[0] < utterance.span[1]
            if not inside or verb in words.never or _only_talk(transcript, utterance.span, operation):
                continue
            rank = 1 if verb in words.side else 2 if verb in words.generic else 3
            told.extend(
                Told(
                    verb=verb,
                    name=_name(transcript, operation, utterance.span, near_tools),
                    part=part,
                    rank=rank,
                    clock_s=clock(transcript, operation.span[0]),
                    start_s=operation.start_s if operation.start_s is not None else utterance.start_s,
                    first=number,
                    last=number,
                    at=operation.span[0],
                )
                for part in _parts_of(operation, utterance.span, held.get(number), named)
            )
    return told


def told_sizes(
    transcript: Transcript,
    measures: Sequence[Measure],
    told: Sequence[Told],
    skipped: frozenset[int],
    part_list: PartList | None,
) -> list[Told]:
    """Find the parts whose finished sizes are told while nobody says what is done: they are cut to that size.

    Args:
        transcript: What was said.
        measures: All measures, placed.
        told: Operations that were named; a part that is being sized by one of them needs nothing more.
        skipped: Utterances that are passed over.
        part_list: For the material and what is bought; None gives nothing.

    Returns:
        At most one for each part.
    """
    if part_list is None:
        return []
    made = {part.name: part for part in part_list.parts if not part.hardware}
    home = _utterance_of(transcript)
    runs: dict[str, list[Measure]] = {}
    for measure in measures:
        part = measure.part
        fits = (
            part in made
            and measure.role in FINISHED
            and measure.dimension in SIZES
            and not measure.taken_back
        )
        if not fits or part is None or home[measure.span[0]] in skipped:
            continue
        run = runs.setdefault(part, [])
        if not run or clock(transcript, measure.span[0]) - clock(transcript, run[0].span[0]) <= RUN_S:
            run.append(measure)
    found = []
    for part, run in runs.items():
        if all(m.dimension == "angle" for m in run):
            continue
        at = clock(transcript, run[0].span[0])
        sized = [t for t in told if t.part == part and t.verb in step_words().sizing]
        if any(abs(t.clock_s - at) <= NEAR_S for t in sized):
            continue
        last = run[-1] if clock(transcript, run[-1].span[0]) - at <= NEAR_S else run[0]
        dimensions = {str(m.dimension) for m in run}
        found.append(
            Told(
                verb="cut",
                name=sizing_name(dimensions, made[part].material),
                part=part,
                rank=2,
                clock_s=at,
                start_s=run[0].start_s,
                first=home[run[0].span[0]],
                last=home[last.span[0]],
                at=run[0].span[0],
            )
        )
    return found


def sizing_name(dimensions: set[str], material: str) -> str:
    """Name the cut that gives a piece these sizes, as the trade of its material calls it.

    A stick of wood is ripped to width and crosscut to length, mitred where an angle is told; bar and rod are sawn; sheet, hide and cloth
    are cut.

    >>> sizing_name({"length"}, "hard maple"), sizing_name({"length", "width"}, "birch ply")
    ('crosscut to length', 'cut to size')
    """
    sizes = dimensions - {"angle"}
    form = material_form(material)
    if form == "board":
        if "angle" in dimensions and "length" in sizes:
            return "miter crosscut to length"
        if "length" in sizes and sizes & {"width", "depth"}:
            return "rip and crosscut to size"
        if sizes <= {"length", "height"}:
            return "crosscut to length"
        if sizes == {"thickness"}:
            return "plane to thickness"
        return "rip cut to width" if sizes <= {"width", "depth", "thickness"} else "cut to size"
    if sizes <= {"length", "height"}:
        return "saw to length" if form == "metal" else "cut to length"
    return "cut to size"


def _parts_of(
    operation: Mention, span: Span, held: InHand | None, named: Sequence[Mention]
) -> tuple[str | None, ...]:
    """Give the parts that an operation is done to: those in hand, else the one named nearest to it in the sentence."""
    if held is not None and held.parts and held.confidence >= SURE:
        return held.parts[:3]
    near = [m for m in named if span[0] <= m.span[0] < span[1]]
    if near:
        return (min(near, key=lambda m: abs(m.span[0] - operation.span[0])).name,)
    return (None,)


def _only_talk(transcript: Transcript, span: Span, operation: Mention) -> bool:
    before = transcript.text((span[0], operation.span[0])).lower().replace("\u2019", "'")
    clause = re.split(r"[,.;:]\s|\b(?:and|but|then|so|because)\b", before)[-1]
    return bool(step_words().talk.search(clause))


def _name(transcript: Transcript, operation: Mention, span: Span, tools: Sequence[str]) -> str:
    """Name a step: the usual verb, and what is made by it where that stands close behind."""
    words = step_words()
    verb = operation.name.lower()
    name = words.names.get(verb, verb)
    feature = _feature(transcript, operation, span)
    if verb in words.generic and not feature:
        if words.length_tools.intersection(tools):
            return "crosscut to length"
        if words.curve_tools.intersection(tools):
            return "cut to shape"
        return "cut out" if words.out_tools.intersection(tools) else name
    if feature and feature.rstrip("s") not in name and len(name.split()) < 5:
        return f"{name.removesuffix(' hole')} {feature}"
    return name


def _feature(transcript: Transcript, operation: Mention, span: Span) -> str:
    after = transcript.text((operation.span[1], min(operation.span[1] + 6, span[1]))).lower()
    clause = re.split(r"[.;:,]|\b(?:and|with|off|on|at|from|then)\b", after)[0]
    return next((w for w in re.findall(r"[a-z]+", clause) if w in step_words().features), "")


def _utterance_of(transcript: Transcript) -> list[int]:
    home = [0] * len(transcript.words)
    for number, utterance in enumerate(transcript.utterances):
        home[utterance.span[0] : utterance.span[1]] = [number] * (utterance.span[1] - utterance.span[0])
    return home
