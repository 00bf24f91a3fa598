"""The words that chapters are cut and named by, read from the data files beside this module."""

from __future__ import annotations

import re
import tomllib
from functools import lru_cache
from importlib import resources
from typing import NamedTuple

_THE = (
    r"(?:the|a|an|these|those|this|my|our|its|two|three|four|five|six|eight|first|other|last|little|big|"
    r"long|short|top|bottom|front|back|side)"
)


_BEFORE_A_NAME = frozenset(
    {
        "so",
        "ok",
        "okay",
        "right",
        "now",
        "and",
        "the",
        "a",
        "an",
        "all",
        "alright",
        "next",
        "then",
        "well",
        "our",
        "my",
        "these",
        "those",
        "two",
        "three",
        "four",
        "six",
        "first",
        "last",
        "on",
        "to",
        "for",
        "with",
    }
)


_SIDES = frozenset({"front", "back", "side", "sides", "top", "bottom", "end", "ends", "middle", "lid"})
"""Common words, but as a whole sentence they name a part."""


_STRONG = 0.85
_LATE_WORDS = 6


class Turn(NamedTuple):
    """One way to turn to the next matter."""

    pattern: re.Pattern[str]
    weight: float
    words: int


@lru_cache(maxsize=1)
def stopwords() -> frozenset[str]:
    """Give the words that say nothing about the matter."""
    text = resources.files("benchscribe.chapters").joinpath("stopwords.txt").read_text("utf-8")
    return frozenset(word for line in text.splitlines() if not line.startswith("#") for word in line.split())


@lru_cache(maxsize=1)
def _tables() -> dict[str, object]:
    text = resources.files("benchscribe.chapters").joinpath("turns.toml").read_text("utf-8")
    return tomllib.loads(text)


@lru_cache(maxsize=1)
def turns() -> tuple[Turn, ...]:
    """Give the spoken turns, the most words first, so that the closest one is found first."""
    groups = _tables()["turn"]
    assert isinstance(groups, list)
    found = [
        Turn(_pattern(phrase), group["weight"], len(phrase.split()))
        for group in groups
        for phrase in group["phrases"]
    ]
    return tuple(sorted(found, key=lambda turn: (-turn.words, -abs(turn.weight))))


@lru_cache(maxsize=1)
def closings() -> re.Pattern[str]:
    """Give the pattern of words of taking leave."""
    table = _tables()["close"]
    assert isinstance(table, dict)
    first = "|".join(map(re.escape, table["first"]))
    anywhere = "|".join(map(re.escape, table["phrases"]))
    return re.compile(rf"^(?:{first})\b|\b(?:{anywhere})\b")


@lru_cache(maxsize=1)
def _stages() -> tuple[tuple[str, re.Pattern[str]], ...]:
    table = _tables()["stages"]
    assert isinstance(table, dict)
    return tuple(
        (name, re.compile(r"(?:\S+ ){0,2}(?:" + "|".join(map(re.escape, words)) + r")\b"))
        for name, words in table.items()
    )


def stage_of(text: str) -> str:
    """Name the stage of the work that a sentence begins with; empty where it begins with none.

    >>> stage_of("okay sanding random orbit"), stage_of("glue up and there's nothing clever here")
    ('sanding', 'assembly')
    """
    return next((name for name, pattern in _stages() if pattern.match(text)), "")


@lru_cache(maxsize=1)
def rounding_off() -> re.Pattern[str]:
    """Give the pattern of a sentence that says that something is done."""
    table = _tables()["round_off"]
    assert isinstance(table, dict)
    return re.compile(
        r"^(?:" + "|".join(re.escape(phrase) for phrase in table["phrases"]) + r")(?:$| \S+(?: \S+)?$)"
    )


_GOES_WITH = frozenset("with for in to at by of from like than without until till because through".split())
"""Words with which a short sentence only adds to the one before ("With the radio on.")."""


_COUNTED = re.compile(
    r"(?:two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|\w+ty|half|couple)$"
)
"""Words with which a short sentence only counts ("Sixteen teeth.")."""


def spoken_heading(text: str) -> bool:
    """Tell whether a sentence only names something: no more than five words, none of them a verb or a pronoun of the common ones.

    >>> spoken_heading("ok bed rails"), spoken_heading("the mice are thrilled")
    (True, False)
    """
    words = text.split()
    left = [word for word in words if word not in _BEFORE_A_NAME]
    return (
        0 < len(left) <= 4
        and len(words) <= 5
        and words[0] not in _GOES_WITH
        and len(words[0]) > 1  # "R for right.": a letter on a piece
        and not _COUNTED.match(words[0])
        and all((w not in stopwords() or w in _SIDES) and not w[0].isdigit() for w in left)
    )


