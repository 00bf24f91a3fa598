"""What can hurt, called for by what is done in the talk, each once, with the usual caution."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from msgspec import Struct, structs

from benchscribe.mentions.keys import singular
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import HazardRule, Vocabulary
from benchscribe.records import Hazard, Mention, Transcript

_REACH: Final = 3
"""Utterances between a thing and the warning that goes with it."""
_SURE: Final = 0.5
"""Below this a name is too general to call a warning by ("bit", "disc")."""
_FAR: Final = 12
"""The same where the warning has an expression of the hazard's own."""
_SAME: Final = 1
"""Utterances between two warnings that are one."""
_BREATH_S: Final = 6.0
"""Seconds between the starts of two warnings that are one."""
_UNSAID: Final = 3
"""Hazards at most that are listed with no warning spoken: the things used most."""
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
    every_word = {singular(w) for w in talk.words} | {*talk.words, *talk.plain}
    usual = {m.name: vocabulary.usual(m.name) for m in used}
    said = "\n".join(texts)
    rules = [structs.replace(r, phrases=tuple(p for p in r.phrases if p in said)) for r in vocabulary.hazards]
    called = [_call(rule, _triggers(rule, used, usual), texts, warnings, talk) for rule in rules]
    best = _one_for_each_warning(
        transcript, texts, [c for c in called if c and (not c.rule.needs or c.rule.needs & every_word)]
    )
    out = [_hazard(talk, transcript, texts, c, used, vocabulary) for c in best]
    spoken_for = {w for c in best for w in (*c.said, *(c.phrased if c.said or not c.rule.grave else ()))}
    for place in warnings:
        if _is_news(texts[place]) and not any(_same(transcript, place, s) for s in spoken_for):
            out.append(_spoken(talk, transcript, place, texts[place], used, vocabulary))
            spoken_for.add(place)
    return tuple(sorted(out, key=lambda h: (h.start_s is None, h.start_s or 0.0)))


def _reach(rule: HazardRule, text: str) -> int:
    """Tell how far from its things a warning may be: farther where it says more than a word of theirs ("it'll come at you"); -1 if none is."""
    words = [v for v in rule.warn if v in text]
    return -1 if not words else _FAR if any(" " in v for v in words) else _REACH


class _Call(Struct, frozen=True):
    """A hazard that the talk calls for."""

    rule: HazardRule
    places: tuple[int, ...]
    """Utterances in which its things or phrases stand."""
    said: tuple[int, ...]
    """Utterances in which a warning of it is spoken."""
    by: tuple[Mention, ...]
    phrased: tuple[int, ...]
    """Utterances in which one of its phrases stands."""


def _call(
    rule: HazardRule,
    by: list[Mention],
    texts: list[str],
    warnings: list[int],
    talk: Talk,
) -> _Call | None:
    phrased = {i for p in rule.phrases for i, text in enumerate(texts) if p in text}
    places = sorted({talk.utterance_of[m.span[0]] for m in by} | phrased)
    reach = {w: _reach(rule, texts[w]) for w in warnings} if places else {}
    said = [w for w, far in reach.items() if far >= 0 and any(abs(w - p) <= far for p in places)]
    if not places or not (rule.grave or said or phrased):
        return None
    return _Call(rule, tuple(places), tuple(said), tuple(by), tuple(sorted(phrased)))


def _one_for_each_warning(transcript: Transcript, texts: list[str], called: list[_Call]) -> list[_Call]:
    """Give each spoken warning to the hazard whose things stand nearest to it; then leave out what nothing calls for any more."""
    owner: dict[int, _Call] = {}
    for w in sorted({w for c in called for w in c.said}):
        owner[w] = min((c for c in called if w in c.said), key=lambda c: _distance(c, w, texts))
    kept, unsaid = [], []
    for call in called:
        said = tuple(w for w in call.said if owner[w] is call)
        mine = structs.replace(call, said=said)
        told = [p for p in call.phrased if not any(_same(transcript, p, w) for w in owner)]
        if said:
            kept.append(mine)
        elif told or call.rule.grave:
            unsaid.append(mine)
    unsaid = [c for c in unsaid if not c.by or not any(set(c.by) <= set(k.by) for k in kept)]
    unsaid.sort(key=lambda c: (not c.phrased, -len(c.by)))
    one: dict[str, _Call] = {}
    for call in kept + unsaid[:_UNSAID]:
        one.setdefault(call.rule.name, call)
    return list(one.values())


