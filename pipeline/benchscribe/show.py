"""What the terminal shows: progress while listening, the summary after a run, tables. Only here is anything drawn with rich."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Final, Literal, Self

from benchscribe.clock import clock as to_clock
from benchscribe.records import PUBLISHED, EpisodeRecord, Finding, Said, SourceFile

if TYPE_CHECKING:
    from rich.console import Console

    from benchscribe.listen import Progress

_WIDE: Final = 200
"""Columns where nothing says how many there are: a file or a pipe has no edge to wrap at."""
_ORDERS: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
"""Control signs, and signs that turn the direction of writing around: in a file's name they are there to deceive."""


def harmless(text: str) -> str:
    """Give a text without signs that a terminal obeys."""
    return _ORDERS.sub("\N{REPLACEMENT CHARACTER}", text)


def console(*, stderr: bool = False) -> Console:
    """Give a console; plain text where the output is no terminal, with room for tables in it."""
    from rich.console import Console
    from rich.text import Text

    class Screen(Console):
        """A console on which no name or sentence can give orders to the terminal."""

        def render_str(self, text: str, **how: Any) -> Text:  # noqa: ANN401 - handed on as it came
            return super().render_str(harmless(text), **how)

    screen = Screen(stderr=stderr, highlight=False, soft_wrap=True)
    if not screen.is_terminal and "COLUMNS" not in os.environ:
        screen.width = _WIDE
    return screen


