"""A build folder on disk: `build.toml`, the part list, and the episode folders with what was recorded."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct, field

from benchscribe.discard import Discarded, stretches_discarded, without_discarded
from benchscribe.errors import BuildError
from benchscribe.listen import CAPTIONS, NOTES
from benchscribe.settings import read_settings
from benchscribe.whole import put_whole

MEDIA: Final = frozenset(
    {
        *(
            ".wav",
            ".mp3",
            ".m4a",
            ".m4b",
            ".aac",
            ".flac",
            ".ogg",
            ".oga",
            ".opus",
            ".wma",
            ".aif",
            ".aiff",
            ".amr",
            ".caf",
        ),
        *(".mp4", ".m4v", ".mkv", ".mov", ".webm", ".avi", ".mts", ".m2ts", ".mpg", ".mpeg", ".3gp"),
    }
)
PART_LISTS: Final = frozenset({".csv", ".tsv", ".xlsx", ".xls", ".ods", ".md", ".pdf"})
OUT: Final = "out"


class Vocabulary(Struct, frozen=True, forbid_unknown_fields=True):
    """`[vocabulary]` in build.toml: the maker's own words, beside the ones that come with the program."""

    tools: tuple[str, ...] = ()
    materials: tuple[str, ...] = ()
    hardware: tuple[str, ...] = ()
    finishes: tuple[str, ...] = ()
    operations: tuple[str, ...] = ()


class Markers(Struct, frozen=True, forbid_unknown_fields=True):
    """`[markers]` in build.toml: the maker's own phrases, said on camera on purpose."""

    plan_note: tuple[str, ...] = ()
    warning: tuple[str, ...] = ()
    leave_out: tuple[str, ...] = ()
    next_time: tuple[str, ...] = ()


class BuildFile(Struct, frozen=True, forbid_unknown_fields=True):
    """`build.toml`."""

    title: str = ""
    part_list: str = ""
    units: Literal["inch", "mm"] | None = None
    plan: Literal["private", "own"] = "private"
    plan_name: str = ""
    edition: str = ""
    write: tuple[str, ...] = ()
    model: str = "base"
    vocabulary: Vocabulary = field(default_factory=Vocabulary)
    other_names: dict[str, tuple[str, ...]] = field(default_factory=dict)
    markers: Markers = field(default_factory=Markers)


class EpisodeFile(Struct, frozen=True, forbid_unknown_fields=True):
    """`episode.toml`."""

    title: str = ""
    number: int | None = None
    date: str = ""
    link: str = ""
    before: str = ""
    after: str = ""
    takes: tuple[str, ...] = ()
    discard: tuple[str, ...] = ()
    """Takes that are not used, and stretches of takes: "take-3.mp4", "take-2.mp4 3:10-4:05"."""
    chapters: Literal["few", "some", "many"] | Annotated[int, Meta(ge=1)] = "some"


class Build(Struct, frozen=True):
    """A build folder that has been read."""

    folder: Path
    file: BuildFile
    part_list: Path | None


class Episode(Struct, frozen=True):
    """An episode folder that has been read."""

    folder: Path
    file: EpisodeFile
    sources: tuple[Path, ...]
    """What is listened to or read, in the order in which it is laid end to end where the order is given; else by name."""
    ordered: bool
    """`episode.toml` gives the order; otherwise recording time, where the files say it, comes before the name."""
    clock: Literal["cut", "takes", "captions", "notes"]
    left_out: tuple[tuple[str, str], ...] = ()
    """File names that are not used, each with the reason."""
    discarded: tuple[Discarded, ...] = ()
    """Stretches of takes that `episode.toml` throws away."""
    edit_list: Path | None = None
    """The editor's list of what of which take is in the cut (`cut.otio`), where there is one."""
    cut: Path | None = None
    """The published cut where there are takes beside it: what is found in the takes is carried to its time."""

    @property
    def out(self) -> Path:
        """Where the episode's files are written."""
        return self.folder / OUT

    @property
    def decisions(self) -> Path:
        """Where the maker's answers are kept."""
        return self.folder / "decisions.toml"


