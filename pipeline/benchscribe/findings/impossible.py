"""Sizes that cannot be, and sizes of one hole or joint said twice differently."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from msgspec import structs

from benchscribe.findings.scene import Scene, equal_sizes
from benchscribe.findings.wording import size
from benchscribe.records import Finding, Listed, Measure, Part, Said
from benchscribe.spoken.plan import plain, size_of
from benchscribe.spoken.words import singular

_OTHER_ONE = frozenset("other another second smaller bigger larger first one two different then next opposite".split())


@cache
def _features() -> dict[str, frozenset[str]]:
    data = tomllib.loads(files("benchscribe.findings").joinpath("features.toml").read_text(encoding="utf-8"))
    return {name: frozenset(words) for name, words in data["features"].items()}


def impossibilities(scene: Scene) -> list[Finding]:
    """Find holes wider than their piece, grooves as deep as their piece is thick, parts larger than their stock."""
    found = []
    for measure in scene.measures:
        part = scene.parts.get(measure.part or "")
        if part is None or measure.taken_back or measure.role in ("tool", "mistake", "taken-back", "quoted-plan"):
            continue
        if measure.unit == "degree" or (measure.confidence or 0) < 0.5:
            continue
        why = _why(scene, measure, part)
        if why:
            found.append(scene.finding("impossible", measure, why=why, confidence=0.6 * (measure.confidence or 0.5) + 0.3))
    return found


def _why(scene: Scene, measure: Measure, part: Part) -> str:
    if measure.role != "feature":
        return ""
    said = size_of(measure)
    sizes = {e.dimension: e for e in part.listed if e.value is not None and e.unit != "degree" and not e.feature}
    words = {singular(w) for w in scene.talk.tokens[max(0, measure.span[0] - 8) : measure.span[1] + 5]}
    spoken = size(Said(measure.value, measure.unit))
    if measure.dimension == "depth" and words & _features()["cut_into"] and "thickness" in sizes:
        return _too_much(said, sizes["thickness"], f"A cut {spoken} deep goes through {part.name}, which is {{}} thick.")
    if measure.dimension == "depth" and words & _features()["bored"] and sizes:
        largest = max(sizes.values(), key=_plain)
        return _too_much(said, largest, f"A hole {spoken} deep is longer than {part.name}, whose largest size is {{}}.")
    if measure.dimension in ("diameter", "other") and words & _features()["bored"] and len(sizes) > 1:
        across = sizes.get("width") or sizes.get("diameter")
        near = [singular(w) for w in scene.talk.tokens[measure.span[1] : measure.span[1] + 2]]
        if across and any(w in _features()["bored"] for w in near):
            return _too_much(said, across, f"A hole of {spoken} is wider than {part.name}, which is {{}} across.")
    return ""


def _plain(listed: Listed) -> object:
    return plain(listed.value, listed.unit) if listed.value is not None else 0


def _too_much(said: object, limit: Listed, text: str) -> str:
    if limit.value is None or said < plain(limit.value, limit.unit):  # type: ignore[operator]
        return ""
    return text.format(size(Said(limit.value, limit.unit)))


def contradictions(scene: Scene) -> list[Finding]:
    """Find a hole or joint of one part whose same size was said twice, differently, with no correction between."""
    seen: dict[tuple[str, str, str], Measure] = {}
    found = []
    names = frozenset().union(*_features().values())
    for measure in scene.measures:
        if measure.role != "feature" or measure.part is None or measure.taken_back or measure.listed is not None:
            continue
        if measure.dimension not in ("depth", "diameter") or (measure.confidence or 0) < 0.6:
            continue
        near = [singular(w) for w in scene.talk.tokens[max(0, measure.span[0] - 6) : measure.span[1] + 4]]
        feature = next((w for w in near if w in names), None)
        if feature is None or any(w in _OTHER_ONE for w in near):
            continue
        key = (measure.part, feature, measure.dimension)
        first = seen.setdefault(key, measure)
        if first is not measure and not equal_sizes(first, measure):
            one, two = Said(first.value, first.unit), Said(measure.value, measure.unit)
            why = f"The {feature} in {measure.part} was {size(one)} before and is {size(two)} here, with no correction between."
            finding = scene.finding("contradiction", measure, why=why, confidence=0.55)
            found.append(structs.replace(finding, evidence=(*finding.evidence, f"before: {first.words}")))
    return found
