"""What the words around each size say about it."""

from __future__ import annotations

import tomllib
from bisect import bisect_left
from functools import cache
from importlib.resources import files
from typing import Final

from msgspec import Struct, field

from benchscribe.records import Measure, Mention, Mentions, TradeNumber
from benchscribe.spoken.phrases import Hit, PhraseBook, phrase_book
from benchscribe.spoken.words import Talk

_LINKS: Final = frozenset(
    "on at with in into the a an of off to and from then so over through is are was for but or by if i you we it that this now my your his her our them when while because as like which what there here it's that's they're there's i'm you're he's she's we're don't".split()
)
"""Words that part a size from the noun behind it: "3 1/8 on the saw" is no saw of 3 1/8."""
_NUMBER_REACH: Final = 6
"""Words from a drill's number to its size: "a number 7 through it, that's .201"."""
_SENTENCES_BACK: Final = 2
_CUTS_ANGLES: Final = frozenset({"bit", "cutter", "countersink", "drill", "chamfer", "mill", "v-bit"})
"""Tools that have an angle of their own; "35 degrees on my saw" is the work's."""
_FADE: Final = 0.08
"""Share of its weight that a phrase loses with each word of distance."""
_LONGEST_REACH: Final = 14
_A_PART: Final = 0.6
"""A word means a part of the list where its mention is at least so sure."""
_SURELY_A_PART: Final = 0.9
_NAMED_REACH: Final = 9
_NAMED_AFTER: Final = 4
"""Words between a size and the part that it is said of, before it and behind it."""
_THINGS: Final = frozenset({"tool", "stock", "hardware", "feature"})
_TOOL_NUMBERS: Final = frozenset({"drill", "gauge", "thread", "screw", "tap"})


class Cue(Struct, frozen=True):
    """One entry of the cue table."""

    name: str
    side: str
    reach: int
    weight: float
    phrases: tuple[str, ...]
    near: bool = True
    across: bool = False
    """Reaches over the end of a sentence."""


class CueTable(Struct, frozen=True):
    """All entries, and the book that finds their phrases."""

    cues: tuple[tuple[str, Cue], ...]
    """"dimension" or "role", and the entry."""
    book: PhraseBook


class Context(Struct):
    """What is said around one measure. Filled while the cues are gathered, then only read."""

    dimension: dict[str, float] = field(default_factory=dict)
    role: dict[str, float] = field(default_factory=dict)
    because: dict[str, str] = field(default_factory=dict)
    """The words that gave each dimension or role."""
    named: str = ""
    """The part that its own sentence says the size of: "each hook is ten inches long"."""

    def best(self, kind: str) -> tuple[str, float]:
        """Give the strongest dimension or role and its weight; ("", 0.0) where there is none."""
        table = self.dimension if kind == "dimension" else self.role
        name = max(table, key=lambda n: table[n], default="")
        return name, table.get(name, 0.0)


@cache
def cue_table() -> CueTable:
    """Read the cue table that the package carries."""
    data = tomllib.loads(files("benchscribe.place").joinpath("cues.toml").read_text(encoding="utf-8"))
    cues = tuple(
        (kind, Cue(**(entry | {"phrases": tuple(entry["phrases"])})))
        for kind in ("dimension", "role")
        for entry in data[kind]
    )
    book = phrase_book((str(i), phrase) for i, (_, cue) in enumerate(cues) for phrase in cue.phrases)
    return CueTable(cues, book)


def contexts_of(
    talk: Talk, measures: tuple[Measure, ...], trade_numbers: tuple[TradeNumber, ...], mentions: Mentions
) -> list[Context]:
    """Gather the cues around every measure.

    Args:
        talk: The words.
        measures: In order of place.
        trade_numbers: A drill or screw number before a size makes it the size of a tool.
        mentions: A tool or a fastener named right behind a size owns it.
    """
    table = cue_table()
    hits = sorted(table.book.find(talk.tokens), key=lambda hit: hit.start)
    taken = _taken(measures, len(talk.tokens))
    named = {m.span[1] - 1: m for m in mentions.mentions if m.kind == "part" and m.confidence >= _A_PART}
    hits = [hit for hit in hits if not _of_a_name(hit, table, talk, named)]
    starts = [hit.start for hit in hits]
    contexts = []
    for measure in measures:
        context = Context()
        begin, end = measure.span
        low = bisect_left(starts, begin - _LONGEST_REACH - 6)
        high = bisect_left(starts, end + _LONGEST_REACH + 1)
        for hit in hits[low:high]:
            _note(context, table, hit, measure, talk, taken)
        contexts.append(context)
    _note_named(contexts, talk, measures, trade_numbers, mentions)
    return contexts


def _of_a_name(hit: Hit, table: CueTable, talk: Talk, named: dict[int, Mention]) -> bool:
    """Tell whether a word is a part's own name, or says "each" of a part: a "cover board" is no stock, "each hook" no layout."""
    kind, cue = table.cues[int(hit.name)]
    if kind != "role":
        return False
    own = named.get(hit.end - 1)
    if own is not None and cue.name in _THINGS and (cue.name == "stock" or own.span[0] <= hit.start):
        return True
    return talk.tokens[hit.start] in ("each", "every") and any(
        mention.span[0] == hit.end for mention in (named.get(hit.end), named.get(hit.end + 1)) if mention
    )


