"""Which column of a part list is which, by the usual wordings in `headings.toml`."""

from __future__ import annotations

import re
import tomllib
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any, Final

from msgspec import Struct

from benchscribe.partlist.numbers import plain

DIMENSIONS: Final = ("thickness", "width", "length", "height", "depth", "diameter", "radius", "angle")
_SIZE: Final = re.compile(r"\b(?:sizes?|dims?|dimensions?)\b")


class Heading(Struct, frozen=True):
    """What one column holds."""

    role: str
    """name, count, a dimension, size, material, sheet, notes, other_names, ref, edition, kind, ignore; "item", "number" and "d" are settled later; "" is unknown."""
    text: str
    unit: str | None = None
    rough: bool = False
    finished: bool = False
    edition: str = ""
    order: tuple[str, ...] = ()
    """For a column of several sizes: the dimensions in the order that the heading gives."""
    qualifier: str = ""
    """What the heading says beside the known word: "top" of "Top width"; it keeps two columns of one dimension apart."""
    feature: str = ""
    """Settled later: the column is of this feature, and not of the part itself."""
    eighths: bool = False
    """Cells are feet-inches-eighths ("3-4-2")."""


@cache
def _tables() -> dict[str, Any]:
    return tomllib.loads((files(__package__) / "headings.toml").read_text(encoding="utf-8"))


@cache
def words() -> dict[str, Any]:
    """Give the words that cells use, from `words.toml`."""
    return tomllib.loads((files(__package__) / "words.toml").read_text(encoding="utf-8"))


@cache
def _roles() -> dict[str, str]:
    return {word: role for role, known in _tables()["columns"].items() for word in known}


@cache
def _unit_names() -> dict[str, str]:
    return {word: unit for unit, known in _tables()["units"].items() for word in known}


@lru_cache(maxsize=2048)
def read_heading(text: str, group: str = "") -> Heading:
    """Tell what a column holds.

    Args:
        text: The heading as it stands.
        group: A heading that stands over several columns ("Finished size"), empty where there is none.
    """
    shown = " ".join(f"{group} {text}".split())
    clean = plain(shown)
    clean, eighths = _take_eighths(clean)
    order, clean, order_unit = _order(clean)
    clean, unit = _take_unit(clean)
    clean, edition = _take_edition(clean)
    clean = re.sub(r"[()\[\]:;,*_?!]|\.(?=\s|$)|\.(?=[a-z])", " ", clean).replace("'", "")
    clean = " ".join(clean.split())
    rough = finished = False
    if clean not in _roles():
        clean, rough = _take_modifier(clean, "rough")
        clean, finished = _take_modifier(clean, "finished")
        if rough and finished:  # "Rough / finished": the cells say which is which
            clean, rough, finished = clean.strip(" /&-") or "size", False, False
    if clean in ("section", "cross section", "cross-section", "sect", "scantling", "scantlings"):
        order = ("thickness", "width")
    if order or (not clean and (rough or unit or edition or group)):
        return Heading("size", shown, order_unit or unit, rough, finished, edition, order, _qualifier(clean))
    role, qualifier = _lookup(clean)
    if role in DIMENSIONS and qualifier in _tables()["modifiers"]["rough_before"]:
        rough, qualifier = True, ""
    return Heading(role, shown, unit, rough, finished, edition, (), qualifier, "", eighths)


def own_words() -> frozenset[str]:
    """Give the words that mark the part's own column among several of one dimension ("overall", "cut")."""
    return frozenset(_tables()["modifiers"]["own"])


def is_finished(clean: str) -> bool:
    """Tell a heading that says that sizes are finished ones, and nothing else."""
    return clean in _tables()["modifiers"]["finished"]


def _take_eighths(clean: str) -> tuple[str, bool]:
    """Take "(ft-in-8ths)" and the like from a heading: sizes as boat builders write them, feet-inches-eighths."""
    rest = re.sub(
        r"\(?\b(?:ft|feet|f)\W+(?:in|ins|inches|i)\W+(?:8ths?|eighths?|1/8(?:ths?|s)?|e)\b\)?", " ", clean
    )
    return rest, rest != clean


def _order(clean: str) -> tuple[tuple[str, ...], str, str | None]:
    """Read "T x W x L", "lxwxh (mm)", "size (t x w x l)" and the like."""
    match = re.search(r"\b([a-zø]+)\s*[x*/]\s*([a-zø]+)(?:\s*[x*/]\s*([a-zø]+))?", clean) or re.search(
        r"\b([lwht])x([lwht])(?:x([lwhtd]))?\b", clean
    )
    if match:
        pieces = [p for p in match.groups() if p]
        if len(pieces) == 2 and "/" in match[0]:
            return (), clean, None  # "width / dia": one or the other
    elif packed := re.search(r"\b([tlwhdø])x([tlwhdø])(?:x([tlwhdø]))?\b", clean):
        match, pieces = packed, [p for p in packed.groups() if p]
    else:
        return (), clean, None
    roles = []
    for piece in pieces:
        role = _roles().get(piece, "")
        role = ("depth" if any(p in ("h", "height") for p in pieces) else "diameter") if role == "d" else role
        if role not in DIMENSIONS:
            return (), clean, None
        roles.append(role)
    rest, unit = _take_unit(clean[: match.start()] + " " + clean[match.end() :])
    return tuple(roles), rest, unit


