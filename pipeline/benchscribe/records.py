"""The frozen records that pass between stages, and the shape of `record.json`.

Every stage is a pure function from records to records. Times are seconds. `start_s` is in *running time*: the files of an episode laid
end to end in their order (for one file, simply its own time). `None` means that there is no time (rough notes without marks), and no
time is ever made up. When the episode is put together, `stamp` adds the file that each time is of, and the time in that file.

Values are exact `Fraction`s and stand in JSON as strings ("15/4"). Spans are half-open indices into `Transcript.words`.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any, Literal, TypeVar

import msgspec
from msgspec import Struct, field

SCHEMA_VERSION = 1

Span = tuple[int, int]

Dimension = Literal[
    "thickness",
    "width",
    "length",
    "height",
    "depth",
    "diameter",
    "radius",
    "angle",
    "spacing",
    "setting",
    "other",
]
FIRM_DIMENSIONS: tuple[Dimension, ...] = ("thickness", "width", "length", "diameter", "radius", "angle")
"""Dimensions that a part list has columns for, and that two people name alike."""

Role = Literal[
    "finished",  # the size the part has when it is done
    "rough",  # a size on the way to the finished one
    "allowance",  # added or left on purpose
    "setting",  # of a machine: fence, stop, blade height
    "tool",  # the size of a tool, bit or cutter
    "stock",  # the board or sheet it comes out of
    "nominal",  # what the stock is called, not what it measures
    "hardware",  # a screw, bolt or hinge
    "feature",  # a hole, groove, slot or layout mark that no row of the list gives
    "quoted-plan",  # the plan's value, read aloud (often just before saying that it is wrong)
    "taken-back",  # said and taken back
    "superseded",  # settled otherwise later on
    "mistake",  # said inside a stretch that went wrong
    "derived",  # worked out from another value (half, complement, difference, sum)
    "supplied",  # the list is blank here, and the maker gives it
    "changed",  # the maker's own choice against the plan
    "corrected",  # the plan is wrong, this is right
    "overall",  # of the assembly, not of one part
    "check",  # a measurement that only checks (diagonals, a gap)
    "comparison",  # something else's size, named to compare
    "none",
]
Verdict = Literal["agrees", "disagrees", "not-listed", "no-part", "tool-size"]

FindingKind = Literal[
    "plan-wrong", "changed", "supplied", "derived", "slip", "count", "impossible", "contradiction"
]
FINDING_KINDS: tuple[FindingKind, ...] = (
    "plan-wrong", "changed", "supplied", "derived", "slip", "count", "impossible", "contradiction"
)  # fmt: skip
"""In order of precedence: where several fit one disagreement, the first wins."""
DECLARED_KINDS: frozenset[FindingKind] = frozenset({"plan-wrong", "changed", "supplied"})
"""Kinds that the maker said out loud; these go out without being asked about."""

MentionKind = Literal["part", "tool", "material", "hardware", "operation", "hazard", "finish"]
Hedge = Literal["under", "over", "about"]


class Timed(Struct, frozen=True, kw_only=True):
    """Anything that happened at a time."""

    start_s: float | None = field(default=None, name="start")
    """Seconds of running time; None where there is no time."""
    end_s: float | None = field(default=None, name="end")
    """Seconds of running time; None where there is no time."""
    file: str | None = None
    """Name of the file that `at_s` is of; filled in by `stamp`."""
    at_s: float | None = field(default=None, name="at")
    """Seconds from the start of `file`; filled in by `stamp`."""


# --- what was said ---


class Word(Struct, frozen=True, array_like=True):
    """One word as recognised or written, with its punctuation ("three," "7-8ths" "feet.")."""

    text: str
    start_s: float | None = None
    end_s: float | None = None
    confidence: float | None = None
    """0 to 1 from the recogniser; None where nobody said."""


class Cue(Struct, frozen=True, array_like=True):
    """A caption as it came: its own times are kept when captions are repaired and written again."""

    span: Span
    start_s: float | None
    end_s: float | None


class Utterance(Struct, frozen=True):
    """A sentence, or as near to one as talk comes. The unit in which parts are in hand."""

    span: Span
    start_s: float | None
    end_s: float | None
    heading: str = ""
    """The heading that the maker wrote above this passage (rough notes only)."""


class Gap(Timed, frozen=True, kw_only=True):
    """A stretch that could not be read or was thrown away, and why."""

    kind: Literal["damaged", "repeat-loop", "text-in-silence", "short", "off-record", "doubled"]
    note: str


class SourceFile(Struct, frozen=True, kw_only=True):
    """One file of the episode, in running order."""

    name: str
    offset_s: float
    """Running time at which this file begins."""
    duration_s: float | None
    """None for notes, and for captions whose sound is not there."""
    kind: Literal["audio", "video", "captions", "notes"]
    recorded_at: str | None = None
    """Recording time as the file says it, ISO 8601."""


class Transcript(Struct, frozen=True, kw_only=True):
    """What was said in the episode, all files laid end to end."""

    files: tuple[SourceFile, ...]
    clock: Literal["cut", "takes", "captions", "notes", "none"]
    """Whose time `start_s` is: the published cut's, the takes' (a draft), a caption file's of its own, marks in notes, or nobody's."""
    words: tuple[Word, ...]
    utterances: tuple[Utterance, ...]
    """In order, covering every word exactly once."""
    cues: tuple[Cue, ...] = ()
    """As they came; empty where words come from the recogniser."""
    gaps: tuple[Gap, ...] = ()
    claps: tuple[float, ...] = ()
    """Running times of single sharp sounds with quiet about them: a clap or a slate, or one knock of a mallet."""
    language: str = "en"
    model: str = ""
    """Name of the speech model; empty for captions and notes."""

    def text(self, span: Span) -> str:
        """Give the words of a span with single spaces between."""
        return " ".join(word.text for word in self.words[span[0] : span[1]])


# --- sizes ---


class Candidate(Struct, frozen=True):
    """Another way to read the same words."""

    value: Fraction
    unit: str
    why: str


class Measure(Timed, frozen=True, kw_only=True):
    """A length or an angle that was said, and, once placed, what it belongs to."""

    value: Fraction
    """Exact, in `unit` (never converted)."""
    unit: str
    """inch, foot, yard, thou, mm, cm, m or degree."""
    words: str
    """As said or typed."""
    span: Span
    candidates: tuple[Candidate, ...] = ()
    """Other readings, likeliest first; empty where there is only one."""
    hedge: Hedge | None = None
    """"shy of" is under, "a hair over" is over, "roughly" is about."""
    taken_back: bool = False
    replaced_by: int | None = None
    """Index (in the same tuple) of the measure that took its place."""
    unit_said: bool = True
    """False where the unit is the build's, or comes from a neighbour in the chain."""
    range_end: Literal["low", "high"] | None = None
    tolerance: Fraction | None = None
    """"plus or minus a sixty-fourth": in the same unit."""
    chain: int | None = None
    """Number of the chain ("3/4 by 2 1/2 by 34 1/4") that it is in."""
    chain_position: int | None = None
    step: Fraction | None = None
    """The finest graduation that the words imply (1/16, 0.001): how far a value in other units can agree with it."""
    # What `place` adds.
    part: str | None = None
    also_parts: tuple[str, ...] = ()
    dimension: Dimension | None = None
    role: Role = "none"
    verdict: Verdict | None = None
    listed: Fraction | None = None
    """The list's value for that dimension, in `listed_unit`."""
    listed_unit: str | None = None
    confidence: float | None = None
    why: str = ""
    runners_up: tuple[RunnerUp, ...] = ()


