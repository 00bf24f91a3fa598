"""Titles as a maker would type them: the part and what is done to it; a correction shows."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec import Struct

from benchscribe.chapters.blocks import Block
from benchscribe.chapters.phrases import key_phrases, subject
from benchscribe.chapters.vocabulary import as_said, closings, content_words, fold, gerund, plain_operations
from benchscribe.measures import write_measure
from benchscribe.records import PUBLISHED, Finding, Mentions, Said, Transcript
from benchscribe.spoken.mood import only_talk

LONGEST = 49
"""Characters: a title stays under fifty."""


class Title(Struct, frozen=True):
    """A chapter's title, its part and what the title was made from."""

    text: str
    part: str | None
    why: str


class _Matter(Struct, frozen=True):
    """All that a title of one chapter can be made from."""

    first: bool
    last: bool
    parts: tuple[str, ...]
    operations: tuple[str, ...]
    finding: Finding | None
    mistake: bool
    subject: str
    phrases: tuple[str, ...]
    repeated: bool
    """The first of the phrases is said more than once."""
    closing: bool
    leaves: bool
    """It begins with taking leave, or with what comes another day."""
    heading: str


def make_titles(
    transcript: Transcript,
    blocks: Sequence[Block],
    cut: Sequence[int],
    mentions: Mentions,
    findings: Sequence[Finding],
) -> list[Title]:
    """Name the chapters.

    Args:
        transcript: What was said.
        blocks: All blocks.
        cut: The blocks that open a chapter.
        mentions: What was named.
        findings: What the maker must know.

    Returns:
        One title per chapter, under fifty characters, no two alike.
    """
    ends = [*cut[1:], len(blocks)]
    stretches = [blocks[begin:end] for begin, end in zip(cut, ends, strict=True)]
    phrases = key_phrases(transcript, [(s[0].span[0], s[-1].span[1]) for s in stretches])
    titles: list[Title] = []
    taken: set[str] = set()
    for number, stretch in enumerate(stretches):
        matter = _Matter(
            first=number == 0,
            last=number == len(stretches) - 1 and number > 0,
            parts=_parts(stretch),
            operations=_operations(transcript, stretch, mentions),
            finding=_finding(stretch, findings),
            mistake=_has_mistake(stretch, mentions),
            subject=subject(transcript, stretch[0].span[0], stretch[-1].span[1]) if number == 0 else "",
            phrases=phrases[number],
            repeated=_repeated(stretch, phrases[number]),
            closing=_closing(stretch),
            leaves=any(block.closes for block in stretch[:2]),
            heading=stretch[0].heading,
        )
        title = _choose(matter, taken, number)
        taken.add(fold(title.text))
        titles.append(title)
    return titles


def _choose(matter: _Matter, taken: set[str], number: int) -> Title:
    part = matter.parts[0] if matter.parts else None
    for text, why in _options(matter):
        tidy = _sentence_case(" ".join(text.split()))
        if len(tidy) <= LONGEST and fold(tidy) not in taken:
            opening = matter.first and tidy.startswith("Introduction")
            return Title(tidy, None if opening else part, why)
    base = matter.heading or part or (matter.phrases[0] if matter.phrases else f"Part {number + 1}")
    base = _sentence_case(_shortened(base, LONGEST - 12))
    for again in ("", " again", *(f", part {n}" for n in range(2, 1000))):
        if fold(base + again) not in taken:
            return Title(base + again, part, "no shorter name was free")
    raise AssertionError("a title is always free")


def _options(matter: _Matter) -> Iterator[tuple[str, str]]:
    """Give titles, the best first; the first that is short enough and not taken is used."""
    if matter.heading:
        yield matter.heading, "the maker's heading"
        yield _shortened(matter.heading, LONGEST), "the maker's heading, shortened"
        return
    if matter.first:
        yield from _opening(matter)
    if matter.finding is not None:
        yield from _corrections(matter, matter.finding)
    if matter.last:
        yield from _leaving(matter)
    doing = _listed(matter.operations[:3])
    if matter.parts:
        yield from _part_titles(matter, doing)
    for count in (2, 1):
        if len(matter.phrases) >= count:
            yield _listed(matter.phrases[:count]), "what is said most here and least elsewhere"
    if doing:
        yield doing, "what is done"
    yield from ((phrase, "what is said most here") for phrase in matter.phrases)


