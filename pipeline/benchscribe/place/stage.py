"""Place every measure: which part, which dimension, in which role."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from fractions import Fraction
from heapq import nsmallest
from math import log
from typing import Any, Final

from msgspec import structs

from benchscribe.place.assign import choices_of, likeliest
from benchscribe.place.bench import Bench, Choice
from benchscribe.place.cues import contexts_of
from benchscribe.place.finish import reread, shared
from benchscribe.place.hand import Hands, follow, moves_of
from benchscribe.place.options import ALL_ON, Placed, Switches
from benchscribe.place.score import Weighed, evidence_of, shares_of, sums_of, weighed
from benchscribe.place.segments import Segment, segments_of
from benchscribe.place.settle import settle
from benchscribe.place.targets import Evidence
from benchscribe.place.weights import load_weights
from benchscribe.place.wording import why_of
from benchscribe.records import InHand, Measure, Mentions, PartList, RunnerUp, TradeNumber, Transcript
from benchscribe.spoken.language import Language
from benchscribe.spoken.plan import commonness, is_angle, plain, size_of, slots_of
from benchscribe.spoken.sums import find_sums
from benchscribe.spoken.words import talk_of

_LIKELY: Final = 0.01
"""A part less likely than this to be in hand is not tried."""
_TRIED: Final = 6
_A_PART: Final = 0.6
"""A word means a part of the list where its mention is at least so sure."""
_MOST_PARTS: Final = 250
_NAME_COUNTS: Final = 5.0
"""What a sure name counts beside sizes that fit, where a long list is cut to what is spoken of."""
_EMPTY: Final = PartList(file="", parts=(), units="inch", units_why="")


def place(
    transcript: Transcript,
    measures: tuple[Measure, ...],
    trade_numbers: tuple[TradeNumber, ...],
    mentions: Mentions,
    part_list: PartList | None,
    *,
    switches: Switches = ALL_ON,
    weights: Mapping[str, float] | None = None,
) -> Placed:
    """Say which part and which of its dimensions every measure speaks of, in which role, how sure, and why.

    Every place that a measure might have is weighed by what speaks for it, chains of sizes being laid over the sizes of each part by an
    exact assignment (`targets.py`); a hidden Markov model follows the part in hand through the talk (`hand.py`); the likeliest place of
    each measure, summed over the parts that may be in hand, is its place (`assign.py`).

    Args:
        transcript: The words.
        measures: In order of place.
        trade_numbers: Numbers that are no sizes of parts.
        mentions: Names of parts and tools; stretches that went wrong.
        part_list: The plan; None where there is none, and then no measure has a part.
        switches: Pieces to leave out, for a benchmark.
        weights: Of the features; None for those that the package carries.

    Returns:
        The same measures in the same order, placed, and the part in hand for every utterance.
    """
    if not switches.names:
        mentions = structs.replace(mentions, mentions=tuple(m for m in mentions.mentions if m.kind != "part"))
    plan = spoken_of(part_list or _EMPTY, measures, mentions)
    weights = weights or load_weights()
    bench, segments = lay_out(transcript, measures, trade_numbers, mentions, plan)
    evidence = Evidence(bench, together=switches.assignment)
    parts = len(plan.parts)
    heard = [weighed(evidence.targets(i), weights) for i in range(len(measures))]
    bought = [p.hardware for p in plan.parts]
    sums = [sums_of(one, bought) for one in heard]
    moves = moves_of([s.move for s in segments], bought, weights)
    hands = follow(evidence_of(segments, sums, parts, weights), moves, sequence=switches.sequence)
    home = _segment_of(segments, measures)
    options = _options(bench, heard, sums, hands, home)
    chosen = [likeliest(choices, weights.get("none-counts", 1.0)) for choices in options]
    chosen = settle(chosen, bench, mentions, find_sums(bench.talk, measures))
    bench, chosen = reread(chosen, options, bench)
    in_hand = _in_hand(transcript, segments, hands, plan)
    placed = []
    for index, measure in enumerate(bench.measures):
        written = _written(measure, chosen[index], options[index], bench, index)
        hand = in_hand[bench.talk.utterance_of[measure.span[0]]]
        placed.append(structs.replace(written, also_parts=shared(written, hand, bench)))
    return Placed(tuple(placed), in_hand)


def spoken_of(plan: PartList, measures: tuple[Measure, ...], mentions: Mentions) -> PartList:
    """Keep of a long list the parts that the talk can be about: those named, and those with the rarest sizes that were said.

    Nobody speaks of hundreds of parts in one episode, and every part costs time and memory in every passage.
    """
    if len(plan.parts) <= _MOST_PARTS:
        return plan
    named: dict[str, float] = {}
    for mention in mentions.mentions:
        if mention.kind == "part":
            named[mention.name] = named.get(mention.name, 0.0) + mention.confidence
    said: dict[tuple[Fraction, bool], float] = {}
    for measure in measures:
        key = (size_of(measure), is_angle(measure.unit))
        said[key] = max(said.get(key, 0.0), -log(commonness(measure.value, measure.unit)))
    worth = []
    for index, part in enumerate(plan.parts):
        fits = sum(
            said.get((plain(one.value, one.unit), is_angle(one.unit)), 0.0)
            for one in part.listed
            if one.value is not None
        )
        worth.append((-_NAME_COUNTS * named.get(part.name, 0.0) - fits, index))
    kept = sorted(index for _, index in nsmallest(_MOST_PARTS, worth))
    return structs.replace(plan, parts=tuple(plan.parts[i] for i in kept))


def lay_out(
    transcript: Transcript,
    measures: tuple[Measure, ...],
    trade_numbers: tuple[TradeNumber, ...],
    mentions: Mentions,
    plan: PartList,
) -> tuple[Bench, list[Segment]]:
    """Gather all that placement looks at, and cut the talk into passages."""
    talk = talk_of(transcript, mentions.repairs)
    segments = segments_of(transcript, talk, measures, mentions, plan)
    slots = slots_of(plan)
    language = Language(talk)
    of_part: list[list[int]] = [[] for _ in plan.parts]
    for number, slot in enumerate(slots):
        of_part[slot.part].append(number)
    bench = Bench(
        talk,
        measures,
        contexts_of(talk, measures, trade_numbers, mentions),
        plan,
        slots,
        tuple(map(tuple, of_part)),
        tuple(language.around(m.span) for m in measures),
        things=_words_of(mentions, ("tool", "hardware", "material")),
        parts_at=_words_of(mentions, ("part",)),
        namings=_namings(mentions, plan),
    )
    return bench, segments


def _namings(mentions: Mentions, plan: PartList) -> tuple[tuple[tuple[int, float], ...], ...]:
    number = {part.name: index for index, part in enumerate(plan.parts)}
    found: list[list[tuple[int, float]]] = [[] for _ in plan.parts]
    for mention in mentions.mentions:
        if mention.kind == "part" and mention.name in number:
            found[number[mention.name]].append((mention.span[0], mention.confidence))
    return tuple(tuple(sorted(places)) for places in found)


def _words_of(mentions: Mentions, kinds: tuple[str, ...]) -> frozenset[int]:
    return frozenset(
        i
        for m in mentions.mentions
        if m.kind in kinds and (m.kind != "part" or m.confidence >= _A_PART)
        for i in range(*m.span)
    )


def _options(
    bench: Bench, heard: list[Weighed], sums: list[Any], hands: Hands, home: list[int]
) -> list[list[Choice]]:
    bought = [p.hardware for p in bench.part_list.parts]
    return [
        choices_of(shares_of(one, _chances(hands, home[i], len(bought)), sums[i], bought), i, bench)
        for i, one in enumerate(heard)
    ]


def _segment_of(segments: list[Segment], measures: tuple[Measure, ...]) -> list[int]:
    starts = [segment.start for segment in segments]
    return [bisect_right(starts, measure.span[0]) - 1 for measure in measures]


def _chances(hands: Hands, row: int, parts: int) -> dict[int | None, float]:
    """Give the likely parts of a passage; None stands for no part."""
    chances: Any = hands.posterior[row]
    order = sorted(range(parts + 1), key=lambda p: -chances[p])[:_TRIED]
    return {(p if p < parts else None): float(chances[p]) for p in order if chances[p] >= _LIKELY}


def _written(measure: Measure, choice: Choice, options: list[Choice], bench: Bench, index: int) -> Measure:
    part = None if choice.part is None else bench.part_list.parts[choice.part].name
    slot = None if choice.slot is None else bench.slots[choice.slot]
    listed = slot.listed if slot else None
    if choice.role == "tool":
        verdict = "tool-size"
    elif part is None:
        verdict = "no-part"
    elif listed is None or listed.value is None:
        verdict = "not-listed"
    else:
        verdict = "agrees" if choice.how else "disagrees"
    others = [o for o in options if not _same(o, choice)][:3]
    return structs.replace(
        measure,
        part=part,
        dimension=choice.dimension,
        role=choice.role,
        verdict=verdict,
        listed=listed.value if listed else None,
        listed_unit=listed.unit if listed and listed.value is not None else None,
        confidence=round(min(1.0, sum(o.score for o in options if _same(o, choice)) or choice.score), 3),
        why=why_of(choice, bench, index),
        runners_up=tuple(
            RunnerUp(
                None if o.part is None else bench.part_list.parts[o.part].name,
                o.dimension,
                round(o.score, 3),
            )
            for o in others
        ),
    )


def _same(one: Choice, other: Choice) -> bool:
    return (one.part, one.slot, one.dimension) == (other.part, other.slot, other.dimension)


def _in_hand(
    transcript: Transcript, segments: list[Segment], hands: Hands, plan: PartList
) -> tuple[InHand, ...]:
    """Give the part in hand during each utterance: the one held for most of its words, then others named outright."""
    held: list[dict[int, float]] = [{} for _ in transcript.utterances]
    sure: list[dict[int, float]] = [{} for _ in transcript.utterances]
    named: list[list[int]] = [[] for _ in transcript.utterances]
    none = len(plan.parts)
    for row, segment in enumerate(segments):
        state, words = hands.path[row], segment.end - segment.start
        table = held[segment.utterance]
        table[state] = table.get(state, 0.0) + words
        sure[segment.utterance][state] = max(
            sure[segment.utterance].get(state, 0.0), float(hands.posterior[row][state])
        )
        named[segment.utterance].extend(
            n.part for n in segment.namings if not n.aside and n.confidence >= 0.6
        )
    result = []
    for number, utterance in enumerate(transcript.utterances):
        order = sorted(held[number], key=lambda p: -held[number][p])
        order += [p for p in named[number] if p not in order]
        first = order[0] if order else none
        result.append(
            InHand(
                utterance=number,
                parts=tuple(dict.fromkeys(plan.parts[p].name for p in order if p != none)),
                confidence=round(sure[number].get(first, 0.0), 3),
                start_s=utterance.start_s,
                end_s=utterance.end_s,
            )
        )
    return tuple(result)
