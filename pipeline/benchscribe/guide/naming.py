"""The names of operations, from the verb that was said, the tool for it and what is made by it."""

from __future__ import annotations

import re

from benchscribe.guide.stepwords import step_words
from benchscribe.records import Mention, Span, Transcript


def name_operation(transcript: Transcript, operation: Mention, span: Span, tools: set[str]) -> str:
    """Name a step: the usual verb or the one that was said, and what is made by it where that stands close behind.

    Args:
        transcript: What was said.
        operation: The verb.
        span: The sentence that it stands in.
        tools: Names of the tools that the sentence names, in small letters; they tell which cut is made.

    Returns:
        A trade word or a few.
    """
    words = step_words()
    verb = operation.name.lower()
    said = operation.words.lower()
    name = next(
        (kept for start, kept in words.said.items() if said.startswith(start)), words.names.get(verb, verb)
    )
    feature = _feature(transcript, operation, span)
    if verb in words.generic and not feature:
        if words.length_tools & tools:
            return "crosscut to length"
        if words.shape_tools & tools:
            return "cut to shape"
        return "cut out" if words.out_tools & tools else name
    if feature and feature.rstrip("s") not in name and len(name.split()) < 5:
        return f"{name.removesuffix(' hole').removesuffix(' to thickness')} {feature}"
    return name


def _feature(transcript: Transcript, operation: Mention, span: Span) -> str:
    after = transcript.text((operation.span[1], min(operation.span[1] + 6, span[1]))).lower()
    clause = re.split(
        r"[.;:,]|\b(?:and|with|off|on|at|from|then|over|round|around|in|into|to|under|past|against|inside|for|till|until|before)\b",
        after,
    )[0]
    return next((w for w in re.findall(r"[a-z]+", clause) if w in step_words().features), "")
