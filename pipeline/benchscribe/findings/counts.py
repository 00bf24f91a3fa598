"""Another number of pieces than listed."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from msgspec import Struct, structs

from benchscribe.findings.scene import Scene
from benchscribe.findings.wording import advice_for, finding_id
from benchscribe.records import Finding, Part, Said
from benchscribe.spoken.words import whole_number

_LEAD: Final = frozenset("there need needs want wants make makes takes total are of all cut uses use".split())
"""Words before a number that give it as the whole number of pieces."""
_NOT_ALL: Final = frozenset(
    "each per every first second third another other more spare already done left these those some last half extra apiece time times "
    "side end corner both mine neighbour or about maybe couple few".split()
)
"""Words near a number that make it a part of the pieces, or a number for each of something else."""
_OF_THEM: Final = (
    ("of", "them"),
    ("of", "these"),
    ("of", "those"),
    ("in", "all"),
    ("in", "total"),
    ("all", "told"),
)
_NUMBERED: Final = frozenset(
    "sheet sheets step steps part episode page figure fig drawing chapter day number row volume video no week lesson".split()
)
"""Words that a number behind them names: "sheet three" is no count of three."""
_PLAN: Final = frozenset(
    ["list", "plan", "drawing", "drawn", "sheet", "print", "pattern", "says", "listed", "shows"]
)
_SETTLES: Final = frozenset(
    [
        "need",
        "needs",
        "cut",
        "make",
        "makes",
        "it",
        "it's",
        "so",
        "want",
        "wants",
        "is",
        "be",
        "use",
        "used",
        "take",
        "takes",
        "to",
        "do",
        "got",
        "have",
    ]
)
"""Words right before a number that put it in the listed number's place."""
_FOR: Final = frozenset("for on to in at with from under over of".split())
"""Between a number and a part they make it the number of something else: "two for the lid"."""
_WRONG: Final = 2.8
"""Weight of language from which the count of the plan was called wrong outright."""
_INSTEAD_REACH: Final = 26
_ENOUGH: Final = 0.6


class _Count(Struct, frozen=True):
    number: int
    part: str
    start: int
    end: int


def counts(scene: Scene) -> list[Finding]:
    """Find parts of which another number was given than listed, and never the listed one."""
    said: dict[str, list[_Count]] = {}
    inside = {i for m in scene.measures for i in range(*m.span)}
    tokens = scene.talk.tokens
    index = 0
    while index < len(tokens):
        number = whole_number(tokens, index)
        if number is None or index in inside or number[0] < 2 or _names_something(tokens, index):
            index += 1
            continue
        found = _count(scene, number[0], index, index + number[1]) or _instead(
            scene, number[0], index, inside
        )
        if found:
            said.setdefault(found.part, []).append(found)
        index += number[1]
    findings = []
    for name, rows in said.items():
        part = scene.parts[name]
        if part.count is None or rows[-1].number == part.count:
            continue
        other = [row for row in rows if row.number != part.count]
        if len({row.number for row in other}) == 1:
            findings.append(_finding(scene, part, other))
    return findings


def _names_something(tokens: tuple[str, ...], index: int) -> bool:
    """Tell whether a number is a name: "sheet three", "step 4"."""
    return index > 0 and tokens[index - 1] in _NUMBERED


def _more_than_listed(scene: Scene, number: int, named: tuple[str, int, int] | None, end: int) -> bool:
    """Tell whether more of a part are named outright than the list has: "this stool has four legs" of three."""
    if named is None or named[1] - end > 0:
        return False
    listed = scene.parts[named[0]].count
    return listed is not None and listed > 1 and listed < number <= 2 * listed + 1


def _count(scene: Scene, number: int, start: int, end: int) -> _Count | None:
    tokens = scene.talk.tokens
    sided = _left_and_right(tokens, end)
    if sided:
        number, end = number + sided[0], sided[1]
    stop = next((i + 1 for i in range(end - 1, min(end + 5, len(tokens))) if i in scene.talk.commas), end + 5)
    around = tokens[max(0, start - 3) : start] + tokens[end:stop]
    named = _named_near(scene, start, end)
    own = set(tokens[named[1] : named[2]]) if named else set()
    if not sided and any(word in _NOT_ALL and word not in own for word in around):
        return None
    closing = tokens[end : end + 2] in _OF_THEM or tokens[end : end + 1] in (("off",), ("altogether",))
    lead = start > 0 and any(word in _LEAD for word in tokens[max(0, start - 2) : start])
    follows = named is not None and named[1] >= end and not _FOR & set(tokens[end : named[1]])
    before = named is not None and named[2] == start
    more = _more_than_listed(scene, number, named, end)
    if not (sided or more or (lead and (closing or follows)) or (closing and before)):
        return None
    part = named[0] if named else _held(scene, start)
    if part is None or part not in scene.parts:
        return None
    return _Count(number, part, start, end)


