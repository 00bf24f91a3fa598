"""What the maker has settled: read from, applied from and written to `decisions.toml`."""

from benchscribe.decisions.chapters import Begins, SettledChapters, apply_chapters
from benchscribe.decisions.findings import apply_decisions, settled_as
from benchscribe.decisions.keep import (
    DecisionsChangedError,
    change_decisions,
    digest_of,
    drop_table,
    forget_decision,
    put_decision,
    put_table,
    record_decision,
)
from benchscribe.decisions.lists import apply_lists
from benchscribe.decisions.tables import (
    ANSWERS,
    Answer,
    Change,
    Decision,
    Decisions,
    load_decisions,
    read_decisions,
)
from benchscribe.decisions.taken_out import apply_taken_out, put_taken_out, record_taken_out
from benchscribe.decisions.talk import EditedTalk, across, carry_out, edit_talk, joined, plan_edits
from benchscribe.decisions.typed import typed_dimension, typed_part, typed_value

__all__ = [
    "ANSWERS",
    "Answer",
    "Begins",
    "Change",
    "Decision",
    "Decisions",
    "DecisionsChangedError",
    "EditedTalk",
    "SettledChapters",
    "across",
    "apply_chapters",
    "apply_decisions",
    "apply_lists",
    "apply_taken_out",
    "carry_out",
    "change_decisions",
    "digest_of",
    "drop_table",
    "edit_talk",
    "forget_decision",
    "joined",
    "load_decisions",
    "plan_edits",
    "put_decision",
    "put_table",
    "put_taken_out",
    "read_decisions",
    "record_decision",
    "record_taken_out",
    "settled_as",
    "typed_dimension",
    "typed_part",
    "typed_value",
]
