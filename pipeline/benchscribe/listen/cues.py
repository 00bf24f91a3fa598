"""Caption files, cue by cue: WebVTT and SubRip, written for what is really found in them.

Sources: W3C WebVTT, section "WebVTT file structure"; SubRip has no standard. Both are read by one reader, since files often carry the
other's header, decimal mark or suffix.
"""

from __future__ import annotations

import html
import re
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from benchscribe.errors import TranscriptError

_ARROW: Final = re.compile(r"--+>")
_TIME: Final = re.compile(r"(?:(\d{1,4}):)?(\d{1,2}):(\d{1,2})(?:[.,](\d{1,9}))?")
_TIMING: Final = re.compile(rf"\s*({_TIME.pattern})\s*--+>\s*({_TIME.pattern})(?:\s.*)?$")
_TAG: Final = re.compile(r"<(/?[A-Za-z][^<>]*|/|(?:\d{1,4}:)?\d{1,2}:\d{1,2}[.,]\d{1,9})>")
_OVERRIDE: Final = re.compile(r"\{\\[^{}]*\}|\\[Nnh]")
_SOUND: Final = re.compile(r"\[[^\[\]]*\]|[\u2669-\u266f]+|\((?:[^()\d]*\b(?:music|laughs?|laughter|applause)\b[^()\d]*)\)", re.IGNORECASE)  # fmt: skip
_SPEAKER: Final = re.compile(r"^\s*(?:>{2,}\s*|[-\u2010-\u2015]\s+)?(?:[A-Z][A-Z .'\-]{1,24}:(?=\s))?\s*")
_INVISIBLE: Final = dict.fromkeys((0x200B, 0x200C, 0x200D, 0x200E, 0x200F, 0x2060, 0xFEFF))
_BLOCKS: Final = ("NOTE", "STYLE", "REGION")
_BACK_S: Final = 5.0
"""How far a cue may start before the one above it and still be a matter of order, not of two files run together."""


class TimedWord(Struct, frozen=True):
    """One word of a cue, with the time that a tag inside the cue gave it."""

    text: str
    start_s: float | None = None


class RawCue(Struct, frozen=True):
    """One cue as it stands in the file, tags taken out."""

    start_s: float
    end_s: float
    lines: tuple[tuple[TimedWord, ...], ...]
    """The words of each line that has any."""
    line_number: int
    """Line of its times in the file, counting from 1."""

    @property
    def words(self) -> tuple[TimedWord, ...]:
        """All words in order."""
        return tuple(word for line in self.lines for word in line)


def parse_cues(lines: Sequence[str], name: str) -> tuple[RawCue, ...]:
    """Read the cues of a WebVTT or SubRip file, in order of their start.

    Text that a blank line has cut off from its cue is kept with it; notes, styles and the header are passed over.

    Args:
        lines: The file's lines.
        name: The file's name, for messages.

    Raises:
        TranscriptError: Times that cannot be read, that run backwards, or no cue at all; says the line.
    """
    at = _skip_header(lines)
    cues: list[RawCue] = []
    while at < len(lines):
        if not lines[at].strip():
            at += 1
            continue
        end = _block_end(lines, at)
        if lines[at].split(maxsplit=1)[0] in _BLOCKS and not _ARROW.search(lines[at]):
            at = end
            continue
        times = next((i for i in range(at, end) if _ARROW.search(lines[i])), None)
        if times is None:
            _keep_stray(cues, lines, at, end)
        else:
            cues.append(_read_cue(lines, times, end, name))
            _check_order(cues, name)
        at = end
    if not cues:
        raise TranscriptError(
            "there is no caption in this file",
            where=f"{name}, line {len(lines)}",
            todo="A caption has a line like 00:00:01.000 --> 00:00:04.000 above its text.",
        )
    return tuple(sorted(cues, key=lambda cue: cue.start_s))


def _skip_header(lines: Sequence[str]) -> int:
    """Give the index of the first line after the header block, which may itself hold metadata lines."""
    if not lines[0].lstrip("\ufeff").startswith("WEBVTT"):
        return 0
    at = 1
    while at < len(lines) and lines[at].strip() and not _ARROW.search(lines[at]):
        at += 1
    return at


