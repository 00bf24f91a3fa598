"""Sizes in notes: angles of the ends, grooves, rabbets, slots, flanges, holes and their spacing, and sizes of the part that no column gives."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any, Final, cast

from msgspec import Struct

from benchscribe.partlist.headings import words
from benchscribe.partlist.numbers import Number, numbers, plain, without_asides
from benchscribe.records import Dimension

_SPACED: Final = re.compile(r"(?:\bat|@|\bevery|\bspaced|\bpitch(?:ed)?|\bcentres|\bcenters|\bo\.?c\.?)\s*$")
_SPACING: Final = re.compile(
    r"^[\s-]*(?:crs|ctrs|cts|centres|centers|c/c|o\.?c\.?\b|apart|pitch|spacing|c-c|between|centre to centre|center to center)"
)
_AWAY: Final = re.compile(r"^[\s-]*(?:from|in from|up from|down from|off|of|above|below)\b")
_LABELS: Final = (
    ("inside", re.compile(r"^[\s-]*(?:id|i\.d\.|inside|bore)\b")),
    ("depth", re.compile(r"^[\s-]*(?:dp|deep|depth|d)\b")),
    ("length", re.compile(r"^[\s-]*(?:long|lg|length|in all|total|overall|of it)\b")),
    ("diameter", re.compile(r"^[\s-]*(?:dia\b|diam\b|diameter\b|ø|od\b)")),
    ("radius", re.compile(r"^[\s-]*(?:r|rad|radius)\b")),
    ("thickness", re.compile(r"^[\s-]*(?:thick|thk)\b")),
    ("height", re.compile(r"^[\s-]*(?:high|tall)\b")),
    ("width", re.compile(r"^[\s-]*(?:wide|width|w)\b")),
)
_BEGIN: Final = frozenset("ibdløortwh")
"""How the words of `_LABELS` begin."""
_NEAR: Final = 40
"""Signs before a number that are looked at for what it is."""
_LABELLED: Final = re.compile(r"^[\s-]*(?:crs|ctrs|cts|centres|centers|seams|hems)\b")
_COUNTED: Final = re.compile(
    r"\s*(?:at|@)\s|\s*x\s*m\d|\s*[tv]-?slot|\s*x\s*[\d.]+\s*(?:°|deg)|\s+(?:[a-z]{2,}\s+)?[a-z]{2,}[^s\W\d]s\b"
)
"""What follows a count or a name: "9 at 8 in crs", "4 x M5", "2040 V-slot", "4 x 90°", "23 sockets"."""
_LEADS: Final = re.compile(r"\b(thickness|width|length|height|diameter|dia|radius|thk|r)\s*[:=]?\s*$")
_REACHED: Final = re.compile(
    r"\b(?:to|to finish|to leave|finish(?:es|ing|ed)?(?: at| to)?|leav(?:es|ing))\s*$"
)
"""What stands before a size that something is brought to ("taper to 3/4", "skived to 1 mm"): the size left, not of the feature."""
_CARRIED: Final = frozenset({"depth", "length", "width"})
"""What a clause after a comma may still say of the feature before it: "mortise 2 x 7 1/2, 4 1/8 deep"."""
_OWN: Final = frozenset({"thickness", "width", "length", "height", "diameter", "radius", "inside"})
"""Sizes of the part itself that a note may give."""
_OPEN: Final = re.compile(r"\b(thickness|width|length|height|depth|diameter|dia)s?\s+(?:is |are )?(.+)$")


class FeatureSize(Struct, frozen=True):
    """One size in a note."""

    dimension: Dimension
    value: Fraction
    unit: str | None
    feature: str
    """"groove", "hole"; empty for an angle or another size of the part itself."""
    text: str


class NoteReading(Struct, frozen=True):
    """What a note says in numbers."""

    sizes: tuple[FeatureSize, ...]
    unread: tuple[str, ...]
    """Clauses with a number that may be a size and was not read as one."""
    chains: tuple[tuple[Number, ...], ...] = ()
    """Sizes that stand alone in a clause ("110 x 140") and may be the part's own."""
    open: tuple[str, ...] = ()
    """Dimensions that the note says are to suit."""


@cache
def _pattern() -> tuple[re.Pattern[str], dict[str, str]]:
    by_word = {word: name for name, known in words()["features"].items() for word in known}
    longest = sorted(by_word, key=len, reverse=True)
    return re.compile(r"\b(" + "|".join(map(re.escape, longest)) + r")\b"), by_word


