"""`benchscribe findings`: list an episode's findings, explain one, settle one, from the terminal."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any, get_args

from benchscribe.build import OUT, find_build, list_episodes
from benchscribe.errors import BuildError
from benchscribe.records import Dimension, EpisodeRecord, Finding, from_json
from benchscribe.show import PUBLISHED, console, line_of, quantity, when
from benchscribe.units import ANGLE
from benchscribe.writers.review import numbered

ANSWERS = ("accept", "dismiss", "amend")
CHANGES = ("value", "part", "dimension")
_THEN = {
    "plan-wrong": "the plan is wrong, and what you said is right",
    "changed": "you built it otherwise by choice: your size goes out beside the plan's",
    "supplied": "the plan gives no size, and yours is right",
    "derived": "the sum you gave is wrong, and the one worked out here is right",
    "slip": "you misspoke, and the listed size is right",
    "count": "the number you said is right",
    "impossible": "the size cannot be as it is said or listed",
    "contradiction": "you said two sizes for the same thing",
}
"""What is true once a finding of the kind is accepted."""
_WORTH_NAMING = 0.05
"""A runner-up less likely than one in twenty tells the maker nothing."""


def run_findings(episode: Path, options: Mapping[str, Any]) -> None:
    """List the findings, or explain or settle the one that an option names.

    Raises:
        BuildError: The episode has not been written yet, or there is no such finding.
    """
    asked = [name for name in ANSWERS if options.get(name) is not None]
    _check_options(asked, options)
    record = _read_record(episode)
    findings = numbered(record)
    if options.get("why") is not None:
        _explain(_nth(findings, options["why"]), record)
    elif asked:
        _settle(episode, record, _nth(findings, options[asked[0]]), asked[0], options)
    else:
        _list(findings, record)


def _check_options(asked: list[str], options: Mapping[str, Any]) -> None:
    """Refuse options that would be passed over in silence."""
    if len(asked) > 1 or (asked and options.get("why") is not None):
        both = [*asked, *(["why"] if options.get("why") is not None else [])]
        raise BuildError("settle one finding one way at a time", where=" ".join(f"--{name}" for name in both))
    given = [name for name in CHANGES if options.get(name) is not None]
    if given and asked != ["amend"]:
        raise BuildError(
            f"--{given[0]} goes with --amend N", todo="--accept and --dismiss take only a --note."
        )
    if options.get("note") and not asked:
        raise BuildError("--note goes with --accept N, --dismiss N or --amend N")
    if asked == ["amend"] and not any(options.get(name) for name in CHANGES):
        raise BuildError("--amend needs a --value, a --part or a --dimension")


def _read_record(episode: Path) -> EpisodeRecord:
    path = episode / OUT / "record.json"
    try:
        return from_json(path.read_bytes())
    except FileNotFoundError:
        raise _not_written(episode) from None
    except OSError as error:
        raise BuildError(f"cannot be read ({error.strerror})", where=str(path)) from error
    except ValueError as error:
        raise BuildError(
            str(error), where=str(path), todo=f"Write it again: benchscribe write {episode}"
        ) from error


def _not_written(episode: Path) -> BuildError:
    """Say why there is no record: no such folder, a build instead of an episode, or an episode without a run."""
    if not episode.is_dir():
        return BuildError("there is no such episode folder", where=str(episode))
    if (episode / "build.toml").exists():
        names = ", ".join(str(folder) for folder in list_episodes(episode)) or "none yet"
        return BuildError(
            "this is a build; findings are listed one episode at a time",
            where=str(episode),
            todo=f"Its episodes: {names}.",
        )
    return BuildError(
        "this episode has not been written yet", where=str(episode), todo=f"Run: benchscribe write {episode}"
    )


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
            f"\n{settled} of {len(findings)} settled. --why N explains one. To settle it: --accept N (it is true), --dismiss N (it is not), "
            '--amend N --value "2 5/8" (something else is right).'
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
        ("accept if", _THEN[finding.kind] if finding.status == "open" else ""),
        *(("evidence", text) for text in finding.evidence),
        *(
            ("or else", f"{r.part or 'no part'}, {r.dimension or 'no dimension'} ({r.confidence:.0%})")
            for r in finding.runners_up
            if r.confidence >= _WORTH_NAMING
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

    value, unit = _new_value(options["value"], finding, record) if options.get("value") else (None, None)
    part, dimension = _new_place(options, record)
    record_decision(
        episode / "decisions.toml", finding, answer,
        value=value, unit=unit, part=part, dimension=dimension, note=options.get("note") or "",
    )  # fmt: skip
    console().print(f"Kept in {episode / 'decisions.toml'}.", markup=False)
    if find_build(episode):
        write_episodes((episode,), {"quiet": True})
        console().print("The episode's files are written again.")


def _new_value(text: str, finding: Finding, record: EpisodeRecord) -> tuple[Fraction, str]:
    """Read the size of an amended finding: one size, of the same kind as the one that it stands in for.

    Raises:
        BuildError: No size, several, one below nothing, or an angle where a length is wanted.
    """
    from benchscribe.measures import read_size

    other = finding.spoken or finding.listed
    if other is not None and other.unit == "count":
        if text.strip().isascii() and text.strip().isdigit() and int(text) > 0:
            return Fraction(int(text)), "count"
        raise BuildError(f'"{text}" is not a number of pieces', where="--value", todo="Write it like 4.")
    readings = read_size(text, units=record.info.units)
    if len(readings) != 1 or text.strip().startswith(("-", "−")):
        raise BuildError(
            f'"{text}" is not one size',
            where="--value",
            todo="Write it like 2 5/8, 2 5/8 in or 66.5 mm.",
        )
    value, unit = readings[0].value, readings[0].unit
    angle = other is not None and other.unit == ANGLE
    if angle and unit != ANGLE and not readings[0].unit_said:
        unit = ANGLE  # "22.5" in answer to an angle
    if other is not None and (unit == ANGLE) != angle:
        what = ("a length", "an angle") if angle else ("an angle", "a length")
        raise BuildError(f'"{text}" is {what[0]}, and this finding is about {what[1]}', where="--value")
    return value, unit


def _new_place(options: Mapping[str, Any], record: EpisodeRecord) -> tuple[str | None, str | None]:
    """Give the part, as the list spells it, and the dimension of an amended finding.

    Raises:
        BuildError: The list has no such part, or there is no such dimension.
    """
    part, dimension = options.get("part"), options.get("dimension")
    if part:
        names = [p.name for p in record.part_list.parts] if record.part_list else []
        spelled = [name for name in names if name.casefold() == part.strip().casefold()]
        if names and not spelled:
            close = difflib.get_close_matches(part, names, n=1)
            raise BuildError(
                f'there is no part "{part}" in the list',
                where="--part",
                todo=f'Did you mean "{close[0]}"?' if close else "`benchscribe check` lists the parts.",
            )
        part = spelled[0] if spelled else part.strip()
    if dimension and dimension not in get_args(Dimension):
        raise BuildError(
            f'"{dimension}" is no dimension',
            where="--dimension",
            todo=f"Use one of: {', '.join(get_args(Dimension))}.",
        )
    return part, dimension
