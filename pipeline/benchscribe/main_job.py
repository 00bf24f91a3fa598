"""The main job as the command line runs it: folders in, files out, a summary on the terminal."""

from __future__ import annotations

import glob
import re
import shutil
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from benchscribe.build import (
    MEDIA,
    Build,
    BuildFile,
    Episode,
    EpisodeFile,
    find_build,
    list_episodes,
    load_build,
    load_episode,
)
from benchscribe.changes import with_version
from benchscribe.cut import marker_files
from benchscribe.cut.interchange import interchange_is_there, markers_otio
from benchscribe.cut.picture import cut_picture
from benchscribe.episode import Job, make_record
from benchscribe.errors import BenchscribeError, BuildError, TranscriptError, WriteError
from benchscribe.listen import CAPTIONS, NOTES, Progress
from benchscribe.records import EpisodeInfo, EpisodeRecord, from_json
from benchscribe.show import Listening, note_line, summary
from benchscribe.stills import take_stills, with_stills
from benchscribe.writers import EMBEDDED, WRITERS, write_outputs
from benchscribe.writers.embed import Embedded, embed_beside
from benchscribe.writers.files import write_whole

_PICTURED = "guide"
"""The output that shows a picture of each step."""
NO_BUILD = Build(Path(), BuildFile(), None)


def write_episodes(folders: Sequence[Path], options: Mapping[str, Any]) -> tuple[EpisodeRecord, ...]:
    """Do the main job for episode folders, one after another.

    Where there are several, one that cannot be done keeps none of the others from it.

    Args:
        folders: Episode folders; a build folder stands for all of its episodes.
        options: As the command line has them: out, units, model, device, chapters, only, exclude, quiet.

    Raises:
        BenchscribeError: Anything that is wrong with a folder, a file or an option; of several episodes, after the last.
    """
    every = [episode for folder in folders for episode in _episodes_of(folder)]
    wanted = list({folder.resolve(): folder for folder in every}.values())
    if options.get("out") and len(wanted) > 1:
        raise BuildError(
            "--out takes one episode at a time", todo="Leave it out: each episode has its own out/ folder."
        )
    done: list[EpisodeRecord] = []
    failed: list[BenchscribeError] = []
    for folder in wanted:
        try:
            episode = load_episode(folder)
            job, build = episode_job(episode, options)
            done.append(_run(job, options.get("out") or episode.out, options, build))
        except BenchscribeError as error:
            failed.append(error)
    if failed and len(wanted) > 1:
        raise BuildError(
            f"{len(failed)} of {len(wanted)} episodes could not be written, the others are:\n"
            + "\n".join(f"  {error}" for error in failed)
        )
    if failed:
        raise failed[0]
    return tuple(done)


def write_transcript(transcript: Path, parts: Path | None, options: Mapping[str, Any]) -> EpisodeRecord:
    """Do the main job for one caption file or notes, without a build folder."""
    for path, what in ((transcript, "transcript"), (parts, "part list")):
        if path is not None and not path.is_file():
            raise TranscriptError(f"there is no such {what}", where=str(path))
    notes = transcript.suffix.lower() not in CAPTIONS
    job = Job(
        sources=(transcript,),
        clock="notes" if notes else "captions",
        part_list=parts,
        info=EpisodeInfo(title=_title_of(transcript)),
        units=options.get("units"),
        chapters=_chapters(options.get("chapters"), "some"),
        cache=cache_folder(),
    )
    return _run(job, options["out"], options, NO_BUILD)


_SAYS_NOTHING: Final = re.compile(
    r"(?:transcript|talk|captions?|subtitles?|notes|take|cut|episode|video|audio|recording)?\d*"
)


def _title_of(path: Path) -> str:
    """Name an episode that has no title of its own, after its file, or its folder where the file's name says nothing.

    "01-the-case" is "The case", and "rack/transcript.vtt" is "Rack".
    """
    stem = path.stem if path.suffix and path.suffix.lower() in CAPTIONS | NOTES else path.name
    if path.name != stem and _SAYS_NOTHING.fullmatch(re.sub(r"[-_ ]", "", stem.lower())):
        stem = path.absolute().parent.name or stem
    if not any(letter.isalpha() for letter in stem):
        return stem
    words = re.sub(r"[-_ ]+", " ", stem).strip()
    words = re.sub(r"^\d+ (?=[^\W\d])", "", words)
    return words[:1].upper() + words[1:]


