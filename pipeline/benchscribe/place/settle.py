"""What only shows once every measure has its first place: repeats, plan values read aloud, stretches that went wrong."""

from __future__ import annotations

from typing import Final

from msgspec import structs

from benchscribe.place.assign import Bench, Choice
from benchscribe.records import Mentions
from benchscribe.spoken.plan import size_of

_BACK: Final = 3
"""A size said again is looked for among so many measures before."""
_RESTATED: Final = frozenset({"call", "so", "that", "is", "or", "about", "just", "it", "and", "uh", "um", "say", "which", "well", "yeah", "again"})


def settle(
    chosen: list[Choice], options: list[list[Choice]], bench: Bench, mentions: Mentions
) -> list[Choice]:
    """Correct single places by what stands around them.

    Args:
        chosen: The place of each measure by the assignment.
        options: All choices of each measure.
        bench: The plan, the words and the cues.
        mentions: For the stretches that went wrong.
    """
    result = list(chosen)
    for index in range(len(result)):
        again = _said_before(index, result, bench)
        if again is not None:
            result[index] = again
    return _marked(result, bench, mentions)


def _said_before(index: int, result: list[Choice], bench: Bench) -> Choice | None:
    """Give a size that was said just before the same place, where its own words give it none."""
    choice, measure = result[index], bench.measures[index]
    if choice.slot is not None and choice.how:
        return None
    for back in range(index - 1, max(-1, index - 1 - _BACK), -1):
        before = bench.measures[back]
        same = size_of(before) == size_of(measure) and (before.unit == "degree") == (measure.unit == "degree")
        between = bench.talk.tokens[before.span[1] : measure.span[0]]
        restated = back == index - 1 and len(between) <= 4 and all(w in _RESTATED for w in between) and bool(between)
        near = size_of(before) and abs(size_of(before) - size_of(measure)) / size_of(before) < 0.02
        if (same and choice.role in ("none", "finished", "setting") and len(between) < 40) or (restated and near):
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
