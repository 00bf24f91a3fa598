"""Steps that are told by what is made in a piece, where no verb says it: joints, grooves and holes, and the screws and nails put in."""

from __future__ import annotations

import re
from collections.abc import Sequence

import msgspec

from benchscribe.guide.stepwords import step_words
from benchscribe.guide.told import CUT, WORK, Talk, Told, told_at
from benchscribe.spoken.mood import only_said

AHEAD = 2
"""Its size or the tool for it is told at most so many sentences later."""
SIZED = frozenset({"feature", "setting", "finished", "none", "derived", "corrected", "changed", "supplied"})
INTO = frozenset({"in", "into", "on", "onto", "along", "across", "inside", "through", "down", "of", "off"})
TOPIC_S = 40.0
"""A cutter named within this time of a joint makes that joint."""
SPREAD = frozenset({"each", "every", "per", "those", "these", "them", "through", "into", "both", "all"})
DEFINITE = frozenset({"the", "those", "these", "both", "two", "three", "four", "my", "its", "their"})
PLACING = frozenset(
    {
        "above",
        "below",
        "for",
        "into",
        "in",
        "with",
        "from",
        "of",
        "past",
        "under",
        "over",
        "to",
        "between",
        "inside",
    }
)
BETWEEN = frozenset(
    {"the", "a", "both", "each", "all", "my", "of", "every", "end", "edge", "back", "face", "bottom", "top"}
)


def told_features(talk: Talk, told: Sequence[Told]) -> list[Told]:
    """Find what is made in a piece or put into it, where its size or a tool for it is told and no verb says it.

    Args:
        talk: What was said and found.
        told: Operations that were named; a sentence with one of them needs nothing more.

    Returns:
        One for each sentence that tells one.
    """
    busy = {item.first for item in told if item.rank == WORK and item.source == "verb"}
    found: list[Told] = []
    for number, utterance in enumerate(talk.transcript.utterances):
        asks = talk.transcript.text(utterance.span).endswith("?")
        if number in talk.skipped or utterance.span[0] < talk.opening or asks or number in busy:
            continue
        at, name = _made(talk, number)
        if not name:
            at, name = _fastened(talk, number)
        if name and not only_said(talk.transcript, utterance.span, at):
            part = _its_part(talk, number)
            rank = WORK if name in step_words().joints.values() else CUT
            found.append(told_at(talk, number, at, name, part, rank))
    return found


def _made(talk: Talk, number: int) -> tuple[int, str]:
    words = step_words()
    begin = talk.transcript.utterances[number].span[0]
    near = range(number, min(number + AHEAD + 1, len(talk.transcript.utterances)))
    sizes = [any(m.role in SIZED for m in talk.measures.get(n, ())) for n in near]
    tools = [any(m.used and m.name.lower() in words.tools for m in talk.of(n, "tool")) for n in near]
    for index in _open_words(talk, number):
        word = talk.word(index)
        if index > begin and talk.word(index - 1) in ("they", "it", "that", "which"):
            continue  # "they lap over the rungs": a verb
        if _only_placed(talk, begin, index):
            continue
        if word in words.joints and (any(sizes[:2]) or any(tools)):
            return index, _with_kind(talk, begin, index, words.joints[word])
        if word in words.made and sizes[0] and (tools[0] or _new_there(talk, number, index)):
            return index, words.made[word]
    return begin, ""


def _with_kind(talk: Talk, begin: int, index: int, name: str) -> str:
    """Name a joint with the word that says which one it is: "half laps" are no laps."""
    kind = talk.word(index - 1) if index > begin else ""
    if kind not in step_words().kinds_of_joint:
        return name
    verb, joint = name.split(maxsplit=1)
    return f"{verb} {kind} {joint}"


def _new_there(talk: Talk, number: int, index: int) -> bool:
    """Tell whether a hole is new and sized as it is named ("8 mil holes", "screw holes are three sixteenths"), and only to be made."""
    begin, end = talk.transcript.utterances[number].span
    near = [
        m
        for m in talk.measures.get(number, ())
        if m.role in SIZED and m.dimension in ("diameter", "other", None) and -6 <= m.span[0] - index <= 4
    ]
    before = [talk.word(i) for i in range(max(begin, index - 3), index)]
    return bool(near) and not set(before) & (DEFINITE | PLACING) and end > index