def episode_job(episode: Episode, options: Mapping[str, Any]) -> tuple[Job, Build]:
    """Put together what a run of one episode needs, from its folder, its build and the command line."""
    home = find_build(episode.folder)
    build = load_build(home) if home else NO_BUILD
    file: EpisodeFile = episode.file
    info = EpisodeInfo(
        build_title=build.file.title,
        title=file.title or _title_of(episode.folder),
        number=file.number,
        date=file.date,
        link=file.link,
        before=file.before,
        after=file.after,
        plan=build.file.plan,
        plan_name=build.file.plan_name,
        edition=build.file.edition,
    )
    job = Job(
        sources=episode.sources,
        ordered=episode.ordered,
        clock=episode.clock,
        cut=episode.cut,
        edit_list=episode.edit_list,
        discarded=episode.discarded,
        part_list=build.part_list,
        info=info,
        units=options.get("units") or build.file.units,
        vocabulary=build.file.vocabulary,
        other_names=build.file.other_names,
        markers=build.file.markers,
        decisions=episode.decisions,
        chapters=_chapters(options.get("chapters"), file.chapters),
        model=options.get("model") or build.file.model,
        device=options.get("device") or "auto",
        cache=cache_folder(),
    )
    return job, build


def copy_demo(folder: Path) -> tuple[Path, ...]:
    """Copy the demo build and give its episode folders.

    Raises:
        BuildError: The folder holds something else, or the demo is not in this installation.
    """
    home = Path(__file__).parent / "demo"
    if not (home / "build.toml").is_file():
        raise BuildError(
            "the demo build is not part of this installation",
            where=str(home),
            todo="Install Benchscribe again.",
        )
    if not _may_hold_demo(folder, home):
        raise BuildError(
            "this folder holds something else", where=str(folder), todo="Name an empty or new folder."
        )
    try:
        shutil.copytree(
            home,
            folder,
            dirs_exist_ok=True,
            ignore=shutil.ignore_patterns("out", "__pycache__"),
            copy_function=_copy_missing,
        )
    except (OSError, shutil.Error) as error:
        raise BuildError(f"the demo cannot be copied here ({error})", where=str(folder)) from error
    return list_episodes(folder)


def _may_hold_demo(folder: Path, home: Path) -> bool:
    """Tell whether the folder is new, empty, or the demo from an earlier run; a build of the maker's own is none of these."""
    if not folder.exists():
        return True
    there = folder / "build.toml"
    if there.is_file():
        return there.read_bytes() == (home / "build.toml").read_bytes()
    return folder.is_dir() and not any(folder.iterdir())


def _copy_missing(source: str, target: str) -> str:
    """Copy a file, but leave one that is there already: the maker may have tried something in it."""
    if not Path(target).exists():
        shutil.copy2(source, target)
    return target


def cache_folder() -> Path:
    """Give the folder in which speech models and finished listening are kept for this user."""
    from platformdirs import user_cache_path

    return user_cache_path("benchscribe")


def _run(job: Job, out: Path, options: Mapping[str, Any], build: Build) -> EpisodeRecord:
    quiet = bool(options.get("quiet"))
    only = _names(options.get("only"), "--only") or outputs_of(build)
    exclude = _names(options.get("exclude"), "--except")
    if not (only or set(WRITERS)) - exclude:
        raise BuildError("these options leave nothing to write", where="--except")
    if out.exists() and not out.is_dir():
        raise WriteError(
            "this is a file, and the outputs need a folder", where=str(out), todo="Move it away."
        )
    with Listening(quiet=quiet) as listening:
        record = make_record(job, progress=listening.show)
    if _PICTURED in (only or WRITERS) and _PICTURED not in exclude:
        with Listening(quiet=quiet) as looking:
            take_stills(record, recordings_of(job), out, progress=looking.show)
    written = write_files(record, out, build, only=only, exclude=exclude, date=str(options.get("date") or ""))
    copy = Embedded(None)
    if (only is None or EMBEDDED in only) and EMBEDDED not in exclude:
        with Listening(quiet=quiet) as copying:
            copy = write_copy(record, cut_media(job), out, asked=only is not None, progress=copying.show)
    written += (copy.path,) if copy.path else ()
    if copy.note and not written:
        raise WriteError(copy.note)
    if not quiet:
        summary(record, out, written)
        note_line(copy.note)
    return record


def write_copy(
    record: EpisodeRecord,
    cut: Path | None,
    out: Path,
    *,
    asked: bool,
    progress: Callable[[Progress], None] | None = None,
) -> Embedded:
    """Put the chapters into a copy of the published cut, with progress; what cannot be is a note.

    Args:
        record: The whole result for one episode.
        cut: The published cut's recording; None where there is none.
        out: Folder to write to.
        asked: The output was named, so a very large cut is copied too.
        progress: Called while copying, which can take minutes.
    """

    def show(done_s: float, total_s: float) -> None:
        if progress is not None and cut is not None:
            message = f"Putting chapters into a copy of {cut.name}"
            progress(Progress(file=cut.name, done_s=done_s, total_s=total_s, message=message))

    return embed_beside(record, cut, out, asked=asked, progress=show)


