"""What is spoken of: parts, tools, materials, work, what can hurt, what went wrong, what is put off."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from benchscribe.records.timed import Span, Timed

MentionKind = Literal["part", "tool", "material", "hardware", "operation", "hazard", "finish"]


class Mention(Timed, frozen=True, kw_only=True):
    """Something of the trade that was named."""

    kind: MentionKind
    name: str
    """Canonical: the part's name in the list, the tool's or material's usual name, the operation's verb."""
    words: str
    """As said."""
    span: Span
    confidence: float = 1.0
    used: bool = True
    """False for a tool or material only talked about ("you could use a bandsaw")."""


class Repair(Timed, frozen=True, kw_only=True):
    """A trade word that was heard as another word. A size is never touched."""

    span: Span
    heard: str
    meant: str
    why: str


class Hazard(Timed, frozen=True, kw_only=True):
    """Something that can hurt, with the usual caution."""

    name: str
    """"table saw", "oily rags"."""
    caution: str
    source: str
    """Where the caution is published."""
    words: str = ""
    """What was said that brought it up."""
    said: bool = False
    """The maker gave the warning out loud."""


class Mistake(Timed, frozen=True, kw_only=True):
    """A stretch in which the work went wrong; the guide leaves it out."""

    span: Span
    why: str
    """What shows it: the words that gave it away."""
    text: str = ""


class Promise(Timed, frozen=True, kw_only=True):
    """Something put off to a later episode."""

    span: Span
    text: str


class Mentions(Struct, frozen=True, kw_only=True):
    """All that `find_mentions` found."""

    mentions: tuple[Mention, ...] = ()
    repairs: tuple[Repair, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    promises: tuple[Promise, ...] = ()


class InHand(Timed, frozen=True, kw_only=True):
    """Which part is being worked on during one utterance."""

    utterance: int
    parts: tuple[str, ...]
    """Likeliest first; several where several are in hand at once; empty where none is."""
    confidence: float
