"""Typed sizes: `3/4`, `1-3/8`, `2 1/2`, `.375`, `7′ 8.625″`, `Ø 12`, `188 dia`, `18 x 300 x 450`. Exact, in `Fraction`."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import Final

from msgspec import Struct

from benchscribe.units import to_mm

_SIGNS: Final = str.maketrans(
    {
        "⁄": "/", "∕": "/", "×": "x", "✕": "x", "✖": "x", "″": '"', "“": '"', "”": '"', "„": '"', "′": "'", "’": "'", "‘": "'", "´": "'",
        "–": "-", "—": "-", "‐": "-", "‑": "-", "−": "-", "\xa0": " ", "\u2009": " ", "\u202f": " ", "º": "°", "˚": "°", "⌀": "ø",
        "∅": "ø", "Ø": "ø", "φ": "ø", "Φ": "ø", "\t": " ", "\n": " ", "\r": " ",
    }
)  # fmt: skip
_VULGAR: Final = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6",
}  # fmt: skip
_UNITS: Final = {
    '"': "inch", "''": "inch", "in": "inch", "ins": "inch", "inch": "inch", "inches": "inch", "'": "foot", "ft": "foot", "foot": "foot",
    "feet": "foot", "mm": "mm", "mms": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm", "cm": "cm",
    "cms": "cm", "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m", "thou": "thou", "mil": "thou", "mils": "thou",
    "°": "degree", "deg": "degree", "degs": "degree", "degree": "degree", "degrees": "degree", "yd": "yard", "yds": "yard", "yard": "yard", "yards": "yard",
}  # fmt: skip
_PLAIN = r"\d+\s*/\s*[1-9]\d*|\d+(?:\.\d+)?|\.\d+"
_MIXED = r"\d+(?:\s*-\s*|\s+|\s*&\s*|\s+and\s+)\d+\s*/\s*[1-9]\d*"
_NUMBER: Final = re.compile(rf"(?:(?<![\w./#])|(?<=\dx)|(?<=ø))(?P<number>{_MIXED}|{_PLAIN})(?![\d/])")
_UNIT: Final = re.compile(
    r"\s*(''|[\"'°]|(?:inches|inch|ins|in|feet|foot|ft|millimet(?:re|er)s?|mms?|cms?|met(?:re|er)s?|m|thou|mils?|degrees?|degs?|yards?|yds?|yd)\b\.?)"
)

_SCREWS: Final = frozenset({"2", "4", "5", "6", "8", "10", "12"})
_SCREW_PITCHES: Final = frozenset({"24", "28", "32", "36", "40", "44", "48", "56", "64"})
_BOLT_PITCHES: Final = frozenset({"10", "11", "12", "13", "14", "16", "18", "20", "24", "28", "32"})
"""Threads per inch of the unified coarse and fine series (ASME B1.1) for numbered and fractional sizes."""


_NAMED_SIZE: Final = re.compile(r"(?:\bno\.?|#|\bm|\bsize)\s*$")
_NEAR: Final = 12
"""Signs before a number that say what it is; no more are looked at, so that a long note takes no longer by its square."""
_REST_OF_THREAD: Final = re.compile(r"[\w./#-]*")
_TOLERANCES: Final = (
    re.compile(r"(?:\+\s*/\s*-|±)\s*[\d./]+(?:\s*(?:mm|in|\"))?"),
    re.compile(r"(?:(?<=[\s(/])[+-]|(?<=\d)\+)(?:0?\.\d+|0)(?![\d.]|/\d)(?:\s*(?:mm|in\b|\"))?"),
    re.compile(r"(?<=\d)\s*(?:js|[fghkmnp])(?:[5-9]|1[01])\b(?!\s*x)"),
)
"""`±0.1`, `+.001 -.000`, and the letters of the ISO 286 system of fits (`h6`, `m6`, `H7`)."""
_ASIDE: Final = re.compile(
    r"\b(?:m|tr|g|r|ba|bsp)\s?\d+(?:\.\d+)?\s*x\s*[0-3](?:\.\d+)?(?![\d.])|\b\d{1,2}/12(?=\s+pitch)|#\s?\d{1,2}-\d{2}\b"
)
"""A metric thread with its pitch (`M5 x 0.5`, `Tr14 x 3`) and the pitch of a roof (`8/12 pitch`): no sizes."""


class Number(Struct, frozen=True):
    """One typed number with its unit, and where it stands in the text."""

    value: Fraction
    unit: str | None
    """None where the cell names no unit."""
    start: int
    end: int
    step: str
    """How it was written: "fraction", "improper" (5/4), "decimal" or "whole"."""


@lru_cache(maxsize=65536)
def plain(text: str, *, comma: bool = False) -> str:
    """Write a cell with plain signs: vulgar fractions, primes, dashes and multiplication signs as a keyboard has them; lower case.

    Args:
        text: The cell.
        comma: A comma between digits is a decimal comma; otherwise it groups thousands.
    """
    text = text.translate(_SIGNS)
    for sign, written in _VULGAR.items():
        if sign in text:
            text = re.sub(rf"\s*-?\s*{sign}", f" {written}", text)
    text = (
        re.sub(r"(?<=\d)\s*,\s*(?=\d)", ".", text) if comma else re.sub(r"(?<=\d),(?=\d{3}(?!\d))", "", text)
    )
    return re.sub(r" {2,}", " ", text).strip().lower()


def number_value(text: str) -> Fraction:
    """Give the exact value of `2 1/2`, `1-3/8`, `3/4`, `.375`, `18`.

    >>> number_value("1-3/8")
    Fraction(11, 8)
    """
    text = re.sub(r"\s*/\s*", "/", text.strip())
    whole, _, rest = text.rpartition("/")
    if not whole:
        units, _, places = rest.partition(".")
        return Fraction(int(units + places), 10 ** len(places)) if places else Fraction(int(units))
    parts = re.split(r"[\s&-]+|\band\b", whole)
    parts = [p for p in parts if p]
    top = Fraction(int(parts[-1]), int(rest))
    return top + int(parts[0]) if len(parts) > 1 else top


@lru_cache(maxsize=65536)
def numbers(text: str) -> tuple[Number, ...]:
    """Find every size in a text made plain by `plain`; feet and inches together are one size, in inches.

    Threads, screw numbers and the like (`1/4-20`, `10-24`, `m6`, `#8`) are no sizes and are passed over.
    """
    found: list[Number] = []
    at = 0
    while match := _NUMBER.search(text, at):
        at = match.end()
        if _thread(text, match):
            at = _REST_OF_THREAD.match(text, match.start()).end()  # type: ignore[union-attr]
            at = max(at, match.end())
            continue
        unit = _UNIT.match(text, match.end())
        name = _UNITS[unit[1].rstrip(".")] if unit else None
        end = unit.end() if unit else match.end()
        at = end
        written = _written(match["number"])
        number = Number(number_value(match["number"]), name, match.start(), end, written)
        before = found[-1] if found else None
        joined = (
            before and before.unit == "foot" and text[before.end : number.start].strip(" -") in ("", "and")
        )
        if before and joined and name in ("inch", None) and number.value < 12:
            found[-1] = Number(before.value * 12 + number.value, "inch", before.start, end, written)
        else:
            found.append(number)
    return tuple(found)


def _written(number: str) -> str:
    if improper := re.fullmatch(r"(\d+)/(\d+)", number):
        return "improper" if int(improper[1]) > int(improper[2]) else "fraction"
    return "fraction" if "/" in number else "decimal" if "." in number else "whole"


def _thread(text: str, match: re.Match[str]) -> bool:
    """Tell whether a thread or a numbered screw stands here: `1/4-20`, `10-24`, `8-32 x 1`."""
    number = match["number"]
    after = text[match.end() : match.end() + 5]
    pitch = re.match(r"-(\d{2})(?![\d/.])", after)
    if pitch and (
        (number in _SCREWS and pitch[1] in _SCREW_PITCHES) or ("/" in number and pitch[1] in _BOLT_PITCHES)
    ):
        return True
    return bool(_NAMED_SIZE.search(text[max(0, match.start() - _NEAR) : match.start()]))


@lru_cache(maxsize=16384)
def without_asides(text: str) -> str:
    """Blank out tolerances, fits and threads in a text made plain by `plain`: they belong to a size and are none."""
    for pattern in (*_TOLERANCES, _ASIDE):
        text = pattern.sub(lambda m: " " * len(m[0]), text)
    return re.sub(r"(?<=\s)/(?=\s)", " ", text)


def same_length(a: Number, b: Number, default: str) -> bool:
    """Tell whether two typed lengths are the same within what rounding can do (half of the last place, or 0.6 mm)."""
    first, second = (to_mm(n.value, n.unit or default) for n in (a, b))
    return abs(first - second) <= Fraction(6, 10)
