"""The maker's own phrases, said on camera on purpose: the surest evidence there is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct, structs

from benchscribe.findings.scene import Scene
from benchscribe.findings.wording import advice_for
from benchscribe.records import Finding, Span
from benchscribe.spoken.phrases import phrase_book
from benchscribe.spoken.words import token

_NO_REMARK: Final = "; nothing was said about a difference"
_NEAR: Final = 40
"""A plan note reaches so many words ahead of its phrase, and half as many back."""


class Marked(Struct, frozen=True):
    """Passages that the maker's phrases mark."""

    struck: tuple[Span, ...]
    notes: tuple[Span, ...]

    def strikes(self, finding: Finding) -> bool:
        """Tell whether a finding lies in a passage to leave out."""
        return any(a <= finding.span[0] < b for a, b in self.struck)

    def told(self, finding: Finding) -> Finding:
        """Turn a difference beside a plan note into what the maker declared it to be, where it was not declared otherwise."""
        differs = finding.kind in ("slip", "plan-wrong", "changed") and not finding.declared
        if not differs or not any(a <= finding.span[0] < b for a, b in self.notes):
            return finding
        return structs.replace(
            finding,
            kind="plan-wrong",
            declared=True,
            status="declared",
            confidence=max(finding.confidence, 0.95),
            why=f"{finding.why.removesuffix('.').removesuffix(_NO_REMARK)}, and you marked it as a plan note.",
            advice=advice_for("plan-wrong", finding.start_s, finding.sheet),
            evidence=(*finding.evidence, "marked with your own phrase for a plan note"),
        )


def marked_passages(scene: Scene, markers: Mapping[str, Sequence[str]]) -> Marked:
    """Find the maker's phrases.

    Args:
        scene: The episode.
        markers: Phrases under `leave_out` and `plan_note`; other names are other stages' business.
    """
    pairs = [
        (name, " ".join(clean))
        for name in ("leave_out", "plan_note")
        for phrase in markers.get(name, ())
        if (clean := [token(word) for word in phrase.split() if token(word)])
    ]
    if not pairs:
        return Marked((), ())
    struck: list[Span] = []
    notes: list[Span] = []
    for hit in phrase_book(pairs).find(scene.talk.tokens):
        if hit.name == "plan_note":
            notes.append((max(0, hit.start - _NEAR // 2), hit.end + _NEAR))
        else:
            struck.append(scene.transcript.utterances[scene.utterance_at(hit.start)].span)
    return Marked(tuple(sorted(set(struck))), tuple(sorted(notes)))
