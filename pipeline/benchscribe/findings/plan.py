"""Arithmetic on the part list alone, before any sawdust: blanks, sizes that cannot be, fits and angles that do not add up."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from benchscribe.findings.options import PlanDoubt
from benchscribe.findings.wording import listed_as, number, size
from benchscribe.records import Dimension, Listed, Part, PartList, Said
from benchscribe.spoken.plan import plain, sizes_of

_BETWEEN: Final = re.compile(r"\b(?:fits?|goes|sits?) (?:in )?between (?:the )?([\w -]+)", re.IGNORECASE)
_SAME_AS: Final = re.compile(
    r"\b(?:same (?:size )?as|as per|match(?:es)?|equal to) (?:the )?([\w -]+)", re.IGNORECASE
)
_END_TO_END = re.compile(r"\bbetween the (?:end|outer|first|outside)|\bend to end\b|\boverall\b")
"""A spacing from the first hole to the last one, and no pitch."""
_HOLES: Final = re.compile(r"\b(\d+) holes?\b", re.IGNORECASE)
_MOST_SIDES: Final = 48


def check_plan(part_list: PartList) -> tuple[PlanDoubt, ...]:
    """Find the doubtful rows of a part list.

    What is checked: blank cells; a rough size smaller than the finished one; a part larger than the stock it is cut from; a cut deeper
    than its piece or a hole wider than it; a row of holes longer than the piece; a part that fits between others yet is as long as what
    spans them; a part said to be the same as another that is not; and the angles of rings, where a list often gives the whole wedge
    instead of the cut (a ring of n pieces is cut at 180/n).

    Args:
        part_list: As read.

    Returns:
        The doubts in the order of the list.
    """
    doubts: list[PlanDoubt] = []
    for part in part_list.parts:
        for alone in (_rough, _features, _hole_row, _ring):
            doubts.extend(alone(part))
        for beside in (_blanks, _stock, _between, _same_as):
            doubts.extend(beside(part, part_list))
    return tuple(doubts)


def _doubt(part: Part, dimension: Dimension | None, why: str, *, certain: bool = False) -> PlanDoubt:
    return PlanDoubt(part=part.name, dimension=dimension, row=part.row, why=why, certain=certain)


def _said(listed: Listed) -> str:
    return size(listed_as(listed))


def _sizes(part: Part) -> dict[Dimension, Listed]:
    """Give the part's own finished sizes by dimension, without features and rough sizes."""
    return {
        entry.dimension: entry
        for entry in reversed(part.listed)
        if entry.value is not None and not entry.feature and not entry.rough
    }


def _mm(listed: Listed) -> Fraction:
    return plain(listed.value or Fraction(0), listed.unit)


def _blanks(part: Part, part_list: PartList) -> Iterator[PlanDoubt]:
    for entry in sizes_of(part, part_list.units, part_list):
        if entry.value is None and not (part.hardware and not part.listed):
            text = f' ("{entry.text}")' if entry.text.strip() else ""
            yield _doubt(
                part, entry.dimension, f"The list leaves the {entry.dimension} open{text}.", certain=True
            )
    if part.count is None and any(other.count is not None for other in part_list.parts):
        yield _doubt(part, None, "The list gives no number of pieces.", certain=True)


def _rough(part: Part) -> Iterator[PlanDoubt]:
    finished = _sizes(part)
    for entry in part.listed:
        own = finished.get(entry.dimension)
        if entry.rough and entry.value is not None and own and _mm(entry) < _mm(own):
            yield _doubt(
                part,
                entry.dimension,
                f"The rough size, {_said(entry)}, is smaller than the finished one, {_said(own)}.",
            )


def _features(part: Part) -> Iterator[PlanDoubt]:
    own = _sizes(part)
    for entry in part.listed:
        if not entry.feature or entry.value is None or entry.unit == "degree":
            continue
        limit = None
        if entry.dimension == "depth":
            limit = own.get("thickness")
        elif entry.dimension in ("diameter", "width"):
            limit = own.get("width") or own.get("diameter")
        elif entry.dimension == "length":
            limit = own.get("length")
        if limit and _mm(entry) > _mm(limit):
            yield _doubt(
                part,
                entry.dimension,
                f"The {entry.feature} is {_said(entry)}, and the piece itself is only {_said(limit)}.",
            )


