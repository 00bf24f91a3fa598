"""Runs the stages in order. This is the one place that knows the order.

Each stage is a pure function of what it reads; `STAGES` says what that is, and a test checks that every stage's input has been made by
an earlier one. Listening and reading the part list come first because they touch the disk; nothing after them does.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final, Literal

from msgspec import Struct, structs

from benchscribe import __version__
from benchscribe.build import MEDIA, Markers, Vocabulary
from benchscribe.chapters import cut_chapters
from benchscribe.cut import carry_to_cut, find_tries, map_cut, with_inserts, with_tries, without_inserts
from benchscribe.cut.interchange import map_by_edit_list
from benchscribe.decisions import apply_decisions, load_decisions
from benchscribe.doubles import one_of_each
from benchscribe.findings import find_findings
from benchscribe.guide import make_guide
from benchscribe.listen import ListenOptions, Progress, in_recording_order, listen
from benchscribe.markers import strike_marked, with_marked
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import find_mentions, listed_materials, listed_tools, load_vocabulary
from benchscribe.partlist import read_part_list, units_by_list_and_talk, units_by_talk
from benchscribe.place import place
from benchscribe.records import (
    EpisodeInfo,
    EpisodeRecord,
    Gap,
    PartList,
    SourceFile,
    T,
    Transcript,
    stamp,
)


class Stage(Struct, frozen=True):
    """One stage: its name, what it reads, and what it makes."""

    name: str
    reads: tuple[str, ...]
    makes: tuple[str, ...]


STAGES: Final = (
    Stage("listen", (), ("heard",)),
    Stage("strike", ("heard",), ("transcript",)),
    Stage("partlist", (), ("part_list",)),
    Stage("measures", ("transcript", "part_list"), ("measures", "trade_numbers")),
    Stage("mentions", ("transcript", "part_list", "measures"), ("mentions",)),
    Stage(
        "place", ("transcript", "measures", "trade_numbers", "mentions", "part_list"), ("placed", "in_hand")
    ),
    Stage("findings", ("transcript", "placed", "mentions", "part_list", "in_hand"), ("findings", "coverage")),
    Stage("decisions", ("findings",), ("settled",)),
    Stage("chapters", ("transcript", "mentions", "in_hand", "settled"), ("chapters",)),
    Stage(
        "guide",
        ("transcript", "placed", "mentions", "part_list", "in_hand", "settled", "chapters"),
        ("guide",),
    ),
    Stage("cut", ("transcript", "placed", "mentions", "settled", "chapters", "guide"), ("carried",)),
)
"""The order of the work, from recording to guide."""


_UNIT_NAMES: Final = {"inch": "inches", "mm": "millimetres"}

LEAST_MAPPED: Final = 0.3
"""Share of the cut's words that must be in the takes for them to be its takes."""


class Job(Struct, frozen=True, kw_only=True):
    """All that one episode's run needs to know."""

    sources: tuple[Path, ...]
    ordered: bool = False
    clock: Literal["cut", "takes", "captions", "notes"] = "captions"
    cut: Path | None = None
    """The published cut, where `sources` are its takes."""
    edit_list: Path | None = None
    """The editor's list of what of which take is in the cut; without one the words tell."""
    part_list: Path | None = None
    info: EpisodeInfo
    units: Literal["inch", "mm"] | None = None
    """As the maker set them; None to infer them from the part list."""
    vocabulary: Vocabulary = Vocabulary()
    other_names: dict[str, tuple[str, ...]] = {}
    markers: Markers = Markers()
    decisions: Path | None = None
    chapters: str | int = "some"
    model: str = "base"
    device: str = "auto"
    cache: Path


def make_record(job: Job, *, progress: Callable[[Progress], None] | None = None) -> EpisodeRecord:
    """Do the main job for one episode, from recordings and part list to the whole record.

    Args:
        job: What to listen to, and the build's settings.
        progress: Called while listening, which can take minutes.

    Raises:
        BenchscribeError: Something cannot be read; says what and what to do.
    """
    part_list = (
        read_part_list(job.part_list, units=job.units, other_names=job.other_names) if job.part_list else None
    )
    takes = strike_marked(_listen(job, part_list, progress), job.markers.leave_out)
    part_list = _units_as_talked(part_list, takes, job)
    if job.cut is None:
        return understand(takes, part_list, job)
    options = _options(job, part_list)
    cut = listen((job.cut,), clock="cut", options=options, cache_dir=job.cache, progress=progress)
    return understand_cut(takes, strike_marked(cut, job.markers.leave_out), part_list, job)


def understand_cut(takes: Transcript, cut: Transcript, part_list: PartList | None, job: Job) -> EpisodeRecord:
    """Understand the takes, with what the published cut has beside them, and carry it all to the cut's times.

    Where the cut is of other takes, or captions of it have no times, the cut alone is the episode.
    """
    found = map_by_edit_list(job.edit_list, cut, takes) if job.edit_list is not None else map_cut(cut, takes)
    if found.share_mapped < LEAST_MAPPED:
        return understand(cut, part_list, job)
    record = understand(with_inserts(takes, cut, found), part_list, job, takes=takes)
    return carry_to_cut(record, cut, found)


