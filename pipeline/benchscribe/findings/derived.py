"""Sums said aloud: right ones are kept as confirmations, wrong ones are findings."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec import structs

from benchscribe.findings.scene import Scene, as_said
from benchscribe.findings.wording import dimension_words, size, spoken
from benchscribe.records import Dimension, Finding, Measure, Said
from benchscribe.spoken.plan import agrees, plain, size_of
from benchscribe.spoken.sums import Sum

_ROUND: Final = 360
_SURE_NAME: Final = 0.9
_SAID_AGAIN: Final = 40
"""Words between a result and the same result said again."""
_WORDS: Final = {
    "half": "half of",
    "third": "a third of",
    "quarter": "a quarter of",
    "double": "twice",
    "circumference": "the circumference of",
    "complement": "the complement of",
}
_NAMED: Final[dict[str, Dimension]] = {
    "width": "width", "length": "length", "height": "length", "thickness": "thickness", "diameter": "diameter", "depth": "width",
}  # fmt: skip


def derivations(scene: Scene) -> list[Finding]:
    """Judge every sum whose terms were said, and halves of listed sizes whose base was only named."""
    found = [f for f in (_judged(scene, total) for total in scene.sums) if f]
    used = {f.span for f in found}
    return _once(found + [f for f in _unsaid_halves(scene) if f.span not in used])


def _once(found: list[Finding]) -> list[Finding]:
    """Join what is said again right away: "half of 24 is 13, so scribe at 13" is wrong once."""
    kept: list[Finding] = []
    for finding in sorted(found, key=lambda f: f.span):
        old = next((k for k in kept if _again(k, finding)), None)
        if old is None:
            kept.append(finding)
        elif finding.start_s is not None and finding.start_s != old.start_s:
            again = structs.replace(old, repeated=(*old.repeated, finding.start_s))
            kept[kept.index(old)] = again
    return kept


def _again(one: Finding, other: Finding) -> bool:
    same = one.spoken is not None and other.spoken is not None and one.part == other.part
    if not same or one.right is True or other.right is True:
        return False
    return (one.spoken.value, one.spoken.unit) == (other.spoken.value, other.spoken.unit) and (  # type: ignore[union-attr]
        other.span[0] - one.span[1] <= _SAID_AGAIN
    )


def _judged(scene: Scene, total: Sum) -> Finding | None:
    base, result = scene.measures[total.base], scene.measures[total.result]
    if result.verdict == "agrees" and result.role in ("finished", "quoted-plan"):
        return None
    if not total.right and (base.role == "tool" or result.role in ("tool", "taken-back", "mistake")):
        return None
    part = base.part or result.part or _named_before(scene, result)
    dimension = _dimension(total, base, result)
    expected = _as_told(total.expected, base, result)
    sum_words = _sum_words(scene, total)
    said = spoken(result)
    if total.right:
        why = f"{sum_words[:1].upper()}{sum_words[1:]} is {size(said)}: right."
    else:
        why = f"You said that {sum_words} is {size(said)}; it is {size(expected)}."
    finding = scene.finding(
        "derived", result, why=why, confidence=0.95 if total.right else 0.85, part=part, dimension=dimension
    )
    listed = Said(base.listed, base.listed_unit) if base.listed is not None and base.listed_unit else None
    return structs.replace(
        finding,
        right=total.right,
        listed=listed,
        probably_right=None if total.right else expected,
        probably_why="" if total.right else f"{sum_words} is {size(expected)}",
        advice="nothing to do: the sum is right" if total.right else finding.advice,
        status="open",
        declared=False,
    )


def _named_before(scene: Scene, measure: Measure) -> str | None:
    """Give the only part named in a sum's own sentence, where neither term was placed."""
    named = {
        m.name
        for m in scene.part_mentions
        if m.span[0] < measure.span[0]
        and m.confidence >= _SURE_NAME
        and scene.talk.same_sentence(m.span[0], measure.span[0])
    }
    return named.pop() if len(named) == 1 else None


def _as_told(value: Fraction, base: Measure, result: Measure) -> Said:
    """Give what a sum comes to, in the unit of its result and with decimals where its terms were told in them."""
    right = as_said(value, result.unit)
    words = next((m.words for m in (result, base) if "." in size(spoken(m))), "")
    return Said(right.value, right.unit, words) if words else right