def turn_weight(text: str, *, loose: bool = False) -> float:
    """Say how strongly a sentence turns to something new by its first words.

    Args:
        text: The sentence, folded by `fold`.
        loose: Nobody wrote full stops, so a sentence may begin a few words late; strong turns are then sought there too.

    Returns:
        From -0.6 (goes on with the same) over 0 (says nothing) to 1 (turns for certain).

    >>> turn_weight("next up the rails"), turn_weight("loud last thing is the stakes", loose=True) > 0.5
    (1.0, True)
    """
    weight = next((turn.weight for turn in turns() if turn.pattern.match(text)), 0.0)
    if not loose or weight >= _STRONG:
        return weight
    place = 0
    for _ in range(_LATE_WORDS):
        place = text.find(" ", place) + 1
        if not place:
            break
        late = next(
            (
                t.weight
                for t in turns()
                if t.words > 1 and t.weight >= _STRONG and t.pattern.match(text, place)
            ),
            0.0,
        )
        if late:
            return max(weight, 0.8 * late)
    return weight


def fold(text: str) -> str:
    """Lower the case and drop the punctuation, so that phrases match however they were typed.

    >>> fold("Right. The fun bit!")
    'right the fun bit'
    """
    bare = re.sub(r"[^\w'/ -]+", " ", text.lower().replace("\u2019", "'"))
    bare = re.sub(r"\b(?:uh|um|er|erm)\b", " ", bare)
    return " ".join(bare.split())


def stem(word: str) -> str:
    """Cut the usual endings off, so that "rails" and "rail", "drilling" and "drilled" are one word.

    >>> stem("drilling"), stem("bodies"), stem("pass")
    ('drill', 'body', 'pass')
    """
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    for ending in ("ing", "ed"):
        if len(word) > len(ending) + 3 and word.endswith(ending):
            base = word[: -len(ending)]
            return base[:-1] if base[-1] == base[-2] and base[-1] not in "lsz" else base
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


@lru_cache(maxsize=1)
def plain_operations() -> frozenset[str]:
    """Give the operations that say little in a title."""
    table = _tables()["plain"]
    assert isinstance(table, dict)
    return frozenset(table["operations"])


def as_said(said: str, usual: str) -> str:
    """Give the verb for a title: the one that was said where it tells more than the usual one; empty where it tells nothing.

    >>> as_said("steamed", "heat"), as_said("ripped", "rip"), as_said("button", "upholster")
    ('steam', 'rip', '')
    """
    table = _tables()["said"]
    assert isinstance(table, dict)
    return next((str(verb) for start, verb in table.items() if said.startswith(start)), usual)


def gerund(operation: str) -> str:
    """Turn a usual verb into what a title calls the work.

    >>> gerund("rip"), gerund("plane"), gerund("glue up"), gerund("crosscut"), gerund("dry fit")
    ('ripping', 'planing', 'gluing up', 'crosscutting', 'dry fitting')
    """
    words = operation.split()
    place = (
        len(words) - 1
        if words[0] in ("dry", "hot", "hand", "spot", "pre", "flush", "wet", "steam", "heat")
        else 0
    )
    words[place] = _ing(words[place])
    return " ".join(words)


def _ing(verb: str) -> str:
    if verb.endswith(("ing", "ly")) or not verb.isalpha():
        return verb
    if verb.endswith("ie"):
        return verb[:-2] + "ying"
    if verb.endswith("e") and not verb.endswith(("ee", "oe", "ye")):
        return verb[:-1] + "ing"
    short = re.fullmatch(r"[^aeiou]*(?:[aeiou]|qui)[^aeiouwxy]", verb) or verb.endswith(
        ("cut", "rip", "fit", "tap", "pin", "skim")
    )
    return verb + verb[-1] + "ing" if short else verb + "ing"


def content_words(text: str) -> list[str]:
    """Give the stems of the words that say something about the matter, in order; no numbers."""
    common = stopwords()
    found = []
    for word in fold(text).split():
        bare = word.strip("'-/")
        bare = bare.removesuffix("'s")
        if len(bare) > 2 and bare not in common and not re.search(r"\d", bare):
            found.append(stem(bare))
    return found


def _pattern(phrase: str) -> re.Pattern[str]:
    words = []
    for word in phrase.split():
        if word == "~":
            words.append(r"\S+(?: \S+){0,2}")
        elif word == "the":
            words.append(_THE)
        else:
            words.append(re.escape(word))
    return re.compile(" ".join(words) + r"(?![\w'])")
