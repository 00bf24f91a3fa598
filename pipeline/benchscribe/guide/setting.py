"""What a fence, a stop or a blade is set to for a step: people cut by setup, and the setups view goes by it."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence

from benchscribe.guide.stepwords import step_words
from benchscribe.measures import write_measure
from benchscribe.records import Measure, Span, Transcript
from benchscribe.units import ANGLE

REACH = 5
"""Words between what is set and its size, at most ("the fence is sat at 252")."""
BEHIND = 3
"""The same where the size comes first ("252 on the fence")."""
_SAME = re.compile(r"\b(?:same|still|without moving|leave|left) (?:\S+ ){0,2}?$")


def settings_of(
    transcript: Transcript,
    span: Span,
    measures: Sequence[Measure],
    instead: Mapping[int, str],
    standing: Mapping[str, str],
    left_out: Collection[int] = (),
) -> dict[str, str]:
    """Find what is set in a step, and to what.

    Args:
        transcript: What was said.
        span: The words that tell the step.
        measures: All measures of the episode.
        instead: What stands in the place of doubtful measures, by their number.
        standing: What was set in the steps before: "same fence" still has its size.
        left_out: Words within the span that tell other steps.

    Returns:
        By the name of what is set, its size as written: {"fence": "4 7/8 in"}. A size whose setting has no name stands under "".
    """
    names = step_words().settable
    words = [re.sub(r"[^\w-]", "", w.text.lower()) for w in transcript.words[span[0] : span[1]]]
    found: dict[str, str] = {}
    taken: set[int] = set()
    for number, measure in enumerate(measures):
        if not span[0] <= measure.span[0] < span[1] or measure.taken_back or measure.role == "quoted-plan":
            continue
        if measure.span[0] in left_out:
            continue
        name = _set_by(transcript, words, span, measure)
        name = "" if name in step_words().angled and measure.unit != ANGLE else name
        if not name and "setting" in (measure.role, measure.dimension):
            end = measure.span[1] - span[0]
            name = "each pass" if step_words().passes & set(words[end : end + 4]) else ""
        if name or "setting" in (measure.role, measure.dimension):
            found.setdefault(name, instead.get(number) or write_measure(measure.value, measure.unit))
            taken.add(number)
    for index, word in enumerate(words):
        if span[0] + index in left_out:
            continue
        before = " ".join(words[max(0, index - 3) : index]) + " "
        if word in names and word not in found and word in standing and _SAME.search(before):
            found[word] = standing[word]
    return found


def _set_by(transcript: Transcript, words: Sequence[str], span: Span, measure: Measure) -> str:
    """Give what a size is set on, by the words just before or behind it in its clause."""
    names = step_words().settable
    at, end = measure.span[0] - span[0], measure.span[1] - span[0]
    for index in range(at - 1, max(-1, at - REACH - 1), -1):
        if transcript.words[span[0] + index].text.endswith((".", ";", "?", "!")):
            break
        if words[index] in names:
            between = set(words[index + 1 : at])
            return words[index] if between & step_words().set_to or not between else ""
    for index in range(end, min(len(words), end + BEHIND)):
        if words[index] in names and set(words[end:index]) & {"on", "from", "to"}:
            return words[index]
        if transcript.words[span[0] + index].text.endswith((".", ";", ",", "?", "!")):
            break
    return ""


def written(found: Mapping[str, str]) -> str:
    """Write settings as a line: "fence 4 7/8 in, stop 12 in".

    >>> written({"fence": "4 7/8 in", "": "5°"})
    'fence 4 7/8 in, 5°'
    """
    return ", ".join(f"{name} {size}".strip() for name, size in found.items())
