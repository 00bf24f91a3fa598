"""`for-review.md`: what the maker should listen to and settle, always with the file and the time in it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from benchscribe.records import FINDING_KINDS, EpisodeRecord, Finding, Measure, NotInCut
from benchscribe.writers.contexts import Entry, ReviewContext, ReviewItem
from benchscribe.writers.sizes import measure_size, said_size, size
from benchscribe.writers.templating import render, tidy
from benchscribe.writers.text import DRAFT, capital, clock, listing, plain, sentence
from benchscribe.writers.view import View

KIND_WORDS = {
    "plan-wrong": "The plan is wrong",
    "changed": "Changed from the plan",
    "supplied": "Not in the plan",
    "derived": "Worked out wrong",
    "slip": "Said otherwise than listed",
    "count": "Another number of pieces",
    "impossible": "Cannot be",
    "contradiction": "Said two ways",
}
"""How each kind of finding reads in a heading."""


def for_review(view: View) -> bytes:
    """Write `for-review.md`."""
    return tidy(render("for-review.md.j2", review_context(view), view.template_dir))


def review_context(view: View) -> ReviewContext:
    """Gather everything that waits for the maker, and the quiet lists."""
    record = view.record
    coverage = record.coverage
    numbers = {f.id: number for number, f in enumerate(numbered(record), 1)}
    return ReviewContext(
        title=view.title,
        draft=DRAFT if record.draft else "",
        coverage=f"{coverage.sentence()}." if coverage and coverage.listed else "",
        open=tuple(_item(f, numbers[f.id]) for f in sorted(view.open, key=_urgency)),
        published=tuple(_item(f, numbers[f.id]) for f in view.published),
        gaps=tuple(Entry(text=sentence(g.note), time=where(g)) for g in record.transcript.gaps),
        ambiguous=tuple(
            _ambiguous(m)
            for m in record.measures
            # A reading that the list has too is settled: there is nothing to listen to.
            if m.candidates and not m.taken_back and m.verdict != "agrees"
        ),
        repairs=tuple(
            Entry(text=plain(r.meant), detail=f'heard "{plain(r.heard)}": {plain(r.why)}', time=where(r))
            for r in record.repairs
        ),
        cells=tuple(
            Entry(
                text=f"row {c.row}, {plain(c.column)}"
                + ("" if c.text == c.column else f": {plain(c.text) or 'blank'}"),
                detail=sentence(c.note),
            )
            for c in (record.part_list.not_understood if record.part_list else ())
        ),
        unheard_parts=tuple(plain(p) for p in coverage.unheard_parts) if coverage else (),
        unheard_sizes=_by_part(coverage.unheard_sizes) if coverage else (),
        orphans=tuple(plain(t) for t in record.orphaned_decisions),
        not_in_cut=tuple(_taken_out(n, record, numbers) for n in record.not_in_cut),
    )


def numbered(record: EpisodeRecord) -> tuple[Finding, ...]:
    """Give the findings in the order in which they are numbered, here and for `benchscribe findings`: all but confirmations."""
    return tuple(f for f in record.findings if f.right is not True)


def taken_out(record: EpisodeRecord) -> tuple[NotInCut, ...]:
    """Give the cautions and promises that the edit took out; they are numbered on from the findings. A correction is a finding itself."""
    return tuple(item for item in record.not_in_cut if item.kind != "correction")


ANSWERED = {"open": "", "notes": " (goes into the notes)", "leave": " (stays out)"}
"""How an answer about something that was taken out reads behind it."""


def _taken_out(item: NotInCut, record: EpisodeRecord, numbers: dict[str, int]) -> Entry:
    if item.kind == "correction":
        number = numbers.get(item.finding)
    else:
        number = len(numbers) + taken_out(record).index(item) + 1
    named = f"{number}: {item.kind}" if number else item.kind
    return Entry(text=sentence(plain(item.text)), detail=named + ANSWERED[item.answer], time=_in_take(item))


def where(item: object) -> str:
    """Give the file and the time in it, where there is one: "take-2.m4a 3:12"."""
    start_s, file, at_s = (getattr(item, name, None) for name in ("start_s", "file", "at_s"))
    if start_s is None:
        return ""
    if file and at_s is not None:
        there = f"{plain(file)} {clock(at_s)}"
        return f"{there} ({clock(start_s)} running)" if int(at_s) != int(start_s) else there
    return clock(start_s)


def _by_part(sizes: Sequence[tuple[str, str]]) -> tuple[str, ...]:
    """Give sizes one line a part: "Shelf: thickness, width and length"."""
    parts: dict[str, list[str]] = {}
    for part, dimension in sizes:
        parts.setdefault(plain(part), []).append("another size" if dimension == "other" else plain(dimension))
    return tuple(f"{part}: {listing(dimensions)}" for part, dimensions in parts.items())


def _in_take(item: NotInCut) -> str:
    """Give the take and the time in it of something that the cut does not have."""
    if not item.file or item.at_s is None:
        return ""
    return f"{plain(item.file)} {clock(item.at_s)}"


def _urgency(finding: Finding) -> tuple[int, float, float]:
    return (FINDING_KINDS.index(finding.kind), -finding.confidence, finding.start_s or 0.0)


def _item(finding: Finding, number: int) -> ReviewItem:
    subject = ", ".join(plain(t) for t in (finding.part, finding.dimension) if t and t != "other")
    kind = KIND_WORDS[finding.kind]
    likely = ""
    if finding.probably_right is not None:
        likely = f"{said_size(finding.probably_right, finding.spoken)}: {plain(finding.probably_why)}".rstrip(
            ": "
        )
    return ReviewItem(
        number=number,
        head=f"{kind}: {subject}" if subject else kind,
        said=said_size(finding.spoken, finding.listed),
        # Of a sum the listed size is what it was worked out from; the reason tells it.
        listed="" if finding.kind == "derived" else said_size(finding.listed, finding.spoken),
        time=where(finding),
        again=", ".join(clock(t) for t in finding.repeated),
        sentence=plain(finding.sentence),
        why=capital(sentence(finding.why)),
        likely=likely,
        advice=_what_then(finding.advice),
        sure=how_sure(finding.confidence),
    )


_LISTEN = re.compile(r"^listen at [\d:]+(?:,? then|,? and|[;,.])?\s*", re.IGNORECASE)


def _what_then(advice: str) -> str:
    """Give what to do besides listening: where to listen stands above it already, with the file."""
    return capital(sentence(_LISTEN.sub("", plain(advice))))


def how_sure(confidence: float) -> str:
    """Say a probability in words, with the figure."""
    words: Sequence[tuple[float, str]] = (
        (0.9, "almost sure"),
        (0.7, "likely"),
        (0.4, "perhaps"),
        (0.0, "doubtful"),
    )
    return f"{next(w for least, w in words if confidence >= least or least == 0.0)} ({round(100 * confidence)} %)"


def _ambiguous(measure: Measure) -> Entry:
    others = "; ".join(f"{size(c.value, c.unit)} ({plain(c.why)})" for c in measure.candidates)
    return Entry(
        text=f'"{plain(measure.words)}" read as {measure_size(measure)}',
        detail=f"or {others}",
        time=where(measure),
    )
