"""Sizes that cannot be, and sizes of one hole or joint said twice differently."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from functools import cache
from importlib.resources import files

from msgspec import structs

from benchscribe.findings.scene import Scene, equal_sizes
from benchscribe.findings.wording import size
from benchscribe.records import Dimension, Finding, Listed, Measure, Part, Said
from benchscribe.spoken.plan import plain, size_of
from benchscribe.spoken.words import singular

_OTHER_ONE = frozenset(
    "other another second smaller bigger larger first one two different then next opposite".split()
)

_COMMON = frozenset(
    "that this with from they them then those these there have just what when your mine like into each both will about which".split()
)
_ACROSS = frozenset({"square", "round", "thick", "wide", "across", "long", "diameter"})
_NEVER = frozenset("don't never nobody wouldn't couldn't can't cannot nearly almost unless without".split())
_SHARED = 2
_SURE_OF_THE_PART = 0.6
_JUST_BEFORE = 5
_WINDOW = 12
_BREATH = 8
_NAMED = 0.4
_APART_S = 12.0
"""Two sizes said closer together than this are two sizes of one thing, not the same one twice."""


@cache
def _features() -> dict[str, frozenset[str]]:
    data = tomllib.loads(files("benchscribe.findings").joinpath("features.toml").read_text(encoding="utf-8"))
    return {name: frozenset(words) for name, words in data["features"].items()}


def impossibilities(scene: Scene) -> list[Finding]:
    """Find holes wider than their piece, grooves as deep as their piece is thick, parts larger than their stock."""
    found = []
    for measure in scene.measures:
        name = measure.part or _held(scene, measure)
        part = scene.parts.get(name or "")
        if part is None or measure.taken_back or measure.role in ("mistake", "taken-back", "quoted-plan"):
            continue
        if measure.unit == "degree" or (measure.confidence or 0) < 0.5:
            continue
        hand = scene.hand_at(measure.span[0])
        if (
            hand is None
            or not hand.parts
            or hand.parts[0] != part.name
            or hand.confidence < _SURE_OF_THE_PART
        ):
            continue
        why = "" if _denied(scene, measure) else _why(scene, measure, part)
        if why:
            sure = 0.6 * (measure.confidence or 0.5) + 0.3
            dimension = "diameter" if measure.role == "tool" else measure.dimension
            found.append(
                scene.finding("impossible", measure, why=why, confidence=sure, part=name, dimension=dimension)
            )
    return found


def _denied(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is named as what not to do: "don't go boring a 28 mm hole through one"."""
    first = max(0, measure.span[0] - _WINDOW)
    return any(
        scene.talk.tokens[i] in _NEVER and scene.talk.same_sentence(i, measure.span[0])
        for i in range(first, measure.span[0])
    )


def _why(scene: Scene, measure: Measure, part: Part) -> str:
    """Say what makes a size impossible; nothing where it can be."""
    sizes = {
        e.dimension: e for e in part.listed if e.value is not None and e.unit != "degree" and not e.feature
    }
    if measure.role == "rough":
        return _too_small(scene, measure, part)
    if measure.role == "tool":
        return _too_wide(scene, measure, part, sizes, "boring_tools")
    if measure.role != "feature" or not sizes:
        return ""
    if measure.dimension == "depth":
        return _too_deep(scene, measure, part, sizes)
    if measure.dimension in ("diameter", "other") and len(sizes) > 1:
        return _too_wide(scene, measure, part, sizes, "bored")
    if measure.dimension == "width":
        return _too_wide(scene, measure, part, sizes, "let_in")
    return ""


def _too_deep(scene: Scene, measure: Measure, part: Part, sizes: dict[Dimension, Listed]) -> str:
    words = {singular(w) for w in scene.talk.tokens[max(0, measure.span[0] - 8) : measure.span[1] + 5]}
    spoken = size(Said(measure.value, measure.unit))
    if words & _features()["cut_into"] and "thickness" in sizes:
        text = f"A cut {spoken} deep goes through {part.name}, which is {{}} thick."
        return _too_much(size_of(measure), sizes["thickness"], text)
    if words & _features()["bored"]:
        largest = max(sizes.values(), key=_plain)
        text = f"A hole {spoken} deep is longer than {part.name}, whose largest size is {{}}."
        return _too_much(size_of(measure), largest, text)
    return ""


def _too_wide(scene: Scene, measure: Measure, part: Part, sizes: dict[Dimension, Listed], behind: str) -> str:
    """Find a hole wider than its piece, by the words right behind its size."""
    near = {singular(w) for w in scene.talk.tokens[measure.span[1] : measure.span[1] + 3]}
    if behind != "boring_tools":
        near |= _right_before(scene, measure)
    across = sizes.get("diameter") or sizes.get("width")
    if across is None or not near & _features()[behind]:
        return ""
    spoken = size(Said(measure.value, measure.unit))
    text = f"A hole of {spoken} is wider than {part.name}, which is {{}} across."
    return _too_much(size_of(measure), across, text)


def _right_before(scene: Scene, measure: Measure) -> set[str]:
    """Give the few words before a size, in its sentence and with no other size between."""
    words: set[str] = set()
    for at in range(measure.span[0] - 1, max(-1, measure.span[0] - _JUST_BEFORE - 1), -1):
        if not scene.talk.same_sentence(at, measure.span[0]) or at in scene.sized:
            break
        words.add(singular(scene.talk.tokens[at]))
    return words


def _held(scene: Scene, measure: Measure) -> str | None:
    """Give the part in hand where a tool's size stands, if that is clear."""
    hand = scene.hand_at(measure.span[0])
    return hand.parts[0] if hand and hand.parts and hand.confidence >= 0.5 else None


