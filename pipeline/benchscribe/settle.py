"""`benchscribe findings`: list an episode's findings, explain one, settle one, from the terminal."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from benchscribe.build import OUT, find_build, list_episodes
from benchscribe.errors import BuildError
from benchscribe.records import PUBLISHED, EpisodeRecord, Finding, NotInCut, SourceFile, from_json
from benchscribe.show import clock, console, line_of, quantity, when
from benchscribe.writers.review import ANSWERED, numbered, taken_out

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
_LISTEN = re.compile(r"listen at \d+(?::\d\d)+")
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
    elif asked and (item := _taken_out(record, options[asked[0]])) is not None:
        _settle_taken_out(episode, item, asked[0], options)
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
            todo=f"There are {len(findings)}; the same command without a number lists them.",
        )
    return findings[number - 1]


def _list(findings: tuple[Finding, ...], record: EpisodeRecord) -> None:
    from rich.markup import escape

    screen = console()
    if record.coverage and record.coverage.listed:
        screen.print(record.coverage.sentence())
    taken = taken_out(record)
    if not findings and not taken:
        screen.print("Nothing to settle.")
    asked_about = {item.finding for item in record.not_in_cut}
    settled = sum(item.status != "open" for item in findings) + sum(item.answer != "open" for item in taken)
    for number, finding in enumerate(findings, 1):
        state = "goes out" if finding.status in PUBLISHED else finding.status
        line = line_of(finding, number, files=record.transcript.files)
        asked = f" {finding.advice}" if finding.id in asked_about and finding.status == "open" else ""
        screen.print(f"{escape(line + asked)} [dim]({state})[/dim]")
    for number, item in enumerate(taken, len(findings) + 1):
        where = f"{item.file} {clock(item.at_s)}: " if item.file else ""
        question = "" if item.answer != "open" else " (not in the cut: put it in the notes?)"
        screen.print(
            f"{number:>3}  {item.kind}, {escape(where + item.text)}{question}{ANSWERED[item.answer]}"
        )
    if findings or taken:
        screen.print(
            f"\n{settled} of {len(findings) + len(taken)} settled. --why N explains one. To settle it: --accept N (it is true), --dismiss N (it is not), "
            '--amend N --value "2 5/8" (something else is right).'
        )


def _evidence(text: str) -> tuple[str, str]:
    """Give one piece of evidence a plain label: why the size belongs there, which words declared it."""
    for begins, label in (("placed: ", "belongs there"), ("declared: ", "you said"), ("sum: ", "the sum")):
        if text.startswith(begins):
            return label, text.removeprefix(begins)
    return "evidence", text


def _advice(finding: Finding, files: Sequence[SourceFile]) -> str:
    """Say what to do, with the time as it is shown above: of the take's own where there are several."""
    return _LISTEN.sub(f"listen at {when(finding, files)}", finding.advice)


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
        ("do", _advice(finding, files)),
        (
            "probably right",
            f"{quantity(finding.probably_right)}: {finding.probably_why}" if finding.probably_right else "",
        ),
        ("changes too", ", ".join(finding.drags_along)),
        ("accept if", _THEN[finding.kind] if finding.status == "open" else ""),
        *(_evidence(text) for text in finding.evidence),
        *(
            ("or else", f"{r.part or 'no part'}, {r.dimension or 'no dimension'} ({r.confidence:.0%})")
            for r in finding.runners_up
            if r.confidence >= _WORTH_NAMING
        ),
    ]
    for name, text in rows:
        if text:
            screen.print(f"  [bold]{name:<15}[/bold]{escape(text)}")


def _taken_out(record: EpisodeRecord, number: int) -> NotInCut | None:
    """Give the caution or promise of that number that the edit took out; None where it is a finding's number, or nothing's."""
    at = number - len(numbered(record)) - 1
    items = taken_out(record)
    return items[at] if 0 <= at < len(items) else None


def _settle_taken_out(episode: Path, item: NotInCut, answer: str, options: Mapping[str, Any]) -> None:
    from benchscribe.decisions import record_taken_out

    if options.get("note"):
        raise BuildError(
            "--note goes with a finding; this goes into the notes in your own words", where="--note"
        )
    record_taken_out(episode / "decisions.toml", item, answer)
    _written_again(episode)


def _settle(
    episode: Path, record: EpisodeRecord, finding: Finding, answer: str, options: Mapping[str, Any]
) -> None:
    from benchscribe.decisions import record_decision, typed_dimension, typed_part, typed_value

    value, unit, part, dimension = None, None, options.get("part"), options.get("dimension")
    if options.get("value"):
        value, unit = typed_value(options["value"], finding, record.info.units, where="--value")
    part = typed_part(part, record.part_list, where="--part") if part else None
    dimension = typed_dimension(dimension, where="--dimension") if dimension else None
    record_decision(
        episode / "decisions.toml", finding, answer,
        value=value, unit=unit, part=part, dimension=dimension, note=options.get("note") or "",
    )  # fmt: skip
    _written_again(episode)


def _written_again(episode: Path) -> None:
    from benchscribe.main_job import write_episodes

    console().print(f"Kept in {episode / 'decisions.toml'}.", markup=False)
    if find_build(episode):
        write_episodes((episode,), {"quiet": True})
        console().print("The episode's files are written again.")
