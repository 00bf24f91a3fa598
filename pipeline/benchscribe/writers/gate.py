"""The publish gate: what may be printed of a size as something to work to.

A value against which a finding is open never is: what is listed or worked out stands in its place, marked "check". A slip that the maker
has owned up to never is either: what is right stands there. Captions alone stay as they were said.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from benchscribe.records import Finding, Measure, Said
from benchscribe.units import same
from benchscribe.writers.corrections import SAID_WRONG, right_value, stand_in
from benchscribe.writers.said import spoken_size
from benchscribe.writers.sizes import measure_origin, measure_size, other_system, places_of, said_size, size
from benchscribe.writers.text import sentence
from benchscribe.writers.view import View

ASKING: Final = "[size: check]"
"""Printed in running text where nothing can stand in for a doubtful value."""


class Printed(Struct, frozen=True):
    """A size as it may be printed."""

    text: str
    """Empty where the value is doubtful and nothing can stand in for it."""
    other: str
    """The same in the other system of units."""
    origin: str
    check: bool


def printed(view: View, measure: Measure) -> Printed:
    """Give a size as it may be printed."""
    doubt = doubt_of(view, measure)
    if doubt is not None:
        return _instead(stand_in(doubt), doubt, check=True)
    slip, right = owned_up(view, measure)
    if slip is not None:
        return _instead(right, slip, check=False)
    return Printed(
        measure_size(measure), other_system(measure.value, measure.unit), measure_origin(measure), check=False
    )


def _instead(sure: Said | None, finding: Finding, *, check: bool) -> Printed:
    if sure is None:
        return Printed("", "", "not settled", check=True)
    if finding.status == "amended":
        origin = "put right"
    else:
        origin = "listed" if said_size(sure) == said_size(finding.listed) else "worked out"
    return Printed(said_size(sure, finding.spoken), other_system(sure.value, sure.unit), origin, check)


def doubt_of(view: View, measure: Measure) -> Finding | None:
    """Give the open finding that stands against a measure, if there is one."""
    return next((f for f in view.open if _is_of(f, measure)), None)


def owned_up(view: View, measure: Measure) -> tuple[Finding | None, Said | None]:
    """Give the published finding by which a measure is a slip, and what is right; two times None for any other measure."""
    for finding in view.published:
        right = right_value(finding)
        if finding.status == "amended" and finding.spoken is not None:
            # The value put in at review has taken the place of what was said; the words are still those that were said.
            meant = (
                _overlaps(finding, measure)
                and finding.spoken.words.casefold() == measure.words.casefold() != ""
            )
        else:
            meant = finding.kind in SAID_WRONG and _is_of(finding, measure)
        if meant and right is not None and not same(right.value, right.unit, measure.value, measure.unit):
            return finding, right
    return None, None


def overruled(view: View, measure: Measure) -> bool:
    """Tell whether a size is the plan's own value, read aloud, where the maker has said that it is wrong or changed it."""
    return any(
        finding.kind in ("plan-wrong", "changed")
        and _same_place(finding, measure)
        and finding.listed is not None
        and same(finding.listed.value, finding.listed.unit, measure.value, measure.unit)
        for finding in view.published
    )


def gated_text(view: View, text: str, measures: Sequence[Measure]) -> str:
    """Put what may be printed into a sentence where it holds what may not.

    The guide stage sees to this where it writes sizes; here it is made sure of, whatever wrote the sentence.
    """
    text = sentence(text)
    for measure in measures:
        doubtful, slip = doubt_of(view, measure) is not None, owned_up(view, measure)[0] is not None
        if not (doubtful or slip):
            continue
        shown = printed(view, measure).text
        said = size(measure.value, measure.unit, places=places_of(measure.value, measure.words))
        instead = f"{shown} (I say {said})"
        if doubtful:
            instead = f"{shown} (check)" if shown else ASKING
        plainly = size(measure.value, measure.unit)
        for written in dict.fromkeys((said, plainly, spoken_size(measure), measure_size(measure))):
            mended = _replaced(text, written, instead)
            if mended != text or instead in text:
                text = mended
                break
    return text


def _replaced(text: str, written: str, instead: str) -> str:
    """Replace a written size, but not inside a longer one: "1/4 in" is no part of "3 1/4 in"; an inch may be written out, or left out."""
    if instead in text:
        return text
    number, _, unit = written.rpartition(" ")
    wanted = re.escape(written)
    if unit in ("in", "inch", "inches"):
        ending = r" ?(?:inches|inch|in)\b"
        wanted = re.escape(number) + (f"(?:{ending})?" if re.search(r"[/.]", number) else ending)
    return re.sub(rf"(?<![\d/.])(?<!\d ){wanted}(?![\w/])", lambda _: instead, text)


def _is_of(finding: Finding, measure: Measure) -> bool:
    """Tell whether a finding is about this very value: said in its words, or again of the same part and dimension."""
    spoken, overlaps = finding.spoken, _overlaps(finding, measure)
    if spoken is None:
        return overlaps
    return (overlaps or _same_place(finding, measure)) and same(
        spoken.value, spoken.unit, measure.value, measure.unit
    )


def _overlaps(finding: Finding, measure: Measure) -> bool:
    return finding.span[0] < measure.span[1] and measure.span[0] < finding.span[1]


def _same_place(finding: Finding, measure: Measure) -> bool:
    return finding.part is not None and (finding.part, finding.dimension) == (measure.part, measure.dimension)
