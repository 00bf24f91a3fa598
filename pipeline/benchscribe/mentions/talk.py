"""The transcript as the finders see it: plain words, repaired, with their tags and the places where a clause ends."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import Final

from msgspec import Struct

from benchscribe.mentions.keys import BEGINNING, bare, letters
from benchscribe.mentions.language import tag_sentences
from benchscribe.records import Repair, Span, Transcript

_STOP: Final = re.compile(r"[.!?…]+[\"'”’)\]]*$")
_PAUSE: Final = re.compile(r"[,;:–—]+[\"'”’)\]]*$")
_ABBREVIATION: Final = frozenset(("no.", "in.", "approx.", "dia.", "vs.", "e.g.", "i.e.", "etc."))

_MARKS: Final[tuple[tuple[str, ...], ...]] = ((), (",",), (".",))
"""What the tagger is shown for a pause and for the end of a sentence: it reads "drill it" as a verb after a comma."""

_TURNS: Final = frozenset("so then but now okay right anyway".split())
"""Words that begin a new clause where no mark does."""
_MARKED: Final = 60
"""Words in a sentence, at most, of talk that is written with its marks."""
_OVER: Final = 4
"""Words of the utterance before that are looked at for a thing named at the start of an utterance."""


class Talk(Struct, frozen=True):
    """What was said, word by word."""

    words: tuple[str, ...]
    """Lower case, without punctuation, repaired: one entry for each word of the transcript ("" for a word that a repair has used up)."""
    tags: tuple[str, ...]
    """Penn Treebank tags."""
    stops: tuple[int, ...]
    """2 where a sentence ends after the word, 1 at a comma, 0 elsewhere."""
    utterance_of: tuple[int, ...]
    """Index of the utterance that each word is in."""
    spans: tuple[Span, ...]
    """The utterances."""
    plain: tuple[str, ...]
    """The words as they are compared (`keys.letters`)."""
    bare: bool = False
    """It came almost without marks: sentences have no ends to go by."""

    def runs(self, at: int, widest: int, starts: frozenset[str]) -> list[tuple[str, str]]:
        """Give the words from one on as far as a name can go: within the sentence, and while it begins as some name does.

        Args:
            at: The first word.
            widest: Words in the longest name.
            starts: How names begin (`keys.beginnings`).

        Returns:
            For one word, two and so on: all words but the last, joined, and the last.
        """
        found: list[tuple[str, str]] = []
        joined = ""
        for i in range(at, min(at + widest, len(self.plain))):
            found.append((joined, self.plain[i]))
            joined += self.plain[i]
            if self.stops[i] == 2 or joined[:BEGINNING] not in starts:
                break
        return found

    def text(self, span: Span) -> str:
        """Give plain words with single spaces; sentence ends and commas are left out."""
        return " ".join(w for w in self.words[span[0] : span[1]] if w)

    def marked(self, span: Span) -> str:
        """Give plain words with ". " where a sentence ends."""
        ended = (
            self.words[i] + ("." if self.stops[i] == 2 else "")
            for i in range(span[0], span[1])
            if self.words[i]
        )
        return " ".join(ended)

    def clause_before(self, index: int, limit: int = 12) -> str:
        """Give the words before a word within its sentence, at most `limit`, each with a space after it."""
        start = index
        first = self.spans[self.utterance_of[index]][0] if index < len(self.utterance_of) else 0
        # Talk without punctuation is cut into utterances by guess: a little of the one before may belong to this clause.
        first = max(0, first - _OVER) if index - first < _OVER else first
        while start > first and index - start < limit and self.stops[start - 1] < 2:
            start -= 1
            if self.bare and self.words[start] in _TURNS:
                break
        return "".join(f"{w} " for w in self.words[start:index] if w)

    def clause_after(self, index: int, limit: int = 8) -> str:
        """Give the words from a word on within its sentence, at most `limit`."""
        end = index
        if index and self.stops[index - 1] == 2:
            return ""
        while end < len(self.words) and end - index < limit:
            end += 1
            if self.stops[end - 1] == 2:
                break
        return " ".join(w for w in self.words[index:end] if w)


def plain_words(transcript: Transcript) -> tuple[str, ...]:
    """Give every word of a transcript in lower case without punctuation."""
    return tuple(bare(word.text) for word in transcript.words)


def hear(transcript: Transcript, words: tuple[str, ...], repairs: tuple[Repair, ...]) -> Talk:
    """Put repaired words in their places and tag all.

    Args:
        transcript: As listened or read.
        words: Its plain words.
        repairs: What was heard wrong.
    """
    mended = list(words)
    for repair in repairs:
        start, end = repair.span
        meant = repair.meant.lower().split()
        # As many words as there is room for; the last place takes what is left over ("tea nuts" -> "t-nuts", "").
        for i in range(start, end):
            mended[i] = meant[i - start] if i - start < len(meant) else ""
        if len(meant) > end - start:
            mended[end - 1] = " ".join(meant[end - start - 1 :])
    texts = [word.text for word in transcript.words]
    stops = tuple(_stop(text, after) for text, after in pairwise([*texts, ""]))
    spans = tuple(u.span for u in transcript.utterances)
    owner = [0] * len(mended)
    for i, (start, end) in enumerate(spans):
        owner[start:end] = [i] * (end - start)
    tags: list[str] = [""] * len(mended)
    sentences = [[w for i in range(a, b) for w in (mended[i], *_MARKS[stops[i]])] for a, b in spans]
    for (start, end), found in zip(spans, tag_sentences(sentences), strict=True):
        at = 0
        for i in range(start, end):
            tags[i] = found[at]
            at += 1 + len(_MARKS[stops[i]])
    unmarked = stops.count(2) * _MARKED < len(stops)
    plain = tuple(map(letters, mended))
    return Talk(tuple(mended), tuple(tags), stops, tuple(owner), spans, plain, unmarked)


def _stop(text: str, after: str) -> int:
    short = text.lower() in _ABBREVIATION and (text.lower() != "no." or after[:1].isdigit())
    if _STOP.search(text) and not short:
        return 2
    return 1 if _PAUSE.search(text) else 0
