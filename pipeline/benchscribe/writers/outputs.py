"""The table of writers, and the one function that writes files."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType
from typing import Final

from msgspec import Struct

from benchscribe.errors import WriteError
from benchscribe.records import EpisodeRecord, to_json
from benchscribe.writers.captions import captions
from benchscribe.writers.chapters import chapters_json, chapters_vtt
from benchscribe.writers.corrections_sheet import corrections_sheet
from benchscribe.writers.files import write_whole
from benchscribe.writers.guide import guide, guide_twin
from benchscribe.writers.notes import description, show_notes
from benchscribe.writers.overlays import overlays_csv, overlays_vtt
from benchscribe.writers.review import for_review
from benchscribe.writers.tables import (
    corrections_csv,
    cutlist_csv,
    shop_cutlist_csv,
)
from benchscribe.writers.view import View, make_view

EMBEDDED: Final = "embedded"
"""Name of the output that is no file made from the record alone: a copy of the published cut."""

Make = Callable[[View], Sequence[bytes | None]]
"""Gives each of a writer's files whole, or None where the record has nothing for it (captions of notes without times)."""


class Writer(Struct, frozen=True):
    """One thing that can be written: its name, what it is, its files, and what makes them."""

    name: str
    what: str
    files: tuple[str, ...]
    make: Make


_ALL: Final = (
    Writer(
        "record",
        "the whole result, from which all else is made",
        ("record.json",),
        lambda view: (to_json(view.record),),
    ),
    Writer(
        "show-notes",
        "title, summary, chapters, tools, materials, corrections",
        ("show-notes.md",),
        lambda view: (show_notes(view),),
    ),
    Writer(
        "description",
        "the same as plain text for a video's description",
        ("description.txt",),
        lambda view: (description(view),),
    ),
    Writer(
        "chapters",
        "chapters as WebVTT and as JSON chapters 1.2",
        ("chapters.vtt", "chapters.json"),
        lambda view: (chapters_vtt(view), chapters_json(view)),
    ),
    Writer(
        "captions",
        "captions with sizes written right, as WebVTT and SubRip",
        ("captions.vtt", "captions.srt"),
        captions,
    ),
    Writer(
        "guide",
        "the build guide; with a private plan also the full shop copy",
        ("guide.md", "guide.html", "guide.pdf", "shop-guide.md", "shop-guide.html"),
        guide,
    ),
    Writer(
        "twin",
        "the guide for readers abroad, in the other system of units",
        ("guide-mm.md", "guide-mm.html", "guide-inch.md", "guide-inch.html"),
        guide_twin,
    ),
    Writer(
        "corrections",
        "published corrections as a table, and a sheet to pin to the plan",
        ("corrections.csv", "corrections-sheet.pdf"),
        lambda view: (corrections_csv(view), corrections_sheet(view)),
    ),
    Writer("review", "what to listen to and settle", ("for-review.md",), lambda view: (for_review(view),)),
    Writer(
        "cutlist",
        "the cut list as a table; with a private plan also the full one for the shop",
        ("cutlist.csv", "shop-cutlist.csv"),
        lambda view: (cutlist_csv(view), shop_cutlist_csv(view)),
    ),
    Writer(
        "overlays",
        "sizes with times, to place on the picture",
        ("overlays.vtt", "overlays.csv"),
        lambda view: (overlays_vtt(view), overlays_csv(view)),
    ),
    Writer(
        EMBEDDED,
        "the chapters inside a copy of the published cut",
        (),  # the copy has the cut's own ending, and is made by `embed_beside`: it is no thing to hold in memory
        lambda _: (),
    ),
)

WRITERS: Final[Mapping[str, Writer]] = MappingProxyType({writer.name: writer for writer in _ALL})
"""Every output by the name that `--only`, `--except` and `write` in build.toml know it by, in the order of writing."""


def write_outputs(
    record: EpisodeRecord,
    out: Path,
    *,
    only: Collection[str] | None = None,
    exclude: Collection[str] = (),
    template_dir: Path | None = None,
) -> tuple[Path, ...]:
    """Write an episode's files, each whole or not at all.

    Args:
        record: The whole result for one episode.
        out: Folder to write to; made if it is not there.
        only: Names of `WRITERS` to run; None for all of them.
        exclude: Names of `WRITERS` to leave out.
        template_dir: A build's own templates; a template that is not there is taken from the program.

    Returns:
        The files that were written, in the order of `WRITERS`. A file that the record has nothing for is not written, and one that an
        earlier run wrote of it is taken away: what was put off the record must not stay in it.

    Raises:
        WriteError: An unknown name, a faulty template, or a place that cannot be written to.
    """
    unknown = sorted((set(only or ()) | set(exclude)) - set(WRITERS))
    if unknown:
        raise WriteError(
            f'there is no output called "{unknown[0]}"', todo=f"There are: {', '.join(WRITERS)}."
        )
    view = make_view(record, template_dir=template_dir, out=out)
    written = []
    for name, writer in WRITERS.items():
        if (only is not None and name not in only) or name in exclude:
            continue
        for file, data in zip(writer.files, writer.make(view), strict=True):
            if data is not None:
                write_whole(out / file, data)
                written.append(out / file)
            else:
                _take_away(out / file)
    return tuple(written)


def _take_away(path: Path) -> None:
    """Take away what an earlier run wrote."""
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise WriteError(
            f"this file is out of date and cannot be taken away ({error.strerror})",
            where=str(path),
            todo="Close it where it is open, or delete it yourself.",
        ) from error
