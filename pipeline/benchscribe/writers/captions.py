"""Captions as WebVTT and SubRip: kept in their times where they came in well cut, cut anew from the words where not."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import Final

from msgspec import structs

from benchscribe.records import Cue, EpisodeRecord
from benchscribe.writers.caption_lines import WIDTH, cut_cues, leaning, lines_of
from benchscribe.writers.caption_times import FASTEST_WPM, LONGEST_S, SHORTEST_S, CaptionCue, eased
from benchscribe.writers.said import Token, tokens
from benchscribe.writers.text import DRAFT, srt, stamp, thousandths, vtt
from benchscribe.writers.view import View

WELL_CUT: Final = 0.9
"""Share of captions within the limits from which a file counts as cut by hand. A recogniser's windows break anywhere: of 13 such
files the best had 0.71."""


def make_cues(record: EpisodeRecord) -> tuple[CaptionCue, ...]:
    """Give the captions of an episode; none where there is no time.

    Captions that came in well cut keep their starts; only one that does not fit is cut again. Those that a recogniser cut wherever its
    window ended are cut anew at pauses and phrases. A size that ran over from one caption to the next is written once, where it began.
    """
    timed = _with_times(tokens(record))
    if not timed:
        return ()
    if record.transcript.clock == "notes":
        timed = _told_apart(timed)
    ends = frozenset(u.span[1] for u in record.transcript.utterances)
    came = _shared_out(timed, record.transcript.cues, _struck(record))
    if came and sum(_sound(cue, mine) for cue, mine in came) >= WELL_CUT * len(came):
        return eased(_fitted(came, ends), shift=False)
    return eased([_caption(mine) for mine in cut_cues(timed, ends)])


def captions(view: View) -> tuple[bytes | None, bytes | None]:
    """Write `captions.vtt` and `captions.srt`; neither where there is no time."""
    cues = make_cues(view.record)
    return (
        (write_vtt(cues, draft=view.record.draft), write_srt(cues, draft=view.record.draft))
        if cues
        else (None, None)
    )


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


def write_srt(cues: Sequence[CaptionCue], *, draft: bool) -> bytes:
    """Write captions as SubRip. It has no comments: a draft says so in a caption of its own, in the first second."""
    if draft:
        first = cues[0].start_s if cues else SHORTEST_S
        until = first if 0.2 <= first < SHORTEST_S else SHORTEST_S
        cues = (CaptionCue(0.0, until, (DRAFT,)), *cues)
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


def _caption(mine: Sequence[Token]) -> CaptionCue:
    """Make a caption that stands from the first word to the end of the last."""
    start, end = mine[0].start_s, max(t.end_s or 0.0 for t in mine)
    assert start is not None
    return CaptionCue(start, end, lines_of(mine))


def _struck(record: EpisodeRecord) -> tuple[tuple[float, float], ...]:
    """Give the stretches that are off the record: no caption stands there."""
    return tuple(
        (gap.start_s, gap.end_s)
        for gap in record.transcript.gaps
        if gap.kind == "off-record" and gap.start_s is not None and gap.end_s is not None
    )


def _shared_out(
    said: Sequence[Token], cues: Sequence[Cue], struck: Sequence[tuple[float, float]]
) -> tuple[tuple[CaptionCue, tuple[Token, ...]], ...]:
    """Share what was said out to the captions as they came, each with what was said in it."""
    made: list[tuple[CaptionCue, tuple[Token, ...]]] = []
    at = 0
    for number, cue in enumerate(cues):
        begin = at
        while at < len(said) and said[at].span[0] < cue.span[1]:
            at += 1
        mine = tuple(said[begin:at])
        if cue.start_s is None or cue.end_s is None:
            return ()
        if not mine and cue.span[1] > cue.span[0] and made:
            # all of its words belong to a size that began in the caption before, which now stands until this one ends
            before, its = made[-1]
            made[-1] = structs.replace(before, end_s=max(before.end_s, cue.end_s)), its
        if not mine:
            continue
        later = cues[number + 1].start_s if number + 1 < len(cues) else None
        stands = thousandths(cue.end_s) > thousandths(cue.start_s)
        end = cue.end_s if stands else max(later or 0.0, cue.start_s + SHORTEST_S)
        start = cue.start_s
        if any(a < end and start < b for a, b in struck):  # what is left of it stands only while it is said
            start, end = mine[0].start_s or start, max(t.end_s or start for t in mine)
        made.append((CaptionCue(start, end, lines_of(mine)), mine))
    return tuple(sorted(made, key=lambda pair: pair[0].start_s)) if at == len(said) else ()


def _sound(cue: CaptionCue, mine: Sequence[Token]) -> bool:
    """Tell whether a caption keeps to the limits and ends where a person would end it."""
    return (
        not _flags(cue)
        and cue.end_s - cue.start_s >= SHORTEST_S - 0.0005
        and mine[-1].text.casefold().strip("\"'(") not in leaning()
    )


def _fitted(
    came: Sequence[tuple[CaptionCue, tuple[Token, ...]]], ends: frozenset[int]
) -> tuple[CaptionCue, ...]:
    """Cut again what does not fit on two lines or stands too long; all else stays."""
    made: list[CaptionCue] = []
    for cue, mine in came:
        if len(cue.lines) <= 2 and cue.end_s - cue.start_s <= LONGEST_S + 0.0005:
            made.append(cue)
        else:
            made += [_caption(part) for part in cut_cues(mine, ends)]
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


def _told_apart(said: Sequence[Token]) -> tuple[Token, ...]:
    """Let the words under one mark of rough notes follow each other as they would be read, up to the next mark.

    All of them have the mark's time, and captions that stood for no time at all could not be read.
    """
    starts = [t.start_s or 0.0 for t in said]
    firsts = [n for n, start in enumerate(starts) if n == 0 or start > starts[n - 1]]
    made: list[Token] = []
    for first, beyond in pairwise([*firsts, len(said)]):
        words = [len(t.text.split()) for t in said[first:beyond]]
        pace = 60 / FASTEST_WPM
        if beyond < len(said):
            pace = min(pace, (starts[beyond] - starts[first]) / max(sum(words), 1))
        ends = [starts[first] + pace * n for n in accumulate(words)]
        begins = [starts[first], *ends[:-1]]
        made += [
            structs.replace(token, start_s=begin, end_s=end)
            for token, begin, end in zip(said[first:beyond], begins, ends, strict=True)
        ]
    return tuple(made)
