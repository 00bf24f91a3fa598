"""Markers go out, and an edit list comes in, by way of OpenTimelineIO."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from msgspec import structs

from benchscribe.cut.interchange import map_by_edit_list, markers_otio
from benchscribe.errors import BuildError
from benchscribe.records import (
    EpisodeInfo,
    EpisodeRecord,
    Mistake,
    SourceFile,
    Transcript,
    Utterance,
    Word,
    stamp,
)

otio = pytest.importorskip("opentimelineio")

CLIP_ALONE = str(otio.adapters.write_to_string(otio.schema.Clip(name="x"), "otio_json"))
FILES = (
    SourceFile(name="take-1.mp4", offset_s=0.0, duration_s=60.0, kind="video"),
    SourceFile(name="take-2.mp4", offset_s=60.0, duration_s=40.0, kind="video"),
)


def talk(words: list[tuple[str, float]], *files: SourceFile) -> Transcript:
    made = tuple(Word(text, at, at + 0.4) for text, at in words)
    return Transcript(
        files=files,
        clock="takes",
        words=made,
        utterances=(Utterance((0, len(made)), made[0].start_s, made[-1].end_s),),
    )


TAKES = talk([(f"word{n}", n * 0.5) for n in range(200)], *FILES)


def clip(url: str, start_s: float, length_s: float, zero_s: float = 0.0) -> object:
    seconds = otio.opentime.RationalTime
    media = otio.schema.ExternalReference(
        target_url=url,
        available_range=otio.opentime.TimeRange(seconds(zero_s * 25, 25), seconds(3600 * 25, 25)),
    )
    used = otio.opentime.TimeRange(seconds((zero_s + start_s) * 25, 25), seconds(length_s * 25, 25))
    return otio.schema.Clip(name=url, media_reference=media, source_range=used)


def as_file(folder: Path, text: str) -> Path:
    path = folder / "cut.otio"
    path.write_text(text)
    return path


def edit_list(*clips: object) -> str:
    timeline = otio.schema.Timeline(name="edit")
    track = otio.schema.Track(name="V1", kind=otio.schema.TrackKind.Video)
    timeline.tracks.append(track)
    for item in clips:
        track.append(item)
    return str(otio.adapters.write_to_string(timeline, "otio_json"))


def test_an_edit_list_is_the_map(tmp_path: Path) -> None:
    listed = edit_list(
        clip("take-2.mp4", 10, 8),
        clip("sponsor.mov", 0, 4),
        clip("file:///films/take-1.mp4", 20, 10, zero_s=36000),
    )
    cut = talk(
        [(f"word{140 + n}", n * 0.5) for n in range(16)]
        + [(f"advert{n}", 8 + n * 0.5) for n in range(8)]
        + [(f"word{40 + n}", 12 + n * 0.5) for n in range(20)],
        SourceFile(name="cut.mp4", offset_s=0.0, duration_s=22.0, kind="video"),
    )
    found = map_by_edit_list(as_file(tmp_path, listed), cut, TAKES)
    assert [(p.file, p.at_s, p.take_span) for p in found.pieces] == [
        ("take-2.mp4", 10.0, (140, 156)), (None, None, None), ("take-1.mp4", 20.0, (40, 60)),
    ]  # fmt: skip
    assert found.to_take(1.0) == pytest.approx(71.0)
    assert found.to_take(9.0) is None
    assert found.to_cut(25.0) == pytest.approx(17.0)
    assert found.take_words[:2] == (140, 141)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("{", "no edit list"),
        ("[]", "no edit list|no timeline"),
        (CLIP_ALONE, "no timeline"),
    ],
)
def test_what_is_no_edit_list_is_one_clear_sentence(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(BuildError, match=message):
        map_by_edit_list(as_file(tmp_path, text), TAKES, TAKES)


def test_an_edit_list_of_other_takes_says_which_takes_there_are(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match=r"no clip of the takes.*take-1\.mp4, take-2\.mp4"):
        map_by_edit_list(as_file(tmp_path, edit_list(clip("holiday.mov", 0, 5))), TAKES, TAKES)


def test_markers_come_back_with_their_time_and_kind() -> None:
    mistake = stamp(Mistake(span=(0, 1), why="that split", start_s=70.0, end_s=75.0), FILES)
    record = structs.replace(
        EpisodeRecord(info=EpisodeInfo(title="Skiff"), draft=True, transcript=TAKES, part_list=None),
        mistakes=(mistake,),
    )
    timeline = otio.adapters.read_from_string(markers_otio(record).decode(), "otio_json")
    one, two = timeline.find_clips()
    assert [one.name, two.name] == ["take-1.mp4", "take-2.mp4"]
    (marker,) = two.markers
    assert marker.name == "that split"
    assert marker.marked_range.start_time.to_seconds() == 10.0
    assert marker.marked_range.duration.to_seconds() == 5.0
    assert marker.metadata["benchscribe"]["kind"] == "cut"


def test_without_the_library_it_says_what_to_install(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "opentimelineio", None)
    with pytest.raises(BuildError, match="pip install opentimelineio"):
        map_by_edit_list(as_file(tmp_path, "{}"), TAKES, TAKES)