def understand(
    transcript: Transcript, part_list: PartList | None, job: Job, *, takes: Transcript | None = None
) -> EpisodeRecord:
    """Run every stage after listening: words and part list in, the whole record out.

    Args:
        transcript: What was said.
        part_list: The plan's, if there is one.
        job: The build's settings.
        takes: Where `transcript` has a cut's inserts behind the takes, the takes alone: chapters are cut of these.
    """
    units, units_why = settle_units(job.units, part_list, transcript)
    measures, trade_numbers = find_measures(transcript, units, part_list)
    mentions = find_mentions(transcript, part_list, measures, load_vocabulary(structs.asdict(job.vocabulary)))
    mentions = with_marked(mentions, transcript, warning=job.markers.warning, next_time=job.markers.next_time)
    if transcript.clock == "takes":
        tries = find_tries(takes or transcript)
        mentions = structs.replace(mentions, mistakes=with_tries(mentions.mistakes, tries))
    placed = place(transcript, measures, trade_numbers, mentions, part_list)
    found = find_findings(
        transcript, placed.measures, mentions, part_list, placed.in_hand, markers=structs.asdict(job.markers)
    )
    # Stamped first: a decision also holds on to the file and the time in it.
    said = _stamped(found.findings, transcript.files)
    decisions = load_decisions(job.decisions) if job.decisions else None
    findings, orphaned = apply_decisions(said, decisions) if decisions else (said, ())
    told = takes or transcript
    chapters = cut_chapters(
        told, *without_inserts(told, mentions, placed.in_hand, findings), how_many=job.chapters
    )
    guide = make_guide(transcript, placed.measures, mentions, part_list, placed.in_hand, findings, chapters)
    where = transcript.files
    return EpisodeRecord(
        made_by=f"Benchscribe {__version__}",
        info=structs.replace(job.info, units=units, units_why=units_why),
        draft=transcript.clock == "takes",
        transcript=structs.replace(transcript, gaps=_stamped(transcript.gaps, where)),
        part_list=part_list,
        chapters=_stamped(chapters, where),
        measures=_stamped(placed.measures, where),
        trade_numbers=_stamped(trade_numbers, where),
        mentions=_stamped(mentions.mentions, where),
        repairs=_stamped(mentions.repairs, where),
        in_hand=_stamped(placed.in_hand, where),
        findings=findings,
        coverage=found.coverage,
        tools=_stamped(listed_tools(mentions), where),
        materials=_stamped(listed_materials(mentions), where),
        hazards=_stamped(mentions.hazards, where),
        mistakes=_stamped(mentions.mistakes, where),
        promises=_stamped(mentions.promises, where),
        steps=_stamped(guide.steps, where),
        cut_list=guide.cut_list,
        shopping=guide.shopping,
        orphaned_decisions=tuple(orphaned),
    )


def settle_units(
    wanted: Literal["inch", "mm"] | None, part_list: PartList | None, transcript: Transcript | None = None
) -> tuple[Literal["inch", "mm"], str]:
    """Settle what an unnamed unit means, and say why."""
    if wanted:
        return wanted, "as set"
    if part_list:
        return part_list.units, part_list.units_why
    talked = units_by_talk(find_measures(transcript, "inch", None)[0]) if transcript else None
    if talked:
        return talked, f"the talk says {_UNIT_NAMES[talked]}"
    return "inch", "no part list to go by; set units to change it"


def _units_as_talked(part_list: PartList | None, transcript: Transcript, job: Job) -> PartList | None:
    """Read the list again in the other unit, where its own was a guess and the talk speaks against it."""
    if part_list is None or part_list.units_sure or job.part_list is None:
        return part_list
    talked = units_by_list_and_talk(part_list, find_measures(transcript, part_list.units, part_list)[0])
    if talked is None:
        return part_list
    why = f"the list's numbers are said in {_UNIT_NAMES[talked]}"
    again = read_part_list(job.part_list, units=talked, other_names=job.other_names)
    return structs.replace(again, units_why=why)


def _listen(job: Job, part_list: PartList | None, progress: Callable[[Progress], None] | None) -> Transcript:
    sounds = all(path.suffix.lower() in MEDIA for path in job.sources)
    sources: tuple[Path, ...] = in_recording_order(job.sources) if sounds and not job.ordered else job.sources
    notes: tuple[Gap, ...] = ()
    if not job.ordered:  # what the maker names is used, whatever it sounds like
        sources, notes = one_of_each(sources, job.cache)
    heard = listen(
        sources, clock=job.clock, options=_options(job, part_list), cache_dir=job.cache, progress=progress
    )
    return structs.replace(heard, gaps=(*heard.gaps, *notes)) if notes else heard


def _options(job: Job, part_list: PartList | None) -> ListenOptions:
    return ListenOptions(model=job.model, device=job.device, prompt_names=_names(job, part_list))


def _names(job: Job, part_list: PartList | None) -> tuple[str, ...]:
    """Names that help the recogniser. Never a listed size: it would echo the plan and hide a slip."""
    parts = [p.name for p in part_list.parts if not p.hardware] if part_list else []
    own = [word for words in structs.asdict(job.vocabulary).values() for word in words]
    return tuple(dict.fromkeys(parts + own))


def _stamped(items: Sequence[T], files: Sequence[SourceFile]) -> tuple[T, ...]:
    return tuple(stamp(item, tuple(files)) for item in items)
