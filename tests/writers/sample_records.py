"""Records made by hand: an invented build, a cabinet for seed packets, and odd ones beside it."""

# ruff: noqa: ANN401 -- keyword arguments are passed on to records, which check them

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction as F
from typing import Any

from msgspec.structs import replace

from benchscribe.records import (
    Candidate,
    CellNote,
    Chapter,
    Coverage,
    CutRow,
    CutSize,
    EpisodeInfo,
    EpisodeRecord,
    Finding,
    Gap,
    Hazard,
    InHand,
    Listed,
    ListedName,
    Measure,
    Mention,
    Mistake,
    Part,
    PartList,
    Promise,
    Repair,
    Said,
    SourceFile,
    Span,
    Step,
    StockRow,
    TradeNumber,
    Transcript,
    Utterance,
    Word,
    stamp,
)

SENTENCES = (
    "Morning all, this is the seed packet cabinet and today it's the sides and the drawer fronts.",
    "First the sides, they come out of three quarter pine, ripped to seven and a quarter inches on the table saw.",
    "Keep the push stick handy there.",
    "Fence stays at seven and a quarter, both sides go through, then crosscut to thirty and a half inches.",
    "The plan says twenty nine and a half on sheet two and that's wrong, the drawers won't fit, so thirty and a half it is.",
    "I cut this one to five eighths, no, make that eleven sixteenths.",
    "Oh for heaven's sake, I've cut the dado on the wrong face, laugh if you like, I'll make another one.",
    "Now the shelves, four of them, twenty two and a quarter inches long, cut with the mider saw.",
    "The drawer fronts are two and five eighths by six and seven eighths.",
    "The plan doesn't give the drawer bottom length so I measured it off the drawer, six and a quarter inches.",
    "I made the knobs five eighths of an inch instead of a half because my fingers are big.",
    "Sand it all to two twenty grit and pin it with number eight screws.",
    "The back and the doors we'll do next week.",
    "The cap leans at thirty five degrees on the drawing so the saw reads fifty five.",
)
"""What is said, one utterance each."""

WORD_S = 0.36
PAUSE_S = 5.0


def spoken(
    sentences: Iterable[str], *, word_s: float = WORD_S, timed: bool = True
) -> tuple[tuple[Word, ...], tuple[Utterance, ...]]:
    """Say sentences at an even pace, with a pause after each."""
    words: list[Word] = []
    utterances = []
    now = 0.6
    for sentence in sentences:
        begin, started = len(words), now
        for text in sentence.split():
            words.append(
                Word(text, round(now, 3), round(now + word_s * 0.9, 3), 0.9) if timed else Word(text)
            )
            now += word_s
        utterances.append(
            Utterance(
                (begin, len(words)), round(started, 3) if timed else None, round(now, 3) if timed else None
            )
        )
        now += PAUSE_S
    return tuple(words), tuple(utterances)


def span_of(words: Sequence[Word], phrase: str) -> Span:
    """Find the words of a phrase, punctuation aside."""
    bare = [w.text.strip(".,;:!?").casefold() for w in words]
    wanted = phrase.casefold().split()
    for at in range(len(bare)):
        if bare[at : at + len(wanted)] == wanted:
            return at, at + len(wanted)
    raise AssertionError(f"nobody says {phrase!r}")


def at(words: Sequence[Word], span: Span) -> dict[str, Any]:
    """Give the times of a span."""
    return {"start_s": words[span[0]].start_s, "end_s": words[span[1] - 1].end_s}


def measure(words: Sequence[Word], phrase: str, value: F, unit: str = "inch", **more: Any) -> Measure:
    """Make a measure out of what is said; what stands after a bar only tells which of several places is meant."""
    said, _, after = phrase.partition("|")
    begin, end = span_of(words, said + after)
    span = (begin, end - len(after.split()))
    return Measure(value=value, unit=unit, words=said, span=span, **at(words, span), **more)


