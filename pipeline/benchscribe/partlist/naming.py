"""Names of rows: references and other names in them, what is bought, what is no part."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

from benchscribe.partlist.counts import read_count
from benchscribe.partlist.headings import words

_TOTAL: Final = re.compile(r"^(?:grand |sub)?-?totals?\b|^sum\b|^page \d", re.IGNORECASE)
_LEAD: Final = re.compile(r"^([A-Z]{1,2}\d{0,2}|\d{1,3})[.):]\s+(?=[A-Za-z])")
_COUNT_IN_NAME: Final = (
    re.compile(r"\s*[(\[,]?\s*(?:x|×)\s*(\d{1,3})\s*[)\]]?$"),
    re.compile(r"\s*[(\[,]\s*(\d{1,3})\s*(?:x|×|off|pcs?|no|ea|reqd|req'd)\.?\s*[)\]]?$"),
    re.compile(r"^(\d{1,3})\s*(?:x|×|off)\s+(?=[A-Za-z])"),
    re.compile(r"\s*\((\d{1,3})\)$"),
)


def is_total(name: str) -> bool:
    """Tell a row that sums up from a part."""
    return bool(_TOTAL.match(name.strip()))


def is_assembly(name: str) -> bool:
    """Tell the heading of a group of parts ("BASE ASSEMBLY") from a part."""
    return bool(
        re.search(r"\b(?:sub-?\s?)?(?:assembly|assemblies|assy|sub-?assy)\.?$", name.strip(), re.IGNORECASE)
    )


def split_names(text: str) -> tuple[str, ...]:
    """Read a cell of other names."""
    return tuple(n for n in (w.strip(" .\"'“”") for w in re.split(r"[;,/|\n]|\bor\b", text)) if n)


def take_reference(name: str) -> tuple[str, str]:
    """Take "A." or "12)" off the front of a name."""
    match = _LEAD.match(name)
    return (name[match.end() :], match[1]) if match else (name, "")


def take_count(name: str) -> tuple[str, int | None]:
    """Take a count off a name ("Leg (x4)", "2 off Rail")."""
    for pattern in _COUNT_IN_NAME:
        match = pattern.search(name)
        if match and len(name) > len(match[0]):
            return (name[: match.start()] + name[match.end() :]).strip(" ,"), read_count(match[1])[0]
    return name, None


def take_aliases(name: str) -> tuple[str, tuple[str, ...]]:
    """Take "(aka cheek)", "(also called X)" out of a name."""
    match = re.search(
        r"\s*[(\[,]\s*(?:aka|a\.k\.a\.?|also(?: called| known as)?|called|or)\s+([^)\]]+)[)\]]?",
        name,
        re.IGNORECASE,
    )
    if not match:
        return name, ()
    return (name[: match.start()] + name[match.end() :]).strip(), split_names(match[1])


@lru_cache(maxsize=8192)
def is_hardware(name: str) -> bool:
    """Tell a bought thing from a made part by the head noun of its name.

    >>> is_hardware("Machine screw, 10-24 x 3/4 flat head"), is_hardware("Hinge block"), is_hardware("Butt hinges (50 mm brass)")
    (True, False, True)
    """
    text = re.sub(r"\([^)]*\)", " ", name.lower())
    for piece in re.split(r",|;|\bfor\b|\bwith\b|\s-\s|\bx\b", text):
        known = [
            w for w in re.findall(r"[a-z][a-z'-]*", re.sub(r"\b\w*\d\S*", " ", piece)) if w not in _NOT_NAMES
        ]
        if known:
            return _ends_bought(known)
    return False


_NOT_NAMES: Final = frozenset(
    "mm cm in inch inches no size long dia x brass steel stainless zinc black nickel ss".split()
)


def _ends_bought(known: list[str]) -> bool:
    names = set(words()["hardware"])
    for width in (3, 2, 1):
        last = " ".join(known[-width:])
        if last in names or _one(last) in names:
            return True
    return False


def _one(text: str) -> str:
    if text.endswith("ies"):
        return text[:-3] + "y"
    if text.endswith(("ches", "shes", "sses", "xes")):
        return text[:-2]
    return text[:-1] if text.endswith("s") and not text.endswith("ss") else text


def may_be_made(name: str) -> bool:
    """Tell a thing that is bought as often as made by the last word of its name: a bracket, a standoff."""
    known = re.findall(r"[a-z][a-z'-]*", re.sub(r"\([^)]*\)", " ", name.lower()))
    return bool(known) and _one(known[-1]) in words()["bought_or_made"]


def is_hardware_section(text: str) -> bool:
    """Tell a heading over bought things ("HARDWARE", "Fixings")."""
    return text.lower().strip(" :-*") in words()["hardware_sections"]
