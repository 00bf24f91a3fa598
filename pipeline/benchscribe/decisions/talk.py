"""Puts the maker's edits into the talk before anything is read out of it: words heard wrong, and stretches off the record."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Sequence
from typing import Final

from msgspec import Struct, structs

from benchscribe.decisions.anchors import find_sentence, find_utterance, running, said_at
from benchscribe.decisions.tables import Decisions, OffRecord, WordChange
from benchscribe.records import Cue, Gap, Span, Transcript, Utterance, Word

_WORD_S: Final = 3.0
"""Seconds by which a word's time may differ between two models; the nearest one is meant."""
_EDGE_S: Final = 0.25
"""Words that begin this little outside of a stretch belong to it: another model puts them a little otherwise."""
_BETWEEN: Final = 12
"""Words between two struck ones that are struck too, where only some of a stretch are found in the other recording."""
_TELLING: Final = 4
"""Words that a sentence must have to be known again in another file."""
_STOP: Final = re.compile(r"[,.;:?!]+$")


class Plan(Struct, frozen=True, kw_only=True):
    """What is to be done to the words of one transcript."""

    replaced: tuple[tuple[Span, tuple[str, ...]], ...] = ()
    """Half-open spans of words, in order and without overlap, and what stands there instead."""
    struck: frozenset[int] = frozenset()
    """Words that are off the record."""
    orphaned: tuple[str, ...] = ()
    """Edits that fit nothing; a stretch off the record is never quoted."""

    @property
    def empty(self) -> bool:
        """Tell whether nothing is to be done."""
        return not self.replaced and not self.struck


class EditedTalk(Struct, frozen=True, kw_only=True):
    """A transcript with the maker's edits in it."""

    transcript: Transcript
    edited: frozenset[int] = frozenset()
    """Words of the new transcript that the maker put in."""
    orphaned: tuple[str, ...] = ()


def edit_talk(transcript: Transcript, decisions: Decisions) -> EditedTalk:
    """Put word edits and stretches off the record into a transcript.

    Args:
        transcript: As heard or read.
        decisions: Of the episode.

    Returns:
        The transcript without the stretches off the record, each noted as a gap; edited words keep the time of what they replace.
    """
    return carry_out(transcript, plan_edits(transcript, decisions))


def plan_edits(transcript: Transcript, decisions: Decisions) -> Plan:
    """Find what the edits mean in this transcript; what it has of edits made in another recording is found by `across` as well."""
    if not decisions.word and not decisions.off_record:
        return Plan()
    orphaned: list[str] = []
    struck: set[int] = set()
    for stretch in decisions.off_record:
        found = _stretch(transcript, stretch)
        struck |= found
        if not found:
            orphaned.append(f"a stretch off the record{said_at(stretch)} is not in this run; it is kept")
    taken: set[int] = set()
    replaced: list[tuple[Span, tuple[str, ...]]] = []
    tokens = [plain_word(w.text) for w in transcript.words]
    for change in decisions.word:
        span = _span_of(transcript, tokens, change, change.heard, taken)
        if span is not None:
            taken |= set(range(*span))
            replaced.append((span, _meant(transcript, span, change.meant)))
        elif not _is_done(transcript, tokens, change, struck):
            orphaned.append(
                f'"{change.heard}" put right as "{change.meant}"{said_at(change)} is not in this run; it is kept'
            )
    return Plan(
        replaced=tuple(sorted(r for r in replaced if not struck & set(range(*r[0])))),
        struck=frozenset(struck),
        orphaned=tuple(orphaned),
    )


