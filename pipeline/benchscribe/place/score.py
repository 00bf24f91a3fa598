"""How likely what a passage says is with each part in hand, and how likely each place of a measure is then."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from benchscribe.place.features import Features
from benchscribe.place.segments import Naming, Segment
from benchscribe.place.targets import Target
from benchscribe.place.weights import weigh

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_DOUBTED: Final = 1.5
"""Power on a mention's confidence: words that only may mean a part ("stick", "nose") mostly mean something else."""
_LEFT: Final = 0.04
"""Chance that even a full name is not what is in hand."""
_RECENT_FADES: Final = 60.0
"""Words after which a name counts a factor of e less."""
_LATELY_FADES: Final = 250.0
_OUTRIGHT: Final = 0.9
"""A mention so sure is of the whole name."""
_NAMED: Final = 5.0
"""Most log odds that a name can give."""


class Weighed(Struct, frozen=True):
    """The targets of one measure with their weights."""

    bought: float
    """What is added to the weight of a size that is not listed where hardware is in hand: nobody makes holes in a screw."""
    targets: tuple[Target, ...]
    held: tuple[float, ...]
    """Log weight of each where its part is in hand, or where it asks for none."""
    away: tuple[float, ...]
    """The same for a size of a part that is not in hand."""


def weighed(targets: Sequence[Target], weights: Mapping[str, float]) -> Weighed:
    """Weigh the targets of one measure."""
    held = tuple(weigh(t.features, weights) for t in targets)
    away = tuple(h + weigh(t.away, weights) for h, t in zip(held, targets, strict=True))
    return Weighed(weights.get("hand.bought", 0.0), tuple(targets), held, away)


def sums_of(measure: Weighed, bought: Sequence[bool]) -> Floats:
    """Give, for each part in hand and for none, the log of the summed weights of all places that a measure can have then."""
    import numpy as np

    parts = len(bought)
    top = max((*measure.held, *measure.away))
    own = np.zeros(parts + 1)
    lost = np.zeros(parts + 1)
    anywhere = hand = 0.0
    for target, held, away in zip(measure.targets, measure.held, measure.away, strict=True):
        if target.kind == "none":
            anywhere += math.exp(held - top)
        elif target.kind == "hand":
            hand += math.exp(held - top)
        elif target.part is not None:
            weight = math.exp(away - top)
            anywhere += weight
            lost[target.part] += weight
            if target.kind == "slot":
                own[target.part] += math.exp(held - top)
    hands = hand * np.where(np.append(np.array(bought, dtype=bool), False), math.exp(measure.bought), 1.0)
    total = anywhere + hands - lost + own
    total[-1] = anywhere
    result: Floats = np.log(np.maximum(total, 1e-300)) + top
    return result


def shares_of(
    measure: Weighed, chances: Mapping[int | None, float], sums: Floats, bought: Sequence[bool]
) -> list[tuple[float, Target, int | None]]:
    """Give how likely each place of a measure is, with the part that it would belong to.

    Args:
        measure: Its targets, weighed.
        chances: How likely each part is in hand (None: none of them), the likely ones only.
        sums: From `sums_of`.
        bought: For each part, whether it is hardware.
    """
    found: list[tuple[float, Target, int | None]] = []
    for target, held, away in zip(measure.targets, measure.held, measure.away, strict=True):
        if target.kind == "hand":
            found += [
                (
                    chance * math.exp(held + (measure.bought if bought[part] else 0.0) - sums[part]),
                    target,
                    part,
                )
                for part, chance in chances.items()
                if part is not None
            ]
            continue
        share = 0.0
        for part, chance in chances.items():
            if target.kind == "named" and part == target.part:
                continue
            at_hand = target.kind == "none" or part == target.part
            share += chance * math.exp((held if at_hand else away) - sums[-1 if part is None else part])
        found.append((share, target, target.part))
    return found


def name_features(namings: Sequence[Naming], states: int) -> dict[int, Features]:
    """Give what the names of a passage say for each part.

    A mention's confidence is the chance that its words mean the part; what is left of it is shared by all parts alike. So a full name is
    nearly proof, and a word that fits three parts speaks for each of the three against the others.
    """
    total: dict[int, float] = {}
    for naming in namings:
        total[naming.at] = total.get(naming.at, 0.0) + naming.confidence
    best: dict[int, Features] = {}
    for naming in namings:
        # Whether the words mean a part at all is one doubt, which part they mean is another.
        meant = min(total[naming.at], 1.0) ** _DOUBTED
        sure = meant * naming.confidence / total[naming.at]
        left = max(1.0 - meant, _LEFT) / states
        worth = min(math.log((sure + left) / left), _NAMED)
        worth_of = _how_named(naming, worth)
        if sum(worth_of.values()) > sum(best.get(naming.part, {}).values()):
            best[naming.part] = worth_of
    return best


def _how_named(naming: Naming, worth: float) -> Features:
    """Say how strongly a part is named, and how the name stands in its sentence."""
    share = worth / _NAMED
    kind = "name.aside" if naming.aside else "name"
    features = {kind: worth}
    marks = {
        f"{kind}.sized": naming.sized,
        f"{kind}.opens": naming.opens,
        f"{kind}.subject": naming.subject,
        f"{kind}.closes": naming.closes,
        f"{kind}.host": naming.host,
        f"{kind}.outright": naming.confidence >= _OUTRIGHT,
        f"name.behind.{naming.behind}": bool(naming.behind),
    }
    return features | {mark: share for mark, there in marks.items() if there}


def recent_features(segments: Sequence[Segment]) -> list[dict[int, Features]]:
    """Give, for each passage with sizes, how lately and how surely each part was named before it."""
    found: list[dict[int, Features]] = []
    lately: dict[int, list[tuple[int, float]]] = {}
    for segment in segments:
        here: dict[int, Features] = {}
        if segment.measures:
            for part, places in lately.items():
                near = max(sure * math.exp((at - segment.start) / _RECENT_FADES) for at, sure in places)
                far = max(sure * math.exp((at - segment.start) / _LATELY_FADES) for at, sure in places)
                here[part] = {"recent": near, "lately": far, "introduced": max(sure for _, sure in places)}
        found.append(here)
        for naming in segment.namings:
            if not naming.aside:
                lately[naming.part] = [*lately.get(naming.part, [])[-1:], (naming.at, naming.confidence)]
    return found


def evidence_of(
    segments: Sequence[Segment], sums: Sequence[Any], parts: int, weights: Mapping[str, float]
) -> Floats:
    """Add up, for each passage, what its names and sizes say for each part in hand and for none."""
    import numpy as np

    evidence = np.zeros((len(segments), parts + 1))
    for row, (segment, recent) in enumerate(zip(segments, recent_features(segments), strict=True)):
        for part, features in recent.items():
            evidence[row, part] += weigh(features, weights)
        for index in segment.measures:
            evidence[row] += sums[index]
        for part, features in name_features(segment.namings, parts + 1).items():
            evidence[row, part] += weigh(features, weights)
    return evidence