def recordings_of(job: Job) -> tuple[Path, ...]:
    """Give what the pictures of the steps come out of: the takes and the published cut, and recordings that captions stand in for."""
    sources = (*job.sources, *filter(None, (cut_media(job),)))
    beside = [
        other
        for source in sources
        if source.suffix.lower() not in MEDIA
        for other in sorted(source.parent.glob(f"{glob.escape(source.stem)}.*"))
        if other.suffix.lower() in MEDIA
    ]
    return (*sources, *beside)


def cut_media(job: Job) -> Path | None:
    """Give the recording of the published cut; where captions stand in for it, the one of the same name beside them."""
    cut = job.cut or (job.sources[0] if job.clock == "cut" else None)
    if cut is None or cut.suffix.lower() in MEDIA:
        return cut
    beside = (p for p in sorted(cut.parent.iterdir()) if p.stem.lower() == cut.stem.lower())
    return next((p for p in beside if p.suffix.lower() in MEDIA and p.is_file()), None)


def write_files(
    record: EpisodeRecord,
    out: Path,
    build: Build,
    *,
    only: Collection[str] | None = None,
    exclude: Collection[str] = (),
    date: str = "",
) -> tuple[Path, ...]:
    """Write an episode's files with its build's own templates, and what helps with the edit.

    Args:
        record: The whole result for one episode.
        out: Folder to write to.
        build: Whose templates are used, where it has any.
        only: Names of outputs; None for all, with the files for the edit.
        exclude: Names of outputs to leave out.
        date: Of the guide; empty for the episode's own.
    """
    record = with_stills(with_version(record, _earlier(out), date or record.info.date), out)
    written = write_outputs(record, out, only=only, exclude=exclude, template_dir=templates_of(build))
    return written + _write_markers(record, out) if only is None else written


def _earlier(out: Path) -> EpisodeRecord | None:
    """Read the record that was written before; None where there is none that can be read."""
    try:
        return from_json((out / "record.json").read_bytes())
    except (OSError, ValueError):
        return None


def templates_of(build: Build) -> Path | None:
    """Give the folder of a build's own templates; None where it has none."""
    folder = build.folder / "templates"
    return folder if build is not NO_BUILD and folder.is_dir() else None


def _write_markers(record: EpisodeRecord, out: Path) -> tuple[Path, ...]:
    """Write what helps with the edit: markers in the takes before it, the picture of takes and cut after it."""
    files = marker_files(record)
    if files and interchange_is_there():
        files["markers.otio"] = markers_otio(record)
    picture = cut_picture(record.cut_pieces)
    if picture:
        files["cut-map.svg"] = picture.encode()
    for name, data in files.items():
        write_whole(out / name, data)
    return tuple(out / name for name in files)


def _episodes_of(folder: Path) -> tuple[Path, ...]:
    if (folder / "build.toml").is_file():
        episodes = list_episodes(folder)
        if not episodes:
            raise BuildError(
                "this build has no episodes yet",
                where=str(folder),
                todo="Make a folder under episodes/ and put the takes there.",
            )
        return episodes
    return (folder,)


def outputs_of(build: Build) -> frozenset[str] | None:
    """Give the outputs that build.toml names, None for all; the record is always there, since other commands read it.

    Raises:
        BuildError: There is no such output.
    """
    if not build.file.write:
        return None
    _known(build.file.write, "build.toml: write")
    return frozenset({*build.file.write, "record"})


def _names(text: str | None, option: str) -> frozenset[str]:
    names = frozenset(name.strip() for name in (text or "").split(",") if name.strip())
    _known(names, option)
    return names


def _known(names: Iterable[str], where: str) -> None:
    unknown = sorted(set(names) - set(WRITERS))
    if unknown:
        raise BuildError(
            f'there is no output called "{unknown[0]}"', where=where, todo=f"There are: {', '.join(WRITERS)}."
        )


def _chapters(asked: str | None, otherwise: str | int) -> str | int:
    if asked is None:
        return otherwise
    if asked.isascii() and asked.isdigit() and int(asked) > 0:
        return int(asked)
    if asked not in {"few", "some", "many"}:
        raise BuildError(
            f'"{asked}" is no number of chapters',
            where="--chapters",
            todo="Allowed: few, some, many, or a number.",
        )
    return asked
