"""What was done or told to be done, piece by piece, before it is made into steps."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Literal

import msgspec
from msgspec import Struct

from benchscribe.guide.found import Found, clock, utterance_of
from benchscribe.guide.hands import parts_at_work
from benchscribe.guide.naming import name_operation
from benchscribe.guide.stepwords import step_words
from benchscribe.guide.stock import material_form
from benchscribe.records import Measure, Mention, Mistake, Span, Transcript
from benchscribe.spoken.mood import only_talk
from benchscribe.units import same

SURE_IN_OPENING = 0.6
"""Makers open with what the episode is about, naming parts; only a part that is surely in hand is worked on there."""
MITRED = frozenset({"cut", "saw", "chop", "trim", "crosscut to length", "cut end", "cut ends"})
"""Cuts that are mitres on a part with an angle in the list."""
AFTERTHOUGHTS = 0.6
"""Share of the talk after which makers come back to what they told before."""
THOUGHT = 3
"""Sentences that such an afterthought takes."""
WORK, CUT, BESIDE = 3, 2, 1
"""Work proper; a cut of no special kind or what a tool implies; what is done beside it."""


class Told(Struct, frozen=True):
    """One operation as it was told: on what, where, and in which utterances."""

    verb: str
    name: str
    part: str | None
    rank: int
    clock_s: float
    """Running time, or words at talking speed where there is no time; for distances only."""
    start_s: float | None
    first: int
    last: int
    at: int
    """Word index."""
    source: Literal["verb", "tool", "feature", "size"] = "verb"
    """What told it."""


def _plain(transcript: Transcript, index: int) -> str:
    return re.sub(r"\W", "", transcript.words[index].text.lower())


class Talk(Struct, frozen=True):
    """What the search for steps reads, indexed by utterance."""

    transcript: Transcript
    mentions: Mapping[int, Sequence[Mention]]
    measures: Mapping[int, Sequence[Measure]]
    parts: Sequence[tuple[str, ...]]
    """The parts that work in each utterance is done to; empty where none is known."""
    skipped: frozenset[int]
    """Utterances that went wrong, or speak of another day."""
    opening: int = 0
    """Word at which an opening without a part ends; no tool that is named before it says that anything is done."""
    mitred: frozenset[str] = frozenset()
    """Parts of solid wood with an angle in the list."""

    overruled: frozenset[Span] = frozenset()
    """Sizes of the plan that were read out, and that the maker has put right or changed."""
    plain: Sequence[str] = ()
    """Every word in small letters and without what closes it, worked out once."""
    meant: Mapping[int, str] = {}
    """Trade words that were heard as others, by word index."""

    def word(self, index: int) -> str:
        """Give a word as it was meant, in small letters and without what closes it."""
        return self.meant.get(index) or (self.plain[index] if self.plain else _plain(self.transcript, index))

    def of(self, number: int, *kinds: str) -> list[Mention]:
        """Give the mentions of some kinds in an utterance."""
        return [m for m in self.mentions.get(number, ()) if m.kind in kinds]


def read_talk(found: Found) -> Talk:
    """Index what was found by utterance."""
    transcript, mentions = found.transcript, found.mentions
    home = utterance_of(transcript)
    by_mention: dict[int, list[Mention]] = {}
    for mention in sorted(mentions.mentions, key=lambda m: m.span):
        by_mention.setdefault(home[mention.span[0]], []).append(mention)
    by_measure: dict[int, list[Measure]] = {}
    for measure in found.measures:
        by_measure.setdefault(home[measure.span[0]], []).append(measure)
    return Talk(
        transcript=transcript,
        mentions=by_mention,
        measures=by_measure,
        parts=parts_at_work(found, by_mention, by_measure),
        skipped=_left_out(found),
        opening=_opening(found),
        overruled=_overruled(found),
        plain=tuple(_plain(transcript, index) for index in range(len(transcript.words))),
        meant={r.span[0]: r.meant.lower() for r in mentions.repairs},
        mitred=frozenset(
            part.name
            for part in (found.part_list.parts if found.part_list else ())
            if material_form(part.material) == "board"
            and any(size.dimension == "angle" and not size.feature for size in part.listed)
        ),
    )


def outside_mistakes(told: Sequence[Told], mistakes: Sequence[Mistake]) -> list[Told]:
    """Leave out what was told within a stretch that went wrong, from a second before it: no step begins there."""
    return [item for item in told if not any(_within(item, mistake) for mistake in mistakes)]


def _within(item: Told, mistake: Mistake) -> bool:
    if mistake.span[0] <= item.at < mistake.span[1]:
        return True
    if item.start_s is None or mistake.start_s is None or mistake.end_s is None:
        return False
    return mistake.start_s - 1 <= item.start_s < mistake.end_s


def told_operations(talk: Talk) -> list[Told]:
    """Find the operations that were named as done, or told to be done.

    Returns:
        One for each operation and part, in the order in which they were said.
    """
    words = step_words()
    told: list[Told] = []
    for number, utterance in enumerate(talk.transcript.utterances):
        if number in talk.skipped or talk.transcript.text(utterance.span).endswith("?"):
            continue
        tools = {m.name.lower() for m in talk.of(number, "tool") if m.used}
        text = talk.transcript.text(utterance.span).lower()
        for operation in talk.of(number, "operation"):
            verb = operation.name.lower()
            if (
                not operation.used
                or verb in words.never
                or (verb in ("turn", "bend") and words.ways_round.search(text))
                or only_talk(talk.transcript, utterance.span, operation)
            ):
                continue
            for part in _done_to(talk, number, operation):
                name = name_operation(talk.transcript, operation, utterance.span, tools)
                if verb in words.generic and part in talk.mitred and name in MITRED:
                    name = "miter crosscut"
                rank = _rank(verb, name, part, tools, talk.measures.get(number, ()))
                told.append(_told(talk, number, operation.span[0], verb, name, part, rank))
    return told


def _done_to(talk: Talk, number: int, operation: Mention) -> tuple[str | None, ...]:
    """Give the parts that an operation is done to: the one that follows the verb as its object, else what is in hand."""
    words = step_words()
    for mention in talk.of(number, "part"):
        between = [talk.word(i) for i in range(operation.span[1], mention.span[0])]
        alone = len({m.name for m in talk.of(number, "part") if m.span == mention.span}) == 1
        if alone and mention.span[0] >= operation.span[1] and set(between) <= words.before_object:
            return (mention.name,)
    if operation.words.lower() in words.together and not talk.of(number, "part"):
        return (None,)
    return talk.parts[number] or (None,)


def told_by_things(talk: Talk) -> list[Told]:
    """Find what is done by the tools, finishes and features that are named where no verb says it."""
    told: list[Told] = []
    for number, utterance in enumerate(talk.transcript.utterances):
        asks = talk.transcript.text(utterance.span).endswith("?")
        if number in talk.skipped or utterance.span[0] < talk.opening or asks:
            continue
        for mention in talk.of(number, "tool", "finish", "material"):
            if not mention.used or only_talk(talk.transcript, utterance.span, mention):
                continue
            name, rank = _implied(talk.transcript, utterance.span, mention)
            if name:
                told.extend(
                    msgspec.structs.replace(
                        _told(talk, number, mention.span[0], name, name, part, rank), source="tool"
                    )
                    for part in talk.parts[number] or (None,)
                )
    return told


def _implied(transcript: Transcript, span: Span, mention: Mention) -> tuple[str, int]:
    """Give the step that a tool or a finish implies, and its rank; an empty name where it implies none."""
    words = step_words()
    name = mention.name.lower()
    last = name.rsplit(maxsplit=1)[-1]
    if mention.kind == "tool":
        implied = words.tools.get(name, "")
        return implied, WORK if implied in words.stock else CUT
    return (words.finishes.get(last, "") if _put_on(transcript, span, mention) else ""), WORK


def _put_on(transcript: Transcript, span: Span, mention: Mention) -> bool:
    """Tell whether a finish or an adhesive is put on, and not only spoken of: it opens the sentence, or goes on in coats."""
    before = transcript.words[mention.span[0] - 1].text.lower() if mention.span[0] > span[0] else ""
    if before == "the":
        before = transcript.words[mention.span[0] - 2].text.lower() if mention.span[0] - 1 > span[0] else ""
    if before in step_words().not_put_on:
        return False
    return mention.span[0] - span[0] <= 3 or bool(
        re.search(r"\b(?:coats?|bead|grit)\b", transcript.text(span).lower())
    )


def _told(talk: Talk, number: int, at: int, verb: str, name: str, part: str | None, rank: int) -> Told:
    start = talk.transcript.words[at].start_s
    return Told(
        verb=verb,
        name=name,
        part=part,
        rank=rank,
        clock_s=clock(talk.transcript, at),
        start_s=start if start is not None else talk.transcript.utterances[number].start_s,
        first=number,
        last=number,
        at=at,
    )


def _overruled(found: Found) -> frozenset[Span]:
    wrong = [
        f
        for f in found.findings
        if f.kind in ("plan-wrong", "changed") and f.listed and f.status != "dismissed"
    ]
    return frozenset(
        m.span
        for m in found.measures
        for f in wrong
        if f.listed is not None
        and f.part == m.part
        and f.dimension == m.dimension
        and same(f.listed.value, f.listed.unit, m.value, m.unit)
    )


def _opening(found: Found) -> int:
    chapters = found.chapters
    return chapters[0].span[1] if len(chapters) > 2 and chapters[0].part is None else 0


def _left_out(found: Found) -> frozenset[int]:
    """Give the utterances that went wrong, speak of another day, or open an episode with nothing surely in hand yet."""
    transcript, mentions = found.transcript, found.mentions
    out = set()
    sure = {item.utterance for item in found.in_hand if item.parts and item.confidence >= SURE_IN_OPENING}
    opening = _opening(found)
    thoughts = 0
    for number, utterance in enumerate(transcript.utterances):
        begin, end = utterance.span
        if begin > AFTERTHOUGHTS * len(transcript.words):
            thoughts = max(0, thoughts - 1)
            if step_words().afterthought.search(transcript.text(utterance.span).lower()):
                thoughts = THOUGHT
            if thoughts:
                out.add(number)
        if (begin < opening and number not in sure) or step_words().talk_anywhere.search(
            transcript.text(utterance.span).lower()
        ):
            out.add(number)
        for mistake in mentions.mistakes:
            inside = begin < mistake.span[1] and end > mistake.span[0]
            times = (utterance.start_s, mistake.start_s, mistake.end_s)
            if None not in times:
                start, wrong, right = (float(t or 0.0) for t in times)
                inside = inside or wrong - 1 <= start < right
            if inside:
                out.add(number)
        if any(begin <= promise.span[0] < end for promise in mentions.promises):
            out.add(number)
    return frozenset(out)


def told_at(talk: Talk, number: int, at: int, name: str, part: str | None, rank: int) -> Told:
    """Make what is told by the thing that is made, at a word of an utterance."""
    return msgspec.structs.replace(_told(talk, number, at, name, name, part, rank), source="feature")


def _rank(verb: str, name: str, part: str | None, tools: set[str], measures: Sequence[Measure]) -> int:
    words = step_words()
    if verb in words.side or name in words.side or (part and verb in part.lower().split()):
        return BESIDE
    if verb not in words.generic:
        return WORK
    sized = any(
        m.part == part and m.role in ("finished", "rough", "corrected", "changed", "supplied")
        for m in measures
    )
    return (
        WORK
        if sized or name != verb or tools & (words.length_tools | words.shape_tools | words.out_tools)
        else CUT
    )
