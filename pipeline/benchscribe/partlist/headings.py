"""Which column of a part list is which, by the usual wordings in `headings.toml`."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib.resources import files
from typing import Any, Final

from msgspec import Struct

from benchscribe.partlist.numbers import plain

DIMENSIONS: Final = ("thickness", "width", "length", "height", "depth", "diameter", "radius", "angle")


class Heading(Struct, frozen=True):
    """What one column holds."""

    role: str
    """name, count, a dimension, size, material, sheet, notes, other_names, ref, edition, kind, ignore; "item", "number" and "d" are settled later; "" is unknown."""
    text: str
    unit: str | None = None
    rough: bool = False
    edition: str = ""
    order: tuple[str, ...] = ()
    """For a column of several sizes: the dimensions in the order that the heading gives."""


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


def read_heading(text: str, group: str = "") -> Heading:
    """Tell what a column holds.

    Args:
        text: The heading as it stands.
        group: A heading that stands over several columns ("Finished size"), empty where there is none.
    """
    shown = " ".join(f"{group} {text}".split())
    clean = plain(shown)
    order, clean, order_unit = _order(clean)
    clean, unit = _take_unit(clean)
    clean, edition = _take_edition(clean)
    clean = re.sub(r"[()\[\]:;,*_?]|\.(?=\s|$)|\.(?=[a-z])", " ", clean).replace("'", "")
    clean = " ".join(clean.split())
    clean, rough = _take_modifier(clean, "rough")
    if not rough:
        clean, _ = _take_modifier(clean, "finished")
    if clean == "section":
        order = ("thickness", "width")
    if order:
        return Heading("size", shown, order_unit or unit, rough, edition, order)
    if not clean and (rough or unit or edition or group):
        return Heading("size", shown, unit, rough, edition)
    role = _lookup(clean)
    return Heading(role, shown, unit, rough, edition)


def _order(clean: str) -> tuple[tuple[str, ...], str, str | None]:
    """Read "T x W x L", "lxwxh (mm)", "size (t x w x l)" and the like."""
    match = re.search(r"\b([a-zø]+)\s*[x*/]\s*([a-zø]+)(?:\s*[x*/]\s*([a-zø]+))?", clean) or re.search(
        r"\b([lwht])x([lwht])(?:x([lwhtd]))?\b", clean
    )
    if match:
        pieces = [p for p in match.groups() if p]
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
        r"\bin\s+(inches|mm|millimet(?:re|er)s|cm|feet|ft)\b",
        r"[/,;:\s_-]\s*(inches|inch|in|mm|cm|ft)\.?$",
        r"\s*(\")\s*$",
    ):
        match = re.search(pattern, clean)
        if match and match[1].rstrip(".") in names:
            return clean[: match.start()] + " " + clean[match.end() :], names[match[1].rstrip(".")]
    if clean in ("mm", "inches", "cm"):
        return "", names[clean]
    return clean, None


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


def _lookup(clean: str) -> str:
    roles = _roles()
    if clean in roles:
        return roles[clean]
    filler = set(_tables()["modifiers"]["filler"])
    left = [w for w in clean.split() if w not in filler]
    if " ".join(left) in roles:
        return roles[" ".join(left)]
    known = {roles[w] for w in left if w in roles and len(w) > 1}
    if len(known) == 1:
        return known.pop()
    if not left and clean in ("size", "sizes", "dimensions"):
        return "size"
    return ""
