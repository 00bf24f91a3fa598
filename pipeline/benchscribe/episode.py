"""Runs the stages in order. This is the one place that knows the order.

Each stage is a pure function of what it reads; `STAGES` says what that is, and a test checks that every stage's input has been made by
an earlier one. Listening and reading the part list come first because they touch the disk; nothing after them does.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct, structs

from benchscribe import __version__
from benchscribe.build import MEDIA, Markers, Vocabulary
from benchscribe.chapters import cut_chapters
from benchscribe.cut import (
    CutMap,
    asked_about,
    carry_to_cut,
    find_tries,
    map_cut,
    refine,
    with_inserts,
    with_tries,
    without_inserts,
)
from benchscribe.cut.interchange import map_by_edit_list
from benchscribe.decisions import (
    Decisions,
    EditedTalk,
    SettledChapters,
    across,
    apply_chapters,
    apply_decisions,
    apply_lists,
    apply_taken_out,
    carry_out,
    joined,
    load_decisions,
    plan_edits,
)
from benchscribe.discard import Discarded
from benchscribe.doubles import one_of_each, same_sound
from benchscribe.findings import find_findings
from benchscribe.guide import make_guide
from benchscribe.kept import Kept, Understanding
from benchscribe.listen import ListenOptions, Progress, in_recording_order, listen
from benchscribe.markers import strike_marked, strike_stretches, with_marked
from benchscribe.measures.stage import find_measures
from benchscribe.mentions import find_mentions, listed_materials, listed_tools, load_vocabulary
from benchscribe.partlist import read_part_list, units_by_list_and_talk, units_by_talk
from benchscribe.place import place
from benchscribe.records import (
    EpisodeInfo,
    EpisodeRecord,
    Finding,
    Gap,
    PartList,
    SourceFile,
    T,
    Transcript,
    stamp,
)

if TYPE_CHECKING:
    from benchscribe.sound import Same


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
    discarded: tuple[Discarded, ...] = ()
    """Stretches of the takes that the maker throws away."""
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


class Heard(Struct, frozen=True, kw_only=True):
    """All that comes from the disk: what was said, and the part list."""

    takes: Transcript
    """What there is to work from: the takes, or the only recording, captions or notes."""
    cut: Transcript | None = None
    """The published cut, where there are takes beside it."""
    same: tuple[Same, ...] = ()
    """Stretches of the cut that are the same sound as a take's, numbered as the takes' files."""
    part_list: PartList | None = None


class Edited(Struct, frozen=True, kw_only=True):
    """What was said, with the maker's edits of it."""

    talk: Transcript
    """What is understood: the takes, with the published cut's inserts behind them where it has any."""
    takes: Transcript | None = None
    """The takes alone, where there are inserts; chapters are cut of these."""
    cut: Transcript | None = None
    """The published cut, where everything is carried to it."""
    cut_map: CutMap | None = None
    part_list: PartList | None = None
    edited: frozenset[int] = frozenset()
    """Words that the maker put in, of the transcript that goes out."""
    orphaned: tuple[str, ...] = ()


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


def hear(job: Job, *, progress: Callable[[Progress], None] | None = None) -> Heard:
    """Listen to everything and read the part list.

    Raises:
        BenchscribeError: Something cannot be read; says what and what to do.
    """
    part_list = (
        read_part_list(job.part_list, units=job.units, other_names=job.other_names) if job.part_list else None
    )
    sources, notes = _sources(job)
    takes = _heard(sources, job, part_list, progress)
    takes = structs.replace(takes, gaps=(*takes.gaps, *notes))
    takes = strike_stretches(takes, [(d.file, d.from_s, d.to_s) for d in job.discarded])
    if job.cut is None:
        return Heard(takes=takes, part_list=part_list)
    options = _options(job, part_list)
    cut = listen((job.cut,), clock="cut", options=options, cache_dir=job.cache, progress=progress)
    same = (
        ()
        if job.edit_list is not None
        else same_sound(
            job.cut,
            sources,
            job.cache,
            left_out=[p for p in job.sources if p not in sources and p.suffix.lower() in MEDIA],
        )
    )
    return Heard(takes=takes, cut=cut, same=same, part_list=part_list)


def _heard(
    sources: tuple[Path, ...],
    job: Job,
    part_list: PartList | None,
    progress: Callable[[Progress], None] | None,
) -> Transcript:
    """Listen, or read; an hour of captions is cut into sentences once, and kept."""

    def now() -> Transcript:
        return listen(
            sources, clock=job.clock, options=_options(job, part_list), cache_dir=job.cache, progress=progress
        )

    if any(path.suffix.lower() in MEDIA for path in sources):
        return now()  # what is heard has its own journal
    try:
        texts = tuple((path.name, path.read_bytes()) for path in sources)
    except OSError:
        return now()  # which says what is wrong
    kept = Kept(job.cache)
    key = kept.key("talk", texts, job.clock)
    talk = kept.find(key, Transcript)
    if talk is None:
        talk = now()
        kept.keep(key, talk)
    return talk


