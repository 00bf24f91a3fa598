"""Parts of the list in the talk: by name, other name, head noun, another word for it, or by how it looks."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from typing import Final

from msgspec import Struct

from benchscribe.mentions.keys import bare, singular
from benchscribe.mentions.talk import Talk
from benchscribe.mentions.vocabulary import Vocabulary
from benchscribe.records import Mention, Part, PartList, Span, Transcript
from benchscribe.units import is_length, to_mm

_WIDEST: Final = 5
_PLACES: Final = frozenset(
    "top bottom left right front back side upper lower middle inner outer long short corner center centre main end rear base face edge big small large little tall wide inside outside first second".split()
)
"""Words of a name that say where or how, and name a part alone only as a noun ("the back", "two tops")."""
_DETERMINERS: Final = frozenset(
    "the a my this that each both these those one two three four five six seven eight our your and another of".split()
)
_WHERE: Final = frozenset(
    "at on off in from along over up to across near down against toward towards into outside inside around under above below out".split()
)
_ONES: Final = frozenset("ones one bits pieces sticks guys fellas boards strips fellows lads bit".split())
_NUMBERS: Final = {
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "eight": 8,
    "ten": 10,
    "twelve": 12,
    "2": 2,
    "3": 3,
    "4": 4,
    "6": 6,
    "8": 8,
}


class Name(Struct, frozen=True):
    """One way to name parts."""

    parts: tuple[int, ...]
    sure: float
    as_noun: bool = False
    """Counts only where it stands as a noun by itself."""


def find_parts(
    talk: Talk,
    transcript: Transcript,
    part_list: PartList | None,
    vocabulary: Vocabulary,
    others: frozenset[int] = frozenset(),
) -> list[Mention]:
    """Find parts of the list.

    A name that fits several parts gives one mention for each, each less sure; the list of mentions is evidence and settles nothing.

    Args:
        talk: The plain, repaired words.
        transcript: Where the times and the words as said are.
        part_list: The plan; without it there are no parts.
        vocabulary: Other words for parts, and words of looks.
        others: Words inside longer names of tools and materials; a part's head noun alone there is no part ("push block").
    """
    if part_list is None:
        return []
    parts = part_list.parts
    names = part_names(parts, vocabulary)
    out: list[Mention] = []
    at = 0
    while at < len(talk.words):
        hit = _hit(talk, at, names)
        if hit is None:
            out += _looks(talk, at, parts, transcript, vocabulary)
            at += 1
            continue
        name, end = hit
        if end - at == 1 and at in others:
            at = end
            continue
        out += [
            _mention(
                transcript,
                parts[i],
                (at, end),
                name.sure if len(name.parts) == 1 else name.sure * 0.85 / len(name.parts),
            )
            for i in name.parts
        ]
        at = end
    return out


def part_names(parts: tuple[Part, ...], vocabulary: Vocabulary) -> dict[tuple[str, ...], Name]:
    """Give every way to name the parts, the surest first where one wording comes up twice."""
    gathered: dict[tuple[str, ...], dict[int, tuple[float, bool]]] = {}
    for index, part in enumerate(parts):
        for words, sure, as_noun in _ways(part, vocabulary):
            ways = gathered.setdefault(words, {})
            if sure > ways.get(index, (0.0, False))[0]:
                ways[index] = (sure, as_noun)
    out = {}
    for words, ways in gathered.items():
        best = max(sure for sure, _ in ways.values())
        # A part's own word comes before another part's word for the same ("top" of "Top panel" before "lid, also called top").
        kept = tuple(i for i, (sure, _) in ways.items() if sure > best - 0.2)
        out[words] = Name(kept, best, all(ways[i][1] for i in kept))
    return out


def _words(name: str) -> tuple[str, ...]:
    name = re.sub(r"\([^)]*\)", " ", name.lower())
    name = re.sub(r",.*", "", name)
    return tuple(
        singular(bare(w)) for w in re.split(r"[\s/&-]+", name) if bare(w) and not re.search(r"\d", w)
    )


def _ways(part: Part, vocabulary: Vocabulary) -> Iterator[tuple[tuple[str, ...], float, bool]]:
    """Give wordings for one part, how sure each is, and whether it must stand as a noun by itself."""
    for other in part.other_names:
        if words := _words(other):
            yield words, 0.95, False
            if len(words) > 1 and words[-1] not in _PLACES:
                yield (words[-1],), 0.55, False
    words = _words(part.name)
    if not words:
        return
    yield words, 0.98 if not part.hardware else 0.9, len(words) == 1 and words[0] in _PLACES
    if part.hardware:
        return
    head = words[-1]
    if len(words) > 1:
        yield (head,), 0.75, head in _PLACES
        yield from _pieces(words, vocabulary)
    for other in vocabulary.also.get(head, ()):
        said = tuple(singular(w) for w in other.split())
        yield said, 0.45, said[-1] in _PLACES
        if len(words) > 1:
            yield (*words[:-1], *said), 0.7, False


def _pieces(words: tuple[str, ...], vocabulary: Vocabulary) -> Iterator[tuple[tuple[str, ...], float, bool]]:
    """Give the wordings that a name's words before its head make: "lower rail", "the top", "the window"."""
    for i, word in enumerate(words[:-1]):
        if len(words) > 2:
            yield (word, words[-1]), 0.85, False
        if word in _PLACES:
            yield (word,), 0.6, True
            for other in vocabulary.also.get(word, ()):
                if " " not in other:
                    yield (other,), 0.45, True
        elif len(word) > 3 and i == 0:
            yield (word,), 0.4, True


