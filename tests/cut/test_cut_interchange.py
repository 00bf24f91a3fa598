"""Markers go out, and an edit list comes in, by way of OpenTimelineIO."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

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


def clip(url: str, start_s: float, length_s: float, zero_s: float = 0.0) -> Any:  # noqa: ANN401 - the library has no types
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


def seconds(value: float) -> Any:  # noqa: ANN401 - as above
    return otio.opentime.RationalTime(value * 25, 25)


def span(start_s: float, length_s: float) -> Any:  # noqa: ANN401 - as above
    return otio.opentime.TimeRange(seconds(start_s), seconds(length_s))


def cut_of(*parts: tuple[float, float, int | None]) -> Transcript:
    """Say in the cut, from one second to another, the words that follow a take's word; other words where it is none."""
    words = []
    for begin, end, first in parts:
        for n in range(round((end - begin) / 0.5)):
            text = f"other{begin}{n}" if first is None else f"word{first + n}"
            words.append((text, begin + n * 0.5))
    return talk(words, SourceFile(name="cut.mp4", offset_s=0.0, duration_s=parts[-1][1], kind="video"))


def mapped(
    folder: Path, listed: str, *parts: tuple[float, float, int | None]
) -> list[tuple[str | None, float | None]]:
    found = map_by_edit_list(as_file(folder, listed), cut_of(*parts), TAKES)
    assert all(p.by == "edit list" for p in found.pieces if p.file)
    return [(p.file, p.at_s) for p in found.pieces]


def test_a_gap_is_no_take(tmp_path: Path) -> None:
    listed = edit_list(
        clip("take-1.mp4", 10, 4), otio.schema.Gap(source_range=span(0, 3)), clip("take-1.mp4", 20, 4)
    )
    got = mapped(tmp_path, listed, (0, 4, 20), (4, 7, None), (7, 11, 40))
    assert got == [("take-1.mp4", 10.0), (None, None), ("take-1.mp4", 20.0)]


def test_a_crossfade_moves_nothing(tmp_path: Path) -> None:
    fade = otio.schema.Transition(
        transition_type="SMPTE_Dissolve", in_offset=seconds(0.4), out_offset=seconds(0.4)
    )
    listed = edit_list(clip("take-1.mp4", 10, 4), fade, clip("take-2.mp4", 20, 4))
    assert mapped(tmp_path, listed, (0, 4, 20), (4, 8, 160)) == [("take-1.mp4", 10.0), ("take-2.mp4", 20.0)]


def test_a_clip_that_runs_at_another_speed_is_followed(tmp_path: Path) -> None:
    fast = clip("take-1.mp4", 10, 4)
    fast.effects.append(otio.schema.LinearTimeWarp(time_scalar=2.0))
    path = as_file(tmp_path, edit_list(fast, clip("take-1.mp4", 20, 4)))
    found = map_by_edit_list(path, cut_of((0, 4, None), (4, 8, 40)), TAKES)
    assert found.to_take(0.0) == pytest.approx(10.0)
    assert found.to_take(3.0) == pytest.approx(16.0)
    assert found.to_cut(14.0) == pytest.approx(2.0)
    assert found.to_take(5.0) == pytest.approx(21.0)


@pytest.mark.parametrize("effect", [otio.schema.FreezeFrame(), otio.schema.LinearTimeWarp(time_scalar=-1.0)])
def test_a_frozen_picture_and_what_runs_backwards_are_no_talk_of_a_take(
    tmp_path: Path, effect: object
) -> None:
    still = clip("take-1.mp4", 10, 4)
    still.effects.append(effect)
    got = mapped(tmp_path, edit_list(still, clip("take-1.mp4", 20, 4)), (0, 4, None), (4, 8, 40))
    assert got == [(None, None), ("take-1.mp4", 20.0)]


def test_a_speed_that_changes_on_the_way_is_refused(tmp_path: Path) -> None:
    odd = clip("take-1.mp4", 10, 4)
    odd.effects.append(otio.schema.TimeEffect(name="ramp"))
    with pytest.raises(BuildError, match=r"cut\.otio: .*speed of \"take-1\.mp4\".*Leave cut\.otio out"):
        map_by_edit_list(as_file(tmp_path, edit_list(odd)), TAKES, TAKES)


