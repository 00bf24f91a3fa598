"""Captions as WebVTT and SubRip: kept in their times where captions were repaired, made from words where a recording was heard."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import structs

from benchscribe.records import Cue, EpisodeRecord
from benchscribe.writers.caption_lines import (
    FASTEST_WPM,
    LONGEST_S,
    WIDTH,
    CaptionCue,
    break_lines,
    cut_cues,
    time_cues,
)
from benchscribe.writers.said import Token, tokens
from benchscribe.writers.text import DRAFT, srt, stamp, thousandths, vtt
from benchscribe.writers.view import View


def make_cues(record: EpisodeRecord) -> tuple[CaptionCue, ...]:
    """Give the captions of an episode; none where there is no time.

    Captions that came in are repaired and keep their times. A size that ran over from one caption to the next is written once, in
    the one where it began.
    """
    said = tokens(record)
    if record.transcript.cues:
        return _kept(said, record.transcript.cues)
    timed = _with_times(said)
    if not timed:
        return ()
    ends = frozenset(u.span[1] for u in record.transcript.utterances)
    return time_cues(cut_cues(timed, ends))


def captions(view: View) -> tuple[bytes | None, bytes | None]:
    """Write `captions.vtt` and `captions.srt`; neither where there is no time."""
    cues = make_cues(view.record)
    return (write_vtt(cues, draft=view.record.draft), write_srt(cues)) if cues else (None, None)


def captions_vtt(view: View) -> bytes | None:
    """Write `captions.vtt` alone."""
    return captions(view)[0]


def captions_srt(view: View) -> bytes | None:
    """Write `captions.srt` alone."""
    return captions(view)[1]


def write_vtt(cues: Sequence[CaptionCue], *, draft: bool) -> bytes:
    """Write captions as WebVTT (W3C)."""
    blocks = ["WEBVTT"]
    if draft:
        blocks.append(f"NOTE {DRAFT}")
    for cue in cues:
        flags = _flags(cue)
        if flags:
            blocks.append(f"NOTE {'; '.join(flags)}")
        lines = "\n".join(vtt(line) for line in cue.lines)
        blocks.append(f"{stamp(cue.start_s)} --> {stamp(cue.end_s)}\n{lines}")
    return ("\n\n".join(blocks) + "\n").encode()


def write_srt(cues: Sequence[CaptionCue]) -> bytes:
    """Write captions as SubRip. It has no comments, so only WebVTT carries notes on speed and draft."""
    blocks = []
    for number, cue in enumerate(cues, 1):
        lines = "\n".join(srt(line) for line in cue.lines)
        times = f"{stamp(cue.start_s, comma=True)} --> {stamp(cue.end_s, comma=True)}"
        blocks.append(f"{number}\n{times}\n{lines}\n")
    return "\n".join(blocks).encode()


def _flags(cue: CaptionCue) -> list[str]:
    """Say what a reader would have trouble with."""
    flags = []
    if cue.wpm > FASTEST_WPM:
        flags.append(f"{cue.wpm} words a minute")
    if len(cue.lines) > 2:
        flags.append(f"{len(cue.lines)} lines")
    if any(len(line) > WIDTH for line in cue.lines):
        flags.append("a long line")
    if cue.end_s - cue.start_s > LONGEST_S + 0.0005:
        flags.append(f"stands {cue.end_s - cue.start_s:.1f} seconds")
    return flags


def _kept(said: Sequence[Token], cues: Sequence[Cue]) -> tuple[CaptionCue, ...]:
    """Share what was said out to the captions as they came."""
    made: list[CaptionCue] = []
    at = 0
    for number, cue in enumerate(cues):
        mine: list[Token] = []
        while at < len(said) and said[at].span[0] < cue.span[1]:
            mine.append(said[at])
            at += 1
        if cue.start_s is None or cue.end_s is None:
            continue
        if not mine and cue.span[1] > cue.span[0] and made:
            # all of its words belong to a size that began in the caption before, which now stands until this one ends
            made[-1] = structs.replace(made[-1], end_s=max(made[-1].end_s, cue.end_s))
            continue
        if not mine:
            continue
        later = cues[number + 1].start_s if number + 1 < len(cues) else None
        stands = thousandths(cue.end_s) > thousandths(cue.start_s)
        end = cue.end_s if stands else max(later or 0.0, cue.start_s + 1.0)
        lines = break_lines([t.text for t in mine])
        made.append(CaptionCue(cue.start_s, end, lines, sum(t.spoken for t in mine)))
    return tuple(sorted(made, key=lambda c: c.start_s))


def _with_times(said: Sequence[Token]) -> tuple[Token, ...]:
    """Give every token a start and an end; a word without a time stands where the one before it ended."""
    if not any(t.start_s is not None for t in said):
        return ()
    made: list[Token] = []
    last = next(t.start_s for t in said if t.start_s is not None) or 0.0
    for token in said:
        start = max(token.start_s if token.start_s is not None else last, last if made else 0.0)
        end = max(token.end_s if token.end_s is not None else start, start)
        made.append(structs.replace(token, start_s=start, end_s=end))
        last = start
    return tuple(made)
