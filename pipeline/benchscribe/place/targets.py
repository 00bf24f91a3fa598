"""Every place that a measure might have, and what speaks for it: features with names, weighed by `weights.toml`.

A target is a size of the plan, or something that the list gives no size for: of the part in hand, of another part named beside it, or of
no part at all (a tool, the stock, something to compare with). Which part is in hand is not looked at here; `hand.py` weighs that.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections import defaultdict
from fractions import Fraction
from itertools import permutations
from typing import Final, Literal

from msgspec import Struct

from benchscribe.place.bench import Bench
from benchscribe.place.cues import Context
from benchscribe.place.features import (
    Features,
    open_size,
    said_dimension,
    said_role,
    slot_itself,
    slot_role,
    surroundings,
)
from benchscribe.records import Measure, Role
from benchscribe.spoken.plan import Slot, agrees, commonness, is_angle, size_of

WITHOUT_PART: Final[frozenset[str]] = frozenset(
    {"tool", "step", "stock", "nominal", "hardware", "overall", "comparison", "constant", "allowance", "check", "denied"}
)  # fmt: skip
"""Roles that mostly belong to no part; the others belong to the part in hand."""
_EITHER: Final = frozenset(
    {"stock", "allowance", "check", "overall", "hardware", "setting", "rough", "feature"}
)
"""Roles that are of the part in hand as often as not: "an eighth over" may be left on the rail, or on everything."""
SINK_ROLE: Final[dict[str, Role]] = {
    "step": "setting",
    "constant": "none",
    "denied": "comparison",
    "": "none",
}
_FAR: Final = 0.47
"""A size further from the listed one than this, by its logarithm, is not tried for it unless the plan is called wrong."""
_APART: Final = ((0.03, "a"), (0.065, "b"), (0.1, "c"), (0.2, "d"), (9.0, "e"))
"""Bands of the difference from the listed size: slips stay mostly within a few percent."""
_TOLD: Final = 2.4
"""Weight of a declaration from which half, double, complement and far-off values are tried."""
_SAID_OF_IT: Final = 2.0
_MATE_REACH: Final = 25
"""Words within which sizes of one part speak for each other."""
_MOST: Final = 3.0
_BEFORE_FADES: Final = 40.0
_AFTER_FADES: Final = 10.0
"""Words before and behind a size within which a part named there speaks for it; further off it fades by a factor of e each time."""
_HARDLY: Final = 0.1
_FITS: Final = 3.0
"""What an agreeing size counts where a chain is laid over the sizes of a part."""
_LONGEST_CHAIN: Final = 6
_TINY: Final = Fraction(105, 100)
"""Millimetres: what is no larger and no size of the list is how well something fits."""
_RIGHT_ANGLES: Final = (90, 180, 360)


class Target(Struct, frozen=True):
    """One place that a measure might have."""

    kind: Literal["slot", "hand", "named", "none"]
    """A size of the plan; of the part in hand; of another part that is named; of no part."""
    slot: int | None
    part: int | None
    """Index of the part for a slot or a named part; None where the part in hand decides, or there is none."""
    role: Role
    cue: str
    """Name of the role in the cue table; empty for nothing in particular."""
    how: str
    """How the value agrees with the slot; empty where it does not."""
    features: Features
    away: Features = {}
    """What further counts where the slot's part is not in hand."""


