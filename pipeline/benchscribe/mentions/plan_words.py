"""What the plan's list says of materials and bought parts, so that they are known when they are said."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from msgspec import structs

from benchscribe.mentions.keys import key, letters, singular, singular_key
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Term, Vocabulary
from benchscribe.records import Mention, PartList, Transcript

_UNITS: Final = frozenset(
    "mm in inch cm oz ounce ga gauge to suit offcut scrap x off from any or as bought plated various misc none made see note solid ply".split()
)
"""Words of a material cell that name no material."""
_LONGEST: Final = 4
_SHAPES: Final = frozenset(
    "sheet bar flat plate board rod tube strip block stock section angle round square wire cloth paper panel slot skin tape".split()
)
"""Words of a material that say its shape: they do not stand for it alone."""
BOUGHT: Final = frozenset(
    "spring screw bolt hinge rivet eyelet grommet buckle zip zipper magnet bearing washer nut snap nail tack insert caster castor gland fuse".split()
)
"""Fixings that nobody makes: a part of the list that is named so is bought."""
_SURE: Final = 0.7
"""From here on a part is taken as named."""


def listed_materials_of(part_list: PartList | None) -> tuple[str, ...]:
    """Give the materials of a list, each once, without sizes and anything in brackets ("18 mm birch ply" is birch ply)."""
    found: dict[str, None] = {}
    for part in part_list.parts if part_list else ():
        for written in re.split(r"[/,;]|\bor\b|\band\b", re.sub(r"\([^)]*\)", " ", part.material.lower())):
            words = [w for w in written.split() if w not in _UNITS]
            named = [w for w in words if not re.search(r"\d", w)]
            if named and len(named) <= _LONGEST and len(key(named)) > 2 and not set(named) <= _SHAPES:
                found[" ".join(named)] = None
            elif len(words) == 1 and re.fullmatch(r"[a-z]*\d{4,}[a-z0-9\-]*", words[0]):
                found[words[0]] = None  # an alloy's number: "1018"
    return tuple(found)


def with_plan_words(vocabulary: Vocabulary, part_list: PartList | None) -> Vocabulary:
    """Add the materials that the plan's list names.

    The last word of a name stands for the material where it is no other thing ("the shoulder" for bridle shoulder). A word of the trade
    that is a tool elsewhere is the material here where the list says so ("rubber").

    Args:
        vocabulary: The words of the trade.
        part_list: The plan.
    """
    names = listed_materials_of(part_list)
    if not names or part_list is None:
        return vocabulary
    terms = dict(vocabulary.terms)
    of_parts = {singular(letters(w)) for p in part_list.parts for w in re.split(r"[\s/,\-]+", p.name.lower())}
    settled: set[str] = set()
    for name in names:
        words = name.split()
        term = Term(name, "material", "listed", name)
        forms = {key(words), singular_key(words)}
        known = next((terms[f] for f in forms if f in terms), None)
        if known is None or known.kind not in ("material", "finish", "hardware"):
            terms |= dict.fromkeys(forms, term)
            settled |= forms
        elif len(words) == 1:
            settled |= forms
        last = singular(letters(words[-1]))
        alone = len(words) > 1 and len(last) > 3 and last not in terms and letters(words[-1]) not in terms
        if alone and last not in of_parts | _SHAPES | {letters(v) for v in vocabulary.verbs}:
            terms[last] = terms[letters(words[-1])] = term
    if not settled and len(terms) == len(vocabulary.terms):
        return vocabulary
    return structs.replace(
        vocabulary,
        terms=terms,
        meanings={w: m for w, m in vocabulary.meanings.items() if w not in settled},
        trade_only=vocabulary.trade_only - settled,
        needs={w: n for w, n in vocabulary.needs.items() if letters(w) not in settled},
        needs_near={w: n for w, n in vocabulary.needs_near.items() if letters(w) not in settled},
    )


def bought_parts(
    parts: list[Mention], part_list: PartList | None, vocabulary: Vocabulary
) -> Iterator[Mention]:
    """Give the parts of the list that are named and that nobody makes, as fixings: "the pop rivets", "the threaded pipe".

    Args:
        parts: The parts that are named in the talk.
        part_list: The plan.
        vocabulary: The words of the trade: what a bought part is called there.
    """
    bought: dict[str, Term] = {}
    for part in part_list.parts if part_list else ():
        words = [
            w for w in re.sub(r"\([^)]*\)|,.*", "", part.name.lower()).split() if not re.search(r"\d", w)
        ]
        for start in range(min(2, len(words))):
            term = (
                vocabulary.terms.get(key(words[start:])) or vocabulary.terms.get(singular_key(words[start:]))
                if words
                else None
            )
            if term is None:
                continue
            fixing = term.kind == "hardware" and (part.hardware or singular(words[-1]) in BOUGHT)
            if fixing or (term.kind == "material" and start == 0):
                bought[part.name] = structs.replace(term, name=" ".join(words))
                break
    for mention in parts:
        term = bought.get(mention.name)
        if term is not None and mention.used and mention.confidence >= _SURE:
            yield structs.replace(mention, kind=term.kind, name=term.name)


def named_by_colour(
    talk: Talk,
    transcript: Transcript,
    part_list: PartList | None,
    taken: frozenset[int],
    vocabulary: Vocabulary,
) -> Iterator[Mention]:
    """Find a material that is told from its like by one word and named by it alone: "the brown" for brown willow.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        part_list: The plan: a colour stands for a material where two of its materials differ by it.
        taken: Words that belong to another thing.
        vocabulary: The words of the trade.
    """
    names = listed_materials_of(part_list)
    first: dict[str, str] = {}
    for name in names:
        words = name.split()
        alike = [n for n in names if n != name and n.split()[-1] == words[-1]]
        sort = vocabulary.terms.get(key(words[1:]))
        if len(words) == 2 and alike and not (sort and sort.group == "plastics"):
            first[words[0]] = name
    for at, word in enumerate(talk.words):
        if (
            word not in first
            or at in taken
            or not at
            or talk.words[at - 1] not in ("the", "this", "that", "some", "that's")
        ):
            continue
        after = at + 1
        if after < len(talk.words) and talk.stops[at] == 0 and talk.tags[after].startswith("NN"):
            continue
        yield Mention(
            start_s=transcript.words[at].start_s,
            end_s=transcript.words[at].end_s,
            kind="material",
            name=first[word],
            words=transcript.text((at, at + 1)).strip(" .,;:!?\"'“”"),
            span=(at, at + 1),
            confidence=0.7,
        )
