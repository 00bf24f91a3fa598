"""Give the measures of one breath to the sizes of the plan, or to sinks: an exact assignment.

Each size of a part can be taken once in a breath; sinks (a tool, a setting, a rough size ...) can be taken by any number of measures.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final

from msgspec import Struct, structs

from benchscribe.place.cues import Context
from benchscribe.records import Dimension, Measure, PartList, Role
from benchscribe.spoken.language import Declared
from benchscribe.spoken.plan import Slot, agrees, commonness, is_angle, size_of
from benchscribe.spoken.words import Talk

WITHOUT_PART: Final[frozenset[str]] = frozenset(
    {
        "tool",
        "step",
        "stock",
        "nominal",
        "hardware",
        "overall",
        "comparison",
        "constant",
        "allowance",
        "check",
    }
)
"""Sinks that belong to no part; the others belong to the part in hand."""
_OFTEN_THE_PART: Final = frozenset({"stock", "nominal", "overall", "hardware", "rough", "check"})
"""Sinks that give way where the size is one of the part in hand: "3/4 stock" is how thick it is."""
_SINK_ROLE: Final[dict[str, Role]] = {
    "step": "setting",
    "constant": "none",
    "finished": "none",
    "denied": "comparison",
    "": "none",
}
_BASE: Final = 0.6
"""What a size must earn before it is taken for a size of the plan rather than for nothing in particular."""
_APART: Final = ((0.03, 0.1), (0.065, -0.2), (0.1, -0.9), (0.2, -1.7), (0.45, -3.2))
"""How much a difference from the listed size costs, by its logarithm: slips stay mostly within a few percent."""
_HOPELESS: Final = -6.0
_NEVER_LISTED: Final = 0.7
"""Price, for its weight, of a word for a dimension that lists seldom give: a size said as "deep" or "apart" is mostly no listed one."""
_HAND_COUNTS: Final = 2.0
"""Weight of the chance of the part in hand beside the fits of the sizes."""
_OTHER_PART: Final = 1.0
"""Price of a size of another part than the one in hand."""
_TOLD: Final = 2.4
"""Weight of a declaration from which half, double and complement are tried."""
_DENIED: Final = 9.0
"""Price of a size that was only named to be denied: "7 wide, not 7 1/4"."""
_SAID_OF_IT: Final = 2.0
"""Weight of a word for a dimension ("long") that is said of the size itself."""
_SAID_OUTRIGHT: Final = 1.8
"""What a size earns by being said of a named part and dimension in one sentence."""
_FAR_OFF: Final = -3.2
"""Most that the difference costs a size whose plan was called wrong and whose dimension was said."""
_RIGHT_ANGLES: Final = (90, 180, 360)
"""Angles that are mostly named to count from."""
_HELD: Final = 0.4
"""A size that is none of the list's belongs to the part in hand only where that is at least so likely."""
_TINY: Final = Fraction(105, 100)
"""Millimetres: what is no larger and no size of the list is how well something fits, and belongs to no part."""
_ALIKE: Final[dict[str, frozenset[str]]] = {
    "length": frozenset({"height", "width", "depth"}),
    "height": frozenset({"length", "width", "depth"}),
    "width": frozenset({"depth", "height", "diameter", "length"}),
    "depth": frozenset({"width", "thickness"}),
    "diameter": frozenset({"width", "thickness"}),
    "thickness": frozenset({"depth"}),
}
"""Dimensions that talk calls by each other's words: a leg is as "high" as it is long, a disc as "wide" as its diameter."""


class Choice(Struct, frozen=True):
    """Where one measure might go."""

    score: float
    slot: int | None
    """Index into the slots; None for a sink."""
    part: int | None
    role: Role
    dimension: Dimension | None
    how: str
    """How the value agrees with the slot; empty where it does not."""


class Bench(Struct, frozen=True):
    """All that the assignment looks at."""

    talk: Talk
    measures: tuple[Measure, ...]
    contexts: list[Context]
    part_list: PartList
    slots: tuple[Slot, ...]
    of_part: tuple[tuple[int, ...], ...]
    """The slots of each part."""
    declared: tuple[Declared, ...]
    """What is declared around each measure."""
    heard: frozenset[int] = frozenset()
    """Slots whose own value was said, by a first look over the whole talk."""
    mates: frozenset[tuple[int, int]] = frozenset()
    """Measure and part, where other sizes of that part were said in the same breath."""