def _only_placed(talk: Talk, begin: int, index: int) -> bool:
    """Tell whether a joint is only named to say where something is ("above the groove"); one that is new has "a" before it."""
    before = [talk.word(i) for i in range(max(begin, index - 4), index)]
    while before and before[-1] in DEFINITE:
        before.pop()
    return bool(before) and (before[-1] in PLACING or before[-2:] in (["into", "a"], ["into", "an"]))


def _open_words(talk: Talk, number: int) -> list[int]:
    """Give the words of an utterance that are no part of a tool's or a part's name ("dado stack", "dovetail clamp")."""
    begin, end = talk.transcript.utterances[number].span
    taken = {i for m in talk.of(number, "tool", "part") for i in range(*m.span)}
    taken |= {i - 1 for m in talk.of(number, "part") for i in range(*m.span)}
    return [index for index in range(begin, end) if index not in taken]


def _fastened(talk: Talk, number: int) -> tuple[int, str]:
    """Give the fastener that a sentence begins with ("Two brads at each crossing", "Nails for those") as what is done with it."""
    words = step_words()
    begin, end = talk.transcript.utterances[number].span
    going_in = SPREAD & {talk.word(index) for index in range(begin, end)}
    for index in range(begin, min(begin + 3, end)):
        if talk.word(index) in words.fasteners and going_in:
            return index, words.fasteners[talk.word(index)]
    return begin, ""


def with_joints(told: Sequence[Told], joints: Sequence[Told]) -> list[Told]:
    """Say what a cutter makes: a router or a dado stack that is named after a joint cuts that joint.

    Args:
        told: What was named, and what tools imply.
        joints: What `told_features` found.

    Returns:
        All of them, each joint once: at its tool where one follows.
    """
    words = step_words()
    joint_names = set(words.joints.values())
    out: list[Told] = []
    cut: set[int] = set()
    for item in told:
        name = item.name
        if item.source == "tool" and name in words.cutters:
            before = [
                j for j in joints if j.name in joint_names and -2 <= item.clock_s - j.clock_s <= TOPIC_S
            ]
            if before:
                joint = before[-1]
                cut.add(joint.at)
                verb = words.cutters[name]
                name = f"{verb} {joint.name.split(maxsplit=1)[1]}"
                out.append(msgspec.structs.replace(item, name=name, verb=name, part=joint.part, rank=WORK))
                continue
        out.append(item)
    return out + [joint for joint in joints if joint.at not in cut]


def _its_part(talk: Talk, number: int) -> str | None:
    """Give the part that it is made in: the one that follows "in the", "on the"; never the one that it is made for."""
    here = talk.parts[number][0] if talk.parts[number] else None
    made_for: set[str] = set()
    for near in (number, number + 1, number - 1):
        for mention in talk.of(near, "part") if 0 <= near < len(talk.parts) else ():
            lead = [talk.word(i) for i in range(max(0, mention.span[0] - 4), mention.span[0])]
            while lead and lead[-1] in BETWEEN:
                if lead[-1] == "of" and mention.name != here:
                    break
                lead.pop()
            if not lead:
                continue
            if lead[-1] == "for" and near == number:
                made_for.add(mention.name)
            elif lead[-1] in INTO and _one_name(talk, near, mention.span) and mention.name not in made_for:
                return mention.name
    if here in made_for:
        return next((p[0] for p in reversed(talk.parts[:number]) if p and p[0] not in made_for), None)
    return here


def _one_name(talk: Talk, number: int, span: tuple[int, int]) -> bool:
    """Tell whether the words name one part only, and no other that shares its noun."""
    return len({m.name for m in talk.of(number, "part") if m.span == span}) == 1 and bool(
        re.search(r"\w", talk.transcript.text(span))
    )
