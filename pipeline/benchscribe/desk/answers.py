"""The answers that fit a finding, in the maker's words, each with what goes out when it is chosen."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from benchscribe.decisions import Answer, Change, Decision, settled_as
from benchscribe.records import Finding, FindingKind, Said
from benchscribe.writers.corrections import correction_text
from benchscribe.writers.sizes import said_size

NOTHING: Final = "Nothing goes out; the listed size stands."


class Choice(Struct, frozen=True, kw_only=True):
    """One answer to a finding."""

    id: str
    """Name in the form: said, own-change, listed, worked-out, other, dismiss."""
    label: str
    """On the button."""
    means: str
    """What it says, in a few words."""
    answer: Answer
    kind: FindingKind | None = None
    value: Said | None = None
    goes_out: str = ""
    """What the viewers then read."""

    def change(self, note: str = "") -> Change:
        """Give what `decisions.toml` keeps of it."""
        change: Change = {"note": note}
        if self.kind is not None:
            change["kind"] = self.kind
        if self.value is not None:
            change["value"], change["unit"] = self.value.value, self.value.unit
        return change


def choices(finding: Finding) -> tuple[Choice, ...]:
    """Give the answers that fit.

    Args:
        finding: As it was before any decision.
    """
    made = [*_by_kind(finding), _choice("dismiss", "Not a finding", "Nothing is wrong here.", "dismiss")]
    return tuple(
        Choice(**{**{n: getattr(c, n) for n in Choice.__struct_fields__}, "goes_out": outcome(finding, c)})
        for c in made
    )


def outcome(finding: Finding, choice: Choice) -> str:
    """Say what the viewers read when this is the answer."""
    if choice.answer == "dismiss":
        return NOTHING
    decision = Decision(
        answer=choice.answer,
        new_kind=choice.kind or "",
        new_value=str(choice.value.value) if choice.value else "",
        new_unit=choice.value.unit if choice.value else "",
    )
    return correction_text(settled_as(finding, decision))


def chosen(finding: Finding, decision: Decision | None) -> str:
    """Give the id of the answer that a decision is; "other" for a value or place of the maker's own, empty where there is none."""
    if decision is None:
        return ""
    for choice in choices(finding):
        value = str(choice.value.value) if choice.value else ""
        kind = choice.kind or ""
        if (choice.answer, kind, value) == (decision.answer, decision.new_kind, decision.new_value) and not (
            decision.new_part or decision.new_dimension
        ):
            return choice.id
    return "other"


def _by_kind(finding: Finding) -> Iterator[Choice]:
    said, listed = said_size(finding.spoken), said_size(finding.listed)
    if finding.kind in ("slip", "plan-wrong", "changed"):
        yield from _against_the_list(finding, said, listed)
    elif finding.kind == "supplied":
        yield _choice("said", f"Right as said: {said}", "The plan gives no size; mine goes out.", "accept")
    elif finding.kind == "derived":
        right = said_size(finding.probably_right)
        label = f"As worked out: {right}" if right else "The sum is wrong"
        yield _choice("worked-out", label, "I worked it out wrong.", "accept")
        yield _choice("said", f"Right as said: {said}", "My sum stands.", "dismiss")
    elif finding.kind == "count":
        yield _choice("said", f"Right as said: {said}", "I make another number of pieces.", "accept")
        if listed:
            yield _choice(
                "listed", f"As listed: {listed}", "I misspoke; the listed number stands.", "dismiss"
            )
    elif finding.kind == "impossible":
        yield from _impossible(finding, said, listed)
    else:
        for id_, value in (("said", finding.spoken), ("listed", finding.listed)):
            if value is not None:
                yield _choice(
                    id_, f"{said_size(value)} is right", "Of the two that I said.", "amend", value=value
                )


def _against_the_list(finding: Finding, said: str, listed: str) -> Iterator[Choice]:
    plan: FindingKind | None = None if finding.kind == "plan-wrong" else "plan-wrong"
    mine: FindingKind | None = None if finding.kind == "changed" else "changed"
    yield _choice("said", f"Right as said: {said}", "The plan is wrong.", "accept", kind=plan)
    yield _choice(
        "own-change", f"My own change: {said}", "Right as said; the plan is not wrong.", "accept", kind=mine
    )
    if finding.kind == "slip":
        yield _choice("listed", f"As listed: {listed}", "I misspoke.", "accept")
    elif finding.listed is not None:
        # An accepted slip could print what arithmetic gives; here the maker has said that it is the listed size.
        yield _choice(
            "listed", f"As listed: {listed}", "I misspoke.", "amend", kind="slip", value=finding.listed
        )


def _impossible(finding: Finding, said: str, listed: str) -> Iterator[Choice]:
    right = said_size(finding.probably_right)
    if right:
        yield _choice("worked-out", f"As worked out: {right}", "It cannot be as it was said.", "accept")
    if finding.listed is not None and listed != said:
        yield _choice(
            "listed", f"As listed: {listed}", "I misspoke.", "amend", kind="slip", value=finding.listed
        )
    if not right and finding.listed is None:
        yield _choice("worked-out", "It cannot be", "A warning goes out.", "accept")
    yield _choice("said", f"Right as said: {said}", "It can be; nothing is wrong.", "dismiss")


def _choice(
    id_: str,
    label: str,
    means: str,
    answer: Answer,
    *,
    kind: FindingKind | None = None,
    value: Said | None = None,
) -> Choice:
    return Choice(id=id_, label=label, means=means, answer=answer, kind=kind, value=value)
