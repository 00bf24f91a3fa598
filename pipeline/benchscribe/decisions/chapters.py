"""Puts the maker's chapters in the place of those that are found: other titles, other beginnings, joined, split."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import Final

from msgspec import Struct, structs

from benchscribe.decisions.anchors import find_sentence, find_utterance, running, said_at
from benchscribe.decisions.tables import ChapterChange
from benchscribe.records import Chapter, Transcript, Utterance

SHORTEST_S: Final = 10.0
"""Seconds that a chapter must last on the usual platforms; a found beginning this near to one of the maker's gives way to it."""
_SAME_S: Final = 15.0
"""Another model may begin the same chapter a sentence earlier or later."""


class Begins(Struct, frozen=True, kw_only=True):
    """Where a chapter begins, and how it came to."""

    utterance: int
    found_at: int | None
    """The sentence at which it was found; None for a chapter that the maker began."""
    change: int | None = None
    """Number of the maker's table about it."""


class SettledChapters(Struct, frozen=True, kw_only=True):
    """The chapters as the maker has settled them."""

    chapters: tuple[Chapter, ...]
    begins: tuple[Begins, ...] = ()
    """For each of them."""
    orphaned: tuple[str, ...] = ()


class _Draft(Struct):
    """A chapter in the making."""

    utterance: int
    found_at: int | None
    chapter: Chapter
    change: int | None = None
    mine: bool = False
    """The maker has set where it begins."""
    gone: bool = False
    """Joined to the one before."""


def apply_chapters(
    chapters: tuple[Chapter, ...], transcript: Transcript, changes: Sequence[ChapterChange]
) -> SettledChapters:
    """Settle the chapters.

    Args:
        chapters: As found in this run, in order.
        transcript: What was said; a chapter begins with a sentence of it.
        changes: The maker's, in the order of the file; what fits nothing is reported.
    """
    starts = [u.span[0] for u in transcript.utterances]
    drafts = [
        _Draft(at := max(0, bisect_right(starts, c.span[0]) - 1), at, c)
        for c in chapters
        if transcript.utterances
    ]
    if not changes or not drafts:
        return SettledChapters(
            chapters=chapters,
            begins=tuple(Begins(utterance=d.utterance, found_at=d.found_at) for d in drafts),
            orphaned=tuple(_orphan(c) for c in changes),
        )
    orphaned = [
        _orphan(change)
        for number, change in enumerate(changes)
        if not (_add if change.begins is True else _change)(drafts, transcript, change, number)
    ]
    kept = _in_order([d for d in drafts if not d.gone], transcript)
    return SettledChapters(
        chapters=_chapters(kept, transcript),
        begins=tuple(Begins(utterance=d.utterance, found_at=d.found_at, change=d.change) for d in kept),
        orphaned=tuple(orphaned),
    )


def _add(drafts: list[_Draft], transcript: Transcript, change: ChapterChange, number: int) -> bool:
    at = find_utterance(transcript, change)
    if at is None:
        return False
    blank = Chapter(title=change.title or "Untitled", span=(0, 0), why="your own chapter")
    drafts.append(_Draft(at, None, blank, number, mine=True))
    return True


def _change(drafts: list[_Draft], transcript: Transcript, change: ChapterChange, number: int) -> bool:
    """Do what a change says to the chapter that it is about; False where it fits nothing."""
    draft = _meant(drafts, transcript, change)
    if draft is None:
        return change.begins is False  # joined already, in this run
    draft.change = number
    if change.begins is False and draft is not drafts[0]:
        draft.gone = True
        return True
    if change.title:
        draft.chapter = structs.replace(draft.chapter, title=change.title, why="your own title")
    if not change.to_sentence or draft is drafts[0]:
        return True
    time = running(change.to_file, change.to_at, change.to_start, transcript)
    there = find_sentence(transcript, change.to_sentence, time)
    if there is not None:
        draft.utterance, draft.mine = there, True
    return there is not None


def _meant(drafts: Sequence[_Draft], transcript: Transcript, change: ChapterChange) -> _Draft | None:
    """Find the chapter that a change is about: the one found at that sentence, or the nearest one found close by."""
    at = find_utterance(transcript, change)
    found = [d for d in drafts if d.found_at is not None and d.change is None]
    exact = next((d for d in found if d.found_at == at), None)
    time = running(change.file, change.at, change.start, transcript)
    if time is None and at is not None:
        time = transcript.utterances[at].start_s
    if exact is not None or time is None:
        return exact
    near = [
        (abs(start - time), d.utterance, d)
        for d in found
        if (start := transcript.utterances[d.found_at or 0].start_s) is not None
    ]
    best = min(near, key=lambda n: n[:2], default=None)
    return best[2] if best is not None and best[0] <= _SAME_S else None


def _in_order(drafts: Sequence[_Draft], transcript: Transcript) -> list[_Draft]:
    """Order the chapters; one of the maker's stands before a found one at the same place or too near."""
    kept: list[_Draft] = []
    for draft in sorted(drafts, key=lambda d: (d.utterance, not d.mine)):
        if not kept:
            draft.utterance = 0
            kept.append(draft)
            continue
        same = draft.utterance == kept[-1].utterance
        if same or (draft.mine != kept[-1].mine and _apart(transcript, kept[-1], draft) < SHORTEST_S):
            if draft.mine and not kept[-1].mine and len(kept) > 1:
                kept[-1] = draft
            elif draft.mine and same:
                kept[-1].chapter = structs.replace(kept[-1].chapter, title=draft.chapter.title)
            elif draft.mine:
                kept.append(draft)
            continue
        kept.append(draft)
    return kept


def _apart(transcript: Transcript, one: _Draft, other: _Draft) -> float:
    a, b = (transcript.utterances[d.utterance].start_s for d in (one, other))
    return SHORTEST_S if a is None or b is None else b - a


def _chapters(drafts: Sequence[_Draft], transcript: Transcript) -> tuple[Chapter, ...]:
    utterances = transcript.utterances
    firsts = [utterances[d.utterance] for d in drafts]
    last_end = max((u.end_s for u in utterances if u.end_s is not None), default=None)
    made = []
    for number, draft in enumerate(drafts):
        after: Utterance | None = firsts[number + 1] if number + 1 < len(firsts) else None
        start = firsts[number].start_s
        made.append(
            structs.replace(
                draft.chapter,
                span=(firsts[number].span[0], after.span[0] if after else len(transcript.words)),
                start_s=0.0 if number == 0 and start is not None else start,
                end_s=after.start_s if after else last_end,
                file=None,
                at_s=None,
            )
        )
    return tuple(made)


def _orphan(change: ChapterChange) -> str:
    what = f'the chapter "{change.title}"' if change.title else "a change to a chapter"
    return f"{what}{said_at(change)} fits nothing in this run; it is kept"
