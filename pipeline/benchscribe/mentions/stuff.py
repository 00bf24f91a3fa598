"""Which stuff is in the build: what the list does not know of and what is named once and in general terms is an aid, or only near by."""

from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise
from typing import Final

from msgspec import structs

from benchscribe.mentions.keys import key, letters, singular, singular_key
from benchscribe.mentions.plan_words import BOUGHT, listed_materials_of
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Mention, PartList

_SURE: Final = 0.5
"""Below this a mention does not count for the list of materials."""
_WEAK: Final = 0.45
"""What is left of a mention that is an aid or near by only."""
_KNOWN: Final = 0.4
"""Share of the list's parts with a material from which the list knows what the build is of."""
_STOCK: Final = frozenset(("metals", "species", "minerals", "timber", "garden_stuff", "ceramics"))
"""Groups of stuff that a build is made of."""
_CUT: Final = frozenset((*_STOCK, "cloth", "plastics", "leather", "paper", "sheet_goods"))
"""Groups of stuff that an aid is made of: "a bit of canvas to rub it with"."""
_VAGUE: Final = frozenset(("paper", "cloth", "fabric", "wire", "stock"))
"""Words too wide to name the stuff where they are said but once."""
ROLES: Final = frozenset(("lining", "piping", "binding", "edging", "welt", "strap", "cover", "panel"))
"""Materials that are called by what they do: where the list has such a part, it is the part."""
_BIT: Final = re.compile(r"\b(?:bits?|piece|pieces|scrap|offcut|lump|strip) of (?:old |soft )?$")


def weigh_stuff(
    things: list[Mention], talk: Talk, part_list: PartList | None, vocabulary: Vocabulary
) -> list[Mention]:
    """Take back the sureness of stuff that is no part of the build.

    Args:
        things: Tools, materials and fixings that were found.
        talk: The plain, repaired words.
        part_list: The plan, whose materials are those of the build.
        vocabulary: The words of the trade.
    """
    listed = {singular(letters(w)) for name in listed_materials_of(part_list) for w in name.split()}
    knows = _knows(part_list)
    groups = {t.name: t.group for t in vocabulary.terms.values()}
    often = Counter(m.name for m in things if m.used and m.confidence >= _SURE)
    of_parts = {
        singular(letters(w)) for p in (part_list.parts if part_list else ()) for w in re.split(r"\W+", p.name)
    }
    fixings = _only_in_fixings(part_list, things, vocabulary)

    def weak(m: Mention) -> bool:
        words = {singular(letters(w)) for w in m.name.split()}
        if m.kind not in ("material", "finish") or m.confidence < _SURE:
            return False
        if words & ROLES & of_parts or (m.name in fixings and often[m.name] == 1):
            return True
        after = talk.words[m.span[1]] if m.span[1] < len(talk.words) else ""
        if after in ("one", "ones"):
            return not words & listed  # "the plastic ones": told from the others
        if m.name == "paper" and m.span[0] and talk.words[m.span[0] - 1] in ("the", "my"):
            return True  # "it says ten on the paper": the plan
        if words & listed or often[m.name] > 1:
            return False
        group = groups.get(m.name, "")
        aid = group in _CUT and _BIT.search(talk.clause_before(m.span[0], limit=4))
        if " " in m.name:
            return bool(aid) and knows and group in _STOCK
        return bool(aid) or m.name in _VAGUE or (knows and group in _STOCK)

    return [structs.replace(m, confidence=_WEAK) if weak(m) else m for m in things]


def one_thing(things: list[Mention], talk: Talk) -> list[Mention]:
    """Join what a maker calls by two names at once: "the rope is manila" is manila rope, "thread's bonded nylon" bonded nylon thread.

    Args:
        things: Tools, materials and fixings that were found.
        talk: The plain, repaired words.
    """
    stuff = sorted((m for m in things if m.kind != "tool" and m.confidence >= _SURE), key=lambda m: m.span)
    joined: dict[str, str] = {}
    for one, other in pairwise(stuff):
        start, end = one.span
        between = " ".join(talk.words[end : other.span[0]])
        owned = talk.words[end - 1].endswith("'s") and not between
        apart = one.name != other.name and not set(other.name.split()) & {one.name, singular(one.name)}
        if end - start == 1 and apart and (owned or between in _BEING):
            joined[one.name] = joined[other.name] = f"{other.name} {one.name}"
    return [structs.replace(m, name=joined.get(m.name, m.name)) for m in things]


_BEING: Final = ("is", "is a", "which is", "which is a")


def _knows(part_list: PartList | None) -> bool:
    """Tell whether the list says what its parts are of."""
    parts = part_list.parts if part_list else ()
    return bool(parts) and sum(bool(p.material) for p in parts) >= _KNOWN * len(parts)


def _only_in_fixings(
    part_list: PartList | None, things: list[Mention], vocabulary: Vocabulary
) -> frozenset[str]:
    """Give the stuff that only bought fixings are of, which are named in the talk: "brass" where the buckles are of it."""
    named = {singular(m.name.split()[-1]) for m in things if m.kind == "hardware" and m.used}
    made: set[str] = set()
    bought: set[str] = set()
    for part in part_list.parts if part_list else ():
        material = " ".join(w for w in part.material.lower().split() if not re.search(r"\d", w))
        head = singular(letters(re.sub(r",.*", "", part.name.lower()).split()[-1]))
        term = vocabulary.terms.get(key((head,))) or vocabulary.terms.get(singular_key((head,)))
        fixing = part.hardware or head in BOUGHT or (term is not None and term.kind == "hardware")
        (bought if fixing and head in named else made).add(material)
    return frozenset(bought - made)