class Evidence:
    """Gives the targets of every measure; made once for a talk."""

    def __init__(self, bench: Bench, *, together: bool = True) -> None:
        """Index the plan's sizes.

        Args:
            bench: What placement looks at.
            together: False lets every size of a chain be weighed by itself.
        """
        self.bench = bench
        self._together = together
        self._order = sorted(
            (math.log(float(slot.value)), n)
            for n, slot in enumerate(bench.slots)
            if slot.value and not is_angle(slot.listed.unit)
        )
        self._keys = [key for key, _ in self._order]
        self._angles = [n for n, slot in enumerate(bench.slots) if is_angle(slot.listed.unit)]
        self._blank = tuple(n for n, slot in enumerate(bench.slots) if slot.value is None)
        self._heard = self._slots_heard()
        self._exact = [self._exactly(m) for m in bench.measures]
        self._starts = [m.span[0] for m in bench.measures]
        self._number = {part.name: i for i, part in enumerate(bench.part_list.parts)}
        self._maps: dict[tuple[int, int], tuple[int, ...]] = {}
        self._chains: dict[int, list[int]] = defaultdict(list)
        for index, measure in enumerate(bench.measures):
            if measure.chain is not None:
                self._chains[measure.chain].append(index)

    def targets(self, index: int) -> list[Target]:
        """Give every place that a measure might have, in a fixed order."""
        context = self.bench.contexts[index]
        about = self._about(index)
        found = [self._slot(index, n) for n in self._near(index)]
        named = self._number.get(context.named)
        found.extend(_unlisted(context, about, named))
        return found

    def _exactly(self, measure: Measure) -> dict[int, frozenset[int]]:
        """Give, for each part, which of its sizes a measure equals."""
        found: dict[int, set[int]] = defaultdict(set)
        for n in self._candidates(measure, 0.002):
            slot = self.bench.slots[n]
            if agrees(measure, slot.listed, self.bench.part_list.parts[slot.part]):
                found[slot.part].add(n)
        return {part: frozenset(slots) for part, slots in found.items()}

    def _slots_heard(self) -> frozenset[int]:
        said = {(size_of(m), is_angle(m.unit)) for m in self.bench.measures if not m.taken_back}
        return frozenset(
            n
            for n, s in enumerate(self.bench.slots)
            if s.value is not None and (s.value, is_angle(s.listed.unit)) in said
        )

    def _candidates(self, measure: Measure, far: float) -> list[int]:
        if is_angle(measure.unit):
            return self._angles
        said = size_of(measure)
        if not said:
            return []
        log = math.log(float(said))
        low, high = bisect_left(self._keys, log - far), bisect_left(self._keys, log + far)
        return [n for _, n in self._order[low:high]]

    def _near(self, index: int) -> list[int]:
        """Give the slots that are worth a try: of near values, open ones, and where the plan is called wrong, those far off too."""
        bench, measure = self.bench, self.bench.measures[index]
        found = list(self._candidates(measure, _FAR))
        found += [
            n for n in self._blank
            if is_angle(bench.slots[n].listed.unit) == is_angle(measure.unit)
        ]  # fmt: skip
        if self._told(index) >= _TOLD and not is_angle(measure.unit):
            seen = set(found)
            found += [
                n for n, slot in enumerate(bench.slots)
                if n not in seen and slot.value and not is_angle(slot.listed.unit) and self._far_but_told(index, slot)
            ]  # fmt: skip
        return found

    def _told(self, index: int) -> float:
        declared = self.bench.declared[index]
        return max(declared.of("plan-wrong"), declared.of("changed"))

    def _far_but_told(self, index: int, slot: Slot) -> bool:
        own = self.bench.contexts[index].dimension.get(slot.dimension, 0.0)
        return own >= _SAID_OF_IT or self._related(index, slot)

    def _related(self, index: int, slot: Slot) -> bool:
        """Tell whether a size is what a plan is mostly wrong by: half, double, or the angle from the other face."""
        value, said = slot.value, size_of(self.bench.measures[index])
        if not value:
            return False
        if is_angle(slot.listed.unit):
            return said in (value / 2, value * 2, 90 - value)
        return said in (value / 2, value * 2)

    def _slot(self, index: int, number: int) -> Target:
        bench = self.bench
        measure, context, slot = bench.measures[index], bench.contexts[index], bench.slots[number]
        part = bench.part_list.parts[slot.part]
        how = agrees(measure, slot.listed, part)
        kind = "agree" if how else "blank" if slot.value is None else "differ"
        f: Features = {f"{kind}": 1.0}
        away: Features = {"away": 1.0, f"away.{kind}": 1.0}
        rare = -math.log(commonness(measure.value, measure.unit))
        if how:
            f["agree.rare" if how == "exact" else "agree.about"] = rare
            f["agree.shared"] = math.log(max(1, len(self._exact[index])))
            away["away.rare"] = rare
        elif kind == "differ":
            f.update(self._differing(index, number))
        else:
            f.update(open_size(measure, slot, bench, index))
        f.update(said_dimension(context, slot, kind))
        f.update(said_role(context, kind))
        f.update(self._in_chain(index, number, kind))
        mates = self._mates(index, slot.part, number)
        named = self._named_near(index, slot.part)
        if named:
            f[f"near.{kind}"] = named
        if mates:
            f[f"mates.{kind}"] = mates
            away["away.mates"] = mates
        elif named < _HARDLY:
            f[f"alone.{kind}"] = 1.0
        f.update(slot_itself(measure, context, slot, bench, kind))
        if context.named == part.name:
            away["away.named"] = 1.0
        return Target("slot", number, slot.part, slot_role(context, how), "", how, f, away)

    def _differing(self, index: int, number: int) -> Features:
        slot, measure = self.bench.slots[number], self.bench.measures[index]
        value, said = slot.value, size_of(measure)
        f: Features = {}
        if not value or not said:
            return {"differ.e": 1.0}
        apart = abs(math.log(float(said / value)))
        f["differ." + next(name for limit, name in _APART if apart < limit)] = 1.0
        told = min(self._told(index), 3.5)
        if told:
            f["differ.told"] = told
        if told >= _TOLD and self._related(index, slot):
            f["differ.related"] = 1.0
        if told >= _TOLD and self.bench.contexts[index].dimension.get(slot.dimension, 0.0) >= _SAID_OF_IT:
            f["differ.outright"] = 1.0
        f["differ.heard" if number in self._heard else "differ.unheard"] = 1.0
        if is_angle(measure.unit):
            f["differ.angle"] = 1.0
        if measure.hedge:
            f["differ.hedged"] = 1.0
        if slot.part in self._exact[index]:
            f["differ.is-other"] = 1.0
        return f

    def _mates(self, index: int, part: int, number: int) -> float:
        """Weigh how many sizes near by equal other sizes of a part."""
        bench, total = self.bench, 0.0
        begin, end = bench.measures[index].span
        low = bisect_left(self._starts, begin - _MATE_REACH)
        high = bisect_left(self._starts, end + _MATE_REACH)
        seen: set[int] = set()
        for j in range(low, high):
            fits = self._exact[j].get(part)
            if j == index or not fits or bench.measures[j].taken_back:
                continue
            fresh = fits - seen - {number}
            if fresh:
                seen |= fresh
                total += -math.log(commonness(bench.measures[j].value, bench.measures[j].unit)) / 5.0
        return min(total, _MOST)

    def _named_near(self, index: int, part: int) -> float:
        """Say how surely and how near a part is named around a measure, 0 to 1."""
        places = self.bench.namings[part]
        begin, end = self.bench.measures[index].span
        where = bisect_left(places, (begin, 0.0))
        best = 0.0
        for at, sure in places[max(0, where - 3) : where]:
            best = max(best, sure * math.exp((at - begin) / _BEFORE_FADES))
        for at, sure in places[where : where + 2]:
            best = max(best, sure * math.exp((end - at) / _AFTER_FADES))
        return best

    def _in_chain(self, index: int, number: int, kind: str) -> Features:
        """Say how a size's place in its chain ("3/4 by 2 1/2 by 34") goes with the order that the list gives sizes in."""
        bench, measure = self.bench, self.bench.measures[index]
        chain = self._chains.get(measure.chain, []) if measure.chain is not None else []
        if len(chain) < 2 or measure.chain_position is None:
            return {}
        slot = bench.slots[number]
        own = [
            n
            for n in bench.of_part[slot.part]
            if not bench.slots[n].listed.feature and not is_angle(bench.slots[n].listed.unit)
        ]
        if number not in own:
            return {}
        best = self._best_map(measure.chain or 0, slot.part, tuple(own))
        place = chain.index(index)
        f: Features = {f"chain.{kind}": 1.0}
        if self._together and place < len(best):
            f["chain.mapped" if best[place] == number else "chain.elsewhere"] = 1.0
        return f

    def _best_map(self, chain: int, part: int, own: tuple[int, ...]) -> tuple[int, ...]:
        """Give the sizes of a part that a chain goes with best, in the chain's order: by value, then in the list's order or its reverse."""
        key = (chain, part)
        if key not in self._maps:
            said = self._chains[chain][: len(own)]
            options = permutations(own, len(said)) if len(own) <= _LONGEST_CHAIN else ()
            self._maps[key] = max(options, key=lambda order: self._map_worth(said, order, own), default=())
        return self._maps[key]

    def _map_worth(self, said: list[int], order: tuple[int, ...], own: tuple[int, ...]) -> float:
        worth = 0.0
        for index, number in zip(said, order, strict=True):
            slot, size = self.bench.slots[number], size_of(self.bench.measures[index])
            if number in self._exact[index].get(slot.part, frozenset()):
                worth += _FITS
            elif slot.value and size:
                worth -= min(_FITS, 5.0 * abs(math.log(float(size / slot.value))))
        places = [own.index(number) for number in order]
        if places == sorted(places):
            worth += 0.5
        elif places == sorted(places, reverse=True):
            worth += 0.25
        # A piece is no wider than it is long, and no thicker than it is wide.
        by_size = [
            n for _, n in sorted(zip((size_of(self.bench.measures[i]) for i in said), places, strict=True))
        ]
        return worth + (0.4 if by_size == sorted(by_size) else 0.0)

    def _about(self, index: int) -> Features:
        """Gather what is to be said about a measure itself, wherever it belongs."""
        bench, measure = self.bench, self.bench.measures[index]
        f: Features = {}
        if is_angle(measure.unit):
            f["angle"] = 1.0
            if measure.value in _RIGHT_ANGLES:
                f["right-angle"] = 1.0
        else:
            said = size_of(measure)
            if said <= _TINY:
                f["tiny"] = 1.0
            if self._keys and said and math.log(float(said)) > self._keys[-1] + 0.25:
                f["beyond"] = 1.0
        f.update(surroundings(measure, bench))
        if not self._exact[index]:
            f["fits-nothing"] = 1.0
        if measure.hedge == "about":
            f["hedged"] = 1.0
        chain = self._chains.get(measure.chain, []) if measure.chain is not None else []
        if len(chain) > 1:
            f["chained"] = 1.0
            if any(self._exact[j] for j in chain if j != index):
                f["chain-fits"] = 1.0
        return f


