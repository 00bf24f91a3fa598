"""The maker's answers to findings, given to the findings that they are about.

A decision is anchored on what was said and when: the value, the part and dimension, the sentence, the file and the time in it. So it
survives another speech model's words, moved times, an edited part list and new takes. A decision that fits nothing in a run is
reported, and stays in the file.
"""

from __future__ import annotations

import re
from typing import Any, Final, Literal

from msgspec import structs

from benchscribe.clock import clock
from benchscribe.decisions.anchors import NEAR_S, SAME_SENTENCE, is_off_record, likeness
from benchscribe.decisions.tables import Decision, Decisions, exact
from benchscribe.records import Finding, Said
from benchscribe.units import is_length, to_mm

_STATUS: Final[dict[str, Literal["accepted", "dismissed", "amended"]]] = {
    "accept": "accepted",
    "dismiss": "dismissed",
    "amend": "amended",
}
_SAME_PLACE: Final = 0.2
"""Share of the sentence by which a size may move when it is heard again."""


def apply_decisions(
    findings: tuple[Finding, ...], decisions: Decisions
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Give every decision to the finding that it is about.

    A decision goes to one finding, and a finding takes one decision; the best fits are made first. The same value for the same part
    and dimension is the same disagreement, wherever it was said. Where the part or the dimension has another name now, the sentence,
    the place in it and the time must agree. The value itself must always be the same: another value is another finding.

    Args:
        findings: Of this run.
        decisions: Of the episode, older runs' too.

    Returns:
        The findings with their answers, in the same order, and a sentence for every decision that fits none.
    """
    fits = sorted(
        (
            (-score, row, place)
            for row, decision in enumerate(decisions.decision)
            for place, finding in enumerate(findings)
            if (score := fit(decision, finding)) > 0
        ),
    )
    given: dict[int, Decision] = {}
    used: set[int] = set()
    for _, row, place in fits:
        if row not in used and place not in given:
            used.add(row)
            given[place] = decisions.decision[row]
    settled = tuple(
        settled_as(finding, given[place]) if place in given else finding
        for place, finding in enumerate(findings)
    )
    orphaned = tuple(
        _describe(decision)
        for row, decision in enumerate(decisions.decision)
        # What is off the record is not quoted anywhere, not even to say that it is gone.
        if row not in used and not is_off_record(decision, decisions.off_record)
    )
    return settled, orphaned


def fit(decision: Decision, finding: Finding) -> float:
    """Score how well a decision fits a finding; 0 where it does not."""
    if not _same_value(decision, finding):
        return 0.0
    same_part = _plain(decision.part) == _plain(finding.part or "")
    same_dimension = decision.dimension == (finding.dimension or "")
    alike = likeness(decision.sentence, finding.sentence)
    apart = _apart(decision, finding)
    near = apart is None or apart <= NEAR_S
    place = abs(_place(decision.said, decision.sentence) - _place(_words(finding), finding.sentence))
    score = alike / 100 + (0.0 if apart is None else max(0.0, 1 - apart / 60))
    if decision.id and decision.id == finding.id:
        score += 1.0
    if same_part and same_dimension:
        return 4.0 + score
    heard_again = alike >= SAME_SENTENCE and place <= _SAME_PLACE and near
    if (same_part or same_dimension) and heard_again and decision.kind in ("", finding.kind):
        return 1.0 + score
    return 0.0


def _same_value(decision: Decision, finding: Finding) -> bool:
    value = exact(decision.value) if decision.value else None
    if finding.spoken is None or value is None:
        return finding.spoken is None and value is None
    one, other = decision.unit, finding.spoken.unit
    if is_length(one) and is_length(other):
        return to_mm(value, one) == to_mm(finding.spoken.value, other)
    return one == other and value == finding.spoken.value


def _plain(name: str) -> str:
    return " ".join(re.sub(r"[^\w]+", " ", name.lower()).split())


def _words(finding: Finding) -> str:
    return finding.spoken.words if finding.spoken else ""


def _apart(decision: Decision, finding: Finding) -> float | None:
    """Give the seconds between the two, in the same file where both know it; None where there is no time to compare."""
    if decision.file and finding.file:
        if decision.file != finding.file:
            return None
        if decision.at is not None and finding.at_s is not None:
            return abs(decision.at - finding.at_s)
    if decision.start is None or finding.start_s is None:
        return None
    times = (finding.start_s, *finding.repeated)
    return min(abs(decision.start - time) for time in times)


def _place(words: str, sentence: str) -> float:
    """Say how far into its sentence a size stands, from 0 to 1."""
    where = sentence.lower().find(words.lower()) if words else -1
    return where / len(sentence) if where >= 0 else 0.5


def settled_as(finding: Finding, decision: Decision) -> Finding:
    """Give a finding as it stands once this is the answer to it."""
    changes: dict[str, Any] = {"status": _STATUS[decision.answer]}
    if decision.note:
        changes["note"] = decision.note
    if decision.new_kind and decision.answer != "dismiss":
        changes["kind"] = decision.new_kind
    if decision.answer == "amend":
        value = exact(decision.new_value) if decision.new_value else None
        if value is not None:
            unit = decision.new_unit or (finding.spoken.unit if finding.spoken else "")
            changes["spoken"] = Said(value, unit, _words(finding))
        if decision.new_part:
            changes["part"] = decision.new_part
        if decision.new_dimension:
            changes["dimension"] = decision.new_dimension
    return structs.replace(finding, **changes)


def _describe(decision: Decision) -> str:
    what = " ".join(text for text in (decision.part, decision.dimension) if text) or "a finding"
    said = f' "{decision.said}"' if decision.said else ""
    when = (
        f" at {clock((decision.at if decision.file else decision.start) or 0)}"
        if decision.start is not None
        else ""
    )
    where = f" of {decision.file}" if decision.file else ""
    return f"{decision.answer} {what}:{said}{when}{where} fits no finding of this run; it is kept"
