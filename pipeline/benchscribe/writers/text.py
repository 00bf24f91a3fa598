"""Text of any origin, made safe for where it goes: Markdown, plain lines, CSV cells, captions; and times as people read them.

Names, notes and captions are data. Whatever stands in them comes out as text.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from importlib import resources
from typing import Final

from benchscribe.clock import clock as to_clock

DRAFT: Final = "draft: times are of the takes"
"""The line that every output carries while there is no published cut."""

_OVERRIDES: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c")
"""Marks that turn the reading direction of what follows. Letters of right-to-left scripts need none of them."""

_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\0", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""First characters that make a spreadsheet read a cell as a formula (OWASP ASVS 1.2.10), with their full-width forms."""


class Markdown(str):
    """Text that is Markdown already and must not be escaped again."""

    __slots__ = ()


def plain(text: object) -> str:
    """Give text as one line: no control characters, no line breaks, no marks that turn the reading direction."""
    return flat(text).strip()


def flat(text: object) -> str:
    """Do what `plain` does, but keep one space at either end: for pieces of a line that a template puts together."""
    shown = str(text)
    if not (shown.isascii() and shown.isprintable()):
        shown = "".join(_visible(character) for character in shown)
    return re.sub(r"\s+", " ", shown)


def _visible(character: str) -> str:
    if character in _OVERRIDES:
        return ""
    if unicodedata.category(character) in {"Cc", "Zl", "Zp", "Cs"}:
        return " "
    return character


def markdown(text: object) -> Markdown:
    r"""Escape one line of text so that Markdown shows it as it is.

    Only what would act as Markdown is escaped, so that ordinary text stays readable and can be pasted anywhere.

    >>> markdown("<b>2 * 3</b> a_b | #8")
    '\\<b>2 \\* 3\\</b> a_b \\| #8'
    """
    if isinstance(text, Markdown):
        return text
    shown = flat(text)
    shown = re.sub(r"([\\`*\[\]<|~])", r"\\\1", shown)
    shown = re.sub(r"(?<![^\W_])_|_(?![^\W_])", r"\\_", shown)
    shown = re.sub(r"&(?=#?\w+;)", r"\\&", shown)
    return Markdown(shown)


def markdown_line(text: object) -> Markdown:
    """Escape text that begins a line, where `#`, `-`, `+`, `>`, `=` and "1." would make a heading, a list or a quote."""
    shown = Markdown(markdown(text).lstrip())
    shown = Markdown(re.sub(r"^([#+\->=])", r"\\\1", shown))
    return Markdown(re.sub(r"^(\d{1,9})([.)])(?=\s|$)", r"\1\\\2", shown))


def cell(text: object) -> str:
    """Give a CSV cell that no spreadsheet reads as a formula: a leading `= + - @` gets an apostrophe before it.

    Spaces before the sign are no protection, since some programs trim them.

    >>> cell("=1+1")
    "'=1+1"
    """
    shown = plain(text) if not isinstance(text, (int, float)) else str(text)
    return "'" + shown if shown.startswith(_FORMULA) else shown


