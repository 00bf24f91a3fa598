"""Runs the stages in order. This is the one place that knows the order.

Each stage is a pure function of what it reads; `STAGES` says what that is, and a test checks that every stage's input has been made by
an earlier one. Listening and reading the part list come first because they touch the disk; nothing after them does.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from msgspec import Struct, structs

from benchscribe import __version__
from benchscribe.chapters import cut_chapters
from benchscribe.cut import asked_about, carry_to_cut, find_tries, with_tries, without_inserts
from benchscribe.decisions import (
    Decisions,
    SettledChapters,
    apply_chapters,
    apply_decisions,
    apply_lists,
    apply_taken_out,
    load_decisions,
)
from benchscribe.findings import find_findings
from benchscribe.guide import make_guide
from benchscribe.intake import Edited, Heard, Job, edit, hear, settle_units
from benchscribe.kept import Kept, Understanding
from benchscribe.listen import Progress
from benchscribe.markers import with_marked
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import find_mentions, listed_materials, listed_tools, load_vocabulary
from benchscribe.place import place
from benchscribe.records import (
    EpisodeRecord,
    Finding,
    PartList,
    SourceFile,
    T,
    Transcript,
    stamp,
)

__all__ = [
    "STAGES",
    "Edited",
    "Heard",
    "Job",
    "Settled",
    "edit",
    "hear",
    "make_record",
    "settle",
    "settle_quickly",
    "settle_units",
    "understand",
    "understand_cut",
    "understanding_of",
    "work_out",
]


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


class Settled(Struct, frozen=True, kw_only=True):
    """A record, with what a page needs to know to change it."""

    record: EpisodeRecord
    said: tuple[Finding, ...]
    """The record's findings before any decision, in the takes' time: what decisions are anchored on."""
    plain: EpisodeRecord
    """The record with the chapters and lists as found, before the maker's changes to them."""
    chapters: SettledChapters


def make_record(job: Job, *, progress: Callable[[Progress], None] | None = None) -> EpisodeRecord:
    """Do the main job for one episode, from recordings and part list to the whole record.

    Args:
        job: What to listen to, and the build's settings.
        progress: Called while listening, which can take minutes.

    Raises:
        BenchscribeError: Something cannot be read; says what and what to do.
    """
    heard = hear(job, progress=progress)
    decisions = load_decisions(job.decisions) if job.decisions else Decisions()
    edited = edit(heard, decisions, job)
    return settle(edited, understanding_of(edited, job), decisions, job).record


def understanding_of(edited: Edited, job: Job) -> Understanding:
    """Understand what was said, or give what was understood of the very same words before."""
    kept = Kept(job.cache)
    about = (job.units, structs.asdict(job.vocabulary), structs.asdict(job.markers))
    key = kept.key(edited.talk, edited.takes, edited.part_list, about)
    return kept.once(
        key, Understanding, lambda: work_out(edited.talk, edited.part_list, job, takes=edited.takes)
    )


def work_out(
    transcript: Transcript, part_list: PartList | None, job: Job, *, takes: Transcript | None = None
) -> Understanding:
    """Run the stages that read the talk: sizes, what is spoken of, where each size belongs, what disagrees.

    Args:
        transcript: What was said.
        part_list: The plan's, if there is one.
        job: The build's settings.
        takes: Where `transcript` has a cut's inserts behind the takes, the takes alone.
    """
    units, units_why = settle_units(job.units, part_list, transcript)
    measures, trade_numbers = find_measures(transcript, units, part_list)
    mentions = find_mentions(transcript, part_list, measures, load_vocabulary(structs.asdict(job.vocabulary)))
    mentions = with_marked(mentions, transcript, warning=job.markers.warning, next_time=job.markers.next_time)
    if transcript.clock == "takes":
        tries = find_tries(takes or transcript)
        mentions = with_tries(mentions, tries)
    placed = place(transcript, measures, trade_numbers, mentions, part_list)
    found = find_findings(
        transcript, placed.measures, mentions, part_list, placed.in_hand, markers=structs.asdict(job.markers)
    )
    return Understanding(
        units=units,
        units_why=units_why,
        measures=placed.measures,
        trade_numbers=trade_numbers,
        mentions=mentions,
        in_hand=placed.in_hand,
        findings=found.findings,
        coverage=found.coverage,
        tools=listed_tools(mentions),
        materials=listed_materials(mentions),
    )


