"""Pictures of steps: a few to choose from, the choice kept and honoured by every later run."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from desk_build import RATE, make_build
from desk_client import Client

from benchscribe.decisions import load_decisions
from benchscribe.desk.app import DeskApp
from benchscribe.desk.model import Desk
from benchscribe.main_job import write_episodes
from benchscribe.records import NO_STILL

SECONDS = 80


def film(path: Path) -> None:
    """Write a video whose picture is another one every second: as many white bars as seconds have gone by."""
    with av.open(str(path), "w") as container:
        video = container.add_stream("mpeg4", rate=5)
        video.width, video.height, video.pix_fmt = 320, 180, "yuv420p"
        video.gop_size = 5
        sound = container.add_stream("aac", rate=RATE, layout="mono")
        for n in range(SECONDS * 5):
            picture = np.full((180, 320, 3), 60, np.uint8)
            for bar in range(n // 5):
                picture[:, bar * 4 : bar * 4 + 2] = 250
            frame = av.VideoFrame.from_ndarray(picture, format="rgb24")
            frame.pts, frame.time_base = n, Fraction(1, 5)
            container.mux(video.encode(frame))
        for at in range(0, SECONDS * RATE, 1024):
            tone = (np.sin(np.arange(at, at + 1024) / 9) * 8000).astype(np.int16)
            piece = av.AudioFrame.from_ndarray(tone[None], format="s16", layout="mono")
            piece.sample_rate, piece.pts = RATE, at
            container.mux(sound.encode(piece))
        container.mux(video.encode(None))
        container.mux(sound.encode(None))


def second_of(jpeg: bytes, tmp_path: Path) -> int:
    """Count the white bars of a picture."""
    path = tmp_path / "seen.jpg"
    path.write_bytes(jpeg)
    with av.open(str(path)) as container:
        row = next(container.decode(video=0)).to_ndarray(format="gray")[90].astype(int)
    bright = row > 150
    return int(np.count_nonzero(bright[1:] & ~bright[:-1]) + bright[0])


@pytest.fixture
def filmed(tmp_path: Path, desk_cache: Path) -> Iterator[Client]:
    """The small build with captions beside a video."""
    episode = make_build(tmp_path / "build", sound=False)
    film(episode / "take-1.mp4")
    desk = Desk(episode, cache=desk_cache)
    desk.start()
    yield Client(DeskApp(desk, port=8042, key="the-key", touched=lambda: None), desk)
    desk.close()


def test_the_pictures_to_choose_from_are_of_their_seconds(filmed: Client, tmp_path: Path) -> None:
    step = filmed.desk.now().record.steps[0]
    assert step.at_s is not None
    seen = []
    for number in range(5):
        reply = filmed.get(f"/still/0/{number}")
        assert reply.headers["content-type"] == "image/jpeg"
        seen.append(second_of(reply.content, tmp_path))
    assert seen == sorted(seen)
    assert abs(seen[0] - (step.at_s - 1)) <= 2
    assert abs(seen[4] - (step.at_s + 9)) <= 2
    assert filmed.get("/still/0/5").status_code == 404
    assert filmed.get("/still/99/0").status_code == 404


def test_a_picked_picture_is_in_the_guide_and_in_a_later_run(filmed: Client) -> None:
    filmed.settled()
    out = filmed.desk.episode.out
    found = {p.name for p in out.glob("still-*.jpg")}
    assert found
    wanted = filmed.get("/still/0/4").content
    filmed.do("still", number=0, choice="4")
    still = filmed.settled().record.steps[0].still
    assert (out / still).read_bytes() == wanted
    assert still in filmed.out("guide.md")
    for path in out.iterdir():
        path.unlink()
    (record,) = write_episodes((filmed.desk.episode.folder,), {"quiet": True})
    assert record.steps[0].still == still
    assert (out / still).read_bytes() == wanted


def test_a_step_may_have_no_picture_and_the_one_found_again(filmed: Client) -> None:
    before = filmed.out("guide.md").count("still-")
    filmed.do("still", number=0, choice="none")
    assert filmed.settled().record.steps[0].still == NO_STILL
    assert filmed.out("guide.md").count("still-") == before - 1
    filmed.do("still", number=0, choice="found")
    assert filmed.out("guide.md").count("still-") == before
    assert load_decisions(filmed.desk.path).still == ()


def test_without_a_video_there_is_nothing_to_choose(client: Client) -> None:
    assert 'class="pictures"' not in client.get("/lists").text
    assert client.get("/still/0/0").status_code == 404