def choices_for(index: int, chances: Mapping[int | None, float], bench: Bench) -> list[Choice]:
    """List where a measure might go, best first.

    Args:
        index: Of the measure.
        chances: How likely each part is in hand (None: no part), the likely ones only.
        bench: The plan, the words and the cues.
    """
    measure, context = bench.measures[index], bench.contexts[index]
    chain = [
        m
        for m in bench.measures[max(0, index - 3) : index + 4]
        if m.chain is not None and m.chain == measure.chain
    ]
    found: list[Choice] = []
    for part in chances:
        if part is None:
            continue
        for place, number in enumerate(bench.of_part[part]):
            slot = bench.slots[number]
            if is_angle(slot.listed.unit) != is_angle(measure.unit):
                continue
            score, how = _fit(index, slot, bench, len(chain), place)
            if not how:
                score += _unlike(index, number, bench) - (_DENIED if "denied" in context.role else 0.0)
            if score > _HOPELESS:
                found.append(Choice(score, number, part, _role(context, how), slot.dimension, how))
    found.extend(_sinks(measure, context, chances, bench))
    return sorted(found, key=lambda c: -c.score)


def _role(context: Context, how: str) -> Role:
    if context.role.get("setting", 0.0) >= 2.4:
        return "setting"
    if how and "denied" in context.role:
        return "quoted-plan"
    return "finished" if how or context.role.get("quoted-plan", 0.0) < 2 else "quoted-plan"


def _unlike(index: int, number: int, bench: Bench) -> float:
    """Score what speaks for a size of the plan that was said otherwise, or that the plan leaves open.

    Every size of a plan is said about once: one that has not been heard waits for its measure, more so when the other sizes of the part
    are said in the same breath; and what is declared ("the sheet is wrong", "I've gone up to") speaks for it outright.
    """
    slot, declared = bench.slots[number], bench.declared[index]
    score = -0.7 if number in bench.heard else 0.7
    if (index, slot.part) in bench.mates:
        score += 0.7
    told = max(declared.of("plan-wrong"), declared.of("changed"))
    name, weight = bench.contexts[index].best("dimension")
    of_another = weight >= _SAID_OF_IT and name != slot.dimension
    if told >= _TOLD and not of_another and _related(index, slot, bench):
        score += 6.0
    own = bench.contexts[index].dimension.get(slot.dimension, 0.0)
    if told >= _TOLD and own >= _SAID_OF_IT and slot.value:
        # What is called wrong may be far off; the dimension said outright must then carry it.
        score += max(0.0, _FAR_OFF - _closeness(bench.measures[index], slot, ""))
    if own >= _SAID_OF_IT and bench.contexts[index].named == bench.part_list.parts[slot.part].name:
        # "My bell stand is 75 long": nothing but the value speaks against the size of that very part.
        _, elsewhere = _strongest_sink(bench.contexts[index])
        score += _SAID_OUTRIGHT if elsewhere < _SAID_OF_IT else 0.0
    if slot.value is None:
        return (
            score
            + 0.7 * min(declared.of("supplied"), 3.5)
            + _proportion(size_of(bench.measures[index]), slot, bench)
        )
    return score + 0.6 * min(told, 3.5)


def _strongest_sink(context: Context) -> tuple[str, float]:
    """Give the role, other than being the finished size, that the words speak for most."""
    found = [(n, w) for n, w in context.role.items() if n not in ("finished", "declared", "quoted-plan")]
    return max(found, key=lambda pair: pair[1], default=("", 0.0))


def _proportion(said: Fraction, slot: Slot, bench: Bench) -> float:
    """Score whether a size can be the open one: a length is no less than the width, a thickness no more."""
    others = {
        s.dimension: s.value
        for s in (bench.slots[n] for n in bench.of_part[slot.part])
        if s.value and not s.listed.feature
    }
    if slot.dimension == "length":
        least = max(
            (others[d] for d in ("width", "thickness", "diameter") if d in others), default=Fraction(0)
        )
        return -4.0 if said < least * Fraction(1, 2) else 0.0
    if slot.dimension == "thickness":
        most = min((others[d] for d in ("width", "length", "diameter") if d in others), default=None)
        return -4.0 if most is not None and said > most else 0.0
    if slot.dimension == "width":
        return -4.0 if "thickness" in others and said < others["thickness"] else 0.0
    return 0.0


