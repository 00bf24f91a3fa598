"""Sizes that cannot be."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

from benchscribe.findings.scene import Scene
from benchscribe.findings.tables import table
from benchscribe.findings.wording import listed_as, size, spoken
from benchscribe.records import Dimension, Finding, Listed, Measure, Part
from benchscribe.spoken.plan import plain, size_of
from benchscribe.spoken.words import singular

_ACROSS = frozenset({"square", "round", "thick", "wide", "across", "long", "diameter"})
_NEVER = frozenset("don't never nobody wouldn't couldn't can't cannot nearly almost unless without".split())
_BREAKS = frozenset("and but so then or".split())
"""Words behind which a denial no longer holds: "they don't go through, and you go down an inch"."""
_SURE_OF_THE_PART = 0.6
_HELD = 0.3
_TALKED_OF = 45
"""Words in which the hole or joint was named that a depth is of."""
_SURE_THROUGH = 0.55
_NO_SLIP = 2
"""A hole more than so many times as deep or as wide as its piece is not in it: it is in something else, or along the piece."""
_NO_DEPTH = frozenset({"mistake", "taken-back", "quoted-plan", "rough", "stock", "check", "comparison"})
_GO = frozenset(
    "go goes going went drill drills drilled bore bored sink sinks sunk cut cuts plunge plunged take mill milled".split()
)
_ALONG = frozenset({"end", "grain", "lengthwise", "lengthway", "edge"})
"""A hole in the end or the edge goes along the piece, not through its thickness."""
_JUST_BEFORE = 5
_WINDOW = 12
_EDGE = 24


@cache
def _features() -> dict[str, frozenset[str]]:
    data = table("features")
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
        if _made_for(scene, measure, part):
            continue
        if (
            hand is None
            or not hand.parts
            or hand.parts[0] != part.name
            or hand.confidence < _SURE_OF_THE_PART
        ):
            continue
        why = "" if _denied(scene, measure) else _why(scene, measure, part) or _hole(scene, measure, part)
        if why:
            sure = 0.6 * (measure.confidence or 0.5) + 0.3
            dimension = "diameter" if measure.role == "tool" else measure.dimension
            found.append(
                scene.finding("impossible", measure, why=why, confidence=sure, part=name, dimension=dimension)
            )
    told = {finding.span for finding in found}
    return found + [f for f in (_cut_through(scene, m) for m in scene.measures if m.span not in told) if f]


def _made_for(scene: Scene, measure: Measure, part: Part) -> bool:
    """Tell whether the part is only what the hole is for: "a recess for the weight"."""
    named = [
        m
        for m in scene.part_mentions
        if m.name == part.name
        and 0 < measure.span[0] - m.span[0] <= _EDGE
        and scene.talk.same_sentence(m.span[0], measure.span[0])
    ]
    return bool(named) and all(scene.is_for(m) for m in named)


def _cut_through(scene: Scene, measure: Measure) -> Finding | None:
    """Find a hole or joint said to go further in than its piece is thick, wherever its size was placed: "go in five centimetres"."""
    if measure.taken_back or measure.unit == "degree" or measure.role in _NO_DEPTH:
        return None
    if not _goes_in(scene, measure) or _denied(scene, measure):
        return None
    part = _worked_on(scene, measure)
    tokens = scene.talk.tokens[max(0, measure.span[0] - _TALKED_OF) : measure.span[1] + _JUST_BEFORE]
    words = {singular(word) for word in tokens}
    if part is not None and _made_for(scene, measure, part):
        return None
    thick = (
        next((e for e in part.listed if e.dimension == "thickness" and not e.feature), None) if part else None
    )
    if part is None or thick is None or not words & _cutting():
        return None
    if words & _ALONG:
        return None
    said = size(spoken(measure))
    text = f"A cut {said} deep goes through {part.name}, which is {{}} thick."
    why = _too_much(size_of(measure), thick, text)
    if not why or not _plain(thick) < size_of(measure) <= _NO_SLIP * _plain(thick):
        return None
    return scene.finding(
        "impossible", measure, why=why, confidence=_SURE_THROUGH, part=part.name, dimension="depth"
    )


def _cutting() -> frozenset[str]:
    """Give the words of what goes into a piece, and of what makes it."""
    features = _features()
    return features["cut_into"] | features["bored"] | features["boring_tools"]


def _goes_in(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is a depth by the words right at it: "an inch deep", "go down one inch"."""
    tokens, (start, end) = scene.talk.tokens, measure.span
    if end < len(tokens) and tokens[end] == "deep" and scene.talk.same_sentence(start, end):
        return True
    before = tokens[max(0, start - _JUST_BEFORE) : start]
    return bool(before) and before[-1] in ("in", "down") and bool(_GO & set(before))


def _worked_on(scene: Scene, measure: Measure) -> Part | None:
    """Give the part in hand, or, where nothing is, the one that was surely in hand just before."""
    for word in range(measure.span[0], max(-1, measure.span[0] - _TALKED_OF), -1):
        hand = scene.hand_at(word)
        sure = _HELD if word == measure.span[0] else _SURE_OF_THE_PART
        if hand and hand.parts and hand.confidence >= sure:
            return scene.parts.get(hand.parts[0])
    return None