def find_build(start: Path) -> Path | None:
    """Give the nearest folder at or above `start` that holds a `build.toml`; a link is followed where its own place has none."""
    for here in (start.absolute(), Path(os.path.realpath(start))):
        for folder in (here, *here.parents):
            if (folder / "build.toml").exists():
                return folder
    return None


def load_build(folder: Path) -> Build:
    """Read a build folder's settings and find its part list.

    Raises:
        BuildError: No such folder, a fault in `build.toml`, or a part list that is named and not there.
    """
    if not folder.is_dir():
        raise BuildError(
            "there is no such folder", where=str(folder), todo="Start one with: benchscribe start DIR"
        )
    settings = folder / "build.toml"
    if not settings.exists():
        raise BuildError(
            "no build.toml here or in any folder above",
            where=str(folder),
            todo="Start a build with: benchscribe start DIR",
        )
    file = read_settings(settings, BuildFile)
    if file.part_list:
        part_list = folder / file.part_list
        if not part_list.is_file():
            raise BuildError(
                f'the part list "{file.part_list}" is not there',
                where=str(settings),
                todo="Put the file there, or set part_list to its name.",
            )
        return Build(folder, file, part_list)
    found = sorted(
        p
        for p in folder.iterdir()
        if p.stem.lower() in {"parts", "part-list", "partlist", "cutlist"} and p.suffix.lower() in PART_LISTS
    )
    return Build(folder, file, found[0] if found else None)


def list_episodes(folder: Path) -> tuple[Path, ...]:
    """Give a build's episode folders in the order of their names."""
    home = folder / "episodes"
    return (
        tuple(sorted((p for p in home.iterdir() if p.is_dir() and not p.name.startswith(".")), key=_natural))
        if home.is_dir()
        else ()
    )


def _where_to_look(folder: Path) -> str:
    """Say what to do about a folder with nothing to work from: it may be the one above the episodes."""
    inside = list_episodes(folder) or sorted(p.parent for p in folder.glob("*/episode.toml"))
    if inside and not (folder / "episode.toml").exists():
        named = ", ".join(str(p) for p in inside[:3]) + (", ..." if len(inside) > 3 else "")
        return f"This is no episode, but holds some: {named}."
    return "Put the takes here (any audio or video), or take-1.vtt, or notes.md."


def load_episode(folder: Path) -> Episode:
    """Read an episode folder: its settings, and what there is to listen to.

    The takes are listened to, and where there is a published cut (`cut.*`) beside them, everything is carried to its times. A cut alone
    is the episode. A caption file stands in for the recording of the same name. Rough notes count only where there is nothing else.

    Raises:
        BuildError: No such folder, nothing in it to work from, or a take that `episode.toml` names (as a take or to be discarded) and
            that is not there.
    """
    if not folder.is_dir():
        raise BuildError("there is no such episode folder", where=str(folder))
    file = read_settings(folder / "episode.toml", EpisodeFile)
    files, left_out = _files_of(folder)
    listed = next((p for p in files if p.name.lower() == "cut.otio"), None)
    files = [p for p in files if p != listed]
    spoken = [p for p in files if p.suffix.lower() in MEDIA | CAPTIONS]
    notes = [p for p in files if p.suffix.lower() in NOTES]
    left_out += [
        (p.name, "not a recording, captions or notes") for p in files if p not in spoken and p not in notes
    ]
    cut = _one_each([p for p in spoken if p.stem.lower() == "cut"], left_out)
    takes = _one_each([p for p in spoken if p not in cut and p.stem.lower() != "cut"], left_out)
    whole, discarded = stretches_discarded(folder, file.discard, takes)
    takes = without_discarded(folder, whole, takes, left_out)
    if cut or takes:
        left_out += [(p.name, "notes are used only where there is no recording") for p in notes]
    sources = takes or ([] if cut else notes)
    if file.takes:
        sources = _in_given_order(folder, file.takes, sources, left_out)
    if cut and not sources:
        return Episode(folder, file, tuple(cut[:1]), ordered=True, clock="cut", left_out=tuple(left_out))
    if not sources:
        every = " that is not discarded" if file.discard else ""
        raise BuildError(
            f"nothing to work from: no recording, captions or notes{every}",
            where=str(folder),
            todo=_where_to_look(folder),
        )
    media = any(p.suffix.lower() in MEDIA for p in sources)
    clock: Literal["takes", "captions", "notes"] = (
        "takes" if media or len(takes) > 1 else "captions" if takes else "notes"
    )
    if takes and all(re.match(r"take\b", p.stem.lower()) for p in takes):
        clock = "takes"
    return Episode(
        folder,
        file,
        tuple(sources),
        ordered=bool(file.takes),
        clock="takes" if cut else clock,
        left_out=tuple(left_out),
        discarded=discarded,
        edit_list=listed if cut else None,
        cut=cut[0] if cut else None,
    )


