"""What is put off to a later episode."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import lru_cache
from importlib import resources
from typing import Final

from msgspec import Struct

from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Promise, Span, Transcript

_SUBJECT: Final = re.compile(r"^(?:and|but|so|then|also|plus)$")
_OPENS: Final = frozenset(
    "the a there's i'll i'm we'll we're my then i that's it'll next as for on what".split()
)
_FRESH: Final = re.compile(
    r"(?:and |but |so |then |also )*(?:and|also|plus|then) (?:then )?(?:the|a|there's|my|on)\b"
)
_JUST_SEE: Final = re.compile(
    r"(?:\S+ ){0,4}we'll see\b|(?:\S+ ){0,1}(?:that|this|it) (?:one )?(?:waits|can wait|comes)\b"
)
"""What goes on with the promise before it."""
_JOINING: Final = frozenset(("and", "but", "so", "then", "oh", "well", "right", "okay", ""))
_SHORT: Final = 4
_BREATH_S: Final = 9.0
_CLOSING: Final = 0.88
"""Share of the talk after which plans for later are told."""


class _Deferral(Struct, frozen=True):
    """The tables of `deferral.toml`."""

    occasion: re.Pattern[str]
    intent: re.Pattern[str]
    closing: re.Pattern[str]
    alone: re.Pattern[str]
    points_back: re.Pattern[str]
    never: re.Pattern[str]


@lru_cache(maxsize=1)
def _deferral() -> _Deferral:
    table = tomllib.loads(
        resources.files("benchscribe.mentions").joinpath("words/deferral.toml").read_text("utf-8")
    )
    words = {name: "|".join(sorted(some, key=len, reverse=True)) for name, some in table["words"].items()}

    def read(part: str) -> re.Pattern[str]:
        patterns = table[part]["patterns"]
        for name, some in words.items():
            patterns = [pattern.replace("{" + name + "}", some) for pattern in patterns]
        return re.compile("|".join(f"(?:{pattern})" for pattern in patterns))

    return _Deferral(
        occasion=read("occasion"),
        intent=read("intent"),
        closing=read("closing"),
        alone=read("alone"),
        points_back=read("points_back"),
        never=read("never"),
    )


def find_promises(talk: Talk, transcript: Transcript, vocabulary: Vocabulary) -> tuple[Promise, ...]:
    """Find promises, one for each thing put off, at the start of the clause that names it.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        vocabulary: How makers put things off.
    """
    out: list[Promise] = []
    for span in _clauses(talk):
        text = talk.text(span)
        if not _puts_off(talk, span, text, vocabulary):
            continue
        last = out[-1].span if out else None
        if last and not _new_thing(talk, span, text) and _same_breath(transcript, last, span):
            out[-1] = _promise(transcript, (last[0], span[1]))
        else:
            out.append(_promise(transcript, _whole(talk, transcript, span, text, last[1] if last else 0)))
    return tuple(out)


def _puts_off(talk: Talk, span: Span, text: str, vocabulary: Vocabulary) -> bool:
    """Tell whether a clause puts something off: in so many words, or because what is meant to be done waits for another day."""
    ways = _deferral()
    if vocabulary.phrases.no_promise.search(text) or ways.never.search(text):
        return False
    if vocabulary.phrases.promise.search(text) or ways.alone.search(text):
        return True
    if span[0] < _CLOSING * len(talk.words):
        return False
    if vocabulary.phrases.closing.search(text) or ways.closing.search(text):
        return True
    return bool(ways.intent.search(text) and ways.occasion.search(text))


def _new_thing(talk: Talk, span: Span, text: str) -> bool:
    """Tell whether a clause behind a promise puts off something else: it is long enough, and names a thing of its own."""
    if len(text.split()) <= _SHORT:
        return False
    if _FRESH.match(text):
        return True
    rest = set(_deferral().occasion.sub(" ", text).split())
    named = any(talk.tags[i].startswith("NN") and talk.words[i] in rest for i in range(*span))
    begins = span[0] == 0 or talk.stops[span[0] - 1] == 2 or _unpunctuated(talk)
    return named and begins and not _JUST_SEE.match(text)


def _unpunctuated(talk: Talk) -> bool:
    """Tell talk whose recogniser wrote no full stops: there a new line is all that a new sentence has."""
    return talk.stops.count(2) < len(talk.spans) // 4


def _whole(talk: Talk, transcript: Transcript, span: Span, text: str, floor: int) -> Span:
    """Give a promise with the sentence before it where it only points back to that ("That'll have to wait"), and without an opening "and"."""
    start = span[0]
    if _deferral().points_back.search(text) or len(text.split()) <= _SHORT:
        earlier = next((a for a, b in talk.spans if b == start or a < start <= b), start)
        if earlier >= floor and _same_breath(transcript, (earlier, start), span):
            start = earlier
    while start + _SHORT < span[1] and talk.words[start] in _JOINING:
        start += 1
    return start, span[1]


def _promise(transcript: Transcript, span: Span) -> Promise:
    first, last = transcript.words[span[0]], transcript.words[span[1] - 1]
    return Promise(
        start_s=first.start_s, end_s=last.end_s, span=span, text=transcript.text(span).rstrip(",;: ")
    )


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
