"""Steps: one for each thing that is done to a part, in the maker's own words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec

from benchscribe.guide.cleaning import clean_text
from benchscribe.guide.found import Found
from benchscribe.guide.gate import doubtful
from benchscribe.guide.made import told_features, with_joints
from benchscribe.guide.orientation import ways_round
from benchscribe.guide.redone import before_second_tries, told_again
from benchscribe.guide.setting import settings_of, written
from benchscribe.guide.shown import shown_before
from benchscribe.guide.sized import cut_with_tools, named_by_sizes, put_right_before, told_sizes
from benchscribe.guide.stepwords import step_words
from benchscribe.guide.told import (
    BESIDE,
    Talk,
    Told,
    outside_mistakes,
    read_talk,
    told_by_things,
    told_operations,
)
from benchscribe.records import Span, Step

TOGETHER_S = 15.0
"""Operations on one part told one after the other within this time are one step."""
LONGEST_S = 40.0
"""But a step's telling lasts no longer than this."""
AGAIN_S = 40.0
"""The same operation on the same part, named again within this time, is still the same step."""
MOST_WORDS = 5
MOST_NAMES = 3
NAMED = ("verb", "tool")
"""Steps of a sentence that have a clause of their own."""
LEAST_WORDS = 4
"""Of a clause that stands for itself."""
MOST_SENTENCES = 3
"""Of the talk that tells a step."""


def find_steps(found: Found) -> tuple[Step, ...]:
    """Find what is done, in order.

    Args:
        found: What the earlier stages found. A value against which a finding is open is never printed; a stretch that went wrong, a
            promise, and an opening without a part tell no step.

    Returns:
        Steps in the order of their times. A repeated demonstration points back to the first.
    """
    talk = read_talk(found)
    mistakes = found.mentions.mistakes
    talk = msgspec.structs.replace(talk, skipped=talk.skipped | before_second_tries(talk, mistakes))
    told = named_by_sizes(talk, told_operations(talk), found.part_list)
    sizes, things = cut_with_tools(told_sizes(talk, told, found.part_list), told_by_things(talk))
    told += things + sizes
    told = with_joints(told, told_features(talk, told))
    told += told_again(talk, told, mistakes)
    told = outside_mistakes(told, mistakes)
    gate = doubtful(found.measures, found.findings)
    steps: list[Step] = []
    standing: dict[str, str] = {}
    groups = _groups(sorted(told, key=lambda t: t.at))
    made: list[Sequence[Told]] = []
    ways = ways_round(talk, groups)
    for place, group in enumerate(groups):
        step, left_out = _step(found, talk, group, gate, groups, ways.get(place, ()))
        if not step.text:
            continue
        settings = settings_of(found.transcript, step.span, found.measures, gate, standing, left_out)
        standing |= {name: size for name, size in settings.items() if name}
        steps.append(
            msgspec.structs.replace(
                step,
                setting=written(settings),
                points_back_to=shown_before(found.transcript, step, group, steps, made),
            )
        )
        made.append(group)
    return tuple(steps)


def _groups(told: Sequence[Told]) -> list[list[Told]]:
    """Put together what makes one step, and leave out what is only done beside it."""
    clusters: list[list[Told]] = []
    for item in told:
        home = next((c for c in reversed(clusters[-4:]) if _goes_with(c, item)), None)
        if home is None:
            clusters.append([item])
        else:
            home.append(item)
    groups: list[list[Told]] = []
    for cluster in clusters:
        top = max(item.rank for item in cluster)
        if top == BESIDE:
            continue
        busy = {item.first for item in cluster if item.rank == top}
        work = [
            item
            for item in cluster
            if item.rank == top or item.source == "size" or (item.rank > BESIDE and item.first not in busy)
        ]
        for names in _shared(work):
            group = [item for item in work if item.name in names]
            before = next((g for g in reversed(groups[-6:]) if _repeats(g, group)), None)
            if before is None:
                groups.append(group)
            else:
                before.extend(group)
    return sorted(groups, key=lambda group: group[0].at)


def _shared(work: Sequence[Told]) -> list[list[str]]:
    """Give the names that share a step: two told in one sentence ("drill and tap"), but never two that bring stock to size."""
    stock = step_words().stock | {item.name for item in work if item.source == "size"}
    firsts: dict[str, Told] = {}
    for item in work:
        firsts.setdefault(item.name, item)
    shared: list[list[str]] = []
    for name, item in firsts.items():
        home = next((names for names in shared if _one_step([firsts[n] for n in names], item)), None)
        if home is None or {name, *home} <= stock:
            shared.append([name])
        else:
            home.append(name)
    return shared


def _one_step(before: Sequence[Told], item: Told) -> bool:
    return len(before) < MOST_NAMES and item.clock_s - before[-1].clock_s <= TOGETHER_S


def _goes_with(cluster: Sequence[Told], item: Told) -> bool:
    near = item.clock_s - cluster[-1].clock_s <= TOGETHER_S and item.clock_s - cluster[0].clock_s <= LONGEST_S
    return cluster[0].part == item.part and near


def _repeats(before: Sequence[Told], group: Sequence[Told]) -> bool:
    told = {word for t in before for word in t.name.split()}
    verbs = {t.verb for t in group} <= {t.verb for t in before} or {
        w for t in group for w in t.name.split()
    } <= told
    same = before[0].part == group[0].part and verbs
    return same and group[0].clock_s - before[-1].clock_s <= AGAIN_S


def _operation(group: Sequence[Told]) -> str:
    names = list(dict.fromkeys(item.name for item in group))
    names = [n for n in names if not any(n != m and set(n.split()) <= set(m.split()) for m in names)]
    if len(names) == 1:
        return names[0]
    short = [step_words().short.get(name, name) for name in names[:MOST_NAMES]]
    if len(_listing(short).split()) > MOST_WORDS:
        short = list(dict.fromkeys(name.split()[0] for name in short))
    return _listing(short)


