"""What is put off to a later episode."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Final

from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Promise, Span, Transcript

_SUBJECT: Final = re.compile(r"^(?:and|but|so|then|also|plus)$")
_OPENS: Final = frozenset(
    "the a there's i'll i'm we'll we're my then i that's it'll next as for on what".split()
)
_SHORT: Final = 4
_BREATH_S: Final = 9.0
_CLOSING: Final = 0.88
"""Share of the talk after which plans for later are told."""


def find_promises(talk: Talk, transcript: Transcript, vocabulary: Vocabulary) -> tuple[Promise, ...]:
    """Find promises, one for each thing put off, at the start of the clause that names it.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        vocabulary: How makers put things off.
    """
    out: list[Promise] = []
    before: Span | None = None
    for span in _clauses(talk):
        text = talk.text(span)
        closing = span[0] >= _CLOSING * len(talk.words) and vocabulary.phrases.closing.search(text)
        if not (closing or vocabulary.phrases.promise.search(text)) or vocabulary.phrases.no_promise.search(
            text
        ):
            continue
        fresh = re.match(
            r"(?:and |but |so |then |also )*(?:and|also|plus|then) (?:then )?(?:the|a|there's|i'll|we'll|my|on|it|she|they|somebody)\b",
            text,
        )
        near = before is not None and span[0] - before[1] <= 1
        if (
            near
            and (len(text.split()) <= _SHORT or not fresh)
            and _same_breath(transcript, out[-1].span, span)
        ):
            out[-1] = _promise(transcript, (out[-1].span[0], span[1]))
            before = span
            continue
        out.append(_promise(transcript, span))
        before = span
    return tuple(out)


def _promise(transcript: Transcript, span: Span) -> Promise:
    first, last = transcript.words[span[0]], transcript.words[span[1] - 1]
    return Promise(start_s=first.start_s, end_s=last.end_s, span=span, text=transcript.text(span))


def _same_breath(transcript: Transcript, earlier: Span, later: Span) -> bool:
    """Tell whether two clauses are so near that they speak of the same thing."""
    a, b = transcript.words[earlier[0]].start_s, transcript.words[later[0]].start_s
    return a is None or b is None or b - a < _BREATH_S


def _clauses(talk: Talk) -> Iterator[Span]:
    """Cut the talk at sentence ends, and at "and the ...", "but I'll ..." where a new thing is spoken of."""
    for start, end in talk.spans:
        first = start
        for i in range(start, end):
            new = (
                i > first + 5
                and _SUBJECT.match(talk.words[i])
                and i + 1 < end
                and talk.words[i + 1] in _OPENS
                and talk.words[i] == "and"
            )
            if new:
                yield first, i
                first = i
            if talk.stops[i] == 2 and i + 1 < end:
                yield first, i + 1
                first = i + 1
        if first < end:
            yield first, end