def _dimension(total: Sum, base: Measure, result: Measure) -> Dimension | None:
    if total.kind == "complement":
        return "angle"
    if total.kind in ("difference", "sum") and result.dimension not in (None, "other"):
        return result.dimension
    if base.dimension == "diameter":
        return "radius" if total.kind == "half" else "other" if total.kind == "circumference" else "diameter"
    return base.dimension or result.dimension


def _sum_words(scene: Scene, total: Sum) -> str:
    base = scene.measures[total.base]
    text = size(spoken(base))
    if total.kind == "multiple":
        return f"{total.factor} times {text}"
    if total.kind == "gaps":
        return f"{total.factor + 1} at {text}, first to last {total.factor} gaps,"
    if total.kind == "part":
        whole = "360°" if base.value == _ROUND and base.unit != "degree" else text
        return f"{whole} divided by {total.factor}"
    if total.kind == "complement" and total.other is not None:
        return f"{size(spoken(scene.measures[total.other]))} less {text}"
    if total.kind in _WORDS:
        return f"{_WORDS[total.kind]} {text}"
    other = scene.measures[total.other if total.other is not None else total.base]
    times = f"{total.factor} times " if total.factor > 1 else ""
    return f"{text} {'less' if total.kind == 'difference' else 'plus'} {times}{size(spoken(other))}"


def _unsaid_halves(scene: Scene) -> list[Finding]:
    """Find halves of a listed size that was not said itself: "half of the width is 4 1/8"; "an eighth off the end" after a half."""
    found = []
    tokens = scene.talk.tokens
    for measure in scene.measures:
        part = scene.parts.get(measure.part or "")
        if (
            part is None
            or measure.verdict == "agrees"
            or measure.taken_back
            or measure.role in ("tool", "mistake")
        ):
            continue
        before = tokens[max(0, measure.span[0] - 24) : measure.span[0]]
        if not any(
            word in ("half", "halve", "centre", "center", "middle", "central", "midway") for word in before
        ):
            continue
        for listed in part.listed:
            if listed.value is None or listed.unit == "degree" or measure.unit == "degree" or listed.feature:
                continue
            half = plain(listed.value, listed.unit) / 2
            named = _half_of_named(before)
            right = size_of(measure) == half
            wrong = (
                (named == listed.dimension or _half_of_number(before) == listed.value)
                and not right
                and abs(size_of(measure) - half) / half < Fraction(1, 5)
            )
            if not right and not wrong:
                continue
            if wrong and any(agrees(measure, other, part) for other in part.listed):
                continue
            found.append(
                _unsaid(scene, measure, Said(listed.value, listed.unit, listed.text), listed.dimension, right)
            )
            break
    return found


def _half_of_named(before: tuple[str, ...]) -> Dimension | None:
    """Give the dimension of "half (of) the width", where it stands right before the result."""
    near = before[-8:]
    for index, word in enumerate(near):
        if word in ("half", "halve"):
            for after in near[index + 1 : index + 4]:
                if after in _NAMED:
                    return _NAMED[after]
    return None


def _half_of_number(before: tuple[str, ...]) -> Fraction | None:
    """Give the number of "half of 342", where it stands right before the result and was not read as a size."""
    near = before[-8:]
    for index in range(len(near) - 2):
        if near[index : index + 2] == ("half", "of") and near[index + 2].replace(".", "", 1).isdecimal():
            return Fraction(near[index + 2])
    return None


def _unsaid(scene: Scene, measure: Measure, listed: Said, dimension: Dimension, right: bool) -> Finding:
    half = as_said(plain(listed.value, listed.unit) / 2, measure.unit)
    said = spoken(measure)
    what = f"half of the listed {dimension_words(dimension)}, {size(listed)},"
    why = (
        f"{size(said)} is {what.rstrip(',')}: right."
        if right
        else f"You said {size(said)} for {what} which is {size(half)}."
    )
    finding = scene.finding(
        "derived",
        measure,
        why=why,
        confidence=0.8 if right else 0.65,
        dimension="radius" if dimension == "diameter" else dimension,
    )
    return structs.replace(
        finding,
        right=right,
        listed=listed,
        probably_right=None if right else half,
        probably_why="" if right else f"half of {size(listed)} is {size(half)}",
        advice="nothing to do: the sum is right" if right else finding.advice,
        status="open",
        declared=False,
    )
