"""The readable grammar data, loaded once into frozen tables."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from fractions import Fraction
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Final

Phrase = tuple[str, ...]


def _load(name: str) -> dict[str, Any]:
    return tomllib.loads(files(__package__).joinpath("data", name).read_text(encoding="utf-8"))


def _set(text: str) -> frozenset[str]:
    return frozenset(text.split())


def _phrases(phrases: Iterable[str]) -> MappingProxyType[str, tuple[Phrase, ...]]:
    """Index phrases by their first word, longest first."""
    index: dict[str, list[Phrase]] = {}
    for phrase in phrases:
        split = tuple(phrase.split())
        index.setdefault(split[0], []).append(split)
    return MappingProxyType({k: tuple(sorted(v, key=len, reverse=True)) for k, v in index.items()})


def _endings(phrases: Iterable[str]) -> MappingProxyType[str, tuple[Phrase, ...]]:
    """Index phrases by their last word, longest first."""
    index: dict[str, list[Phrase]] = {}
    for phrase in phrases:
        split = tuple(phrase.split())
        index.setdefault(split[-1], []).append(split)
    return MappingProxyType({k: tuple(sorted(v, key=len, reverse=True)) for k, v in index.items()})


_W = _load("words.toml")
_U = _load("units.toml")
_T = _load("trade.toml")
_C = _load("cues.toml")

ONES: Final = MappingProxyType(dict(_W["ones"]))
TEENS: Final = MappingProxyType(dict(_W["teens"]))
TENS: Final = MappingProxyType(dict(_W["tens"]))
SMALL: Final = MappingProxyType({**ONES, **TEENS, **TENS})
DENOMINATOR: Final = MappingProxyType(dict(_W["denominator"]))
DENOMINATORS: Final = MappingProxyType(dict(_W["denominators"]))
TWO_WORD: Final = MappingProxyType({k: MappingProxyType(v) for k, v in _W["two_word_denominator"].items()})
GLYPHS: Final = MappingProxyType({k: Fraction(v) for k, v in _W["glyphs"].items()})
SAME: Final = MappingProxyType({ord(mark): use for use, marks in _W["same"].items() for mark in marks})
SMALL_DIGITS: Final[str] = _W["small_digits"]["digits"]
FILLERS: Final = _set(_W["fillers"]["words"])
WHOLE_WORDS: Final = _set(_W["whole_words"]["words"])
RULER: Final = frozenset({2, 4, 8, 16, 32, 64})
FINE_RULER: Final = frozenset({8, 16, 32, 64})

UNIT_WORDS: Final = MappingProxyType(dict(_U["words"]))
UNIT_ABBREVIATIONS: Final = MappingProxyType(dict(_U["abbreviations"]))
UNIT_MARKS: Final = MappingProxyType(dict(_U["marks"]))
MIL_THOU_NEAR: Final = _set(_U["mil"]["thou_near"])

MILL_NOT_BEFORE: Final = _set(_U["mill"]["not_before"])

AFTER: Final = MappingProxyType({word: kind for kind, text in _T["after"].items() for word in text.split()})
MONEY: Final = _set(_T["after"]["money"]) | {"£", "$", "€"}
STITCH: Final = _set(_T["stitch_phrase"]["words"])
ELECTRIC: Final = _set(_T["electric_letters"]["letters"])
TEMPERATURE: Final = _set(_T["temperature"]["near"])
DRILL: Final = _set(_T["drill"]["names"])
SCREW: Final = _set(_T["screw"]["names"])
LEATHER: Final = _set(_T["leather"]["names"])
THREADS: Final = _set(_T["thread"]["pairs"])
THREAD_NEAR: Final = _set(_T["thread"]["near"])
NOMINAL: Final = _set(_T["nominal"]["pairs"])
NOMINAL_OPEN: Final = _set(_T["nominal"]["open_pairs"])
NOMINAL_METRIC: Final = _set(_T["nominal"]["metric_pairs"])
NOMINAL_SOLD: Final = _set(_T["nominal"]["sold"])
NOMINAL_STOCK: Final = _set(_T["nominal"]["stock"])
NOMINAL_ARTICLES: Final = _set(_T["nominal"]["articles"])
QUARTER_NUMERATORS: Final = frozenset(int(n) for n in _T["nominal_quarters"]["numerators"].split())
SHEET_PAIRS: Final = _set(_T["sheet_feet"]["pairs"])
SHEET_NAMES: Final = _set(_T["sheet_feet"]["names"])
SHEET_NEAR: Final = _set(_T["sheet_feet"]["near"])
BUILT_IN_FEET: Final = _set(_T["sheet_feet"]["built"])
CODE_BEFORE: Final = _set(_T["codes"]["before"])

ROLE_AFTER: Final = _set(_C["roles"]["after"])
ROLE_PHRASES: Final = _phrases(_C["roles"]["phrases"])
ROLE_BEFORE: Final = _set(_C["roles"]["before"])
NO_SIZED_NOUN: Final = _set(_C["roles"]["no_sized_nouns"])
SIZED_NOUNS: Final = _set(_C["roles"]["sized_nouns"])
STRONG_VERBS: Final = _set(_C["verbs"]["strong"])
WEAK_VERBS: Final = _set(_C["verbs"]["weak"])
SIZE_VERBS: Final = STRONG_VERBS | WEAK_VERBS
DIRECT_VERBS: Final = _set(_C["verbs"]["direct"])
VERB_PHRASES: Final = _endings(_C["verbs"]["phrases"])
LOOSE_PHRASES: Final = _endings(_C["verbs"]["loose"])
COPULA: Final = _set(_C["copula"]["words"])
PEOPLE: Final = _set(_C["copula"]["people"])
PEOPLE_NOUNS: Final = _set(_C["copula"]["people_nouns"])
FOLLOW: Final = _set(_C["follow"]["words"])
CLAUSE: Final = _set(_C["clause"]["words"])
PLURALS: Final = _set(_C["clause"]["plurals"])
AFTER_ROLE: Final = FOLLOW | ROLE_AFTER | COPULA | frozenset(SMALL)
NOT_AFTER_FRACTION: Final = _set(_C["not_after_fraction"]["words"])
FRACTION_OF_NOTHING: Final = _set(_C["fraction_of_nothing"]["words"])
ANGLE_NEAR: Final = _set(_C["angle"]["near"])
ANGLE_WEAK: Final = _set(_C["angle"]["weak"])
NO_ANGLE_NEAR: Final = _set(_C["angle"]["not_near"])
PLAN_WORDS: Final = _set(_C["plan"]["words"])
PLAN_VERBS: Final = _set(_C["plan"]["verbs"])
PLAN_PHRASES: Final = _endings(_C["plan"]["phrases"])
CHOOSING: Final = _endings(_C["plan"]["choosing"])
AMENDING: Final = _set(_C["plan"]["amending"])
DECLARING: Final = _endings(_C["plan"]["declaring"])
COUNT_TALK: Final = _set(_C["plan"]["count_talk"])
POINTING: Final = _set(_C["pronouns"]["pointing"])
BEFORE_ONE: Final = _set(_C["pronouns"]["before_one"])
GRIT: Final = _set(_C["grit"]["near"])
MEASURING: Final = _set(_C["measuring"]["near"])
SIZE_TALK: Final = STRONG_VERBS | MEASURING | ROLE_BEFORE | _set(_C["verbs"]["talk"])
HEDGE_BEFORE: Final = MappingProxyType({k: _endings(_C["hedge"][k]) for k in ("under", "over", "about")})
HEDGE_AFTER: Final = MappingProxyType(
    {k: _phrases(_C["hedge"]["after_" + k]) for k in ("under", "over", "about")}
)
OTHER_TOPIC: Final = _set(_C["other"]["topic"])
NO_SIZE_OF: Final = _set(_C["other"]["no_size_of"])
TRADE_CARRIES: Final = _set(_C["other"]["carries"])
SCALE_TALK: Final = _set(_C["other"]["scale"])
CORRECTION: Final = _set(_C["correction"]["words"])
CORRECTION_PHRASES: Final = _phrases(_C["correction"]["phrases"])
SAID_EARLIER: Final = _endings(_C["correction"]["said_earlier"])

_TABLES = _load("tables.toml")


def _table(name: str) -> MappingProxyType[str, Fraction]:
    return MappingProxyType({k: Fraction(v) for k, v in _TABLES[name]["values"].items()})


DRILL_NUMBERS: Final = _table("drill_number")
AWG: Final = _table("awg")
GRIT_P: Final = _table("grit_p")
HARDWOOD: Final = _table("hardwood")
SCREW_FIRST: Final = Fraction(_TABLES["screw_number"]["first"])
SCREW_EACH: Final = Fraction(_TABLES["screw_number"]["each"])
SCREW_LAST: Final = int(_TABLES["screw_number"]["last"])
SOFTWOOD_THICKNESS: Final = MappingProxyType(
    {k: Fraction(v) for k, v in _TABLES["softwood"]["thickness"].items()}
)
SOFTWOOD_WIDTH: Final = MappingProxyType({k: Fraction(v) for k, v in _TABLES["softwood"]["width"].items()})
LEATHER_EACH: Final = Fraction(_TABLES["leather"]["each"])
SOURCES: Final = MappingProxyType({name: str(table["source"]) for name, table in _TABLES.items()})

AFTER_FOOT: Final = _set(_U["foot"]["after"])
FOOT_SIZES: Final = _set(_U["foot"]["sizes"])
PAD_VERBS: Final = _set(_U["foot"]["pad_verbs"])
PAD_OWNERS: Final = _set(_U["foot"]["pad_owners"])
PAD_SURE: Final = _set(_U["foot"]["pad_sure"])
PAD_AFTER: Final = _set(_U["foot"]["pad_after"])
PAD_TALK: Final = _set(_U["foot"]["pad_talk"])
NOT_INCHES_BEFORE: Final = _set(_U["foot"]["not_inches_before"])
AFTER_YARD: Final = _set(_U["yard"]["after"])
GOOD: Final = _set(_U["good"]["words"])
EN_DASH: Final = "\u2013"
