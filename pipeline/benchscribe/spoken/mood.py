"""Tells work that is done, or told to be done, from what is only said of it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from msgspec import Struct

from benchscribe.records import Mention, Span, Transcript

_CLAUSE = re.compile(r"[,.;:]\s|\b(?:and|but|then|so|because)\b")
_PLAIN_S = ("ss", "us", "is")
"""Endings of words that end in "s" without being a plural or a third person."""


class _Mood(Struct, frozen=True):
    """The tables of `mood.toml`."""

    adverbs: frozenset[str]
    doers: frozenset[str]
    made_so: frozenset[str]
    joiners: frozenset[str]
    things: frozenset[str]
    participles: frozenset[str]
    others: frozenset[str]
    elsewhere: Mapping[str, re.Pattern[str]]
    talk: re.Pattern[str]
    talk_after: re.Pattern[str]


@lru_cache(maxsize=1)
def _mood() -> _Mood:
    table = tomllib.loads(resources.files("benchscribe.spoken").joinpath("mood.toml").read_text("utf-8"))

    def any_of(phrases: list[str]) -> str:
        return "|".join(map(re.escape, sorted(phrases, key=len, reverse=True)))

    return _Mood(
        **{key: frozenset(words.split()) for key, words in table["mood"].items()},
        elsewhere={start: re.compile(pattern) for start, pattern in table["elsewhere"].items()},
        talk=re.compile(rf"\b(?:{any_of(table['talk']['before'])})\b(?:'\w+)?(?:\s+\S+){{0,3}}\s*$"),
        talk_after=re.compile(rf"(?:{any_of(table['talk']['after'])})\b"),
    )


def only_said(transcript: Transcript, span: Span, at: int) -> bool:
    """Tell whether the words before one in its clause say that nothing is done and nobody is told to do it."""
    before = transcript.text((span[0], at)).lower().replace("\u2019", "'")
    return bool(_mood().talk.search(_CLAUSE.split(before)[-1]))


def only_talk(transcript: Transcript, span: Span, mention: Mention) -> bool:
    """Tell whether the words around a verb or tool say that nothing is done and nobody is told to do it."""
    words = _mood()
    before = transcript.text((span[0], mention.span[0])).lower().replace("\u2019", "'")
    clause = _CLAUSE.split(before)[-1]
    after = transcript.text((mention.span[1], min(mention.span[1] + 4, span[1]))).lower()
    word = transcript.words[mention.span[0]].text
    if mention.kind == "operation" and before.endswith(",") and re.search(r"ed[,.]$", word):
        # "Seven eighths thick, planed, and three wide": how it comes, not what is done.
        return True
    if mention.kind == "operation" and (
        _describes(transcript, span, mention) or _elsewhere(transcript, span, mention)
    ):
        return True
    return bool(words.talk.search(clause)) or bool(words.talk_after.match(after))


def _describes(transcript: Transcript, span: Span, mention: Mention) -> bool:
    """Tell a verb that describes a thing from one that says what the maker does.

    A maker's work is told as "I drill", "you drill it", "drill it", "drilled", "it gets drilled". A verb in the third person ("it binds",
    "where it bends"), one with a thing for its subject ("they stop it from folding"), and a participle behind a noun ("screwed to the
    base" in "a bit of ply screwed to the base") say what a thing is like.
    """
    words = _mood()
    verb = _plain(transcript, mention.span[0])
    lead = [_plain(transcript, i) for i in range(max(span[0], mention.span[0] - 4), mention.span[0])]
    closed = mention.span[0] > span[0] and transcript.words[mention.span[0] - 1].text.endswith(
        (",", ".", ";", ":", "?", "!")
    )
    while lead and (lead[-1] in words.adverbs or lead[-1].endswith("ly")):
        lead.pop()
    if verb.endswith("s") and not verb.endswith(_PLAIN_S):
        return True
    past = verb.endswith("ed") or verb in words.participles
    if past and _of_others(transcript, span[0], mention.span[0]):
        return True
    if closed or not lead:
        return False
    if past:
        return lead[-1] not in words.doers and lead[-1] not in words.made_so and lead[-1] not in words.joiners
    return lead[-1] in words.things


def _of_others(transcript: Transcript, begin: int, at: int) -> bool:
    """Tell whether what is told in the past is somebody else's doing: "there's a man who did it and sewed right through"."""
    words = _mood()
    for index in range(at - 1, begin - 1, -1):
        word = _plain(transcript, index)
        if word in words.doers:
            return False
        if word in words.others:
            return True
    return False


def _elsewhere(transcript: Transcript, span: Span, mention: Mention) -> bool:
    """Tell a verb that only moves a piece about ("turn it over", "tap it down") by what follows it."""
    said = mention.words.lower()
    after = transcript.text((mention.span[1], min(mention.span[1] + 6, span[1]))).lower()
    clause = re.split(r"[.;,]", after)[0]
    return any(
        said.startswith(start) and way.search(clause or ".") for start, way in _mood().elsewhere.items()
    )


def _plain(transcript: Transcript, index: int) -> str:
    return re.sub(r"[^\w']", "", transcript.words[index].text.lower().replace("\u2019", "'"))
