"""The stage that finds the measures of an episode: words with times in, records with times out."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from benchscribe.measures.reader import read_words
from benchscribe.records import Candidate, Measure, PartList, Span, TradeNumber, Transcript
from benchscribe.units import convert, is_length


def find_measures(
    transcript: Transcript, units: Literal["inch", "mm"], part_list: PartList | None = None
) -> tuple[tuple[Measure, ...], tuple[TradeNumber, ...]]:
    """Find every size in what was said; cue boundaries do not matter.

    Args:
        transcript: All words of the episode, in order.
        units: The unit of the build, for sizes said without one.
        part_list: The plan's; its sizes speak for a bare number that nothing else speaks for or against.

    Returns:
        The measures (taken-back ones too, flagged) and the numbers of the trade that are no sizes, each in order,
        with the time of its first word as its start.
    """
    expected, bare = _listed(part_list, units)
    found = read_words([word.text for word in transcript.words], units=units, expected=expected, bare=bare)
    measures = []
    for m in found.measures:
        start_s, end_s = _times(transcript, m.span)
        measures.append(
            Measure(
                value=m.value,
                unit=m.unit,
                words=m.words,
                span=m.span,
                candidates=tuple(Candidate(c.value, c.unit, c.why) for c in m.candidates),
                hedge=m.hedge,
                taken_back=m.taken_back,
                replaced_by=m.replaced_by,
                unit_said=m.unit_said,
                range_end=m.range_end,
                tolerance=m.tolerance,
                chain=m.chain,
                chain_position=m.chain_position,
                step=m.step,
                why=m.why,
                start_s=start_s,
                end_s=end_s,
            )
        )
    numbers = []
    for n in found.trade_numbers:
        start_s, end_s = _times(transcript, n.span)
        numbers.append(
            TradeNumber(
                kind=n.kind,
                name=n.name,
                words=n.words,
                span=n.span,
                actual=n.actual,
                source=n.source,
                start_s=start_s,
                end_s=end_s,
            )
        )
    return tuple(measures), tuple(numbers)


def _listed(
    part_list: PartList | None, units: Literal["inch", "mm"]
) -> tuple[dict[Fraction, str], Literal["inch", "mm", "cm"]]:
    """Give the lengths of the list by the number that is read aloud, and the unit that a bare number has.

    A list in centimetres is read aloud in centimetres: "forty by forty two". In such a list what is written in millimetres (a sheet's
    thickness) stays so, and every size may be said in millimetres too.
    """
    sizes = [
        (listed.value, listed.unit)
        for part in (part_list.parts if part_list else ())
        for listed in part.listed
        if listed.value is not None and is_length(listed.unit)
    ]
    numbers = {convert(value, unit, units): str(units) for value, unit in sizes}
    in_cm = units == "mm" and 2 * sum(unit == "cm" for _, unit in sizes) > len(sizes)
    if not in_cm:
        return numbers, units
    numbers |= {value: unit for value, unit in sizes if unit == "mm"}
    return numbers | {value: unit for value, unit in sizes if unit == "cm"}, "cm"


def _times(transcript: Transcript, span: Span) -> tuple[float | None, float | None]:
    """Give the start of the first word of a span and the end of its last."""
    return transcript.words[span[0]].start_s, transcript.words[span[1] - 1].end_s
