"""Chapters as a list in a description, as WebVTT, and as JSON chapters 1.2 of the open podcast namespace."""

from __future__ import annotations

import json
from collections.abc import Sequence

from msgspec import Struct

from benchscribe.records import EpisodeRecord
from benchscribe.writers.text import DRAFT, clock, plain, stamp, vtt
from benchscribe.writers.view import View

FEWEST = 3
SHORTEST_S = 10.0


class ChapterTime(Struct, frozen=True):
    """A chapter as it is written: begins at 0 if it is the first, ends where the next begins."""

    start_s: float
    end_s: float | None
    title: str


def chapter_times(record: EpisodeRecord) -> tuple[ChapterTime, ...]:
    """Give chapters with times, in order and without overlap; none where there is no time."""
    timed = sorted(
        (round(c.start_s, 3), plain(c.title) or "Untitled") for c in record.chapters if c.start_s is not None
    )
    distinct = [(start, title) for n, (start, title) in enumerate(timed) if n == 0 or start > timed[n - 1][0]]
    end = running_end(record)
    made = []
    for number, (start, title) in enumerate(distinct):
        begin = 0.0 if number == 0 else start
        until = distinct[number + 1][0] if number + 1 < len(distinct) else end
        made.append(ChapterTime(begin, until if until is not None and until > begin else None, title))
    return tuple(made)


def listed_chapters(record: EpisodeRecord) -> tuple[ChapterTime, ...]:
    """Give the chapters that a video platform takes from a description.

    The usual rule: the first at 0:00, at least three, each ten seconds or longer, counted in the whole seconds that are printed. A
    chapter that comes too soon after another is passed over; where fewer than three are left there is no list.
    """
    kept: list[ChapterTime] = []
    for chapter in chapter_times(record):
        if not kept or int(chapter.start_s) - int(kept[-1].start_s) >= SHORTEST_S:
            kept.append(chapter)
    end = running_end(record)
    while len(kept) > 1 and end is not None and end - kept[-1].start_s < SHORTEST_S:
        kept.pop()
    return tuple(kept) if len(kept) >= FEWEST else ()


def running_end(record: EpisodeRecord) -> float | None:
    """Give the running time at which the episode ends, as the files or the last word say; None where nothing does."""
    transcript = record.transcript
    ends = [f.offset_s + f.duration_s for f in transcript.files if f.duration_s is not None]
    ends += [c.end_s for c in transcript.cues[-1:] if c.end_s is not None]
    ends += [u.end_s for u in transcript.utterances[-1:] if u.end_s is not None]
    ends += [w.end_s for w in transcript.words[-1:] if w.end_s is not None]
    ends += [c.end_s for c in record.chapters[-1:] if c.end_s is not None]
    return max(ends) if ends else None


def chapter_lines(chapters: Sequence[ChapterTime]) -> list[str]:
    """Write one line a chapter: "0:00 Title"."""
    return [f"{clock(c.start_s)} {c.title}" for c in chapters]


def chapters_vtt(view: View) -> bytes | None:
    """Write `chapters.vtt`: chapter title text only, one cue after another."""
    chapters = chapter_times(view.record)
    if not chapters:
        return None
    blocks = ["WEBVTT"]
    if view.record.draft:
        blocks.append(f"NOTE {DRAFT}")
    for number, chapter in enumerate(chapters, 1):
        # The format wants an end. Where nothing says when the episode ends, the last chapter gets the least length a chapter has.
        end = chapter.end_s if chapter.end_s is not None else chapter.start_s + SHORTEST_S
        blocks.append(f"{number}\n{stamp(chapter.start_s)} --> {stamp(end)}\n{vtt(chapter.title)}")
    return ("\n\n".join(blocks) + "\n").encode()


def chapters_json(view: View) -> bytes | None:
    """Write `chapters.json` (JSON chapters 1.2)."""
    chapters = chapter_times(view.record)
    if not chapters:
        return None
    rows = []
    for chapter in chapters:
        row: dict[str, float | str] = {"startTime": round(chapter.start_s, 3), "title": chapter.title}
        if chapter.end_s is not None:
            row["endTime"] = round(chapter.end_s, 3)
        rows.append(row)
    document: dict[str, object] = {"version": "1.2.0", "title": view.title}
    if view.record.draft:
        document["description"] = DRAFT
    document["chapters"] = rows
    return (json.dumps(document, ensure_ascii=False, indent=1) + "\n").encode()
