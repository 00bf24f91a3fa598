"""Sizes in notes: angles of the ends, grooves, rabbets, slots, holes and their spacing."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache, lru_cache
from typing import Final, cast

from msgspec import Struct

from benchscribe.partlist.headings import words
from benchscribe.partlist.numbers import Number, numbers, plain
from benchscribe.records import Dimension

_DEEP: Final = re.compile(r"^[\s-]*(?:dp|deep|depth|d)\b")
_LONG: Final = re.compile(r"^[\s-]*(?:long|lg|length)\b")
_WIDE: Final = re.compile(r"^[\s-]*(?:wide|width|w)\b")
_ROUND: Final = re.compile(r"^[\s-]*(?:dia\b|diam\b|diameter\b|ø)")
_RADIUS: Final = re.compile(r"^[\s-]*(?:r|rad|radius)\b")
_SPACED: Final = re.compile(r"(?:\bat|@|\bevery|\bspaced|\bpitch(?:ed)?|\bcentres|\bcenters|\bo\.?c\.?)\s*$")
_SPACING: Final = re.compile(
    r"^[\s-]*(?:crs|ctrs|cts|centres|centers|c/c|o\.?c\.?\b|apart|pitch|spacing|c-c)"
)
_AWAY: Final = re.compile(r"^[\s-]*(?:from|in from|up from|off|of)\b")
_THICK: Final = re.compile(r"^[\s-]*(?:thick|thk)\b")


class FeatureSize(Struct, frozen=True):
    """One size of a feature, as a note gives it."""

    dimension: Dimension
    value: Fraction
    unit: str | None
    feature: str
    """"groove", "hole"; empty for an angle of the part itself."""
    text: str


@cache
def _pattern() -> tuple[re.Pattern[str], dict[str, str]]:
    by_word = {word: name for name, known in words()["features"].items() for word in known}
    longest = sorted(by_word, key=len, reverse=True)
    return re.compile(r"\b(" + "|".join(map(re.escape, longest)) + r")\b"), by_word


@lru_cache(maxsize=16384)
def read_features(text: str, *, comma: bool = False) -> tuple[FeatureSize, ...]:
    """Read the sizes in a note. Each clause (between commas, semicolons and full stops) speaks of one feature."""
    clean = plain(text, comma=comma)
    found: list[FeatureSize] = []
    feature = ""
    for clause in re.split(r"[;,]|\.(?=\s|$)|\band\b(?=\s+(?:a|one|two|\d)\b.*[a-z]{4})", clean):
        feature = _feature(clause) or ("hole" if feature == "hole" else "")
        found += _clause(clause.strip(), feature)
    return tuple(found)


def _feature(clause: str) -> str:
    pattern, by_word = _pattern()
    names = [by_word[m[1]] for m in pattern.finditer(clause)]
    strong = [n for n in names if n != "roundover"]
    return (strong or names or [""])[0]


def _clause(clause: str, feature: str) -> list[FeatureSize]:
    out: list[FeatureSize] = []
    left: list[Number] = []
    for number in numbers(clause):
        after, before = clause[number.end :], clause[: number.start]
        if number.unit == "degree":
            out.append(
                FeatureSize(
                    "angle",
                    number.value,
                    "degree",
                    feature if feature in ("chamfer", "groove", "dado", "hole") else "",
                    clause,
                )
            )
        elif (
            not feature
            or re.search(
                r"(?:grit|#|no\.?|sheet|part|item|fits?(?: between| in)?|see|with|to|into)\s*$", before
            )
            or _AWAY.match(after)
        ):
            continue
        elif (
            number.step == "whole"
            and number.unit is None
            and re.match(
                r"\s*(?:x\s*)?(?:holes?|slots?|off|places|no|plcs|grooves|notches|dados?|mortises)\b", after
            )
        ):
            continue  # how many
        elif (
            number.step == "whole"
            and number.unit is None
            and re.match(r"\s*x\s*[\dø.]", after)
            and feature == "hole"
        ):
            continue  # "4 x 5 dia"
        else:
            left.append(number)
    return out + _sized(clause, feature, left)


def _sized(clause: str, feature: str, left: list[Number]) -> list[FeatureSize]:
    """Say which dimension of the feature each number is: by its own word, else by the usual order."""
    orders = words()["orders"]
    order = list(orders.get(f"{feature}_3" if len(left) == 3 else feature, orders.get(feature, [])))
    named = [_named(clause, n) for n in left]
    order = [d for d in order if d not in named]
    out = []
    for number, word in zip(left, named, strict=True):
        dimension = word
        if not dimension and feature == "roundover":
            dimension = "radius"
        if not dimension and feature in ("hem", "seam", "chamfer"):
            dimension = "width"
        if not dimension:
            dimension = order.pop(0) if order else ""
        if dimension:
            out.append(FeatureSize(cast("Dimension", dimension), number.value, number.unit, feature, clause))
    return out


def _named(clause: str, number: Number) -> str:
    after, before = clause[number.end :], clause[: number.start]
    if (_SPACED.search(before) and not _DEEP.match(after)) or _SPACING.match(after):
        return "spacing"
    for name, pattern in (
        ("depth", _DEEP),
        ("length", _LONG),
        ("diameter", _ROUND),
        ("radius", _RADIUS),
        ("thickness", _THICK),
        ("width", _WIDE),
    ):
        if pattern.match(after):
            return name
    if before.rstrip().endswith("ø"):
        return "diameter"
    return ""
