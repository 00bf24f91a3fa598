"""Find all that is spoken of in an episode."""

from __future__ import annotations

from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Measure, Mentions, PartList, Transcript


def find_mentions(
    transcript: Transcript,
    part_list: PartList | None,
    measures: tuple[Measure, ...],
    vocabulary: Vocabulary,
) -> Mentions:
    """Find parts, tools, materials, operations, hazards, mistakes and promises in the talk."""
    return Mentions()
