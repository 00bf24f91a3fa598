"""Markers for the editor: every one in its take's own time."""

from __future__ import annotations

import csv
import io
import re
from fractions import Fraction

from msgspec import structs

from benchscribe.cut import editor_markers, marker_files, markers_csv, markers_vtt
from benchscribe.records import (
    EpisodeInfo,
    EpisodeRecord,
    Finding,
    Hazard,
    Measure,
    Mistake,
    Promise,
    SourceFile,
    Step,
    Transcript,
    stamp,
)

FILES = (
    SourceFile(name="take-1.mp4", offset_s=0.0, duration_s=100.0, kind="video"),
    SourceFile(name="take-2.mp4", offset_s=100.0, duration_s=50.0, kind="video"),
)
TALK = Transcript(files=FILES, clock="takes", words=(), utterances=())


def finding(**changes: object) -> Finding:
    values = {
        "id": "f",
        "kind": "slip",
        "part": "Rib",
        "dimension": "width",
        "spoken": None,
        "start_s": 130.0,
        "end_s": 134.0,
        **changes,
    }
    return Finding(**values)  # type: ignore[arg-type]


def record(**items: object) -> EpisodeRecord:
    made = {name: tuple(stamp(i, FILES) for i in value) for name, value in items.items()}  # type: ignore[attr-defined]
    return structs.replace(
        EpisodeRecord(info=EpisodeInfo(), draft=True, transcript=TALK, part_list=None), **made
    )


def full() -> EpisodeRecord:
    return record(
        findings=(finding(), finding(kind="plan-wrong", status="declared", start_s=12.0, end_s=15.5)),
        hazards=(Hazard(name="lathe", caution="-", source="-", said=True, start_s=20.0),),
        promises=(Promise(span=(0, 1), text="the oars come next time", start_s=140.0, end_s=143.0),),
        mistakes=(Mistake(span=(0, 1), why="that split", start_s=30.0, end_s=48.0),),
        steps=(
            Step(part="Rib", operation="rip", text="", span=(0, 1), start_s=60.0, end_s=66.0),
            Step(
                part="Rib",
                operation="rip",
                text="",
                span=(0, 1),
                start_s=110.0,
                end_s=116.0,
                points_back_to=0,
            ),
        ),
        measures=(
            Measure(
                value=Fraction(3, 8),
                unit="inch",
                words="three eighths",
                span=(0, 1),
                start_s=70.0,
                end_s=71.0,
                part="Rib",
                dimension="thickness",
                role="finished",
            ),
        ),
    )


def test_markers_stand_in_their_takes_own_time() -> None:
    told = [(m.kind, m.file, m.at_s, m.end_s) for m in editor_markers(full())]
    assert told == [
        ("keep", "take-1.mp4", 12.0, 15.5),
        ("keep", "take-1.mp4", 20.0, 21.0),
        ("cut", "take-1.mp4", 30.0, 48.0),
        ("still", "take-1.mp4", 60.0, 66.0),
        ("overlay", "take-1.mp4", 70.0, 71.0),
        ("seen", "take-2.mp4", 10.0, 16.0),
        ("check", "take-2.mp4", 30.0, 34.0),
        ("keep", "take-2.mp4", 40.0, 43.0),
    ]


def test_what_was_dismissed_or_is_right_has_no_marker() -> None:
    assert (
        editor_markers(record(findings=(finding(status="dismissed"), finding(kind="derived", right=True))))
        == ()
    )


def test_a_record_in_the_cuts_time_has_no_markers() -> None:
    assert marker_files(structs.replace(full(), draft=False)) == {}


def test_the_table_holds_every_marker_and_says_that_it_is_a_draft() -> None:
    rows = list(csv.DictReader(io.StringIO(markers_csv(editor_markers(full())).decode())))
    assert len(rows) == 8
    assert rows[5]["file"] == "take-2.mp4"
    assert (rows[5]["from"], rows[5]["to"]) == ("00:00:10.000", "00:00:16.000")
    assert all(row["draft"] == "draft: times are of the takes" for row in rows)


def test_each_take_has_a_file_of_its_own_markers() -> None:
    files = marker_files(full())
    assert list(files) == ["markers.csv", "markers-take-1.vtt", "markers-take-2.vtt"]
    text = files["markers-take-2.vtt"].decode()
    assert text.startswith("WEBVTT\n\nNOTE draft: times are of the takes")
    assert re.findall(r"(\S+) --> ", text) == ["00:00:10.000", "00:00:30.000", "00:00:40.000"]


def test_takes_that_differ_only_in_their_ending_do_not_overwrite_each_other() -> None:
    files = (FILES[0], structs.replace(FILES[1], name="take-1.wav"))
    both = structs.replace(full(), transcript=structs.replace(TALK, files=files))
    both = structs.replace(both, promises=(structs.replace(both.promises[0], file="take-1.wav"),))
    assert {"markers-take-1.mp4.vtt", "markers-take-1.wav.vtt"} <= set(marker_files(both))


def test_hostile_words_stay_words() -> None:
    markers = editor_markers(
        record(
            promises=(
                Promise(span=(0, 1), text="<b>x</b>\n00:00:01.000 --> 00:00:02.000", start_s=1.0, end_s=3.0),
            )
        )
    )
    text = markers_vtt(markers, "take-1.mp4").decode()
    assert text.count("-->") == 1
    assert "<b>" not in text
    formula = editor_markers(record(mistakes=(Mistake(span=(0, 1), why="=1+1", start_s=1.0, end_s=3.0),)))
    assert "'=1+1" in markers_csv(formula).decode()


def test_marks_that_give_a_terminal_orders_are_left_out() -> None:
    told = editor_markers(
        record(promises=(Promise(span=(0, 1), text="the \x1b[31moars\x07 later", start_s=1.0, end_s=3.0),))
    )
    assert [m.text for m in told] == ["promise: the [31moars later"]
    assert b"\x1b" not in markers_csv(told) + markers_vtt(told, "take-1.mp4")


def test_a_very_long_name_of_a_take_makes_a_name_that_a_disk_can_hold() -> None:
    long = SourceFile(name="t" * 250 + ".mp4", offset_s=0.0, duration_s=99.0, kind="video")
    promise = stamp(Promise(span=(0, 1), text="later", start_s=1.0, end_s=3.0), (long,))
    made = structs.replace(record(), transcript=structs.replace(TALK, files=(long,)), promises=(promise,))
    assert max(len(name) for name in marker_files(made)) < 100
