"""A list that is typed line by line with no table: "2 sides 3/4 x 3 1/2 x 30", "Side (2): 18 x 90 x 400"."""

from __future__ import annotations

import re
from typing import Final

from benchscribe.partlist.grid import Grid, Row

_NUMBER: Final = r"(?:\d+[\s-]+\d+/\d+|\d+/\d+|\d*\.\d+|\d+)"
_MARK: Final = r"\s*(?:\"|''|'|″|′|mm|cm|in\b\.?|ft\b\.?)?"
_CHAIN: Final = rf"(?:ø\s*)?{_NUMBER}{_MARK}(?:\s*(?:x|×|by)\s*(?:ø\s*)?{_NUMBER}{_MARK}){{1,2}}"
_COUNT: Final = r"\d{1,3}"
_NAME: Final = r"[^\W\d_][^\d:]*?"
_LINES: Final = (
    re.compile(
        rf"(?P<count>{_COUNT})\s*(?:x|off|pcs?\.?|ea\.?|-|–|@)?\s+(?P<name>{_NAME})[\s,:=@(–-]+(?P<size>{_CHAIN})(?P<rest>.*)",
        re.IGNORECASE,
    ),
    re.compile(
        rf"(?P<name>{_NAME})[\s,(–-]+(?:qty\.?\s*|x\s*)?(?P<count>{_COUNT})\s*(?:x|off|pcs?\.?|ea\.?)?\)?\s*[:@,=–-]\s*(?P<size>{_CHAIN})(?P<rest>.*)",
        re.IGNORECASE,
    ),
    re.compile(rf"(?P<name>{_NAME})\s*[:=]\s*(?P<count>)(?P<size>{_CHAIN})(?P<rest>.*)", re.IGNORECASE),
)
_LEAST: Final = 3
"""Lines that make a list."""
_SHARE: Final = 0.6
"""Share of the lines with a number that must be parts."""
HEADINGS: Final = ("Part", "Qty", "Size", "Notes")


def typed_lines(text: str) -> Grid | None:
    """Read a list of lines as a table; None where too few lines are parts.

    A line with a number that is no part stays a row with its text as the name, so that it is named and not lost.
    """
    rows: list[Row] = []
    above: list[str] = []
    parts = others = 0
    for number, line in enumerate(text.splitlines(), 1):
        clean = re.sub(r"^[\s•*·-]+(?=\w)", "", line).strip()
        found = next((m for p in _LINES if (m := p.fullmatch(clean))), None)
        if found:
            parts += 1
            name, rest = found["name"].strip(" ,:-–("), found["rest"].strip(" ,;:-–().")
            rows.append(Row(number, (name, found["count"] or "", found["size"], rest)))
        elif clean and not rows:
            above.append(clean)
        elif clean:
            others += bool(re.search(r"\d", clean))
            rows.append(Row(number, ("", "", "", clean)))
    others += sum(bool(re.search(r"\d", a)) for a in above)
    if parts < _LEAST or parts < _SHARE * (parts + others):
        return None
    first = rows[0].number
    return Grid((Row(first - 1, HEADINGS), *rows), comments=tuple(above))
