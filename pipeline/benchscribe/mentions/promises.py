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
        if not vocabulary.phrases.promise.search(text) or vocabulary.phrases.no_promise.search(text):
            continue
        if before and span[0] - before[1] <= 1 and len(text.split()) <= _SHORT:
            before = span
            continue
        first, last = transcript.words[span[0]], transcript.words[span[1] - 1]
        out.append(Promise(start_s=first.start_s, end_s=last.end_s, span=span, text=transcript.text(span)))
        before = span
    return tuple(out)


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
