"""Place every measure: which part, which dimension, in which role."""

from __future__ import annotations

from bisect import bisect_right
from typing import Any, Final

from msgspec import structs

from benchscribe.place.assign import Bench, Choice, assign, choices_for
from benchscribe.place.cues import contexts_of
from benchscribe.place.finish import reread, shared
from benchscribe.place.hand import Hands, follow
from benchscribe.place.options import ALL_ON, Placed, Switches
from benchscribe.place.segments import Segment, segments_of
from benchscribe.place.settle import settle
from benchscribe.place.wording import why_of
from benchscribe.records import InHand, Measure, Mentions, PartList, RunnerUp, TradeNumber, Transcript
from benchscribe.spoken.language import Language
from benchscribe.spoken.plan import size_of, slots_of
from benchscribe.spoken.sums import find_sums
from benchscribe.spoken.words import talk_of

_LIKELY: Final = 0.04
"""A part less likely than this is not tried."""
_TRIED: Final = 4
_LONGEST_BREATH: Final = 12
_EMPTY: Final = PartList(file="", parts=(), units="inch", units_why="")


def place(
    transcript: Transcript,
    measures: tuple[Measure, ...],
    trade_numbers: tuple[TradeNumber, ...],
    mentions: Mentions,
    part_list: PartList | None,
    *,
    switches: Switches = ALL_ON,
) -> Placed:
    """Say which part and which of its dimensions every measure speaks of, in which role, how sure, and why.

    A hidden Markov model follows the part in hand through the talk (`hand.py`); within a breath, an exact assignment gives measures to
    the sizes of the likely parts or to sinks such as a tool's size (`assign.py`).

    Args:
        transcript: The words.
        measures: In order of place.
        trade_numbers: Numbers that are no sizes of parts.
        mentions: Names of parts and tools; stretches that went wrong.
        part_list: The plan; None where there is none, and then no measure has a part.
        switches: Pieces to leave out, for a benchmark.

    Returns:
        The same measures in the same order, placed, and the part in hand for every utterance.
    """
    plan = part_list or _EMPTY
    talk = talk_of(transcript, mentions.repairs)
    segments = segments_of(transcript, talk, measures, mentions, plan)
    contexts = contexts_of(talk, measures, trade_numbers, mentions)
    slots = slots_of(plan)
    language = Language(talk)
    declared = tuple(language.around(m.span) for m in measures)
    hands = follow(segments, measures, contexts, plan, slots, switches)
    of_part: list[list[int]] = [[] for _ in plan.parts]
    for number, slot in enumerate(slots):
        of_part[slot.part].append(number)
    bench = Bench(
        talk,
        measures,
        contexts,
        plan,
        slots,
        tuple(map(tuple, of_part)),
        declared,
    )
    home = _segment_of(segments, measures)
    chances = [_chances(hands, home[i], len(plan.parts)) for i in range(len(measures))]
    breaths = _breaths(home, measures)
    options, chosen = _choose(bench, chances, breaths, switches)
    bench = _heard(bench, chosen, breaths)
    options, chosen = _choose(bench, chances, breaths, switches)
    chosen = settle(chosen, bench, mentions, find_sums(talk, measures))
    bench, chosen = reread(chosen, bench)
    in_hand = _in_hand(transcript, segments, hands, plan)
    placed = []
    for index, measure in enumerate(bench.measures):
        written = _written(measure, chosen[index], options[index], bench, index)
        hand = in_hand[talk.utterance_of[measure.span[0]]]
        placed.append(structs.replace(written, also_parts=shared(written, hand, bench)))
    return Placed(tuple(placed), in_hand)


def _choose(
    bench: Bench, chances: list[dict[int | None, float]], breaths: list[list[int]], switches: Switches
) -> tuple[list[list[Choice]], list[Choice]]:
    options = [choices_for(i, chances[i], bench) for i in range(len(bench.measures))]
    chosen: list[Choice] = []
    for group in breaths:
        chains = [bench.measures[i].chain for i in group]
        chosen.extend(
            assign([options[i] for i in group], chances[group[0]], chains, together=switches.assignment)
        )
    return options, chosen


def _heard(bench: Bench, chosen: list[Choice], breaths: list[list[int]]) -> Bench:
    """Note what a first look found: sizes of the plan that were said as listed, and parts whose sizes stand together."""
    heard = frozenset(
        c.slot
        for c, context in zip(chosen, bench.contexts, strict=True)
        if c.slot is not None and c.how and not context.role.get("quoted-plan")
    )
    mates = set()
    for group in breaths:
        exact = {i: chosen[i].part for i in group if chosen[i].how}
        mates |= {(i, part) for i in group for j, part in exact.items() if j != i and part is not None}
    return structs.replace(bench, heard=heard, mates=frozenset(mates))


def _segment_of(segments: list[Segment], measures: tuple[Measure, ...]) -> list[int]:
    starts = [segment.start for segment in segments]
    return [bisect_right(starts, measure.span[0]) - 1 for measure in measures]


def _chances(hands: Hands, row: int, parts: int) -> dict[int | None, float]:
    """Give the likely parts of a passage; None stands for no part."""
    chances: Any = hands.posterior[row]
    order = sorted(range(parts + 1), key=lambda p: -chances[p])[:_TRIED]
    return {(p if p < parts else None): float(chances[p]) for p in order if chances[p] >= _LIKELY}


def _breaths(home: list[int], measures: tuple[Measure, ...]) -> list[list[int]]:
    """Group the measures of one passage; a size said again in it begins another breath."""
    groups: list[list[int]] = []
    for index, measure in enumerate(measures):
        last = groups[-1][-1] if groups else None
        if (
            last is None
            or home[last] != home[index]
            or measures[last].taken_back
            or len(groups[-1]) >= _LONGEST_BREATH
            or any(_said_again(measures[i], measure) for i in groups[-1])
        ):
            groups.append([index])
        else:
            groups[-1].append(index)
    return groups


def _said_again(before: Measure, measure: Measure) -> bool:
    if (before.unit == "degree") != (measure.unit == "degree") or size_of(before) != size_of(measure):
        return False
    return before.chain is None or before.chain != measure.chain


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
    others = [
        o for o in options if (o.part, o.slot, o.dimension) != (choice.part, choice.slot, choice.dimension)
    ][:3]
    total = 1.0 + sum(_odds(option, choice) for option in others)
    return structs.replace(
        measure,
        part=part,
        dimension=choice.dimension,
        role=choice.role,
        verdict=verdict,
        listed=listed.value if listed else None,
        listed_unit=listed.unit if listed and listed.value is not None else None,
        confidence=round(1.0 / total, 3),
        why=why_of(choice, bench, index),
        runners_up=tuple(
            RunnerUp(
                None if o.part is None else bench.part_list.parts[o.part].name,
                o.dimension,
                round(_odds(o, choice) / total, 3),
            )
            for o in others
        ),
    )


def _odds(option: Choice, choice: Choice) -> float:
    from math import exp

    return exp(max(-30.0, min(30.0, option.score - choice.score)))


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
