"""The guide's steps: sizes with their origin, cautions at the first step that needs them, mistakes turned into warnings."""

from __future__ import annotations

import re
from collections.abc import Mapping

from benchscribe.records import Hazard, Measure, Mistake, Step
from benchscribe.writers.contexts import Caution, Entry, Setup, Size, StepView
from benchscribe.writers.corrections import SAID_WRONG, right_value, stand_in
from benchscribe.writers.sizes import measure_origin, measure_size, other_system, said_size, size
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
    return tuple(
        StepView(
            number=number,
            title=_title(step),
            text=_gated(view, step),
            time=clock(step.start_s),
            link=view.link(step.start_s),
            tools=listing(plain(t) for t in step.tools),
            setting=capital(plain(step.setting)),
            back=_back(step, number),
            sizes=_sizes(view, step),
            cautions=cautions.get(number - 1, ()),
            still=step.still if still_path(step.still, view.out) else "",
        )
        for number, step in enumerate(steps, 1)
    )


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


def setups(view: View) -> tuple[Setup, ...]:
    """Give the settings that more than one step is run at: people cut by setup, not by part."""
    runs: dict[str, list[Entry]] = {}
    shown: dict[str, str] = {}
    for number, step in enumerate(view.record.steps, 1):
        key = re.sub(r"\W+", " ", step.setting).casefold().strip()
        if not key:
            continue
        shown.setdefault(key, capital(plain(step.setting)))
        part = plain(step.part or "")
        title = _title(step)
        runs.setdefault(key, []).append(
            Entry(
                text=f"{part}: {title[:1].lower()}{title[1:]}" if part else title,
                detail=f"step {number}",
                time=clock(step.start_s),
                link=f"#step-{number}",
            )
        )
    return tuple(Setup(setting=shown[key], uses=tuple(uses)) for key, uses in runs.items() if len(uses) > 1)


def _title(step: Step) -> str:
    return capital(plain(step.operation)) or "Step"


def _back(step: Step, number: int) -> int:
    """Give the number of the earlier step that shows the same; 0 where there is none."""
    earlier = step.points_back_to
    return earlier + 1 if earlier is not None and 0 <= earlier < number - 1 else 0


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
            or view.overruled(measure)
            or (measure.role == "setting" and step.setting)
        ):
            continue
        what = (
            measure.role
            if measure.role in ("setting", "rough", "allowance", "tool")
            else measure.dimension or ""
        )
        what = "" if what == "other" else what
        doubt = view.doubt(measure)
        if doubt is None:
            text, other = measure_size(measure), other_system(measure.value, measure.unit)
            shown = Size(what=what, text=text, other=other, origin=measure_origin(measure))
        else:
            sure = stand_in(doubt)
            listed = sure is not None and said_size(sure) == said_size(doubt.listed)
            origin = "listed" if listed else "worked out" if sure is not None else "not settled"
            shown = Size(what=what, text=said_size(sure), other="", origin=origin, check=True)
        made.setdefault((shown.what, shown.text), shown)
    return tuple(made.values())


def _gated(view: View, step: Step) -> str:
    """Keep a doubtful value from standing in a step as an instruction, and a known slip from being worked to.

    The guide stage does this where it writes sizes; here it is made sure of, whatever wrote the step.
    """
    text = sentence(step.text)
    for measure in _measures(view, step):
        written = size(measure.value, measure.unit)
        doubt = view.doubt(measure)
        if doubt is not None:
            sure = said_size(stand_in(doubt))
            text = _replaced(text, written, f"{sure} (check)" if sure else "[size: check]")
            continue
        for finding in view.published:
            spoken, right = said_size(finding.spoken), said_size(right_value(finding))
            about = finding.span[0] < measure.span[1] and measure.span[0] < finding.span[1]
            if finding.status == "amended" and finding.spoken is not None:
                # The value put in at review has taken the place of what was said; the words are still those that were said.
                meant = finding.spoken.words.casefold() == measure.words.casefold() != ""
            else:
                meant = finding.kind in SAID_WRONG and spoken == written
            if about and meant and right and right != written:
                text = _replaced(text, written, f"{right} (I say {written})")
    return text


def _replaced(text: str, written: str, instead: str) -> str:
    """Replace a written size, but not inside a longer one: "1/4 in" is no part of "3 1/4 in"."""
    if f"{instead}" in text:
        return text
    return re.sub(rf"(?<![\d/.])(?<!\d ){re.escape(written)}(?!\w)", lambda _: instead, text)
