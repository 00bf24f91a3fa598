"""Other names that a part's name holds: what stands in brackets, on either side of a stroke, behind a comma, or is shortened."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from typing import Any, Final

from msgspec import structs

from benchscribe.partlist.headings import words
from benchscribe.records import Part

_WORDS: Final = 3
"""Words that another name has at most; what is longer is a remark."""
_ADJECTIVE: Final = re.compile(r".{3}(?:able|ible|less|ful|ive|ous|ing|ed)$")
_RELATION: Final = re.compile(
    r"\b(?:for|with|of|to|from|in|on|at|by|under|over|between|see|not|without|w/o|w/|per|and|or|as|is|are|the|a|an|fits?|goes|glue[ds]?|cut|make|made)\b|[\d@#+=?!:]"
)


def with_derived_names(parts: Sequence[Part]) -> list[Part]:
    """Give each part the other names that its own name holds.

    "Cleat (batten)" and "Cleat / batten" are also called batten, "Rail, lower" and "Rail (lower)" lower rail, "Side LH" left side,
    "side_panel" side panel. A name that another part has, or that two parts would get, is given to none.
    """
    bases = Counter(_base(p.name) for p in parts)
    made = {w for p in parts for w in re.findall(r"[a-z]+", p.material.lower())}
    derived = [
        _derived(p.name, made, alone=bases[_base(p.name)] == 1) if not p.hardware else () for p in parts
    ]
    taken = {_plain(p.name) for p in parts} | {_plain(o) for p in parts for o in p.other_names}
    given = Counter(_plain(n) for names in derived for n in set(names))
    out = []
    for part, names in zip(parts, derived, strict=True):
        new = [n for n in dict.fromkeys(names) if _plain(n) not in taken and given[_plain(n)] == 1]
        out.append(structs.replace(part, other_names=(*part.other_names, *new)) if new else part)
    return out


def _derived(name: str, made: set[str], *, alone: bool) -> tuple[str, ...]:
    out: list[str] = []
    text = _apart(name)
    if text != name:
        out.append(text)
    bracket = re.fullmatch(r"(.+?)\s*[(\[]([^()\[\]]+)[)\]]\s*", text)
    base = bracket[1] if bracket else text
    comma = re.fullmatch(r"([^,]+?)(?:,\s*|\s+[-–—]\s+)([^,]+)", base)
    strokes = [w.strip() for w in re.split(r"\s*/\s*|\s+or\s+", base)]
    if bracket:
        out += _beside(base, bracket[2].strip(), made, alone=alone)
    if comma:
        out += _beside(comma[1].strip(), comma[2].strip(), made, alone=False)
    elif len(strokes) == 2 and all(strokes) and not re.search(r"\d", base):
        out += _either(*strokes)
    out += [full for n in (base, *out) if (full := _in_full(n)) != n]
    return tuple(out)


def _beside(noun: str, words_: str, made: set[str], *, alone: bool) -> list[str]:
    """Read what stands behind a noun: where it is ("lower"), or another name for it ("batten"), which only one row of the list may have."""
    known: dict[str, Any] = words()["names"]
    said = re.findall(r"[a-z][a-z'-]*", _in_full(words_).lower())
    if not said or len(said) > _WORDS or _RELATION.search(words_.lower()):
        return []
    if any(w in known["no_name"] or w in made for w in said):
        return []
    if len(noun.split()) + len(said) > _WORDS + 1:
        return []
    if all(w in known["where"] or w == "hand" or _ADJECTIVE.search(w) for w in said):
        return [f"{' '.join(said)} {noun[0].lower()}{noun[1:]}"]
    return [words_] if alone and said[-1] not in known["where"] else []


def _either(first: str, second: str) -> list[str]:
    """Read "Stretcher / rail": either is a name; of "Left / right side" the noun belongs to both."""
    where = words()["names"]["where"]
    firsts, seconds = first.lower().split(), second.lower().split()
    if all(w in where for w in firsts):
        nouns = [w for w in seconds if w not in where] or seconds[1:]
        sides = seconds[: len(seconds) - len(nouns)]
        return (
            [f"{first} {' '.join(nouns)}", f"{' '.join(sides)} {' '.join(nouns)}"] if nouns and sides else []
        )
    return [n for n in (first, second) if n.lower().split()[-1] not in where and len(n.split()) <= _WORDS]


def _in_full(name: str) -> str:
    """Write out what a drawing shortens: "Side LH" is the left side."""
    short: dict[str, str] = words()["names"]["short"]
    if not (found := [w for w in re.findall(r"[A-Za-z]+", name) if w.lower() in short]):
        return name
    text = name.replace(".", " ")
    hand = next((short[w.lower()] for w in found if short[w.lower()] in ("left", "right")), "")
    for word in found:
        said = short[word.lower()]
        text = re.sub(rf"\b{word}\b", "" if said == hand else said, text)
    return " ".join(f"{hand} {text}".replace(",", " ").split()).lower()


def _apart(name: str) -> str:
    """Write a file's name as words: "side_panel.stl", "SidePanel"."""
    text = re.sub(r"\.(?:stl|step|stp|3mf|dxf|svg|obj|f3d|scad)$", "", name, flags=re.IGNORECASE)
    if "_" in text:
        return " ".join(text.replace("_", " ").split())
    if re.fullmatch(r"(?:[A-Z]?[a-z]+\d*)(?:[A-Z][a-z]+\d*)+", text):
        return re.sub(r"(?<=[a-z\d])(?=[A-Z])", " ", text).lower()
    return text


def _base(name: str) -> str:
    return _plain(re.split(r"[,(\[]|\s[-–—]\s", name)[0])


def _plain(name: str) -> str:
    return " ".join(re.findall(r"[a-z\d]+", name.lower()))