class RunnerUp(Struct, frozen=True):
    """Another place where a measure might belong."""

    part: str | None
    dimension: Dimension | None
    confidence: float


class TradeNumber(Timed, frozen=True, kw_only=True):
    """A number of the trade that is no length of a part: nominal stock, a drill or screw number, a thread, grit, gauge, teeth, rpm ..."""

    kind: str
    """nominal-stock, drill, screw, thread, gauge, leather, grit, teeth, rpm, temperature, time, weight, volume, stitch ..."""
    name: str
    """As the trade writes it: "2x4", "#8", "1/4-20", "220 grit"."""
    words: str
    span: Span
    actual: tuple[tuple[Fraction, str], ...] = ()
    """The real sizes that a published table gives for it."""
    source: str = ""


# --- the plan ---


class Listed(Struct, frozen=True, kw_only=True):
    """One size of a part, as the list gives it."""

    dimension: Dimension
    value: Fraction | None
    """None where the cell is blank or says "to suit": wanted, and not given."""
    unit: str
    text: str
    """The cell as it stands."""
    rough: bool = False
    feature: str = ""
    """"groove", "slot", "hole": what of the part this is a size of; empty for the part itself."""
    edition: str = ""


class Part(Struct, frozen=True, kw_only=True):
    """One row of the part list."""

    name: str
    row: int
    """Row in the file, counting from 1, header and comments included."""
    other_names: tuple[str, ...] = ()
    count: int | None = None
    listed: tuple[Listed, ...] = ()
    material: str = ""
    sheet: str = ""
    notes: str = ""
    ref: str = ""
    """The plan's own number or letter for it."""
    hardware: bool = False
    """Bought, not made: screws, hinges, magnets."""


class CellNote(Struct, frozen=True, kw_only=True):
    """A cell of the part list that was not understood, or was understood only in part."""

    row: int
    column: str
    text: str
    note: str