def edit(heard: Heard, decisions: Decisions, job: Job) -> Edited:
    """Put the maker's edits into what was said, take what is off the record out of it, and find what of the takes is in the cut.

    Where the cut is of other takes, or captions of it have no times, the cut alone is the episode.
    """
    takes, cut = _edit_both(heard, decisions, job)
    told = _strike(takes, job)
    part_list = _units_as_talked(heard.part_list, told.transcript, job)
    if cut is None:
        return Edited(talk=told.transcript, part_list=part_list, edited=told.edited, orphaned=told.orphaned)
    out = _strike(cut, job)
    found = _map_cut(out.transcript, told.transcript, job, heard.same)
    # An edit is lost only where neither has it.
    orphaned = tuple(text for text in told.orphaned if text in out.orphaned)
    if found.share_mapped < LEAST_MAPPED:
        return Edited(talk=out.transcript, part_list=part_list, edited=out.edited, orphaned=orphaned)
    return Edited(
        talk=with_inserts(told.transcript, out.transcript, found),
        takes=told.transcript,
        cut=out.transcript,
        cut_map=found,
        part_list=part_list,
        edited=out.edited,
        orphaned=orphaned,
    )


def understanding_of(edited: Edited, job: Job) -> Understanding:
    """Understand what was said, or give what was understood of the very same words before."""
    kept = Kept(job.cache)
    about = (job.units, structs.asdict(job.vocabulary), structs.asdict(job.markers))
    key = kept.key(edited.talk, edited.takes, edited.part_list, about)
    found = kept.find(key, Understanding)
    if found is None:
        found = work_out(edited.talk, edited.part_list, job, takes=edited.takes)
        kept.keep(key, found)
    return found


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


def _edit_both(heard: Heard, decisions: Decisions, job: Job) -> tuple[EditedTalk, EditedTalk | None]:
    """Put the edits into takes and cut: one made in either of them is made in the other as well, word by word where they agree."""
    takes = plan_edits(heard.takes, decisions)
    if heard.cut is None:
        return carry_out(heard.takes, takes), None
    cut = plan_edits(heard.cut, decisions)
    if not (takes.empty and cut.empty):
        found = _map_cut(heard.cut, heard.takes, job, heard.same)
        back = {take: number for number, take in enumerate(found.take_words) if take is not None}
        to_takes = across(cut, heard.cut, heard.takes, lambda word: found.take_words[word])
        to_cut = across(takes, heard.takes, heard.cut, back.get)
        takes, cut = joined(takes, to_takes), joined(cut, to_cut)
    return carry_out(heard.takes, takes), carry_out(heard.cut, cut)


def _map_cut(cut: Transcript, takes: Transcript, job: Job, same: Sequence[Same]) -> CutMap:
    """Find what of the takes is in the cut: as the editor's list says, else by the words, sharpened by the sound where both are recordings."""
    if job.edit_list is not None:
        return map_by_edit_list(job.edit_list, cut, takes)
    return refine(map_cut(cut, takes), cut, takes, same)


def _strike(talk: EditedTalk, job: Job) -> EditedTalk:
    """Take out what the maker's own phrase strikes; edited words keep their marks."""
    struck = strike_marked(talk.transcript, job.markers.leave_out)
    if struck is talk.transcript or not talk.edited:
        return structs.replace(talk, transcript=struck)
    times = {(w.text, w.start_s) for n, w in enumerate(talk.transcript.words) if n in talk.edited}
    edited = frozenset(
        n for n, w in enumerate(struck.words) if w.confidence == 1.0 and (w.text, w.start_s) in times
    )
    return structs.replace(talk, transcript=struck, edited=edited)


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


def _sources(job: Job) -> tuple[tuple[Path, ...], tuple[Gap, ...]]:
    """Give what is listened to, in running order, and a note on each recording that another one makes needless."""
    if job.ordered:  # what the maker names is used, whatever it sounds like
        return job.sources, ()
    sounds = all(path.suffix.lower() in MEDIA for path in job.sources)
    return one_of_each(in_recording_order(job.sources) if sounds else job.sources, job.cache)


def _options(job: Job, part_list: PartList | None) -> ListenOptions:
    return ListenOptions(model=job.model, device=job.device, prompt_names=_names(job, part_list))


def _names(job: Job, part_list: PartList | None) -> tuple[str, ...]:
    """Names that help the recogniser. Never a listed size: it would echo the plan and hide a slip."""
    parts = [p.name for p in part_list.parts if not p.hardware] if part_list else []
    own = [word for words in structs.asdict(job.vocabulary).values() for word in words]
    return tuple(dict.fromkeys(parts + own))


def _stamped(items: Sequence[T], files: Sequence[SourceFile]) -> tuple[T, ...]:
    return tuple(stamp(item, tuple(files)) for item in items)
