"""The findings' word lists, read once from the package's data."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table(name: str) -> dict[str, Any]:
    """Give a data file of this package, such as "features", as it stands."""
    text = files("benchscribe.findings").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def word_sets(section: str) -> dict[str, frozenset[str]]:
    """Give a section of features.toml, each line as a set of words."""
    return {name: frozenset(text.split()) for name, text in table("features")[section].items()}
