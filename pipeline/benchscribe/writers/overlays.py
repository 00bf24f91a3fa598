"""Sizes with times, for an editor to place on the picture."""

from __future__ import annotations

from itertools import groupby
from typing import Final

from benchscribe.records import Measure
from benchscribe.writers.chapters import running_end
from benchscribe.writers.gate import overruled, printed
from benchscribe.writers.tables import table
from benchscribe.writers.text import DRAFT, capital, clock, plain, stamp, vtt
from benchscribe.writers.view import View

SHOWN_ROLES: Final = frozenset(
    {
        "finished",
        "rough",
        "allowance",
        "setting",
        "feature",
        "derived",
        "supplied",
        "changed",
        "corrected",
        "overall",
    }
)
"""Roles of a size that a viewer works to. Others (taken back, the plan's wrong value, a comparison) would mislead on the picture."""

OVERLAY_S: Final = 4.0
"""How long a size stands on the picture: long enough to read it twice."""


SURE: Final = 0.6
"""A size is named by its part from this sureness on. Of 13 tuned episodes 94 in 100 such names were right, and of the less sure ones 53."""


def overlays(view: View) -> tuple[tuple[float, float, str], ...]:
    """Give the sizes to show on the picture: start, end, text.

    Sizes said in one breath ("3/4 by 2 1/2 by 34 1/4") stand together. What still stands on the picture is not put there again. A
    doubtful size shows what stands in its place, marked "check".
    """
    shown = [
        m
        for m in view.record.measures
        if m.start_s is not None and m.role in SHOWN_ROLES and not m.taken_back and not overruled(view, m)
    ]
    shown.sort(key=lambda m: (m.start_s or 0.0, m.span))
    last = running_end(view.record)
    made: list[tuple[float, float, str]] = []
    standing: dict[str, float] = {}
    for _, breath in groupby(enumerate(shown), key=_breath):
        together = [measure for _, measure in breath]
        text, start = overlay_text(view, together), together[0].start_s or 0.0
        if not text or standing.get(text, -1.0) > start:
            continue
        end = start + OVERLAY_S if last is None else min(start + OVERLAY_S, max(last, start + 1.0))
        standing[text] = end
        made.append((start, end, text))
    return tuple(made)


def _breath(numbered: tuple[int, Measure]) -> tuple[object, ...]:
    """Tell sizes of one chain and one part from any other; a size outside a chain stands alone."""
    number, measure = numbered
    return (number,) if measure.chain is None else ("chain", measure.chain, measure.part, measure.role)


def overlay_text(view: View, together: list[Measure]) -> str:
    """Say what sizes are of, as far as that is sure, and the sizes; of a doubtful one only what is sure. Empty where nothing is."""
    values = [_value(view, measure) for measure in together]
    if not any(values):
        return ""
    values = [value or "(check)" for value in values]  # a gap in a row of sizes would shift the others
    first = together[0]
    sure = first.part and (first.confidence is None or first.confidence >= SURE)
    where = [plain(first.part)] if sure else []
    if first.role in ("setting", "rough", "allowance"):
        where.append(first.role)
    elif sure and len(together) == 1 and first.dimension and first.dimension != "other":
        where.append(first.dimension)
    return capital(f"{' '.join(where)}: {' x '.join(values)}" if where else " x ".join(values))


def _value(view: View, measure: Measure) -> str:
    value = printed(view, measure)
    return f"{value.text} (check)" if value.check and value.text else value.text


def overlays_csv(view: View) -> bytes | None:
    """Write `overlays.csv`: time, text."""
    rows = overlays(view)
    if not rows:
        return None
    draft = DRAFT if view.record.draft else ""
    return table(
        ("time", "text", "seconds", "until", "draft"),
        [(clock(start), text, f"{start:.2f}", f"{end:.2f}", draft) for start, end, text in rows],
    )


def overlays_vtt(view: View) -> bytes | None:
    """Write `overlays.vtt`: the same as WebVTT cues."""
    rows = overlays(view)
    if not rows:
        return None
    blocks = ["WEBVTT"]
    if view.record.draft:
        blocks.append(f"NOTE {DRAFT}")
    blocks += [f"{stamp(start)} --> {stamp(end)}\n{vtt(text)}" for start, end, text in rows]
    return ("\n\n".join(blocks) + "\n").encode()