def across(plan: Plan, here: Transcript, there: Transcript, counterpart: Callable[[int], int | None]) -> Plan:
    """Carry a plan over to another recording of the same talk: from the published cut to the takes, or back.

    Args:
        plan: For `here`.
        here: The transcript that the plan is of.
        there: The other one.
        counterpart: The word of `there` that a word of `here` is; None where it has none.
    """
    struck: set[int] = set()
    for _, run in itertools.groupby(sorted(plan.struck), key=_running_number()):
        known = [other for i in run if (other := counterpart(i)) is not None]
        struck |= set(known)
        for one, two in itertools.pairwise(known):
            if 0 < two - one <= _BETWEEN:
                struck |= set(range(one, two))
    replaced: list[tuple[Span, tuple[str, ...]]] = []
    for span, words in plan.replaced:
        first = counterpart(span[0])
        if first is None:
            continue
        same = range(first, first + span[1] - span[0])
        met = [counterpart(i) for i in range(*span)]
        heard = [plain_word(here.words[i].text) for i in range(*span)]
        if met == list(same) and [plain_word(there.words[i].text) for i in same] == heard:
            replaced.append(((same.start, same.stop), words))
    return Plan(replaced=tuple(sorted(replaced)), struck=frozenset(struck))


def joined(one: Plan, other: Plan) -> Plan:
    """Put two plans for the same transcript together; where both replace the same words, the first holds."""
    struck = one.struck | other.struck
    taken = {i for span, _ in one.replaced for i in range(*span)}
    more = [r for r in other.replaced if not taken & set(range(*r[0]))]
    return Plan(
        replaced=tuple(sorted(r for r in (*one.replaced, *more) if not struck & set(range(*r[0])))),
        struck=struck,
        orphaned=(*one.orphaned, *other.orphaned),
    )


def carry_out(transcript: Transcript, plan: Plan) -> EditedTalk:
    """Do to a transcript what a plan says."""
    if plan.empty:
        return EditedTalk(transcript=transcript, orphaned=plan.orphaned)
    starts = {span[0]: (span, words) for span, words in plan.replaced}
    words: list[Word] = []
    edited: set[int] = set()
    moved = [0] * (len(transcript.words) + 1)
    at = 0
    while at < len(transcript.words):
        span, new = starts.get(at, ((at, at + 1), None))
        begin = len(words)
        if new is not None:
            words += _timed(transcript.words[span[0] : span[1]], new)
            edited |= set(range(begin, len(words)))
        elif at not in plan.struck:
            words.append(transcript.words[at])
        for i in range(span[0], span[1]):
            moved[i] = min(begin + (i - span[0]), len(words))
        at = span[1]
    moved[len(transcript.words)] = len(words)
    gaps = tuple(
        Gap(start_s=start, end_s=end, kind="off-record", note="off the record, as you settled")
        for start, end in off_record_times(transcript, plan.struck)
    )
    return EditedTalk(
        transcript=structs.replace(
            transcript,
            words=tuple(words),
            utterances=tuple(
                Utterance(span, _start(words, span, u.start_s), _end(words, span, u.end_s), u.heading)
                for u in transcript.utterances
                if (span := (moved[u.span[0]], moved[u.span[1]]))[0] < span[1]
            ),
            cues=tuple(
                Cue(span, c.start_s, c.end_s)
                for c in transcript.cues
                if (span := (moved[c.span[0]], moved[c.span[1]]))[0] < span[1]
            ),
            gaps=(*transcript.gaps, *gaps),
        ),
        edited=frozenset(edited),
        orphaned=plan.orphaned,
    )


def off_record_times(
    transcript: Transcript, struck: frozenset[int]
) -> tuple[tuple[float | None, float | None], ...]:
    """Give start and end of every run of struck words."""
    times = []
    for _, run in itertools.groupby(sorted(struck), key=_running_number()):
        numbers = list(run)
        times.append((transcript.words[numbers[0]].start_s, transcript.words[numbers[-1]].end_s))
    return tuple(times)


def plain_word(text: str) -> str:
    """Give a word in lower case without the punctuation around it."""
    return text.lower().strip(" \t\"'“”‘’()[].,;:?!…")


def _running_number() -> Callable[[int], int]:
    """Give a key that is the same for numbers that follow one another."""
    count = itertools.count()
    return lambda number: number - next(count)