def vtt(text: object) -> str:
    """Escape a line of a WebVTT caption (W3C WebVTT, "WebVTT cue text")."""
    return plain(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def srt(text: object) -> str:
    r"""Keep a SubRip line from being read as a tag, an override or a time.

    SubRip has no escape. An invisible word joiner after the sign leaves the text as it looks and ends its meaning.

    >>> srt("<i>") == "<\u2060i>"
    True
    """
    shown = plain(text).replace("-->", "--\u2060>")
    shown = re.sub(r"<(?=/?[A-Za-z])", "<\u2060", shown)
    return re.sub(r"\{(?=\\)", "{\u2060", shown)


def tight(text: object) -> str:
    """Put unbreakable spaces into sizes, so that no line ends between "3" and "1/4" or before the unit."""
    shown = re.sub(r"(?<=\d) (?=\d+/\d)", "\u00a0", str(text))
    return re.sub(r"(?<=\d) (?=(?:in|ft|mm|cm|m|thou)\b)", "\u00a0", shown)


def clock(seconds: float | None) -> str:
    """Write seconds as people read a clock, cut off and never rounded up: 3:07, 1:02:45; empty where there is no time."""
    return "" if seconds is None else to_clock(seconds)


def thousandths(seconds: float) -> int:
    """Give a time as captions count it; two times that are the same in it are the same in the file."""
    return round(seconds * 1000)


def stamp(seconds: float, *, comma: bool = False) -> str:
    """Write a caption time: 00:01:02.345, or with a comma as SubRip has it."""
    minutes, rest = divmod(max(thousandths(seconds), 0), 60_000)
    hours, minutes = divmod(minutes, 60)
    mark = "," if comma else "."
    return f"{hours:02}:{minutes:02}:{rest // 1000:02}{mark}{rest % 1000:03}"


def listing(names: object) -> str:
    """Join names as people do: "a", "a and b", "a, b and c"; "tie, leather; flap; and handle" where a name has a comma of its own."""
    items = [str(name) for name in names]  # type: ignore[attr-defined]
    if len(items) < 2:
        return "".join(items)
    if any("," in item for item in items):
        return f"{'; '.join(items[:-1])}; and {items[-1]}"
    return f"{', '.join(items[:-1])} and {items[-1]}"


def counted(number: int, thing: str, things: str = "") -> str:
    """Write a count with its thing: "1 part", "3 parts"."""
    return f"{number} {thing if number == 1 else things or thing + 's'}"


def lowered(name: str) -> str:
    """Give a name as it stands inside a sentence: "Side panel" as "side panel", but "A-frame" and "MDF base" as they are."""
    return name[:1].lower() + name[1:] if name[1:2].islower() else name


@lru_cache(maxsize=1)
def _acronyms() -> frozenset[str]:
    lines = resources.files("benchscribe.writers").joinpath("acronyms.txt").read_text("utf-8").splitlines()
    return frozenset(word for line in lines if not line.startswith("#") for word in line.split())


def lettered(name: str) -> str:
    """Write what is known by its letters in capitals: "mdf base" as "MDF base", "uhmw plastic" as "UHMW plastic"."""
    return " ".join(word.upper() if word.casefold() in _acronyms() else word for word in name.split(" "))


def capital(text: str) -> str:
    """Give text with its first letter large."""
    return text[:1].upper() + text[1:]


def sheet_name(sheet: str) -> str:
    """Name a sheet of the plan: "2" and "B" as "sheet 2" and "sheet B", "offcut" or "page 4" as they stand; empty stays empty."""
    shown = plain(sheet)
    return f"sheet {shown}" if re.fullmatch(r"\d+\w?|\w", shown) else shown


_RUN_UP: Final = re.compile(
    r"^(?:(?:and|but|so|or|plus|then|now|okay|ok|alright|all right|right|well|oh|um|uh|er|erm|yeah|yes|anyway|also|like|because|you know|i mean|"
    r"as i say|as i said|of course)\b(?!\s+that\s+(?:is|was)\b)[,.:;!\s\u2026-]*)+",
    re.IGNORECASE,
)
"""What talk runs up with before a sentence begins: conjunctions that join it to the one before, and filler."""


def opened(text: object) -> str:
    """Give a sentence from talk as it stands by itself: without the run-up, with a large letter, ending as a sentence does.

    >>> opened("and so next week we'll do the drawers,")
    "Next week we'll do the drawers."
    >>> opened("right")
    'Right.'
    """
    shown = plain(text)
    bare = _RUN_UP.sub("", shown)
    return sentence(capital(bare if len(bare.split()) > 1 else shown))


def sentence(text: object) -> str:
    """Give one line that ends as a sentence does; empty stays empty."""
    shown = plain(text).rstrip(" ,;:-\u2013")
    return shown if not shown or shown.endswith((".", "!", "?", "\u2026")) else shown + "."
