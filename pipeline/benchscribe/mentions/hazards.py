"""What can hurt, called for by what is done in the talk, each once, with the usual caution."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from benchscribe.mentions.keys import singular
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import HazardRule, Vocabulary
from benchscribe.records import Hazard, Mention, Transcript

_REACH: Final = 3
"""Utterances between a thing and the warning that goes with it."""
_LEAD: Final = 6
"""Words kept before the warning."""
_SHOWN: Final = 90
"""Letters of a warning that stand in its line."""


def find_hazards(
    talk: Talk, transcript: Transcript, mentions: Iterable[Mention], vocabulary: Vocabulary
) -> tuple[Hazard, ...]:
    """Find the hazards, each once, at the words that brought it up.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        mentions: Tools, materials and operations that were found.
        vocabulary: The hazards and the signs of a spoken warning.
    """
    used = [m for m in mentions if m.used]
    texts = [talk.marked(span) for span in talk.spans]
    warnings = [i for i, text in enumerate(texts) if vocabulary.phrases.warning.search(text)]
    every_word = {singular(w) for w in talk.words}
    out: list[Hazard] = []
    spoken_for: set[int] = set()
    for rule in vocabulary.hazards:
        if rule.needs and not rule.needs & every_word and not rule.needs & set(talk.words):
            continue
        called = _triggers(rule, used, vocabulary)
        places = sorted(
            {talk.utterance_of[m.span[0]] for m in called}
            | {i for i, text in enumerate(texts) if any(p in text for p in rule.phrases)}
        )
        mine = [
            w
            for w in warnings
            if any(v in texts[w] for v in rule.warn) and any(abs(w - p) <= _REACH for p in places)
        ]
        spoken_for |= set(mine)
        if not places or (rule.only_said and not mine):
            continue
        out.append(_hazard(transcript, rule, (mine or places)[0], called, said=bool(mine)))
    for place in warnings:
        if (
            place not in spoken_for
            and _is_news(texts[place])
            and not any(abs(place - s) <= 1 for s in spoken_for)
        ):
            out.append(_spoken(transcript, place, texts[place], vocabulary))
            spoken_for.add(place)
    return tuple(sorted(out, key=lambda h: (h.start_s is None, h.start_s or 0.0)))


def _triggers(rule: HazardRule, used: list[Mention], vocabulary: Vocabulary) -> list[Mention]:
    """Give the mentions that call for a hazard."""
    return [
        m
        for m in used
        if (m.kind == "tool" and vocabulary.usual(m.name) in rule.tools)
        or (m.kind == "operation" and m.name in rule.operations)
        or (m.kind in ("material", "finish", "hardware") and vocabulary.usual(m.name) in rule.materials)
    ]


def _hazard(
    transcript: Transcript, rule: HazardRule, utterance: int, called: list[Mention], *, said: bool
) -> Hazard:
    place = transcript.utterances[utterance]
    # "band saw" stays; "knife, sharp blade" becomes "knife, sharp blade (scalpel)": by what it is called in the talk.
    own = next(
        (
            m.name
            for m in called
            if m.kind != "operation" and not set(m.name.split()) & set(rule.name.replace(",", "").split())
        ),
        "",
    )
    return Hazard(
        start_s=place.start_s,
        end_s=place.end_s,
        name=f"{rule.name} ({own})" if own else rule.name,
        caution=rule.caution,
        source=rule.source,
        words=transcript.text(place.span),
        said=said,
    )


def _is_news(text: str) -> bool:
    """Tell a warning that says something by itself from a word or two ("mask on")."""
    return len(text.split()) >= 4


def _spoken(transcript: Transcript, utterance: int, text: str, vocabulary: Vocabulary) -> Hazard:
    """Keep a warning that fits no hazard of the list, in the maker's words, from a little before the warning itself."""
    place = transcript.utterances[utterance]
    found = vocabulary.phrases.warning.search(text)
    before = len(text[: found.start()].split()) if found else 0
    words = transcript.text(place.span).split()
    short = " ".join(words[max(0, before - _LEAD) :])
    if len(short) > _SHOWN:
        short = short[:_SHOWN].rsplit(" ", 1)[0] + " ..."
    return Hazard(
        start_s=place.start_s,
        end_s=place.end_s,
        name="warning",
        caution=short,
        source="said in the talk",
        words=transcript.text(place.span),
        said=True,
    )
