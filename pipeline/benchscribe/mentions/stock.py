"""Metal that is called by its shape alone: "eighth plate", "a bit of tube", "it's sheet, 14 gauge"."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from typing import Final

from benchscribe.mentions.keys import singular
from benchscribe.mentions.plan_words import listed_materials_of
from benchscribe.mentions.talk import Talk
from benchscribe.records import Mention, PartList, Transcript

_METALS: Final = {
    "steel": "steel",
    "stainless": "stainless steel",
    "aluminium": "aluminium",
    "aluminum": "aluminum",
    "brass": "brass",
    "copper": "copper",
    "iron": "iron",
}
_SHAPES: Final = frozenset("angle plate sheet tube channel".split())
_METALWORK: Final = frozenset(
    "weld welds welded welding welder tack tacks tacked grinder mig tig flange flanges rivet rivets braze brazed".split()
)
"""Words of which two must be in the talk: elsewhere an angle is an angle and a plate is a part."""
_NEEDED: Final = 2
_SURE: Final = 0.6
_BEFORE: Final = re.compile(
    r"\b(?:(?:bits?|lengths?|piece|pieces|stick|sheet|offcut|all|some|of) (?:of )?"
    r"|(?:\d[\d/.\-]*|inch|eighth|eighths|quarter|half|sixteenth|sixteenths|mil|mm|gauge|gage|wall|thick|thin|thinner|thicker|fat|heavy|light|hollow|flat) )$"
)
"""What comes before the shape of a stock: how much of it, or how thick it is."""
_AFTER: Final = re.compile(r"^(?:\d+|\w+teen|sixteen|twenty) (?:gauge|gage)\b")


def stock_by_shape(
    talk: Talk, transcript: Transcript, part_list: PartList | None, taken: frozenset[int]
) -> Iterator[Mention]:
    """Find metal stock that is named by its shape, and call it after the metal that the talk is of ("steel angle").

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        part_list: The plan; where it says of what metal the parts are, the stock has its names there.
        taken: Words that belong to another thing.
    """
    words = Counter(talk.words)
    metal, times = max(((m, words[m]) for m in _METALS), key=lambda pair: pair[1])
    if _METALS.keys() & {w for name in listed_materials_of(part_list) for w in name.split()}:
        return
    if not times or len(_METALWORK & words.keys()) < _NEEDED:
        return
    for at, word in enumerate(talk.words):
        shape = singular(word)
        if shape not in _SHAPES or at in taken:
            continue
        before = talk.clause_before(at, limit=3)
        whole = talk.stops[at] == 2 or not _goes_on(talk, at)
        if whole and (_BEFORE.search(before) or _AFTER.match(talk.clause_after(at + 1, limit=3))):
            yield Mention(
                start_s=transcript.words[at].start_s,
                end_s=transcript.words[at].end_s,
                kind="material",
                name=f"{_METALS[metal]} {shape}",
                words=transcript.text((at, at + 1)).strip(" .,;:!?\"'“”"),
                span=(at, at + 1),
                confidence=_SURE,
            )


def _goes_on(talk: Talk, at: int) -> bool:
    """Tell whether the word only describes the next ("plate clamp", "angle grinder")."""
    after = at + 1
    return talk.stops[at] == 0 and after < len(talk.words) and talk.tags[after].startswith("NN")
