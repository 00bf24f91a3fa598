"""Which version of the guide this is, and what a builder who has the one before needs to change.

The version before is the record that lies where the new one is written. A guide with open findings is a draft: it is told what changed
since the last one that was not, and counts as no version of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import structs

from benchscribe.measures import write_measure
from benchscribe.records import EpisodeRecord, GuideLine, GuideVersion

STEP = "step: "
_BLANK = "no size"


def with_version(record: EpisodeRecord, earlier: EpisodeRecord | None, date: str = "") -> EpisodeRecord:
    """Give a record its guide's version, date, and what changed since the version before.

    Args:
        record: The new result.
        earlier: What was written before; None where there is none, or it cannot be read.
        date: Of the new guide, as it is to be printed; empty to print none.

    Returns:
        The record with `guide`. Where nothing has changed that a builder goes by, number and date stay as they were.
    """
    lines = guide_lines(record)
    before = _last_out(earlier)
    if before is None:
        version = GuideVersion(number=1, date=date, lines=lines)
    elif changed := changes(before.lines, lines):
        version = GuideVersion(
            number=before.number + 1,
            date=date,
            since=before.number,
            since_date=before.date,
            changed=changed,
            lines=lines,
        )
    else:
        version = structs.replace(before, date=before.date or date)
    if is_draft(record):
        version = structs.replace(version, last_out=before)
    return structs.replace(record, guide=version)


def is_draft(record: EpisodeRecord) -> bool:
    """Tell whether a finding is still open: such a guide is not to go out."""
    return any(finding.status == "open" and finding.right is not True for finding in record.findings)


def guide_lines(record: EpisodeRecord) -> tuple[GuideLine, ...]:
    """Give all that a builder goes by, one line each: sizes and counts of the cut list, and the steps of each part."""
    lines: list[GuideLine] = []
    for row in record.cut_list:
        if row.count is not None:
            lines.append(GuideLine(row.part, "count", str(row.count)))
        for size in row.sizes:
            value = write_measure(size.value, size.unit) if size.value is not None else _BLANK
            lines.append(GuideLine(row.part, size.dimension, f"{value} (check)" if size.check else value))
    numbers: dict[tuple[str, str], int] = {}
    for step in record.steps:
        key = (step.part or "", step.operation)
        numbers[key] = numbers.get(key, 0) + 1
    lines += [GuideLine(part, STEP + operation, str(count)) for (part, operation), count in numbers.items()]
    return tuple(lines)


def changes(before: Sequence[GuideLine], now: Sequence[GuideLine]) -> tuple[GuideLine, ...]:
    """Say what is different: sizes and counts first, then steps that came or went.

    >>> changes((GuideLine("Rail", "length", "30 in"),), (GuideLine("Rail", "length", "31 in"),))[0].text
    'was 30 in, now 31 in'
    """
    had, has = _by_key(before), _by_key(now)
    found: list[GuideLine] = []
    for (part, what), text in has.items():
        old = had.get((part, what))
        if old is None:
            found.append(GuideLine(part, what, "new" if _is_step(what) else f"new, {text}"))
        elif old != text and not _is_step(what):
            found.append(GuideLine(part, what, f"was {old}, now {text}"))
    found += [GuideLine(part, what, "left out") for part, what in had if (part, what) not in has]
    return tuple(sorted(found, key=lambda line: _is_step(line.what)))


def _is_step(what: str) -> bool:
    return what.startswith(STEP)


def _by_key(lines: Sequence[GuideLine]) -> Mapping[tuple[str, str], str]:
    return {(line.part, line.what): line.text for line in lines}


def _last_out(earlier: EpisodeRecord | None) -> GuideVersion | None:
    """Give the last version that went out: the record before, or, where that is a draft, the one before the draft."""
    if earlier is None or not earlier.guide.number:
        return None
    return earlier.guide.last_out if is_draft(earlier) else earlier.guide
