"""The names of steps, and the words that tell work from talk, read from `operations.toml`."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources

from msgspec import Struct


class StepWords(Struct, frozen=True):
    """The tables of `operations.toml`."""

    names: Mapping[str, str]
    short: Mapping[str, str]
    said: Mapping[str, str]
    across: frozenset[str]
    along: frozenset[str]
    stock: frozenset[str]
    together: frozenset[str]
    before_object: frozenset[str]
    generic: frozenset[str]
    length_tools: frozenset[str]
    shape_tools: frozenset[str]
    out_tools: frozenset[str]
    side: frozenset[str]
    never: frozenset[str]
    tools: Mapping[str, str]
    processes: Mapping[str, str]
    made: Mapping[str, str]
    joints: Mapping[str, str]
    kinds_of_joint: frozenset[str]
    cutters: Mapping[str, str]
    fasteners: Mapping[str, str]
    finishes: Mapping[str, str]
    features: frozenset[str]
    again: re.Pattern[str]
    opens: re.Pattern[str]
    onward: re.Pattern[str]
    ways_round: re.Pattern[str]
    not_put_on: frozenset[str]
    settable: frozenset[str]
    set_to: frozenset[str]
    angled: frozenset[str]
    passes: frozenset[str]
    no_tool: frozenset[str]
    afterthought: re.Pattern[str]
    talk_anywhere: re.Pattern[str]


@lru_cache(maxsize=1)
def step_words() -> StepWords:
    """Read the tables."""
    table = tomllib.loads(resources.files("benchscribe.guide").joinpath("operations.toml").read_text("utf-8"))
    return StepWords(
        names=table["names"],
        short=table["short"],
        said=table["said"],
        across=frozenset(table["sizing"]["across"] + table["sizing"]["both"]),
        along=frozenset(table["sizing"]["along"] + table["sizing"]["both"]),
        stock=frozenset(table["stock"]["names"]),
        together=frozenset(table["objects"]["together"]),
        before_object=frozenset(table["objects"]["before"]),
        generic=frozenset(table["generic"]["verbs"]),
        length_tools=frozenset(table["generic"]["length_tools"]),
        shape_tools=frozenset(table["generic"]["shape_tools"]),
        out_tools=frozenset(table["generic"]["out_tools"]),
        side=frozenset(table["side"]["verbs"]),
        never=frozenset(table["never"]["verbs"]),
        tools=table["tools"],
        processes=table["processes"],
        made=table["made"],
        joints=table["joints"],
        kinds_of_joint=frozenset(table["kinds_of_joint"]["words"]),
        cutters=table["cutters"],
        fasteners=table["fasteners"],
        finishes=table["finishes"],
        features=frozenset(table["features"]["words"]),
        ways_round=re.compile("|".join(f"(?:{p})" for p in table["ways_round"]["patterns"])),
        settable=frozenset(table["settings"]["names"]),
        angled=frozenset(table["settings"]["angled"]),
        passes=frozenset(table["settings"]["passes"]),
        set_to=frozenset(table["settings"]["joined"]),
        no_tool=frozenset(table["no_tool"]["names"]),
        not_put_on=frozenset(table["not_put_on"]["words"]),
        afterthought=re.compile(rf"\b(?:{_any_of(table['talk']['afterthought'])})\b"),
        again=re.compile(rf"\b(?:{_any_of(table['redone']['again'])})\b"),
        opens=re.compile(rf"(?:{_any_of(table['redone']['opens'])})\b"),
        onward=re.compile(rf"(?:{_any_of(table['redone']['onward'])})\b"),
        talk_anywhere=re.compile(rf"\b(?:{_any_of(table['talk']['anywhere'])})\b"),
    )


def _any_of(phrases: list[str]) -> str:
    return "|".join(map(re.escape, sorted(phrases, key=len, reverse=True)))
