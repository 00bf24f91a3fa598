"""What stands in one cell of sizes, and what each is a size of."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from functools import cache, lru_cache
from itertools import pairwise
from typing import Final, Literal

from msgspec import Struct

from benchscribe.partlist.headings import words
from benchscribe.partlist.numbers import Number, numbers, plain, same_length, without_asides

State = Literal["value", "to-come", "none", "ditto", "blank", "unknown"]

_ROUND: Final = r"dia(?:m(?:eter)?)?\b\.?|ø|\bod\b|\bo\.d\.|\bround\b|\brd\b|\bcirc(?:le|ular)\b"
_LABELS: Final = (
    (
        "inside",
        r"^[\s-]*(?:id\b|i\.d\.|inside\b|bore\b)",
        r"(?:\bid|\bi\.d\.|\bbore|\binside(?: dia)?)\s*[:=]?\s*$",
    ),
    ("diameter", rf"^[\s-]*(?:{_ROUND})", rf"(?:{_ROUND})\s*[:=]?\s*$"),
    ("radius", r"^[\s-]*(?:r|rad|radius)\b", r"(?:\br|\brad|\bradius)\s*[:=]?\s*$"),
    ("square", r"^[\s-]*(?:sq\b|square\b)", r"(?:\bsq|\bsquare)\s*$"),
    ("thickness", r"^[\s-]*(?:thick(?:ness)?|thk|t|wall)\b", r"(?:\bthickness|\bthk|\bt|\bwall)\s*[:=]?\s*$"),
    ("width", r"^[\s-]*(?:wide|width|w|af|a/f|across flats)\b", r"(?:\bwidth|\bw)\s*[:=]?\s*$"),
    ("length", r"^[\s-]*(?:long|length|lg|lgth|l)\b", r"(?:\blength|\bl)\s*[:=]?\s*$"),
    ("height", r"^[\s-]*(?:high|height|tall|h)\b", r"(?:\bheight|\bh)\s*[:=]?\s*$"),
    ("depth", r"^[\s-]*(?:deep|depth|dp|d)\b", r"(?:\bdepth)\s*[:=]?\s*$"),
)
OTHER_UNIT: Final = re.compile(
    r"\d\s*-?\s*(?:oz|ounces?|ga|gauge|awg|swg|gsm|lbs?|kg|grams?|ml|litres?|liters?|denier|sheets?)\b|#\s*\d+$|\bgauge\b"
)
"""Weights of leather and cloth, gauges of sheet and wire: kept as text, never taken for inches."""
_AFTER_GAUGE: Final = re.compile(r"\s*([\d./-]+\s*-?\s*(?:oz|ga|gauge|awg|swg)\b)[^x\d]*x\s*(.+)")
_SEVERAL: Final = re.compile(r"\d\.\d+\s*/\s*[\d.]|\d\s*/\s*\d*\.\d")
"""Two decimals with a stroke between: the walls of a butted tube, or a choice of two."""
EIGHTHS: Final = re.compile(r"(\d{1,3})-(\d{1,2})-([0-7])(?:\s*[+-])?")
"""A boat builder's size: feet-inches-eighths."""
_THREADED: Final = re.compile(r"\s*m\d+(?:\.\d+)?\s*x\s*$")
_ROUGH: Final = r"\b(?:rough|blank|sawn|oversize|raw)\b"
_FINISHED: Final = r"\b(?:fin|finish|finished|final|net|planed|dressed)\b"
_NOMINAL: Final = re.compile(r"\s*([1-8]x(?:2|3|4|6|8|10|12))(?=\s+x\s|\s*$|\s*@|\s+by\s)(?:\s*(?:x|@|by))?")
"""A nominal size of softwood written close together at the front ("2x4 x 92 5/8"); "2 x 4 x 92" with spaces is three sizes."""


_TIMBER: Final = re.compile(r"(\d{1,2})x(\d{1,2})(?=\s|$)")
_DRESSED: Final = frozenset({"1", "2", "3", "4", "6", "8"}), frozenset({"2", "3", "4", "6", "8", "10", "12"})


def sawn_full(cells: Iterable[str]) -> bool:
    """Tell whether a list's "8x10" are sizes as sawn: one of its timbers is in no lumber yard's list of dressed softwood ("4x5", "7x9")."""
    found = (_TIMBER.match(plain(c)) for c in cells if "x" in c)
    return any(m and (m[1] not in _DRESSED[0] or m[2] not in _DRESSED[1]) for m in found)


class Piece(Struct, frozen=True):
    """One size in a cell."""

    value: Fraction
    unit: str | None
    label: str
    """diameter, radius, square, a dimension, "" where the cell does not say."""
    step: str
    rough: bool = False


class Cell(Struct, frozen=True):
    """A size cell as read."""

    state: State
    pieces: tuple[Piece, ...] = ()
    note: str = ""
    """What was understood only in part; empty where all is clear."""


