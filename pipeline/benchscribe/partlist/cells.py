"""What stands in one cell: sizes with what they are a size of, and counts."""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Final, Literal

from msgspec import Struct

from benchscribe.partlist.headings import words
from benchscribe.partlist.numbers import Number, numbers, plain, same_length

State = Literal["value", "to-come", "none", "ditto", "blank", "unknown"]

_ROUND: Final = r"dia(?:m(?:eter)?)?\b\.?|ø|\bod\b|\bo\.d\.|\bround\b|\brd\b"
_LABELS: Final = (
    ("diameter", rf"^[\s-]*(?:{_ROUND})", rf"(?:{_ROUND})\s*[:=]?\s*$"),
    ("radius", r"^[\s-]*(?:r|rad|radius)\b", r"(?:\br|\brad|\bradius)\s*[:=]?\s*$"),
    ("square", r"^[\s-]*(?:sq\b|square\b)", r"(?:\bsq|\bsquare)\s*$"),
    ("thickness", r"^[\s-]*(?:thick(?:ness)?|thk|t|wall)\b", r"(?:\bthickness|\bthk|\bt|\bwall)\s*[:=]?\s*$"),
    ("width", r"^[\s-]*(?:wide|width|w)\b", r"(?:\bwidth|\bw)\s*[:=]?\s*$"),
    ("length", r"^[\s-]*(?:long|length|lg|lgth|l)\b", r"(?:\blength|\bl)\s*[:=]?\s*$"),
    ("height", r"^[\s-]*(?:high|height|tall|h)\b", r"(?:\bheight|\bh)\s*[:=]?\s*$"),
    ("depth", r"^[\s-]*(?:deep|depth|dp|d)\b", r"(?:\bdepth)\s*[:=]?\s*$"),
)
_OTHER_UNIT: Final = re.compile(
    r"\d\s*-?\s*(?:oz|ounces?|ga|gauge|awg|swg|gsm|lbs?|kg|grams?|ml|litres?|liters?|denier|sheets?)\b|#\s*\d+$|\bgauge\b"
)
"""Weights of leather and cloth, gauges of sheet and wire: kept as text, never taken for inches."""
_TOLERANCE: Final = re.compile(r"(?:\+\s*/\s*-|±)\s*[\d./]+(?:\s*(?:mm|in|\"))?")
_NOMINAL: Final = re.compile(r"\s*([1-8]x(?:2|3|4|6|8|10|12))(?=\s+x\s|\s*$|\s*@|\s+by\s)(?:\s*(?:x|@|by))?")
"""A nominal size of softwood written close together at the front ("2x4 x 92 5/8"); "2 x 4 x 92" with spaces is three sizes."""
_WORD_COUNTS: Final = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11,
    "twelve": 12, "pair": 2, "a pair": 2, "single": 1, "dozen": 12, "a dozen": 12, "half dozen": 6, "half a dozen": 6, "couple": 2,
}  # fmt: skip


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
def read_cell(text: str, *, comma: bool = False) -> Cell:
    """Read a size cell.

    Args:
        text: The cell as it stands.
        comma: Commas between digits are decimal commas.
    """
    known = words()
    clean = plain(text, comma=comma)
    bare = clean.strip(" .;:()")
    if not clean:
        return Cell("blank")
    if clean in known["ditto"] or bare in known["ditto"]:
        return Cell("ditto")
    if clean in known["none"]:
        return Cell("none")
    if bare in known["to_come"] or clean in known["to_come"] or _to_come(bare):
        return Cell("to-come")
    if _OTHER_UNIT.search(clean):
        return Cell("unknown", note="a weight or a gauge, and no size")
    outside, inside = _parentheses(_TOLERANCE.sub(" ", clean))
    nominal = _NOMINAL.match(outside)
    if nominal:
        outside = outside[nominal.end() :]
    found = numbers(outside)
    lengths = [n for n in found if n.unit != "degree"]
    if not found:
        return Cell("unknown", note="no size could be read here")
    if note := _range(outside, found):
        return Cell("unknown", note=note)
    pieces = _pieces(outside, found)
    pieces, note = _second_form(inside, lengths, pieces)
    if nominal:
        note = f"{nominal[1]} is what the stock is called, and not its size; the rest was taken"
    return Cell("value", pieces, note or _leftover(outside, found))


