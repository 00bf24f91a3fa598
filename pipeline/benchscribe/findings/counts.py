"""Another number of pieces than listed."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from typing import Final

from msgspec import Struct, structs

from benchscribe.findings.scene import Scene
from benchscribe.findings.tables import table
from benchscribe.findings.wording import advice_for, finding_id
from benchscribe.records import Finding, Mention, Part, Said
from benchscribe.spoken.words import singular, whole_number

_OF_THEM: Final = (
    ("of", "them"), ("of", "these"), ("of", "those"), ("of", "that"), ("in", "all"), ("in", "total"), ("all", "told"),
)  # fmt: skip
_ALONE: Final = frozenset({"off", "altogether", "total"})
_SURE: Final = 0.6
"""A name, or the part in hand, less sure than this ties no number to a part."""
_NAME_REACH: Final = 2
"""Words that may stand between a number and the name behind it: "six new corner blocks"."""
_CONTRAST: Final = 45
"""Words between the listed number and the other one."""
_QUOTED: Final = 4
_FEW: Final = 2
_SAYS: Final = 2
_LEAD: Final = 3
_NEAR: Final = 3
_BACK: Final = 30
"""The part named last so many words ago is still the one that is counted."""
_MOST: Final = 2
"""A number more than so many times the listed one, and one more, is of something else."""
_MOST_UNNAMED: Final = Fraction(3, 2)
"""The same for a number without the part's name, and one more: a list is seldom wrong by more than half."""
_SIGNS: Final = 2.0


class _Book(Struct, frozen=True):
    enough: float
    score: Mapping[str, float]
    words: Mapping[str, frozenset[str]]


@cache
def _book() -> _Book:
    data = table("counts")
    words = {name: frozenset(text.split()) for name, text in data["words"].items()}
    return _Book(data["enough"], data["score"], words)


class _Count(Struct, frozen=True):
    number: int
    part: str
    start: int
    end: int
    tied: str
    """named, of_them, named_of_them or "" (by itself)."""
    quoted: bool
    score: float = 0.0


def counts(scene: Scene) -> list[Finding]:
    """Find parts of which another number was given than listed, and never the listed one after it."""
    said: dict[str, list[_Count]] = {}
    for count in _numbers(scene):
        said.setdefault(count.part, []).append(count)
    findings = []
    for name, rows in said.items():
        part = scene.parts[name]
        if part.count is None:
            continue
        sure = [row for row in (_scored(scene, part, r, rows) for r in rows) if row.score >= _book().enough]
        other = [row for row in sure if row.number != part.count]
        taken_back = any(
            row.number == part.count and not row.quoted and other and row.start > other[-1].start
            for row in sure
        )
        if other and not taken_back and len({row.number for row in other}) == 1:
            findings.append(_finding(scene, part, other))
    return findings


def _numbers(scene: Scene) -> list[_Count]:
    """Give every whole number that can be one of pieces of a part."""
    tokens = scene.talk.tokens
    found: list[_Count] = []
    index = 0
    names = _last_words(scene)
    while index < len(tokens):
        number = whole_number(tokens, index)
        taken = number[1] if number else 1
        collective = tokens[index] in ("dozen", "pair")  # "a dozen" is a number, "a four" is a name
        named = index > 0 and tokens[index - 1] in _book().words["numbered"] and not collective
        if number and number[0] > 1 and index not in scene.sized and not named:
            count = _tied(scene, number[0], index, index + taken, names, _counted(scene, found, index))
            if count is not None:
                found.append(count)
        index += taken
    return found


def _counted(scene: Scene, found: list[_Count], word: int) -> str | None:
    """Give the part whose listed number was told shortly before: of the plan, or, where "of them" follows this one, by its name."""
    tokens, plan = scene.talk.tokens, _book().words["plan"]
    of_them = tokens[word + 1 : word + 3] in _OF_THEM
    for count in reversed(found):
        if word - count.start > _CONTRAST:
            return None
        near = tokens[max(0, count.start - _QUOTED) : count.end + _QUOTED + 1]
        told = bool(plan & set(near)) or (of_them and count.tied == "named")
        if count.number == scene.parts[count.part].count and told:
            return count.part
    return None


