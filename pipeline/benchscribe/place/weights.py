"""The weights of all features, read from the data file that `tests/benchmarks/place_fit.py` writes."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files


@cache
def load_weights() -> Mapping[str, float]:
    """Read the weights that the package carries. A feature without a weight counts nothing."""
    data = tomllib.loads(files("benchscribe.place").joinpath("weights.toml").read_text(encoding="utf-8"))
    return {str(name): float(weight) for name, weight in data["weights"].items()}


def weigh(features: Mapping[str, float], weights: Mapping[str, float]) -> float:
    """Add up what speaks for something."""
    return sum(weights.get(name, 0.0) * value for name, value in features.items())
