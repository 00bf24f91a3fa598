"""Tables for spreadsheets: corrections and cut list."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Literal

from msgspec import structs

from benchscribe.records import CutRow, CutSize, Finding
from benchscribe.writers.corrections import SAID_WRONG, correction_text, group_of, right_value
from benchscribe.writers.sizes import ORIGINS, PUBLIC_ORIGINS, listed_places, said_size, size
from benchscribe.writers.text import DRAFT, cell, clock
from benchscribe.writers.view import View


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """Write a CSV table (RFC 4180) in which no cell can act as a formula."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(head)
    writer.writerows([cell(value) for value in row] for row in rows)
    return out.getvalue().encode()


def corrections_csv(view: View) -> bytes:
    """Write `corrections.csv`: what goes out, one row a correction."""
    head = (
        "group", "kind", "part", "dimension", "said", "listed", "right", "correction", "note", "sheet", "edition",
        "time", "seconds", "file", "time in file", "link", "status", "draft",
    )  # fmt: skip
    return table(head, [_correction_row(view, finding) for finding in view.published])


def _correction_row(view: View, finding: Finding) -> tuple[object, ...]:
    return (
        group_of(finding),
        finding.kind,
        finding.part or "",
        finding.dimension or "",
        said_size(finding.spoken, finding.listed),
        said_size(finding.listed, finding.spoken),
        said_size(right_value(finding), finding.spoken, finding.listed),
        correction_text(finding),
        finding.note,
        finding.sheet,
        finding.edition or view.record.info.edition,
        clock(finding.start_s),
        "" if finding.start_s is None else f"{finding.start_s:.1f}",
        finding.file or "",
        clock(finding.at_s),
        view.link(finding.start_s),
        finding.status,
        DRAFT if view.record.draft else "",
    )


def cut_rows(view: View) -> tuple[CutRow, ...]:
    """Give the whole cut list. A value that the maker has owned up to as a slip never stands in it: what is right does."""
    return tuple(
        structs.replace(row, sizes=tuple(_without_slip(view, row.part, s) for s in row.sizes))
        for row in view.record.cut_list
    )


def _without_slip(view: View, part: str, found: CutSize) -> CutSize:
    for finding in view.published:
        right = right_value(finding)
        same_size = (finding.part, finding.dimension) == (part, found.dimension)
        if not same_size or finding.kind not in SAID_WRONG or right is None or finding.spoken is None:
            continue
        if finding.status != "amended" and found.value == finding.spoken.value != right.value:
            origin: Literal["listed", "worked-out"] = (
                "listed" if said_size(right) == said_size(finding.listed) else "worked-out"
            )
            return structs.replace(found, value=right.value, unit=right.unit, origin=origin, was=None)
    return found


def public_rows(view: View) -> tuple[CutRow, ...]:
    """Give the cut list as it may go out: of somebody else's plan only what the maker said, measured, changed or corrected."""
    if not view.private:
        return cut_rows(view)
    rows = []
    for row in cut_rows(view):
        sizes = tuple(s for s in row.sizes if s.origin in PUBLIC_ORIGINS)
        if sizes:
            rows.append(CutRow(part=row.part, count=None, material="", sizes=sizes))
    return tuple(rows)


def cutlist_csv(view: View) -> bytes:
    """Write `cutlist.csv`: the cut list as it may go out."""
    return _cutlist(view, public_rows(view))


def shop_cutlist_csv(view: View) -> bytes | None:
    """Write `shop-cutlist.csv`: the whole cut list, for the maker's own shop; only where the other one leaves something out."""
    return _cutlist(view, cut_rows(view)) if view.private else None


def _cutlist(view: View, rows: Sequence[CutRow]) -> bytes:
    dimensions = tuple(dict.fromkeys(s.dimension for row in rows for s in row.sizes))
    head = (
        "part", "count", *(name for d in dimensions for name in (d, f"{d} from")),
        "material", "sheet", "notes", "check", "draft",
    )  # fmt: skip
    body = []
    for row in rows:
        by_name = {s.dimension: s for s in row.sizes}
        cells: list[object] = []
        for dimension in dimensions:
            found = by_name.get(dimension)
            places = listed_places(view.record.part_list, row.part, dimension)
            cells += [checked(found, places), _origin(found, places)] if found else ["", ""]
        doubtful = ", ".join(s.dimension for s in row.sizes if s.check)
        count = "" if row.count is None else row.count
        draft = DRAFT if view.record.draft else ""
        body.append((row.part, count, *cells, row.material, row.sheet, row.notes, doubtful, draft))
    return table(head, body)


def checked(found: CutSize, places: int | None = None) -> str:
    """Write a value of the cut list, marked where a finding is open against it."""
    if found.value is None:
        return "check" if found.check else ""
    written = size(found.value, found.unit, places=places)
    return f"{written} (check)" if found.check else written


def _origin(found: CutSize, places: int | None) -> str:
    origin = ORIGINS[found.origin]
    return f"{origin}, was {size(found.was, found.unit, places=places)}" if found.was is not None else origin
