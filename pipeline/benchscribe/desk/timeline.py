"""The episode at a glance: the whole running time in one picture, drawn here and coloured by the style sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import Final
from xml.sax.saxutils import escape

from msgspec import Struct

from benchscribe.desk.peaks import STEP_S
from benchscribe.desk.places import Clip, Sound, clip_of
from benchscribe.records import EpisodeRecord, Finding, Measure
from benchscribe.writers.chapters import running_end
from benchscribe.writers.sizes import size
from benchscribe.writers.text import clock, plain

_WIDE: Final = 1200
_LEFT: Final = 132
_RIGHT: Final = 1188
_TAPE, _CHAPTERS, _WAVE, _SIZES, _FLAGS, _LANES = 0, 34, 78, 164, 200, 244
_LANE: Final = 22
_MOST_LANES: Final = 9
_COLUMNS: Final = 528
_STEPS: Final = (10, 30, 60, 120, 300, 600, 900, 1800)


class _Scale(Struct, frozen=True):
    end_s: float

    def x(self, seconds: float) -> float:
        """Give the place of a running time."""
        return _LEFT + min(max(seconds / self.end_s, 0.0), 1.0) * (_RIGHT - _LEFT)


def timeline(
    record: EpisodeRecord,
    findings: Sequence[Finding],
    sounds: Sequence[Sound],
    loudness: Callable[[int], bytes | None],
    kinds: dict[str, str],
) -> str:
    """Draw the episode as SVG; empty where there are no times.

    Args:
        record: As it goes out.
        findings: Those to flag, in the order of their numbers.
        sounds: The recordings, for what a click plays.
        loudness: Gives the loudness of a recording, None where it is not read.
        kinds: What each kind of finding is called.
    """
    end = running_end(record)
    if not end or not any(w.start_s is not None for w in record.transcript.words[:50]):
        return ""
    scale = _Scale(end)
    lanes = _lanes(record)
    deep = _LANES + _LANE * len(lanes) + 14

    def play(start_s: float | None, end_s: float | None) -> Clip | None:
        return clip_of(start_s, end_s, record.transcript, sounds)

    body = [
        *_tape(scale),
        *_chapters(record, scale),
        *_wave(record, scale, sounds, loudness),
        *_mistakes(record, scale, play),
        *_row("Sizes", _SIZES + 5),
        *_sizes(record.measures, scale, play),
        *_row("Findings", _FLAGS + 12),
        *_flags(findings, scale, play, kinds),
        *_hands(record, lanes, scale),
    ]
    sounds = [s for s in sounds if s.offset_s is not None]
    offsets = ",".join(f"{s.offset_s:g}:{1 if s.path else 0}" for s in sounds)
    about = f"The episode from 0:00 to {clock(end)}"
    return (
        f'<svg class="timeline" viewBox="0 0 {_WIDE} {deep}" role="group" aria-label="{about}" data-end="{end:g}" '
        f'data-left="{_LEFT}" data-right="{_RIGHT}" data-wide="{_WIDE}" data-offsets="{offsets}">'
        + "".join(body)
        + f'<path class="needle" d="M{_LEFT} {_TAPE}V{deep}" hidden="hidden"/></svg>'
    )


def _tape(scale: _Scale) -> Iterator[str]:
    """Draw the running time as a tape measure."""
    step = next((s for s in _STEPS if scale.end_s / s <= 16), 3600)
    yield f'<rect class="tape" x="{_LEFT}" y="{_TAPE}" width="{_RIGHT - _LEFT}" height="28"/>'
    small = step / 5
    for n in range(int(scale.end_s / small) + 1):
        x = scale.x(n * small)
        yield f'<path class="tick" d="M{x:.1f} {_TAPE + 28}v-{12 if n % 5 == 0 else 6}"/>'
        if n % 5 == 0 and x < _RIGHT - 24:
            yield f'<text class="figure" x="{x + 4:.1f}" y="{_TAPE + 14}">{clock(n * small)}</text>'


def _row(name: str, y: float) -> tuple[str]:
    return (f'<text class="lane" x="{_LEFT - 10}" y="{y + 5:.1f}" text-anchor="end">{escape(name)}</text>',)


def _chapters(record: EpisodeRecord, scale: _Scale) -> Iterator[str]:
    yield from _row("Chapters", _CHAPTERS + 18)
    timed = [c for c in record.chapters if c.start_s is not None]
    for n, chapter in enumerate(timed):
        begin = scale.x(chapter.start_s or 0.0)
        until = scale.x(timed[n + 1].start_s or 0.0) if n + 1 < len(timed) else _RIGHT
        title = plain(chapter.title)
        fits = max(int((until - begin - 12) / 7.4), 0)
        shown = title if len(title) <= fits else f"{title[: max(fits - 1, 0)].rstrip()}…" if fits > 3 else ""
        yield (
            f'<a class="chapter c{n % 2}" href="/glance?chapter={n + 1}#chapter-{n + 1}" aria-label="{_quoted(f"Chapter {n + 1}: {title}, {clock(chapter.start_s)}")}">'
            f'<rect x="{begin:.1f}" y="{_CHAPTERS}" width="{max(until - begin, 1):.1f}" height="36"/>'
            f'<text x="{begin + 7:.1f}" y="{_CHAPTERS + 23}">{escape(shown)}</text><title>{escape(title)}</title></a>'
        )


def _wave(
    record: EpisodeRecord, scale: _Scale, sounds: Sequence[Sound], loudness: Callable[[int], bytes | None]
) -> Iterator[str]:
    middle, half = _WAVE + 40, 38
    yield from _row("Sound", middle)
    yield f'<rect class="ground" x="{_LEFT}" y="{_WAVE}" width="{_RIGHT - _LEFT}" height="80" data-hear="1"/>'
    levels = [0] * _COLUMNS
    drawn = False
    for n, sound in enumerate(sounds):
        known = loudness(n)
        if known is None:
            continue
        drawn = True
        for i, level in enumerate(known):
            at = int(((sound.offset_s or 0.0) + i * STEP_S) / scale.end_s * _COLUMNS)
            if 0 <= at < _COLUMNS:
                levels[at] = max(levels[at], level)
    if drawn:
        top = max(*levels, 1)
        wide = (_RIGHT - _LEFT) / _COLUMNS
        path = "".join(
            f"M{_LEFT + (i + 0.5) * wide:.1f} {middle - max(level / top * half, 0.7):.1f}V{middle + max(level / top * half, 0.7):.1f}"
            for i, level in enumerate(levels)
        )
        yield f'<path class="wave" d="{path}"/>'
    else:
        yield f'<path class="wave none" d="M{_LEFT} {middle}H{_RIGHT}"/>'
    for file in record.transcript.files[1:]:
        x = scale.x(file.offset_s)
        yield f'<path class="seam" d="M{x:.1f} {_WAVE}v80"><title>{escape(plain(file.name))} begins</title></path>'


def _mistakes(
    record: EpisodeRecord, scale: _Scale, play: Callable[[float | None, float | None], Clip | None]
) -> Iterator[str]:
    for gone in record.mistakes:
        if gone.start_s is None:
            continue
        x, wide = scale.x(gone.start_s), max(scale.x(gone.end_s or gone.start_s) - scale.x(gone.start_s), 4)
        lines = "".join(f"M{x + i:.1f} {_WAVE + 80}l6 -80" for i in range(0, max(int(wide), 4), 5))
        label = f"Went wrong at {clock(gone.start_s)}: {plain(gone.why)}"
        yield _mark(
            "mistake", label, play(gone.start_s, gone.end_s),
            f'<rect x="{x:.1f}" y="{_WAVE}" width="{wide:.1f}" height="80"/><path d="{lines}"/>',
        )  # fmt: skip


def _sizes(
    measures: Sequence[Measure], scale: _Scale, play: Callable[[float | None, float | None], Clip | None]
) -> Iterator[str]:
    y = _SIZES + 10
    for measure in measures:
        if measure.start_s is None or measure.taken_back:
            continue
        x, kind = scale.x(measure.start_s), _agreement(measure)
        where = ", ".join(t for t in (measure.part or "", measure.dimension or "") if t)
        label = f"{size(measure.value, measure.unit)} at {clock(measure.start_s)}: {_AGREEMENT[kind]}{f', {plain(where)}' if where else ''}"
        yield _mark(
            f"size {kind}",
            label,
            play(measure.start_s, measure.end_s),
            f'<path d="M{x:.1f} {y}{_SHAPES[kind]}"/>',
        )


_AGREEMENT: Final = {"agrees": "as listed", "differs": "not as listed", "free": "not on the list"}
_SHAPES: Final = {
    "agrees": "m-5 0a5 5 0 1 0 10 0a5 5 0 1 0 -10 0z",
    "differs": "m0 -9l8 9l-8 9l-8 -9z",
    "free": "m-1.5 -6h3v12h-3z",
}
"""A disc, a diamond and a stroke: told apart without colour."""


def _agreement(measure: Measure) -> str:
    return {"agrees": "agrees", "disagrees": "differs"}.get(measure.verdict or "", "free")


def _flags(
    findings: Sequence[Finding],
    scale: _Scale,
    play: Callable[[float | None, float | None], Clip | None],
    kinds: dict[str, str],
) -> Iterator[str]:
    for number, finding in enumerate(findings, 1):
        if finding.start_s is None:
            continue
        x = scale.x(finding.start_s)
        state = "open" if finding.status == "open" else "settled"
        label = f"Finding {number} at {clock(finding.start_s)}, {state}: {kinds.get(finding.kind, finding.kind)}{f', {plain(finding.part)}' if finding.part else ''}"
        flag = "h19l-5 8l5 8h-19" if x < _RIGHT - 24 else "h-19l5 8l-5 8h19"
        shift = 7 if x < _RIGHT - 24 else -7
        yield _mark(
            f"flag {state}", label, play(finding.start_s, finding.end_s),
            f'<path class="pole" d="M{x:.1f} {_FLAGS}V{_FLAGS + 34}"/><path d="M{x:.1f} {_FLAGS}{flag}z"/>'
            f'<text x="{x + shift:.1f}" y="{_FLAGS + 12}" text-anchor="middle">{number}</text>',
        )  # fmt: skip


def _lanes(record: EpisodeRecord) -> list[str]:
    """Give the parts that are in hand longest, in the order of the list."""
    held: Counter[str] = Counter()
    for hand in record.in_hand:
        if hand.parts and hand.start_s is not None:
            held[hand.parts[0]] += max(round(((hand.end_s or hand.start_s) - hand.start_s) * 10), 1)
    chosen = {name for name, _ in held.most_common(_MOST_LANES)}
    listed = [p.name for p in record.part_list.parts] if record.part_list else []
    return [name for name in listed if name in chosen]


def _hands(record: EpisodeRecord, lanes: Sequence[str], scale: _Scale) -> Iterator[str]:
    place = {name: n for n, name in enumerate(lanes)}
    for name, n in place.items():
        y = _LANES + n * _LANE
        short = plain(name)
        short = short if len(short) <= 17 else f"{short[:16].rstrip()}…"
        yield from _row(short, y + 6)
        yield f'<path class="thread" d="M{_LEFT} {y + 6.5}H{_RIGHT}"/>'
    for begin, until, name in _runs(record, place):
        x = scale.x(begin)
        y = _LANES + place[name] * _LANE
        yield (
            f'<rect class="hand" x="{x:.1f}" y="{y}" width="{max(scale.x(until) - x, 2):.1f}" height="13" rx="2">'
            f"<title>{escape(plain(name))} in hand from {clock(begin)} to {clock(until)}</title></rect>"
        )


def _runs(record: EpisodeRecord, place: dict[str, int]) -> Iterator[tuple[float, float, str]]:
    """Join utterances that follow one another with the same part in hand."""
    now: tuple[float, float, str] | None = None
    for hand in record.in_hand:
        name = hand.parts[0] if hand.parts else ""
        if hand.start_s is None or name not in place:
            continue
        until = hand.end_s or hand.start_s
        if now is not None and now[2] == name and hand.start_s - now[1] < 4.0:
            now = (now[0], until, name)
            continue
        if now is not None:
            yield now
        now = (hand.start_s, until, name)
    if now is not None:
        yield now


def _mark(kind: str, label: str, clip: Clip | None, inside: str) -> str:
    """Give something on the picture that can be chosen: it is heard where there is sound, and says what it is anyhow."""
    hear = f' data-clip="{clip.sound},{clip.from_s:g},{clip.to_s:g}"' if clip else ""
    return f'<g class="mark {kind}" role="button" tabindex="-1" aria-label="{_quoted(label)}"{hear}>{inside}<title>{escape(label)}</title></g>'


def _quoted(text: str) -> str:
    return escape(text, {'"': "&quot;"})
