"""Writes decisions down: one program at a time, the whole file or nothing, comments kept."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Unpack

from benchscribe.decisions.findings import fit
from benchscribe.decisions.tables import ANSWERS, Change, Decision, load_decisions, read_decisions
from benchscribe.errors import BuildError
from benchscribe.records import Finding
from benchscribe.whole import put_whole

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

HEADER: Final = """\
# What you have settled about this episode. Written by `benchscribe findings` and the review page; yours to edit.
# A decision answers a finding: answer is accept, dismiss or amend; note goes out to the viewers with it, unless it is dismissed.
# The other tables are your changes to chapters, words, tools, materials, cautions, steps and pictures, what is off the record, and
# what becomes of cautions and promises that the edit took out (taken_out).
# sentence, file, at (seconds in the file) and start say which moment of the talk is meant.

"""
_NEW: Final = ("new_kind", "new_value", "new_unit", "new_part", "new_dimension")
_SURE: Final = 4.0
"""Score from which a decision is about the same part, dimension and value."""


class DecisionsChangedError(BuildError):
    """The file is not as it was when somebody began to answer."""


def digest_of(path: Path) -> str:
    """Give the sum of the file's bytes, by which a change is noticed; that of an empty file where there is none."""
    try:
        return digest(path.read_bytes())
    except FileNotFoundError:
        return digest(b"")
    except OSError as error:
        raise BuildError(f"cannot be read: {error.strerror}", where=str(path)) from error


def digest(data: bytes) -> str:
    """Give a short sum of bytes."""
    return hashlib.sha256(data).hexdigest()[:20]


def change_decisions(
    path: Path, edit: Callable[[TOMLDocument], TOMLDocument | None], *, expected: str | None = None
) -> tuple[str, str]:
    """Change the file in one go.

    Args:
        path: `decisions.toml` of the episode; made where it is not there.
        edit: Changes the document in place, or gives another to be written.
        expected: Sum of the file (`digest_of`) that the change was made for; None to change whatever is there.

    Returns:
        The text before and after.

    Raises:
        DecisionsChangedError: The file is another one than expected; nothing was written.
        BuildError: The file cannot be read or written, or the change would make it one that cannot be read.
    """
    import tomlkit

    with alone(path.parent):
        before = path.read_bytes() if path.exists() else b""
        if expected is not None and digest(before) != expected:
            raise DecisionsChangedError("the decisions were changed meanwhile", where=str(path))
        read_decisions(before, str(path))
        document = tomlkit.parse(before.decode("utf-8") or HEADER)
        changed = edit(document)  # one without any table is not "nothing", though it is false
        after = _spaced(tomlkit.dumps(document if changed is None else changed))
        read_decisions(after.encode(), str(path))
        write_whole(path, after)
    return before.decode("utf-8"), after


def _spaced(text: str) -> str:
    """Put a blank line before each table, for the eye; the text stays as it is where that would change what it says."""
    spaced = re.sub(r"(?m)^(?!#)(.+)\n(?=\[\[)", r"\1\n\n", text)
    return spaced if tomllib.loads(spaced) == tomllib.loads(text) else text


def put_table(document: TOMLDocument, name: str, entry: Mapping[str, Any], *, row: int | None = None) -> None:
    """Add a table to an array of tables, or write a row of it anew; keys that are empty are left out, comments stay.

    Args:
        document: Of `decisions.toml`.
        name: "decision", "chapter" and so on.
        entry: Keys and values; None and empty texts are not written.
        row: Number of the table to write anew; None to add one.
    """
    import tomlkit

    filled = {key: value for key, value in entry.items() if value is not None and value != ""}
    if row is None:
        table = tomlkit.table()
        table.update(filled)
        if name not in document:
            document[name] = tomlkit.aot()
        document[name].append(table)
        return
    table = document[name][row]
    for key in [key for key in table if key not in filled and key in entry]:
        table.remove(key)
    table.update(filled)


def drop_table(document: TOMLDocument, name: str, row: int) -> TOMLDocument:
    """Give the document without one table of an array; a comment that stands before the next table stays.

    To the parser such a comment is the end of the table before it, so the table is taken out of the text.
    """
    import tomlkit

    wanted = document.unwrap()
    wanted[name] = [table for number, table in enumerate(wanted[name]) if number != row]
    wanted = {key: value for key, value in wanted.items() if value}
    lines = tomlkit.dumps(document).splitlines(keepends=True)
    heads = [n for n, line in enumerate(lines) if re.match(r"\s*\[", line)]
    mine = [n for n in heads if re.match(rf"\s*\[\[\s*{re.escape(name)}\s*\]\]", lines[n])]
    if row < len(mine):
        begin = mine[row]
        end = next((n for n in heads if n > begin), len(lines))
        while end - 1 > begin and re.match(r"\s*(#.*)?$", lines[end - 1]):
            end -= 1
        text = "".join(lines[:begin] + lines[end:])
        with contextlib.suppress(tomlkit.exceptions.ParseError):
            without = tomlkit.parse(text)
            if without.unwrap() == wanted:
                return without
    tables: Any = document[name]
    del tables[row]
    if not tables:
        document.remove(name)
    return document


