"""`benchscribe findings`: list an episode's findings, explain one, settle one, from the terminal."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from benchscribe.build import OUT, find_build
from benchscribe.errors import BuildError
from benchscribe.records import EpisodeRecord, Finding, from_json
from benchscribe.show import PUBLISHED, console, line_of, quantity, when

ANSWERS = ("accept", "dismiss", "amend")


def run_findings(episode: Path, options: Mapping[str, Any]) -> None:
    """List the findings, or explain or settle the one that an option names.

    Raises:
        BuildError: The episode has not been written yet, or there is no such finding.
    """
    record = _read_record(episode)
    findings = tuple(f for f in record.findings if f.right is not True)
    asked = [name for name in ANSWERS if options.get(name) is not None]
    if len(asked) > 1:
        raise BuildError(
            "settle one finding one way at a time", where=" ".join(f"--{name}" for name in asked)
        )
    if options.get("why") is not None:
        _explain(_nth(findings, options["why"]), record)
    elif asked:
        _settle(episode, record, _nth(findings, options[asked[0]]), asked[0], options)
    else:
        _list(findings, record)


def _read_record(episode: Path) -> EpisodeRecord:
    path = episode / OUT / "record.json"
    try:
        return from_json(path.read_bytes())
    except FileNotFoundError:
        raise BuildError(
            "this episode has not been written yet",
            where=str(episode),
            todo=f"Run: benchscribe write {episode}",
        ) from None
    except ValueError as error:
        raise BuildError(
            str(error), where=str(path), todo=f"Write it again: benchscribe write {episode}"
        ) from error


def _nth(findings: tuple[Finding, ...], number: int) -> Finding:
    if not 1 <= number <= len(findings):
        raise BuildError(
            f"there is no finding {number}",
            todo=f"There are {len(findings)}; list them with: benchscribe findings EPISODE_DIR",
        )
    return findings[number - 1]


def _list(findings: tuple[Finding, ...], record: EpisodeRecord) -> None:
    from rich.markup import escape

    screen = console()
    if record.coverage and record.coverage.listed:
        screen.print(record.coverage.sentence())
    if not findings:
        screen.print("Nothing to settle.")
    settled = sum(f.status != "open" for f in findings)
    for number, finding in enumerate(findings, 1):
        state = "goes out" if finding.status in PUBLISHED else finding.status
        screen.print(
            f"{escape(line_of(finding, number, files=record.transcript.files))} [dim]({state})[/dim]"
        )
    if findings:
        screen.print(
            f"\n{settled} of {len(findings)} settled. --why N explains one; --accept N, --dismiss N, --amend N settle it."
        )


def _explain(finding: Finding, record: EpisodeRecord) -> None:
    from rich.markup import escape

    screen = console()
    files = record.transcript.files
    screen.print(escape(line_of(finding, files=files)))
    rows = [
        (
            "heard",
            f'{when(finding, files)}: "{finding.sentence}"'
            if finding.start_s is not None
            else f'"{finding.sentence}"',
        ),
        ("kind", finding.kind),
        ("how sure", f"{finding.confidence:.0%}"),
        ("do", finding.advice),
        (
            "probably right",
            f"{quantity(finding.probably_right)}: {finding.probably_why}" if finding.probably_right else "",
        ),
        ("changes too", ", ".join(finding.drags_along)),
        *(("evidence", text) for text in finding.evidence),
        *(
            ("or else", f"{r.part or 'no part'}, {r.dimension or 'no dimension'} ({r.confidence:.0%})")
            for r in finding.runners_up
        ),
    ]
    for name, text in rows:
        if text:
            screen.print(f"  [bold]{name:<15}[/bold]{escape(text)}")


def _settle(
    episode: Path, record: EpisodeRecord, finding: Finding, answer: str, options: Mapping[str, Any]
) -> None:
    from benchscribe.decisions import record_decision
    from benchscribe.main_job import write_episodes
    from benchscribe.measures import read_size

    value = unit = None
    if options.get("value"):
        readings = read_size(options["value"], units=record.info.units)
        if len(readings) != 1:
            raise BuildError(
                f'"{options["value"]}" is not one size',
                where="--value",
                todo="Write it like 2 5/8, 2 5/8 in or 66.5 mm.",
            )
        value, unit = readings[0].value, readings[0].unit
    if answer == "amend" and not (options.get("value") or options.get("part") or options.get("dimension")):
        raise BuildError("--amend needs a --value, a --part or a --dimension")
    record_decision(
        episode / "decisions.toml", finding, answer,
        value=value, unit=unit, part=options.get("part"), dimension=options.get("dimension"), note=options.get("note") or "",
    )  # fmt: skip
    console().print(f"Kept in {episode / 'decisions.toml'}.", markup=False)
    if find_build(episode):
        write_episodes((episode,), {"quiet": True})
        console().print("The episode's files are written again.")