class PartList(Struct, frozen=True, kw_only=True):
    """The plan's table of parts as read."""

    file: str
    parts: tuple[Part, ...]
    units: Literal["inch", "mm"]
    units_why: str
    """How the unit was settled: stated, or inferred and from what."""
    units_sure: bool = True
    """False where it is inferred from the numbers alone: the talk may speak against it."""
    not_understood: tuple[CellNote, ...] = ()


# --- what is spoken of ---


class Mention(Timed, frozen=True, kw_only=True):
    """Something of the trade that was named."""

    kind: MentionKind
    name: str
    """Canonical: the part's name in the list, the tool's or material's usual name, the operation's verb."""
    words: str
    """As said."""
    span: Span
    confidence: float = 1.0
    used: bool = True
    """False for a tool or material only talked about ("you could use a bandsaw")."""


class Repair(Timed, frozen=True, kw_only=True):
    """A trade word that was heard as another word. A size is never touched."""

    span: Span
    heard: str
    meant: str
    why: str


class Hazard(Timed, frozen=True, kw_only=True):
    """Something that can hurt, with the usual caution."""

    name: str
    """"table saw", "oily rags"."""
    caution: str
    source: str
    """Where the caution is published."""
    words: str = ""
    """What was said that brought it up."""
    said: bool = False
    """The maker gave the warning out loud."""