def cabinet() -> EpisodeRecord:
    """Give the sample episode: two takes, a private plan, one finding of most kinds, two of them open."""
    words, utterances = spoken(SENTENCES)
    half = utterances[6].start_s or 0.0
    files = (
        SourceFile(name="take-1.mp4", offset_s=0.0, duration_s=half, kind="video"),
        SourceFile(name="take-2.m4a", offset_s=half, duration_s=80.0, kind="audio"),
    )
    transcript = Transcript(
        files=files,
        clock="takes",
        words=words,
        utterances=utterances,
        gaps=(Gap(start_s=half + 1, end_s=half + 2, kind="damaged", note="0:01 to 0:02 could not be read"),),
        model="base",
    )
    record = EpisodeRecord(
        made_by="Benchscribe 0.1.0",
        info=EpisodeInfo(
            build_title="Seed packet cabinet",
            title="Sides, shelves and drawer fronts",
            number=2,
            date="2030-02-14",
            link="https://example.org/watch?v=seeds&t={seconds}",
            plan_name="Seed packet cabinet, three sheets",
            edition="second printing",
            units="inch",
            units_why="the list's headings say in",
        ),
        draft=True,
        transcript=transcript,
        part_list=PART_LIST,
        measures=_measures(words),
        trade_numbers=(
            TradeNumber(kind="grit", name="220 grit", words="two twenty grit", span=span_of(words, "two twenty grit")),
            TradeNumber(kind="screw", name="#8", words="number eight", span=span_of(words, "number eight")),
        ),
        repairs=(
            Repair(
                span=span_of(words, "mider"), heard="mider", meant="miter", why="sounds the same, and a saw follows",
                **at(words, span_of(words, "mider")),
            ),
        ),
        **_outcome(words, utterances),
    )  # fmt: skip
    stamped = {
        name: tuple(stamp(item, files) for item in getattr(record, name))
        for name in (
            "chapters",
            "measures",
            "repairs",
            "findings",
            "hazards",
            "mistakes",
            "promises",
            "steps",
            "mentions",
        )
    }
    gaps = tuple(stamp(gap, files) for gap in transcript.gaps)
    return replace(record, transcript=replace(transcript, gaps=gaps), **stamped)


def published() -> EpisodeRecord:
    """Give the sample with every finding settled and a published cut: public times, links, no draft."""
    record = cabinet()
    settled = tuple(replace(f, status="accepted") if f.status == "open" else f for f in record.findings)
    cut = (SourceFile(name="cut.mp4", offset_s=0.0, duration_s=130.0, kind="video"),)
    return replace(
        record, draft=False, transcript=replace(record.transcript, clock="cut", files=cut), findings=settled
    )


PART_LIST = PartList(
    file="parts.csv",
    units="inch",
    units_why="the list's headings say in",
    parts=(
        Part(
            name="Side", row=2, other_names=("cheek",), count=2, material="pine", sheet="2",
            listed=(
                Listed(dimension="thickness", value=F(3, 4), unit="inch", text="3/4"),
                Listed(dimension="width", value=F(29, 4), unit="inch", text="7 1/4"),
                Listed(dimension="length", value=F(59, 2), unit="inch", text="29 1/2"),
            ),
        ),
        Part(
            name="Shelf", row=3, count=4, material="pine", sheet="2",
            listed=(
                Listed(dimension="thickness", value=F(3, 4), unit="inch", text="3/4"),
                Listed(dimension="length", value=F(45, 2), unit="inch", text="22 1/2"),
            ),
        ),
        Part(
            name="Drawer front", row=4, count=12, material="walnut", sheet="3",
            listed=(
                Listed(dimension="width", value=F(21, 8), unit="inch", text="2 5/8"),
                Listed(dimension="length", value=F(55, 8), unit="inch", text="6 7/8"),
            ),
        ),
        Part(
            name="Drawer bottom", row=5, count=12, material="plywood", sheet="3",
            listed=(Listed(dimension="length", value=None, unit="inch", text=""),),
        ),
        Part(name="Knob", row=6, count=12, material="maple", sheet="3",
             listed=(Listed(dimension="diameter", value=F(1, 2), unit="inch", text="1/2 dia"),)),
        Part(name="Pin hinge", row=7, count=4, hardware=True, notes="brass"),
    ),
    not_understood=(CellNote(row=6, column="Length", text="see sheet", note="no size in it"),),
)  # fmt: skip


def _measures(words: Sequence[Word]) -> tuple[Measure, ...]:
    agrees = {"verdict": "agrees", "role": "finished", "confidence": 0.9}
    return (
        measure(words, "three quarter", F(3, 4), unit_said=False, part="Side", dimension="thickness", **agrees),
        measure(words, "seven and a quarter inches", F(29, 4), part="Side", dimension="width", **agrees),
        measure(words, "seven and a quarter| both", F(29, 4), unit_said=False, part="Side", role="setting"),
        measure(words, "thirty and a half inches", F(61, 2), part="Side", dimension="length", role="corrected",
                verdict="disagrees", listed=F(59, 2), listed_unit="inch"),
        measure(words, "twenty nine and a half", F(59, 2), unit_said=False, part="Side", dimension="length", role="quoted-plan"),
        measure(words, "five eighths| no", F(5, 8), unit_said=False, taken_back=True, replaced_by=6, role="taken-back"),
        measure(words, "eleven sixteenths", F(11, 16), unit_said=False, role="feature",
                candidates=(Candidate(F(11), "inch", "if the recogniser lost a word"),)),
        measure(words, "twenty two and a quarter inches", F(89, 4), part="Shelf", dimension="length", role="finished",
                verdict="disagrees", listed=F(45, 2), listed_unit="inch"),
        measure(words, "two and five eighths", F(21, 8), unit_said=False, part="Drawer front", dimension="width", chain=0,
                chain_position=0, **agrees),
        measure(words, "six and seven eighths", F(55, 8), unit_said=False, part="Drawer front", dimension="length", chain=0,
                chain_position=1, **agrees),
        measure(words, "six and a quarter inches", F(25, 4), part="Drawer bottom", dimension="length", role="supplied"),
        measure(words, "fifty five", F(55), "degree", unit_said=False, part="Cap", dimension="angle", role="derived"),
        measure(words, "five eighths of an inch", F(5, 8), part="Knob", dimension="diameter", role="changed",
                verdict="disagrees", listed=F(1, 2), listed_unit="inch"),
    )  # fmt: skip


