"""A still picture for each step on video: the sharpest frame near the moment."""

from __future__ import annotations

import io
import re
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from msgspec import structs

from benchscribe.errors import MediaError
from benchscribe.listen.pictures import WIDEST, sharpest_frame
from benchscribe.records import EpisodeInfo, EpisodeRecord, Step, Transcript
from benchscribe.stills import still_name, take_stills, with_stills

RATE = 10
SHARP_S = 2.0
"""The second at which the film below is in focus."""


def board(sharp: bool, width: int, height: int) -> np.ndarray:
    """Draw a chequered board, out of focus or in."""
    across, down = np.meshgrid(np.arange(width) // 8, np.arange(height) // 8)
    grey = np.where((across + down) % 2, 200, 40).astype(np.uint8)
    if not sharp:
        for _ in range(12):
            grey = (
                (grey.astype(np.uint16) + np.roll(grey, 1, 0) + np.roll(grey, 1, 1) + np.roll(grey, -1, 1))
                // 4
            ).astype(np.uint8)
    return np.repeat(grey[:, :, None], 3, axis=2)


def film(path: Path, *, seconds: float = 5.0, width: int = 320, dark: bool = False) -> Path:
    """Film a board that is in focus only around `SHARP_S`."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=RATE)
        stream.width, stream.height, stream.pix_fmt = width, width // 2, "yuv420p"
        for number in range(int(seconds * RATE)):
            pixels = board(abs(number / RATE - SHARP_S) < 0.25, width, width // 2) * (0 if dark else 1)
            frame = av.VideoFrame.from_ndarray(pixels.astype(np.uint8), format="rgb24")
            frame.pts, frame.time_base = number, Fraction(1, RATE)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def grey_of(picture: bytes) -> np.ndarray:
    with av.open(io.BytesIO(picture)) as container:
        return next(container.decode(video=0)).reformat(format="gray").to_ndarray().astype(np.float32)


def record(*steps: Step) -> EpisodeRecord:
    talk = Transcript(files=(), clock="takes", words=(), utterances=())
    return EpisodeRecord(info=EpisodeInfo(), draft=True, transcript=talk, part_list=None, steps=steps)


def step(at_s: float | None, file: str | None = "take.mp4") -> Step:
    return Step(part="Rail", operation="rip", text="Rip it.", span=(0, 1), start_s=at_s, file=file, at_s=at_s)


def test_the_frame_in_focus_is_taken(tmp_path: Path) -> None:
    picture = sharpest_frame(film(tmp_path / "take.mp4"), 0.5, 4.0)
    blurred = sharpest_frame(tmp_path / "take.mp4", 3.0, 1.0)
    assert picture is not None
    assert blurred is not None
    assert grey_of(picture).std() > 1.5 * grey_of(blurred).std()


def test_a_wide_picture_is_made_as_wide_as_a_page_needs(tmp_path: Path) -> None:
    picture = sharpest_frame(film(tmp_path / "take.mp4", seconds=1, width=1600), 0.0, 1.0)
    assert picture is not None
    assert grey_of(picture).shape == (WIDEST // 2, WIDEST)


def test_a_dark_film_has_no_picture(tmp_path: Path) -> None:
    assert sharpest_frame(film(tmp_path / "take.mp4", dark=True), 0.5, 2.0) is None


def test_there_is_no_picture_behind_the_end(tmp_path: Path) -> None:
    assert sharpest_frame(film(tmp_path / "take.mp4"), 60.0, 2.0) is None


def test_what_is_no_recording_is_refused(tmp_path: Path) -> None:
    (tmp_path / "take.mp4").write_text("no film")
    with pytest.raises(MediaError):
        sharpest_frame(tmp_path / "take.mp4", 0.0, 1.0)


def test_every_step_on_video_gets_its_picture(tmp_path: Path) -> None:
    take = film(tmp_path / "take.mp4")
    told = record(step(1.5), step(None), step(1.0, "sound.opus"))
    out = tmp_path / "out"
    assert [path.name for path in take_stills(told, (take,), out)] == ["still-take-00001.jpg"]
    assert [s.still for s in with_stills(told, out).steps] == ["still-take-00001.jpg", "", ""]


def test_a_picture_that_is_there_is_not_taken_again(tmp_path: Path) -> None:
    take, out = film(tmp_path / "take.mp4"), tmp_path / "out"
    take_stills(record(step(1.5)), (take,), out)
    assert take_stills(record(step(1.5)), (take,), out) == ()


def test_a_film_that_cannot_be_decoded_is_no_error(tmp_path: Path) -> None:
    (tmp_path / "take.mp4").write_bytes(b"\0" * 64)
    assert take_stills(record(step(1.5)), (tmp_path / "take.mp4",), tmp_path / "out") == ()


def test_a_picture_that_has_gone_is_not_shown(tmp_path: Path) -> None:
    old = structs.replace(step(1.5), still="still-take-00001.jpg")
    assert with_stills(record(old), tmp_path).steps[0].still == ""


@pytest.mark.parametrize("file", ["../Take 2 (final).MOV", "\u00e9t\u00e9.mp4", "\u20ac.mp4", "take-2.mp4"])
def test_a_picture_has_a_plain_name_whatever_the_take_is_called(file: str) -> None:
    assert re.fullmatch(r"still-[a-z0-9-]+-00001\.jpg", still_name(step(1.5, file)))


def test_takes_whose_names_look_alike_have_pictures_of_their_own() -> None:
    assert still_name(step(1.5, "\u20ac.mp4")) != still_name(step(1.5, "\u00a3.mp4"))
