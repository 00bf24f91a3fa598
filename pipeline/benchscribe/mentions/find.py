"""Find all that is spoken of in an episode."""

from __future__ import annotations

from typing import Final

from benchscribe.mentions.hazards import find_hazards
from benchscribe.mentions.keys import key
from benchscribe.mentions.mistakes import find_mistakes
from benchscribe.mentions.operations import find_operations, implied_things
from benchscribe.mentions.parts import find_parts
from benchscribe.mentions.promises import find_promises
from benchscribe.mentions.repairs import find_repairs
from benchscribe.mentions.talk import hear, plain_words
from benchscribe.mentions.things import find_things, long_names
from benchscribe.mentions.vocabulary import Vocabulary, with_listed_materials
from benchscribe.records import Measure, Mention, Mentions, PartList, Transcript

_NAMED: Final = 0.7
"""From here on a part's name is no name of a tool or a material."""


def find_mentions(
    transcript: Transcript,
    part_list: PartList | None,
    measures: tuple[Measure, ...],
    vocabulary: Vocabulary,
) -> Mentions:
    """Find parts, tools, materials, operations, hazards, mistakes and promises in the talk.

    Args:
        transcript: The words with their times, and the utterances.
        part_list: The plan's parts; None where there is no plan.
        measures: The sizes that were said; their words are never repaired.
        vocabulary: From `load_vocabulary`.

    Returns:
        Mentions in the order of the talk, with a name for each ("used" is false where it is only talked about); repairs of words heard
        wrong; hazards, each once; stretches that went wrong; and what is put off.

    Raises:
        ModelError: The language model is not installed.
    """
    words = plain_words(transcript)
    repairs = find_repairs(transcript, words, part_list, measures, vocabulary)
    talk = hear(transcript, words, repairs)
    vocabulary = with_listed_materials(vocabulary, part_list)
    parts = find_parts(talk, transcript, part_list, vocabulary, long_names(talk, vocabulary))
    bought = {p.name for p in part_list.parts if p.hardware} if part_list else set()
    named = frozenset(
        i for m in parts if m.confidence >= _NAMED and m.name not in bought for i in range(*m.span)
    )
    things = find_things(talk, transcript, named, vocabulary)
    whole = {m.span for m in parts if m.confidence >= _NAMED}
    things = [m for m in things if m.span not in whole or not _cut_from_cloth(m, vocabulary)]
    taken = named | {i for m in things for i in range(*m.span)}
    operations = find_operations(talk, transcript, taken, vocabulary)
    things += implied_things(operations, things, talk, transcript, vocabulary)
    mentions = sorted((*parts, *things, *operations), key=lambda m: (m.span, m.kind, m.name))
    return Mentions(
        mentions=tuple(mentions),
        repairs=repairs,
        hazards=find_hazards(talk, transcript, mentions, vocabulary),
        mistakes=find_mistakes(talk, transcript, vocabulary),
        promises=find_promises(talk, transcript, vocabulary),
    )


def _cut_from_cloth(mention: Mention, vocabulary: Vocabulary) -> bool:
    """Tell a word that is a part and a material in one ("lining", "webbing"): where the list has such a part, it is the part."""
    term = vocabulary.terms.get(key(mention.name.split()))
    return term is not None and term.group in ("cloth", "leather")