@lru_cache(maxsize=65536)
def read_cell(text: str, *, comma: bool = False, full: bool = False) -> Cell:
    """Read a size cell.

    Args:
        text: The cell as it stands.
        comma: Commas between digits are decimal commas.
        full: "8x10" is a size as sawn, and not what dressed softwood is called.
    """
    clean = plain(text, comma=comma)
    if full and _NOMINAL.match(clean):
        clean = clean.replace("x", " x ", 1)
    if state := state_of(clean):
        return Cell(state)
    if eighths := EIGHTHS.fullmatch(clean):
        value = int(eighths[1]) * 12 + int(eighths[2]) + Fraction(int(eighths[3]), 8)
        return Cell("value", (Piece(value, "inch", "", "fraction"),))
    if OTHER_UNIT.search(clean):
        return _beside_gauge(clean)
    if re.search(r"\d[de][+-]?\d", clean):
        return Cell("unknown", note="no size could be read here: a number with an exponent")
    if re.match(r"-\s*[\d.]", clean):
        return Cell("unknown", note="no size could be read here: it is less than nothing")
    if _SEVERAL.search(clean):
        return Cell("unknown", note="two values and no single size")
    return _rough_and_finished(clean, comma=comma) or _sizes(clean)


def state_of(clean: str) -> State | None:
    """Tell a cell that holds no size: blank, a dash, a ditto mark, "to suit"."""
    known = words()
    bare = clean.strip(" .;:()")
    if not clean:
        return "blank"
    strokes = '"' in clean and not re.sub(r"[-–—\"'〃/.]|\bdo\b", "", clean)  # --"--
    if clean in known["ditto"] or bare in known["ditto"] or strokes:
        return "ditto"
    if clean in known["none"]:
        return "none"
    if bare in known["to_come"] or clean in known["to_come"] or _to_come(bare):
        return "to-come"
    return None


def _sizes(clean: str) -> Cell:
    """Read the sizes of a cell that holds some."""
    outside, inside = _parentheses(without_asides(clean))
    nominal = _NOMINAL.match(outside)
    called = f"{nominal[1]} is what the stock is called, and not its size" if nominal else ""
    if nominal:
        outside = outside[nominal.end() :]
    found = numbers(outside)
    if not found:
        return Cell("unknown", note=called or "no size could be read here")
    if note := _range(outside, found):
        return Cell("unknown", note=note)
    lengths = [n for n in found if n.unit != "degree"]
    pieces, note = _second_form(inside, lengths, _pieces(outside, found))
    note = f"{called}; the rest was taken" if called else note
    return Cell("value", pieces, note or _leftover(outside, found))


def _beside_gauge(clean: str) -> Cell:
    """Read a gauge or a weight: no size by itself, but the thickness in brackets behind it is one ("18 ga (.048)", "4 oz (1.6 mm)")."""
    if rest := _AFTER_GAUGE.match(clean):
        cell = _sizes(rest[2])
        if cell.state == "value" and not OTHER_UNIT.search(rest[2]):
            return Cell(
                "value",
                cell.pieces,
                f"{rest[1].strip()} is a gauge or a weight, and no size; the rest was taken",
            )
    _, inside = _parentheses(clean)
    found = [n for n in numbers(inside) if n.unit != "degree"]
    if len(found) == 1 and not OTHER_UNIT.search(inside):
        return Cell("value", (Piece(found[0].value, found[0].unit, "", found[0].step),))
    return Cell("unknown", note="a weight or a gauge, and no size")


def _rough_and_finished(clean: str, *, comma: bool) -> Cell | None:
    """Read "rough 35 x 75 x 280; finish 30 x 68 x 250": both sizes, each marked as what it is."""
    if not re.match(rf"\W*(?:{_ROUGH}|{_FINISHED})\W*[\dø.]", clean):
        return None
    pieces: list[Piece] = []
    for half in re.split(rf"[;/]\s*(?=[a-z])|,\s*(?=[a-z])|(?={_FINISHED})|(?={_ROUGH})", clean):
        text = re.sub(rf"{_ROUGH}|{_FINISHED}", " ", half).strip(" ;,:/")
        if not text:
            continue
        cell = read_cell(text, comma=comma)
        if cell.state != "value":
            return None
        rough = bool(re.search(_ROUGH, half))
        pieces += [Piece(p.value, p.unit, p.label, p.step, rough or p.rough) for p in cell.pieces]
    return Cell("value", tuple(pieces)) if pieces else None


def _to_come(bare: str) -> bool:
    """Tell a size that is to come, however it is written round ("to suit router", "outline TBD")."""
    return not re.search(r"\d", bare) and bool(_to_come_words().search(bare))


@cache
def _to_come_words() -> re.Pattern[str]:
    known = [
        w for w in words()["to_come"] if len(w) > 2 and w[0].isalpha() and w not in ("fit", "free", "measure")
    ]
    return re.compile(r"\b(?:" + "|".join(map(re.escape, known)) + r")\b")


