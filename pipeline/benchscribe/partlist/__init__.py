"""Read a plan's part list as people really have it: CSV, XLSX, XLS, ODS, a Markdown table or a table in a PDF."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal

from benchscribe.records import PartList


def read_part_list(
    path: Path,
    *,
    units: Literal["inch", "mm"] | None = None,
    other_names: Mapping[str, Sequence[str]] = {},
) -> PartList:
    """Read a part list (first version follows)."""
    raise NotImplementedError