def _take_unit(clean: str) -> tuple[str, str | None]:
    """Take "(in)", "mm", "/mm", "in inches", a bare inch sign from a heading."""
    names = _unit_names()
    for pattern in (
        r"[(\[]\s*(?:all\s+)?(?:in\s+)?([a-z.\"]+)\s*[)\]]",
        r"\bin\s+(inches|mm|millimet(?:re|er)s|cm|feet|ft|thou)\b",
        r"[/,;:\s_-]\s*(inches|inch|ins|in|mm|cm|m|metres|meters|ft|feet|thou)\.?$",
        r"\s*(\")\s*$",
    ):
        match = re.search(pattern, clean)
        if match and match[1].rstrip(".") in names:
            return clean[: match.start()] + " " + clean[match.end() :], names[match[1].rstrip(".")]
    if clean in ("mm", "inches", "cm", "thou"):
        return "", names[clean]
    return clean, None


def unit_named(text: str) -> str | None:
    """Give the unit that a cell below a heading names and says nothing else ("mm", "(in)"); None where it is no unit."""
    return _unit_names().get(plain(text).strip(" ()[].*"))


def _take_edition(clean: str) -> tuple[str, str]:
    match = re.search(r"\b(?:rev|ed|edition|issue|version)\.?\s+([a-z]|\d+)\b", clean)
    if not match:
        return clean, ""
    return clean[: match.start()] + " " + clean[match.end() :], match[1].upper()


def _take_modifier(clean: str, kind: str) -> tuple[str, bool]:
    for word in sorted(_tables()["modifiers"][kind], key=len, reverse=True):
        found = re.search(rf"\b{re.escape(word)}\b", clean)
        if found:
            rest = " ".join((clean[: found.start()] + clean[found.end() :]).split())
            if rest or kind == "rough":
                return rest, True
    return clean, False


def _lookup(clean: str) -> tuple[str, str]:
    """Give the role of a heading, and what it says beside it.

    The whole is looked up, then without filler, then what stands before "of", then either side of "or", then the last word that is a dimension
    or a size ("slant height", "length O/A"), then the one word that is known at all.
    """
    roles = _roles()
    left = _without_filler(clean)
    if clean in roles:
        return roles[clean], ""
    if _SIZE.search(clean) and roles.get(left, "") not in DIMENSIONS:
        return "size", "" if left in roles else left
    if left in roles:
        return roles[left], ""
    if re.match(r"(?:no|number|qty|quantity)\s+(?:of|per|in|for)\b", clean):
        return "count", ""
    if numbered := re.fullmatch(r"(.*\D)\s*(\d|(?<=\s)[ivx]{1,3})", clean):
        role, qualifier = _lookup(numbered[1].strip())
        if role:
            return role, f"{qualifier} {numbered[2]}".strip() if role in (*DIMENSIONS, "size") else qualifier
    return _part_known(clean, left)


def _part_known(clean: str, left: str) -> tuple[str, str]:
    """Give the role of a heading of which a part is known."""
    roles = _roles()
    either = [w.strip() for w in re.split(r"\s+or\s+|\s*/\s*", clean)]
    if len(either) > 1 and all(roles.get(w) in DIMENSIONS for w in either):
        return roles[either[0]], ""
    head, *tail = re.split(r"\s(?:of|for|at|to|from|over|per)\s", f"{clean} ", maxsplit=1)
    if tail and (role := roles.get(_without_filler(head.strip()), "")):
        return role, _without_filler(tail[0].strip()) if role in (*DIMENSIONS, "size") else ""
    pieces = left.split()
    for i in range(len(pieces) - 1, -1, -1):
        role = roles.get(pieces[i], "")
        if role in (*DIMENSIONS, "size", "d") and (len(pieces[i]) > 1 or i == len(pieces) - 1):
            return role, " ".join(pieces[:i] + pieces[i + 1 :])
    known = {roles[w] for w in pieces if w in roles and len(w) > 1}
    return (known.pop(), "") if len(known) == 1 else ("", _qualifier(clean))


def _without_filler(clean: str) -> str:
    filler = set(_tables()["modifiers"]["filler"])
    return " ".join(w for w in clean.split() if w not in filler)


def _qualifier(clean: str) -> str:
    return _without_filler(" ".join(_SIZE.sub(" ", clean).split()))