def _unlisted(context: Context, about: Features, named: int | None) -> list[Target]:
    """Give the places of a size that the list does not give: of the part in hand, of a part named beside it, or of none."""
    hand = _with("hand", about) | {"hand": 1.0}
    none = _with("none", about) | {"none": 1.0}
    name, weight = context.best("dimension")
    if name:
        hand[f"hand.dim.{name}"] = weight
        none[f"none.dim.{name}"] = weight
    for cue in ("finished", "quoted-plan", "declared"):
        if cue in context.role:
            hand[f"hand.said.{cue}"] = context.role[cue]
            none[f"none.said.{cue}"] = context.role[cue]
    found = [
        Target("hand", None, None, "none", "", "", hand),
        Target("none", None, None, "none", "", "", none),
    ]
    if named is not None:
        found.append(Target("named", None, named, "none", "", "", hand | {"away": 1.0, "away.unlisted": 1.0}))
    for cue, strength in context.role.items():
        if cue in ("finished", "quoted-plan", "declared"):
            continue
        role: Role = SINK_ROLE.get(cue, cue)  # type: ignore[arg-type]
        if cue not in WITHOUT_PART or cue in _EITHER:
            own = hand | {f"hand.{cue}": 1.0, f"hand.{cue}.said": strength}
            found.append(Target("hand", None, None, role, cue, "", own))
            if named is not None:
                found.append(
                    Target("named", None, named, role, cue, "", own | {"away": 1.0, "away.unlisted": 1.0})
                )
        if cue in WITHOUT_PART or cue in _EITHER:
            found.append(
                Target(
                    "none",
                    None,
                    None,
                    role,
                    cue,
                    "",
                    none | {f"none.{cue}": 1.0, f"none.{cue}.said": strength},
                )
            )
    return found


def _with(kind: str, about: Features) -> Features:
    return {f"{kind}.{name}": value for name, value in about.items()}
