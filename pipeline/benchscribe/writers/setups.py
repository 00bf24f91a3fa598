"""The guide by setup: one fence, stop, blade or angle, and all that is run at it, because people cut by setup and not by part."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Final

from benchscribe.records import CutRow, CutSize
from benchscribe.units import ANGLE, to_mm
from benchscribe.writers.contexts import Entry, Setup
from benchscribe.writers.sizes import other_system, size
from benchscribe.writers.text import capital, clock, counted, plain
from benchscribe.writers.view import View

_RUN_AT: Final = {"width": "Width", "length": "Length", "angle": "Angle"}
"""Sizes that a fence, a stop or a tilted blade gives to several parts at once; a thickness comes with the stock."""


def setups(
    view: View, rows: Sequence[CutRow], anchors: Mapping[str, str], titles: Sequence[tuple[int, str]]
) -> tuple[Setup, ...]:
    """Give the settings that more than one thing is run at: those that were told first, then those that the sizes themselves give.

    Args:
        view: The record, sorted.
        rows: Rows of the cut list that this copy shows.
        anchors: Anchors of the parts' sections, by name.
        titles: Number and title of each step, in the record's order.
    """
    return (*_told(view, titles), *_by_size(rows, anchors))


def _told(view: View, titles: Sequence[tuple[int, str]]) -> tuple[Setup, ...]:
    runs: dict[str, list[Entry]] = {}
    shown: dict[str, str] = {}
    pairs = zip(titles, view.record.steps, strict=True)
    for (number, title), step in sorted(pairs, key=lambda pair: pair[0][0]):
        part = plain(step.part or "")
        use = Entry(
            text=f"{part}: {title[:1].lower()}{title[1:]}" if part else title,
            detail=f"step {number}",
            time=clock(step.start_s),
            link=f"#step-{number}",
        )
        for setting in step.setting.split(", "):
            key = re.sub(r"\W+", " ", setting).casefold().strip()
            if key:
                shown.setdefault(key, capital(plain(setting)))
                runs.setdefault(key, []).append(use)
    return tuple(Setup(setting=shown[key], uses=tuple(uses)) for key, uses in runs.items() if len(uses) > 1)


def _by_size(rows: Sequence[CutRow], anchors: Mapping[str, str]) -> tuple[Setup, ...]:
    runs: dict[tuple[str, Fraction], list[tuple[CutRow, CutSize]]] = {}
    for row in rows:
        for found in row.sizes:
            if found.dimension in _RUN_AT and found.value is not None:
                exact = found.value if found.unit == ANGLE else to_mm(found.value, found.unit)
                runs.setdefault((found.dimension, exact), []).append((row, found))
    made = []
    for (dimension, _), uses in runs.items():
        if len({row.part for row, _ in uses}) < 2:
            continue
        first = uses[0][1]
        value = size(first.value or Fraction(0), first.unit)
        other = other_system(first.value or Fraction(0), first.unit)
        made.append(
            Setup(
                setting=f"{_RUN_AT[dimension]} {value}{f' ({other})' if other else ''}",
                uses=tuple(_use(row, found, anchors) for row, found in uses),
            )
        )
    return tuple(made)


def _use(row: CutRow, found: CutSize, anchors: Mapping[str, str]) -> Entry:
    name = plain(row.part)
    anchor = anchors.get(name, "")
    details = [counted(row.count, "piece")] if row.count is not None else []
    details += ["check"] if found.check else []
    return Entry(text=name, detail=", ".join(details), link=f"#{anchor}" if anchor else "")
