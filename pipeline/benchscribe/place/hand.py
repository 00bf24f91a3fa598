"""Follow which part is in hand: a hidden Markov model over the passages, whose states are the parts and "none of them".

What is observed in a passage are names and sizes; how likely they are with each part in hand comes from `score.py`. From one passage to
the next the part stays, or it moves: to the next row of the list, to any part, or to none. Moves are kept as these few kinds and never
as a table of every part by every part, so time and memory grow with passages x parts only. Forward-backward gives how sure, Viterbi
gives the path.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from msgspec import Struct

from benchscribe.place.weights import weigh

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


class Moves(Struct, frozen=True):
    """How likely each kind of move is beside staying, as factors."""

    any_part: Any
    """For each passage, the factor of moving at all; the first is not looked at."""
    next_row: float
    to_none: float
    from_none: float
    welcome: Any
    """For each part, how likely it is moved to; adding up to 1."""
    start: Any
    """For each state, how likely it is the first."""


class Hands(Struct, frozen=True):
    """Which part is in hand in each passage."""

    posterior: Any
    """Passages x (parts + 1), rows adding up to 1; the last column is "none of them"."""
    path: tuple[int, ...]
    """The likeliest sequence of states."""


def moves_of(
    features: Sequence[Mapping[str, float]], bought: Sequence[bool], weights: Mapping[str, float]
) -> Moves:
    """Weigh the moves.

    Args:
        features: What speaks for a move, for each passage.
        bought: For each part, whether it is hardware, which is seldom worked on.
        weights: Of all features.
    """
    import numpy as np

    any_part = np.exp(np.array([weigh(f, weights) for f in features]))
    welcome = np.where(np.array(bought, dtype=bool), np.exp(weights.get("move.bought", 0.0)), 1.0)
    welcome = welcome / max(welcome.sum(), 1e-9)
    none = np.exp(weights.get("start.none", 0.0))
    start = np.append(welcome, none)
    return Moves(
        any_part,
        float(np.exp(weights.get("move.next-row", 0.0))),
        float(np.exp(weights.get("move.to-none", 0.0))),
        float(np.exp(weights.get("move.from-none", 0.0))),
        welcome,
        start / start.sum(),
    )


def forward(likely: Floats, moves: Moves) -> Floats:
    """Give, for each passage and state, how likely it is by all that was said up to there; rows add up to 1."""
    import numpy as np

    result = np.empty_like(likely)
    now = moves.start * likely[0]
    now = now / now.sum()
    result[0] = now
    for row in range(1, len(likely)):
        factor = moves.any_part[row]
        parts, none = now[:-1], now[-1]
        held = parts.sum()
        after = np.empty_like(now)
        after[:-1] = parts + factor * moves.welcome * (held + moves.from_none * none)
        after[1:-1] += factor * moves.next_row * parts[:-1]
        after[-1] = none + factor * moves.to_none * held
        after *= likely[row]
        now = after / after.sum()
        result[row] = now
    return result


def backward(likely: Floats, moves: Moves) -> Floats:
    """Give, for each passage and state, how well it explains all that was said after it, up to a factor."""
    import numpy as np

    later = np.ones_like(likely)
    for row in range(len(likely) - 1, 0, -1):
        factor = moves.any_part[row]
        seen = later[row] * likely[row]
        anywhere = float(moves.welcome @ seen[:-1])
        before = later[row - 1]
        before[:-1] = seen[:-1] + factor * (anywhere + moves.to_none * seen[-1])
        before[:-2] += factor * moves.next_row * seen[1:-1]
        before[-1] = seen[-1] + factor * moves.from_none * anywhere
        before /= before.max()
    return later


def follow(evidence: Floats, moves: Moves, *, sequence: bool = True) -> Hands:
    """Run the model over all passages.

    Args:
        evidence: Passages x (parts + 1): log of how likely what was said is with each part in hand.
        moves: How the part in hand changes.
        sequence: False lets every passage stand alone.
    """
    import numpy as np

    if not len(evidence):
        return Hands(evidence, ())
    likely = np.exp(evidence - evidence.max(axis=1, keepdims=True))
    if not sequence:
        alone = likely * moves.start
        alone /= alone.sum(axis=1, keepdims=True)
        return Hands(alone, tuple(int(s) for s in alone.argmax(axis=1)))
    both = forward(likely, moves)
    both *= backward(likely, moves)
    both /= both.sum(axis=1, keepdims=True)
    return Hands(both, _viterbi(evidence, moves))


def _viterbi(evidence: Floats, moves: Moves) -> tuple[int, ...]:
    import numpy as np

    count, states = evidence.shape
    with np.errstate(divide="ignore"):
        welcome = np.log(moves.welcome)
        score = np.log(moves.start) + evidence[0]
    back = np.zeros((count, states), dtype=np.int32)
    stay = np.arange(states)
    for row in range(1, count):
        factor = float(np.log(moves.any_part[row]))
        best_part = int(score[:-1].argmax()) if states > 1 else states - 1
        came = stay.copy()
        best = score.copy()
        if states > 1:
            from_none = score[-1] + np.log(moves.from_none)
            source, top = (
                (best_part, score[best_part]) if score[best_part] >= from_none else (states - 1, from_none)
            )
            _take(best[:-1], came[:-1], top + factor + welcome, source)
            along = score[:-2] + factor + np.log(moves.next_row)
            _take(best[1:-1], came[1:-1], along, stay[:-2])
            _take(
                best[-1:],
                came[-1:],
                score[best_part] + factor + np.log(moves.to_none) + np.zeros(1),
                best_part,
            )
        back[row] = came
        score = best + evidence[row]
    path = [int(score.argmax())]
    for row in range(count - 1, 0, -1):
        path.append(int(back[row, path[-1]]))
    return tuple(reversed(path))


def _take(best: Floats, came: Any, other: Floats, source: Any) -> None:  # noqa: ANN401 - an index or an array of them
    """Put the better of two ways in place."""
    import numpy as np

    better = other > best
    came[better] = np.broadcast_to(source, better.shape)[better]
    best[better] = other[better]
