"""Steps that are told by sizes alone: a part whose finished sizes are given is cut to them."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from benchscribe.guide.found import clock
from benchscribe.guide.stepwords import step_words
from benchscribe.guide.stock import material_form
from benchscribe.guide.told import CUT, WORK, Talk, Told
from benchscribe.records import Measure, Part, PartList

SLENDER = 24
"""A round part so many times as long as it is thick is no turning."""
NEAR_S = 20.0
"""A size told so near an operation on the same part belongs to that step."""
BEFORE_S, AFTER_S = 20.0, 25.0
"""A tool told so long before a size, or after it, is what the piece is brought to that size with."""
RUN_S = 30.0
"""Sizes of one part told within this time belong together."""
GIVEN = frozenset({"finished", "corrected", "changed", "supplied", "rough"})
ACROSS = frozenset({"width", "depth", "thickness"})
ALONG = frozenset({"length", "height"})
SIZES = ACROSS | ALONG | {"angle", "diameter"}


def told_sizes(talk: Talk, told: Sequence[Told], part_list: PartList | None) -> list[Told]:
    """Find the parts whose sizes are given while nobody says what is done.

    Args:
        talk: What was said and found.
        told: Operations that were named; a part that is being sized by one of them needs nothing more.
        part_list: For the material and what is bought; None gives nothing.

    Returns:
        One for each run of sizes.
    """
    if part_list is None:
        return []
    made = {part.name: part for part in part_list.parts if not part.hardware}
    found: list[Told] = []
    for part, runs in _runs(talk, made).items():
        done: set[tuple[str, bool]] = set()
        for run in runs:
            new = [
                item
                for item in run
                if _key(item[1]) not in done and not _being_sized(talk, told, part, item[1])
            ]
            done |= {_key(m) for _, m in run}
            dimensions = {str(m.dimension) for _, m in new}
            telling = dimensions - {"angle"}
            board = material_form(made[part].material) == "board"
            if not telling or (telling <= ACROSS if board else telling == {"thickness"}):
                # A section alone tells what the stock is; nobody has cut it here.
                continue
            found.append(_cut(talk, made[part], new))
    return found


def cut_with_tools(sizes: Sequence[Told], tools: Sequence[Told]) -> tuple[list[Told], list[Told]]:
    """Put the tools that a piece is brought to size with together with its sizes: both tell one step.

    Args:
        sizes: What `told_sizes` found.
        tools: What tools imply.

    Returns:
        The sizes, each named by the tool that is nearest to it, and the tools that are left.
    """
    processes = step_words().processes
    cuts: list[Told] = []
    spent: set[int] = set()
    for size in sizes:
        near = [
            tool
            for tool in tools
            if tool.part == size.part
            and tool.name.split()[0] in processes
            and -BEFORE_S <= tool.clock_s - size.clock_s <= AFTER_S
        ]
        spent |= {id(tool) for tool in near}
        near.sort(key=lambda tool: abs(tool.clock_s - size.clock_s))
        how = next((processes[tool.name.split()[0]] for tool in near if processes[tool.name.split()[0]]), "")
        old, _, rest = size.name.partition(" to ")
        named = f"{how} to {rest}" if how and rest and old == "cut" else size.name
        cuts.append(msgspec.structs.replace(size, name=named))
    return cuts, [tool for tool in tools if id(tool) not in spent]


def named_by_sizes(talk: Talk, told: Sequence[Told], part_list: PartList | None) -> list[Told]:
    """Name the cuts that a verb tells without saying which ("cut it", "chop them") by the sizes they give and by the material.

    >>> from benchscribe.records import Transcript
    >>> talk = Talk(transcript=Transcript(files=(), clock="none", words=(), utterances=()), mentions={}, measures={}, parts=(), skipped=frozenset())
    >>> named_by_sizes(talk, (), None)
    []
    """
    made = {part.name: part for part in (part_list.parts if part_list else ()) if not part.hardware}
    runs = _runs(talk, made)
    return [_named_by_sizes(talk, item, made, runs) for item in told]


def _named_by_sizes(
    talk: Talk, item: Told, made: dict[str, Part], runs: dict[str, list[list[tuple[int, Measure]]]]
) -> Told:
    if item.source != "verb" or item.name not in step_words().generic or item.part not in made:
        return item
    given = {
        str(m.dimension)
        for run in runs.get(item.part or "", ())
        for _, m in run
        if abs(clock(talk.transcript, m.span[0]) - item.clock_s) <= NEAR_S
    }
    given.discard("thickness")  # no saw cut gives it
    if not given & (ALONG | ACROSS):
        return item
    part = made[item.part or ""]
    form = material_form(part.material)
    if form == "board" and given & ALONG:
        given = (given & ALONG) | (given & {"angle"})
    name = sizing_name(given, part.material)
    sawn = any(m.used and m.name.lower().endswith("saw") for m in talk.of(item.first, "tool"))
    if form == "metal" and sawn:
        name = name.replace("cut", "saw", 1)
    return msgspec.structs.replace(item, name=name, rank=WORK)


def put_right_before(talk: Talk, group: Sequence[Told], groups: Sequence[Sequence[Told]]) -> list[int]:
    """Give the sentences just before a cut that give the part another size than the list: "so what you cut is ninety-eight. Cut it ...".

    Args:
        talk: What was said and found.
        group: What tells the step.
        groups: What tells every step; a sentence of another step is not taken from it.
    """
    words, part, begin = step_words(), group[0].part, group[0].clock_s
    if part is None or not any(item.verb in words.along | words.across for item in group):
        return []
    theirs = {n for other in groups if other is not group for item in other for n in (item.first, item.last)}
    found = []
    for number in range(group[0].first - 1, -1, -1):
        if begin - clock(talk.transcript, talk.transcript.utterances[number].span[0]) > NEAR_S:
            break
        gives = any(
            m.part == part and m.role in GIVEN and m.verdict == "disagrees" and not m.taken_back
            for m in talk.measures.get(number, ())
        )
        if gives and number not in talk.skipped and number not in theirs:
            found.append(number)
    return found[::-1]


def _key(measure: Measure) -> tuple[str, bool]:
    return str(measure.dimension), measure.role == "rough"


def _being_sized(talk: Talk, told: Sequence[Told], part: str, measure: Measure) -> bool:
    """Tell whether an operation that was named near by gives the part this size."""
    words = step_words()
    verbs = words.along if measure.dimension in ALONG else words.across
    if measure.dimension in ("angle", "diameter"):
        verbs = words.along | words.across
    at = clock(talk.transcript, measure.span[0])
    return any(
        t.part == part and t.source == "verb" and t.verb in verbs and abs(t.clock_s - at) <= NEAR_S
        for t in told
    )


def sizing_name(dimensions: set[str], material: str, *, round_part: bool = False) -> str:
    """Name the cut that gives a piece these sizes, as the trade of its material calls it.

    A stick of wood is ripped to width and crosscut to length, mitred where an angle is told; bar and rod are sawn; sheet, hide and cloth
    are cut. A round part of wood is turned.

    >>> sizing_name({"length"}, "hard maple"), sizing_name({"length", "width"}, "birch ply")
    ('crosscut to length', 'cut to size')
    """
    sizes = dimensions - {"angle"}
    form = material_form(material)
    if form == "board":
        return "turn to size" if round_part else _board_cut(sizes, mitred="angle" in dimensions)
    if sizes <= ALONG:
        return "saw to length" if form == "metal" else "cut to length"
    return "cut to size"


def _board_cut(sizes: set[str], *, mitred: bool) -> str:
    if not sizes & ALONG:
        return "plane to thickness" if sizes == {"thickness"} else "rip cut to width"
    if mitred:
        return "miter crosscut to length"
    return "rip and crosscut to size" if sizes & {"width", "depth"} else "crosscut to length"


def _runs(talk: Talk, made: dict[str, Part]) -> dict[str, list[list[tuple[int, Measure]]]]:
    """Gather the sizes given for each part into runs that belong together."""
    runs: dict[str, list[list[tuple[int, Measure]]]] = {}
    for number in range(len(talk.transcript.utterances)):
        if number in talk.skipped:
            continue
        for measure in talk.measures.get(number, ()):
            part = measure.part
            fits = measure.role in GIVEN and measure.dimension in SIZES and not measure.taken_back
            if part is None or part not in made or not fits:
                continue
            mine = runs.setdefault(part, [])
            at = clock(talk.transcript, measure.span[0])
            if mine and at - clock(talk.transcript, mine[-1][0][1].span[0]) <= RUN_S:
                mine[-1].append((number, measure))
            else:
                mine.append([(number, measure)])
    return runs


def _cut(talk: Talk, part: Part, run: Sequence[tuple[int, Measure]]) -> Told:
    number, first = run[0]
    at = clock(talk.transcript, first.span[0])
    last = max(
        n
        for n, m in run
        if clock(talk.transcript, m.span[0]) - at <= (RUN_S if m.verdict == "disagrees" else NEAR_S)
    )
    dimensions = {str(m.dimension) for _, m in run}
    if any(_square(part, m) for _, m in run):
        dimensions |= {"width", "length"}
    listed = {item.dimension for item in part.listed if not item.feature}
    if "angle" in listed and dimensions & ALONG:
        dimensions.add("angle")
    return Told(
        verb="cut",
        name=sizing_name(dimensions, part.material, round_part=_turned(part)),
        part=part.name,
        rank=CUT,
        clock_s=at,
        start_s=first.start_s,
        first=number,
        last=last,
        at=first.span[0],
        source="size",
    )


def _turned(part: Part) -> bool:
    """Tell whether a round part of wood is turned: a spar or a long dowel does not go between the centres of a lathe."""
    sizes = {item.dimension: item for item in part.listed if not item.feature}
    across, along = sizes.get("diameter"), sizes.get("length")
    if across is None:
        return False
    if along is None or not across.value or not along.value:
        return True
    same_unit = along.unit == across.unit
    return not same_unit or along.value / across.value <= SLENDER


def _square(part: Part, measure: Measure) -> bool:
    """Tell whether a size stands for both ways of a square piece ("six and a half each way")."""
    listed = {item.dimension: item.value for item in part.listed if not item.feature}
    value = listed.get("width")
    return measure.dimension in ("width", "length") and value is not None and value == listed.get("length")
