"""How a word is compared: lower case, one spelling for "band saw", "band-saw" and "bandsaw", plural or not."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from typing import Final

_EDGE: Final = re.compile(r"^[^\w#.]+|[^\w]+$")
_LETTERS: Final = re.compile(r"[^a-z0-9]")


_SPELLINGS: Final = tuple(
    (re.compile(british), american)
    for british, american in (
        (r"^vice(s?)$", r"vise\1"), (r"mould", "mold"), (r"centre", "center"), (r"mitre", "miter"), (r"plough", "plow"), (r"aluminium", "aluminum"), (r"fibre", "fiber"),
        (r"^grey", "gray"), (r"jeweller", "jeweler"), (r"calliper", "caliper"), (r"^disk", "disc"), (r"^gage(s?)$", r"gauge\1"), (r"^ax$", "axe"), (r"pein", "peen"), (r"colour", "color"),
        (r"(bev|lev|pan|mod|enam|dow|chis)ell", r"\1el"), (r"sulph", "sulf"), (r"mortic", "mortis"), (r"galvanis", "galvaniz"), (r"anodis", "anodiz"), (r"^calk", "caulk"), (r"^tyre", "tire"),
    )
)  # fmt: skip


@lru_cache(maxsize=65536)
def bare(word: str) -> str:
    """Give a word in lower case without the punctuation round it; inner hyphens, slashes and apostrophes stay.

    >>> bare("“Planer’s,")
    "planer's"
    """
    word = word.replace("’", "'").replace("‘", "'").lower()
    return _EDGE.sub("", word)


@lru_cache(maxsize=65536)
def letters(word: str) -> str:
    """Give only the letters and digits of a word; a possessive ending goes, and British spelling is American.

    >>> letters("vice"), letters("mould"), letters("centre")
    ('vise', 'mold', 'center')
    """
    plain = _LETTERS.sub("", re.sub(r"'(?:s|ll|d|re|ve)$", "", word.lower().replace("’", "'")))
    for british, american in _SPELLINGS:
        plain = british.sub(american, plain)
    return plain


@lru_cache(maxsize=65536)
def singular(word: str) -> str:
    """Give the singular of an English noun by rule.

    >>> singular("clamps"), singular("brushes"), singular("brass"), singular("knives")
    ('clamp', 'brush', 'brass', 'knife')
    """
    if len(word) < 4 or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ves") and word[:-3] + "f" in _F_WORDS:
        return word[:-3] + "f"
    if word.endswith("ves") and word[:-3] + "fe" in _F_WORDS:
        return word[:-3] + "fe"
    if word.endswith("ies") and len(word) > 5:
        return word[:-3] + "y"
    if word.endswith(("shes", "ches", "xes", "sses", "zzes")):
        return word[:-2]
    return word.removesuffix("s")


_F_WORDS: Final = frozenset(
    ("shelf", "half", "leaf", "knife", "life", "loaf", "sheaf", "calf", "hoof", "drawknife")
)


def key(words: list[str] | tuple[str, ...]) -> str:
    """Join words into one key."""
    return "".join(letters(w) for w in words)


def singular_key(words: list[str] | tuple[str, ...]) -> str:
    """Join words into one key, the last of them in the singular."""
    return "".join(letters(w) for w in words[:-1]) + singular(letters(words[-1]))


def beginnings(names: Iterable[str]) -> frozenset[str]:
    """Give how the keys of names begin, so that most words of a talk are passed over at one look: up to `BEGINNING` letters of each.

    >>> sorted(beginnings(["bandsaw"]))
    ['b', 'ba', 'ban', 'band']
    """
    return frozenset(name[:n] for name in names for n in range(1, BEGINNING + 1))


BEGINNING: Final = 4
"""Letters by which names are told that a word may begin."""


@lru_cache(maxsize=16384)
def sound(word: str) -> str:
    """Give a rough key of how an English word sounds: consonants by class, vowels left out but for a leading one.

    >>> sound("miter") == sound("mighter"), sound("kerf") == sound("curf")
    (True, True)
    """
    text = letters(word)
    for pattern, to in _SOUNDS:
        text = pattern.sub(to, text)
    if not text:
        return ""
    first = "A" if text[0] in "aeiouy" else text[0]
    rest = re.sub(r"[aeiouyhw]", "", text[1:])
    return re.sub(r"(.)\1+", r"\1", first + rest)


_SOUNDS: Final = tuple(
    (re.compile(pattern), to)
    for pattern, to in (
        (r"^kn|^gn", "n"), (r"^wr", "r"), (r"^wh", "w"), (r"tch", "c"), (r"igh", "i"), (r"augh|ough", "o"), (r"gh", "g"), (r"ph", "f"), (r"ck", "k"),
        (r"c(?=[eiy])", "s"), (r"sch", "sk"), (r"ch", "c"), (r"c(?!h)", "k"), (r"qu", "kw"), (r"x", "ks"), (r"sh|ti(?=o)|ssi(?=o)", "c"), (r"dg(?=e)", "j"), (r"g(?=[ei])", "j"),
        (r"z", "s"), (r"v", "f"), (r"d$", "t"), (r"mb$", "m"), (r"th", "t"),
    )
)  # fmt: skip