def _hit(talk: Talk, at: int, names: dict[tuple[str, ...], Name]) -> tuple[Name, int] | None:
    """Find the longest name that begins at a word."""
    for width in range(min(_WIDEST, len(talk.words) - at), 0, -1):
        if any(talk.stops[i] == 2 for i in range(at, at + width - 1)):
            continue
        group = [w for word in talk.words[at : at + width] for w in word.split("-")]
        name = names.get(tuple(singular(w) for w in group)) if all(group) else None
        if name and (not name.as_noun or _noun(talk, (at, at + width))):
            return name, at + width
    return None


def _noun(talk: Talk, span: Span) -> bool:
    """Tell whether a word of place stands for the part ("the back goes in dry", "tops and bottoms") or for a place ("off the top edge")."""
    start, end = span
    word = talk.words[end - 1]
    before = talk.words[start - 1] if start and talk.stops[start - 1] < 2 else ""
    earlier = talk.words[start - 2] if start > 1 and talk.stops[start - 2] < 2 else ""
    after = talk.words[end] if end < len(talk.words) and talk.stops[end - 1] == 0 else ""
    if after == "of" or (after and talk.tags[end].startswith(("NN", "VBG")) and talk.stops[end - 1] == 0):
        return False
    if word.endswith("s") and singular(word) != word:
        return earlier not in _WHERE or before in ("all", "both")
    return (
        before in _DETERMINERS and not (before == "the" and earlier in _WHERE) and before not in ("of", "a")
    )


def _looks(
    talk: Talk, at: int, parts: tuple[Part, ...], transcript: Transcript, vocabulary: Vocabulary
) -> list[Mention]:
    """Find a part by its looks: "the two long ones", "the skinny ones"."""
    if at == 0 or talk.words[at] not in _ONES or talk.words[at - 1] not in vocabulary.describes:
        return []
    dimension, end = vocabulary.describes[talk.words[at - 1]]
    start = at - 1
    count = None
    while (
        start > 0
        and at - start < 5
        and talk.words[start - 1]
        in (*_NUMBERS, "the", "these", "those", "other", "little", "big", "long", "really")
    ):
        start -= 1
        count = _NUMBERS.get(talk.words[start], count)
    options = [
        (size, i)
        for i, p in enumerate(parts)
        if not p.hardware
        and (size := _size(p, dimension)) is not None
        and (count is None or p.count == count)
    ]
    if not options:
        return []
    best = (min if end == "least" else max)(size for size, _ in options)
    chosen = [i for size, i in options if size == best]
    return (
        [
            _mention(transcript, parts[i], (start, at + 1), (0.5 if count else 0.35) / len(chosen))
            for i in chosen
        ]
        if len(chosen) < 4
        else []
    )


def _size(part: Part, dimension: str) -> Fraction | None:
    sizes: dict[str, Fraction] = {
        x.dimension: to_mm(x.value, x.unit)
        for x in part.listed
        if x.value is not None and not x.feature and not x.rough and is_length(x.unit)
    }
    if dimension == "area":
        known = [sizes[d] for d in ("width", "length", "diameter") if d in sizes]
        return known[0] * known[-1] if known else None
    if dimension == "length":
        return sizes.get("length") or sizes.get("height")
    return sizes.get(dimension)


def _mention(transcript: Transcript, part: Part, span: Span, sure: float) -> Mention:
    return Mention(
        start_s=transcript.words[span[0]].start_s,
        end_s=transcript.words[span[1] - 1].end_s,
        kind="part",
        name=part.name,
        words=transcript.text(span).strip(" .,;:!?\"'“”"),
        span=span,
        confidence=round(sure, 3),
    )
