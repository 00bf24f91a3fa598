"""The guide's steps: sizes with their origin, cautions at the first step that needs them, mistakes turned into warnings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from benchscribe.records import Hazard, Measure, Mistake, Step
from benchscribe.writers.contexts import Caution, Entry, Size, StepView
from benchscribe.writers.gate import gated_text, overruled, printed
from benchscribe.writers.stills import still_path
from benchscribe.writers.text import capital, clock, listing, plain, sentence
from benchscribe.writers.view import View

_OWN_WORDS = frozenset({"", "said in the talk", "the talk"})
"""Sources of a warning that is nobody's but the maker's."""
_LEFT_OUT = frozenset({"taken-back", "superseded", "mistake", "quoted-plan", "comparison"})
"""Roles of a size that nobody is to work to."""


def make_steps(view: View, cautions: Mapping[int, tuple[Caution, ...]]) -> tuple[StepView, ...]:
    """Give every step as it is shown, in the order of the record."""
    steps = view.record.steps
    numbers = step_numbers(steps)
    return tuple(
        StepView(
            number=numbers[index],
            title=step_title(step),
            text=gated_text(view, step.text, _measures(view, step)),
            time=clock(step.start_s),
            link=view.link(step.start_s),
            tools=listing(plain(t) for t in step.tools),
            setting=capital(plain(step.setting)),
            back=_back(step, index, numbers),
            sizes=_sizes(view, step),
            cautions=cautions.get(index, ()),
            still=step.still if still_path(step.still, view.out) else "",
        )
        for index, step in enumerate(steps)
    )


def step_numbers(steps: Sequence[Step]) -> tuple[int, ...]:
    """Number the steps as they stand on the page, part after part in the order in which they are first worked on."""
    parts = list(dict.fromkeys(plain(step.part or "") for step in steps))
    shown = sorted(range(len(steps)), key=lambda index: parts.index(plain(steps[index].part or "")))
    numbers = [0] * len(steps)
    for number, index in enumerate(shown, 1):
        numbers[index] = number
    return tuple(numbers)


def cautions_by_step(view: View) -> dict[int, tuple[Caution, ...]]:
    """Give each caution to the first step that needs it: the first with that tool, else the one in hand when it came up.

    A caution that comes before any step, or where there is none, stands under -1: gathered at the front only.
    """
    steps = view.record.steps
    placed: dict[int, list[Caution]] = {}
    known: set[tuple[str, str]] = set()
    for hazard in sorted(view.record.hazards, key=lambda h: (not h.said, h.start_s or 0.0)):
        key = (hazard.name.casefold(), hazard.caution)
        if key in known:
            continue
        known.add(key)
        placed.setdefault(_step_of(steps, hazard), []).append(
            Caution(
                name=_caution_name(hazard),
                text=capital(sentence(hazard.caution)),
                source="" if hazard.source.casefold() in _OWN_WORDS else plain(hazard.source),
                said=hazard.said,
                time=clock(hazard.start_s),
                link=view.link(hazard.start_s),
            )
        )
    return {number: tuple(cautions) for number, cautions in placed.items()}


def _caution_name(hazard: Hazard) -> str:
    name = capital(plain(hazard.name))
    return "" if name.casefold() in {"warning", "caution", "careful"} else name


def watch_outs_by_part(view: View) -> dict[str, tuple[Entry, ...]]:
    """Give what went wrong on camera, by the part that was in hand; under "" where none was."""
    made: dict[str, list[Entry]] = {}
    for mistake in view.record.mistakes:
        entry = Entry(
            text=capital(sentence(mistake.text or mistake.why)),
            detail=plain(mistake.why) if mistake.text else "",
            time=clock(mistake.start_s),
            link=view.link(mistake.start_s),
        )
        made.setdefault(_part_of(view, mistake), []).append(entry)
    return {part: tuple(entries) for part, entries in made.items()}


def step_title(step: Step) -> str:
    """Name a step by its operation."""
    return capital(plain(step.operation)) or "Step"


def _back(step: Step, index: int, numbers: Sequence[int]) -> int:
    """Give the number of the earlier step that shows the same; 0 where there is none."""
    earlier = step.points_back_to
    return numbers[earlier] if earlier is not None and 0 <= earlier < index else 0


def _step_of(steps: tuple[Step, ...], hazard: Hazard) -> int:
    name = hazard.name.casefold()
    for number, step in enumerate(steps):
        if any(name == tool.casefold() for tool in step.tools):
            return number
    last = -1
    for number, step in enumerate(steps):
        if hazard.start_s is not None and step.start_s is not None and step.start_s <= hazard.start_s:
            last = number
    return last


def _part_of(view: View, mistake: Mistake) -> str:
    """Give the part in hand at a mistake: as the stage says, else that of the step before it."""
    utterances = view.record.transcript.utterances
    for held in view.record.in_hand:
        if held.parts and 0 <= held.utterance < len(utterances):
            begin, end = utterances[held.utterance].span
            if begin <= mistake.span[0] < end:
                return plain(held.parts[0])
    before = [s for s in view.record.steps if s.part and s.span[0] <= mistake.span[0]]
    return plain(max(before, key=lambda s: s.span[0]).part or "") if before else ""


def _measures(view: View, step: Step) -> list[Measure]:
    every = view.record.measures
    return [every[i] for i in step.measures if 0 <= i < len(every)]


def _sizes(view: View, step: Step) -> tuple[Size, ...]:
    """Give the sizes of a step, each once; a doubtful one shows what stands in its place, marked."""
    made: dict[tuple[str, str], Size] = {}
    for measure in _measures(view, step):
        if (
            measure.taken_back
            or measure.role in _LEFT_OUT
            or overruled(view, measure)
            or (measure.role == "setting" and step.setting)
        ):
            continue
        what = (
            measure.role
            if measure.role in ("setting", "rough", "allowance", "tool")
            else measure.dimension or ""
        )
        what = "" if what == "other" else what
        value = printed(view, measure)
        shown = Size(what=what, text=value.text, other=value.other, origin=value.origin, check=value.check)
        made.setdefault((shown.what, shown.text), shown)
    return tuple(made.values())
