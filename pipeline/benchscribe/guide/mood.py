"""Tells work that is done, or told to be done, from what is only said of it."""

from __future__ import annotations

import re

from benchscribe.guide.stepwords import step_words
from benchscribe.records import Mention, Span, Transcript

_CLAUSE = re.compile(r"[,.;:]\s|\b(?:and|but|then|so|because)\b")
_PLAIN_S = ("ss", "us", "is")
"""Endings of words that end in "s" without being a plural or a third person."""


def only_said(transcript: Transcript, span: Span, at: int) -> bool:
    """Tell whether the words before one in its clause say that nothing is done and nobody is told to do it."""
    before = transcript.text((span[0], at)).lower().replace("\u2019", "'")
    return bool(step_words().talk.search(_CLAUSE.split(before)[-1]))


def only_talk(transcript: Transcript, span: Span, mention: Mention) -> bool:
    """Tell whether the words around a verb or tool say that nothing is done and nobody is told to do it."""
    words = step_words()
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
    words = step_words()
    verb = _plain(transcript, mention.span[0])
    lead = [_plain(transcript, i) for i in range(max(span[0], mention.span[0] - 4), mention.span[0])]
    closed = mention.span[0] > span[0] and transcript.words[mention.span[0] - 1].text.endswith(
        (",", ".", ";", ":", "?", "!")
    )
    while lead and (lead[-1] in words.adverbs or lead[-1].endswith("ly")):
        lead.pop()
    if verb.endswith("s") and not verb.endswith(_PLAIN_S):
        return True
    if closed or not lead:
        return False
    if verb.endswith("ed") or verb in words.participles:
        return lead[-1] not in words.doers and lead[-1] not in words.made_so and lead[-1] not in words.joiners
    return lead[-1] in words.things


def _elsewhere(transcript: Transcript, span: Span, mention: Mention) -> bool:
    """Tell a verb that only moves a piece about ("turn it over", "tap it down") by what follows it."""
    said = mention.words.lower()
    after = transcript.text((mention.span[1], min(mention.span[1] + 6, span[1]))).lower()
    clause = re.split(r"[.;,]", after)[0]
    return any(
        said.startswith(start) and way.search(clause or ".") for start, way in step_words().elsewhere.items()
    )


def _plain(transcript: Transcript, index: int) -> str:
    return re.sub(r"[^\w']", "", transcript.words[index].text.lower().replace("\u2019", "'"))
