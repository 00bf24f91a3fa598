"""What the work in each sentence is done to."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from msgspec import Struct

from benchscribe.guide.found import Found, clock
from benchscribe.guide.stepwords import step_words
from benchscribe.records import Measure, Mention, Transcript

OF_CHAPTER = 0.3
"""Weight of the part that the chapter is about."""
OF_LAST = 0.45
"""Weight of the part that was worked on just before."""
LASTS_S = 60.0
"""After so long that weight is gone."""
OF_SIZE = 0.6
"""Weight of a finished size that is the part's."""
BESIDES = 0.25
"""Share of a name's weight that is left where it stands for a place or for something to go by ("for the legs", "than the rail")."""
UNBROUGHT = 0.6
"""Share of the weight of a part in hand that was neither named nor sized yet: what comes into hand is named first."""
CERTAIN = 0.9
"""With so much confidence a part is in hand though nobody has named it."""
LEAST = 0.3
"""With less weight no part is worked on."""
SEVERAL = 0.7
"""A name that is so sure makes a part one of several that are worked on together."""
SURE_NAME = 0.7
"""A name that is less sure, and also the name of a place on any part, is that place."""
ASIDE = frozenset(
    "for than as like to from past between against until till of off with by behind beside near under over".split()
)
"""Words before a part's name with which it is not what is worked on."""
LEADS = frozenset(
    "the a an my your our this that these those both all each every two three four six other same little top bottom".split()
)
GIVEN = frozenset({"finished", "rough", "corrected", "changed", "supplied"})


class _Evidence(Struct, frozen=True):
    """What one sentence says of the parts."""

    named: Mapping[str, float]
    alone: frozenset[str]
    """Parts that words of their own name: "the tops and the bottoms", not "the uprights" for two kinds."""
    sized: Mapping[str, float]


def parts_at_work(
    found: Found, mentions: Mapping[int, Sequence[Mention]], measures: Mapping[int, Sequence[Measure]]
) -> list[tuple[str, ...]]:
    """Settle what the work in each utterance is done to.

    The part in hand, the names and the sizes in the sentence, the chapter's part and the last part each have a weight; the heaviest wins.

    Args:
        found: What the earlier stages found.
        mentions: By utterance.
        measures: By utterance.

    Returns:
        For each utterance the part; several only where the sentence itself names each; empty where none is known.
    """
    held = {item.utterance: item for item in found.in_hand}
    bought = {part.name for part in (found.part_list.parts if found.part_list else ()) if part.hardware}
    result: list[tuple[str, ...]] = []
    brought: set[str] = set()
    last, last_s = "", 0.0
    for number, utterance in enumerate(found.transcript.utterances):
        seen = _evidence(found.transcript, mentions.get(number, ()), measures.get(number, ()))
        brought |= set(seen.sized) | {name for name, weight in seen.named.items() if weight >= LEAST}
        now = clock(found.transcript, utterance.span[0])
        scores: dict[str, float] = dict(seen.named)
        for name, weight in seen.sized.items():
            scores[name] = scores.get(name, 0.0) + weight
        item = held.get(number)
        for place, name in enumerate(item.parts[:3] if item else ()):
            weight = item.confidence / (place + 1) if item else 0.0
            known = name in brought or (item is not None and item.confidence >= CERTAIN)
            scores[name] = scores.get(name, 0.0) + (weight if known else weight * UNBROUGHT)
        chapter = next((c.part for c in found.chapters if c.span[0] <= utterance.span[0] < c.span[1]), None)
        if chapter:
            scores[chapter] = scores.get(chapter, 0.0) + OF_CHAPTER * (1 if chapter in brought else UNBROUGHT)
        if last and now - last_s < LASTS_S:
            scores[last] = scores.get(last, 0.0) + OF_LAST
        made = {name: weight for name, weight in scores.items() if name not in bought} or scores
        best = max(made, key=lambda name: made[name], default="")
        if not best or scores[best] < LEAST:
            result.append(())
            continue
        several = {p for p in seen.alone if seen.named[p] >= SEVERAL} - bought
        others = sorted(several - {best}) if best in several else []
        result.append((best, *others))
        if best in seen.named or best in seen.sized or best != last:
            last_s = now
            if best != last:
                brought = {best}
        last = best
    return result


def _evidence(transcript: Transcript, mentions: Sequence[Mention], measures: Sequence[Measure]) -> _Evidence:
    named: dict[str, float] = {}
    for mention in mentions:
        if mention.kind != "part":
            continue
        lead = [
            re.sub(r"\W", "", w.text.lower())
            for w in transcript.words[max(0, mention.span[0] - 4) : mention.span[0]]
        ]
        while lead and lead[-1] in LEADS:
            lead.pop()
        # "The ends get tapped": of whatever is in hand, and not of the end cap.
        anywhere = (
            mention.confidence < SURE_NAME and mention.words.lower().split()[-1] in step_words().features
        )
        share = BESIDES if anywhere or (lead and lead[-1] in ASIDE) else 1.0
        named[mention.name] = max(named.get(mention.name, 0.0), mention.confidence * share)
    sized: dict[str, float] = {}
    for measure in measures:
        if measure.part and measure.role in GIVEN and not measure.taken_back:
            weight = OF_SIZE * (measure.confidence or 0.0)
            if measure.verdict == "agrees" or measure.role in ("corrected", "changed", "supplied"):
                sized[measure.part] = min(1.0, sized.get(measure.part, 0.0) + weight)
    spans = [m.span for m in mentions if m.kind == "part"]
    alone = frozenset(m.name for m in mentions if m.kind == "part" and spans.count(m.span) == 1)
    return _Evidence(named=named, alone=alone, sized=sized)
