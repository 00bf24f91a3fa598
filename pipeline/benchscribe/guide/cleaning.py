"""The maker's own words, cleaned: no filler, no false start, sizes written right. Nothing is added but the written form of a size."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from importlib import resources
from types import MappingProxyType

import msgspec
from msgspec import Struct

from benchscribe.measures import write_measure
from benchscribe.records import Measure, Repair, Span, Transcript

_JOINING = frozenset({"and", "but", "so", "then", "or", "because", "which", "that", "the", "a"})
"""After these a comma stands only for the filler that followed; before these it stands by its own right."""
NEAR_WORDS = 14
"""A value and the one that takes its place stand at most so far apart for the words between them to go too."""


class _Token(Struct, frozen=True):
    """One word, or a size as written; the text without the punctuation that closes it."""

    text: str
    close: str = ""
    """Punctuation after it."""
    measure: bool = False

    @property
    def bare(self) -> str:
        return self.text.lower().replace("\u2019", "'").strip("\"'([")


class _Fillers(Struct, frozen=True):
    sounds: list[str]
    anywhere: list[str]
    between_commas: list[str]
    opening: list[str]
    opening_before: list[str]
    alone: list[str]


@lru_cache(maxsize=1)
def _fillers() -> _Fillers:
    text = resources.files("benchscribe.guide").joinpath("fillers.toml").read_text("utf-8")
    return msgspec.convert(tomllib.loads(text), _Fillers)


def clean_text(
    transcript: Transcript,
    span: Span,
    measures: Sequence[Measure],
    repairs: Sequence[Repair] = (),
    *,
    instead: Mapping[int, str] = MappingProxyType({}),
) -> str:
    """Write a passage as the maker would have it in print.

    Filler goes, a stammer goes, a value that was taken back goes together with the words that take it back, trade words that were
    misheard are put right, sizes are written the one right way. Every other word is the maker's and stays in its place; words of hand
    and direction always stay.

    Args:
        transcript: What was said.
        span: The passage, half-open word indices.
        measures: All measures of the episode; those outside the passage are passed over.
        repairs: Trade words that were heard as others.
        instead: For measures (by their index) that must not be printed as said, what is printed in their place.

    Returns:
        Sentences, each with a capital and a full stop; empty where nothing but filler was said.

    >>> from benchscribe.records import Word, Utterance
    >>> said = "So, um, the blade's up, up a quarter".split()
    >>> talk = Transcript(files=(), clock="none", words=tuple(map(Word, said)), utterances=(Utterance((0, 8), None, None),))
    >>> clean_text(talk, (0, 8), ())
    "The blade's up a quarter."
    """
    near = [n for n, m in enumerate(measures) if m.span[0] < span[1] and m.span[1] > span[0]]
    first = bisect_right(transcript.utterances, span[0], key=lambda u: u.span[1])
    last = bisect_left(transcript.utterances, span[1], key=lambda u: u.span[0])
    bounds = [u.span for u in transcript.utterances[first:last]] or [span]
    sentences: list[str] = []
    for begin, end in bounds:
        here = (max(begin, span[0]), min(end, span[1]))
        tokens = _tokens(transcript, here, measures, near, repairs, instead)
        for sentence in _sentences(tokens):
            text = _written(_without_filler(sentence))
            if text:
                sentences.append(text)
    return " ".join(sentences)


def _tokens(
    transcript: Transcript,
    span: Span,
    measures: Sequence[Measure],
    near: Sequence[int],
    repairs: Sequence[Repair],
    instead: Mapping[int, str],
) -> list[_Token]:
    """Give the passage's words, with sizes written, values taken back gone, and misheard words put right."""
    gone = _taken_back_words(span, measures, near)
    sizes = {
        measures[n].span[0]: n
        for n in near
        if span[0] <= measures[n].span[0] and measures[n].span[1] <= span[1]
    }
    meant = {r.span[0]: r for r in repairs if span[0] <= r.span[0] and r.span[1] <= span[1]}
    tokens: list[_Token] = []
    index = span[0]
    while index < span[1]:
        if index in gone:
            index += 1
        elif index in sizes:
            number = _standing(sizes[index], measures)
            size = measures[number]
            shown = instead.get(number) or _size(size)
            index = measures[sizes[index]].span[1]
            tokens.append(_Token(shown, _close(transcript.words[index - 1].text), measure=True))
        elif index in meant:
            repair = meant[index]
            tokens.append(_Token(repair.meant, _close(transcript.words[repair.span[1] - 1].text)))
            index = repair.span[1]
        else:
            word = transcript.words[index].text
            close = _close(word)
            tokens.append(_Token(word[: len(word) - len(close)] if close else word, close))
            index += 1
    return [token for token in tokens if token.text]


def _size(size: Measure) -> str:
    """Write a size; one that was said in feet stays in feet and inches."""
    return write_measure(size.value, size.unit, "ft-in" if size.unit in ("foot", "yard") else "in")


def _standing(number: int, measures: Sequence[Measure]) -> int:
    """Give the measure that stands: for one that was taken back, the one that took its place in the end."""
    seen = {number}
    while (
        (after := measures[number].replaced_by) is not None
        and measures[number].taken_back
        and after not in seen
    ):
        number = after
        seen.add(number)
    return number


