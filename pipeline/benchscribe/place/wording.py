"""Why a measure was placed where it was, in plain words."""

from __future__ import annotations

from typing import Final

from benchscribe.place.bench import Bench, Choice

_ROLE_WORDS: Final = {
    "tool": "the size of a tool",
    "setting": "a setting of a machine",
    "rough": "a rough size on the way to the finished one",
    "allowance": "an allowance",
    "stock": "the size of the stock it comes out of",
    "nominal": "what the stock is called, not what it measures",
    "hardware": "the size of a fastener",
    "feature": "a hole, a joint or a mark that the list gives no size for",
    "overall": "a size of the whole thing",
    "comparison": "the size of something else, named to compare",
    "check": "a reading that only checks",
    "taken-back": "taken back at once",
    "mistake": "said while the work went wrong",
    "superseded": "settled otherwise later on",
    "quoted-plan": "the plan's own value, read aloud",
    "derived": "worked out from another size",
    "none": "no size that the list gives",
}


def why_of(choice: Choice, bench: Bench, index: int) -> str:
    """Say in one sentence why a measure has its place."""
    context = bench.contexts[index]
    part = bench.part_list.parts[choice.part].name if choice.part is not None else ""
    clues = [f'"{context.because[n]}"' for n in (choice.dimension or "", choice.role) if n in context.because]
    said = f" (said with {' and '.join(dict.fromkeys(clues))})" if clues else ""
    if choice.slot is None or choice.role in ("taken-back", "mistake", "superseded"):
        what = _ROLE_WORDS.get(choice.role, "no size that the list gives")
        return f"{what}{said}{f', while {part} was in hand' if part else ''}"
    slot = bench.slots[choice.slot]
    if choice.how == "exact":
        return f"equals the listed {slot.dimension} of {part}{said}"
    if choice.how:
        return f"agrees with the listed {slot.dimension} of {part}: {choice.how}{said}"
    if slot.listed.value is None:
        return f"the list leaves the {slot.dimension} of {part} open{said}"
    return (
        f"{part} was in hand and its {slot.dimension} fits best, but the list says {slot.listed.text}{said}"
    )
