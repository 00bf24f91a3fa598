"""Corrections in the maker's voice: what is wrong on the plan, and what is wrong or mine in the video."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from benchscribe.records import Finding, FindingKind, Said
from benchscribe.writers.contexts import Entry
from benchscribe.writers.sizes import said_size
from benchscribe.writers.text import clock, listing, plain, sentence, sheet_name
from benchscribe.writers.view import View

PLAN_GROUP = "On the plan"
VIDEO_GROUP = "In this video"
SAID_WRONG: Final = frozenset({"slip", "derived"})
"""Kinds in which what was said is what is wrong; accepting one owns up to it."""
_PLAN_KINDS: Final = frozenset({"plan-wrong", "supplied", "impossible"})


def group_of(finding: Finding) -> str:
    """Say under which heading a correction goes out. A change is the maker's own, and no fault of the plan."""
    return PLAN_GROUP if finding.kind in _PLAN_KINDS else VIDEO_GROUP


def right_value(finding: Finding) -> Said | None:
    """Give the value to build from; None where the finding settles none.

    What was said in a slip or a wrong sum is what is wrong; for everything that the maker declared it is what is right. A value that
    the maker put in at review stands before either.
    """
    if finding.status == "amended":
        return finding.spoken
    if finding.kind in SAID_WRONG:
        return stand_in(finding)
    if finding.kind in ("contradiction", "impossible"):
        return finding.probably_right
    return finding.spoken


def stand_in(finding: Finding) -> Said | None:
    """Give what is printed in place of a doubtful value: what arithmetic says, else what is listed; None where neither is known.

    Of a wrong sum the listed value is what it was worked out from, and no stand-in.
    """
    if finding.probably_right is not None:
        return finding.probably_right
    listed = finding.listed if finding.kind != "derived" else None
    return listed if listed is not None and listed.unit != "count" else None


def correction_entries(view: View, group: str) -> tuple[Entry, ...]:
    """Give the published corrections of one group: those that safety hangs on first, then in order of time."""
    mine = [f for f in view.published if group_of(f) == group]
    return tuple(_entry(view, f) for f in sorted(mine, key=lambda f: not is_of_safety(f)))


@lru_cache(maxsize=1)
def _of_safety() -> re.Pattern[str]:
    text = resources.files("benchscribe.writers").joinpath("safety.txt").read_text("utf-8")
    lines = " ".join(line for line in text.splitlines() if not line.startswith("#"))
    words = [a or b for a, b in re.findall(r'"([^"]+)"|(\S+)', lines)]
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, words))})(?![\w-])", re.IGNORECASE)


def is_of_safety(finding: Finding) -> bool:
    """Tell whether somebody can be hurt who builds from the wrong size, as far as the maker says so."""
    return _of_safety().search(f"{finding.sentence} {finding.note}") is not None


class _Told(Struct, frozen=True):
    """A finding's values, written; empty where there is none."""

    finding: Finding
    said: str
    listed: str
    right: str
    where: str
    """Edition and sheet, in brackets."""


def correction_text(finding: Finding) -> str:
    """Say a correction as the maker would say it, in one or two short sentences."""
    subject = plain(finding.part or "")
    if finding.dimension and finding.dimension != "other":
        subject = f"{subject}, {finding.dimension}" if subject else str(finding.dimension)
    sheet = sheet_name(finding.sheet)
    places = [plain(finding.edition), sheet if re.search(r"sheet|page|\d", sheet, re.IGNORECASE) else ""]
    where = ", ".join(p for p in places if p)
    told = _Told(
        finding,
        said_size(finding.spoken, finding.listed),
        said_size(finding.listed, finding.spoken),
        said_size(right_value(finding), finding.spoken, finding.listed),
        f" ({where})" if where else "",
    )
    text = _WORDING[finding.kind](told)
    return f"{subject}: {text}" if subject else text[:1].upper() + text[1:]


def _plan_wrong(told: _Told) -> str:
    against = f"the plan{told.where} says {told.listed}" if told.listed else f"the plan{told.where} is wrong"
    return (
        f"{against}; make it {told.right}."
        if told.right
        else f"{against}. {sentence(told.finding.why)}".strip()
    )


def _supplied(told: _Told) -> str:
    how = {"measured": " (measured from the piece)", "scaled": " (scaled off the drawing)"}
    mine = f"; mine is {told.right}{how.get(told.finding.supplied_how, '')}" if told.right else ""
    return f"the plan{told.where} gives none{mine}."


def _changed(told: _Told) -> str:
    mine = f"I made mine {told.right}" if told.right else "I made mine otherwise"
    beside = f"; the plan has {told.listed}" if told.listed else ""
    return f"{mine}{beside}. My choice, the plan is not wrong."


def _count(told: _Told) -> str:
    beside = f"; the plan lists {told.listed}" if told.listed else ""
    return f"I make {told.right or told.said}{beside}."


def _slip(told: _Told) -> str:
    if told.finding.status == "amended":
        return f"make it {told.right}."
    first = f"I {'work out' if told.finding.kind == 'derived' else 'say'} {told.said}"
    known = told.right and told.right != told.said
    return f"{first}; it should be {told.right}." if known else f"{first}, and that is wrong."


def _contradiction(told: _Told) -> str:
    two = f", {told.said} and {told.listed}" if told.said and told.listed else ""
    return f"I give two sizes{two}.{f' {told.right} is right.' if told.right else ''}"


def _impossible(told: _Told) -> str:
    why = sentence(told.finding.why) or f"{told.said} cannot be."
    known = told.right and told.right != told.said
    return f"{why} Make it {told.right}." if known else why


_WORDING: Final[Mapping[FindingKind, Callable[[_Told], str]]] = MappingProxyType(
    {
        "plan-wrong": _plan_wrong,
        "changed": _changed,
        "supplied": _supplied,
        "derived": _slip,
        "slip": _slip,
        "count": _count,
        "impossible": _impossible,
        "contradiction": _contradiction,
    }
)
"""How each kind of finding is told to the viewers."""


def _entry(view: View, finding: Finding) -> Entry:
    extra = [sentence(finding.note)] if finding.note else []
    if finding.drags_along:
        extra.append(moved(finding))
    return Entry(
        text=correction_text(finding),
        detail=" ".join(extra),
        time=public_time(view, finding),
        link=view.link(finding.start_s),
    )


def moved(finding: Finding) -> str:
    """Name the other sizes of the list that change with this one; empty where none does."""
    names = listing(plain(size) for size in finding.drags_along)
    return f"Changes with it: {names}." if names else ""


def public_time(view: View, finding: Finding) -> str:
    """Give the running time, and while it is of several takes also the file and the time in it."""
    running = clock(finding.start_s)
    if not (view.record.draft and view.several and running and finding.file and finding.at_s is not None):
        return running
    there = clock(finding.at_s)
    return f"{running}, {plain(finding.file)}{f' {there}' if there != running else ''}"
