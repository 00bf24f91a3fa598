"""Find all that is spoken of in an episode."""

from __future__ import annotations

import re
from typing import Final

from msgspec import structs

from benchscribe.mentions.hazards import find_hazards
from benchscribe.mentions.mistakes import find_mistakes
from benchscribe.mentions.operations import find_operations, implied_things
from benchscribe.mentions.parts import find_parts
from benchscribe.mentions.plan_words import BOUGHT, bought_parts, named_by_colour, with_plan_words
from benchscribe.mentions.promises import find_promises
from benchscribe.mentions.repairs import find_repairs
from benchscribe.mentions.stock import stock_by_shape
from benchscribe.mentions.stuff import ROLES, one_thing, weigh_stuff
from benchscribe.mentions.talk import Talk, hear, plain_words
from benchscribe.mentions.things import find_things, long_names, named_things
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Measure, Mention, Mentions, PartList, Promise, Transcript

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
    vocabulary = with_plan_words(vocabulary, part_list)
    known = named_things(talk, vocabulary)
    parts = find_parts(talk, transcript, part_list, vocabulary, long_names(known))
    bought = {p.name for p in part_list.parts if p.hardware} if part_list else set()
    named = frozenset(
        i
        for m in parts
        if m.confidence >= _NAMED and m.name not in bought and not _is_bought(m)
        for i in range(*m.span)
    )
    things = find_things(talk, transcript, known, named, vocabulary)
    whole = {m.span for m in parts if m.confidence >= _NAMED}
    things = [m for m in things if m.span not in whole or not _is_the_part(m)]
    taken = named | {i for m in things for i in range(*m.span)}
    things += stock_by_shape(talk, transcript, part_list, taken)
    things += named_by_colour(talk, transcript, part_list, taken, vocabulary)
    things += bought_parts(parts, part_list, vocabulary)
    things = weigh_stuff(things, talk, part_list, vocabulary)
    things = one_thing(things, talk)
    promises = find_promises(talk, transcript, vocabulary)
    built = _what_is_built(things, talk)
    things = [structs.replace(m, used=False) if m.name in built else _put_off(m, promises) for m in things]
    operations = find_operations(talk, transcript, taken, vocabulary)
    things += implied_things(operations, things, talk, transcript, vocabulary)
    mentions = sorted((*parts, *things, *operations), key=lambda m: (m.span, m.kind, m.name))
    return Mentions(
        mentions=tuple(mentions),
        repairs=repairs,
        hazards=find_hazards(talk, transcript, mentions, vocabulary),
        mistakes=find_mistakes(talk, transcript, vocabulary),
        promises=promises,
    )


def _is_bought(part: Mention) -> bool:
    return part.name.split()[-1].lower().removesuffix("s") in BOUGHT


def _what_is_built(things: list[Mention], talk: Talk) -> frozenset[str]:
    """Give the tools that are what the episode is about, not what it is done with: "today it's a tool holder", "this is the loom"."""
    first: dict[str, Mention] = {}
    for m in sorted(things, key=lambda m: m.span):
        if m.kind == "tool":
            first.setdefault(m.name, m)
    return frozenset(
        name
        for name, m in first.items()
        if m.span[0] < _OPENING
        and (
            _BUILT.search(talk.clause_before(m.span[0], limit=5))
            or talk.clause_after(m.span[1], limit=1).startswith("today")
        )
    )


_OPENING: Final = 60
"""Words in which a maker says what the episode is about."""
_BUILT: Final = re.compile(
    r"\b(?:it's an?|it is an?|that's an?|(?:this is|today's|about|make|making|build|building|finish|finishing) (?:the|a|an|my|our|one|that)) (?:\S+ )?$"
)


def _put_off(mention: Mention, promises: tuple[Promise, ...]) -> Mention:
    """Mark a thing that is named only in a promise as not used today."""
    later = any(p.span[0] <= mention.span[0] < p.span[1] for p in promises)
    return structs.replace(mention, used=False) if later else mention


def _is_the_part(mention: Mention) -> bool:
    return mention.kind in ("material", "finish") and mention.name.split()[-1] in ROLES
