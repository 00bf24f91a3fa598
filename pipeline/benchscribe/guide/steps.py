"""Steps: one for each thing that is done to a part, in the maker's own words."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib import resources

import msgspec
from msgspec import Struct

from benchscribe.guide.cleaning import clean_text
from benchscribe.guide.gate import doubtful
from benchscribe.measures import write_measure
from benchscribe.records import Finding, InHand, Measure, Mention, Mentions, PartList, Span, Step, Transcript

SURE = 0.3
"""A part in hand with less confidence is not named."""
NEAR_S = 20.0
"""A size told so near an operation on the same part belongs to that step."""
AGAIN_S = 30.0
"""The same operation on the same part within this time is one step told in several sentences."""
LONGEST_S = 45.0
FINISHED = frozenset({"finished", "corrected", "changed", "supplied"})
SIZES = frozenset({"length", "width", "height", "depth", "diameter"})


class _Words(Struct, frozen=True):
    names: dict[str, str]
    sizing: frozenset[str]
    not_steps: frozenset[str]
    features: frozenset[str]
    talk: re.Pattern[str]


class _Told(Struct, frozen=True):
    """One operation as it was told: where, on what, and in which utterances."""

    operation: str
    verb: str
    part: str | None
    start_s: float | None
    end_s: float | None
    first: int
    last: int
    at: int
    """Word index, for the order."""


@lru_cache(maxsize=1)
def _words() -> _Words:
    table = tomllib.loads(resources.files("benchscribe.guide").joinpath("operations.toml").read_text("utf-8"))
    before = sorted(table["talk"]["before"], key=len, reverse=True)
    return _Words(
        names=table["names"],
        sizing=frozenset(table["sizing"]["verbs"]),
        not_steps=frozenset(table["not_steps"]["verbs"]),
        features=frozenset(table["features"]["words"]),
        talk=re.compile(r"\b(?:" + "|".join(map(re.escape, before)) + r")\b(?:\s+\S+){0,3}\s*$"),
    )


def find_steps(
    transcript: Transcript,
    measures: Sequence[Measure],
    mentions: Mentions,
    part_list: PartList | None,
    in_hand: Sequence[InHand],
    findings: Sequence[Finding] = (),
) -> tuple[Step, ...]:
    """Find what is done, in order.

    Args:
        transcript: What was said.
        measures: All measures, placed.
        mentions: Operations, tools, mistakes and promises.
        part_list: The plan's parts; None without one.
        in_hand: The part in hand, by utterance.
        findings: A value against which one is open is never printed.

    Returns:
        Steps in the order of their times. None lies in a stretch that went wrong. A repeated demonstration points back.
    """
    hardware = {p.name for p in part_list.parts if p.hardware} if part_list else set()
    left_out = _left_out(transcript, mentions)
    told = _told_operations(transcript, mentions, in_hand, left_out)
    told += _told_sizes(transcript, measures, told, left_out, hardware)
    merged = _merged(sorted(told, key=lambda t: t.at))
    gate = doubtful(measures, findings)
    steps: list[Step] = []
    for item in merged:
        step = _step(transcript, item, measures, mentions, gate)
        if step.text:
            steps.append(step)
    return _pointed_back(steps)


def _left_out(transcript: Transcript, mentions: Mentions) -> frozenset[int]:
    """Give the utterances that went wrong or speak of another day."""
    out = set()
    for number, utterance in enumerate(transcript.utterances):
        begin, end = utterance.span
        for mistake in mentions.mistakes:
            times = (utterance.start_s, mistake.start_s, mistake.end_s)
            during = None not in times and mistake.start_s - 1 <= utterance.start_s < mistake.end_s  # type: ignore[operator]
            if (begin < mistake.span[1] and end > mistake.span[0]) or during:
                out.add(number)
        if any(begin <= promise.span[0] < end for promise in mentions.promises):
            out.add(number)
    return frozenset(out)


def _told_operations(
    transcript: Transcript, mentions: Mentions, in_hand: Sequence[InHand], left_out: frozenset[int]
) -> list[_Told]:
    words = _words()
    held = {item.utterance: item for item in in_hand}
    named = [m for m in mentions.mentions if m.kind == "part"]
    operations = [m for m in mentions.mentions if m.kind == "operation" and m.used]
    told: list[_Told] = []
    for number, utterance in enumerate(transcript.utterances):
        if number in left_out or transcript.text(utterance.span).endswith("?"):
            continue
        for operation in operations:
            if not utterance.span[0] <= operation.span[0] < utterance.span[1]:
                continue
            verb = operation.name.lower()
            if verb in words.not_steps or _only_talk(transcript, utterance.span, operation):
                continue
            for part in _parts_of(operation, utterance.span, held.get(number), named):
                told.append(
                    _Told(
                        operation=_name(transcript, operation, utterance.span),
                        verb=verb,
                        part=part,
                        start_s=operation.start_s if operation.start_s is not None else utterance.start_s,
                        end_s=utterance.end_s,
                        first=number,
                        last=number,
                        at=operation.span[0],
                    )
                )
    return told


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
    return bool(_words().talk.search(clause))


def _name(transcript: Transcript, operation: Mention, span: Span) -> str:
    """Name a step: the usual verb, and what is made by it where that stands close behind."""
    words = _words()
    name = words.names.get(operation.name.lower(), operation.name.lower())
    after = transcript.text((operation.span[1], min(operation.span[1] + 6, span[1])))
    after = re.split(r"[.;:,]", after)[0]
    for word in re.findall(r"[a-z]+", after.lower()):
        if word in words.features and word not in name.split() and len(name.split()) < 5:
            return f"{name.removesuffix(' hole')} {word}"
    return name


def _told_sizes(
    transcript: Transcript,
    measures: Sequence[Measure],
    told: Sequence[_Told],
    left_out: frozenset[int],
    hardware: set[str],
) -> list[_Told]:
    """Find parts whose finished sizes are told while nobody names what is done: they are cut to that size."""
    sizing = _words().sizing
    home = _utterance_of(transcript)
    groups: dict[str, list[list[tuple[int, Measure]]]] = {}
    for measure in measures:
        number = home[measure.span[0]]
        fits = measure.part and measure.role in FINISHED and measure.dimension in SIZES
        if not fits or number in left_out or measure.taken_back or measure.part in hardware:
            continue
        assert measure.part is not None
        runs = groups.setdefault(measure.part, [])
        if runs and _apart(runs[-1][-1][1], measure) <= AGAIN_S:
            runs[-1].append((number, measure))
        else:
            runs.append([(number, measure)])
    found = []
    for part, runs in groups.items():
        for run in runs[:1]:
            first = run[0][1]
            near = any(
                t.part == part and t.verb in sizing and _gap(t.start_s, first.start_s) <= NEAR_S for t in told
            )
            if near:
                continue
            dimensions = {m.dimension for _, m in run}
            name = "cut to length" if dimensions == {"length"} else "cut to size"
            last = run[-1][0] if _apart(first, run[-1][1]) <= NEAR_S else run[0][0]
            found.append(
                _Told(
                    operation=name,
                    verb="cut",
                    part=part,
                    start_s=first.start_s,
                    end_s=transcript.utterances[last].end_s,
                    first=run[0][0],
                    last=last,
                    at=first.span[0],
                )
            )
    return found


def _utterance_of(transcript: Transcript) -> list[int]:
    home = [0] * len(transcript.words)
    for number, utterance in enumerate(transcript.utterances):
        home[utterance.span[0] : utterance.span[1]] = [number] * (utterance.span[1] - utterance.span[0])
    return home


def _apart(one: Measure, other: Measure) -> float:
    if one.start_s is not None and other.start_s is not None:
        return abs(other.start_s - one.start_s)
    return abs(other.span[0] - one.span[0]) / 2.5


def _gap(one: float | None, other: float | None) -> float:
    return abs(one - other) if one is not None and other is not None else 0.0


def _merged(told: Sequence[_Told]) -> list[_Told]:
    """Make one step of sentences that tell the same operation on the same part in a row."""
    merged: list[_Told] = []
    for item in told:
        for number in range(len(merged) - 1, max(-1, len(merged) - 4), -1):
            before = merged[number]
            same = before.part == item.part and before.verb == item.verb
            if same and item.first - before.last <= 4 and _gap(before.start_s, item.start_s) <= AGAIN_S:
                longer = len(item.operation.split()) > len(before.operation.split())
                merged[number] = msgspec.structs.replace(
                    before,
                    operation=item.operation if longer else before.operation,
                    last=max(before.last, item.last),
                    end_s=item.end_s,
                )
                break
        else:
            merged.append(item)
    return merged


def _step(
    transcript: Transcript,
    item: _Told,
    measures: Sequence[Measure],
    mentions: Mentions,
    gate: Mapping[int, str],
) -> Step:
    span = (transcript.utterances[item.first].span[0], transcript.utterances[item.last].span[1])
    inside = [n for n, m in enumerate(measures) if span[0] <= m.span[0] < span[1]]
    mine = tuple(
        n
        for n in inside
        if not measures[n].taken_back
        and measures[n].part in (None, item.part)
        and measures[n].role != "quoted-plan"
    )
    settings = [
        gate.get(n) or write_measure(measures[n].value, measures[n].unit)
        for n in mine
        if "setting" in (measures[n].role, measures[n].dimension)
    ]
    tools = [
        m.name for m in mentions.mentions if m.kind == "tool" and m.used and span[0] <= m.span[0] < span[1]
    ]
    return Step(
        part=item.part,
        operation=item.operation,
        text=clean_text(transcript, span, measures, mentions.repairs, instead=gate),
        span=span,
        tools=tuple(dict.fromkeys(tools)),
        setting=", ".join(dict.fromkeys(settings)),
        measures=tuple(n for n in mine if n not in gate),
        start_s=item.start_s,
        end_s=item.end_s,
    )


def _pointed_back(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Let a step that was shown before point back to where it was shown."""
    shown: dict[tuple[str | None, str], int] = {}
    result: list[Step] = []
    for number, step in enumerate(steps):
        key = (step.part, step.operation)
        before = shown.setdefault(key, number)
        same = before != number and step.part is not None
        result.append(msgspec.structs.replace(step, points_back_to=before) if same else step)
    return tuple(result)
