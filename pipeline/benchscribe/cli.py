"""The commands, one short function each. What is heavy is imported when a command is called, so that `--help` is quick."""

from __future__ import annotations

import contextlib
import io
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from benchscribe import __version__
from benchscribe.errors import BenchscribeError

if TYPE_CHECKING:
    from collections.abc import Iterable

FOLDER = click.Path(path_type=Path, file_okay=False)
FILE = click.Path(path_type=Path, dir_okay=False)
UNITS = click.Choice(["inch", "mm"])


WELCOME = """Write what goes out with a build video: chapters, show notes, captions, a guide, and the corrections.

\b
benchscribe demo            see it at work on a finished example
benchscribe start DIR       lay out a build of your own
benchscribe check DIR       see what is read of its part list, before anything runs
benchscribe write EPISODE   do the work for one episode folder
benchscribe findings EPISODE   list, explain and settle what was found
benchscribe review EPISODE  hear it and settle it on a page in your browser
"""


@click.group(help=WELCOME, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="benchscribe")
def cli() -> None:
    """Give the commands; what they are for stands in `WELCOME`."""


@cli.command()
@click.argument("folder", type=FOLDER, metavar="DIR")
def start(folder: Path) -> None:
    """Lay out a new build: build.toml, parts.csv and a first episode folder."""
    from benchscribe.build import start_build
    from benchscribe.show import list_started

    home = Path(__file__).parent / "templates" / "start"
    text = {
        name: (home / name).read_text(encoding="utf-8")
        for name in ("build.toml", "parts.csv", "episode.toml")
    }
    text["episodes/01-first/episode.toml"] = text.pop("episode.toml")
    list_started(folder, start_build(folder, text))


@cli.command()
@click.argument("episodes", nargs=-1, type=FOLDER, metavar="EPISODE_DIR...")
@click.option(
    "--transcript", type=FILE, help="Captions (.vtt, .srt) or notes (.md, .txt) instead of an episode folder."
)
@click.option("--parts", type=FILE, help="The part list that goes with --transcript.")
@click.option("--out", type=FOLDER, help="Where to write; an episode folder's own out/ unless given.")
@click.option(
    "--units", type=UNITS, help="What a size without a unit means; inferred from the part list unless given."
)
@click.option("--model", help='Speech model: "base", "tiny" for drafts, another size by name, or a folder.')
@click.option(
    "--device",
    type=click.Choice(["auto", "cpu", "cuda"]),
    default="auto",
    show_default=True,
    help="Where to run it.",
)
@click.option("--chapters", metavar="few|some|many|N", help="How many chapters.")
@click.option("--only", metavar="NAME,...", help="Write only these outputs (see below).")
@click.option("--except", "exclude", metavar="NAME,...", help="Write all outputs but these.")
@click.option("--date", metavar="DATE", help="Date of the guide, as it is printed; else the episode's own.")
@click.option("--quiet", is_flag=True, help="No progress and no summary; errors still show.")
def write(episodes: tuple[Path, ...], **options: Any) -> None:  # noqa: ANN401 - click hands over what it parsed
    """Write everything that goes out with an episode.

    Outputs: record, show-notes, description, chapters, captions, guide, twin, corrections, review, cutlist, overlays, embedded
    (chapters inside a copy of the published cut, which is left as it is; of a cut over 1 GB only where it is named).
    """
    from benchscribe.main_job import write_episodes, write_transcript

    chosen = {name: options.pop(name) for name in ("transcript", "parts")}
    if chosen["transcript"] and episodes:
        raise click.UsageError("give either episode folders or --transcript, not both")
    if chosen["transcript"]:
        if not options["out"]:
            raise click.UsageError("--transcript needs --out DIR, the folder to write into")
        write_transcript(chosen["transcript"], chosen["parts"], options)
    elif chosen["parts"]:
        raise click.UsageError(
            "--parts goes with --transcript; an episode folder's part list is named in build.toml"
        )
    elif episodes:
        write_episodes(episodes, options)
    else:
        raise click.UsageError("name an episode folder, or give --transcript FILE --out DIR")


@cli.command()
@click.argument("folder", type=FOLDER, default="benchscribe-demo", metavar="[DIR]")
@click.option("--model", help='Speech model: "base", or "tiny" for drafts.')
def demo(folder: Path, model: str | None) -> None:
    """Copy the demo build to DIR and do the main job on it."""
    from benchscribe.main_job import copy_demo, write_episodes

    write_episodes(copy_demo(folder), {"model": model})