@cache
def _not_sizes() -> tuple[re.Pattern[str], re.Pattern[str]]:
    known: dict[str, list[str]] = words()["not_sizes"]
    before, after = (
        "|".join(map(re.escape, sorted(known[k], key=len, reverse=True))) for k in ("before", "after")
    )
    return re.compile(rf"(?:\b(?:{before})|#|fits?(?: between| in)?)\s*$"), re.compile(
        rf"^[\s-]*(?:{after})\b"
    )


@lru_cache(maxsize=16384)
def read_note(text: str, *, comma: bool = False) -> NoteReading:
    """Read the sizes in a note. Each clause (between commas, semicolons and full stops) speaks of one feature."""
    clean = without_asides(plain(text, comma=comma))
    clean = re.sub(r"\br(?=\d{2,}|\.\d)", "r ", clean)  # "R600" is a radius
    found: list[FeatureSize] = []
    unread: list[str] = []
    chains: list[tuple[Number, ...]] = []
    opened: list[str] = []
    feature = ""
    for clause, comma_before in _clauses(clean):
        named = _feature(clause)
        carried = feature if comma_before and not named else ""
        feature = named or ("hole" if feature == "hole" else carried)
        opened += _opened(clause)
        own = _alone(clause) if not feature else ()
        if own:
            chains.append(own)
            continue
        sizes, left = _clause(clause, named, feature)
        found += sizes
        if left:
            unread.append(clause)
    return NoteReading(tuple(found), tuple(unread), tuple(chains), tuple(opened))


def _clauses(clean: str) -> list[tuple[str, bool]]:
    """Cut a note into clauses, each with whether a comma stands before it."""
    pieces = re.split(
        r"([;,]|(?<!\bno)(?<!\bin)(?<!\bft)(?<!\bdia)(?<!\brad)(?<!\bcrs)(?<!\bmax)(?<!\bmin)(?<!\bmm)(?<!\bapprox)\.(?=\s|$)|\band\b(?=\s+(?:a|one|two|\d)\b.*[a-z]{4}))",
        clean,
    )
    out = [(pieces[0].strip(), False)]
    out += [(clause.strip(), cut == ",") for cut, clause in zip(pieces[1::2], pieces[2::2], strict=True)]
    return [(clause, cut) for clause, cut in out if clause]


def _opened(clause: str) -> list[str]:
    """Read "length to suit": a size that is wanted and not given."""
    match = _OPEN.search(clause)
    if not match or re.search(r"\d", match[2]):
        return []
    said = any(
        re.match(rf"{re.escape(w)}\b", match[2]) for w in words()["to_come"] if w[0].isalpha() and len(w) > 2
    )
    return [{"dia": "diameter"}.get(match[1], match[1])] if said else []


def _alone(clause: str) -> tuple[Number, ...]:
    """Give the sizes of a clause that is nothing but a chain of two or three ("110 x 140 mm")."""
    found = numbers(clause)
    if len(found) not in (2, 3) or any(n.unit == "degree" for n in found):
        return ()
    rest = "".join(" " if any(n.start <= i < n.end for n in found) else c for i, c in enumerate(clause))
    return (
        found if re.fullmatch(r"\s*(?:x\s*|by\s*|\s)+", rest) and len(rest.split()) == len(found) - 1 else ()
    )


def _feature(clause: str) -> str:
    """Give the feature that a clause names first; of words in a row the last ("pin holes" are holes)."""
    pattern, by_word = _pattern()
    found = list(pattern.finditer(clause))
    heads = [
        m
        for i, m in enumerate(found)
        if i + 1 == len(found) or clause[m.end() : found[i + 1].start()].strip()
    ]
    names = [by_word[m[1]] for m in heads]
    strong = [n for n in names if n != "roundover"]
    if not strong and re.search(r"\d\s*x\s*ø", clause):
        return "hole"  # "4 x Ø4.2 corners"
    return (strong or names or [""])[0]


def _clause(clause: str, named: str, feature: str) -> tuple[list[FeatureSize], bool]:
    """Read one clause; tell whether a number in it was left unread."""
    out: list[FeatureSize] = []
    left: list[Number] = []
    missed = False
    for number in numbers(clause):
        if number.unit == "degree":
            of = feature if feature in ("chamfer", "groove", "dado", "hole") else ""
            out.append(FeatureSize("angle", number.value, "degree", of, clause))
        elif _no_size(clause, number, feature):
            # "holes 10 at 50": ten of them, or 10 across?
            missed = missed or bool(
                re.match(r"\s*(?:at|@)\s", clause[number.end :])
                and re.search(r"s\s*$", clause[: number.start])
            )
        elif _AWAY.match(clause[number.end :]) or _left_over(clause, number, feature):
            missed = True
        elif not feature or (not named and feature != "hole" and _label(clause, number) not in _CARRIED):
            own = _own(clause, number)
            out += own
            missed = missed or not own
        else:
            left.append(number)
    sizes = _sized(clause, feature, left)
    return out + sizes, missed or len(sizes) < len(left)


