"""Records that are odd in one way each: captions, notes without times, one word, names that would do harm, four hours."""

# ruff: noqa: ANN401 -- keyword arguments are passed on to records, which check them

from __future__ import annotations

import random
from typing import Any

from msgspec.structs import replace
from sample_records import published, spoken

from benchscribe.records import (
    Chapter,
    Cue,
    EpisodeInfo,
    EpisodeRecord,
    SourceFile,
    Transcript,
    Utterance,
    Word,
)
from benchscribe.writers.caption_lines import cut_cues
from benchscribe.writers.said import tokens


def with_cues(record: EpisodeRecord, words_each: int = 7) -> EpisodeRecord:
    """Give a record whose words came as captions, cut without regard to sizes."""
    words = record.transcript.words
    cues = []
    for begin in range(0, len(words), words_each):
        end = min(begin + words_each, len(words))
        cues.append(Cue((begin, end), words[begin].start_s, words[end - 1].end_s))
    return replace(record, transcript=replace(record.transcript, cues=tuple(cues)))


def with_good_cues(record: EpisodeRecord) -> EpisodeRecord:
    """Give a record whose words came as captions that somebody cut with care: within every limit, at pauses and phrases."""
    ends = frozenset(u.span[1] for u in record.transcript.utterances)
    cues = tuple(
        Cue((mine[0].span[0], mine[-1].span[1]), mine[0].start_s, (mine[0].start_s or 0.0) + max(
            1.2, (mine[-1].end_s or 0.0) - (mine[0].start_s or 0.0)))
        for mine in cut_cues(tokens(record), ends)
    )  # fmt: skip
    return replace(record, transcript=replace(record.transcript, cues=cues))


def bare(text: str = "Hello", *, timed: bool = True, **info: Any) -> EpisodeRecord:
    """Give a record of which nothing is known but the words."""
    words, utterances = spoken([text], timed=timed)
    kind: Any = "audio" if timed else "notes"
    files = (SourceFile(name="take.opus" if timed else "notes.md", offset_s=0.0, duration_s=None, kind=kind),)
    return EpisodeRecord(
        info=EpisodeInfo(**info),
        draft=False,
        transcript=Transcript(
            files=files, clock="cut" if timed else "notes", words=words, utterances=utterances
        ),
        part_list=None,
    )


def without_times(record: EpisodeRecord) -> EpisodeRecord:
    """Give the same episode as rough notes would: everything in order, and no time anywhere."""

    def strip(items: Any) -> Any:
        gone: dict[str, Any] = {"start_s": None, "end_s": None, "file": None, "at_s": None}
        return tuple(
            replace(item, **gone, **({"times": ()} if hasattr(item, "times") else {})) for item in items
        )

    transcript = record.transcript
    notes = replace(
        transcript,
        clock="notes",
        files=(SourceFile(name="notes.md", offset_s=0.0, duration_s=None, kind="notes"),),
        words=tuple(Word(w.text) for w in transcript.words),
        utterances=tuple(replace(u, start_s=None, end_s=None) for u in transcript.utterances),
        gaps=(),
    )
    timed = ("chapters", "measures", "trade_numbers", "mentions", "repairs", "in_hand", "tools", "materials", "hazards",
             "mistakes", "promises", "steps")  # fmt: skip
    findings = tuple(replace(f, repeated=()) for f in strip(record.findings))
    return replace(
        record,
        draft=False,
        transcript=notes,
        findings=findings,
        **{n: strip(getattr(record, n)) for n in timed},
    )


HOSTILE = (
    "<script>alert(1)</script>",
    "[click](javascript:alert(1))",
    "**bold** _it_ `code` | a | b |",
    '=HYPERLINK("http://example.org")',
    "@SUM(1+1)",
    "\u05de\u05d3\u05e3 \u05e6\u05d3\u05d3\u05d9",
    "\u202egpj.exe",
    "\U0001f331 seed \U0001f4e6",
    "a\nWEBVTT\n\n00:00.000 --> 00:01.000\nb",
    "{{ 7 * 7 }} {% raw %}",
    "#eval(1) $x$ \\frac{1}{2} @cite",
    "&amp; &lt; \"quoted\" 'single'",
    "",
)
"""Names that would do something if they were not text."""


def hostile(name: str) -> EpisodeRecord:
    """Give the sample with one name in every place where a name can stand."""
    record = published()

    def put(items: Any, *fields: str) -> Any:
        return tuple(
            replace(item, **{f: (name,) if f == "tools" else name for f in fields}) for item in items
        )

    assert record.part_list is not None
    words = tuple(Word(name.replace("\n", " ") or "x", w.start_s, w.end_s) if n % 9 == 0 else w
                  for n, w in enumerate(record.transcript.words))  # fmt: skip
    return replace(
        record,
        info=replace(
            record.info, title=name, build_title=name, plan_name=name, edition=name, date=name, units_why=name
        ),
        transcript=replace(record.transcript, words=words),
        part_list=replace(record.part_list, parts=put(record.part_list.parts, "name", "notes")),
        chapters=put(record.chapters, "title"),
        measures=put(record.measures, "part"),
        repairs=put(record.repairs, "meant", "heard", "why"),
        findings=put(record.findings, "part", "sentence", "why", "advice", "note", "sheet", "edition"),
        tools=put(record.tools, "name", "detail"),
        materials=put(record.materials, "name", "detail"),
        hazards=put(record.hazards, "name", "caution", "source"),
        mistakes=put(record.mistakes, "text", "why"),
        promises=put(record.promises, "text"),
        steps=put(record.steps, "part", "operation", "text", "setting", "tools"),
        cut_list=put(record.cut_list, "part", "material", "sheet", "notes"),
        orphaned_decisions=(name,),
        made_by=name,
    )


def long_talk(words: int, seed: int = 7) -> EpisodeRecord:
    """Give an episode of so many words, said at an uneven pace, with pauses, from a fixed seed."""
    dice = random.Random(seed)  # noqa: S311 -- the same talk every time
    vocabulary = [
        "the",
        "and",
        "fence",
        "of",
        "board",
        "measured",
        "quarter",
        "to",
        "clamp",
        "we",
        "a",
        "glue",
        "then",
        "with",
        "square,",
        "so",
        "cut.",
        "from",
        "ready",
        "edge",
    ]
    said, utterances, now, begin = [], [], 0.5, 0
    for number in range(words):
        length = dice.uniform(0.15, 0.5)
        said.append(Word(dice.choice(vocabulary), round(now, 3), round(now + length, 3)))
        now += length + (dice.choice((0.0, 0.0, 0.0, 0.02, 0.4, 2.5)) if number % 3 == 0 else 0.02)
        if dice.random() < 0.08 or number == words - 1:
            utterances.append(Utterance((begin, number + 1), said[begin].start_s, said[-1].end_s))
            begin = number + 1
    record = bare()
    chapters = tuple(
        Chapter(title=f"Chapter {n}", span=(0, 1), start_s=n * now / 20, end_s=(n + 1) * now / 20)
        for n in range(20)
    )
    transcript = replace(record.transcript, words=tuple(said), utterances=tuple(utterances))
    return replace(record, transcript=transcript, chapters=chapters)
