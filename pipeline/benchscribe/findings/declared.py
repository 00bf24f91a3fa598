"""What was declared of a size that differs from the list, and how that is told: the plan is wrong, the maker chose, or nothing was said."""

from __future__ import annotations

from typing import Final

from benchscribe.findings.scene import Scene
from benchscribe.findings.wording import beside, dimension_words, size
from benchscribe.records import FindingKind, Measure, Said
from benchscribe.spoken.language import Declared

_DECLARES: Final = 1.9
"""Weight of language from which a declaration is taken as made."""
_DOUBTS: Final = 1.0
"""As much where the plan's own size was read out before: few read it out to agree with it and then say another."""
READ_OUT: Final = "read out: the plan's own size, and then another"
"""Evidence of a difference that the maker knows of, without a word that declares it."""
_QUOTED_BEFORE: Final = 80
"""Words from the plan's size that was read out to the right one."""


def kind_declared(scene: Scene, group: list[Measure], declared: list[Declared]) -> tuple[FindingKind, str]:
    """Give the kind that the words make of a size that differs, and the words; a slip where nothing was declared.

    Args:
        scene: The episode.
        group: The size, each time that it was said.
        declared: What is declared around each of these.
    """
    kind, phrase = _kind(declared)
    if kind == "slip" and any(_quoted_before(scene, m) for m in group):
        return _doubted(declared)
    return kind, phrase


def _kind(declared: list[Declared]) -> tuple[FindingKind, str]:
    wrong = max((d.of("plan-wrong") for d in declared), default=0.0)
    chosen = max((d.of("changed") for d in declared), default=0.0)
    fine = max((d.of("plan-right") for d in declared), default=0.0)
    if fine >= _DECLARES:
        # "That was right till I moved it": the plan is called good, so what follows is a choice.
        wrong, chosen = 0.0, max(chosen, fine)
    strongest = max(declared, key=lambda d: max(d.of("plan-wrong"), d.of("changed"), d.of("plan-right")))
    if max(wrong, chosen) < _DECLARES:
        return "slip", ""
    if wrong >= chosen:
        return "plan-wrong", strongest.because.get("plan-wrong", "")
    return "changed", strongest.because.get("changed", strongest.because.get("plan-right", ""))


def evidence_of(scene: Scene, group: list[Measure], phrase: str) -> tuple[str, ...]:
    """Say what declared the difference: words, or the plan's own size read out before."""
    if phrase:
        return (f'declared: "{phrase}"',)
    return (READ_OUT,) if any(_quoted_before(scene, m) for m in group) else ()


def _doubted(declared: list[Declared]) -> tuple[FindingKind, str]:
    """Give what weaker words declare of a size that the plan's own was read out before."""
    strongest = max(declared, key=lambda d: d.of("plan-wrong"))
    if strongest.of("plan-wrong") < _DOUBTS:
        return "slip", ""
    return "plan-wrong", strongest.because.get("plan-wrong", "")


def _quoted_before(scene: Scene, measure: Measure) -> bool:
    """Tell whether the listed size was read off the plan a few sentences before: "the list says 9 7/32, and that's not right"."""
    return any(
        m.role == "quoted-plan"
        and m.verdict == "agrees"
        and (m.part, m.dimension) == (measure.part, measure.dimension)
        and 0 < measure.span[0] - m.span[1] <= _QUOTED_BEFORE
        for m in scene.measures
    )


def why_differs(kind: FindingKind, said: Said, plan: Said, measure: Measure, *, outright: bool) -> str:
    """Say what differs; what was not declared in so many words is told as what it seems."""
    what = f"the {dimension_words(measure.dimension)} of {measure.part}"
    if kind == "plan-wrong":
        says = "You said" if outright else "You seem to say"
        return (
            f"{says} that the plan is wrong: {what} is {size(said)}, where the list has {beside(plan, said)}."
        )
    if kind == "changed":
        chose = "You chose" if outright else "You seem to have chosen"
        return f"{chose} {size(said)} for {what}; the plan has {beside(plan, said)}."
    return f"You said {size(said)} for {what}, and the list has {beside(plan, said)}; nothing was said about a difference."


def why_both(kind: FindingKind, said: Said, plan: Said, measure: Measure) -> str:
    """Say that both sizes were named, without a word that declares the difference."""
    what = f"the {dimension_words(measure.dimension)} of {measure.part}"
    seems = "as if the plan were wrong" if kind == "plan-wrong" else "as if it were your choice"
    return f"You named the listed {beside(plan, said)} for {what} and then said {size(said)}, {seems}."
