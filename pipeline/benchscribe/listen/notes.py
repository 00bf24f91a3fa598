"""Rough notes: Markdown or plain text, with or without time marks.

Only what the maker wrote has a time: the words between a mark and the next mark or heading stand at the mark's time. Words elsewhere have none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from benchscribe.errors import TranscriptError
from benchscribe.listen.sentences import cut_utterances
from benchscribe.listen.textfile import read_lines
from benchscribe.records import SourceFile, Transcript, Word

_CLOCK: Final = r"(?:(\d{1,2}):)?(\d{1,3}):(\d{2})"
_BRACKETED: Final = re.compile(rf"[\[(]{_CLOCK}[\])]")
_LEADING: Final = re.compile(rf"{_CLOCK}(?:\s*[-\u2013\u2014|]+\s+|\t+|\s*$)")
_FULL_LINE: Final = 45
"""Letters; a line this long was broken by an editor, not by the writer."""


class _Line(Struct, frozen=True):
    number: int
    text: str
    heading: bool = False
    fresh: bool = True
    """Begins a paragraph, a list item or a cell."""


class _Notes:
    """What has been read so far."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.words: list[Word] = []
        self.breaks: set[int] = set()
        self.headings: list[tuple[int, str]] = []
        self.mark: float | None = None
        self.last = -1.0

    def set_mark(self, found: re.Match[str], line: int) -> None:
        hours, minutes, seconds = (int(part or 0) for part in found.groups())
        where = f"{self.where}, line {line}"
        if seconds > 59 or (found[1] is not None and minutes > 59):
            raise TranscriptError(
                f'"{found[0].strip()}" is no time: minutes and seconds go up to 59', where=where, todo="Write it as [mm:ss] or [h:mm:ss]."
            )  # fmt: skip
        time = float(hours * 3600 + minutes * 60 + seconds)
        if time < self.last:
            raise TranscriptError(
                f'the mark "{found[0].strip()}" is earlier than the one above it', where=where, todo="Put the notes in the order of their times."
            )  # fmt: skip
        self.mark = self.last = time

    def add(self, text: str) -> None:
        self.words.extend(Word(part, self.mark) for part in text.split())


def read_notes(path: Path) -> Transcript:
    """Read rough notes.

    Marks are `[mm:ss]` or `[h:mm:ss]` anywhere, or `mm:ss -` at the head of a line. Headings are kept with the passages under them and
    are not words.

    Args:
        path: A Markdown or text file.

    Raises:
        TranscriptError: Missing, not text, nothing written, or a mark that is no time or runs backwards; says the line.
    """
    lines = read_lines(path)
    notes = _Notes(str(path))
    before: _Line | None = None
    for line in _lines("\n".join(lines)):
        if line.heading:
            _read_heading(notes, line)
        else:
            if before is None or line.fresh or before.heading or _goes_on_anew(before.text, line.text):
                notes.breaks.add(len(notes.words))
            _read_text(notes, line)
        before = line
    if not notes.words:
        raise TranscriptError("nothing is written in these notes", where=f"{path}, line 1")
    return Transcript(
        files=(SourceFile(name=path.name, offset_s=0.0, duration_s=None, kind="notes"),),
        clock="notes" if notes.last >= 0 else "none",
        words=tuple(notes.words),
        utterances=cut_utterances(notes.words, breaks=notes.breaks, headings=notes.headings),
    )


def _read_heading(notes: _Notes, line: _Line) -> None:
    notes.mark = None
    text = line.text
    found = _BRACKETED.search(text) or _LEADING.match(text)
    if found:
        notes.set_mark(found, line.number)
        text = (text[: found.start()] + text[found.end() :]).strip(" -\u2013\u2014|:\t")
    notes.headings.append((len(notes.words), " ".join(text.split())))


def _read_text(notes: _Notes, line: _Line) -> None:
    text = line.text
    leading = _LEADING.match(text)
    if leading:
        notes.set_mark(leading, line.number)
        notes.breaks.add(len(notes.words))
        text = text[leading.end() :]
    at = 0
    for found in _BRACKETED.finditer(text):
        notes.add(text[at : found.start()])
        notes.set_mark(found, line.number)
        notes.breaks.add(len(notes.words))
        at = found.end()
    notes.add(text[at:].lstrip(" -\u2013\u2014:\t") if at else text)


def _goes_on_anew(before: str, text: str) -> bool:
    """Tell whether a line within a paragraph begins something new rather than going on where an editor broke it."""
    if re.search(r"[.?!:;]$", before.rstrip()) or _LEADING.match(text) or _BRACKETED.match(text):
        return True
    return len(before) < _FULL_LINE


def _lines(text: str) -> Iterator[_Line]:
    """Take the Markdown out of notes and give the lines that are left, in order."""
    from markdown_it import MarkdownIt

    heading = False
    for token in MarkdownIt("js-default").parse(_without_front_matter(text)):
        first = (token.map or [0])[0] + 1
        if token.type == "heading_open":
            heading = True
        elif token.type == "heading_close":
            heading = False
        elif token.type in {"fence", "code_block"}:
            for i, line in enumerate(token.content.split("\n")):
                if line.strip():
                    yield _Line(first + i + (token.type == "fence"), line.strip())
        elif token.type == "inline":
            for i, line in enumerate(_plain(token.children or []).split("\n")):
                if line.strip():
                    yield _Line(first + i, line.strip(), heading=heading, fresh=i == 0)


def _plain(tokens: Sequence[Any]) -> str:
    """Give the text of inline Markdown: no emphasis, no pictures, nothing that was struck out."""
    out: list[str] = []
    struck = 0
    for token in tokens:
        struck += {"s_open": 1, "s_close": -1}.get(token.type, 0)
        if struck:
            continue
        if token.type in {"text", "code_inline", "text_special"}:
            out.append(token.content)
        elif token.type in {"softbreak", "hardbreak"}:
            out.append("\n")
    return re.sub(r"^\s*\[[ xX]\]\s+", "", "".join(out))


def _without_front_matter(text: str) -> str:
    """Blank out settings between two lines of dashes at the head of the file, keeping the line numbers."""
    found = re.match(r"---[ \t]*\n.*?\n(---|\.\.\.)[ \t]*(\n|$)", text, re.DOTALL)
    return "\n" * found[0].count("\n") + text[found.end() :] if found else text