def _related(index: int, slot: Slot, bench: Bench) -> bool:
    """Tell whether a size is what a plan is mostly wrong by: half, double, or the angle from the other face.

    Where another size of the same part is near, it is that one which was said otherwise.
    """
    value, said = slot.value, size_of(bench.measures[index])
    if not value:
        return False
    if is_angle(slot.listed.unit):
        return said in (value / 2, value * 2, 90 - value)
    near = any(
        _closeness(bench.measures[index], bench.slots[n], "") > _FAR_OFF
        for n in bench.of_part[slot.part]
        if bench.slots[n].value and not is_angle(bench.slots[n].listed.unit)
    )
    return said in (value / 2, value * 2) and not near


def _fit(index: int, slot: Slot, bench: Bench, chain_length: int, place: int) -> tuple[float, str]:
    """Score one measure against one listed size."""
    measure, context = bench.measures[index], bench.contexts[index]
    how = agrees(measure, slot.listed, bench.part_list.parts[slot.part])
    score = _closeness(measure, slot, how)
    score += _dimension_words(context, slot)
    score += max(0.5 * context.role.get("finished", 0.0), 0.45 * context.role.get("declared", 0.0))
    score += 0.4 if context.role.get("quoted-plan") else 0.0
    setting = context.role.get("setting", 0.0)
    if setting and (how or _closeness(measure, slot, how) > -0.5):
        # A fence or a stop is set to the size that the part is going to have.
        score += 0.9 * setting
    if measure.chain is not None and chain_length > 1 and measure.chain_position is not None:
        score += 0.6 if measure.chain_position == place else 0.0
        score += 0.3
    if slot.listed.feature:
        words = bench.talk.tokens[max(0, measure.span[0] - 14) : measure.span[1] + 8]
        score += 0.8 if slot.listed.feature in words or slot.listed.feature + "s" in words else -2.5
        score -= 0.5 * context.role.get("tool", 0.0)
    if slot.listed.rough:
        score -= 0.3
    return score, how


def _closeness(measure: Measure, slot: Slot, how: str) -> float:
    if how:
        rare = 0.6 - 0.6 * math.log(commonness(measure.value, measure.unit))
        return rare if how == "exact" else 0.8 * rare
    value, said = slot.value, size_of(measure)
    if value is None:
        return -0.6
    if not value or not said:
        return -8.0
    apart = abs(math.log(float(said / value)))
    return next((score for limit, score in _APART if apart < limit), -8.0)


def _dimension_words(context: Context, slot: Slot) -> float:
    if not context.dimension:
        return 0.0
    own = context.dimension.get(slot.dimension, 0.0)
    if own:
        return 0.7 * own
    name, weight = context.best("dimension")
    if slot.dimension in _ALIKE.get(name, frozenset()):
        return 0.15 * weight if slot.dimension == "length" and name == "height" else -0.25 * weight
    return (-_NEVER_LISTED if name in ("radius", "depth", "spacing") else -0.6) * weight


def _sinks(
    measure: Measure, context: Context, chances: Mapping[int | None, float], bench: Bench
) -> list[Choice]:
    likely = max(chances, key=lambda p: chances[p], default=None)
    if is_angle(measure.unit) and measure.value in _RIGHT_ANGLES:
        return [Choice(_BASE + 1.0, None, None, "none", "angle", "")]
    if not is_angle(measure.unit) and size_of(measure) <= _TINY:
        likely = None
    if likely is not None and chances[likely] < _HELD:
        likely = None
    fits = likely is not None and any(
        agrees(measure, bench.slots[n].listed, bench.part_list.parts[likely]) for n in bench.of_part[likely]
    )
    sinks = [Choice(_BASE, None, likely, "none", _sink_dimension(measure, context, likely, bench, ""), "")]
    for name, weight in context.role.items():
        if name in ("finished", "quoted-plan", "declared"):
            continue
        role: Role = _SINK_ROLE.get(name, name)  # type: ignore[arg-type]
        part = None if role in WITHOUT_PART else likely
        dimension = _sink_dimension(measure, context, likely, bench, name)
        gives_way = 1.4 if fits and name in _OFTEN_THE_PART else 0.0
        sinks.append(Choice(_BASE + weight - 0.6 - gives_way, None, part, role, dimension, ""))
    return sinks