def _last_words(scene: Scene) -> dict[str, str]:
    """Give the parts by the last word of their names, where only one has it: "washers" is the spacing washer."""
    last: dict[str, list[str]] = {}
    for name in scene.parts:
        last.setdefault(singular(name.lower().split()[-1]), []).append(name)
    return {word: names[0] for word, names in last.items() if len(names) == 1}


def _tied(
    scene: Scene, number: int, start: int, end: int, names: dict[str, str], before: str | None
) -> _Count | None:
    """Tie a number to a part by what stands behind it; None where that is a word of its own.

    Where nothing else tells, it is of the part that was counted last.
    """
    tokens = scene.talk.tokens
    quoted = _is_quoted(scene, start)
    sided = _left_and_right(tokens, end)
    if sided:
        held = _spoken_of(scene, start, number + sided[0])
        return _Count(number + sided[0], held, start, sided[1], "of_them", quoted) if held else None
    name = _named_behind(scene, end, names)
    if name:
        return _Count(number, name, start, end, "named", quoted)
    behind = _behind(scene, end)
    closed = behind in _OF_THEM or bool(behind and behind[0] in _ALONE)
    if not closed and behind and behind[0] not in _book().words["plain"]:
        return None
    name = _named_before(scene, start)
    if name and closed:
        return _Count(number, name, start, end, "named_of_them", quoted)
    held = _spoken_of(scene, start, number)
    if before and held and not _named_lately(scene, held, start):
        held = before  # what was just counted, and not what comes next
    part = name or held or before or _only_listed(scene, number, start, end)
    return _Count(number, part, start, end, "of_them" if closed else "", quoted) if part else None


def _named_lately(scene: Scene, part: str, word: int) -> bool:
    return any(m.name == part and 0 < word - m.span[0] <= _BACK for m in scene.part_mentions)


def _only_listed(scene: Scene, number: int, start: int, end: int) -> str | None:
    """Give the only part of which the list has a number, where the number is told of the list: "ten of them on the paper"."""
    near = scene.talk.tokens[max(0, start - _QUOTED) : end + _QUOTED + 1]
    parts = [name for name, part in scene.parts.items() if part.count == number]
    return parts[0] if number > _FEW and len(parts) == 1 and _book().words["plan"] & set(near) else None


def _is_quoted(scene: Scene, start: int) -> bool:
    """Tell whether a number is the plan's: "the list has five", and not "six on the list, I've put in eight"."""
    tokens, words = scene.talk.tokens, _book().words
    for at in range(start - 1, max(-1, start - _QUOTED - 1), -1):
        word = tokens[at]
        if word in words["own"] or not scene.talk.same_sentence(at, start) or whole_number(tokens, at):
            return False
        if word in words["plan"] or (word in words["says"] and start - at <= _SAYS):
            return True
    return False


def _behind(scene: Scene, end: int) -> tuple[str, ...]:
    """Give the two words behind a number, up to the end of its clause."""
    tokens, talk = scene.talk.tokens, scene.talk
    if end >= len(tokens) or end - 1 in talk.commas:
        return ()
    if talk.punctuated and talk.sentence_of[end] != talk.sentence_of[end - 1]:
        return ()
    return tokens[end : end + 2]


def _named_behind(scene: Scene, end: int, names: dict[str, str]) -> str | None:
    """Give the part whose name stands behind a number: "six corner blocks", "twenty washers"."""
    tokens = scene.talk.tokens
    for at in range(end, min(end + _NAME_REACH + 1, len(tokens))):
        if at > end and (at - 1 in scene.talk.commas or tokens[at - 1] in _book().words["apart"]):
            return None
        if tokens[at] in _book().words["apart"] or not scene.talk.same_sentence(end - 1, at):
            return None
        mention = _mention_at(scene, at)
        if mention is not None and mention.confidence >= _SURE:
            return mention.name
        word = singular(tokens[at])
        if word in names and word != tokens[at]:
            return names[word]
    return None


def _mention_at(scene: Scene, word: int) -> Mention | None:
    mentions = scene.part_mentions
    where = bisect_left(mentions, word, key=lambda m: m.span[0])
    return mentions[where] if where < len(mentions) and mentions[where].span[0] == word else None


def _named_before(scene: Scene, start: int) -> str | None:
    """Give the part named right before a number: "legs, four of them"."""
    for mention in scene.part_mentions:
        if (
            mention.span[1] == start
            and mention.confidence >= _SURE
            and scene.talk.same_sentence(start - 1, start)
        ):
            return mention.name
    return None