def _left_over(clause: str, number: Number, feature: str) -> bool:
    """Tell a size that something is brought to and that says not of what ("taper to 3/4")."""
    return bool(_REACHED.search(clause[: number.start])) and feature != "skive" and not _label(clause, number)


def _no_size(clause: str, number: Number, feature: str) -> bool:
    """Tell a count, a reference or the like from a size."""
    before, after = clause[max(0, number.start - _NEAR) : number.start], clause[number.end :]
    leads, follows = _not_sizes()
    if leads.search(before):
        return True
    label = _label(clause, number)
    if number.step != "whole" or number.unit or label:
        return False
    if _SPACING.match(after):
        return False
    if before.split()[-1:] and before.split()[-1] in words()["not_sizes"]["before_plain"]:
        return True
    if _COUNTED.match(after) and not _LABELLED.match(after) and not re.search(r"\bx\s*$", before):
        return True
    if _SPACED.search(before) and feature:
        return False
    if follows.match(after) and not (
        feature in ("hole", "slot") and re.match(r"^\s*(?:hole|slot)\b", after) and number.value > 4
    ):
        return True
    return bool(
        re.match(r"\s*x\s*ø", after) or (feature == "hole" and re.match(r"\s*x\s*[\dø.]", after))
    )  # "4 x 5 dia"


def _own(clause: str, number: Number) -> list[FeatureSize]:
    """Read a size of the part itself ("1/8 thick", "4 wide"): nothing else may be spoken of in the clause."""
    label = _label(clause, number)
    if _SPACING.match(clause[number.end :]):
        return [FeatureSize("spacing", number.value, number.unit, "", clause)]
    if label not in _OWN:
        return []
    rest = re.findall(r"[a-z]{2,}", clause[: number.start] + " " + clause[number.end :])
    if any(w not in words()["beside_own"]["words"] for w in rest):
        return []
    if label == "inside":
        return [FeatureSize("diameter", number.value, number.unit, "bore", clause)]
    return [FeatureSize(cast("Dimension", label), number.value, number.unit, "", clause)]


def _sized(clause: str, feature: str, left: list[Number]) -> list[FeatureSize]:
    """Say which dimension of the feature each number is: by its own word, else by the usual order."""
    known: dict[str, Any] = words()
    order = list(
        known["orders"].get(f"{feature}_3" if len(left) == 3 else feature, known["orders"].get(feature, []))
    )
    if len(left) == 1 and feature in known["singles"]:
        order = [known["singles"][feature]]
    named = [_named(clause, n) for n in left]
    if len(left) == 1 and not named[0] and (said := _said(clause)):
        named = [said]
    if "diameter" in named and len(left) > 1:  # "tenon 1/2 dia x 3/4", "hole 6 dia x 20"
        order = ["depth" if feature in ("hole", "counterbore", "notch") else "length"]
    order = [d for d in order if d not in named]
    out = []
    for number, word in zip(left, named, strict=True):
        dimension = word or (order.pop(0) if order else known["singles"].get(feature, ""))
        if dimension:
            of, dimension = ("bore", "diameter") if dimension == "inside" else (feature, dimension)
            out.append(FeatureSize(cast("Dimension", dimension), number.value, number.unit, of, clause))
    return out


def _said(clause: str) -> str:
    """Give the dimension that a clause with one number names anywhere: "radius tip 1/4" is a radius, and what is housed goes in so deep."""
    if "radius" in clause.split():
        return "radius"
    return "depth" if re.match(r"housed\b|let in\b", clause) else ""


def _label(clause: str, number: Number) -> str:
    """Give the dimension that the word right after, or right before, a number names."""
    follows = clause[number.end : number.end + _NEAR].lstrip(" -")[:1]
    if follows in _BEGIN:
        for name, pattern in _LABELS:
            if pattern.match(clause[number.end :]):
                return name
    before = clause[max(0, number.start - _NEAR) : number.start].rstrip()
    if before.endswith("ø"):
        return "diameter"
    if _REACHED.search(before):
        return "thickness" if "skiv" in clause else ""
    lead = _LEADS.search(before)
    return {"dia": "diameter", "thk": "thickness", "r": "radius"}.get(lead[1], lead[1]) if lead else ""


def _named(clause: str, number: Number) -> str:
    after, before = clause[number.end :], clause[: number.start]
    label = _label(clause, number)
    if (_SPACED.search(before) and label != "depth") or _SPACING.match(after):
        return "spacing"
    return label
