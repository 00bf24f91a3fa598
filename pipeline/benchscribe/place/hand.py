"""Follow which part is in hand: a hidden Markov model over the passages, whose states are the parts and "none of them".

What is observed in a passage are names and sizes. A part's sizes are far likelier to be said while it is in hand, the rarer the size the
more so; so a whole chain equal to a part's sizes names it by itself. Forward-backward gives how sure, Viterbi gives the path.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from benchscribe.place.cues import Context
from benchscribe.place.options import Switches
from benchscribe.place.segments import ASIDE, Segment
from benchscribe.records import Measure, PartList
from benchscribe.spoken.plan import Slot, agrees, commonness, is_angle, size_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_NAMED: Final = 5.0
"""Most log odds that a name can give."""
_DOUBTED: Final = 1.5
"""Power on a mention's confidence: words that only may mean a part ("stick", "nose") mostly mean something else."""
_LEFT: Final = 0.04
"""Chance that even a full name is not what is in hand."""
_OWN: Final = 0.55
"""Chance that a size said while a part is in hand is one of its listed sizes. Measured on annotated talk: a half to two thirds."""
_QUOTED: Final = 0.85
"""The same where the plan is read aloud."""
_OTHER_WAY: Final = 0.6
"""Share of its weight that a fitting size keeps where the words say another dimension."""
_MOST: Final = 4.5
"""Most log odds that one size can give: a reading may be wrong, and plans share sizes."""
_NEXT_IN_LIST: Final = 0.35
"""Share of the moves that go to the next row of the list."""
_TO_NONE: Final = 0.12
_NOT_FINISHED: Final = {
    "tool": 0.1, "hardware": 0.2, "stock": 0.3, "step": 0.1, "comparison": 0.2, "overall": 0.2, "constant": 0.0,
    "rough": 0.5, "allowance": 0.3, "check": 0.3, "feature": 0.6, "setting": 0.8, "nominal": 0.5,
}  # fmt: skip
"""How much a size still tells of the part when its words say that it is something else."""


class Hands(Struct, frozen=True):
    """Which part is in hand in each passage."""

    posterior: Any
    """Passages x (parts + 1), rows adding up to 1; the last column is "none of them"."""
    path: tuple[int, ...]
    """The likeliest sequence of states."""


def follow(
    segments: list[Segment],
    measures: tuple[Measure, ...],
    contexts: list[Context],
    part_list: PartList,
    slots: tuple[Slot, ...],
    switches: Switches,
) -> Hands:
    """Run the model over all passages. Linear in the talk; memory is passages x parts."""
    import numpy as np

    states = len(part_list.parts) + 1
    evidence = np.zeros((len(segments), states))
    by_part = _by_part(slots, len(part_list.parts))
    for row, segment in enumerate(segments):
        for index in segment.measures:
            evidence[row, :-1] += _size_evidence(measures[index], contexts[index], part_list, by_part)
        if switches.names:
            _add_names(evidence[row], segment)
    moves = np.array([segment.move for segment in segments])
    if not switches.sequence:
        likely = np.exp(evidence - evidence.max(axis=1, keepdims=True))
        posterior = likely / likely.sum(axis=1, keepdims=True)
        return Hands(posterior, tuple(int(s) for s in posterior.argmax(axis=1)))
    matrix = _moves(states)
    return Hands(_posterior(evidence, moves, matrix), _viterbi(evidence, moves, matrix))


def _by_part(slots: tuple[Slot, ...], parts: int) -> list[list[Slot]]:
    table: list[list[Slot]] = [[] for _ in range(parts)]
    for slot in slots:
        table[slot.part].append(slot)
    return table


def _add_names(row: Floats, segment: Segment) -> None:
    """Add the names of a passage: of one part the best.

    A mention's confidence is the chance that its words mean the part; what is left of it is shared by all parts alike. So a full name is
    nearly proof, and a word that fits three parts speaks for each of the three against the others.
    """
    states = len(row)
    meant: dict[int, float] = {}
    for naming in segment.namings:
        meant[naming.at] = meant.get(naming.at, 0.0) + naming.confidence**_DOUBTED
    best: dict[int, float] = {}
    for naming in segment.namings:
        sure = naming.confidence**_DOUBTED / max(meant[naming.at], 1.0)
        left = max(1.0 - meant[naming.at], _LEFT) / states
        worth = math.log((sure + left) / left) * (ASIDE if naming.aside else 1.0)
        best[naming.part] = max(best.get(naming.part, 0.0), min(worth, _NAMED))
    for part, worth in best.items():
        row[part] += worth


