"""What was declared: "the sheet is wrong", "I moved mine", "there's a blank on the list"."""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_left
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Final

from msgspec import Struct

from benchscribe.records import Span
from benchscribe.spoken.phrases import Hit, PhraseBook, phrase_book
from benchscribe.spoken.words import Talk

_CLASS: Final = re.compile(r"\{([^}]*)\}")
_BEFORE: Final = 45
"""A declaration reaches this many words ahead: "get a pen. It's wrong. It doesn't touch the back ... It needs to be 234"."""
_AFTER: Final = 25
_SECOND: Final = 0.35
"""Share that a second sign adds to the strongest."""
_FADE: Final = 0.35
"""Share of its weight that a phrase has lost at the end of its reach."""
_SIGN_FADES: Final = (1.0, 0.7, 0.4)
"""What a weak sign counts in the size's own sentence, in the next one, and in the one beyond; no further."""
_SIGN_STEP: Final = 16
"""Words that stand for a sentence where talk has no full stops."""
_CHOICE_FADES: Final = (1.0, 0.95, 0.75, 0.5, 0.3)
"""What a maker's choice counts by the sentences from it: it mostly stands with the size; what is wrong with a plan is told at length."""
_CHOICE_BEHIND: Final = 0.7
"""What is left of a choice that is told in a sentence behind its size: by then it may be of something else."""
_SIGNS: Final = 2.6
"""Most that weak signs come to."""


class _Cue(Struct, frozen=True):
    name: str
    weight: float
    phrases: tuple[str, ...]
    sign: str = ""
    """Name of the weak sign that it is; empty for a phrase that speaks by itself."""


class Declared(Struct, frozen=True):
    """What the words around a size declare."""

    weights: dict[str, float]
    because: dict[str, str]

    def of(self, name: str) -> float:
        """Give how strongly something was declared."""
        return self.weights.get(name, 0.0)


@cache
def _table() -> tuple[tuple[_Cue, ...], PhraseBook]:
    data = tomllib.loads(files("benchscribe.spoken").joinpath("declared.toml").read_text(encoding="utf-8"))
    classes = data["words"]
    cues = tuple(
        _Cue(e["name"], e["weight"], tuple(_expanded(p, classes) for p in e["phrases"]), e.get("sign", ""))
        for e in data["cue"]
    )
    return cues, phrase_book((str(i), phrase) for i, cue in enumerate(cues) for phrase in cue.phrases)


def _expanded(phrase: str, classes: dict[str, str]) -> str:
    """Put the words of a class in the place of its name: "the {plan} is wrong"; inside brackets they join the other words."""
    pieces = re.split(r"(\([^)]*\))", phrase)
    return "".join(_with_classes(piece, classes) for piece in pieces)


def _with_classes(piece: str, classes: dict[str, str]) -> str:
    inside = piece.startswith("(")
    return _CLASS.sub(lambda match: _any_of(match, classes, inside=inside), piece)


def _any_of(match: re.Match[str], classes: dict[str, str], *, inside: bool) -> str:
    words = "|".join(classes.get(match[1], match[1]).split())
    return words if inside else f"({words})"


class Language:
    """Finds declarations in an episode; made once, asked for every doubtful size."""

    def __init__(self, talk: Talk) -> None:
        """Find every phrase once."""
        self.talk = talk
        self._cues, book = _table()
        self._hits: list[Hit] = sorted(book.find(talk.tokens), key=lambda hit: hit.start)
        self._starts = [hit.start for hit in self._hits]

    def around(
        self,
        span: Span,
        *,
        first: int = 0,
        last: int | None = None,
        reach: int = _AFTER,
        counts: Callable[[str, Span], bool] | None = None,
        signs: bool = False,
    ) -> Declared:
        """Say what is declared around a size.

        Args:
            span: The size's words.
            first: Where the talk about the part begins; nothing before it counts.
            last: Where the talk about the part ends.
            reach: Words behind the size that are still heard.
            counts: Told the name and the words of each phrase, says whether it speaks of this size; without it, all do.
            signs: Whether weak signs count too.
        """
        low = max(first, span[0] - _BEFORE)
        high = min(last if last is not None else len(self.talk.tokens), span[1] + reach)
        weights: dict[str, float] = {}
        because: dict[str, str] = {}
        heard: dict[str, list[float]] = {}
        weak: dict[tuple[str, str], float] = {}
        where = bisect_left(self._starts, low)
        for place in range(where, bisect_left(self._starts, high)):
            hit = self._hits[place]
            cue = self._cues[int(hit.name)]
            if (cue.sign and not signs) or (
                counts is not None and not counts(cue.name, (hit.start, hit.end))
            ):
                continue
            if cue.sign:
                weight = cue.weight * self._sign_share(hit, span)
                weak[cue.name, cue.sign] = max(weak.get((cue.name, cue.sign), 0.0), weight)
                continue
            apart, reach = (
                (span[0] - hit.end, _BEFORE) if hit.end <= span[0] else (hit.start - span[1], reach)
            )
            weight = cue.weight * (1 - _FADE * max(0, apart) / reach)
            if cue.name == "changed":
                sentences = self._apart(hit, span)
                weight *= _CHOICE_FADES[min(sentences, len(_CHOICE_FADES) - 1)]
                weight *= _CHOICE_BEHIND if sentences and hit.start >= span[1] else 1.0
            if weight > max(heard.get(cue.name, [0.0])):
                because[cue.name] = " ".join(self.talk.tokens[hit.start : hit.end])
            # Two weak signs make a strong one; more of them add nothing.
            heard.setdefault(cue.name, []).append(weight)
        for name, found in heard.items():
            strongest, *rest = sorted(found, reverse=True)
            weights[name] = strongest + _SECOND * rest[0] if rest else strongest
        for name in {name for name, _ in weak}:
            total = sum(weight for (of, _), weight in weak.items() if of == name)
            weights[name] = weights.get(name, 0.0) + min(_SIGNS, total)
        return Declared(weights, because)

    def _sign_share(self, hit: Hit, span: Span) -> float:
        """Give what a weak sign counts for a size, by the sentences between them."""
        apart = self._apart(hit, span)
        return _SIGN_FADES[apart] if apart < len(_SIGN_FADES) else 0.0

    def _apart(self, hit: Hit, span: Span) -> int:
        """Give how many sentences lie from a phrase to a size, or as many words as stand for them."""
        if self.talk.punctuated:
            return abs(self.talk.sentence_of[hit.start] - self.talk.sentence_of[span[0]])
        return max(hit.start - span[1], span[0] - hit.end, 0) // _SIGN_STEP
