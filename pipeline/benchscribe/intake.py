"""One episode's job, and all that it takes in: what was said, with the maker's edits, and the part list."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from msgspec import Struct, structs

from benchscribe.build import MEDIA, Markers, Vocabulary
from benchscribe.cut import CutMap, map_cut, refine, with_inserts
from benchscribe.cut.interchange import map_by_edit_list
from benchscribe.decisions import Decisions, EditedTalk, across, carry_out, joined, plan_edits
from benchscribe.discard import Discarded
from benchscribe.doubles import one_of_each, same_sound
from benchscribe.kept import Kept
from benchscribe.listen import ListenOptions, Progress, in_recording_order, listen
from benchscribe.markers import strike_marked, strike_stretches
from benchscribe.measures.stage import find_measures
from benchscribe.partlist import read_part_list, units_by_list_and_talk, units_by_talk
from benchscribe.records import EpisodeInfo, Gap, PartList, Transcript

if TYPE_CHECKING:
    from benchscribe.sound import Same

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
    return kept.once(kept.key("talk", texts, job.clock), Transcript, now)


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
