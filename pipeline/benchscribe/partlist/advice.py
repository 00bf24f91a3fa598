"""What to do about a cell that was not understood."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Literal, NamedTuple

from benchscribe.records import CellNote

Kind = Literal["lost", "look", "kept"]


class Advice(NamedTuple):
    """How a note is to be taken, and what to do."""

    kind: Kind
    todo: str


def advise(note: CellNote) -> Advice:
    """Give what to do about a cell: by the words of its note, from `advice.toml`."""
    found = next(row for row in _table() if note.note.startswith(row[0]) or row[0] in note.note)
    return found[1]


@cache
def _table() -> tuple[tuple[str, Advice], ...]:
    rows = tomllib.loads((files(__package__) / "advice.toml").read_text(encoding="utf-8"))["advice"]
    return tuple((row["note"], Advice(row["kind"], row["todo"])) for row in rows)
