"""Operations: the trade's verb for what is done, and the tool that it implies where none is named."""

from __future__ import annotations

from typing import Final

from msgspec import structs

from benchscribe.mentions.keys import beginnings, key, letters
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.mentions.weigh import only_talked_about
from benchscribe.records import Mention, Span, Transcript

_WIDEST: Final = 4
_SURE: Final = 0.5
"""Below this a thing that is named does not stand for the implied one."""
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
    starts = beginnings(vocabulary.verbs)
    while at < size:
        hit = None
        runs = talk.runs(at, _WIDEST, starts) if talk.words[at] and at not in taken else []
        for width in range(len(runs), 0, -1):
            before, last = runs[width - 1]
            verb = vocabulary.verbs.get(before + last)
            if verb and (width > 1 or _is_verb(talk, at, vocabulary)):
                hit = (verb, width)
                break
        if hit is None:
            at += 1
            continue
        span = (at, at + hit[1])
        if _everyday(talk, span, hit[0], vocabulary):
            at = span[1]
            continue
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


def _everyday(talk: Talk, span: Span, verb: str, vocabulary: Vocabulary) -> bool:
    """Tell an everyday phrase from an operation ("hang on", "a tap from the mallet")."""
    around = talk.text((max(0, span[0] - 2), min(len(talk.words), span[1] + 2)))
    found = vocabulary.idioms.search(around)
    if found and talk.words[span[0]] in found[0]:
        return True
    near = vocabulary.near.get(verb if verb == "tap" else "")
    start, end = talk.spans[talk.utterance_of[span[0]]]
    return bool(near and not near & set(talk.words[start:end]))


def _is_verb(talk: Talk, at: int, vocabulary: Vocabulary) -> bool:
    word, tag = talk.words[at], talk.tags[at]
    before = talk.words[at - 1] if at and talk.stops[at - 1] == 0 else ""
    after = talk.words[at + 1] if at + 1 < len(talk.words) and talk.stops[at] < 2 else ""
    if letters(word) not in vocabulary.doubtful:
        return before not in _BEFORE_NOUN or tag.startswith("VB")
    if before in _BEFORE_NOUN and not (tag == "VBN" and before == "that"):
        return False
    if after in ("it", "them", "the", "those", "these", "both") and not (
        before and talk.tags[at - 1] in ("JJ", "PRP$", "DT")
    ):
        return True
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


def _by_another(talk: Talk, operation: Mention) -> bool:
    """Tell what is held by something else ("clamped in the vice"), is only said to be so ("countersunk screws") or is what a thing is for."""
    start, end = operation.span
    after = talk.words[end] if end < len(talk.words) else ""
    if start and talk.words[start - 1] == "for":
        return True  # "knobs for clamping"
    if operation.name == "clamp":
        return after == "in"
    describes = end < len(talk.words) and talk.stops[end - 1] == 0 and talk.tags[end].startswith(("NN", "JJ"))
    return talk.words[start] == "countersunk" and describes


def implied_things(
    operations: list[Mention],
    things: list[Mention],
    talk: Talk,
    transcript: Transcript,
    vocabulary: Vocabulary,
) -> list[Mention]:
    """Add what a verb implies ("centre punch it", "glue it up", "the mitre goes round to five") where nothing of its sort is named."""
    used = {vocabulary.usual(m.name) for m in things if m.used and m.confidence >= _SURE}
    out: list[Mention] = []
    for operation in operations:
        for thing in vocabulary.implies.get(key(talk.words[operation.span[0] : operation.span[1]]), ()):
            if operation.used and not used & thing.stand_ins and not _by_another(talk, operation):
                used.add(thing.name)
                out.append(structs.replace(operation, kind=thing.kind, name=thing.name, confidence=0.6))
    for term, ways in vocabulary.settings:
        for span in talk.spans if term.name not in used else ():
            if ways.search(talk.text(span)):
                out.append(
                    Mention(
                        start_s=transcript.words[span[0]].start_s,
                        end_s=transcript.words[span[1] - 1].end_s,
                        kind=term.kind,
                        name=term.name,
                        words=transcript.text(span),
                        span=span,
                        confidence=0.6,
                    )
                )
                break
    return out