class Listening:
    """Progress with time left while listening: on a terminal a bar on standard error, elsewhere nothing."""

    def __init__(self, *, quiet: bool) -> None:
        """Draw nothing yet: a run that has nothing to listen to shows no bar."""
        self._quiet = quiet
        self._bar: Any = None
        self._task: Any = None

    def __enter__(self) -> Self:
        """Begin."""
        return self

    def show(self, progress: Progress) -> None:
        """Show how far listening has come."""
        if self._quiet:
            return
        if self._bar is None:
            from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

            self._bar = Progress(
                TextColumn("{task.description}"),
                BarColumn(bar_width=32),
                TextColumn("{task.fields[heard]}"),
                TimeRemainingColumn(),
                console=console(stderr=True),
                transient=True,
            )
            self._bar.start()
            self._task = self._bar.add_task("Listening", total=None, heard="")
        heard = f"{clock(progress.done_s)} of {clock(progress.total_s)}"
        self._bar.update(
            self._task, description=progress.message or f"Listening to {progress.file}",
            completed=progress.done_s, total=progress.total_s, heard=heard,
        )  # fmt: skip

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Take the bar away."""
        if self._bar is not None:
            self._bar.stop()


def summary(record: EpisodeRecord, out: Path, written: Sequence[Path]) -> None:
    """Say what was found and where it lies."""
    from rich.markup import escape

    screen = console()
    screen.print()
    screen.print(f"[bold]{escape(record.info.title)}[/bold]")
    if record.draft:
        screen.print("draft: times are of the takes", style="yellow")
    screen.print(
        f"{_counted(record)}; sizes without a unit are {record.info.units} ({escape(record.info.units_why)})"
    )
    if record.coverage and record.coverage.listed:
        screen.print(record.coverage.sentence())
    _heard(screen, record)
    out_now = [f for f in record.findings if f.status in PUBLISHED]
    open_now = [f for f in record.findings if f.status == "open" and f.right is not True]
    for title, findings in (("Corrections that go out", out_now), ("To settle before it goes out", open_now)):
        if findings:
            screen.print(f"\n[bold]{title}[/bold]")
            for finding in findings:
                screen.print(f"  {escape(line_of(finding, files=record.transcript.files))}")
    for title, lines in (
        (
            "[bold]Said in a take, but not in the cut[/bold] (put it in the notes?)",
            tuple(
                f"{n.kind}, {n.file} {clock(n.at_s)}: {n.text}"
                for n in record.not_in_cut
                if n.answer == "open"
            ),
        ),
        (
            "[bold]Decisions that fit nothing in this run[/bold] (kept in decisions.toml)",
            record.orphaned_decisions,
        ),
    ):
        _list(screen, title, lines)
    names = ", ".join(path.name for path in written)
    screen.print(f"\n[bold]Written[/bold] to {escape(str(out))}")
    screen.print(f"  {escape(names)}")
    if open_now:
        # Outputs of an episode lie in its own out/; of a lone caption file there is no episode to settle.
        settle = f", or settle them with: benchscribe review {out.parent}" if out.name == "out" else ""
        screen.print(f"\nStart with {escape(str(out / 'for-review.md') + settle)}")


def note_line(note: str) -> None:
    """Say something that is no fault and that the maker should know; nothing where there is nothing to say."""
    from rich.markup import escape

    if note:
        console().print(f"\n[bold]Note[/bold]: {escape(note)}")


def line_of(finding: Finding, number: int | None = None, *, files: Sequence[SourceFile] = ()) -> str:
    """Give one finding as one line: when, which part, what was said and what is listed."""
    time = f"{when(finding, files)}  " if finding.start_s is not None else ""
    part = finding.part or "no part"
    what = f"{part}, {finding.dimension}" if finding.dimension else part
    said = f"said {quantity(finding.spoken) if finding.spoken else '-'}"
    why = finding.why
    if finding.status == "amended":
        # The size is the maker's answer now, and the reason was of the size that was said.
        said, why = said.replace("said", "your answer is", 1), ""
    listed = f", listed {quantity(finding.listed)}" if finding.listed else ""
    head = f"{number:>3}  " if number is not None else ""
    return f"{head}{time}{finding.kind}: {what}: {said}{listed}. {why}".rstrip()


def quantity(said: Said) -> str:
    """Write a value as the trade does; a count as a plain number."""
    from benchscribe.measures import write_measure

    return str(said.value) if said.unit == "count" else write_measure(said.value, said.unit)


def when(finding: Finding, files: Sequence[SourceFile] = ()) -> str:
    """Give the time of a finding, with its file where there are several: "take-2.mp4 3:12"."""
    if finding.file and finding.at_s is not None and len(files) > 1:
        return f"{finding.file} {clock(finding.at_s)}"
    return clock(finding.start_s)


def clock(seconds: float | None) -> str:
    """Write seconds as people read a clock: 3:07, 1:02:45; "-" where there is no time."""
    return "-" if seconds is None else to_clock(seconds)


def list_started(folder: Path, written: Sequence[Path]) -> None:
    """Say what a new build holds and what comes next."""
    screen = console()
    screen.print(f"A new build in {folder}:")
    for path in written:
        screen.print(f"  {path.relative_to(folder)}")
    screen.print("\nNext: put the plan's parts in parts.csv and the first takes in episodes/01-first, then")
    screen.print(f"  benchscribe check {folder}\n  benchscribe write {folder / 'episodes' / '01-first'}")


def table_of_measures(lines: Iterable[str], units: Literal["inch", "mm"]) -> None:
    """Print every size of a text as a table: line, words, value, and what is special about it."""
    from rich.table import Table

    from benchscribe.measures import read, write_measure

    table = Table(box=None, pad_edge=False)
    for heading in ("line", "said", "exact", "written", "notes"):
        table.add_column(heading, overflow="fold")
    found = 0
    for number, line in enumerate(lines, 1):
        for reading in read(line.rstrip("\n"), units=units).measures:
            found += 1
            notes = [
                *(["taken back"] if reading.taken_back else []),
                *([f"hedge: {reading.hedge}"] if reading.hedge else []),
                *([] if reading.unit_said else ["unit not said"]),
                *(f"or {c.value} {c.unit}: {c.why}" for c in reading.candidates),
            ]
            written = write_measure(reading.value, reading.unit)
            table.add_row(
                str(number), reading.words, f"{reading.value} {reading.unit}", written, "; ".join(notes)
            )
    screen = console()
    if found:
        screen.print(table)
    else:
        screen.print("No sizes found.")


def _list(screen: Console, title: str, lines: Sequence[str]) -> None:
    from rich.markup import escape

    if lines:
        screen.print(f"\n{title}")
    for line in lines:
        screen.print(f"  {escape(line)}")


def _heard(screen: Console, record: EpisodeRecord) -> None:
    """Say what stands behind the times, and what could not be heard."""
    if record.cut_pieces:
        screen.print(_mapped(record))
    for gap in record.transcript.gaps:
        screen.print(f"  {gap.file + ' ' if gap.file else ''}{gap.note}", style="yellow", markup=False)


def _mapped(record: EpisodeRecord) -> str:
    """Say how much of the published cut was found in the takes."""
    pieces = record.cut_pieces
    whole = sum(p.cut_to_s - p.cut_from_s for p in pieces)
    new = sum(p.cut_to_s - p.cut_from_s for p in pieces if p.file is None)
    inserts = sum(p.file is None for p in pieces)
    known = 100 * (whole - new) / whole if whole else 0.0
    also = f", {inserts} insert{'' if inserts == 1 else 's'} ({clock(new)})" if inserts else ""
    return f"times are the published cut's; {known:.0f} % of its talk is in the takes{also}"


def _counted(record: EpisodeRecord) -> str:
    words = len(record.transcript.words)
    parts = len(record.part_list.parts) if record.part_list else 0
    return ", ".join(
        (
            many(words, "word"),
            many(len(record.measures), "size"),
            f"{many(parts, 'part')} listed",
            many(len(record.chapters), "chapter"),
            many(len(record.steps), "step"),
        )
    )


def many(number: int, thing: str) -> str:
    """Write a number with its thing: "1 part", "3 parts"."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