def _distance(call: _Call, warning: int, texts: list[str]) -> tuple[int, int]:
    """Tell how far a warning is from the things of a hazard, in utterances, and how few of its words it has."""
    return min(abs(warning - p) for p in call.places), -sum(v in texts[warning] for v in call.rule.warn)


def _same(transcript: Transcript, one: int, other: int) -> bool:
    """Tell whether warnings in two utterances are one: the same utterance, or the next one in the same breath."""
    a, b = transcript.utterances[one].start_s, transcript.utterances[other].start_s
    breath = a is None or b is None or abs(a - b) < _BREATH_S
    return one == other or (abs(one - other) <= _SAME and breath)


def _triggers(rule: HazardRule, used: list[Mention], usual: dict[str, str]) -> list[Mention]:
    """Give the mentions that call for a hazard."""
    return [
        m
        for m in used
        if (m.kind == "tool" and usual[m.name] in rule.tools)
        or (m.kind == "operation" and m.name in rule.operations)
        or (m.kind in ("material", "finish", "hardware") and usual[m.name] in rule.materials)
    ]


def _nearest(talk: Talk, utterance: int, used: list[Mention], reach: int, vocabulary: Vocabulary) -> str:
    """Give the tool, or else the material, named last up to the end of an utterance; empty where none is near."""
    worn = {t.name for t in vocabulary.terms.values() if t.group == "protection"}
    for kinds in (("tool",), ("material", "finish", "hardware")):
        near = [
            m
            for m in used
            if m.kind in kinds
            and m.name not in worn
            and m.confidence >= _SURE
            and -reach <= talk.utterance_of[m.span[0]] - utterance <= 0
        ]
        if near:
            return max(near, key=lambda m: m.span).name
    return ""


def _hazard(
    talk: Talk,
    transcript: Transcript,
    texts: list[str],
    call: _Call,
    used: list[Mention],
    vocabulary: Vocabulary,
) -> Hazard:
    rule = call.rule
    at = (call.said or call.places)[0]
    place = transcript.utterances[at]
    # "band saw" stays; "knife, sharp blade" becomes "knife, sharp blade (scalpel)": by what it is called in the talk.
    own = next(
        (
            m.name
            for m in call.by
            if m.kind != "operation" and not set(m.name.split()) & set(rule.name.replace(",", "").split())
        ),
        "" if call.by or not call.said else _nearest(talk, at, used, 1, vocabulary),
    )
    caution = rule.caution
    if call.said:
        caution = f"{_in_short(transcript, at, texts[at], vocabulary)}: {caution}"
    return Hazard(
        start_s=place.start_s,
        end_s=place.end_s,
        name=f"{rule.name} ({own})" if own else rule.name,
        caution=caution,
        source=rule.source,
        words=transcript.text(place.span),
        said=bool(call.said),
    )


def _is_news(text: str) -> bool:
    """Tell a warning that says something by itself from a word or two ("mask on")."""
    return len(text.split()) >= 4


def _spoken(
    talk: Talk,
    transcript: Transcript,
    utterance: int,
    text: str,
    used: list[Mention],
    vocabulary: Vocabulary,
) -> Hazard:
    """Keep a warning that fits no hazard of the list, in the maker's words, from a little before the warning itself."""
    place = transcript.utterances[utterance]
    about = _nearest(talk, utterance, used, _REACH, vocabulary)
    return Hazard(
        start_s=place.start_s,
        end_s=place.end_s,
        name=about or "warning",
        caution=_in_short(transcript, utterance, text, vocabulary),
        source="said in the talk",
        words=transcript.text(place.span),
        said=True,
    )


def _in_short(transcript: Transcript, utterance: int, text: str, vocabulary: Vocabulary) -> str:
    """Give the words of a warning, from a little before what shows it."""
    found = vocabulary.phrases.warning.search(text)
    before = len(text[: found.start()].split()) if found else 0
    words = transcript.text(transcript.utterances[utterance].span).split()
    short = " ".join(words[max(0, before - _LEAD) :])
    if len(short) > _SHOWN:
        short = short[:_SHOWN].rsplit(" ", 1)[0] + " ..."
    return short.rstrip(" .,:;")
