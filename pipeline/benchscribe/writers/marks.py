"""Layout marks, holes and grooves that no row of the part list gives: each part's, where no step tells them already."""

from __future__ import annotations

from typing import Final

from benchscribe.records import Measure
from benchscribe.writers.contexts import Entry
from benchscribe.writers.gate import printed
from benchscribe.writers.text import capital, clock, plain, sentence
from benchscribe.writers.view import View

_UNNAMED: Final = frozenset({None, "other", "setting"})
"""Dimensions that say nothing to a reader."""


def marks_by_part(view: View) -> dict[str, tuple[Entry, ...]]:
    """Give the sizes of marks, holes and openings by part, a line for each sentence that tells some.

    A size that stands in a step is told there. One against which a finding is open is marked "check", as everywhere.
    """
    record = view.record
    told = {index for step in record.steps for index in step.measures}
    within = [step.span for step in record.steps]
    lines: dict[tuple[str, tuple[int, int]], list[Measure]] = {}
    for index, measure in enumerate(record.measures):
        if measure.role != "feature" or measure.part is None or measure.taken_back or index in told:
            continue
        if any(begin <= measure.span[0] < end for begin, end in within):
            continue
        lines.setdefault((plain(measure.part), _sentence_of(view, measure)), []).append(measure)
    made: dict[str, list[Entry]] = {}
    for (part, span), measures in lines.items():
        made.setdefault(part, []).append(
            Entry(
                text=capital(", ".join(_size(view, m) for m in measures)),
                detail=_quoted(view, span),
                time=clock(measures[0].start_s),
                link=view.link(measures[0].start_s),
            )
        )
    return {part: tuple(entries) for part, entries in made.items()}


def _sentence_of(view: View, measure: Measure) -> tuple[int, int]:
    utterances = view.record.transcript.utterances
    return next((u.span for u in utterances if u.span[0] <= measure.span[0] < u.span[1]), measure.span)


def _quoted(view: View, span: tuple[int, int]) -> str:
    """Quote a sentence; one with a size against which a finding is open is not repeated."""
    for measure in view.record.measures:
        if span[0] <= measure.span[0] < span[1] and printed(view, measure).check:
            return ""
    return f"\u201c{sentence(view.record.transcript.text(span))}\u201d"


def _size(view: View, measure: Measure) -> str:
    shown = printed(view, measure)
    name = "" if measure.dimension in _UNNAMED else f"{measure.dimension} "
    return f"{name}{shown.text or 'no size'}{' (check)' if shown.check else ''}"
