"""The whole result for one episode: `record.json`, read, written and described."""

from __future__ import annotations

from fractions import Fraction
from typing import Any, Literal

import msgspec
from msgspec import Struct

from benchscribe.records.findings import Coverage, Finding
from benchscribe.records.guide import Chapter, CutRow, GuideVersion, ListedName, Step, StockRow
from benchscribe.records.mentions import Hazard, InHand, Mention, Mistake, Promise, Repair
from benchscribe.records.plan import PartList
from benchscribe.records.sizes import Measure, TradeNumber
from benchscribe.records.talk import Transcript
from benchscribe.records.timed import Timed

SCHEMA_VERSION = 1
"""Grows with every change that an older program could not read."""


class EpisodeInfo(Struct, frozen=True, kw_only=True):
    """What `build.toml` and `episode.toml` say."""

    build_title: str = ""
    title: str = ""
    number: int | None = None
    date: str = ""
    link: str = ""
    """Address pattern with {seconds}; empty where the video has no address yet."""
    before: str = ""
    """The maker's own text that stands before the description, verbatim."""
    after: str = ""
    plan: Literal["private", "own"] = "private"
    plan_name: str = ""
    edition: str = ""
    units: Literal["inch", "mm"] = "inch"
    units_why: str = ""


class CutPiece(Struct, frozen=True, kw_only=True):
    """A stretch of the published cut, and the stretch of a take that it comes out of."""

    cut_from_s: float
    cut_to_s: float
    take_from_s: float | None = None
    """Running time of the takes; None for an insert that is in no take."""
    take_to_s: float | None = None
    file: str | None = None
    """The take that it is out of."""
    at_s: float | None = None
    """Seconds from the start of `file`."""
    confidence: float = 0.0
    """Share of the words that agree, 0 to 1; for an insert, how sure it is that no take has it."""
    by: Literal["words", "sound", "words and sound", "edit list"] = "words"
    """What tells: a piece by the sound is exact to a fiftieth of a second, one by words alone to a few tenths."""
    moved: bool = False
    """It stands in the cut before something that was said earlier."""


class NotInCut(Timed, frozen=True, kw_only=True):
    """Something that was said in a take, and that the edit took out. It has no running time; `file` and `at_s` say where to listen."""

    kind: Literal["correction", "caution", "promise"]
    text: str
    """What was said."""
    finding: str = ""
    """Id of the finding, for a correction."""
    answer: Literal["open", "notes", "leave"] = "open"
    """What the maker said to a caution or a promise: it goes into the notes, or stays out. A correction is answered as a finding."""


class EpisodeRecord(Struct, frozen=True, kw_only=True):
    """The whole result for one episode: `record.json`. Enough to write everything out again."""

    schema_version: int = SCHEMA_VERSION
    made_by: str = ""
    """Name and version of the program."""
    info: EpisodeInfo
    draft: bool
    """Times are of the takes, not of the published cut."""
    transcript: Transcript
    part_list: PartList | None
    chapters: tuple[Chapter, ...] = ()
    measures: tuple[Measure, ...] = ()
    trade_numbers: tuple[TradeNumber, ...] = ()
    mentions: tuple[Mention, ...] = ()
    repairs: tuple[Repair, ...] = ()
    in_hand: tuple[InHand, ...] = ()
    findings: tuple[Finding, ...] = ()
    """Disagreements and other things to know; right derivations have `right: true` and are confirmations."""
    coverage: Coverage | None = None
    tools: tuple[ListedName, ...] = ()
    materials: tuple[ListedName, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    promises: tuple[Promise, ...] = ()
    steps: tuple[Step, ...] = ()
    cut_list: tuple[CutRow, ...] = ()
    shopping: tuple[StockRow, ...] = ()
    orphaned_decisions: tuple[str, ...] = ()
    """Decisions that fit nothing in this run; reported, never dropped."""
    cut_pieces: tuple[CutPiece, ...] = ()
    """Where there are takes and a published cut: which is which."""
    not_in_cut: tuple[NotInCut, ...] = ()
    """Said in a take and not in the published cut; to be asked about."""
    guide: GuideVersion = GuideVersion()
    """Version, date and what changed since the one before."""


def to_json(record: EpisodeRecord) -> bytes:
    """Write a record as indented JSON, values as exact strings."""
    return msgspec.json.format(msgspec.json.encode(record, enc_hook=_encode), indent=1) + b"\n"


def from_json(data: bytes) -> EpisodeRecord:
    """Read a record back.

    Raises:
        ValueError: The data is no record, or of a version that this program does not know.
    """
    try:
        record = msgspec.json.decode(data, type=EpisodeRecord, dec_hook=_decode)
    except msgspec.MsgspecError as error:
        raise ValueError(f"this is no Benchscribe record: {error}") from error
    if record.schema_version != SCHEMA_VERSION:
        raise ValueError(
            f"record version {record.schema_version} is not known here (this program writes {SCHEMA_VERSION})"
        )
    return record


def json_schema() -> dict[str, Any]:
    """Give the JSON Schema of `record.json`, made from the records themselves."""
    schema: dict[str, Any] = msgspec.json.schema(EpisodeRecord, schema_hook=_describe)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Benchscribe episode record",
        **schema,
    }


def _encode(value: object) -> object:
    if isinstance(value, Fraction):
        return str(value)
    raise NotImplementedError(f"no JSON form for {type(value).__name__}")


def _decode(kind: type, value: object) -> object:
    if kind is Fraction and isinstance(value, str):
        try:
            return Fraction(value)
        except ZeroDivisionError:
            raise ValueError(f"{value!r} has a zero denominator") from None
    raise NotImplementedError(f"cannot read a {kind.__name__}")


def _describe(kind: type) -> dict[str, Any]:
    if kind is Fraction:
        return {
            "type": "string",
            "pattern": r"^-?\d+(/[1-9]\d*)?$",
            "description": "exact value, such as 15/4",
        }
    raise NotImplementedError(f"no schema for {kind.__name__}")
