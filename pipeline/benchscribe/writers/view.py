"""What every writer reads: the record, sorted into what goes out and what waits for the maker."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from benchscribe.records import PUBLISHED, EpisodeRecord, Finding, Timed
from benchscribe.writers.text import clock, plain


class View(Struct, frozen=True):
    """A record as the writers see it.

    What the maker declared or accepted is published. What is open waits in `for-review.md`, and no instruction prints its value.
    What was dismissed goes nowhere, and a derivation that is right is a confirmation, no finding.
    """

    record: EpisodeRecord
    published: tuple[Finding, ...]
    """In order of time: declared by the maker, or accepted at review."""
    open: tuple[Finding, ...]
    """In order of time: still to be settled."""
    template_dir: Path | None = None
    """A build's own templates, which stand before the ones that come with the program."""
    out: Path | None = None
    """Folder of the record, where still pictures lie beside it."""

    @property
    def private(self) -> bool:
        """The plan is somebody else's, so the public guide leaves out what only the plan says."""
        return self.record.info.plan == "private" and self.record.part_list is not None

    @property
    def title(self) -> str:
        """The episode's title, or the build's, or what it is."""
        info = self.record.info
        return plain(info.title) or plain(info.build_title) or "Untitled episode"

    @property
    def several(self) -> bool:
        """There are several files, so a bare running time does not say where to listen."""
        return len(self.record.transcript.files) > 1

    def when(self, item: Timed) -> str:
        """Say when, for someone who goes to listen: "take-2.m4a 3:12", or the running time of a single file."""
        if item.start_s is None:
            return ""
        if self.several and item.file and item.at_s is not None:
            return f"{plain(item.file)} {clock(item.at_s)}"
        return clock(item.start_s)

    def link(self, start_s: float | None) -> str:
        """Give the address of a moment; empty where there is no time, no address, or the times are not the video's.

        Only web addresses become links: anything else in the pattern would be a way to run something on a click.
        """
        pattern = self.record.info.link.strip()
        if start_s is None or self.record.draft or not pattern.lower().startswith(("https://", "http://")):
            return ""
        if "{seconds}" not in pattern or any(c in pattern for c in "<>\"' \\^`|\n\t"):
            return ""
        return pattern.replace("{seconds}", str(max(int(start_s), 0)))


def make_view(record: EpisodeRecord, *, template_dir: Path | None = None, out: Path | None = None) -> View:
    """Sort a record's findings into what goes out and what waits."""
    real = [f for f in record.findings if f.right is not True and f.status != "dismissed"]
    real.sort(key=lambda f: (f.start_s is None, f.start_s or 0.0, f.span))
    return View(
        record=record,
        published=tuple(f for f in real if f.status in PUBLISHED),
        open=tuple(f for f in real if f.status not in PUBLISHED),
        template_dir=template_dir,
        out=out,
    )
