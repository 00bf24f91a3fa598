"""Markers for the editor, before the edit: what to cut, what to keep, what to show, each in its take's own time."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import PurePath
from typing import Final, Literal

from msgspec import Struct

from benchscribe.records import PUBLISHED, EpisodeRecord, Finding, Timed

MarkerKind = Literal["keep", "check", "cut", "still", "overlay", "seen"]
KINDS: Final[dict[MarkerKind, str]] = {
    "keep": "a correction, a caution or a promise: keep it in",
    "check": "an open finding: settle it before the edit",
    "cut": "a mistake, or a first try that was said again",
    "still": "a finished step: a good still",
    "overlay": "a size to show on the picture",
    "seen": "was shown before",
}
"""What each kind of marker tells the editor."""
_OVERLAID: Final = frozenset({"finished", "corrected", "changed", "supplied", "setting"})
_DRAFT: Final = "draft: times are of the takes"
_SHORTEST_S: Final = 1.0
_LONGEST_NAME: Final = 60
"""Characters of a take's name in a marker file's name: file systems allow 255 bytes for the whole of it."""
_UNSAFE: Final = ("=", "+", "-", "@", "\t", "\r")
"""First characters that a spreadsheet would run as a formula."""


class Marker(Struct, frozen=True, kw_only=True):
    """One marker."""

    file: str
    """The take."""
    at_s: float
    """Seconds from the start of the take."""
    end_s: float
    """Seconds from the start of the take."""
    kind: MarkerKind
    text: str


def editor_markers(record: EpisodeRecord) -> tuple[Marker, ...]:
    """Give the markers of a record of takes, by take and time.

    Args:
        record: Of takes; a record in a cut's time has none, for the edit is done.

    Returns:
        Markers in the order of the takes.
    """
    if not record.draft:
        return ()
    made: list[tuple[MarkerKind, Timed, str]] = [
        ("keep" if finding.status in PUBLISHED else "check", finding, _told(finding))
        for finding in record.findings
        if finding.right is not True and finding.status != "dismissed"
    ]
    made += [("keep", hazard, f"caution: {hazard.name}") for hazard in record.hazards if hazard.said]
    made += [("keep", promise, f"promise: {promise.text}") for promise in record.promises]
    made += [("cut", mistake, mistake.why) for mistake in record.mistakes]
    for step in record.steps:
        shown = step.points_back_to is not None
        made.append(("seen" if shown else "still", step, f"{step.operation} {step.part or ''}".strip()))
    made += [
        ("overlay", measure, f"{measure.part}, {measure.dimension}: {measure.words}")
        for measure in record.measures
        if measure.part and measure.dimension and measure.role in _OVERLAID and not measure.taken_back
    ]
    order = {file.name: n for n, file in enumerate(record.transcript.files)}
    markers = [_marker(kind, item, text) for kind, item, text in made if item.file and item.at_s is not None]
    return tuple(sorted(markers, key=lambda m: (order.get(m.file, len(order)), m.at_s, m.kind, m.text)))


def markers_csv(markers: Sequence[Marker]) -> bytes:
    """Write markers as a table: take, from, to, seconds, kind, text."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(("file", "from", "to", "from_seconds", "to_seconds", "kind", "text", "draft"))
    for m in markers:
        row = (
            m.file,
            _stamp(m.at_s),
            _stamp(m.end_s),
            f"{m.at_s:.3f}",
            f"{m.end_s:.3f}",
            m.kind,
            " ".join(m.text.split()),
            _DRAFT,
        )
        table.writerow(tuple(f"'{cell}" if cell.startswith(_UNSAFE) else cell for cell in row))
    return out.getvalue().encode()


def markers_vtt(markers: Sequence[Marker], file: str) -> bytes:
    """Write the markers of one take as WebVTT, in that take's own time.

    Args:
        markers: Of any takes.
        file: Name of the take.
    """
    blocks = ["WEBVTT", f"NOTE {_DRAFT} ({_plain(file)})"]
    blocks += [
        f"{_stamp(m.at_s)} --> {_stamp(m.end_s)}\n{_plain(f'[{m.kind}] {m.text}')}"
        for m in markers
        if m.file == file
    ]
    return ("\n\n".join(blocks) + "\n").encode()


def marker_files(record: EpisodeRecord) -> dict[str, bytes]:
    """Give the marker files of a record of takes by name: one table of all, and WebVTT for each take; none where there is no marker."""
    markers = editor_markers(record)
    if not markers:
        return {}
    files = {"markers.csv": markers_csv(markers)}
    for name in dict.fromkeys(m.file for m in markers):
        stem = PurePath(name).stem[:_LONGEST_NAME]
        several = (
            sum(PurePath(file.name).stem[:_LONGEST_NAME] == stem for file in record.transcript.files) > 1
        )
        files[f"markers-{PurePath(name).name[-_LONGEST_NAME:] if several else stem}.vtt"] = markers_vtt(
            markers, name
        )
    return files


def _told(finding: Finding) -> str:
    subject = ", ".join(text for text in (finding.part, finding.dimension) if text)
    return f"{finding.kind}: {subject}" if subject else finding.kind


def _marker(kind: MarkerKind, item: Timed, text: str) -> Marker:
    assert item.file is not None
    assert item.at_s is not None
    length = (item.end_s or 0.0) - (item.start_s or 0.0)
    return Marker(
        file=item.file,
        at_s=item.at_s,
        end_s=round(item.at_s + max(length, _SHORTEST_S), 3),
        kind=kind,
        text=" ".join("".join(c if c.isprintable() else " " for c in text).split()),
    )


def _plain(text: str) -> str:
    """Keep a line of text from being read as markup or as a time of WebVTT."""
    return " ".join(text.split()).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def _stamp(seconds: float) -> str:
    whole = round(max(seconds, 0.0) * 1000)
    minutes, rest = divmod(whole, 60_000)
    return f"{minutes // 60:02}:{minutes % 60:02}:{rest // 1000:02}.{rest % 1000:03}"
