"""Carry all that was settled on the takes to the published cut: its time, its words, its captions."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any, Final, TypeVar

from msgspec import structs

from benchscribe.clock import clock
from benchscribe.cut.cutmap import CutMap
from benchscribe.cut.places import Places
from benchscribe.records import (
    DECLARED_KINDS,
    PUBLISHED,
    Chapter,
    CutPiece,
    EpisodeRecord,
    Finding,
    Gap,
    Hazard,
    InHand,
    ListedName,
    Measure,
    Mention,
    Mistake,
    NotInCut,
    Promise,
    Repair,
    SourceFile,
    Span,
    Step,
    T,
    TradeNumber,
    Transcript,
    stamp,
)

Spoken = TypeVar("Spoken", Measure, TradeNumber, Mention, Repair, Mistake, Promise, Step, Finding)
_NOWHERE: Final[Span] = (0, 0)
_LISTEN: Final = re.compile(r"listen at \d+(?::\d\d)+")


def carry_to_cut(record: EpisodeRecord, cut: Transcript, found: CutMap) -> EpisodeRecord:
    """Carry a record of the takes to the published cut.

    Findings, sizes, steps and cautions that the edit took out stay, without a time; what only makes sense where it is said (mentions,
    promises, mistakes, repairs) does not. Corrections, cautions and promises that were taken out are listed in `not_in_cut`.

    Args:
        record: Of the takes, or of the takes with the cut's inserts (`with_inserts`).
        cut: What is said in the published cut, in its time; its words and captions become the record's.
        found: The map between the cut and the takes alone.

    Returns:
        The record in the cut's time.
    """
    places = Places(record.transcript, cut, found)
    files = cut.files
    keep = _Carrier(places, cut)
    findings = tuple(keep.finding(item) for item in record.findings)
    hazards = tuple(keep.moment(item) for item in record.hazards)
    return structs.replace(
        record,
        draft=False,
        transcript=structs.replace(
            cut, clock="cut" if cut.clock != "none" else "none", gaps=(*cut.gaps, *_doubled(record))
        ),
        chapters=_stamped(_chapters(record.chapters, places, cut), files),
        measures=_stamped((keep.spoken(item) for item in record.measures), files),
        trade_numbers=_stamped(_kept(keep, record.trade_numbers), files),
        mentions=_stamped(_kept(keep, record.mentions), files),
        repairs=_stamped(_kept(keep, record.repairs), files),
        in_hand=_stamped(_in_hand(record, places, cut), files),
        findings=_stamped(findings, files),
        tools=_stamped((keep.listed(item) for item in record.tools), files),
        materials=_stamped((keep.listed(item) for item in record.materials), files),
        hazards=_stamped(hazards, files),
        mistakes=_stamped(_kept(keep, record.mistakes), files),
        promises=_stamped(_kept(keep, record.promises), files),
        steps=_stamped((keep.spoken(item) for item in record.steps), files),
        cut_pieces=tuple(_public(piece) for piece in found.pieces),
        not_in_cut=_taken_out(record, findings, hazards, keep),
    )


def asked_about(carried: Finding, before: Finding) -> Finding:
    """Ask about a correction that the edit took out: the maker may have thought better of it, or have forgotten the viewers.

    Args:
        carried: As it stands in the record of the cut, in no place of it.
        before: As it was said in the take.
    """
    if carried.status != "declared" or before.start_s is None:
        return carried
    where = f"{before.file} {clock(before.at_s or 0.0)}" if before.file else clock(before.start_s)
    question = f"The correction at {where} is not in the cut: put it in the notes?"
    return structs.replace(carried, status="open", advice=question)


class _Carrier:
    """Gives single records their place in the cut."""

    def __init__(self, places: Places, cut: Transcript) -> None:
        self._places = places
        self._cut = cut

    def spoken(self, item: Spoken) -> Spoken:
        """Carry something that has words; without words and time where the cut does not have it."""
        span = self._places.stretch(item.span)
        if span is None:
            return _moved(item, span=_NOWHERE, start_s=None, end_s=None)
        # A step may be dated by the sentence in the middle that does it, not by its first word.
        there = self._places.moment(item.start_s)
        begin, end = self.start(span) if there is None else there, self.end(span)
        late = begin is not None and end is not None and end < begin
        return _moved(item, span=span, start_s=begin, end_s=begin if late else end)

    def moment(self, item: Hazard) -> Hazard:
        """Carry something that has only a time."""
        return _moved(item, start_s=self._places.moment(item.start_s), end_s=self._places.moment(item.end_s))

    def listed(self, item: ListedName) -> ListedName:
        """Carry a tool or a material: its first time is the first one that the cut has."""
        times = (item.start_s, *item.times) if item.times else (item.start_s,)
        there = tuple(sorted({t for time in times if (t := self._places.moment(time)) is not None}))
        return _moved(
            item, start_s=there[0] if there else None, end_s=None, times=there if item.times else ()
        )

    def finding(self, item: Finding) -> Finding:
        """Carry a finding: where its sentence was taken out and it was said again, it stands where it was said again."""
        again = tuple(t for time in item.repeated if (t := self._places.moment(time)) is not None)
        here = self.spoken(item)
        if here.start_s is None and again:
            here, again = structs.replace(here, start_s=again[0]), again[1:]
        if here.start_s is not None:
            advice = _LISTEN.sub(f"listen at {clock(here.start_s)}", here.advice)
        else:
            where = (
                f"listen to {item.file} at {clock(item.at_s or 0.0)}" if item.file else "listen to the takes"
            )
            advice = _LISTEN.sub(f"{where} (not in the cut)", here.advice)
        carried = structs.replace(here, repeated=again, advice=advice)
        return asked_about(carried, item) if here.start_s is None else carried

    def start(self, span: Span) -> float | None:
        """Give the time at which words of the cut begin."""
        return next((w.start_s for w in self._cut.words[span[0] : span[1]] if w.start_s is not None), None)

    def end(self, span: Span) -> float | None:
        """Give the time at which words of the cut end."""
        return next(
            (w.end_s for w in reversed(self._cut.words[span[0] : span[1]]) if w.end_s is not None), None
        )


def _moved(item: T, **changes: Any) -> T:  # noqa: ANN401 - the fields are the record's own
    return structs.replace(item, file=None, at_s=None, **changes)


def _kept(keep: _Carrier, items: Iterable[Spoken]) -> list[Spoken]:
    """Carry what makes sense only where it is said, in the order of the cut."""
    carried = [keep.spoken(item) for item in items]
    return sorted((item for item in carried if item.span != _NOWHERE), key=lambda item: item.span)


def _chapters(chapters: Sequence[Chapter], places: Places, cut: Transcript) -> list[Chapter]:
    """Give each chapter the first of its words that the cut still has, and order them as the cut does."""
    starts: list[tuple[int, Chapter]] = []
    for chapter in chapters:
        word = places.first(chapter.span)
        if word is not None:
            starts.append((word, chapter))
    starts.sort(key=lambda pair: pair[0])
    made: list[Chapter] = []
    for number, (word, chapter) in enumerate(starts):
        first = word if number else 0
        last = starts[number + 1][0] if number + 1 < len(starts) else len(cut.words)
        begin = cut.words[first].start_s if number else 0.0
        end = cut.words[last].start_s if last < len(cut.words) else cut.words[-1].end_s
        made.append(
            structs.replace(chapter, span=(first, last), start_s=begin, end_s=end, file=None, at_s=None)
        )
    return made


def _in_hand(record: EpisodeRecord, places: Places, cut: Transcript) -> list[InHand]:
    """Give each utterance of the cut the part that was in hand where most of its words were said."""
    by_number = {item.utterance: item for item in record.in_hand}
    home: dict[int, int] = {}
    for number, utterance in enumerate(record.transcript.utterances):
        for index in range(*utterance.span):
            word = places.word(index)
            if word is not None:
                home[word] = number
    out = []
    for number, utterance in enumerate(cut.utterances):
        votes = Counter(home[w] for w in range(*utterance.span) if w in home)
        best = by_number.get(votes.most_common(1)[0][0]) if votes else None
        if best is not None:
            out.append(
                structs.replace(
                    best,
                    utterance=number,
                    start_s=utterance.start_s,
                    end_s=utterance.end_s,
                    file=None,
                    at_s=None,
                )
            )
    return out


def _taken_out(
    record: EpisodeRecord, findings: Sequence[Finding], hazards: Sequence[Hazard], keep: _Carrier
) -> tuple[NotInCut, ...]:
    """List the corrections, cautions and promises that were said in a take, and that the cut does not have."""
    out = [
        NotInCut(
            kind="correction", text=before.sentence, finding=before.id, file=before.file, at_s=before.at_s
        )
        for before, after in zip(record.findings, findings, strict=True)
        if before.start_s is not None and after.start_s is None
        if before.status in PUBLISHED or (before.status == "open" and _was_declared(before))
    ]
    out += [
        NotInCut(kind="caution", text=before.words or before.name, file=before.file, at_s=before.at_s)
        for before, after in zip(record.hazards, hazards, strict=True)
        if before.said and before.start_s is not None and after.start_s is None
    ]
    out += [
        NotInCut(kind="promise", text=item.text, file=item.file, at_s=item.at_s)
        for item in record.promises
        if item.start_s is not None and keep.spoken(item).start_s is None
    ]
    return tuple(out)


def _was_declared(finding: Finding) -> bool:
    """Tell whether the maker said a correction in so many words, though its part is not sure enough to send it out unasked."""
    return finding.kind in DECLARED_KINDS and any(text.startswith("declared:") for text in finding.evidence)


def _doubled(record: EpisodeRecord) -> tuple[Gap, ...]:
    """Give the notes on recordings that were left out; holes in the takes are no holes in the cut."""
    return tuple(gap for gap in record.transcript.gaps if gap.kind == "doubled")


def _public(piece: CutPiece) -> CutPiece:
    names = CutPiece.__struct_fields__
    return CutPiece(**{name: getattr(piece, name) for name in names})


def _stamped(items: Iterable[T], files: tuple[SourceFile, ...]) -> tuple[T, ...]:
    return tuple(stamp(item, files) for item in items)
