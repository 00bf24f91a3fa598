"""Operations: the trade's verb for what is done, and the tool that it implies where none is named."""

from __future__ import annotations

from typing import Final

from benchscribe.mentions.keys import key, letters
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.things import only_talked_about
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Mention, Transcript

_WIDEST: Final = 4
_OBJECTS: Final = frozenset(
    "it them this that those these the a an all both each every one two my your off up down out through around in along to for from with".split()
)
_BEFORE_VERB: Final = frozenset(
    "to i we you they i'll we'll you'll i'd we'd i've we've you've don't can could should will would just then let's gets get got and or first i'm we're you're be been being is are was were".split()
)
_BEFORE_NOUN: Final = frozenset(
    "a an the my your his our their this that these those each every another no some any of same".split()
)


def find_operations(
    talk: Talk, transcript: Transcript, taken: frozenset[int], vocabulary: Vocabulary
) -> list[Mention]:
    """Find what is done, by the trade's verb.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        taken: Words that belong to a part's or a tool's name.
        vocabulary: The verbs.
    """
    out: list[Mention] = []
    at, size = 0, len(talk.words)
    while at < size:
        hit = None
        for width in range(min(_WIDEST, size - at), 0, -1):
            if (
                at in taken
                or any(talk.stops[i] == 2 for i in range(at, at + width - 1))
                or not talk.words[at]
            ):
                continue
            verb = vocabulary.verbs.get(key(talk.words[at : at + width]))
            if verb and (width > 1 or _is_verb(talk, at, vocabulary)):
                hit = (verb, width)
                break
        if hit is None:
            at += 1
            continue
        span = (at, at + hit[1])
        out.append(
            Mention(
                start_s=transcript.words[at].start_s,
                end_s=transcript.words[span[1] - 1].end_s,
                kind="operation",
                name=hit[0],
                words=transcript.text(span).strip(" .,;:!?\"'“”"),
                span=span,
                confidence=0.9 if letters(talk.words[at]) not in vocabulary.doubtful else 0.7,
                used=not only_talked_about(talk, span, vocabulary),
            )
        )
        at = span[1]
    return out


def _is_verb(talk: Talk, at: int, vocabulary: Vocabulary) -> bool:
    word, tag = talk.words[at], talk.tags[at]
    before = talk.words[at - 1] if at and talk.stops[at - 1] < 2 else ""
    after = talk.words[at + 1] if at + 1 < len(talk.words) and talk.stops[at] < 2 else ""
    if letters(word) not in vocabulary.doubtful:
        return before not in _BEFORE_NOUN or tag.startswith("VB")
    if before in _BEFORE_NOUN and not (tag == "VBN" and before == "that"):
        return False
    if before in _BEFORE_VERB and (tag.startswith("VB") or after in _OBJECTS):
        return True
    if not before and after in _OBJECTS:
        return True
    return tag.startswith("VB") and not (
        at + 1 < len(talk.tags)
        and tag in ("VBN", "VBG")
        and talk.tags[at + 1].startswith("NN")
        and before in _BEFORE_NOUN
    )


def implied_tools(
    operations: list[Mention], things: list[Mention], talk: Talk, vocabulary: Vocabulary
) -> list[Mention]:
    """Add the tool that a verb implies ("centre punch it", "clamp it up") where no tool that could do it is used in the episode."""
    used = {m.name for m in things if m.kind == "tool" and m.used}
    out: list[Mention] = []
    for operation in operations:
        tools = vocabulary.implies.get(key(talk.words[operation.span[0] : operation.span[1]]))
        if tools is None or not operation.used or used & set(tools):
            continue
        used.add(tools[0])
        out.append(
            Mention(
                start_s=operation.start_s,
                end_s=operation.end_s,
                kind="tool",
                name=tools[0],
                words=operation.words,
                span=operation.span,
                confidence=0.6,
            )
        )
    return out