@cli.command()
@click.argument("folder", type=FOLDER, default=".", metavar="[DIR]")
def check(folder: Path) -> None:
    """Say what is installed, what would be used, and what is wrong with a build before anything runs."""
    from benchscribe.inspect import check_build, check_machine

    check_machine()
    if not check_build(folder):
        sys.exit(1)


@cli.command()
@click.argument("file", type=click.File(encoding="utf-8", errors="replace"), default="-", metavar="[FILE|-]")
@click.option(
    "--lines",
    is_flag=True,
    help='Read JSON lines {"text","units"}, answer JSON lines {"measures": [[value, unit], ...]}.',
)
@click.option(
    "--units", type=UNITS, default="inch", show_default=True, help="What a size without a unit means."
)
def measures(file: Iterable[str], lines: bool, units: Literal["inch", "mm"]) -> None:
    """Read every size in a text."""
    if lines:
        from benchscribe.measures.lines import answer_lines

        for answer in answer_lines(file):
            click.echo(answer)
        return
    from benchscribe.show import table_of_measures

    table_of_measures(file, units)


@cli.command()
@click.argument("episode", type=FOLDER, metavar="EPISODE_DIR")
@click.option("--why", type=int, metavar="N", help="Explain finding N: the evidence and the runners-up.")
@click.option(
    "--accept",
    type=int,
    metavar="N",
    help="Finding N is true, and goes out: for a slip, you misspoke and the listed size is right; for plan-wrong, the plan is "
    "wrong and the said size is right.",
)
@click.option(
    "--dismiss",
    type=int,
    metavar="N",
    help="Finding N is not true: nothing goes out, and the listed size stands.",
)
@click.option(
    "--amend",
    type=int,
    metavar="N",
    help="Finding N is true but for its size, part or dimension: it goes out with the --value, --part or --dimension that you give.",
)
@click.option("--value", help='With --amend: the right size, in any form ("2 5/8", "66.5 mm").')
@click.option("--part", help="With --amend: the right part.")
@click.option("--dimension", help="With --amend: the right dimension.")
@click.option("--note", default="", help="A note for the viewers.")
def findings(episode: Path, **options: Any) -> None:  # noqa: ANN401 - click hands over what it parsed
    """List an episode's findings, explain one, or settle one.

    A finding says that something is not as it should be. Accept it where that is true, dismiss it where it is not, amend it where
    something is wrong but the finding has it wrong too. The answer is kept in decisions.toml, and the episode's files are written again.
    """
    from benchscribe.settle import run_findings

    run_findings(episode, options)


@cli.command()
@click.argument("episode", type=FOLDER, metavar="EPISODE_DIR")
@click.option("--no-browser", is_flag=True, help="Only print the address; open it yourself.")
def review(episode: Path, no_browser: bool) -> None:
    """Hear and settle an episode on a page of this machine's own.

    The page shows what was found, plays each moment, takes your answers, and keeps them in decisions.toml as you give them. Nothing
    leaves this machine. Ctrl-C closes it.
    """
    from benchscribe.desk import review as open_desk

    open_desk(episode, browser=not no_browser, say=click.echo)


def main(arguments: list[str] | None = None) -> None:
    """Run the command line; every error that a user can cause is one sentence and status 1."""
    _show_anyhow()
    try:
        cli.main(args=arguments, prog_name="benchscribe", standalone_mode=False)
    except click.exceptions.Exit as stop:
        sys.exit(stop.exit_code)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except BenchscribeError as error:
        from benchscribe.show import harmless

        click.echo(f"benchscribe: {harmless(str(error))}", err=True)
        sys.exit(1)
    except (KeyboardInterrupt, click.Abort):
        click.echo("\nStopped. What was listened to so far is kept; run the same command to go on.", err=True)
        sys.exit(130)
    except MemoryError:
        click.echo(
            "benchscribe: there is not enough memory for this. Close other programs, or take a smaller model.",
            err=True,
        )
        sys.exit(1)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        click.echo(f"benchscribe: {where}{error.strerror or error}.", err=True)
        _drop_output()
        sys.exit(1)


def _show_anyhow() -> None:
    """Print a sign that the terminal has no letter for as "?", instead of stopping over it."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")


def _drop_output() -> None:
    """Let go of what could not be printed, so that leaving does not try again and fail with a trace."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


if __name__ == "__main__":
    main()