def _too_small(scene: Scene, measure: Measure, part: Part) -> str:
    """Find a blank that is smaller than what is to be made of it."""
    near = {singular(w) for w in scene.talk.tokens[max(0, measure.span[0] - 8) : measure.span[1] + 4]}
    if not near & _features()["blank"] or not near & _ACROSS:
        return ""
    said = size_of(measure)
    sizes = [
        e for e in part.listed if e.value is not None and e.unit != "degree" and not e.feature and not e.rough
    ]
    if any(1 <= said / plain(e.value or said, e.unit) < Fraction(3, 2) for e in sizes):
        return ""
    short = [e for e in sizes if Fraction(7, 10) < said / plain(e.value or said, e.unit) < 1]
    if not short:
        return ""
    limit = size(Said(short[0].value or said, short[0].unit))
    return (
        f"{part.name} is {limit} and cannot come out of a blank of {size(Said(measure.value, measure.unit))}."
    )


def _plain(listed: Listed) -> Fraction:
    return plain(listed.value, listed.unit) if listed.value is not None else Fraction(0)


def _too_much(said: Fraction, limit: Listed, text: str) -> str:
    if limit.value is None or said < plain(limit.value, limit.unit):
        return ""
    return text.format(size(Said(limit.value, limit.unit)))


def contradictions(scene: Scene) -> list[Finding]:
    """Find a hole, joint or mark whose same size was said twice, differently, with no correction between.

    The two must speak of the same thing: a like dimension, at least two telling words in common, and the same part with a feature among
    those words; or the second takes up what was said before ("oh, and that hollow"), whatever part is in hand by then.
    """
    names = frozenset().union(*(_features()[kind] for kind in ("cut_into", "bored", "other")))
    features = [m for m in scene.measures if _of_a_feature(m)]
    words = {m.span: _words_near(scene, m) for m in features}
    found: list[Finding] = []
    for place, measure in enumerate(features):
        if words[measure.span] & _OTHER_ONE or any(equal_sizes(m, measure) for m in features[:place]):
            continue
        again = _takes_up(scene, measure)
        best: tuple[int, Measure] | None = None
        for first in features[:place]:
            shared = words[first.span] & words[measure.span]
            if first.part is None or len(shared) < _SHARED or not _may_contradict(first, measure):
                continue
            if words[first.span] & _OTHER_ONE:
                continue
            fit = len(shared) + 2 * (first.dimension == measure.dimension) + (first.part == measure.part)
            same = first.part == measure.part and shared & names
            if (same or (again and fit >= _SHARED + 2)) and (best is None or fit >= best[0]):
                best = (fit, first)
        if best:
            found.append(_contradiction(scene, best[1], measure, words[best[1].span] & words[measure.span]))
    return found


def _contradiction(scene: Scene, first: Measure, measure: Measure, shared: set[str]) -> Finding:
    one, two = Said(first.value, first.unit), Said(measure.value, measure.unit)
    why = (
        f'Of {first.part} and "{", ".join(sorted(shared))}" you said {size(one)} before and {size(two)} here, '
        "with no correction between."
    )
    dimension = measure.dimension if first.dimension in (None, "other") else first.dimension
    if dimension in (None, "other") and shared & _features()["bored"]:
        dimension = "diameter"
    finding = scene.finding(
        "contradiction",
        measure,
        why=why,
        confidence=0.55,
        part=_named_with(scene, measure) or first.part,
        dimension=dimension,
    )
    return structs.replace(finding, evidence=(*finding.evidence, f"before: {first.words}"))


def _named_with(scene: Scene, measure: Measure) -> str | None:
    """Give the part named in the same breath as a size, where it is the only one."""
    first, last = measure.span[0] - _BREATH, measure.span[0]
    named = {
        m.name
        for m in scene.mentions.mentions
        if m.kind == "part" and m.confidence >= _NAMED and first <= m.span[0] < last
    }
    return named.pop() if len(named) == 1 else None


def _takes_up(scene: Scene, measure: Measure) -> bool:
    """Tell whether the maker comes back to something: "oh, before I forget"."""
    before = " ".join(scene.talk.tokens[max(0, measure.span[0] - _WINDOW - 4) : measure.span[0]])
    return any(f" {phrase} " in f" {before} " for phrase in _features()["again"])


def _of_a_feature(measure: Measure) -> bool:
    return (
        measure.listed is None
        and measure.role in ("feature", "none")
        and not measure.taken_back
        and measure.unit != "degree"
    )


def _words_near(scene: Scene, measure: Measure) -> set[str]:
    """Give the telling words around a measure, in its sentence and the one before."""
    first = max(0, measure.span[0] - _WINDOW)
    last = min(len(scene.talk.tokens), measure.span[1] + _WINDOW)
    inside = scene.talk.sentence_of[measure.span[0]]
    return {
        singular(scene.talk.tokens[i])
        for i in range(first, last)
        if len(scene.talk.tokens[i]) > 3
        and not scene.talk.tokens[i][0].isdigit()
        and inside - 1 <= scene.talk.sentence_of[i] <= inside
        and scene.talk.tokens[i] not in _COMMON
    }


def _may_contradict(first: Measure, second: Measure) -> bool:
    if equal_sizes(first, second):
        return False
    if first.start_s is not None and second.start_s is not None and second.start_s - first.start_s < _APART_S:
        return False
    like = first.dimension == second.dimension or "other" in (first.dimension, second.dimension)
    return like and Fraction(1, 2) < size_of(first) / size_of(second) < 2
