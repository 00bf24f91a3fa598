"""The frozen records that pass between stages, and the shape of `record.json`.

Every stage is a pure function from records to records. Times are seconds. `start_s` is in *running time*: the files of an episode laid
end to end in their order (for one file, simply its own time). `None` means that there is no time (rough notes without marks), and no
time is ever made up. When the episode is put together, `stamp` adds the file that each time is of, and the time in that file.

Values are exact `Fraction`s and stand in JSON as strings ("15/4"). Spans are half-open indices into `Transcript.words`.
"""

from __future__ import annotations

from benchscribe.records.episode import (
    SCHEMA_VERSION,
    CutPiece,
    EpisodeInfo,
    EpisodeRecord,
    NotInCut,
    from_json,
    json_schema,
    to_json,
)
from benchscribe.records.findings import (
    DECLARED_KINDS,
    FINDING_KINDS,
    PUBLISHED,
    Coverage,
    Finding,
    FindingKind,
    Said,
)
from benchscribe.records.guide import (
    NO_STILL,
    Chapter,
    CutRow,
    CutSize,
    Guide,
    GuideLine,
    GuideVersion,
    ListedName,
    Step,
    StockRow,
    picked_name,
)
from benchscribe.records.mentions import (
    Hazard,
    InHand,
    Mention,
    MentionKind,
    Mentions,
    Mistake,
    Promise,
    Repair,
)
from benchscribe.records.plan import (
    FIRM_DIMENSIONS,
    CellNote,
    Dimension,
    Listed,
    Part,
    PartList,
)
from benchscribe.records.sizes import (
    Candidate,
    Hedge,
    Measure,
    Role,
    RunnerUp,
    TradeNumber,
    Verdict,
)
from benchscribe.records.talk import (
    Cue,
    Gap,
    SourceFile,
    T,
    Transcript,
    Utterance,
    Word,
    stamp,
)
from benchscribe.records.timed import (
    Span,
    Timed,
)

__all__ = [
    "DECLARED_KINDS",
    "FINDING_KINDS",
    "FIRM_DIMENSIONS",
    "NO_STILL",
    "PUBLISHED",
    "SCHEMA_VERSION",
    "Candidate",
    "CellNote",
    "Chapter",
    "Coverage",
    "Cue",
    "CutPiece",
    "CutRow",
    "CutSize",
    "Dimension",
    "EpisodeInfo",
    "EpisodeRecord",
    "Finding",
    "FindingKind",
    "Gap",
    "Guide",
    "GuideLine",
    "GuideVersion",
    "Hazard",
    "Hedge",
    "InHand",
    "Listed",
    "ListedName",
    "Measure",
    "Mention",
    "MentionKind",
    "Mentions",
    "Mistake",
    "NotInCut",
    "Part",
    "PartList",
    "Promise",
    "Repair",
    "Role",
    "RunnerUp",
    "Said",
    "SourceFile",
    "Span",
    "Step",
    "StockRow",
    "T",
    "Timed",
    "TradeNumber",
    "Transcript",
    "Utterance",
    "Verdict",
    "Word",
    "from_json",
    "json_schema",
    "picked_name",
    "stamp",
    "to_json",
]