def _spoken_of(scene: Scene, word: int, number: int) -> str | None:
    """Give the part in hand; of several, the one that the list has as many of, else the one named last, where it is clear."""
    hand = scene.hand_at(word)
    if hand and hand.parts and hand.confidence >= _SURE:
        if len(hand.parts) == 1:
            return hand.parts[0] if hand.parts[0] in scene.parts else None
        listed = [p for p in hand.parts if p in scene.parts and scene.parts[p].count == number]
        if listed:
            return listed[0]
        latest = [m for m in scene.part_mentions if 0 < word - m.span[0] <= _BACK and m.name in hand.parts]
        return latest[-1].name if latest else None
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


def _scored(scene: Scene, part: Part, count: _Count, rows: list[_Count]) -> _Count:
    """Score how surely a number is the whole number of pieces."""
    score, words, tokens = _book().score, _book().words, scene.talk.tokens
    listed = part.count or 0
    contrast = count.number != listed and _beside_the_listed(count, rows, listed)
    limit = (_MOST if contrast or "named" in count.tied else _MOST_UNNAMED) * listed + 1
    if not listed or count.number > limit:
        return count
    total = score[count.tied] if count.tied else 0.0
    before = [
        tokens[i]
        for i in range(max(0, count.start - _LEAD), count.start)
        if scene.talk.same_sentence(i, count.start)
    ]
    sided = count.end - count.start > 2 and tokens[count.end - 1].startswith(("left", "right"))
    stop = next(
        (i + 1 for i in range(count.end - 1, count.end + _NEAR) if i in scene.talk.commas), count.end + _NEAR
    )
    one_each = tokens[count.end] == "one" if count.end < len(tokens) else False
    one_each = one_each or "one" in tokens[count.end : count.end + 2]
    behind = [
        tokens[i]
        for i in range(count.end, min(stop, len(tokens)))
        if scene.talk.same_sentence(i, count.start)
    ]
    around = {*before, *behind} - set(part.name.lower().split())
    led = any(word in words["lead"] for word in before)
    total += score["led"] * led
    total += score["contrast"] * contrast
    total += score["a_part"] * (not sided and not one_each and bool(around & words["a_part"]))
    total += score["some"] * (count.tied == "of_them" and not led and count.number < listed)
    total += score["article"] * bool(before and before[-1] in words["article"])
    total += score["fewer"] * (count.number < listed)
    total += score["per_set"] * (count.number < listed and listed % count.number == 0 and not led)
    total += score["quoted"] * (count.quoted and count.number != listed)
    declared = scene.language.around((count.start, count.end), signs=True)
    total += score["declared"] * (max(declared.of("plan-wrong"), declared.of("changed")) >= _SIGNS)
    return structs.replace(count, score=total)


def _beside_the_listed(count: _Count, rows: list[_Count], listed: int) -> bool:
    return any(row.number == listed and abs(row.start - count.start) <= _CONTRAST for row in rows)


def _finding(scene: Scene, part: Part, rows: list[_Count]) -> Finding:
    first = rows[0]
    span = (first.start, first.end)
    word = scene.transcript.words[first.start]
    words = scene.transcript.text(span)
    spoken = Said(Fraction(first.number), "count", words)
    best = max(row.score for row in rows)
    finding = Finding(
        id=finding_id(words, spoken.value, "count", word.start_s, part.name),
        kind="count",
        part=part.name,
        dimension=None,
        spoken=spoken,
        listed=Said(Fraction(part.count or 0), "count"),
        sentence=scene.sentence(span),
        span=span,
        why=f"You gave the number of {part.name} as {first.number}, and the list has {part.count}.",
        advice=advice_for("count", word.start_s, part.sheet),
        confidence=round(min(0.9, 0.45 + 0.1 * best + 0.05 * (len(rows) - 1)), 2),
        declared=False,
        status="open",
        sheet=part.sheet,
        start_s=word.start_s,
        end_s=scene.transcript.words[first.end - 1].end_s,
    )
    times = tuple(t for t in (scene.transcript.words[r.start].start_s for r in rows[1:]) if t is not None)
    return structs.replace(finding, repeated=times)