def _taken_back_words(span: Span, measures: Sequence[Measure], near: Sequence[int]) -> frozenset[int]:
    """Give the words between a value taken back and the value that takes its place, the first included."""
    gone: set[int] = set()
    for size in (measures[n] for n in near):
        if not size.taken_back or size.replaced_by is None or not span[0] <= size.span[0] < span[1]:
            continue
        after = measures[size.replaced_by]
        if size.span[1] <= after.span[0] <= size.span[1] + NEAR_WORDS and after.span[1] <= span[1]:
            gone.update(range(size.span[0], after.span[0]))
    return frozenset(gone)


def _sentences(tokens: Sequence[_Token]) -> list[list[_Token]]:
    found: list[list[_Token]] = [[]]
    for token in tokens:
        found[-1].append(token)
        if re.search(r"[.?!]", token.close):
            found.append([])
    return [sentence for sentence in found if sentence]


def _without_filler(sentence: list[_Token]) -> list[_Token]:
    fillers = _fillers()
    if all(token.bare in fillers.alone or token.bare in fillers.sounds for token in sentence):
        return []
    tokens = _drop(
        _without_sounds(sentence, fillers.sounds), fillers.anywhere, lambda _tokens, _start, _end: True
    )
    tokens = _drop(tokens, fillers.between_commas, _bracketed)
    tokens = _without_opening(tokens, fillers)
    return _without_opening(_without_stammer(tokens), fillers)


def _without_sounds(tokens: Sequence[_Token], sounds: Sequence[str]) -> list[_Token]:
    kept: list[_Token] = []
    for token in tokens:
        if token.bare not in sounds:
            kept.append(token)
        elif kept and "," in kept[-1].close and "," in token.close:
            kept[-1] = msgspec.structs.replace(kept[-1], close="")
        elif kept and re.search(r"[.?!]", token.close):
            kept[-1] = msgspec.structs.replace(kept[-1], close=token.close)
    return kept


def _drop(
    tokens: list[_Token], phrases: Sequence[str], fits: Callable[[Sequence[_Token], int, int], bool]
) -> list[_Token]:
    by_first: dict[str, list[list[str]]] = {}
    for words in sorted((phrase.split() for phrase in phrases), key=len, reverse=True):
        by_first.setdefault(words[0], []).append(words)
    said = [token.bare for token in tokens]
    kept: list[_Token] = []
    index = 0
    while index < len(tokens):
        for words in by_first.get(said[index], ()):
            end = index + len(words)
            if said[index:end] != words or not fits(tokens, index, end):
                continue
            close = tokens[end - 1].close
            goes_on = end < len(tokens) and said[end] not in _JOINING
            # The commas that set the filler off have nothing to set off any more; a full stop moves to the word before.
            if kept and (kept[-1].bare in _JOINING or ("," in kept[-1].close and close == "," and goes_on)):
                kept[-1] = msgspec.structs.replace(kept[-1], close="")
            if kept and re.search(r"[.?!]", close):
                kept[-1] = msgspec.structs.replace(kept[-1], close=close)
            index = end
            break
        else:
            kept.append(tokens[index])
            index += 1
    return kept


def _bracketed(tokens: Sequence[_Token], start: int, end: int) -> bool:
    """Tell whether a filler stands between commas, or between a comma and the sentence's end."""
    before = start > 0 and "," in tokens[start - 1].close
    after = bool(tokens[end - 1].close)
    return before and after


def _without_opening(tokens: list[_Token], fillers: _Fillers) -> list[_Token]:
    by_length = sorted((phrase.split() for phrase in fillers.opening), key=len, reverse=True)
    while True:
        for words in by_length:
            end = len(words)
            if end < len(tokens) and [t.bare for t in tokens[:end]] == words:
                careful = words[-1] in ("right", "now", "see", "look", "wait")
                if careful and not tokens[end - 1].close and tokens[end].bare not in fillers.opening_before:
                    continue
                tokens = tokens[end:]
                break
        else:
            return tokens


def _without_stammer(tokens: list[_Token]) -> list[_Token]:
    """Say once what was said twice in a row: one to three words, never a number that is no size."""
    kept: list[_Token] = []
    for token in tokens:
        kept.append(token)
        for size in (3, 2, 1):
            if len(kept) < 2 * size:
                continue
            last, before = kept[-size:], kept[-2 * size : -size]
            same = [t.bare for t in last] == [t.bare for t in before]
            numbers = any(re.search(r"\d", t.bare) and not t.measure for t in last)
            if same and not numbers:
                del kept[-2 * size : -size]
                break
    return kept


def _written(tokens: list[_Token]) -> str:
    if not any(re.search(r"\w", token.text) for token in tokens):
        return ""
    text = " ".join(token.text + token.close for token in tokens if token.text)
    text = re.sub(r"^(?:[\s,;:!?-]|\.(?!\d))+", "", text)
    text = re.sub(r"(?:[,;:\u2026-]|\.{2,})+\s*$", "", text)
    if not text:
        return ""
    text = re.sub(r"\bi(?=\b(?!\.))(?='|\s|$)", "I", text)
    first = re.search(r"[^\W\d_]", text)
    if first and first.start() == 0:
        text = text[0].upper() + text[1:]
    return text if text[-1] in ".?!" else text + "."


def _close(word: str) -> str:
    found = re.search(r"[.,;:!?\u2026]+$", word)
    return found[0] if found else ""