def _listing(names: Sequence[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]


def _step(
    found: Found,
    talk: Talk,
    group: Sequence[Told],
    gate: Mapping[int, str],
    groups: Sequence[Sequence[Told]],
    ways: Sequence[int] = (),
) -> tuple[Step, frozenset[int]]:
    """Make a step; also give the words within its span that belong to other steps."""
    transcript, measures, mentions = found.transcript, found.measures, found.mentions
    part = group[0].part
    kept = [t for t in group if t.clock_s - group[0].clock_s <= LONGEST_S]
    first, last = min(t.first for t in kept), max(t.last for t in kept)
    span = (transcript.utterances[first].span[0], transcript.utterances[last].span[1])
    earlier = put_right_before(talk, kept, groups)
    told = [*earlier, *_telling(talk, (first, last), part, kept)]
    first = min([first, *earlier])
    span = (transcript.utterances[first].span[0], span[1])
    spans = [
        _clause(talk, n, kept, groups) if n in told else talk.transcript.utterances[n].span
        for n in sorted({*told, *ways})
    ]
    left_out = _others_clauses(talk, (first, last), spans)
    mine = tuple(
        number
        for number, measure in enumerate(measures)
        if span[0] <= measure.span[0] < span[1]
        and measure.span[0] not in left_out
        and not measure.taken_back
        and measure.part in (None, part)
        and measure.role != "quoted-plan"
    )
    tools = [
        m.name
        for m in mentions.mentions
        if m.kind == "tool"
        and m.used
        and span[0] <= m.span[0] < span[1]
        and m.span[0] not in left_out
        and m.name.lower() not in step_words().no_tool
    ]
    sentences = [
        clean_text(transcript, passage, measures, mentions.repairs, instead=gate) for passage in spans
    ]
    step = Step(
        part=part,
        operation=_operation(group),
        text=" ".join(filter(None, sentences)),
        span=span,
        tools=tuple(dict.fromkeys(tools)),
        measures=tuple(n for n in mine if n not in gate),
        start_s=group[0].start_s,
        end_s=transcript.utterances[last].end_s,
    )
    return step, left_out


def _clause(talk: Talk, number: int, group: Sequence[Told], groups: Sequence[Sequence[Told]]) -> Span:
    """Give the clause of a sentence that tells a step, where another step is told in the same sentence ("rip it, and then crosscut it")."""
    span = talk.transcript.utterances[number].span
    mine = [t.at for t in group if span[0] <= t.at < span[1]]
    others = [t.at for g in groups for t in g if t not in group and t.first == number and t.source in NAMED]
    if not mine or any(t.source not in NAMED for t in group if t.at in mine):
        return span
    begin = max((o for o in others if o < min(mine)), default=None)
    end = min((o for o in others if o > max(mine)), default=None)
    start = _joint(talk, begin, min(mine)) if begin is not None else span[0]
    stop = _joint(talk, max(mine), end) if end is not None else span[1]
    clear = start is not None and stop is not None and not any(min(mine) < o < max(mine) for o in others)
    if clear and start is not None and stop is not None and stop - start >= LEAST_WORDS:
        return start, stop
    return span


def _joint(talk: Talk, left: int, right: int) -> int | None:
    """Give the word before a verb at which a new clause begins: "and", "then", or what follows a comma."""
    for index in range(right, left, -1):
        if talk.word(index) in ("and", "then") or talk.transcript.words[index - 1].text.endswith((",", ";")):
            before = talk.word(index - 1) in ("and", "then") and index - 1 > left
            return index - 1 if before else index
    return None


def _others_clauses(talk: Talk, within: tuple[int, int], spans: Sequence[Span]) -> frozenset[int]:
    """Give the words of the told sentences that belong to other steps."""
    out: set[int] = set()
    for number in range(within[0], within[1] + 1):
        begin, end = talk.transcript.utterances[number].span
        mine = [s for s in spans if begin <= s[0] < end]
        if mine:
            out |= {i for i in range(begin, end) if not any(a <= i < b for a, b in mine)}
    return frozenset(out)


def _telling(talk: Talk, within: tuple[int, int], part: str | None, group: Sequence[Told]) -> list[int]:
    """Give the utterances that a step is told in: those that name the work first, then what else speaks of it, in their order."""
    first, last = within
    speaking = [n for n in range(first, last + 1) if _belongs(talk, n, part, group)]
    speaking = [n for n in speaking if not _plan_read_out(talk, n)] or speaking
    naming = dict.fromkeys(n for item in group for n in (item.first, item.last) if n in speaking)
    return sorted([*naming, *(n for n in speaking if n not in naming)][:MOST_SENTENCES])


def _plan_read_out(talk: Talk, number: int) -> bool:
    """Tell whether an utterance only reads out a size of the plan that the maker has put right or changed."""
    sizes = talk.measures.get(number, ())
    return bool(sizes) and all(m.role == "quoted-plan" or m.span in talk.overruled for m in sizes)


def _belongs(talk: Talk, number: int, part: str | None, group: Sequence[Told]) -> bool:
    """Tell whether an utterance within a step's stretch speaks of the step: it names the work, a size, a tool or the part."""
    if number in talk.skipped:
        return False
    if any(number in (item.first, item.last) for item in group):
        return True
    sized = any(measure.part in (None, part) for measure in talk.measures.get(number, ()))
    return (
        sized
        or bool(talk.of(number, "tool", "operation"))
        or any(m.name == part for m in talk.of(number, "part"))
    )
