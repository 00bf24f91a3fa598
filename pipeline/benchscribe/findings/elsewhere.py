"""Tells sizes that only seem to be of a part: those taken back, of the whole thing, of the stock, or of something not in the list."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from typing import Final

from msgspec import Struct

from benchscribe.findings.scene import Scene, equal_sizes
from benchscribe.findings.tables import word_sets
from benchscribe.records import Measure
from benchscribe.spoken.plan import size_of
from benchscribe.spoken.words import singular

_LEAD_IN: Final = 14
"""Words from what announces the size of the whole thing to that size."""
_TAKES_BACK: Final = 9
"""Words from a size to the one that takes its place: "8 1/4, nope, hooked the tape wrong, 8 3/4"."""
_WORKED: Final = 40
"""Words in which a size is worked on to another one."""
_SOUNDS_LIKE: Final = 78
"""Likeness in percent of a name and what a recogniser wrote for it: "styles" for stiles."""
_NAME: Final = 4
"""Words in which a name's article stands before its noun: "my old welding machine"."""


class _Words(Struct, frozen=True):
    articles: frozenset[str]
    be: frozenset[str]
    hedges: frozenset[str]
    sizes: frozenset[str]
    no_name: frozenset[str]
    takes_back: frozenset[str]
    twice: frozenset[str]


@cache
def _words() -> _Words:
    return _Words(**word_sets("elsewhere"))


def corrected_at_once(scene: Scene, measure: Measure) -> bool:
    """Tell whether another size takes the place of this one in the same breath: "35, no. 32".

    The other is a size read of the same part, or, unread, the bare number that the list gives.
    """
    talk, end = scene.talk, measure.span[1]
    stop = min(len(talk.tokens), end + _TAKES_BACK)
    back = next((i for i in range(end, stop) if talk.tokens[i] in _words().takes_back), None)
    if back is None or any(i in scene.sized for i in range(end, back)):
        return False
    listed, number = scene.listed(measure), talk.tokens[back + 1] if back + 1 < stop else ""
    if listed is not None and listed.value is not None and number.isdecimal() and int(number) == listed.value:
        return True
    nearest = next((m for m in scene.measures if back < m.span[0] < stop), None)
    if nearest is None or nearest.part not in (measure.part, None):
        return False
    return not equal_sizes(nearest, measure) and like_each_other(nearest, measure)


def worked_on(scene: Scene, measure: Measure, to: Fraction | None = None) -> bool:
    """Tell whether a size is only what another one is worked out from: "4 7/16 between the sides plus an eighth and an eighth: 4 11/16".

    Args:
        scene: The episode.
        measure: The size.
        to: What it must come to, in millimetres; without it, any later size of the same part and dimension.
    """
    between: list[Measure] = []
    for other in scene.measures:
        if other.span[0] < measure.span[1] or (other.unit == "degree") != (measure.unit == "degree"):
            continue
        if other.span[0] - measure.span[1] > _WORKED:
            return False
        right = size_of(other) == to if to is not None else other.dimension == measure.dimension
        if right and other.part in (measure.part, None) and between:
            apart = abs(size_of(other) - size_of(measure))
            added = sum(map(size_of, between))
            tokens = scene.talk.tokens[measure.span[1] : other.span[0]]
            if apart and (apart == added or (apart == 2 * added and _words().twice & set(tokens))):
                return True
        between.append(other)
    return False


def like_each_other(one: Measure, other: Measure) -> bool:
    """Tell whether two sizes can be one, said wrong and said right."""
    kind = (one.unit == "degree") == (other.unit == "degree")
    return kind and bool(size_of(other)) and Fraction(1, 2) <= size_of(one) / size_of(other) <= 2


def of_something_else(scene: Scene, group: list[Measure]) -> bool:
    """Tell whether a size, however often it was said, is of the whole thing, or of a thing that is no part of the list.

    "It's 17 wide over the outsides"; "my machine is 9 wide"; "mine's a 24 inch brake". It is the part's where that was named with it.
    """
    if any(_named_with_it(scene, m) for m in group):
        return False
    return any(
        _of_the_whole(scene, m) or _of_a_subject(scene, m) or _of_what_follows(scene, m) for m in group
    )


def _named_with_it(scene: Scene, measure: Measure) -> bool:
    """Tell whether the part that a size was placed on is named in its sentence."""
    return any(
        m.name == measure.part
        and m.confidence >= 0.6
        and abs(m.span[0] - measure.span[0]) <= _LEAD_IN
        and scene.talk.same_sentence(m.span[0], measure.span[0])
        for m in scene.part_mentions
    )


def _of_the_whole(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is announced as one of the whole thing, in its sentence or in the one before."""
    talk, here = scene.talk, measure.span[0]
    said = scene.language.around(
        measure.span,
        counts=lambda name, words: (
            name == "overall"
            and abs(words[0] - here) <= _LEAD_IN
            and 0 <= talk.sentence_of[here] - talk.sentence_of[words[0]] <= 1
        ),
    )
    return said.of("overall") > 0


def _of_a_subject(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is said of a noun that is no name of its part: "the box is 220", "my machine's 9 wide and 19 long"."""
    tokens, words, here = scene.talk.tokens, _words(), measure.span[0]
    at = here - 1
    skipped = words.hedges | words.sizes
    while at >= 0 and (tokens[at] in skipped or at in scene.sized) and scene.talk.same_sentence(at, here):
        at -= 1
    if at < 1 or not scene.talk.same_sentence(at - 1, here):
        return False
    if tokens[at] in words.be:
        at -= 1
    elif not scene.transcript.words[at].text.lower().replace("\u2019", "'").rstrip(",.;").endswith("'s"):
        return False
    return _is_another_thing(scene, at, measure) and bool(
        words.articles & set(tokens[max(0, at - _NAME + 1) : at])
    )


def _of_what_follows(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size only says what kind of thing the noun behind it is: "a 24 inch brake"."""
    tokens, (start, end) = scene.talk.tokens, measure.span
    led = (start > 0 and tokens[start - 1] in _words().articles) or tokens[start] in ("a", "an")
    if not led or end >= len(tokens) or not scene.talk.same_sentence(start, end):
        return False
    return measure.unit_said and _is_another_thing(scene, end, measure)


def _is_another_thing(scene: Scene, word: int, measure: Measure) -> bool:
    """Tell whether a word is a noun, and neither a name of a part of the list, however misheard, nor a word for its sizes."""
    from rapidfuzz.fuzz import ratio

    said = scene.talk.tokens[word]
    text = singular(said)
    if {said, text} & _words().no_name or text[:1].isdigit() or word in scene.sized:
        return False
    named = {m.name for m in scene.part_mentions if m.span[0] <= word < m.span[1]}
    if named:
        return measure.part not in named
    part = scene.parts.get(measure.part or "")
    names = " ".join((part.name, *part.other_names, part.material)).lower() if part else ""
    own = {singular(name) for name in names.replace(",", " ").split()}
    return not any(text == name or ratio(text, name) >= _SOUNDS_LIKE for name in own)
