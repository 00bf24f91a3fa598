"""What only shows once every measure has its first place: repeats, plan values read aloud, stretches that went wrong."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec import structs

from benchscribe.place.bench import Bench, Choice
from benchscribe.place.targets import WITHOUT_PART
from benchscribe.records import Mentions
from benchscribe.spoken.plan import agrees, size_of
from benchscribe.spoken.sums import Sum

_BACK: Final = 3
"""A size said again is looked for among so many measures before."""
_QUOTED_REACH: Final = 40
"""Words between a plan value read aloud and the size that is put in its place."""
_DECLARED: Final = 1.9
_OUTRIGHT: Final = 1.5
_RESTATED: Final = frozenset(
    {
        "call",
        "so",
        "that",
        "that's",
        "is",
        "or",
        "about",
        "just",
        "it",
        "it's",
        "and",
        "uh",
        "um",
        "say",
        "which",
        "well",
        "yeah",
        "again",
    }
)

_SAID_EARLIER: Final = frozenset(
    {
        ("did", "i", "say"),
        ("when", "i", "said"),
        ("think", "i", "said"),
        ("may", "have", "said"),
        ("if", "i", "said"),
    }
)


def settle(chosen: list[Choice], bench: Bench, mentions: Mentions, sums: list[Sum]) -> list[Choice]:
    """Correct single places by what stands around them.

    Args:
        chosen: The place of each measure by the assignment.
        bench: The plan, the words and the cues.
        mentions: For the stretches that went wrong.
        sums: Sums said aloud; their results belong to what they were worked out from.
    """
    result = list(chosen)
    for index in range(len(result)):
        again = _said_before(index, result, bench) or _like_its_chain(index, result, bench)
        if again is not None:
            result[index] = again
    _in_place_of(result, bench)
    _beside_quoted(result, bench)
    for total in sums:
        result[total.result] = _worked_out(total, result, bench)
    _take_back_said_earlier(result, bench)
    _read_aloud(result, bench)
    return _marked(result, bench, mentions)


def _like_its_chain(index: int, result: list[Choice], bench: Bench) -> Choice | None:
    """Give a size that fits nothing the role of its chain: a sheet of "2.4 by 1.2" is stock in both."""
    choice, measure = result[index], bench.measures[index]
    if measure.chain is None or choice.slot is not None or choice.role != "none":
        return None
    for other in (index - 1, index + 1):
        if 0 <= other < len(result) and bench.measures[other].chain == measure.chain:
            mate = result[other]
            if mate.slot is None and mate.role in WITHOUT_PART:
                return structs.replace(choice, part=None, role=mate.role)
    return None


def _worked_out(total: Sum, result: list[Choice], bench: Bench) -> Choice:
    """Give the result of a sum to the part and dimension that it was worked out from."""
    choice, base = result[total.result], result[total.base]
    if choice.slot is not None and (choice.how or bench.contexts[total.result].role.get("declared", 0.0) > 2):
        return choice
    dimension = base.dimension
    if total.kind == "half" and dimension == "diameter":
        dimension = "radius"
    elif total.kind in ("difference", "sum") and total.base != total.result:
        dimension = choice.dimension if choice.dimension not in (None, "other") else dimension
    part = base.part if base.part is not None else choice.part
    return structs.replace(choice, slot=None, part=part, role="derived", dimension=dimension, how="")


def _take_back_said_earlier(result: list[Choice], bench: Bench) -> None:
    """Mark what the maker comes back to: "did I say 12 for the cork, by the way? It's 10"."""
    for index, measure in enumerate(bench.measures):
        before = bench.talk.tokens[max(0, measure.span[0] - 6) : measure.span[0]]
        if not any(before[i : i + 3] in _SAID_EARLIER for i in range(len(before))):
            continue
        result[index] = structs.replace(result[index], role="superseded")
        for other in range(index - 1, -1, -1):
            if size_of(bench.measures[other]) == size_of(measure):
                result[other] = structs.replace(result[other], role="superseded")
                break


def _in_place_of(result: list[Choice], bench: Bench) -> None:
    """Give a size that took the place of one taken back the dimension of that one, where its own words give it none."""
    for index, measure in enumerate(bench.measures):
        new = measure.replaced_by
        old = result[index]
        if not measure.taken_back or new is None or not index < new < len(result) or old.slot is None:
            continue
        if result[new].slot is None and result[new].role == "none":
            slot = bench.slots[old.slot]
            how = agrees(bench.measures[new], slot.listed, bench.part_list.parts[slot.part])
            result[new] = structs.replace(old, role="finished", how=how)


def _beside_quoted(result: list[Choice], bench: Bench) -> None:
    """Give a size that is put in the place of a plan value read aloud the dimension of that value."""
    for index, choice in enumerate(result):
        if choice.slot is None or not choice.how:
            continue
        quoted = bench.contexts[index].role.get("quoted-plan", 0.0) > 0
        here = bench.measures[index]
        for other in (index + 1, index - 1, index + 2, index + 3):
            if not 0 <= other < len(result) or result[other].slot is not None or result[other].role != "none":
                continue
            there = bench.measures[other]
            if not quoted and not _said_otherwise(other, choice, bench):
                continue
            gap = max(there.span[0] - here.span[1], here.span[0] - there.span[1])
            if (
                gap <= _QUOTED_REACH
                and _could_replace(size_of(there), size_of(here))
                and ((there.unit == "degree") == (here.unit == "degree"))
            ):
                result[other] = structs.replace(
                    choice, role="finished", how="", score=max(choice.score, result[other].score)
                )
                break


def _said_otherwise(other: int, choice: Choice, bench: Bench) -> bool:
    """Tell whether a size is declared to stand in the place of the plan's, which was said nearby."""
    declared = bench.declared[other]
    told = max(declared.of("plan-wrong"), declared.of("changed"))
    dimension, weight = bench.contexts[other].best("dimension")
    same = not dimension or weight < _OUTRIGHT or dimension == choice.dimension
    return told >= _DECLARED and same and not {"tool", "feature", "denied"} & set(bench.contexts[other].role)


