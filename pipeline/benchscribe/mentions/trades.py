"""Names of tools, materials and fixings by trade, from the files in `words/trades/`.

A line of a group holds names, parted by " / ". A name of one word is often an everyday word too ("last", "horn", "stake"): it counts only
where the talk is of that trade, which some of the group's cue words show.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any, Final

from msgspec import Struct

from benchscribe.records import MentionKind

_KINDS: Final[tuple[tuple[str, MentionKind], ...]] = (
    ("tool", "tool"),
    ("material", "material"),
    ("hardware", "hardware"),
)


class TradeName(Struct, frozen=True):
    """One name of a trade."""

    name: str
    kind: MentionKind
    group: str
    cues: frozenset[str]
    """Words of the trade; two of them must be in the talk for a name of one word."""


def trade_names() -> Iterator[TradeName]:
    """Read all names, file by file in the order of their names."""
    folder = files(__package__) / "words" / "trades"
    for file in sorted(folder.iterdir(), key=lambda f: f.name):
        if file.name.endswith(".toml"):
            yield from _names(tomllib.loads(file.read_text(encoding="utf-8")))


def _names(data: dict[str, Any]) -> Iterator[TradeName]:
    cues = {group: frozenset(words.split()) for group, words in data["cues"].items()}
    for section, kind in _KINDS:
        for group, text in data.get(section, {}).items():
            near = cues.get(group) or cues.get("all") or frozenset().union(*cues.values())
            for name in (part.strip() for line in text.splitlines() for part in line.split("/ ")):
                if name:
                    yield TradeName(name, kind, group, near)
