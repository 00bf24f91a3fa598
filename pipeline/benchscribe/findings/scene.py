"""All that the search for findings looks at, put together once."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from functools import cached_property
from typing import Final

from msgspec import structs

from benchscribe.findings.wording import advice_for, finding_id
from benchscribe.records import (
    DECLARED_KINDS,
    Dimension,
    Finding,
    FindingKind,
    InHand,
    Listed,
    Measure,
    Mention,
    Mentions,
    Part,
    PartList,
    Said,
    Span,
    Transcript,
)
from benchscribe.spoken.language import Declared, Language
from benchscribe.spoken.plan import plain, size_of, sizes_of
from benchscribe.spoken.sums import Sum, find_sums
from benchscribe.spoken.words import Talk, talk_of

LIVE: Final = frozenset({"finished", "none", "setting", "changed", "corrected", "supplied"})
"""Roles in which a size stands for what the part is going to be."""
_SURELY_ELSEWHERE: Final = 0.6
"""Talk about a part ends where another is in hand as surely as this."""
_TOGETHER_S: Final = 90.0
"""The talk about one part is followed so far to either side."""

_OF_ONE: Final = frozenset({"plan-wrong", "changed"})
"""Declarations that speak of one size; the others speak of the list or of how a size was found."""
_SENTENCES: Final = 3
"""A declaration reaches so many sentences on: "get a pen. It's wrong. It doesn't touch the back. It needs to be 234"."""
_SAID_OUTRIGHT: Final[dict[str, frozenset[str]]] = {
    "thick": frozenset({"thickness", "depth"}),
    "wide": frozenset({"width", "diameter", "depth"}),
    "long": frozenset({"length", "height"}),
}
_FOR: Final = frozenset({"for", "under", "behind", "beside", "against"})
_EACH_END: Final = frozenset(
    (each, end)
    for each in ("each", "either", "every", "per")
    for end in ("end", "side", "edge", "ends", "sides", "edges")
)
_DIFFERS: Final = frozenset(
    "over under proud shy short extra more less longer shorter wider narrower thicker thinner bigger smaller taller oversize spare".split()
)
_THIS_ONE: Final = frozenset("mine ours mine's this these here now but".split())
"""Words that come back from another build to this one."""
_IN_ONE_GO: Final = 9
"""Words between two sizes of a part that one declaration is of."""
_MINE: Final = frozenset({"mine", "mine's", "ours"})
_MINE_BEFORE: Final = 10
_MINE_BEHIND: Final = 3
"""Words in which "mine" is of a size: "mine came out at 40", "twelve mil on mine"; further off it is of another thing."""
_CUTS: Final = frozenset(
    "cut make made saw sawed sawn chop chopped trim trimmed snip sew sewed finish finished finishes".split()
)
_CUT_TO: Final = 6
_FOUND: Final = frozenset({"find", "see", "spot", "something", "anything", "there's"})
_IF: Final = 10
"""Words in which an "if you find something" makes a fault only a possible one."""
_RIVALS: Final = 60
_SENTENCE_COUNTS: Final = 12
_BEFORE_IT: Final = 8
_RIGHT_AT_IT: Final = 2
"""Words from a size behind which a declaration is still of it: "twelve mil on mine"."""
_BREATH: Final = 14
_SURE_PLACE: Final = 0.45
_SURE_HAND: Final = 0.6


class Scene:
    """An episode's talk, its placed measures and its plan."""

    def __init__(
        self,
        transcript: Transcript,
        measures: tuple[Measure, ...],
        mentions: Mentions,
        part_list: PartList | None,
        in_hand: tuple[InHand, ...],
    ) -> None:
        """Keep what was given; the rest is worked out when asked for."""
        self.transcript, self.measures, self.mentions = transcript, measures, mentions
        self.part_list, self.in_hand = part_list, in_hand
        self.parts = {part.name: part for part in part_list.parts} if part_list else {}
        self._starts = [utterance.span[0] for utterance in transcript.utterances]

    @cached_property
    def talk(self) -> Talk:
        """The words as tokens."""
        return talk_of(self.transcript, self.mentions.repairs)

    @cached_property
    def language(self) -> Language:
        """Declarations."""
        return Language(self.talk)

    @cached_property
    def sums(self) -> list[Sum]:
        """Sums said aloud."""
        return find_sums(self.talk, self.measures)

    @cached_property
    def sized(self) -> frozenset[int]:
        """Words that are part of a size."""
        return frozenset(i for m in self.measures for i in range(*m.span))

    @cached_property
    def operands(self) -> frozenset[Span]:
        """Words of sizes that only go into a sum said aloud: what it comes to is the size of the part, they are not."""
        results = {total.result for total in self.sums}
        terms = {
            i for total in self.sums if total.right and total.kind in ("sum", "difference", "multiple")
            for i in (total.base, total.other) if i is not None
        }  # fmt: skip
        return frozenset(self.measures[i].span for i in terms - results)

    @cached_property
    def part_mentions(self) -> list[Mention]:
        """Names of parts of the list, in order of place; of those that begin at one word, the surest."""
        named: dict[int, Mention] = {}
        for mention in self.mentions.mentions:
            if mention.kind == "part" and mention.name in self.parts:
                old = named.get(mention.span[0])
                if old is None or mention.confidence > old.confidence:
                    named[mention.span[0]] = mention
        return [named[start] for start in sorted(named)]

    def utterance_at(self, word: int) -> int:
        """Give the number of the utterance that a word is in."""
        return max(0, bisect_right(self._starts, word) - 1)

    def hand_at(self, word: int) -> InHand | None:
        """Give what is in hand at a word."""
        number = self.utterance_at(word)
        return self.in_hand[number] if number < len(self.in_hand) else None

    def passage(self, word: int, part: str | None) -> Span:
        """Give the words around a word for which the part stays in hand, a minute and a half to either side at most."""
        here = self.utterance_at(word)
        utterances = self.transcript.utterances
        if not utterances:
            return 0, 0
        first = last = here
        while first > 0 and self._goes_on(first - 1, here, part):
            first -= 1
        while last + 1 < len(utterances) and self._goes_on(last + 1, here, part):
            last += 1
        return utterances[first].span[0], utterances[last].span[1]

    def _goes_on(self, number: int, here: int, part: str | None) -> bool:
        there, home = self.transcript.utterances[number], self.transcript.utterances[here]
        if (
            there.start_s is not None
            and home.start_s is not None
            and abs(there.start_s - home.start_s) > _TOGETHER_S
        ):
            return False
        hand = self.in_hand[number] if number < len(self.in_hand) else None
        if abs(number - here) <= 2 or hand is None or not hand.parts or part in hand.parts:
            return True
        return hand.confidence < _SURELY_ELSEWHERE

    def declared_at(self, measure: Measure) -> Declared:
        """Say what is declared around a measure, within the talk about its part."""
        first, last = self.passage(measure.span[0], measure.part)
        return self.language.around(
            measure.span,
            first=first,
            last=last,
            counts=lambda name, words: self._speaks_of(name, words, measure),
            signs=True,
        )

    def said_of(self, name: str, measure: Measure) -> bool:
        """Tell whether something is declared in the size's own sentence: "roughed out", "in the first printing"."""
        own = self.language.around(
            measure.span,
            counts=lambda cue, words: cue == name and self._same_breath(words[0], measure.span[0]),
        )
        return own.of(name) > 0

    def of_another_build(self, measure: Measure) -> bool:
        """Tell whether a size is of another build or another time: "the last one I did had rails of 40"."""
        tokens, here = self.talk.tokens, measure.span[0]
        said: list[Span] = []

        def heard(cue: str, words: Span) -> bool:
            if cue == "elsewhere":
                said.append(words)
            return False

        self.language.around(measure.span, counts=heard)
        before = [w for w in said if w[1] <= here and self._same_breath(w[0], here)]
        return bool(before) and not _THIS_ONE & set(tokens[before[-1][1] : here])

    def said_right_behind(self, measure: Measure) -> frozenset[str]:
        """Give the dimensions that the word right behind a size can mean ("an inch and a quarter wide"); none where it is no such word."""
        at = measure.span[1]
        if at >= len(self.talk.tokens) or not self.talk.same_sentence(measure.span[0], at):
            return frozenset()
        return _SAID_OUTRIGHT.get(self.talk.tokens[at], frozenset())

    def _same_breath(self, a: int, b: int) -> bool:
        if self.talk.punctuated:
            return self.talk.same_sentence(a, b)
        return abs(a - b) <= _BREATH and self.talk.same_sentence(a, b)

    @cached_property
    def _doubtful(self) -> list[Measure]:
        """Sizes that a declaration can speak of: those that differ from the list, or that it leaves open."""
        return [
            m
            for m in self.measures
            if m.part and m.role in LIVE and not m.taken_back and m.verdict in ("disagrees", "not-listed")
            and (m.verdict == "disagrees" or self.listed(m) is not None)
        ]  # fmt: skip

    def _speaks_of(self, name: str, words: Span, measure: Measure) -> bool:
        """Tell whether a declaration speaks of a size: of the nearest doubtful one, and of those of its part in the same sentence."""
        if name not in _OF_ONE:
            return True
        talk, here = self.talk, measure.span[0]
        if not self._is_meant(name, words, measure):
            return False
        if talk.punctuated and abs(talk.sentence_of[words[0]] - talk.sentence_of[here]) > _SENTENCES:
            return False
        rivals = [m for m in self._doubtful if abs(m.span[0] - words[0]) <= _RIVALS]
        if not rivals:
            return True
        nearest = min(rivals, key=lambda m: self._apart(words, m.span))
        if measure.span == nearest.span or equal_sizes(measure, nearest):
            return True
        together = measure.chain is not None and measure.chain == nearest.chain
        near = together or abs(here - nearest.span[0]) <= _IN_ONE_GO
        return near and measure.part == nearest.part and talk.same_sentence(here, nearest.span[0])

    def _is_meant(self, name: str, words: Span, measure: Measure) -> bool:
        """Tell whether a declaration is one: "mine" stands with its size, and "if you find something wrong" declares nothing."""
        talk, tokens = self.talk, self.talk.tokens
        if name == "changed" and tokens[words[0]] in _MINE:
            before, behind = measure.span[0] - words[1], words[0] - measure.span[1]
            near = before <= _MINE_BEFORE if before >= 0 else behind <= _MINE_BEHIND
            return near and talk.same_sentence(words[0], measure.span[0])
        if name == "plan-wrong":
            lead = [
                tokens[i] for i in range(max(0, words[0] - _IF), words[1]) if talk.same_sentence(i, words[0])
            ]
            return not ("if" in lead and _FOUND & set(lead[lead.index("if") :]))
        return True

    def _apart(self, words: Span, span: Span) -> int:
        """Give how far a size stands from a declaration: sentences count most, and a size behind it is nearer than one before it."""
        between = max(span[0] - words[1], words[0] - span[1], 0)
        if self.talk.punctuated:
            between += _SENTENCE_COUNTS * abs(
                self.talk.sentence_of[words[0]] - self.talk.sentence_of[span[0]]
            )
        return between + (_BEFORE_IT if span[0] < words[0] and between > _RIGHT_AT_IT else 0)

    def held(self, measure: Measure) -> float:
        """Give how surely the part of a size is the one in hand."""
        hand = self.hand_at(measure.span[0])
        return hand.confidence if hand and hand.parts[:1] == (measure.part,) else 0.0

    def is_a_difference(self, measure: Measure) -> bool:
        """Tell whether a size is how far something differs, by the word right behind it: "an inch over", "2 mm longer"."""
        behind = self.talk.tokens[measure.span[1] : measure.span[1] + 2]
        return bool(_DIFFERS & set(behind[:1])) or behind in _EACH_END

    def is_cut_to(self, measure: Measure) -> bool:
        """Tell whether the maker cuts or makes it so, by the words right before a size: "cut them 372", "cut each guy line at 3100"."""
        for at in range(measure.span[0] - 1, max(-1, measure.span[0] - _CUT_TO), -1):
            if at in self.sized or not self.talk.same_sentence(at, measure.span[0]):
                return False
            if self.talk.tokens[at] in _CUTS:
                return True
        return False

    def is_for(self, mention: Mention) -> bool:
        """Tell whether a part is named as what something is made for: "a hollow for the weight"."""
        before = self.talk.tokens[max(0, mention.span[0] - 2) : mention.span[0]]
        return bool(_FOR & set(before))

    def surely_held(self, measure: Measure) -> bool:
        """Tell whether the part of a size is surely the one in hand, as a correction that goes out unasked must have it."""
        if sureness(measure) < _SURE_PLACE:
            return False
        hand = self.hand_at(measure.span[0])
        return bool(
            hand and measure.part in hand.parts and (hand.confidence >= _SURE_HAND or len(hand.parts) > 1)
        )

    def sentence(self, span: Span) -> str:
        """Give the utterance that holds a span, or the utterances where it sits across two."""
        first, last = self.utterance_at(span[0]), self.utterance_at(max(span[0], span[1] - 1))
        utterances = self.transcript.utterances
        if not utterances:
            return ""
        begin, end = utterances[first].span[0], utterances[last].span[1]
        if not self.talk.punctuated:
            # Talk without full stops is cut by pauses: the size's own line alone rarely makes a sentence.
            begin = max(begin, span[0] - 25) if span[0] - begin > 6 else max(0, span[0] - 10)
            end = max(min(end, span[1] + 25), min(span[1] + 8, len(self.talk.tokens)))
        return self.transcript.text((begin, end))

    def sizes(self, part: Part) -> tuple[Listed, ...]:
        """Give the sizes of a part, those that the list leaves open among them."""
        return sizes_of(part, self.part_list.units if self.part_list else "inch", self.part_list)

    def listed(self, measure: Measure) -> Listed | None:
        """Give the listed size that a measure was placed on."""
        part = self.parts.get(measure.part or "")
        if part is None:
            return None
        for listed in self.sizes(part):
            if listed.dimension == measure.dimension and (
                (listed.value == measure.listed and listed.unit == (measure.listed_unit or listed.unit))
                or (listed.value is None and measure.listed is None)
            ):
                return listed
        return None

    def finding(
        self,
        kind: FindingKind,
        measure: Measure,
        *,
        why: str,
        confidence: float,
        part: str | None = None,
        dimension: Dimension | None = None,
    ) -> Finding:
        """Begin a finding about a measure, with its words, time, sentence and advice."""
        name = part or measure.part
        row: Part | None = self.parts.get(name or "")
        sheet = row.sheet if row else ""
        return Finding(
            id=finding_id(measure.words, measure.value, measure.unit, measure.start_s, name),
            kind=kind,
            part=name,
            dimension=dimension or measure.dimension,
            spoken=Said(measure.value, measure.unit, measure.words),
            sentence=self.sentence(measure.span),
            span=measure.span,
            why=why,
            advice=advice_for(kind, measure.start_s, sheet),
            confidence=round(min(0.99, max(0.01, confidence)), 2),
            declared=kind in DECLARED_KINDS,
            status="declared" if kind in DECLARED_KINDS else "open",
            sheet=sheet,
            evidence=(f"placed: {measure.why}",) if measure.why else (),
            runners_up=measure.runners_up,
            start_s=measure.start_s,
            end_s=measure.end_s,
        )


def sureness(measure: Measure) -> float:
    """Give how sure part and dimension of a measure are: a runner-up of the same part and dimension doubts neither."""
    same = [r for r in measure.runners_up if (r.part, r.dimension) == (measure.part, measure.dimension)]
    return (measure.confidence or 0.0) + sum(r.confidence for r in same)


def merged(finding: Finding, again: list[Measure]) -> Finding:
    """Add the times at which the same thing was said again."""
    times = tuple(m.start_s for m in again if m.start_s is not None and m.start_s != finding.start_s)
    return structs.replace(finding, repeated=times) if times else finding


def equal_sizes(a: Measure, b: Measure) -> bool:
    """Tell whether two measures are one size, whatever units they were said in."""
    return (a.unit == "degree") == (b.unit == "degree") and size_of(a) == size_of(b)


def as_said(value: Fraction, unit: str) -> Said:
    """Give a value in millimetres or degrees in the unit that was spoken."""
    if unit == "degree":
        return Said(value, unit)
    return Said(value / plain(Fraction(1), unit), unit)