def _instead(scene: Scene, listed: int, start: int, inside: set[int]) -> _Count | None:
    """Read "the list has five. I need six": the listed count said of the plan, and another soon after."""
    tokens = scene.talk.tokens
    if not any(word in _PLAN for word in tokens[max(0, start - 4) : start]):
        return None
    named = _named_near(scene, start, start + 1)
    part = named[0] if named else _held(scene, start)
    if part is None or scene.parts[part].count != listed:
        return None
    first = whole_number(tokens, start)
    taken = start + (first[1] if first else 1)
    for at in range(taken, min(start + _INSTEAD_REACH, len(tokens))):
        number = whole_number(tokens, at)
        if at < taken:
            continue
        taken = at + number[1] if number else taken
        if number is None or at in inside or number[0] in (1, listed) or number[0] > 4 * listed:
            continue
        before, after = tokens[at - 1], tokens[at + number[1]] if at + number[1] < len(tokens) else ""
        if before in _SETTLES or after in ("is", "of", "what") or tokens[at].endswith("s"):
            return _Count(number[0], part, at, at + number[1])
    return None


def _left_and_right(tokens: tuple[str, ...], end: int) -> tuple[int, int] | None:
    """Read "two left, two right" and "two lefts and two rights": the second number and where it ends."""
    if end >= len(tokens) or tokens[end] not in ("left", "lefts", "right", "rights"):
        return None
    at = end + 1 if end + 1 < len(tokens) and tokens[end + 1] != "and" else end + 2
    second = whole_number(tokens, at)
    if second is None or at + second[1] >= len(tokens):
        return None
    if tokens[at + second[1]] not in ("left", "lefts", "right", "rights"):
        return None
    return second[0], at + second[1] + 1


def _named_near(scene: Scene, start: int, end: int) -> tuple[str, int, int] | None:
    """Give a part named right before or up to three words after a number: its name and the words of the mention."""
    for mention in scene.mentions.mentions:
        if mention.kind == "part" and mention.name in scene.parts and mention.confidence >= _ENOUGH:
            before = mention.span[1] == start and scene.talk.same_sentence(mention.span[0], start)
            if before or end <= mention.span[0] <= end + 2:
                return mention.name, mention.span[0], mention.span[1]
            if mention.span[0] > end + 3:
                break
    return None


def _held(scene: Scene, word: int) -> str | None:
    hand = scene.hand_at(word)
    return hand.parts[0] if hand and len(hand.parts) == 1 and hand.confidence >= _ENOUGH else None


def _finding(scene: Scene, part: Part, rows: list[_Count]) -> Finding:
    first = rows[0]
    span = (first.start, first.end)
    word = scene.transcript.words[first.start]
    words = scene.transcript.text(span)
    declared = scene.language.around(span)
    hand = scene.hand_at(first.start)
    kind = "plan-wrong" if declared.of("plan-wrong") >= _WRONG else "count"
    spoken = Said(Fraction(first.number), "count", words)
    finding = Finding(
        id=finding_id(words, spoken.value, "count", word.start_s, part.name),
        kind=kind,  # type: ignore[arg-type]
        part=part.name,
        dimension=None,
        spoken=spoken,
        listed=Said(Fraction(part.count or 0), "count"),
        sentence=scene.sentence(span),
        span=span,
        why=f"You gave the number of {part.name} as {first.number}, and the list has {part.count}.",
        advice=advice_for(kind, word.start_s, part.sheet),  # type: ignore[arg-type]
        confidence=round(min(0.9, 0.5 + 0.3 * (hand.confidence if hand else 0) + 0.1 * (len(rows) - 1)), 2),
        declared=kind != "count",
        status="open" if kind == "count" else "declared",
        sheet=part.sheet,
        start_s=word.start_s,
        end_s=scene.transcript.words[first.end - 1].end_s,
    )
    times = tuple(t for t in (scene.transcript.words[r.start].start_s for r in rows[1:]) if t is not None)
    return structs.replace(finding, repeated=times)
