"""What viewers build from: chapters, steps, lists, and which version of the guide it is."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Literal

from msgspec import Struct

from benchscribe.records.plan import Dimension
from benchscribe.records.timed import Span, Timed


class Chapter(Timed, frozen=True, kw_only=True):
    """One chapter of the episode."""

    title: str
    span: Span
    part: str | None = None
    why: str = ""


class Step(Timed, frozen=True, kw_only=True):
    """One thing done, in the maker's own words."""

    part: str | None
    operation: str
    """A trade word or a few: "rip", "crosscut to length"."""
    text: str
    """The maker's sentence or sentences, cleaned, sizes written right."""
    span: Span
    tools: tuple[str, ...] = ()
    setting: str = ""
    measures: tuple[int, ...] = ()
    """Indices into the record's measures."""
    points_back_to: int | None = None
    """Index of the step that showed this already."""
    still: str = ""
    """File name of a picture beside the record; empty where there is none."""


NO_STILL = "none"
"""In `Step.still`: the maker wants no picture there."""


def picked_name(file: str, at_s: float) -> str:
    """Name a picture that the maker picked by its file and the tenth of a second that it begins at.

    >>> picked_name("take 2.mp4", 75.25)
    'still-take-2-00075-2.jpg'
    """
    home = re.sub(r"[^a-z0-9]+", "-", (file.rpartition(".")[0] or file).lower()).strip("-") or "take"
    tenths = int(max(at_s, 0.0) * 10 + 1e-6)
    return f"still-{home}-{tenths // 10:05d}-{tenths % 10}.jpg"


class ListedName(Timed, frozen=True, kw_only=True):
    """A tool or a material, once, with the first time it was named."""

    name: str
    detail: str = ""
    """Size or kind as said: "60 tooth", "3/4 in birch"."""
    times: tuple[float, ...] = ()


class CutSize(Struct, frozen=True, kw_only=True):
    """One size in the cut list."""

    dimension: Dimension
    value: Fraction | None
    unit: str
    origin: Literal["listed", "said", "measured", "scaled", "worked-out", "changed", "corrected", "blank"]
    was: Fraction | None = None
    """The plan's value where it was corrected or changed."""
    check: bool = False
    """An open finding stands against it: print the value marked "check"."""


class CutRow(Struct, frozen=True, kw_only=True):
    """One row of the cut list: the part's size, with where each value comes from."""

    part: str
    count: int | None
    material: str
    sizes: tuple[CutSize, ...]
    sheet: str = ""
    notes: str = ""


class StockRow(Struct, frozen=True, kw_only=True):
    """What to buy: all parts of one material and thickness together."""

    material: str
    """As the list calls it; empty where it does not say."""
    thickness: Fraction | None
    """Finished thickness, in `unit`; None where the parts have none (rod, tube, blank cells)."""
    unit: str
    """inch or mm."""
    parts: tuple[str, ...]
    pieces: int | None
    """Of all these parts together; None where a count is missing."""
    form: Literal["board", "sheet", "round", "other"] = "other"
    area: Fraction | None = None
    """Finished faces of all pieces, no waste added, in square `unit`; None where a size is missing."""
    board_feet: Fraction | None = None
    """For boards in an inch build, of the nominal stock in `buy`; no waste added."""
    running_length: Fraction | None = None
    """Lengths of all pieces end to end, in `unit`, no kerf added; None where a length is missing."""
    widest: Fraction | None = None
    longest: Fraction | None = None
    buy: str = ""
    """The nominal stock that it can be cut from ("5/4 board, 4 wide or wider"); empty where it cannot be worked out."""
    buy_why: str = ""
    """From which table, or why there is none."""
    without: tuple[str, ...] = ()
    """Parts of this material that are not counted in, because a size or their count is missing."""
    check: bool = False
    """An open finding stands against a size in it: the sums may change."""


class Guide(Struct, frozen=True, kw_only=True):
    """What the guide stage gives."""

    steps: tuple[Step, ...] = ()
    cut_list: tuple[CutRow, ...] = ()
    shopping: tuple[StockRow, ...] = ()


class GuideLine(Struct, frozen=True, array_like=True):
    """One thing that a builder goes by, as the guide printed it."""

    part: str
    what: str
    """A dimension, "count", or "step: " and the operation."""
    text: str


class GuideVersion(Struct, frozen=True, kw_only=True):
    """Which version of the guide this is, and what changed since the one before."""

    number: int = 0
    """Counted from 1; 0 where it was not settled."""
    date: str = ""
    """As it was given; empty where none was."""
    since: int = 0
    """Number of the version before; 0 where this is the first."""
    since_date: str = ""
    changed: tuple[GuideLine, ...] = ()
    """What is different from that one: "was 30 in, now 31 in", "new step"."""
    lines: tuple[GuideLine, ...] = ()
    """What this version says, to compare the next one with."""
    last_out: GuideVersion | None = None
    """Of a draft (a finding is open): the last version that was none."""