class Mentions(Struct, frozen=True, kw_only=True):
    """All that `find_mentions` found."""

    mentions: tuple[Mention, ...] = ()
    repairs: tuple[Repair, ...] = ()
    hazards: tuple[Hazard, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    promises: tuple[Promise, ...] = ()


class Mistake(Timed, frozen=True, kw_only=True):
    """A stretch in which the work went wrong; the guide leaves it out."""

    span: Span
    why: str
    """What shows it: the words that gave it away."""
    text: str = ""


class Promise(Timed, frozen=True, kw_only=True):
    """Something put off to a later episode."""

    span: Span
    text: str


class InHand(Timed, frozen=True, kw_only=True):
    """Which part is being worked on during one utterance."""

    utterance: int
    parts: tuple[str, ...]
    """Likeliest first; several where several are in hand at once; empty where none is."""
    confidence: float


# --- what comes of it ---


class Said(Struct, frozen=True):
    """A value in a finding: exact, and the words."""

    value: Fraction
    unit: str
    """A unit of length or angle, or "count"."""
    words: str = ""


class Finding(Timed, frozen=True, kw_only=True):
    """Something that the maker must know."""

    id: str
    """Stable: made from what was said and when, never from a row or list number."""
    kind: FindingKind
    part: str | None
    dimension: Dimension | None
    spoken: Said | None
    listed: Said | None = None
    sentence: str = ""
    span: Span = (0, 0)
    why: str = ""
    """One plain sentence."""
    advice: str = ""
    """What to do: "listen at 12:31", "mark sheet 2"."""
    confidence: float = 0.5
    repeated: tuple[float, ...] = ()
    """Further running times at which the same thing was said."""
    right: bool | None = None
    """For a derivation: is the sum right? A right one is a confirmation."""
    declared: bool = False
    """The maker said it out loud, so it may be published unasked."""
    supplied_how: Literal["said", "measured", "scaled", ""] = ""
    probably_right: Said | None = None
    probably_why: str = ""
    drags_along: tuple[str, ...] = ()
    """Other sizes of the list that change with this one."""
    sheet: str = ""
    edition: str = ""
    evidence: tuple[str, ...] = ()
    runners_up: tuple[RunnerUp, ...] = ()
    status: Literal["open", "declared", "accepted", "dismissed", "amended"] = "open"
    note: str = ""
    """The maker's note for the viewers, from a decision."""


class Coverage(Struct, frozen=True, kw_only=True):
    """How much of the part list was heard."""

    listed: int
    agree: int
    disagree: int
    never_said: int
    unheard_parts: tuple[str, ...] = ()
    unheard_sizes: tuple[tuple[str, str], ...] = ()
    """Part and dimension."""

    def sentence(self) -> str:
        """Say it as the maker reads it."""
        return (
            f"{self.agree} of {self.listed} listed sizes heard and agree, "
            f"{self.disagree} disagree{'s' if self.disagree == 1 else ''}, {self.never_said} never said"
        )


class Chapter(Timed, frozen=True, kw_only=True):
    """One chapter of the episode."""

    title: str
    span: Span
    part: str | None = None
    why: str = ""


class Step(Timed, frozen=True, kw_only=True):
    """One thing done, in the maker's own words."""

    part: str | None
    operation: str
    """A trade word or a few: "rip", "crosscut to length"."""
    text: str
    """The maker's sentence or sentences, cleaned, sizes written right."""
    span: Span
    tools: tuple[str, ...] = ()
    setting: str = ""
    measures: tuple[int, ...] = ()
    """Indices into the record's measures."""
    points_back_to: int | None = None
    """Index of the step that showed this already."""
    still: str = ""
    """File name of a picture beside the record; empty where there is none."""


NO_STILL = "none"
"""In `Step.still`: the maker wants no picture there."""


def picked_name(file: str, at_s: float) -> str:
    """Name a picture that the maker picked by its file and the tenth of a second that it begins at.

    >>> picked_name("take 2.mp4", 75.25)
    'still-take-2-00075-2.jpg'
    """
    home = re.sub(r"[^a-z0-9]+", "-", (file.rpartition(".")[0] or file).lower()).strip("-") or "take"
    tenths = int(max(at_s, 0.0) * 10 + 1e-6)
    return f"still-{home}-{tenths // 10:05d}-{tenths % 10}.jpg"


class ListedName(Timed, frozen=True, kw_only=True):
    """A tool or a material, once, with the first time it was named."""

    name: str
    detail: str = ""
    """Size or kind as said: "60 tooth", "3/4 in birch"."""
    times: tuple[float, ...] = ()


class CutRow(Struct, frozen=True, kw_only=True):
    """One row of the cut list: the part's size, with where each value comes from."""

    part: str
    count: int | None
    material: str
    sizes: tuple[CutSize, ...]
    sheet: str = ""
    notes: str = ""


class CutSize(Struct, frozen=True, kw_only=True):
    """One size in the cut list."""

    dimension: Dimension
    value: Fraction | None
    unit: str
    origin: Literal["listed", "said", "measured", "scaled", "worked-out", "changed", "corrected", "blank"]
    was: Fraction | None = None
    """The plan's value where it was corrected or changed."""
    check: bool = False
    """An open finding stands against it: print the value marked "check"."""


class StockRow(Struct, frozen=True, kw_only=True):
    """What to buy: all parts of one material and thickness together."""

    material: str
    """As the list calls it; empty where it does not say."""
    thickness: Fraction | None
    """Finished thickness, in `unit`; None where the parts have none (rod, tube, blank cells)."""
    unit: str
    """inch or mm."""
    parts: tuple[str, ...]
    pieces: int | None
    """Of all these parts together; None where a count is missing."""
    form: Literal["board", "sheet", "round", "other"] = "other"
    area: Fraction | None = None
    """Finished faces of all pieces, no waste added, in square `unit`; None where a size is missing."""
    board_feet: Fraction | None = None
    """For boards in an inch build, of the nominal stock in `buy`; no waste added."""
    running_length: Fraction | None = None
    """Lengths of all pieces end to end, in `unit`, no kerf added; None where a length is missing."""
    widest: Fraction | None = None
    longest: Fraction | None = None
    buy: str = ""
    """The nominal stock that it can be cut from ("5/4 board, 4 wide or wider"); empty where it cannot be worked out."""
    buy_why: str = ""
    """From which table, or why there is none."""
    without: tuple[str, ...] = ()
    """Parts of this material that are not counted in, because a size or their count is missing."""
    check: bool = False
    """An open finding stands against a size in it: the sums may change."""


class Guide(Struct, frozen=True, kw_only=True):
    """What the guide stage gives."""

    steps: tuple[Step, ...] = ()
    cut_list: tuple[CutRow, ...] = ()
    shopping: tuple[StockRow, ...] = ()


class GuideLine(Struct, frozen=True, array_like=True):
    """One thing that a builder goes by, as the guide printed it."""

    part: str
    what: str
    """A dimension, "count", or "step: " and the operation."""
    text: str


class GuideVersion(Struct, frozen=True, kw_only=True):
    """Which version of the guide this is, and what changed since the one before."""

    number: int = 0
    """Counted from 1; 0 where it was not settled."""
    date: str = ""
    """As it was given; empty where none was."""
    since: int = 0
    """Number of the version before; 0 where this is the first."""
    since_date: str = ""
    changed: tuple[GuideLine, ...] = ()
    """What is different from that one: "was 30 in, now 31 in", "new step"."""
    lines: tuple[GuideLine, ...] = ()
    """What this version says, to compare the next one with."""
    last_out: GuideVersion | None = None
    """Of a draft (a finding is open): the last version that was none."""


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


T = TypeVar("T", bound=Timed)


def stamp(item: T, files: tuple[SourceFile, ...]) -> T:
    """Give the item with the file that its start is of, and the time in that file.

    Args:
        item: Any timed record.
        files: The episode's files in running order.

    Returns:
        The same record with `file` and `at_s`; unchanged where it has no time or there is no file.
    """
    if item.start_s is None or not files:
        return item
    home = files[0]
    for candidate in files[1:]:
        if candidate.offset_s > item.start_s + 1e-6:
            break
        home = candidate
    return msgspec.structs.replace(item, file=home.name, at_s=round(item.start_s - home.offset_s, 3))


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