def _sink_dimension(
    measure: Measure, context: Context, part: int | None, bench: Bench, name: str
) -> Dimension:
    if is_angle(measure.unit):
        return "angle"
    cue, weight = context.best("dimension")
    if cue and weight >= 1.5:
        return cue  # type: ignore[return-value]
    if name == "rough" and part is not None:
        # What is roughed out is a little larger than the size it is going to have.
        said = size_of(measure)
        larger = [
            (float(said / s.value), s.dimension)
            for s in (bench.slots[n] for n in bench.of_part[part])
            if s.value and not is_angle(s.listed.unit) and 1 < said / s.value < 1.6
        ]
        if larger:
            return min(larger)[1]
        blank = [s.dimension for s in (bench.slots[n] for n in bench.of_part[part]) if s.value is None]
        if len(blank) == 1:
            return blank[0]
    if name in ("tool", "hardware"):
        return "diameter"
    if name in ("setting", "step"):
        return "setting"
    return "other"


def assign(
    options: Sequence[list[Choice]],
    chances: Mapping[int | None, float],
    chains: Sequence[int | None],
    *,
    together: bool = True,
) -> list[Choice]:
    """Pick one choice for each measure of a breath, no listed size twice, with the greatest sum.

    Each likely part is tried as the one in hand; a size of another part can be taken at a price.

    Args:
        options: Each measure's choices, best first.
        chances: How likely each part is in hand in this breath.
        chains: Number of the chain that each measure stands in; None for one by itself.
        together: False lets each measure have its own best.
    """
    best: tuple[float, list[Choice]] = (-math.inf, [])
    for part, chance in chances.items():
        open_to = [_seen_from(part, choices, chances) for choices in options]
        picked = _exact(open_to, chains) if together else [choices[0] for choices in open_to]
        total = _HAND_COUNTS * math.log(chance + 1e-3) + sum(choice.score for choice in picked)
        if total > best[0]:
            best = (total, picked)
    return best[1]


def _seen_from(part: int | None, choices: list[Choice], chances: Mapping[int | None, float]) -> list[Choice]:
    """Give the choices of a measure while a part is in hand: its own as they are, those of other parts at a price."""
    seen = []
    for choice in choices:
        if choice.slot is None:
            moved = (
                choice
                if choice.role in WITHOUT_PART or choice.part is None
                else structs.replace(choice, part=part)
            )
            if part is None and choice.role not in WITHOUT_PART:
                moved = structs.replace(moved, part=None, score=choice.score - 0.3)
            seen.append(moved)
        elif choice.part == part:
            seen.append(choice)
        else:
            price = _OTHER_PART - math.log(chances[choice.part] + 1e-3) * 0.5
            seen.append(structs.replace(choice, score=choice.score - price))
    return sorted(seen, key=lambda c: -c.score)


def _exact(options: Sequence[list[Choice]], chains: Sequence[int | None]) -> list[Choice]:
    best = [choices[0] for choices in options]
    if not _clash(best, chains):
        return best
    import numpy as np
    from scipy.optimize import linear_sum_assignment

    columns = sorted({c.slot for choices in options for c in choices if c.slot is not None})
    place = {slot: column for column, slot in enumerate(columns)}
    cost = np.full((len(options), len(columns) + len(options)), 1e6)
    pick: dict[tuple[int, int], Choice] = {}
    for row, choices in enumerate(options):
        for choice in choices:
            column = len(columns) + row if choice.slot is None else place[choice.slot]
            if -choice.score < cost[row, column]:
                cost[row, column] = -choice.score
                pick[row, column] = choice
    rows, chosen = linear_sum_assignment(cost)
    return [pick[int(row), int(column)] for row, column in zip(rows, chosen, strict=True)]


def _clash(picked: list[Choice], chains: Sequence[int | None]) -> bool:
    """Tell whether two measures claim one size. Said twice and agreeing both times, they may: "a quarter, well, .219"."""
    claims: dict[int, list[int]] = {}
    for index, choice in enumerate(picked):
        if choice.slot is not None:
            claims.setdefault(choice.slot, []).append(index)
    for rows in claims.values():
        in_chains = [chains[i] for i in rows if chains[i] is not None]
        agreeing = all(picked[i].how for i in rows)
        if len(rows) > 1 and not (agreeing and len(in_chains) == len(set(in_chains))):
            return True
    return False