def finding(words: Sequence[Word], phrase: str, sentence: str, **more: Any) -> Finding:
    """Make a finding out of what is said; its id is its words."""
    span = span_of(words, phrase)
    return Finding(id=phrase.replace(" ", "-"), span=span, sentence=sentence, **at(words, span), **more)


def _findings(words: Sequence[Word]) -> tuple[Finding, ...]:
    inch = "inch"
    return (
        finding(
            words, "thirty and a half it", SENTENCES[4], kind="plan-wrong", part="Side", dimension="length",
            spoken=Said(F(61, 2), inch, "thirty and a half"), listed=Said(F(59, 2), inch, "29 1/2"), status="declared",
            declared=True, confidence=0.95, sheet="2", edition="second printing", drags_along=("Back, length",),
            why="You say that the plan is wrong and give another value.", advice="Mark sheet 2.",
        ),
        finding(
            words, "twenty two and a quarter inches", SENTENCES[7], kind="slip", part="Shelf", dimension="length",
            spoken=Said(F(89, 4), inch, "twenty two and a quarter inches"), listed=Said(F(45, 2), inch, "22 1/2"),
            confidence=0.72, why="The list has another length, and you do not remark on it.", advice="Listen at 0:58.",
            probably_right=Said(F(45, 2), inch), probably_why="the sides stand 22 1/2 in apart", repeated=(101.0,),
        ),
        finding(
            words, "four of them", SENTENCES[7], kind="count", part="Shelf", dimension=None, spoken=Said(F(4), "count", "four"),
            listed=Said(F(5), "count", "5"), confidence=0.4, why="The list has five.", advice="Count the shelves.",
        ),
        finding(
            words, "six and a quarter inches", SENTENCES[9], kind="supplied", part="Drawer bottom", dimension="length",
            spoken=Said(F(25, 4), inch, "six and a quarter inches"), status="declared", declared=True, supplied_how="measured",
            confidence=0.9, sheet="3", why="The list gives no length.",
        ),
        finding(
            words, "five eighths of an inch", SENTENCES[10], kind="changed", part="Knob", dimension="diameter",
            spoken=Said(F(5, 8), inch, "five eighths of an inch"), listed=Said(F(1, 2), inch, "1/2 dia"), status="declared",
            declared=True, confidence=0.9, why="You say that it is your own choice.", note="Drill the hole to suit",
        ),
        finding(
            words, "two and five eighths", SENTENCES[8], kind="derived", part="Drawer front", dimension="width", right=True,
            spoken=Said(F(21, 8), inch), listed=Said(F(21, 8), inch), why="Half of 5 1/4 is 2 5/8.",
        ),
        finding(
            words, "fifty five", SENTENCES[13], kind="derived", part="Cap", dimension="angle", right=True,
            spoken=Said(F(55), "degree"), listed=Said(F(35), "degree"), why="90 less 35 is 55.",
        ),
        finding(
            words, "two twenty grit", SENTENCES[11], kind="slip", part="Side", dimension="width", status="dismissed",
            spoken=Said(F(220), inch), listed=Said(F(29, 4), inch), why="A grit was taken for a size.",
        ),
    )  # fmt: skip


