"""Two last touches: words that can be read as a listed size, and sizes that several parts share."""

from __future__ import annotations

from msgspec import structs

from benchscribe.place.bench import Bench, Choice
from benchscribe.records import Candidate, InHand, Measure
from benchscribe.spoken.plan import agrees, sizes_of


def reread(chosen: list[Choice], options: list[list[Choice]], bench: Bench) -> tuple[Bench, list[Choice]]:
    """Prefer another reading of doubtful words where it is exactly a size of the part in hand, and the first reading is none.

    Only the reader's own candidates are tried: the list ranks what the words can mean, it never replaces what was said. The reading given
    up stays as a candidate.
    """
    measures, result = list(bench.measures), list(chosen)
    for index, (choice, measure) in enumerate(zip(chosen, bench.measures, strict=True)):
        if choice.how or choice.role not in ("none", "finished") or not measure.candidates:
            continue
        number = choice.part
        if number is None:
            number = next((o.part for o in options[index] if o.part is not None), None)
        if number is None:
            continue
        part = bench.part_list.parts[number]
        for candidate in measure.candidates:
            other = structs.replace(
                measure,
                value=candidate.value,
                unit=candidate.unit,
                candidates=(
                    Candidate(measure.value, measure.unit, "the reading at first sight"),
                    *(c for c in measure.candidates if c != candidate),
                ),
            )
            slot = next(
                (n for n in bench.of_part[number] if agrees(other, bench.slots[n].listed, part) == "exact"),
                None,
            )
            if slot is not None:
                measures[index] = other
                result[index] = structs.replace(
                    choice,
                    part=number,
                    slot=slot,
                    role="finished",
                    dimension=bench.slots[slot].dimension,
                    how="exact",
                )
                break
    return structs.replace(bench, measures=tuple(measures)), result


def shared(measure: Measure, hand: InHand | None, bench: Bench) -> tuple[str, ...]:
    """Give the other parts in hand that list the same size for the same dimension."""
    if hand is None or measure.verdict != "agrees" or len(hand.parts) < 2:
        return ()
    others = []
    for part in bench.part_list.parts:
        if part.name == measure.part or part.name not in hand.parts:
            continue
        if any(
            listed.dimension == measure.dimension and agrees(measure, listed, part)
            for listed in sizes_of(part, bench.part_list.units)
        ):
            others.append(part.name)
    return tuple(others)