def _could_replace(new: Fraction, old: Fraction) -> bool:
    return bool(old) and new != old and Fraction(3, 5) < new / old < Fraction(5, 3)


def _read_aloud(result: list[Choice], bench: Bench) -> None:
    """Mark a plan value that is read aloud just before another value is put in its place."""
    for index, choice in enumerate(result):
        quoted = bench.contexts[index].role.get("quoted-plan", 0.0)
        if choice.slot is None or not choice.how or not quoted:
            continue
        begin = bench.measures[index].span[1]
        for later in range(index + 1, min(index + 6, len(result))):
            if bench.measures[later].span[0] - begin > 60:
                break
            if result[later].slot == choice.slot and not result[later].how:
                result[index] = structs.replace(choice, role="quoted-plan")
                break


def _said_before(index: int, result: list[Choice], bench: Bench) -> Choice | None:
    """Give a size that was said just before the same place, where its own words give it none."""
    choice, measure = result[index], bench.measures[index]
    if choice.slot is not None and choice.how:
        return None
    for back in range(index - 1, max(-1, index - 1 - _BACK), -1):
        before = bench.measures[back]
        same = size_of(before) == size_of(measure) and (before.unit == "degree") == (measure.unit == "degree")
        between = bench.talk.tokens[before.span[1] : measure.span[0]]
        restated = (
            back == index - 1 and len(between) <= 4 and all(w in _RESTATED for w in between) and bool(between)
        )
        near = size_of(before) and abs(size_of(before) - size_of(measure)) / size_of(before) < 0.02
        if (same and choice.role in ("none", "finished", "setting") and len(between) < 40) or (
            restated and near
        ):
            old = result[back]
            if old.slot is not None or old.role in ("tool", "rough", "feature"):
                return structs.replace(old, score=max(old.score, choice.score))
    return None


def _marked(result: list[Choice], bench: Bench, mentions: Mentions) -> list[Choice]:
    marked = []
    for choice, measure in zip(result, bench.measures, strict=True):
        inside = any(m.span[0] <= measure.span[0] < m.span[1] for m in mentions.mistakes)
        if measure.taken_back:
            marked.append(structs.replace(choice, role="taken-back"))
        elif inside and choice.role != "tool":
            marked.append(structs.replace(choice, role="mistake"))
        else:
            marked.append(choice)
    return marked