def _to_come(bare: str) -> bool:
    """Tell a size that is to come, however it is written round ("to suit router", "outline TBD")."""
    return not re.search(r"\d", bare) and any(
        re.search(rf"\b{re.escape(word)}\b", bare)
        for word in words()["to_come"]
        if len(word) > 2 and word[0].isalpha() and word not in ("fit", "free", "measure")
    )


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
        pieces.append(Piece(number.value, number.unit, _label(before, after, index), number.step))
    shared = next((p.unit for p in reversed(pieces) if p.unit not in (None, "degree")), None)
    # "18 x 300 x 450 mm": the unit at the end is the unit of all.
    if shared and pieces[-1].unit == shared:
        pieces = [p if p.unit else Piece(p.value, shared, p.label, p.step) for p in pieces]
    if any(p.label == "square" for p in pieces):
        pieces = [q for p in pieces for q in ([p, p] if p.label == "square" else [p])]
    return tuple(pieces)


def _label(before: str, after: str, index: int) -> str:
    """Give what the words right after, or right before, say that the size is."""
    for name, follows, _ in _LABELS:
        if re.match(follows, after):
            return name
    lead = before if index == 0 else re.split(r"x|\bby\b|\*|,", before)[-1]
    for name, _, leads in _LABELS:
        if re.search(leads, lead):
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
    "plus minus over overall o a to cut ply board sheet stock width length height depth thickness exactly exact only see note side full long edge".split()
)


def _leftover(text: str, found: tuple[Number, ...]) -> str:
    """Say which words of a cell were passed over."""
    rest = list(text)
    for number in found:
        rest[number.start : number.end] = [" "] * (number.end - number.start)
    left = [w for w in re.findall(r"[a-zø]{2,}|#\s*\d+|\d[\w./]*", "".join(rest)) if w not in _FINE]
    return f"only the sizes were taken; {' '.join(left)!r} was passed over" if left else ""


@lru_cache(maxsize=4096)
def read_count(text: str) -> tuple[int | None, str]:
    """Read a count: `4`, `2 off`, `pair`, `set of 4`, `1 L, 1 R`, `2 + 2`.

    Returns:
        The count, or None; and a note, empty where all is clear or the cell is blank.
    """
    clean = plain(text).strip(" .")
    if not clean or clean in words()["none"]:
        return None, ""
    if clean in words()["to_come"] or _to_come(clean):
        return None, ""
    if clean in _WORD_COUNTS:
        return _WORD_COUNTS[clean], ""
    if (count := _worked_out(clean)) is not None:
        return count, ""
    plain_count = re.fullmatch(
        r"(?:set of |x\s*|qty\s*|about )?(\d+|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)(?:\.0+)?"
        r"(?:\s*(?:x|off|no|nos|ea|each|pcs?|pieces?|reqd|req'd|req|required|of|in all|total|sets?|each side|\*|l and r hand|l & r))?\.?",
        clean,
    )
    if plain_count:
        note = "per side: how many sides is not said" if "each side" in clean else ""
        return _small(plain_count[1]), note
    if total := re.match(r"(\d+)\s*(?:\(|:|off|,)", clean):
        return int(total[1]), ""
    return None, "the count could not be read"


def _worked_out(clean: str) -> int | None:
    """Work out a count that is a sum or a product: "2 pairs", "1 L, 1 R", "2 + 2", "2 x 3"."""
    if pairs := re.fullmatch(r"(\d+|one|two|three|four|five|six)?\s*(?:pairs?|prs?|pr)\.?(?:\s+of)?", clean):
        return 2 * _small(pairs[1] or "1")
    sides = re.findall(r"(\d+)\s*(?:x\s*)?(?:l\.?h\.?|r\.?h\.?|left|right|lefts|rights|l|r)\b", clean)
    if len(sides) > 1 and not re.match(r"\d+\s*(?:\(|:)", clean):
        return sum(map(int, sides))
    if sums := re.fullmatch(r"(\d+)((?:\s*(?:\+|plus|and|&)\s*\d+)+)(?:\s*spare)?", clean):
        return int(sums[1]) + sum(map(int, re.findall(r"\d+", sums[2])))
    if product := re.fullmatch(r"(\d+)\s*[x*]\s*(\d+)", clean):
        return int(product[1]) * int(product[2])
    return None


def _small(text: str) -> int:
    return _WORD_COUNTS.get(text) or int(text)