def _block_end(lines: Sequence[str], at: int) -> int:
    """Give the index after a block: at a blank line, or where the next cue's times follow without one."""
    seen = False
    for i in range(at, len(lines)):
        if not lines[i].strip():
            # A blank line straight under the times, as rolling captions have it, does not end the cue.
            if seen and i and _ARROW.search(lines[i - 1]) and lines[i] and i + 1 < len(lines):
                continue
            return i
        if _ARROW.search(lines[i]):
            if seen:
                return i - 1 if lines[i - 1].strip().isdigit() and i - 1 > at else i
            seen = True
    return len(lines)


def _read_cue(lines: Sequence[str], times: int, end: int, name: str) -> RawCue:
    where = f"{name}, line {times + 1}"
    match = _TIMING.match(lines[times])
    if not match:
        raise TranscriptError(
            f'these times cannot be read: "{lines[times].strip()}"',
            where=where,
            todo="They must look like 00:00:01.000 --> 00:00:04.000.",
        )
    start = _seconds(match.group(2, 3, 4, 5), where)
    stop = _seconds(match.group(7, 8, 9, 10), where)
    if stop < start:
        raise TranscriptError("this caption ends before it starts", where=where, todo="Set its times right.")
    return RawCue(start, stop, _read_text(lines[times + 1 : end]), times + 1)


def _seconds(parts: tuple[str | None, ...], where: str) -> float:
    hours, minutes, seconds = (int(part or 0) for part in parts[:3])
    if seconds > 59 or (parts[0] is not None and minutes > 59):
        raise TranscriptError("minutes and seconds go up to 59", where=where, todo="Set its times right.")
    return round(hours * 3600 + minutes * 60 + seconds + float(f"0.{parts[3] or 0}"), 3)


def _check_order(cues: Sequence[RawCue], name: str) -> None:
    if len(cues) > 1 and cues[-1].start_s < cues[-2].start_s - _BACK_S:
        raise TranscriptError(
            "this caption starts before the one above it",
            where=f"{name}, line {cues[-1].line_number}",
            todo="If two recordings' captions were put in one file, give each its own file.",
        )


def _keep_stray(cues: list[RawCue], lines: Sequence[str], at: int, end: int) -> None:
    """Add text that a blank line has cut off to the cue before it, so that nothing said is lost."""
    if not cues or (end - at == 1 and lines[at].strip().isdigit()):
        return
    last = cues[-1]
    cues[-1] = RawCue(last.start_s, last.end_s, last.lines + _read_text(lines[at:end]), last.line_number)


def _read_text(lines: Sequence[str]) -> tuple[tuple[TimedWord, ...], ...]:
    text = "\n".join(_OVERRIDE.sub(lambda m: "\n" if m[0] in {"\\N", "\\n"} else " ", line) for line in lines)
    read = (_read_line(line) for line in re.sub(r"<br\s*/?>", "\n", text, flags=re.IGNORECASE).split("\n"))
    return tuple(words for words in read if words)


def _read_line(line: str) -> tuple[TimedWord, ...]:
    """Take the tags out of one line and split it into words; a time tag dates the word after it."""
    words: list[TimedWord] = []
    time: float | None = None
    open_word = False
    pieces = _TAG.split(line)
    for i, piece in enumerate(pieces):
        if i % 2:
            stamp = _TIME.fullmatch(piece)
            if stamp:
                time = _seconds(stamp.groups(), "")
                open_word = False
            continue
        text = html.unescape(piece).translate(_INVISIBLE)
        text = _SOUND.sub(" ", text) if i else _SPEAKER.sub("", _SOUND.sub(" ", text), count=1)
        for k, part in enumerate(text.split()):
            if k == 0 and open_word and words and not text[:1].isspace():
                words[-1] = TimedWord(words[-1].text + part, words[-1].start_s)
            else:
                words.append(TimedWord(part, time))
                time = None
        if text:
            open_word = not text[-1:].isspace()
    return tuple(words)