def _size_evidence(
    measure: Measure, context: Context, part_list: PartList, by_part: list[list[Slot]]
) -> list[float]:
    """Give the log odds of each part against "none of them" for one size."""
    trust = min(
        (_NOT_FINISHED[r] for r, w in context.role.items() if r in _NOT_FINISHED and w >= 2), default=1.0
    )
    if measure.taken_back:
        trust *= 0.3
    chance = commonness(measure.value, measure.unit)
    quoted = context.role.get("quoted-plan", 0.0) > 1
    share = _QUOTED if quoted else _OWN
    cue, _ = context.best("dimension")
    odds = []
    for part, slots in zip(part_list.parts, by_part, strict=True):
        own = [s for s in slots if is_angle(s.listed.unit) == is_angle(measure.unit)]
        fitting = [s for s in own if agrees(measure, s.listed, part)]
        if fitting:
            likelihood = share / len(own) / chance + (1 - share)
            worth = math.log(max(likelihood, 1.05))
            if cue and all(s.dimension != cue for s in fitting):
                worth *= _OTHER_WAY
            odds.append(trust * min(worth, _MOST))
        elif any(_near(measure, s) for s in own):
            odds.append(-0.2 * trust)
        else:
            odds.append(trust * math.log(1 - share) * (1.0 if own else 1.1))
    return odds


def _near(measure: Measure, slot: Slot) -> bool:
    value = slot.value
    return value is None or (value > 0 and abs(size_of(measure) - value) / value <= 0.06)


def _moves(states: int) -> Floats:
    """Where the talk goes when it moves on: often to the next row, sometimes to no part, else anywhere."""
    import numpy as np

    matrix: Floats = np.full((states, states), 1.0)
    np.fill_diagonal(matrix, 0.0)
    matrix[:, -1] = 0.0
    matrix /= np.maximum(matrix.sum(axis=1, keepdims=True), 1.0)
    parts = states - 1
    for row in range(parts):
        rest = 1.0 - _TO_NONE
        if row + 1 < parts:
            matrix[row] *= rest - _NEXT_IN_LIST
            matrix[row, row + 1] += _NEXT_IN_LIST
        else:
            matrix[row] *= rest
        matrix[row, -1] = _TO_NONE
    result: Floats = matrix / np.maximum(matrix.sum(axis=1, keepdims=True), 1e-9)
    return result


def _posterior(evidence: Floats, moves: Floats, matrix: Floats) -> Floats:
    import numpy as np

    count, states = evidence.shape
    likely = np.exp(evidence - evidence.max(axis=1, keepdims=True))
    forward = np.empty((count, states))
    now = np.full(states, 0.5 / max(states - 1, 1))
    now[-1] = 0.5
    for row in range(count):
        if row:
            now = (1 - moves[row]) * now + moves[row] * (now @ matrix)
        now = now * likely[row]
        now /= now.sum()
        forward[row] = now
    later = np.ones(states)
    result = np.empty((count, states))
    for row in range(count - 1, -1, -1):
        both = forward[row] * later
        result[row] = both / both.sum()
        if row:
            seen = later * likely[row]
            later = (1 - moves[row]) * seen + moves[row] * (matrix @ seen)
            later /= later.max()
    return result


def _viterbi(evidence: Floats, moves: Floats, matrix: Floats) -> tuple[int, ...]:
    import numpy as np

    count, states = evidence.shape
    if not count:
        return ()
    score = np.full(states, math.log(0.5 / max(states - 1, 1)))
    score[-1] = math.log(0.5)
    score = score + evidence[0]
    back = np.zeros((count, states), dtype=np.int32)
    everywhere = np.arange(states)
    stay = np.eye(states)
    with np.errstate(divide="ignore"):
        steps = {float(m): np.log((1 - m) * stay + m * matrix) for m in np.unique(moves)}
    for row in range(1, count):
        options = score[:, None] + steps[float(moves[row])]
        back[row] = options.argmax(axis=0)
        score = options[back[row], everywhere] + evidence[row]
    path = [int(score.argmax())]
    for row in range(count - 1, 0, -1):
        path.append(int(back[row, path[-1]]))
    return tuple(reversed(path))
