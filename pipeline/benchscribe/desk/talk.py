"""Gathers the transcript for its page: one chapter at a time, word by word, with what is made of each."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from typing import Final

from benchscribe.desk.contexts import Frame, Sentence, TalkPage, TalkWord
from benchscribe.desk.lists import struck_lines
from benchscribe.desk.model import Snapshot
from benchscribe.desk.views import Room, chapter_lines
from benchscribe.records import Measure, Repair, Transcript
from benchscribe.writers.sizes import measure_size
from benchscribe.writers.text import clock, plain

_UNSURE: Final = 0.5
"""Below this the recogniser itself was not sure of a word."""


def talk_page(room: Room, now: Snapshot, chapter: int, base: Frame) -> TalkPage:
    """Gather one chapter of the transcript.

    Args:
        room: Where it is made.
        now: The episode as it stands.
        chapter: Number of the chapter, from 1.
        base: What stands on every page.
    """
    record = now.record
    told = now.fresh.edited.talk if now.fresh else record.transcript
    measures = now.fresh.measures if now.fresh else record.measures
    edited = now.fresh.edited.edited if now.fresh else now.edited.edited
    chapter = min(max(chapter, 1), max(len(record.chapters), 1))
    first, last = _utterances(now, told, chapter)
    begin = told.utterances[first].span[0] if first < last else 0
    end = told.utterances[last - 1].span[1] if first < last else 0
    size_of: dict[int, Measure] = {
        i: m for m in measures if m.span[0] < end and begin < m.span[1] for i in range(*m.span)
    }
    repairs = {} if now.fresh else {i: r for r in record.repairs for i in range(*r.span)}
    wrong = [] if now.fresh else [m.span for m in record.mistakes]
    sentences = []
    for n in range(first, last):
        span = told.utterances[n].span
        here = [m for m in measures if m.span != (0, 0) and span[0] <= m.span[0] < span[1]]
        sentences.append(
            Sentence(
                number=n,
                time=clock(told.utterances[n].start_s),
                clip=room.clip(now, told.utterances[n].start_s, told.utterances[n].end_s),
                words=tuple(
                    _word(told, i, i in edited, size_of.get(i), repairs.get(i)) for i in range(*span)
                ),
                sizes=tuple(measure_size(m) for m in here if not m.taken_back),
                mistake=any(a < span[1] and span[0] < b for a, b in wrong),
            )
        )
    return TalkPage(
        frame=base,
        chapters=chapter_lines(room, now, chapter),
        sentences=tuple(sentences),
        struck=struck_lines(now),
    )


def _utterances(now: Snapshot, told: Transcript, chapter: int) -> tuple[int, int]:
    """Give the first utterance of a chapter, and the first behind it: by time, where the words have been edited since."""
    chapters: Sequence[object] = now.record.chapters
    if not chapters:
        return 0, len(told.utterances)
    if now.fresh is None:
        starts = [u.span[0] for u in told.utterances]
        span = now.record.chapters[chapter - 1].span
        first = max(0, bisect_right(starts, span[0]) - 1)
        return first, max(0, bisect_right(starts, span[1] - 1) - 1) + 1
    begin = now.record.chapters[chapter - 1].start_s
    after = now.record.chapters[chapter].start_s if chapter < len(chapters) else None
    if begin is None:
        return 0, len(told.utterances)
    inside = [
        n
        for n, u in enumerate(told.utterances)
        if u.start_s is not None
        and u.start_s >= begin - 0.001
        and (after is None or u.start_s < after - 0.001)
    ]
    return (inside[0], inside[-1] + 1) if inside else (0, 0)


def _word(
    told: Transcript, number: int, edited: bool, size: Measure | None, repair: Repair | None
) -> TalkWord:
    word = told.words[number]
    mark, about = "", ""
    if edited:
        mark, about = "edited", "put right by you"
    elif repair is not None:
        mark, about = "repaired", f'heard "{plain(repair.heard)}", taken as "{plain(repair.meant)}"'
    elif size is not None:
        mark, about = "size", f"read as {measure_size(size)}"
    elif word.confidence is not None and word.confidence < _UNSURE:
        mark, about = "unsure", "not heard clearly"
    if size is not None and edited:
        about = f"put right by you, read as {measure_size(size)}"
    return TalkWord(number=number, text=plain(word.text), mark=mark, about=about)