def _hole_row(part: Part) -> Iterator[PlanDoubt]:
    """Check n holes at a pitch, which span n - 1 gaps, against the length."""
    found = _HOLES.search(part.notes)
    length = _sizes(part).get("length")
    pitches = [e for e in part.listed if e.dimension == "spacing" and e.value is not None]
    if not found or not length or not pitches or _END_TO_END.search(pitches[0].text):
        return
    holes, pitch = int(found[1]), pitches[0]
    span = (holes - 1) * _mm(pitch)
    if span > _mm(length):
        yield _doubt(
            part,
            "spacing",
            f"{holes} holes at {_said(pitch)} span {holes - 1} gaps, which is more than the length, {_said(length)}.",
        )


def _stock(part: Part, part_list: PartList) -> Iterator[PlanDoubt]:
    """Check a part against the stock that its material names, where a published table gives the stock's real size."""
    from benchscribe.measures import read_words

    if not part.material:
        return
    own = _sizes(part)
    for reading in read_words(part.material.split(), units=part_list.units).trade_numbers:
        if reading.kind != "nominal-stock":
            continue
        actual = [plain(value, unit) for value, unit in reading.actual]
        for dimension, limit in zip(("thickness", "width"), actual, strict=False):
            entry = own.get(dimension)  # type: ignore[call-overload]
            if entry and _mm(entry) > limit:
                inches = size(Said(limit / Fraction(254, 10), "inch"))
                yield _doubt(
                    part,
                    entry.dimension,
                    f"{_said(entry)} does not come out of a {reading.name}, which is {inches} {_across(dimension)}.",
                )


def _across(dimension: str) -> str:
    return "thick" if dimension == "thickness" else "wide"


def _ring(part: Part) -> Iterator[PlanDoubt]:
    angle = next((e for e in part.listed if e.unit == "degree" and e.value), None)
    if angle is None or angle.value is None:
        return
    if angle.value >= 180:
        yield _doubt(part, "angle", f"{_said(angle)} is no angle that can be cut.")
    if part.count and 3 <= part.count <= _MOST_SIDES and angle.value == Fraction(360, part.count) != 90:
        cut = size(Said(Fraction(180, part.count), "degree"))
        yield _doubt(
            part,
            "angle",
            f"{part.count} pieces make a ring at {_said(angle)} for the whole wedge; each end is then cut at {cut}.",
        )


def _named(text: str, part_list: PartList, own: Part) -> Part | None:
    """Find the part that a note names, by reference or name."""
    wanted = " ".join(text.lower().split())
    for part in part_list.parts:
        names = [part.name.lower(), *(n.lower() for n in part.other_names)]
        plurals = [n + "s" for n in names]
        if part is own:
            continue
        if (part.ref and re.match(rf"{re.escape(part.ref.lower())}\b", wanted)) or any(
            wanted.startswith(name) for name in (*plurals, *names)
        ):
            return part
    return None


def _between(part: Part, part_list: PartList) -> Iterator[PlanDoubt]:
    """Doubt a part that fits between two others and is as long as something that reaches over them."""
    found = _BETWEEN.search(part.notes)
    length = _sizes(part).get("length")
    outer = _named(found[1], part_list, part) if found else None
    if outer is None or length is None:
        return
    thick = _sizes(outer).get("thickness")
    for other in part_list.parts:
        if other in (part, outer):
            continue
        for entry in _sizes(other).values():
            if entry.dimension in ("width", "length") and _mm(entry) == _mm(length):
                less = f" less {number(thick.value)} twice" if thick and thick.value else ""
                yield _doubt(
                    part,
                    "length",
                    f"It fits between {outer.name}, and yet it is as long as the {entry.dimension} of {other.name}, {_said(entry)}; "
                    f"should it be{less or ' shorter'}?",
                )
                return


def _same_as(part: Part, part_list: PartList) -> Iterator[PlanDoubt]:
    found = _SAME_AS.search(part.notes)
    other = _named(found[1], part_list, part) if found else None
    if other is None:
        return
    own, theirs = _sizes(part), _sizes(other)
    for dimension, entry in own.items():
        if dimension in theirs and _mm(entry) != _mm(theirs[dimension]):
            yield _doubt(
                part,
                dimension,
                f"It is noted as the same as {other.name}, whose {dimension} is {_said(theirs[dimension])} and not {_said(entry)}.",
            )