def _files_of(folder: Path) -> tuple[list[Path], list[tuple[str, str]]]:
    """Give an episode's files by name, and what lies there under the name of a take and is no file."""
    try:
        there = sorted(
            (p for p in folder.iterdir() if not p.name.startswith(".") and p.suffix != ".toml"), key=_natural
        )
    except OSError as error:
        raise BuildError(f"this folder cannot be read ({error.strerror})", where=str(folder)) from error
    for path in there:
        if path.is_symlink() and not path.exists():
            raise BuildError(
                "this link leads to nothing",
                where=str(path),
                todo="Connect the disk that it leads to, or take the link away.",
            )
    odd = [p for p in there if not p.is_file() and p.suffix.lower() in MEDIA | CAPTIONS | NOTES]
    left_out = [(p.name, "a folder, not a file" if p.is_dir() else "not a file") for p in odd]
    return [p for p in there if p.is_file()], left_out


def _one_each(spoken: Sequence[Path], left_out: list[tuple[str, str]]) -> list[Path]:
    """Keep one file for each name: captions where the maker put some beside the recording."""
    kept: dict[str, Path] = {}
    for path in spoken:
        other = kept.get(path.stem)
        if other is None:
            kept[path.stem] = path
        elif path.suffix.lower() in CAPTIONS and other.suffix.lower() not in CAPTIONS:
            left_out.append((other.name, f"{path.name} stands in for it"))
            kept[path.stem] = path
        else:
            left_out.append((path.name, f"{other.name} of the same name is used"))
    return list(kept.values())


def _in_given_order(
    folder: Path, wanted: Sequence[str], found: Sequence[Path], left_out: list[tuple[str, str]]
) -> list[Path]:
    known = {p.name: p for p in found}
    missing = [name for name in wanted if not (folder / name).is_file()]
    if missing:
        raise BuildError(
            f'episode.toml names the take "{missing[0]}", which is not there',
            where=str(folder / "episode.toml"),
            todo=f"There are: {', '.join(known) or 'none'}.",
        )
    twice = [name for name in dict.fromkeys(wanted) if wanted.count(name) > 1]
    if twice:
        raise BuildError(
            f'episode.toml names the take "{twice[0]}" twice',
            where=str(folder / "episode.toml"),
            todo="Name every take once, in the order in which it was recorded.",
        )
    left_out += [
        (name, "not among the takes that episode.toml names") for name in known if name not in wanted
    ]
    return [folder / name for name in wanted]


def _natural(path: Path) -> list[tuple[int, int | str]]:
    """Sort "take-2" before "take-10"."""
    return [
        (0, int(part)) if part.isdigit() else (1, part)
        for part in re.split(r"(\d+)", path.name.lower())
        if part
    ]


def start_build(folder: Path, files: Mapping[str, str]) -> tuple[Path, ...]:
    """Lay out a new build; nothing that is there already is touched.

    Args:
        folder: Where; made if it is not there.
        files: Relative path to text, parents made as needed.

    Raises:
        BuildError: The folder is a build already, or cannot be written.
    """
    if (folder / "build.toml").exists():
        raise BuildError("there is a build here already", where=str(folder), todo="Nothing was changed.")
    written = []
    try:
        for name, text in files.items():
            path = folder / name
            if not path.exists():
                put_whole(path, text.encode())
                written.append(path)
    except OSError as error:
        raise BuildError(
            f"cannot write here ({error.strerror})", where=str(error.filename or folder)
        ) from error
    return tuple(written)