def _stretch(transcript: Transcript, stretch: OffRecord) -> set[int]:
    """Find the words of a stretch: by its times where there are any, else by its first and last sentence."""
    begin = running(stretch.file, stretch.at, stretch.start, transcript)
    end = running(stretch.file, stretch.to_at, stretch.to_start, transcript)
    if begin is not None and end is not None:
        return {
            i
            for i, word in enumerate(transcript.words)
            if word.start_s is not None and begin - _EDGE_S <= word.start_s and _middle(word) <= end + _EDGE_S
        }
    first = find_sentence(transcript, stretch.sentence, begin)
    last = find_sentence(transcript, stretch.to_sentence or stretch.sentence, None)
    if first is None or last is None or last < first:
        return set()
    # Of another file, or without a time, only words can tell; a word or two tell nothing.
    ends = (stretch.sentence, stretch.to_sentence or stretch.sentence)
    if stretch.file and min(len(text.split()) for text in ends) < _TELLING:
        return set()
    return set(range(transcript.utterances[first].span[0], transcript.utterances[last].span[1]))


def _middle(word: Word) -> float:
    start = word.start_s or 0.0
    return (start + (word.end_s if word.end_s is not None else start)) / 2


def _span_of(
    transcript: Transcript, tokens: Sequence[str], change: WordChange, text: str, taken: set[int]
) -> Span | None:
    """Find where the words stand that an edit is about: nearest in time, or in its sentence where there is no time."""
    wanted = [plain_word(w) for w in text.split()]
    if not wanted:
        return None
    time = running(change.file, change.at, change.start, transcript)
    home = find_utterance(transcript, change)
    places: list[tuple[float, int]] = []
    for i in range(len(tokens) - len(wanted) + 1):
        if (
            tokens[i] != wanted[0]
            or list(tokens[i : i + len(wanted)]) != wanted
            or taken & set(range(i, i + len(wanted)))
        ):
            continue
        start_s = transcript.words[i].start_s
        if time is not None and start_s is not None:
            if abs(start_s - time) <= _WORD_S:
                places.append((abs(start_s - time), i))
        elif home is not None:
            span = transcript.utterances[home].span
            if span[0] <= i < span[1]:
                places.append((0.0, i))
    if not places:
        return None
    first = min(places)[1]
    return first, first + len(wanted)


def _is_done(transcript: Transcript, tokens: Sequence[str], change: WordChange, struck: set[int]) -> bool:
    """Tell whether an edit has nothing to do: this run heard it right, or its words are off the record by now."""
    if _span_of(transcript, tokens, change, change.meant, set()) is not None:
        return True
    time = running(change.file, change.at, change.start, transcript)
    return time is not None and any(
        (start := transcript.words[i].start_s) is not None and abs(start - time) <= _WORD_S for i in struck
    )


def _meant(transcript: Transcript, span: Span, meant: str) -> tuple[str, ...]:
    """Give the new words; a full stop or comma behind the old ones stays, since sentences hang on it."""
    new = meant.split()
    stop = _STOP.search(transcript.words[span[1] - 1].text)
    if new and stop and not _STOP.search(new[-1]):
        new[-1] += stop[0]
    return tuple(new)


def _timed(old: Sequence[Word], new: Sequence[str]) -> list[Word]:
    """Give new words the time of those that they replace: each its own where there are as many, else in equal shares."""
    if len(old) == len(new):
        return [Word(text, w.start_s, w.end_s, 1.0) for text, w in zip(new, old, strict=True)]
    start, end = old[0].start_s, old[-1].end_s
    if start is None or end is None:
        return [Word(text, start, end, 1.0) for text in new]
    share = (end - start) / max(len(new), 1)
    return [
        Word(text, round(start + i * share, 3), round(start + (i + 1) * share, 3), 1.0)
        for i, text in enumerate(new)
    ]


def _start(words: Sequence[Word], span: Span, otherwise: float | None) -> float | None:
    return next((w.start_s for w in words[span[0] : span[1]] if w.start_s is not None), otherwise)


def _end(words: Sequence[Word], span: Span, otherwise: float | None) -> float | None:
    return next((w.end_s for w in reversed(words[span[0] : span[1]]) if w.end_s is not None), otherwise)
