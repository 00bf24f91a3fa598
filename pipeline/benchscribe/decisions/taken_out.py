"""What becomes of cautions and promises that were said in a take, and that the edit took out of the cut."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import structs

from benchscribe.decisions.anchors import NEAR_S, SAME_SENTENCE, likeness
from benchscribe.decisions.keep import change_decisions, put_table
from benchscribe.decisions.tables import Decisions, TakenOut, load_decisions
from benchscribe.errors import BuildError
from benchscribe.records import EpisodeRecord, NotInCut, Promise

if TYPE_CHECKING:
    from tomlkit import TOMLDocument

ANSWERS: Final = {"accept": "notes", "dismiss": "leave"}
"""What the answers of the findings mean here."""


def apply_taken_out(record: EpisodeRecord, decisions: Decisions) -> EpisodeRecord:
    """Give what the edit took out the maker's answers: what goes into the notes after all, and what stays out.

    An answer about something that is in the cut again, or in a run without a cut, waits; it is not orphaned.
    """
    if not decisions.taken_out or not record.not_in_cut:
        return record
    items = tuple(_answered(item, decisions.taken_out) for item in record.not_in_cut)
    promises = tuple(
        Promise(span=(0, 0), text=item.text)
        for item in items
        if item.kind == "promise" and item.answer == "notes"
    )
    return structs.replace(record, not_in_cut=items, promises=(*record.promises, *promises))


def record_taken_out(path: Path, item: NotInCut, answer: str) -> None:
    """Write an answer down, in the place of an earlier one about the same thing.

    Args:
        path: `decisions.toml` of the episode; made where it is not there.
        item: As it stands in the record: a caution or a promise. A correction is answered as the finding that it is.
        answer: accept (it goes into the notes) or dismiss (it stays out).

    Raises:
        BuildError: There is no such answer, or the file cannot be read or written.
    """
    if answer not in ANSWERS:
        raise BuildError(
            "what was taken out is put in the notes or left out", where=f"--{answer}", todo="Use --accept or --dismiss."
        )  # fmt: skip
    known = load_decisions(path)
    change_decisions(path, lambda document: put_taken_out(document, known, item, ANSWERS[answer]))


def put_taken_out(document: TOMLDocument, known: Decisions, item: NotInCut, answer: str) -> None:
    """Put an answer about something that was taken out into the document, in the place of an earlier one.

    Args:
        document: Of `decisions.toml`.
        known: What it holds.
        item: As it stands in the record.
        answer: notes or leave.
    """
    row = next((n for n, change in enumerate(known.taken_out) if _fits(change, item)), None)
    entry = {
        "kind": item.kind,
        "answer": answer,
        "sentence": item.text,
        "file": item.file,
        "at": item.at_s,
    }
    put_table(document, "taken_out", entry, row=row)


def _answered(item: NotInCut, changes: Sequence[TakenOut]) -> NotInCut:
    change = next((change for change in changes if _fits(change, item)), None)
    return item if change is None else structs.replace(item, answer=change.answer)


def _fits(change: TakenOut, item: NotInCut) -> bool:
    """Tell whether an answer is about this: like words, and where both have a time in the same take, near it."""
    if change.kind != item.kind:
        return False
    same = change.sentence == item.text or likeness(change.sentence, item.text) >= SAME_SENTENCE
    if change.file == (item.file or "") and change.at is not None and item.at_s is not None:
        return same and abs(change.at - item.at_s) <= NEAR_S
    return same