def settle(edited: Edited, found: Understanding, decisions: Decisions, job: Job) -> Settled:
    """Give the decisions to what was found, and make the record: chapters, guide, lists; carried to the published cut where there is one."""
    transcript, takes, where = edited.talk, edited.takes, edited.talk.files
    # Stamped first: a decision also holds on to the file and the time in it.
    said = _stamped(found.findings, where)
    findings, orphaned = apply_decisions(said, decisions)
    told = takes or transcript
    chapters = cut_chapters(
        told, *without_inserts(told, found.mentions, found.in_hand, findings), how_many=job.chapters
    )
    kept = apply_chapters(chapters, told, decisions.chapter).chapters if edited.cut is None else chapters
    guide = make_guide(
        transcript,
        found.measures,
        found.mentions,
        edited.part_list,
        found.in_hand,
        findings,
        kept,
    )
    record = EpisodeRecord(
        made_by=f"Benchscribe {__version__}",
        info=structs.replace(job.info, units=found.units, units_why=found.units_why),
        draft=transcript.clock == "takes",
        transcript=structs.replace(transcript, gaps=_stamped(transcript.gaps, where)),
        part_list=edited.part_list,
        chapters=_stamped(chapters, where),
        measures=_stamped(found.measures, where),
        trade_numbers=_stamped(found.trade_numbers, where),
        mentions=_stamped(found.mentions.mentions, where),
        repairs=_stamped(found.mentions.repairs, where),
        in_hand=_stamped(found.in_hand, where),
        findings=findings,
        coverage=found.coverage,
        tools=_stamped(found.tools, where),
        materials=_stamped(found.materials, where),
        hazards=_stamped(found.mentions.hazards, where),
        mistakes=_stamped(found.mentions.mistakes, where),
        promises=_stamped(found.mentions.promises, where),
        steps=_stamped(guide.steps, where),
        cut_list=guide.cut_list,
        shopping=guide.shopping,
        orphaned_decisions=(*orphaned, *edited.orphaned),
    )
    if edited.cut is not None and edited.cut_map is not None:
        record = carry_to_cut(record, edited.cut, edited.cut_map)
    return _with_changes(record, said, decisions)


def settle_quickly(before: Settled, decisions: Decisions) -> Settled:
    """Give new decisions to a record that stands, without making its guide and chapters anew: right for all but their wording."""
    answers, orphaned = apply_decisions(before.said, decisions)
    by_id = {f.id: f for f in answers}
    findings = tuple(_answered(f, by_id.get(f.id, f)) for f in before.plain.findings)
    plain = structs.replace(before.plain, findings=findings, orphaned_decisions=orphaned)
    return _with_changes(plain, before.said, decisions)


def _answered(carried: Finding, answer: Finding) -> Finding:
    """Give a finding that stands at its place in the cut the answer that was given to it."""
    names = ("status", "note", "kind", "spoken", "part", "dimension")
    answered = structs.replace(carried, **{name: getattr(answer, name) for name in names})
    return asked_about(answered, answer) if carried.start_s is None else answered


def _with_changes(plain: EpisodeRecord, said: tuple[Finding, ...], decisions: Decisions) -> Settled:
    """Put the maker's changes to chapters and lists into a record."""
    chapters = apply_chapters(plain.chapters, plain.transcript, decisions.chapter)
    record = structs.replace(
        plain,
        chapters=_stamped(chapters.chapters, plain.transcript.files),
        orphaned_decisions=(*plain.orphaned_decisions, *chapters.orphaned),
    )
    record = apply_taken_out(apply_lists(record, decisions), decisions)
    return Settled(record=record, said=said, plain=plain, chapters=chapters)


def understand(transcript: Transcript, part_list: PartList | None, job: Job) -> EpisodeRecord:
    """Run every stage after listening: words and part list in, the whole record out."""
    edited = Edited(talk=transcript, part_list=part_list)
    decisions = load_decisions(job.decisions) if job.decisions else Decisions()
    return settle(edited, work_out(transcript, part_list, job), decisions, job).record


def understand_cut(takes: Transcript, cut: Transcript, part_list: PartList | None, job: Job) -> EpisodeRecord:
    """Understand the takes, with what the published cut has beside them, and carry it all to the cut's times."""
    edited = edit(Heard(takes=takes, cut=cut, part_list=part_list), Decisions(), job)
    decisions = load_decisions(job.decisions) if job.decisions else Decisions()
    found = work_out(edited.talk, edited.part_list, job, takes=edited.takes)
    return settle(edited, found, decisions, job).record


def _stamped(items: Sequence[T], files: Sequence[SourceFile]) -> tuple[T, ...]:
    return tuple(stamp(item, tuple(files)) for item in items)
