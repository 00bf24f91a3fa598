"""Parts of the list in the talk: by name, other name, head noun, another word for it, or by how it looks."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
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
_ONES: Final = frozenset(
    "ones one pair bits pieces sticks guys fellas boards strips fellows lads bit".split()
)
_LOOSE: Final = frozenset({"other", "first", "second"})
"""Words before "one" that tell of an order and not of a part's name."""
_BEFORE_LOOKS: Final = frozenset({"the", "these", "those", "other", "little", "big", "long", "really"})
_AT: Final = frozenset({"at", "on", "in", "along"})
_LETTERED: Final = ("part", "piece", "item", "letter", "mark", "member")
_NUMBERED: Final = (("item",), ("part", "number"), ("piece", "number"), ("mark",))
"""Words before the plan's own letter or number of a part."""
_FAMILY: Final = 0.45
"""A part named less surely than this does not say what "the long one" is one of."""
_SHOWN: Final = 0.7
"""How sure a noun is that a word of looks or of place tells apart."""
_NUMBERS: Final = {
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "eight": 8,
    "nine": 9,
    "ten": 10,
    "twelve": 12,
    "2": 2,
    "3": 3,
    "4": 4,
    "6": 6,
    "5": 5,
    "8": 8,
    "10": 10,
    "12": 12,
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
    family = _Family(parts)
    at = 0
    while at < len(talk.words):
        hit = _hit(talk, at, names)
        if hit is None:
            found = (
                _one_of(talk, at, parts, family)
                or _one_at(talk, at, parts, family)
                or _looks(talk, at, parts, family, vocabulary)
            )
            out += [_mention(transcript, parts[i], span, sure) for span, i, sure in found]
            family.named(i for _, i, sure in found if sure >= _FAMILY)
            at += 1
            continue
        name, end = hit
        if end - at == 1 and at in others:
            at = end
            continue
        meant, sure = _narrowed(talk, (at, end), name, parts, vocabulary)
        out += [
            _mention(transcript, parts[i], (at, end), sure if len(meant) == 1 else sure * 0.85 / len(meant))
            for i in meant
        ]
        if sure >= _FAMILY:
            family.named(meant)
        at = end
    return sorted(out, key=lambda m: m.span)


class _Family:
    """The parts that share a noun with the one named last: "the long one" after "the arms" is an arm."""

    def __init__(self, parts: tuple[Part, ...]) -> None:
        self._heads = [_words(part.name)[-1:] for part in parts]
        self._parts: frozenset[int] = frozenset()

    def named(self, parts: Iterable[int]) -> None:
        heads = {self._heads[i] for i in parts}
        if heads:
            self._parts = frozenset(i for i, head in enumerate(self._heads) if head and head in heads)

    def within(self, options: list[int]) -> list[int]:
        """Give those of some parts that are of the family; all of them where none or only one part is."""
        inside = [i for i in options if i in self._parts]
        return inside if inside and len(self._parts) > 1 else options


def _narrowed(
    talk: Talk, span: Span, name: Name, parts: tuple[Part, ...], vocabulary: Vocabulary
) -> tuple[tuple[int, ...], float]:
    """Choose among the parts that a noun fits by what stands before it: "the tall legs", "four rails", and by its number."""
    start, end = span
    meant = name.parts
    if len(meant) == 1:
        return meant, name.sure
    before = talk.words[start - 1] if start and talk.stops[start - 1] < 2 else ""
    if before in vocabulary.describes:
        chosen = _extreme(meant, parts, *vocabulary.describes[before])
        if chosen:
            return chosen, max(name.sure, _SHOWN) if len(chosen) == 1 else name.sure
    word = talk.words[end - 1]
    number = _NUMBERS.get(before)
    if number is not None:
        counted = tuple(i for i in meant if parts[i].count == number)
    elif word.endswith("s") and singular(word) != word:
        counted = tuple(i for i in meant if parts[i].count != 1)
    else:
        counted = ()
    return (counted, name.sure) if counted else (meant, name.sure)


def _extreme(options: Iterable[int], parts: tuple[Part, ...], dimension: str, end: str) -> tuple[int, ...]:
    """Give the parts with the most or the least of a dimension; none where it tells nothing apart."""
    sizes = [(size, i) for i in options if (size := _size(parts[i], dimension)) is not None]
    if not sizes or end == "has":
        return tuple(i for _, i in sizes)
    best = (min if end == "least" else max)(size for size, _ in sizes)
    chosen = tuple(i for size, i in sizes if size == best)
    return chosen if len(chosen) < len(sizes) or len(sizes) == 1 else ()


def _one_of(talk: Talk, at: int, parts: tuple[Part, ...], family: _Family) -> list[tuple[Span, int, float]]:
    """Find a part by a word of its name before "one": "the front ones", "the upper one"."""
    if at == 0 or talk.words[at] not in _ONES or talk.stops[at - 1] == 2:
        return []
    word = singular(talk.words[at - 1])
    options = [i for i, part in enumerate(parts) if not part.hardware and word in _words(part.name)[:-1]]
    if not options:
        # "The ash ones": the few parts that are made of it.
        options = [i for i, p in enumerate(parts) if not p.hardware and word in p.material.lower().split()]
    if not options or word in _LOOSE:
        return []
    options = family.within(options)
    return [((at - 1, at + 1), i, _SHOWN / len(options)) for i in options] if len(options) < 4 else []


def _one_at(talk: Talk, at: int, parts: tuple[Part, ...], family: _Family) -> list[tuple[Span, int, float]]:
    """Find a part by where it is: "the one at the back", "the two at the sides" of those that share the noun named last."""
    end = at + 4
    if end > len(talk.words) or any(talk.stops[at : end - 1]) or at == 0:
        return []
    one, where, the, place = talk.words[at:end]
    if (one not in _ONES and one not in _NUMBERS) or where not in _AT or the != "the":
        return []
    if talk.words[at - 1] not in _DETERMINERS or singular(place) not in _PLACES:
        return []
    options = [i for i, p in enumerate(parts) if not p.hardware and singular(place) in _words(p.name)[:-1]]
    nearer = family.within(options)
    sure = _SHOWN if len(nearer) < len(options) or len(options) == 1 else 0.5
    return [((at, end), i, sure / len(nearer)) for i in nearer] if len(nearer) < 4 else []


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
    yield from _by_ref(part.ref.strip().lower())
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


def _by_ref(ref: str) -> Iterator[tuple[tuple[str, ...], float, bool]]:
    """Give the wordings by the plan's own letter or number: "part C", "item 7"; "part two" is as often the next film."""
    if len(ref) == 1 and ref.isalpha():
        for word in _LETTERED if ref not in ("a", "i") else ("letter", "mark"):
            yield (word, ref), 0.9, False
    elif ref.isdigit():
        for words in _NUMBERED:
            yield (*words, ref), 0.9, False


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
    return before in _DETERMINERS and earlier not in _WHERE and before not in ("of", "a")


def _looks(
    talk: Talk, at: int, parts: tuple[Part, ...], family: _Family, vocabulary: Vocabulary
) -> list[tuple[Span, int, float]]:
    """Find a part by its looks: "the two long ones", "the skinny ones"; first among those that share the noun named last."""
    if at == 0 or talk.words[at] not in _ONES or talk.words[at - 1] not in vocabulary.describes:
        return []
    start = at - 1
    count = None
    while start > 0 and at - start < 5 and talk.words[start - 1] in (*_NUMBERS, *_BEFORE_LOOKS):
        start -= 1
        count = _NUMBERS.get(talk.words[start], count)
    options = [i for i, p in enumerate(parts) if not p.hardware and (count is None or p.count == count)]
    nearer = family.within(options)
    chosen = _extreme(nearer, parts, *vocabulary.describes[talk.words[at - 1]])
    if not chosen or len(chosen) >= 4:
        return []
    sure = 0.5 if count or len(nearer) < len(options) else 0.35
    return [((start, at + 1), i, sure / len(chosen)) for i in chosen]


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