def _taken(measures: tuple[Measure, ...], length: int) -> list[int]:
    """Say for each word how many measures end at or before it, so that "a size between" is one subtraction."""
    ends = [0] * (length + 1)
    for measure in measures:
        ends[min(measure.span[1], length)] += 1
    for index in range(1, length + 1):
        ends[index] += ends[index - 1]
    return ends


def _note(
    context: Context,
    table: CueTable,
    hit: Hit,
    measure: Measure,
    talk: Talk,
    taken: list[int],
) -> None:
    kind, cue = table.cues[int(hit.name)]
    begin, end = measure.span
    if hit.end <= begin:
        if cue.side == "after" or not _reaches(cue, hit, begin, talk):
            return
        apart = begin - hit.end
        blocked = taken[begin] - taken[hit.start] > 0
    elif hit.start >= end:
        if cue.side == "before" or not talk.same_sentence(end - 1, hit.start):
            return
        apart = hit.start - end
        blocked = taken[hit.start] - taken[end] > 0 or any(t in _LINKS for t in talk.tokens[end : hit.start])
        # "40 inches, pipe cutter" is no cutter of 40 inches.
        blocked = blocked or (kind == "role" and any(i in talk.commas for i in range(end - 1, hit.start)))
    else:
        return
    if apart > cue.reach or (blocked and cue.near):
        return
    weight = cue.weight * (1 - _FADE * apart)
    scores = context.dimension if kind == "dimension" else context.role
    if weight > scores.get(cue.name, 0.0):
        scores[cue.name] = weight
        context.because[cue.name] = " ".join(talk.tokens[hit.start : hit.end])


def _reaches(cue: Cue, hit: Hit, begin: int, talk: Talk) -> bool:
    if talk.same_sentence(hit.start, begin):
        return True
    return cue.across and 0 <= talk.sentence_of[begin] - talk.sentence_of[hit.start] <= _SENTENCES_BACK


def _note_named(
    contexts: list[Context],
    talk: Talk,
    measures: tuple[Measure, ...],
    trade_numbers: tuple[TradeNumber, ...],
    mentions: Mentions,
) -> None:
    """Note tools and fasteners named right behind a size, and drill numbers before it."""
    behind: dict[int, tuple[str, str]] = {}
    parts = {m.span[1] - 1 for m in mentions.mentions if m.kind == "part" and m.confidence >= _A_PART}
    for mention in mentions.mentions:
        if mention.kind in ("tool", "hardware", "material") and mention.span[1] - 1 not in parts:
            behind[mention.span[0]] = (mention.kind, mention.words)
    sizes = {measure.span[0] for measure in measures}
    own = sorted(
        (m.span, m.name) for m in mentions.mentions if m.kind == "part" and m.confidence >= _SURELY_A_PART
    )
    numbers = sorted(n.span[1] for n in trade_numbers if n.kind in _TOOL_NUMBERS)
    for context, measure in zip(contexts, measures, strict=True):
        at = _named_behind(measure, talk, sizes, behind)
        if at is not None:
            _own(context, measure, *behind[at])
        context.named = _named_with(measure, talk, own)
        begin = measure.span[0]
        where = bisect_left(numbers, begin + 1) - 1
        if where >= 0 and begin - numbers[where] <= _NUMBER_REACH:
            context.role["tool"] = max(context.role.get("tool", 0.0), 3.5)
            context.because["tool"] = " ".join(talk.tokens[max(0, numbers[where] - 2) : numbers[where]])


def _named_with(measure: Measure, talk: Talk, own: list[tuple[tuple[int, int], str]]) -> str:
    """Give the part named last before a size in its sentence, or for which it is given right behind: "12 long for the shelf"."""
    begin, end = measure.span
    where = bisect_left(own, ((begin, 0), ""))
    if where and begin - own[where - 1][0][1] <= _NAMED_REACH:
        at = own[where - 1][0][1] - 1
        if talk.same_sentence(at, begin):
            return own[where - 1][1]
    if where == len(own) or own[where][0][0] - end > _NAMED_AFTER:
        return ""
    at = own[where][0][0]
    if talk.same_sentence(end - 1, at) and {"for", "on"} & set(talk.tokens[end:at]):
        return own[where][1]
    return ""


def _named_behind(
    measure: Measure, talk: Talk, sizes: set[int], behind: dict[int, tuple[str, str]]
) -> int | None:
    """Give the word right behind a size, or behind an adjective or two, at which a thing is named."""
    end = measure.span[1]
    for at in range(end, min(end + 3, len(talk.tokens))):
        if at in sizes or at - 1 in talk.commas or not talk.same_sentence(end - 1, at):
            return None
        if at in behind:
            return at
        if talk.tokens[at] in _LINKS:
            return None
    return None


def _own(context: Context, measure: Measure, kind: str, words: str) -> None:
    """Let the thing named behind a size own it."""
    if measure.unit == "degree" and not _CUTS_ANGLES & set(words.lower().split()):
        return
    if kind == "material":
        # "Half-inch ply" is how thick it is: the part's own thickness where the list agrees, else what the stock is called.
        if measure.chain is not None:
            return  # "20 by 20 pine" says nothing of the second 20 alone
        context.dimension["thickness"] = max(context.dimension.get("thickness", 0.0), 2.5)
        kind = "stock"
    context.role[kind] = max(context.role.get(kind, 0.0), 2.5 if kind == "stock" else 4.0)
    context.because.setdefault(kind, words)
