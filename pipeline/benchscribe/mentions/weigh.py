"""How sure it is that a thing that is named is meant, and used: a passing remark, a likeness or a purpose is no use."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from benchscribe.mentions.keys import singular
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Term, Vocabulary
from benchscribe.records import Mention, Span, Transcript

_DETAIL: Final = re.compile(
    r"^(?:\d[\d/.\-]*(?:st|nd|rd|th|ths|mm|in|inch|mil|-?tooth|-?grit|-?ounce|oz|-?inch|cm|thou)?|[\d/.\-]+-(?:tooth|inch|grit|mm|ounce)|half|quarter|eighth|tooth|teeth|grit|inch|inches|mil|mm|millimeter|millimetre|ounce|oz|degree|number|gauge|ga)$"
)
_GENERIC: Final = "generic"


class Found(Struct, frozen=True):
    """A thing of the vocabulary in the talk."""

    term: Term
    name: str
    """What to call it: the usual name, or the name as said where the vocabulary knows only its head."""
    span: Span
    sure: float


_OF_IT: Final = frozenset(
    "stuff bar swarf dust chips paint finish mark marks hole holes shavings smoke smell noise dried cast".split()
)
"""What a tool only describes: "lathe swarf", "hammer paint"."""
_NO: Final = (("no",), ("nope",), ("never",), ("nah",))
"""Answers to "copper tacks?"."""
_HELD_IN: Final = frozenset(
    "can tin pot bottle jar box bag bucket tube hole head line mark gun brush drawer shelf lid man rack bin pen stick job coat thing side end edge joint test smell stain".split()
)
"""What stuff only describes: "paint can", "rivet holes"."""
_ALONE: Final = {
    "saw": ("the", "my", "your", "that", "this", "a"),
    "gauge": ("the", "my", "your", "a"),
    "tape": ("with", "of", "some", "and"),
}
"""General words that stand for the only one of their kind, and the words before them; "the tape" is one to measure with."""


def weigh(
    talk: Talk, transcript: Transcript, found: Sequence[Found], vocabulary: Vocabulary
) -> list[Mention]:
    """Make mentions of what was found, each with how sure it is and whether the thing is used.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        found: The things of the vocabulary, in the order of the talk.
        vocabulary: The words of the trade.
    """
    tools = {
        f.span[0] for f in found if f.term.kind == "tool" and f.term.group not in (_GENERIC, "protection")
    }
    return [_mention(talk, transcript, f, vocabulary, tools) for f in found]


def _mention(
    talk: Talk, transcript: Transcript, found: Found, vocabulary: Vocabulary, tools: set[int]
) -> Mention:
    start, end = found.span
    first = start
    if found.term.kind != "part":
        while (
            first > 0
            and start - first < 4
            and talk.stops[first - 1] == 0
            and _DETAIL.match(talk.words[first - 1])
        ):
            first -= 1
    return Mention(
        start_s=transcript.words[start].start_s,
        end_s=transcript.words[end - 1].end_s,
        kind=found.term.kind,
        name=found.name,
        words=transcript.text((first, end)).strip(" .,;:!?\"'“”"),
        span=(start, end),
        confidence=_sure(talk, found, tools),
        used=not (
            only_talked_about(talk, found.span, vocabulary)
            or _is_purpose(talk, found, vocabulary)
            or (transcript.words[end - 1].text.endswith("?") and talk.words[end : end + 1] in _NO)
        ),
    )


def _sure(talk: Talk, found: Found, tools: set[int]) -> float:
    """Say how sure it is that the thing is meant: less for general words, and for stuff that only describes another thing."""
    start, end = found.span
    if found.term.group == _GENERIC:
        before = talk.words[start - 1] if start else ""
        return 0.4 if before in _ALONE.get(found.name, ()) else 0.3
    if found.name == "drill" and start and _DETAIL.match(talk.words[start - 1]):
        return 0.3  # "a 5 mil drill": the bit
    if (
        found.term.kind == "tool"
        and talk.stops[end - 1] == 0
        and talk.words[end : end + 1]
        and talk.words[end] in _OF_IT
    ):
        return 0.4
    if found.term.kind == "material" and end in tools and talk.stops[end - 1] == 0:
        return 0.4  # "brass cramps": what a tool is made of
    if found.term.group in _BUILDING_STUFF or found.term.kind == "tool" or found.term.own:
        return found.sure
    after = talk.words[end] if end < len(talk.words) and talk.stops[end - 1] == 0 else ""
    if singular(after) in _HELD_IN:
        return 0.45  # "paint can", "rivet holes": another thing
    bare = (end - start == 1 and found.name not in _SEEN) or found.term.group == "electronic_parts"
    if found.term.kind == "hardware" and bare and not _described(talk, found.span):
        return 0.45
    return found.sure


def _described(talk: Talk, span: Span) -> bool:
    """Tell whether a fixing is described: counted, of a kind ("brass screws"), or with a size near by."""
    start, end = span
    if start and talk.stops[start - 1] == 0:
        tag = talk.tags[start - 1]
        if tag in ("JJ", "CD", "VBN") or tag.startswith("NN"):
            return True
    near = talk.words[max(0, start - 3) : start] + talk.words[end : end + 4]
    return any(any(c.isdigit() for c in w) for w in near) or bool(_SIZED & set(near))


_SEEN: Final = frozenset(
    "springs hinges buckle buckles zipper cleats grommets snaps eyelets casters latch glands chain".split()
)
"""Fixings that are named by one word."""
_SIZED: Final = frozenset(("inch", "mil", "quarter", "half", "eighth", "number"))
_BUILDING_STUFF: Final = frozenset(
    (
        "species",
        "metals",
        "plastics",
        "sheet_goods",
        "leather",
        "cloth",
        "minerals",
        "timber",
        "paper",
        "listed",
    )
)


def _is_purpose(talk: Talk, found: Found, vocabulary: Vocabulary) -> bool:
    """Tell stuff or a fixing that something else is for: "holes for the screws", "drill it for the wire"."""
    stuff = found.term.kind == "material" or found.term.group == "fasteners"
    return stuff and bool(vocabulary.phrases.purpose.search(talk.clause_before(found.span[0], limit=4)))


_TURN: Final = 5
"""Words before a thing in which its clause may begin."""


def only_talked_about(talk: Talk, span: Span, vocabulary: Vocabulary) -> bool:
    """Tell a thing that is used from one that is named in passing ("you could use a", "I don't own a", "not with a")."""
    before, after = talk.clause_before(span[0]), talk.clause_after(span[1])
    for i in range(span[0] - 1, max(0, span[0] - _TURN), -1):
        if talk.stops[i - 1] == 1 and talk.words[i] in ("so", "but"):
            before = talk.clause_before(
                span[0], limit=span[0] - i
            )  # "it drags like a rasp, so use the cutter"
            break
    return bool(
        vocabulary.phrases.unused_before.search(before) or vocabulary.phrases.unused_after.search(after)
    )
