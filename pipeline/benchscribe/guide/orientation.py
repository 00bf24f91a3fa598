"""Which way round: what is said of hands, faces and directions belongs to the step it is said at, and is never left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from benchscribe.guide.found import clock
from benchscribe.guide.stepwords import step_words
from benchscribe.guide.told import Talk, Told

NEAR_S = 45.0
"""A way round told within this time of a step is that step's."""
MOST_WORDS = 32
"""A longer sentence tells more than a way round."""


def ways_round(talk: Talk, groups: Sequence[Sequence[Told]]) -> Mapping[int, tuple[int, ...]]:
    """Give the sentences that say which way round a piece goes to the steps they belong to.

    "Left and right are mirror images", "good face out", "slide it, don't turn it": whoever builds from the guide needs them as much as
    a size, and they seldom name the work.

    Args:
        talk: What was said and found.
        groups: What tells each step, in order.

    Returns:
        For the place of a step among the groups, the utterances to add to it: the step of the same part that is nearest in time.
    """
    found: dict[int, list[int]] = {}
    for number, utterance in enumerate(talk.transcript.utterances):
        begin, end = utterance.span
        if number in talk.skipped or begin < talk.opening or end - begin > MOST_WORDS:
            continue
        text = talk.transcript.text(utterance.span).lower().replace("\u2019", "'")
        if text.endswith("?") or not step_words().ways_round.search(text):
            continue
        now = clock(talk.transcript, begin)
        part = talk.parts[number][:1]
        near = [
            (abs(group[0].clock_s - now), place)
            for place, group in enumerate(groups)
            if abs(group[0].clock_s - now) <= NEAR_S and (not part or group[0].part in (part[0], None))
        ]
        if near:
            found.setdefault(min(near)[1], []).append(number)
    return {place: tuple(numbers) for place, numbers in found.items()}
