"""`discard` in `episode.toml`: whole takes, and stretches of takes, that are not used."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Final

from msgspec import Struct

from benchscribe.errors import BuildError

_CLOCK: Final = r"\d+(?::\d\d){1,2}(?:\.\d+)?"
_STRETCH: Final = re.compile(rf"(?P<name>.+?)[ ,]+(?P<begin>{_CLOCK})\s*(?:-|–|to)\s*(?P<end>{_CLOCK})")


class Discarded(Struct, frozen=True):
    """A stretch of a take that is not used."""

    file: str
    """Name of the take, or of the captions that stand in for it."""
    from_s: float
    to_s: float
    """Seconds from the start of the file."""


def stretches_discarded(
    folder: Path, discard: Sequence[str], takes: Sequence[Path]
) -> tuple[list[str], tuple[Discarded, ...]]:
    """Part what `episode.toml` discards into whole takes and stretches ("take-2.mp4 3:10-4:05").

    Raises:
        BuildError: A stretch is of no take here, or ends before it begins.
    """
    whole: list[str] = []
    stretches: list[Discarded] = []
    for text in discard:
        found = None if (folder / text).is_file() else _STRETCH.fullmatch(text.strip())
        if found is None:
            whole.append(text)
            continue
        named = Path(found["name"]).stem
        take = next((p for p in takes if p.stem == named), None)
        begin, end = _seconds(found["begin"]), _seconds(found["end"])
        if take is None or begin >= end:
            why = (
                "is not a take here"
                if take is None
                else f"ends at {found['end']} and begins at {found['begin']}"
            )
            raise BuildError(
                f'episode.toml discards "{text}", which {why}',
                where=str(folder / "episode.toml"),
                todo=f'Write it as "take-2.mp4 3:10-4:05". There are: {", ".join(p.name for p in takes) or "none"}.',
            )
        stretches.append(Discarded(take.name, begin, end))
    return whole, tuple(stretches)


def _seconds(clock: str) -> float:
    total = 0.0
    for part in clock.split(":"):
        total = total * 60 + float(part)
    return total


def without_discarded(
    folder: Path, discard: Sequence[str], takes: Sequence[Path], left_out: list[tuple[str, str]]
) -> list[Path]:
    """Leave out the takes that are discarded whole, and note them.

    Raises:
        BuildError: There is no such file.
    """
    for name in discard:
        if not (folder / name).is_file():
            raise BuildError(
                f'episode.toml discards the take "{name}", which is not there',
                where=str(folder / "episode.toml"),
                todo=f"There are: {', '.join(p.name for p in takes) or 'none'}.",
            )
    # A discarded recording is discarded with the captions that stand in for it.
    stems = {Path(name).stem for name in discard}
    left_out += [(p.name, "episode.toml discards it") for p in takes if p.stem in stems]
    return [p for p in takes if p.stem not in stems]