def _leaving(matter: _Matter) -> Iterator[tuple[str, str]]:
    if matter.leaves:
        yield "Next time and sign-off", "taking leave"
    if matter.closing and not matter.parts:
        doings = _leading_operations(matter)
        plain = set(matter.operations) <= {gerund(name) for name in plain_operations()}
        for phrase in [*matter.phrases[:3], *doings] if plain else [*doings, *matter.phrases[:3]]:
            yield f"{phrase} and sign-off", "taking leave"
        yield "Sign-off", "taking leave"


def _opening(matter: _Matter) -> Iterator[tuple[str, str]]:
    if matter.subject:
        yield f"Introduction: {matter.subject}", "the subject as the maker names it"
    if matter.phrases and matter.repeated:
        yield f"Introduction: {matter.phrases[0]}", "what is said most here"
    yield "Introduction", "the opening"


def _corrections(matter: _Matter, finding: Finding) -> Iterator[tuple[str, str]]:
    part = _short_name(finding.part or "")
    main = _short_name(matter.parts[0] if matter.parts else part)
    size = _size(finding.spoken) if finding.status in PUBLISHED and finding.spoken else ""
    whose = part or main or "Plan"
    if main and part and main != part:
        yield f"{main}, {_lower(part)} corrected", "a correction in it"
        yield f"{main}: plan correction", "a correction in it"
        return
    if finding.kind == "plan-wrong":
        if size:
            yield f"{whose}: the plan is wrong, make it {size}", "the maker corrects the plan"
            yield f"{whose}: plan wrong, make it {size}", "the maker corrects the plan"
        yield f"{whose}: the plan is wrong here", "the maker corrects the plan"
        yield f"{whose}: plan correction", "the maker corrects the plan"
    elif finding.kind == "changed":
        if size:
            yield f"{whose}: changed from the plan to {size}", "the maker changes the plan"
            yield f"{whose}: changed to {size}", "the maker changes the plan"
        yield f"{whose}: changed from the plan", "the maker changes the plan"
    elif finding.kind == "supplied":
        how = {"measured": "measured", "scaled": "scaled off the drawing"}.get(finding.supplied_how, "")
        if size and how == "measured":
            yield f"{whose}: the missing size, measured at {size}", "the list is blank here"
        if size:
            yield f"{whose}: the missing size is {size}", "the list is blank here"
        yield f"{whose}: the missing size", "the list is blank here"


def _part_titles(matter: _Matter, doing: str) -> Iterator[tuple[str, str]]:
    names = [_short_name(part) for part in matter.parts]
    lead = _listed((names[0], *map(_lower, names[1:3])))
    main = names[0]
    note = ", with a mistake" if matter.mistake else ""
    several = len(matter.parts) > 1
    for name in [lead, _listed((main, *map(_lower, names[1:2]))), main] if several else [main]:
        if doing:
            yield f"{name}: {doing}{note}", "the part in hand and what is done to it"
            short = _listed(matter.operations[:2])
            yield f"{name}: {short}{note}", "the part in hand and what is done to it"
            yield f"{name}: {matter.operations[0]}{note}", "the part in hand and what is done to it"
        if several and name != main:
            yield f"{name}{note}", "the parts in hand"
    yield f"{main}{note}", "the part in hand"
    stems = set(content_words(main))
    for phrase in matter.phrases:
        if not stems.intersection(content_words(phrase)):
            yield f"{main}: {phrase}", "the part in hand and what is said of it"


def _short_name(part: str) -> str:
    """Leave out what a list puts behind a comma: "Machine screw, 10-24 x 3/4" is a machine screw in a title."""
    return part.split(",", maxsplit=1)[0].strip() or part


