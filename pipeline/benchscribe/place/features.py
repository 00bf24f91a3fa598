"""Features of single measures: what the words around a size say for and against each kind of place."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from benchscribe.place.bench import Bench
from benchscribe.place.cues import Context
from benchscribe.records import Measure, Role
from benchscribe.spoken.plan import Slot, size_of

Features = dict[str, float]

NEVER_LISTED: Final = frozenset({"radius", "depth", "spacing"})
"""What a size called by these words is mostly of is no row of the list."""
_ALIKE: Final[dict[str, frozenset[str]]] = {
    "length": frozenset({"height", "width", "depth"}),
    "height": frozenset({"length", "width", "depth"}),
    "width": frozenset({"depth", "height", "diameter", "length"}),
    "depth": frozenset({"width", "thickness"}),
    "diameter": frozenset({"width", "thickness"}),
    "thickness": frozenset({"depth"}),
}
"""Dimensions that talk calls by each other's words: a leg is as "high" as it is long, a disc as "wide" as its diameter."""
_PLAIN: Final = frozenset(
    """a about above across after again ahead all also an and any apart around as at away back because before behind below between both
    but by can come comes coming deep did do does down each either end every exactly finished first for from front get gets give go goes
    going gone got had has have he her here high his i if in inside into is it it's its just last left less like long me mine minus mine more
    my near next no not now of off on once one or our out outside over past per plus please point reckon right round same see set she
    short side since so square still tall than that that's the their them then there there's these they they're thick thin this those
    three till to together too top total two uh um under until up us was way we well were what when where which while wide will with
    without would yeah you you'll your""".split()
)
"""Words behind a size that are no thing of that size: "6 mm from the end"; "a 6 mm paddle" is."""
_WITH: Final = frozenset(
    {"with", "using", "use", "used", "grab", "get", "take", "took", "chuck", "fit", "run", "through"}
)
_ASKED: Final = frozenset({"if", "would", "could", "might", "unless", "suppose", "imagine", "maybe"})
_PAST: Final = frozenset(
    {"used", "last", "once", "years", "ago", "had", "was", "were", "old", "before", "originally"}
)
_OTHERS: Final = frozenset(
    {"he", "she", "his", "her", "they", "people", "someone", "somebody", "everyone", "everybody", "folks"}
)
_NEAR: Final = 8


def slot_role(context: Context, how: str) -> Role:
    """Give the role of a measure that is a size of the plan."""
    if context.role.get("setting", 0.0) >= 2.4:
        return "setting"
    if how and "denied" in context.role:
        return "quoted-plan"
    return "finished" if how or context.role.get("quoted-plan", 0.0) < 2 else "quoted-plan"


def said_dimension(context: Context, slot: Slot, kind: str) -> Features:
    """Weigh the word for a dimension that stands with a size against the slot's dimension."""
    if not context.dimension:
        return {"dim.none": 1.0}
    own = context.dimension.get(slot.dimension, 0.0)
    if own:
        return {f"dim.same.{kind}": own}
    name, weight = context.best("dimension")
    if name in NEVER_LISTED:
        return {f"dim.{name}.{kind}": weight}
    if slot.dimension in _ALIKE.get(name, frozenset()):
        return {"dim.alike": weight}
    return {f"dim.other.{kind}": weight}


def said_role(context: Context, kind: str) -> Features:
    """Weigh the words that say what a size is of or is for, as they speak for or against a size of the plan."""
    f: Features = {}
    for name, weight in context.role.items():
        if name in (
            "finished",
            "declared",
            "quoted-plan",
            "setting",
            "denied",
            "rough",
            "stock",
            "feature",
            "tool",
        ):
            f[f"said.{name}.{kind}"] = weight
    return f


def open_size(measure: Measure, slot: Slot, bench: Bench, index: int) -> Features:
    """Weigh whether a size can be one that the list leaves open: a length is no less than the width, a thickness no more."""
    f: Features = {}
    supplied = bench.declared[index].of("supplied")
    if supplied:
        f["blank.supplied"] = min(supplied, 3.5)
    said = size_of(measure)
    others = {
        s.dimension: s.value
        for s in (bench.slots[n] for n in bench.of_part[slot.part])
        if s.value and not s.listed.feature
    }
    unlikely = False
    if slot.dimension == "length":
        least = max(
            (others[d] for d in ("width", "thickness", "diameter") if d in others), default=Fraction(0)
        )
        unlikely = said < least * Fraction(1, 2)
    elif slot.dimension == "thickness":
        most = min((others[d] for d in ("width", "length", "diameter") if d in others), default=None)
        unlikely = most is not None and said > most
    elif slot.dimension == "width":
        unlikely = "thickness" in others and said < others["thickness"]
    if unlikely:
        f["blank.unlikely"] = 1.0
    if not slot.listed.text and not supplied:
        f["blank.unasked"] = 1.0
    return f


def surroundings(measure: Measure, bench: Bench) -> Features:
    """Say how a size stands in its sentence: before a thing of its own, behind "with a", in a guess, about the past or other people."""
    talk = bench.talk
    begin, end = measure.span
    f: Features = {}
    before = [
        t
        for i, t in enumerate(talk.tokens[max(0, begin - _NEAR) : begin], max(0, begin - _NEAR))
        if talk.same_sentence(i, begin)
    ]
    marks = {
        "article": bool(before) and before[-1] in ("a", "an"),
        "with": bool(_WITH & set(before[-3:])),
        "asked": bool(_ASKED & set(before)),
        "past": bool(_PAST & set(before)),
        "others": bool(_OTHERS & set(before)),
        "bare": not measure.unit_said,
        "thing-before": bool(set(range(max(0, begin - 4), begin)) & bench.things),
    }
    f.update({mark: 1.0 for mark, there in marks.items() if there})
    if end < len(talk.tokens) and talk.same_sentence(begin, end) and end - 1 not in talk.commas:
        word = talk.tokens[end]
        if end in bench.parts_at or end + 1 in bench.parts_at:
            f["of-part"] = 1.0
        elif end in bench.things:
            f["of-thing"] = 1.0
        elif word not in _PLAIN and not word[:1].isdigit() and not word.endswith("ly"):
            f["of-other"] = 1.0
    return f


def slot_itself(measure: Measure, context: Context, slot: Slot, bench: Bench, kind: str) -> Features:
    """Say what kind of size a slot is of, and whether its part is named with the measure."""
    f: Features = {}
    part = bench.part_list.parts[slot.part]
    if slot.listed.feature:
        words = bench.talk.tokens[max(0, measure.span[0] - 14) : measure.span[1] + 8]
        near = slot.listed.feature in words or slot.listed.feature + "s" in words
        f["feature-slot.near" if near else "feature-slot.far"] = 1.0
    if slot.listed.rough:
        f["rough-slot"] = 1.0
    if part.hardware:
        f["hardware-slot"] = 1.0
    if context.named == part.name:
        f[f"named.{kind}"] = 1.0
    elif context.named:
        f["other-named"] = 1.0
    return f
