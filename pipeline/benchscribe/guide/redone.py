"""What is done again after it went wrong: the maker seldom names it a second time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec

from benchscribe.guide.found import clock
from benchscribe.guide.made import told_features
from benchscribe.guide.stepwords import step_words
from benchscribe.guide.told import BESIDE, Talk, Told, told_by_things, told_operations
from benchscribe.records import Mistake

SOON_S = 45.0
"""The second try begins within this time, or is told somewhere else."""
PAUSE_S = 5.0
"""The camera was off while a new piece was made ready: what follows is the second try."""
AT_ONCE_S = 8.0
"""A sentence that begins so soon after another belongs to it."""
LEAD_S = 30.0
"""What went wrong was named at most so long before it did."""


def second_tries(talk: Talk, mistakes: Sequence[Mistake]) -> Mapping[int, int]:
    """Find where each mistake's second try begins.

    Args:
        talk: What was said and found.
        mistakes: Stretches that went wrong.

    Returns:
        For each mistake (by its place in the sequence) the utterance that begins the second try: the first one after the stretch that
        says so ("take two", "this time"), or that follows a pause. Those without one are left out.
    """
    starts: dict[int, int] = {}
    for place, mistake in enumerate(mistakes):
        after = [n for n, u in enumerate(talk.transcript.utterances) if u.span[0] >= mistake.span[1]]
        end = clock(talk.transcript, max(mistake.span[1] - 1, 0)) if talk.transcript.words else 0.0
        for number in after:
            if clock(talk.transcript, talk.transcript.utterances[number].span[0]) - end > SOON_S:
                break
            if _begins_again(talk, number, first=number == after[0]):
                starts[place] = number
                break
    return starts


def before_second_tries(talk: Talk, mistakes: Sequence[Mistake]) -> frozenset[int]:
    """Give the utterances between a mistake and its second try: the maker still speaks of what went wrong."""
    out: set[int] = set()
    for place, number in second_tries(talk, mistakes).items():
        end = mistakes[place].span[1]
        out |= {n for n in range(number) if talk.transcript.utterances[n].span[0] >= end}
    return frozenset(out)


def told_again(talk: Talk, told: Sequence[Told], mistakes: Sequence[Mistake]) -> list[Told]:
    """Find what is done again where the second try does not name it.

    Args:
        talk: What was said and found.
        told: What was named outside of mistakes.
        mistakes: Stretches that went wrong.

    Returns:
        The operation that went wrong, at the second try; none where the same is named within the next minute, or where nothing was named.
    """
    whole = msgspec.structs.replace(talk, skipped=frozenset())
    named = told_operations(whole)
    named += told_by_things(whole)
    named += told_features(whole, named)
    found: list[Told] = []
    for place, number in second_tries(talk, mistakes).items():
        span = mistakes[place].span
        begin = clock(talk.transcript, span[0])
        tried = [t for t in named if t.rank > BESIDE and t.at < span[1] and t.clock_s >= begin - LEAD_S]
        inside = [t for t in tried if t.at >= span[0]] or tried
        if not inside or number in talk.skipped:
            continue
        item, at = (
            min(inside, key=lambda t: (-t.rank, abs(t.at - span[0]))),
            talk.transcript.utterances[number],
        )
        now = clock(talk.transcript, at.span[0])
        if any(set(t.name.split()) & set(item.name.split()) and 0 <= t.clock_s - now <= SOON_S for t in told):
            continue
        last = _goes_on(talk, number)
        found.append(
            msgspec.structs.replace(
                item, clock_s=now, start_s=at.start_s, first=number, last=last, at=at.span[0], source="verb"
            )
        )
    return found


def _goes_on(talk: Talk, number: int) -> int:
    """Give the sentence that follows at once; "take two" alone tells nobody what is done."""
    utterances = talk.transcript.utterances
    if number + 1 == len(utterances) or number + 1 in talk.skipped:
        return number
    begin, after = (clock(talk.transcript, utterances[n].span[0]) for n in (number, number + 1))
    return number + 1 if after - begin <= AT_ONCE_S else number


def _begins_again(talk: Talk, number: int, *, first: bool) -> bool:
    utterances, words = talk.transcript.utterances, step_words()
    text = talk.transcript.text(utterances[number].span).lower()
    if words.again.search(text) or words.opens.match(text) or (first and words.onward.match(text)):
        return True
    start, end = utterances[number].start_s, utterances[number - 1].end_s if number else None
    return start is not None and end is not None and start - end >= PAUSE_S
