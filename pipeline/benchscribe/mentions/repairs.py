"""Trade words that were heard as other words: repaired by sound and context, never a size."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

from benchscribe.mentions.keys import letters, singular, singular_key, sound
from benchscribe.mentions.vocabulary import RepairRule, Vocabulary
from benchscribe.records import Measure, PartList, Repair, Span, Transcript

_SMALL_WORDS: Final = frozenset(
    "over under into onto with from then than that this these those they them there here when where what have been were will would could just some more most each every both other another after before about above below again along around back down down only even ever never very well much many".split()
)
"""Words of every sentence: they are heard right."""
_NEAR: Final = 6
"""Words on either side in which a word of the trade must stand."""
_ALIKE: Final = 80
"""Percent of likeness (Levenshtein ratio) for one word of a part's name beside another that is right."""


def find_repairs(
    transcript: Transcript,
    words: tuple[str, ...],
    part_list: PartList | None,
    measures: Iterable[Measure],
    vocabulary: Vocabulary,
) -> tuple[Repair, ...]:
    """Find what the recogniser wrote for a trade word or a part's name.

    Args:
        transcript: As listened.
        words: Its plain words.
        part_list: Names that a word may have been.
        measures: Their words are left alone.
        vocabulary: The pairs, and the words that are right as they are.
    """
    sizes = {i for m in measures for i in range(*m.span)}
    taken: set[int] = set(sizes)
    known = _right_as_they_are(words, vocabulary)
    found: list[Repair] = []
    by_first = _by_first(vocabulary.repairs)
    names = _names(part_list)
    for start, word in enumerate(words):
        if start in taken:
            continue
        for heard, meant, rule in by_first.get(word, ()):
            span = (start, start + len(heard))
            if (
                words[start : span[1]] != heard
                or taken & set(range(*span))
                or (len(heard) == 1 and start in known)
            ):
                continue
            why = _believed(words, span, rule)
            if why:
                found.append(_repair(transcript, span, heard, meant, why))
                taken |= set(range(*span))
                break
        else:
            if start not in known and (fix := _like_a_part(words, start, names, vocabulary)):
                found.append(
                    _repair(
                        transcript, (start, start + 1), (word,), fix[0], f"sounds like the part {fix[1]!r}"
                    )
                )
                taken.add(start)
    return tuple(found)


def _repair(transcript: Transcript, span: Span, heard: tuple[str, ...], meant: str, why: str) -> Repair:
    first, last = transcript.words[span[0]], transcript.words[span[1] - 1]
    return Repair(
        start_s=first.start_s, end_s=last.end_s, span=span, heard=" ".join(heard), meant=meant, why=why
    )


@lru_cache(maxsize=8)
def _by_first(rules: tuple[RepairRule, ...]) -> dict[str, list[tuple[tuple[str, ...], str, RepairRule]]]:
    out: dict[str, list[tuple[tuple[str, ...], str, RepairRule]]] = {}
    for rule in rules:
        for heard, meant in rule.words:
            out.setdefault(heard[0], []).append((heard, meant, rule))
    for options in out.values():
        options.sort(key=lambda o: -len(o[0]))
    return out


def _believed(words: tuple[str, ...], span: Span, rule: RepairRule) -> str:
    """Give the reason to believe that another word was meant; empty where there is none."""
    before = words[span[0] - 1] if span[0] else ""
    after = words[span[1]] if span[1] < len(words) else ""
    if before in rule.not_after or after in rule.not_before:
        return ""
    if not rule.near:
        return "by sound: the words heard mean nothing in a shop"
    around = (*words[max(0, span[0] - _NEAR) : span[0]], *words[span[1] : span[1] + _NEAR])
    near = next((w for w in around if w in rule.near or singular(w) in rule.near), "")
    return f"by sound, beside {near!r}" if near else ""


def _right_as_they_are(words: tuple[str, ...], vocabulary: Vocabulary) -> set[int]:
    """Give the words inside a name of two words or more that the vocabulary knows ("biscuit joiner")."""
    known: set[int] = set()
    for start in range(len(words) - 1):
        for width in (3, 2):
            group = words[start : start + width]
            if len(group) == width and all(group) and singular_key(group) in vocabulary.terms:
                known |= set(range(start, start + width))
                break
    return known


def _names(part_list: PartList | None) -> tuple[tuple[str, ...], ...]:
    if part_list is None:
        return ()
    names = [
        re.sub(r"\([^)]*\)|,.*", "", n)
        for p in part_list.parts
        if not p.hardware
        for n in (p.name, *p.other_names)
    ]
    return tuple(
        dict.fromkeys(tuple(letters(w) for w in n.split()) for n in names if len(n.split()) in (2, 3))
    )


def _like_a_part(
    words: tuple[str, ...], at: int, names: tuple[tuple[str, ...], ...], vocabulary: Vocabulary
) -> tuple[str, str] | None:
    """Find a two- or three-word name of which all words but this one stand here, and this one sounds like the missing one."""
    from rapidfuzz.fuzz import ratio

    heard = words[at]
    if (
        len(heard) < 4
        or not heard.isalpha()
        or singular_key((heard,)) in vocabulary.terms
        or letters(heard) in vocabulary.verbs
        or heard in _SMALL_WORDS
    ):
        return None
    known = {singular(w) for name in names for w in name}
    if singular(heard) in known or any(len(w) > 3 and heard.startswith(w) for w in known):
        return None
    for name in names:
        for place, meant in enumerate(name):
            start = at - place
            if start < 0 or start + len(name) > len(words) or len(meant) < 4:
                continue
            rest = all(
                singular(letters(words[start + i])) == singular(w) for i, w in enumerate(name) if i != place
            )
            if rest and (ratio(singular(heard), singular(meant)) >= _ALIKE or sound(heard) == sound(meant)):
                return meant, " ".join(name)
    return None