def _outcome(words: Sequence[Word], utterances: Sequence[Utterance]) -> dict[str, Any]:
    def step(number: int, part: str | None, operation: str, text: str, **more: Any) -> Step:
        u = utterances[number]
        return Step(
            part=part, operation=operation, text=text, span=u.span, start_s=u.start_s, end_s=u.end_s, **more
        )

    def chapter(first: int, last: int, title: str, part: str | None = None) -> Chapter:
        return Chapter(
            title=title, part=part, span=(utterances[first].span[0], utterances[last].span[1]),
            start_s=0.0 if first == 0 else utterances[first].start_s, end_s=utterances[last].end_s,
        )  # fmt: skip

    def times(phrase: str) -> dict[str, Any]:
        return {"start_s": words[span_of(words, phrase)[0]].start_s}

    wrong, later = utterances[6], utterances[12]
    return {
        "chapters": (
            chapter(0, 0, "What the cabinet is"),
            chapter(1, 5, "Sides: ripped and crosscut, plan length is wrong", "Side"),
            chapter(6, 6, "Sides: dado on the wrong face", "Side"),
            chapter(7, 9, "Shelves and drawer fronts: cut to length", "Shelf"),
            chapter(10, 12, "Knobs, sanding and pinning", "Knob"),
        ),
        "mentions": (
            Mention(kind="hardware", name="#8 screws", words="number eight screws", span=span_of(words, "number eight screws"),
                    **times("number eight screws")),
        ),
        "in_hand": (InHand(utterance=6, parts=("Side",), confidence=0.8),),
        "findings": _findings(words),
        "coverage": Coverage(listed=9, agree=5, disagree=2, never_said=2, unheard_parts=("Pin hinge",),
                             unheard_sizes=(("Shelf", "thickness"),)),
        "tools": (
            ListedName(name="Table saw", detail="40 tooth blade", times=(12.0, 30.0)),
            ListedName(name="Miter saw", times=(58.0,)),
        ),
        "materials": (ListedName(name="Pine", detail="3/4 in", times=(6.0,)), ListedName(name="Sandpaper", detail="220 grit")),
        "hazards": (
            Hazard(name="table saw", caution="Keep the guard on and use a push stick near the blade", said=True,
                   source="29 CFR 1910.213", words="push stick", **times("push stick")),
            Hazard(name="wood dust", caution="Catch the dust at the tool and wear a mask that fits", source="NIOSH pocket guide",
                   words="Sand it all", **times("Sand it all")),
        ),
        "mistakes": (
            Mistake(span=wrong.span, start_s=wrong.start_s, end_s=wrong.end_s, why="wrong face",
                    text="The dado went into the wrong face."),
        ),
        "promises": (Promise(span=later.span, start_s=later.start_s, end_s=later.end_s, text="The back and the doors come next week"),),
        "steps": (
            step(1, "Side", "rip to width", "Rip the sides out of 3/4 in pine to 7 1/4 in on the table saw.", tools=("table saw",),
                 setting="fence at 7 1/4 in", measures=(0, 1)),
            step(3, "Side", "crosscut to length", "Both sides go through, then crosscut to 30 1/2 in.", tools=("table saw",),
                 setting="Fence at 7 1/4 in", measures=(2, 3)),
            step(7, "Shelf", "crosscut to length", "The shelves are 22 1/4 in long.", tools=("miter saw",), measures=(7,)),
            step(8, "Drawer front", "cut to size", "The drawer fronts are 2 5/8 in by 6 7/8 in.", measures=(8, 9), points_back_to=2),
            step(11, None, "sand", "Sand it all to 220 grit and pin it with #8 screws."),
        ),
        "cut_list": CUT_LIST,
        "shopping": (
            StockRow(material="pine", thickness=F(3, 4), unit="inch", parts=("Side", "Shelf"), pieces=6, form="board",
                     board_feet=F(35, 4), buy="1x board, 8 wide or wider", buy_why="dressed softwood sizes", check=True),
        ),
        "orphaned_decisions": ('accept at 3:12, said "one and an eighth"',),
    }  # fmt: skip


def _cut(dimension: Any, value: F | None, origin: Any, **more: Any) -> CutSize:
    return CutSize(dimension=dimension, value=value, unit="inch", origin=origin, **more)


CUT_LIST = (
    CutRow(part="Side", count=2, material="pine", sheet="2", sizes=(
        _cut("thickness", F(3, 4), "listed"), _cut("width", F(29, 4), "listed"),
        _cut("length", F(61, 2), "corrected", was=F(59, 2)))),
    CutRow(part="Shelf", count=4, material="pine", sheet="2", notes="check the count", sizes=(
        _cut("thickness", F(3, 4), "listed"), _cut("length", F(45, 2), "listed", check=True))),
    CutRow(part="Drawer front", count=12, material="walnut", sheet="3", sizes=(
        _cut("width", F(21, 8), "listed"), _cut("length", F(55, 8), "listed"))),
    CutRow(part="Drawer bottom", count=12, material="plywood", sheet="3", sizes=(_cut("length", F(25, 4), "measured"),)),
    CutRow(part="Knob", count=12, material="maple", sheet="3", sizes=(_cut("diameter", F(5, 8), "changed", was=F(1, 2)),)),
)  # fmt: skip