def record_decision(path: Path, finding: Finding, answer: str, **change: Unpack[Change]) -> None:
    """Write a decision down, in the place of an earlier one about the same finding; comments are kept.

    Args:
        path: `decisions.toml` of the episode; made where it is not there.
        finding: As it stands in the record.
        answer: accept, dismiss or amend.
        **change: For `amend`, what it should say: value and unit, part, dimension. Another kind goes with accept and amend, a note with
            any answer.

    Raises:
        BuildError: The answer is none of the three, or the file cannot be read or written.
    """
    if answer not in ANSWERS:
        raise BuildError(f'"{answer}" is no answer', todo=f"Answer with one of: {', '.join(ANSWERS)}.")
    load_decisions(path)
    change_decisions(path, lambda document: put_decision(document, finding, answer, change))


def put_decision(document: TOMLDocument, finding: Finding, answer: str, change: Change) -> None:
    """Put an answer into the document, in the place of an earlier one about the same finding."""
    entry = {**_answer(finding, answer, change), **_anchor(finding)}
    old = row_of(document, finding)
    if old is not None and finding.status in ("amended", "accepted"):
        # What the record says of a settled finding is the answer; the table holds what was said.
        entry = {**_answer(finding, answer, change), **{key: "" for key in _NEW if key not in entry}}
        entry = {key: value for key, value in entry.items() if key in ("answer", "note", *_NEW)}
    put_table(document, "decision", entry, row=old)


def forget_decision(document: TOMLDocument, finding: Finding) -> TOMLDocument:
    """Take the answer to a finding back."""
    row = row_of(document, finding)
    return document if row is None else drop_table(document, "decision", row)


def row_of(document: TOMLDocument, finding: Finding) -> int | None:
    """Give the number of the decision about a finding; None where there is none."""
    known = read_decisions(_text(document), "decisions.toml").decision
    same = [n for n, d in enumerate(known) if d.id and d.id == finding.id]
    return same[0] if same else next((n for n, d in enumerate(known) if _about(d, finding)), None)


def _text(document: TOMLDocument) -> bytes:
    import tomlkit

    return tomlkit.dumps(document).encode()


def _about(decision: Decision, finding: Finding) -> bool:
    return fit(decision, finding) >= _SURE


def _answer(finding: Finding, answer: str, change: Change) -> dict[str, Any]:
    value, kind = change.get("value"), change.get("kind")
    return {
        "answer": answer,
        "note": change.get("note") or "",
        "new_kind": kind if kind and kind != finding.kind else "",
        "new_value": "" if value is None else str(value),
        "new_unit": (change.get("unit") or "") if value is not None else "",
        "new_part": change.get("part") or "",
        "new_dimension": change.get("dimension") or "",
    }


def _anchor(finding: Finding) -> dict[str, Any]:
    return {
        "kind": finding.kind,
        "part": finding.part or "",
        "dimension": finding.dimension or "",
        "said": finding.spoken.words if finding.spoken else "",
        "value": str(finding.spoken.value) if finding.spoken else "",
        "unit": finding.spoken.unit if finding.spoken else "",
        "sentence": finding.sentence,
        "file": finding.file or "",
        "at": finding.at_s,
        "start": finding.start_s,
        "id": finding.id,
    }


@contextlib.contextmanager
def alone(folder: Path) -> Iterator[None]:
    """Let one program at a time answer: two terminals, or a terminal and a page, would each lose what the other wrote."""
    try:
        import fcntl
    except ImportError:  # no such lock on this system
        yield
        return
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError as error:
        raise BuildError(f"cannot be opened: {error.strerror}", where=str(folder)) from error
    try:
        with contextlib.suppress(OSError):  # a shared disk may know no locks
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def write_whole(path: Path, text: str) -> None:
    """Write the file so that it is whole or as it was."""
    try:
        put_whole(path, text.encode(), wait=True)
    except OSError as error:
        raise BuildError(f"cannot be written: {error.strerror}", where=str(path)) from error