def _parts(stretch: Sequence[Block]) -> tuple[str, ...]:
    """Give the parts that a stretch is about, by how long each is in hand, in the order in which they come."""
    held: Counter[str] = Counter()
    for block in stretch:
        if block.parts:
            held[block.parts[0]] += len(block.text.split())
    total = sum(len(block.text.split()) for block in stretch)
    if not held or sum(held.values()) < 0.25 * total:
        named = next((block.opens_with for block in stretch[:2] if block.opens_with), "")
        return (named,) if named else ()
    ranked = [part for part, count in held.most_common() if count >= 0.2 * sum(held.values())]
    # Of many parts that are touched on, none may have a fifth of the talk.
    ranked = ranked or [held.most_common(1)[0][0]]
    main = ranked[0]
    order = {block.parts[0]: n for n, block in reversed(list(enumerate(stretch))) if block.parts}
    first = min(ranked, key=lambda part: order[part])
    lead = first if held[first] >= 0.4 * held[main] else main
    return (lead, *sorted((part for part in ranked if part != lead), key=lambda part: order[part]))


def _operations(transcript: Transcript, stretch: Sequence[Block], mentions: Mentions) -> tuple[str, ...]:
    """Give what is done most, as "ripping", in the order in which it comes; plain verbs only where there is nothing better."""
    begin, end = stretch[0].span[0], stretch[-1].span[1]
    sentences = _sentences(transcript, begin, end)
    named = [
        name
        for m in mentions.mentions
        if m.kind == "operation"
        and m.used
        and begin <= m.span[0] < end
        and not only_talk(transcript, sentences[m.span[0] - begin], m)
        and (name := as_said(m.words.lower(), m.name.lower()))
    ]
    telling = [name for name in named if name not in plain_operations()] or named
    best = [name for name, _ in Counter(telling).most_common(3)]
    return tuple(gerund(name) for name in sorted(best, key=named.index))


def _sentences(transcript: Transcript, begin: int, end: int) -> list[tuple[int, int]]:
    """Give the utterance of each word of a stretch."""
    home: list[tuple[int, int]] = [(begin, end)] * (end - begin)
    for utterance in transcript.utterances:
        for at in range(max(begin, utterance.span[0]), min(end, utterance.span[1])):
            home[at - begin] = utterance.span
    return home


def _leading_operations(matter: _Matter) -> list[str]:
    return [_listed(matter.operations[:2]), *matter.operations[:1]] if matter.operations else []


def _finding(stretch: Sequence[Block], findings: Sequence[Finding]) -> Finding | None:
    """Give the correction that a title should show: a wrong plan before a change before a missing size."""
    begin, end = stretch[0].span[0], stretch[-1].span[1]
    rank = {"plan-wrong": 0, "changed": 1, "supplied": 2}
    inside = [
        f
        for f in findings
        if f.kind in rank
        and f.status != "dismissed"
        and begin <= f.span[0] < end
        and (f.declared or f.status in PUBLISHED)
    ]
    return min(inside, key=lambda f: (rank[f.kind], -f.confidence), default=None)


def _has_mistake(stretch: Sequence[Block], mentions: Mentions) -> bool:
    begin, end = stretch[0].span[0], stretch[-1].span[1]
    return any(begin <= mistake.span[0] < end for mistake in mentions.mistakes)


def _repeated(stretch: Sequence[Block], phrases: Sequence[str]) -> bool:
    if not phrases:
        return False
    wanted = set(content_words(phrases[0]))
    return sum(wanted <= set(block.words) for block in stretch) > 1


def _closing(stretch: Sequence[Block]) -> bool:
    return any(closings().search(block.text) for block in stretch[-4:])


def _size(said: Said) -> str:
    if said.unit == "count":
        return f"{said.value} piece{'' if said.value == 1 else 's'}"
    return write_measure(said.value, said.unit)


def _listed(names: Sequence[str]) -> str:
    unique = list(dict.fromkeys(name for name in names if name))
    if len(unique) < 2:
        return "".join(unique)
    return f"{', '.join(unique[:-1])} and {unique[-1]}"


def _lower(name: str) -> str:
    """Lower a name's first letter, unless it is an acronym or a single letter."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


def _sentence_case(text: str) -> str:
    return text[:1].upper() + text[1:]


def _shortened(text: str, longest: int) -> str:
    if len(text) <= longest:
        return text
    kept = re.sub(r"\W+\w*$", "", text[: longest + 1]) or text[:longest]
    return kept.rstrip(" ,;:-")
