"""Demonstrations that were shown before: told once, and pointed back to."""

from __future__ import annotations

import re
from collections.abc import Sequence

from benchscribe.guide.told import Told
from benchscribe.records import Step, Transcript

_AGAIN = re.compile(
    r"\b(?:same (?:way|thing|again|job|story|routine|idea)\b(?! up)|exactly (?:the same|as)|just (?:like|as)|as before|like before|"
    r"once (?:more|again)|all over again|you've seen (?:me|that|this)|you saw (?:me|that)|you know how)\b"
)
"""Words with which the work is shown again, and not told."""


def shown_before(
    transcript: Transcript,
    step: Step,
    group: Sequence[Told],
    steps: Sequence[Step],
    groups: Sequence[Sequence[Told]],
) -> int | None:
    """Find the earlier step that shows the same work.

    The same work on the same part without a size of its own is the same demonstration; on another part it is where the maker says so
    ("same way as the sides").

    Args:
        transcript: What was said.
        step: The step.
        group: What tells it.
        steps: The steps before it.
        groups: What tells those.

    Returns:
        Index of the first such step; None where there is none.
    """
    verbs = _shown(group)
    alike = [n for n, told in enumerate(groups) if verbs and _shown(told) == verbs]
    if step.part is not None and not step.measures:
        same = next((n for n in alike if steps[n].part == step.part), None)
        if same is not None:
            return same
    if _AGAIN.search(transcript.text(step.span).lower()):
        return next((n for n in alike if steps[n].part is not None), None)
    return None


def _shown(group: Sequence[Told]) -> set[str]:
    """Give what is shown being done; a size alone shows nothing."""
    return {item.verb for item in group if item.source != "size"}