def _denied(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size is named as what not to do: "don't go boring a 28 mm hole through one"."""
    for at in range(measure.span[0] - 1, max(-1, measure.span[0] - _WINDOW), -1):
        word = scene.talk.tokens[at]
        if word in _BREAKS or not scene.talk.same_sentence(at, measure.span[0]):
            return False
        if word in _NEVER:
            return True
    return False


def _why(scene: Scene, measure: Measure, part: Part) -> str:
    """Say what makes a size impossible; nothing where it can be."""
    sizes = {
        e.dimension: e for e in part.listed if e.value is not None and e.unit != "degree" and not e.feature
    }
    if measure.role == "rough":
        return _too_small(scene, measure, part)
    if measure.role == "tool":
        if measure.span[1] - 1 in scene.talk.commas or scene.said_right_behind(measure):
            return ""  # "eight long, drill them all": the size before the comma is not the drill's
        return _too_wide(scene, measure, part, sizes, "boring_tools")
    if measure.role not in ("feature", "none") or not sizes or measure.verdict != "not-listed":
        return ""
    if measure.dimension == "depth":
        return _too_deep(scene, measure, part, sizes)
    if measure.dimension in ("diameter", "other") and len(sizes) > 1:
        return _too_wide(scene, measure, part, sizes, "bored")
    if measure.dimension == "width":
        return _too_wide(scene, measure, part, sizes, "let_in")
    return ""


def _hole(scene: Scene, measure: Measure, part: Part) -> str:
    """Find a hole wider than its piece whose size was placed on the piece's own diameter."""
    if measure.verdict != "disagrees" or measure.dimension != "diameter" or not _of_a_hole(scene, measure):
        return ""
    own: dict[Dimension, Listed] = {
        e.dimension: e for e in part.listed if e.value is not None and not e.feature
    }
    return _too_wide(scene, measure, part, own, "bored")


def _too_deep(scene: Scene, measure: Measure, part: Part, sizes: dict[Dimension, Listed]) -> str:
    words = {singular(w) for w in scene.talk.tokens[max(0, measure.span[0] - 8) : measure.span[1] + 5]}
    said = size(spoken(measure))
    if words & _features()["cut_into"] and "thickness" in sizes:
        text = f"A cut {said} deep goes through {part.name}, which is {{}} thick."
        return _too_much(size_of(measure), sizes["thickness"], text)
    if words & _features()["bored"]:
        largest = max(sizes.values(), key=_plain)
        text = f"A hole {said} deep is longer than {part.name}, whose largest size is {{}}."
        return _too_much(size_of(measure), largest, text)
    return ""


def _too_wide(scene: Scene, measure: Measure, part: Part, sizes: dict[Dimension, Listed], behind: str) -> str:
    """Find a hole wider than its piece, by the words right behind its size."""
    near = {singular(w) for w in scene.talk.tokens[measure.span[1] : measure.span[1] + 3]}
    if measure.verdict == "disagrees":
        near |= _features()["bored"]  # the hole stands further off, and was looked for already
    if behind != "boring_tools":
        near |= _right_before(scene, measure)
    across = sizes.get("diameter") or sizes.get("width")
    how = "across."
    if "thickness" in sizes and _in_the_edge(scene, measure):
        across, how = sizes["thickness"], "thick at its edge."
    if across is None or not near & _features()[behind] or size_of(measure) > _NO_SLIP * _plain(across):
        return ""
    said = size(spoken(measure))
    text = f"A hole of {said} is wider than {part.name}, which is {{}} {how}"
    return _too_much(size_of(measure), across, text)


def _of_a_hole(scene: Scene, measure: Measure) -> bool:
    """Tell whether a size placed on the piece's own diameter is that of a hole in it: "there's a hole drawn, with 24 written by it"."""
    for at in range(measure.span[0] - 1, max(-1, measure.span[0] - _EDGE), -1):
        if at in scene.sized or not scene.talk.same_sentence(at, measure.span[0]):
            return False
        if singular(scene.talk.tokens[at]) in _features()["bored"]:
            return True
    return False


def _in_the_edge(scene: Scene, measure: Measure) -> bool:
    """Tell whether a hole goes into the edge of its piece, in the same sentence or the one before: then the thickness is what it has."""
    talk, here = scene.talk, measure.span[0]
    for at in range(max(0, here - _EDGE), here):
        if (
            talk.tokens[at] in ("edge", "edges", "edgewise")
            and talk.sentence_of[here] - talk.sentence_of[at] <= 1
        ):
            return talk.tokens[at - 1] in ("narrow", "thin", "the", "its", "an") and at > 0
    return False


def _right_before(scene: Scene, measure: Measure) -> set[str]:
    """Give the few words before a size, in its sentence and with no other size between."""
    words: set[str] = set()
    for at in range(measure.span[0] - 1, max(-1, measure.span[0] - _JUST_BEFORE - 1), -1):
        if (
            not scene.talk.same_sentence(at, measure.span[0])
            or at in scene.sized
            or scene.talk.tokens[at] in _BREAKS
        ):
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
    limit = size(listed_as(short[0]))
    return f"{part.name} is {limit} and cannot come out of a blank of {size(spoken(measure))}."


def _plain(listed: Listed) -> Fraction:
    return plain(listed.value, listed.unit) if listed.value is not None else Fraction(0)


def _too_much(said: Fraction, limit: Listed, text: str) -> str:
    if limit.value is None or said < plain(limit.value, limit.unit):
        return ""
    return text.format(size(listed_as(limit)))