def test_clips_in_sequences_inside_of_sequences_are_found_at_their_place(tmp_path: Path) -> None:
    inner = otio.schema.Track(name="inner", kind=otio.schema.TrackKind.Video)
    for item in (clip("intro.mov", 0, 6), clip("take-1.mp4", 10, 8), clip("take-2.mp4", 10, 4)):
        inner.append(item)
    stack = otio.schema.Stack(
        name="compound", source_range=span(8, 8)
    )  # the last six seconds of take 1, the first two of take 2
    stack.append(inner)
    listed = edit_list(clip("take-1.mp4", 2, 4), stack, clip("take-2.mp4", 30, 4))
    got = mapped(tmp_path, listed, (0, 4, 4), (4, 10, 24), (10, 12, 140), (12, 16, 180))
    assert got == [("take-1.mp4", 2.0), ("take-1.mp4", 12.0), ("take-2.mp4", 10.0), ("take-2.mp4", 30.0)]


def test_a_whole_sequence_at_another_speed_is_refused(tmp_path: Path) -> None:
    stack = otio.schema.Stack(name="compound")
    stack.effects.append(otio.schema.LinearTimeWarp(time_scalar=1.5))
    stack.append(clip("take-1.mp4", 2, 4))
    with pytest.raises(BuildError, match=r"speed of a whole sequence \(\"compound\"\)"):
        map_by_edit_list(as_file(tmp_path, edit_list(stack)), TAKES, TAKES)


def test_a_clip_whose_active_medium_is_a_small_copy_is_known_by_its_other_one(tmp_path: Path) -> None:
    both = clip("take-1.mp4", 10, 4)
    small = otio.schema.ExternalReference(target_url="cache/0007_small.mov", available_range=span(0, 3600))
    both.set_media_references({"small": small, "full": both.media_reference}, "small")
    assert mapped(tmp_path, edit_list(both), (0, 4, 20)) == [("take-1.mp4", 10.0)]


def test_sound_tracks_come_before_pictures_and_higher_ones_fill_the_holes(tmp_path: Path) -> None:
    timeline = otio.schema.Timeline(name="edit")
    pictures = otio.schema.Track(name="V1", kind=otio.schema.TrackKind.Video)
    pictures.append(clip("take-2.mp4", 0, 12))  # a view of something else while the talk goes on
    one, two = (otio.schema.Track(name=n, kind=otio.schema.TrackKind.Audio) for n in ("A1", "A2"))
    one.extend(
        [clip("take-1.mp4", 10, 4), otio.schema.Gap(source_range=span(0, 4)), clip("take-1.mp4", 20, 4)]
    )
    two.extend([otio.schema.Gap(source_range=span(0, 2)), clip("take-2.mp4", 30, 8)])
    off = otio.schema.Track(name="A0", kind=otio.schema.TrackKind.Audio)
    off.append(clip("take-2.mp4", 5, 12))
    off.enabled = False
    timeline.tracks.extend([pictures, off, one, two])
    listed = str(otio.adapters.write_to_string(timeline, "otio_json"))
    got = mapped(tmp_path, listed, (0, 4, 20), (4, 8, 184), (8, 12, 40))
    assert got == [("take-1.mp4", 10.0), ("take-2.mp4", 32.0), ("take-1.mp4", 20.0)]


def test_a_list_that_does_not_say_where_its_files_begin_is_refused(tmp_path: Path) -> None:
    lost = clip("take-1.mp4", 10, 4, zero_s=36000)
    lost.media_reference.available_range = None
    with pytest.raises(BuildError, match=r"uses take-1\.mp4 from 36010 s on, and the take is 60 s long"):
        map_by_edit_list(as_file(tmp_path, edit_list(lost)), TAKES, TAKES)


def test_a_clip_without_a_length_is_one_clear_sentence(tmp_path: Path) -> None:
    endless = otio.schema.Clip(
        name="take-1.mp4", media_reference=otio.schema.ExternalReference(target_url="take-1.mp4")
    )
    with pytest.raises(BuildError, match=r"cut\.otio: the lengths in this edit list cannot be worked out"):
        map_by_edit_list(as_file(tmp_path, edit_list(endless)), TAKES, TAKES)


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
