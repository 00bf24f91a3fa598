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
        places = _places(rule, used, texts, talk)
        mine = [
            w
            for w in warnings
            if any(v in texts[w] for v in rule.warn) and any(abs(w - p) <= _REACH for p in places)
        ]
        spoken_for |= set(mine)
        if not places or (rule.only_said and not mine):
            continue
        out.append(_hazard(transcript, rule, (mine or places)[0], said=bool(mine)))
    for place in warnings:
        if (
            place not in spoken_for
            and _is_news(texts[place])
            and not any(abs(place - s) <= 1 for s in spoken_for)
        ):
            out.append(_spoken(transcript, place))
            spoken_for.add(place)
    return tuple(sorted(out, key=lambda h: (h.start_s is None, h.start_s or 0.0)))


def _places(rule: HazardRule, used: list[Mention], texts: list[str], talk: Talk) -> list[int]:
    """Give the utterances that call for a hazard."""
    places = {
        talk.utterance_of[m.span[0]]
        for m in used
        if (m.kind == "tool" and m.name in rule.tools)
        or (m.kind == "operation" and m.name in rule.operations)
        or (m.kind in ("material", "finish", "hardware") and m.name in rule.materials)
    }
    if rule.phrases:
        places |= {i for i, text in enumerate(texts) if any(p in text for p in rule.phrases)}
    return sorted(places)


def _hazard(transcript: Transcript, rule: HazardRule, utterance: int, *, said: bool) -> Hazard:
    place = transcript.utterances[utterance]
    return Hazard(
        start_s=place.start_s,
        end_s=place.end_s,
        name=rule.name,
        caution=rule.caution,
        source=rule.source,
        words=transcript.text(place.span),
        said=said,
    )


def _is_news(text: str) -> bool:
    """Tell a warning that says something by itself from a word or two ("mask on")."""
    return len(text.split()) >= 4


def _spoken(transcript: Transcript, utterance: int) -> Hazard:
    """Keep a warning that fits no hazard of the list, in the maker's words."""
    place = transcript.utterances[utterance]
    text = transcript.text(place.span)
    short = text if len(text) <= 90 else text[:90].rsplit(" ", 1)[0] + " ..."
    return Hazard(
        start_s=place.start_s,
        end_s=place.end_s,
        name="warning",
        caution=short,
        source="said in the talk",
        words=text,
        said=True,
    )