def _parentheses(clean: str) -> tuple[str, str]:
    inside = " ; ".join(re.findall(r"\(([^)]*)\)", clean))
    return re.sub(r"\([^)]*\)?", " ", clean).strip() or inside, inside


def _pieces(text: str, found: tuple[Number, ...]) -> tuple[Piece, ...]:
    pieces = []
    for index, number in enumerate(found):
        before = text[found[index - 1].end if index else 0 : number.start]
        after = text[number.end : found[index + 1].start if index + 1 < len(found) else len(text)]
        if number.unit == "degree":
            pieces.append(Piece(number.value, "degree", "angle", number.step))
            continue
        label = _label(before, after, index)
        if index == 0 and not label and _THREADED.match(before):
            label = "length"  # "M4 x 25"
        pieces.append(Piece(number.value, number.unit, label, number.step))
    shared = next((p.unit for p in reversed(pieces) if p.unit not in (None, "degree")), None)
    # "18 x 300 x 450 mm": the unit at the end is the unit of all; but "1/4 x 3/4 x 17 ft" is a long piece of a small section.
    if shared and shared not in ("foot", "yard", "m") and pieces[-1].unit == shared:
        pieces = [p if p.unit else Piece(p.value, shared, p.label, p.step) for p in pieces]
    if any(p.label == "square" for p in pieces):
        pieces = [q for p in pieces for q in ([p, p] if p.label == "square" else [p])]
    return tuple(pieces)


@cache
def _labels() -> tuple[tuple[str, re.Pattern[str], re.Pattern[str]], ...]:
    return tuple((name, re.compile(follows), re.compile(leads)) for name, follows, leads in _LABELS)


def _label(before: str, after: str, index: int) -> str:
    """Give what the words right after, or right before, say that the size is."""
    for name, follows, _ in _labels():
        if follows.match(after):
            return name
    lead = before if index == 0 else re.split(r"x|\bby\b|\*|,", before)[-1]
    for name, _, leads in _labels():
        if leads.search(lead):
            return name
    return ""


def _range(text: str, found: tuple[Number, ...]) -> str:
    lengths = [n for n in found if n.unit != "degree"]
    for first, second in pairwise(lengths):
        between = text[first.end : second.start].strip()
        if between in ("-", "to", "...", "..", "or", "~", "/"):
            return "two values and no single size"
    return ""


def _second_form(
    inside: str, lengths: list[Number], pieces: tuple[Piece, ...]
) -> tuple[tuple[Piece, ...], str]:
    """Hold a second form in brackets ("7′ 8.625″ (92.625″)") against the first."""
    if not inside:
        return pieces, ""
    second = [n for n in numbers(inside) if n.unit != "degree"]
    if not second:
        return pieces, ""
    if re.search(r"\b(?:rough|blank|sawn|oversize)\b", inside):
        return (*pieces, *(Piece(n.value, n.unit, "", n.step, rough=True) for n in second)), ""
    if len(second) != len(lengths):
        return pieces, "" if pieces else "what stands in brackets was not read"
    agree = all(_agrees(a, b) for a, b in zip(lengths, second, strict=True))
    return pieces, "" if agree else "the two forms of this size differ; the first was taken"


def _agrees(first: Number, second: Number) -> bool:
    pairs = [(first.unit, second.unit)] if first.unit or second.unit else [("inch", "inch")]
    units = [(a or ("mm" if b != "mm" else "inch"), b or ("mm" if a != "mm" else "inch")) for a, b in pairs]
    return any(
        same_length(Number(first.value, a, 0, 0, ""), Number(second.value, b, 0, 0, ""), "mm")
        for a, b in [*units, *((b, b) for _, b in units)]
    )


_FINE: Final = frozenset(
    "x by and dia diam diameter ø od id sq square thick thk wide long high deep t w l h d r rad lg wall about approx ca abt c round rd max "
    "min nominal nom each off the of in net finished fin sawn planed all round both ends end compound bevel miter mitre taper angle tube inside outside per side "
    "plus minus over overall o a to cut ply board sheet stock width length height depth thickness exactly exact only see note side full long edge finish finishing rough sawn blank id bore wide par pse plain bright hollow mitre mitred square circle circular section box".split()
)


@cache
def _fine() -> frozenset[str]:
    return _FINE | {w for known in words()["forms"].values() for form in known for w in form.split()}


def _leftover(text: str, found: tuple[Number, ...]) -> str:
    """Say which words of a cell were passed over."""
    rest = list(text)
    for number in found:
        rest[number.start : number.end] = [" "] * (number.end - number.start)
    left = [w for w in re.findall(r"[a-zø]{2,}|#\s*\d+|\d[\w./]*", "".join(rest)) if w not in _fine()]
    return f"only the sizes were taken; {' '.join(left)!r} was passed over" if left else ""
