"""Give each measure its place: of all that it might be, what is most expected to be right."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Final

from benchscribe.place.bench import Bench, Choice
from benchscribe.place.cues import Context
from benchscribe.place.targets import Target
from benchscribe.records import Dimension, Measure
from benchscribe.spoken.plan import is_angle, size_of

_LEAST: Final = 0.004
"""A place less likely than this is not listed."""
_CUE_ENOUGH: Final = 1.5
"""Weight of a word for a dimension from which a size that is not listed is called by it."""


def choices_of(shares: Sequence[tuple[float, Target, int | None]], index: int, bench: Bench) -> list[Choice]:
    """Turn shares into choices, likeliest first."""
    found = [
        Choice(share, target.slot, part, target.role, _dimension(target, part, index, bench), target.how)
        for share, target, part in shares
        if share >= _LEAST
    ]
    return sorted(found, key=lambda c: -c.score)


def _dimension(target: Target, part: int | None, index: int, bench: Bench) -> Dimension:
    if target.slot is not None:
        return bench.slots[target.slot].dimension
    return _unlisted_dimension(bench.measures[index], bench.contexts[index], part, bench, target.cue)


def _unlisted_dimension(
    measure: Measure, context: Context, part: int | None, bench: Bench, cue: str
) -> Dimension:
    if is_angle(measure.unit):
        return "angle"
    name, weight = context.best("dimension")
    if name and weight >= _CUE_ENOUGH:
        return name  # type: ignore[return-value]
    if cue == "rough" and part is not None:
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
    if cue in ("tool", "hardware"):
        return "diameter"
    if cue in ("setting", "step"):
        return "setting"
    return "other"


def likeliest(choices: Sequence[Choice], none_counts: float) -> Choice:
    """Pick the choice with the most expected to be right: the right part, then the right size of it.

    Args:
        choices: Of one measure, not empty.
        none_counts: How much a size rightly left without a part counts beside one rightly given to its part.
    """
    worth = _worth(choices, none_counts)
    return choices[max(range(len(worth)), key=worth.__getitem__)]


def _worth(choices: Sequence[Choice], none_counts: float) -> list[float]:
    of_part: dict[int | None, float] = defaultdict(float)
    of_size: dict[tuple[int | None, int | None, Dimension | None], float] = defaultdict(float)
    for choice in choices:
        counts = none_counts if choice.part is None else 1.0
        of_part[choice.part] += counts * choice.score
        of_size[choice.part, choice.slot, choice.dimension] += choice.score
    return [of_part[c.part] + of_size[c.part, c.slot, c.dimension] + 0.01 * c.score for c in choices]
