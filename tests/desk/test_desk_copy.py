"""A chapter renamed on the page is renamed in the copy of the cut."""

from __future__ import annotations

import time
from pathlib import Path

import av
import numpy as np
from desk_client import Client

from benchscribe.desk.app import DeskApp
from benchscribe.desk.model import Desk
from benchscribe.main_job import write_episodes

TALK = (
    "This is the rack for the pots, and today we make the two long rails out of oak.",
    "Next up are the feet, four of them, and each one is cut to five inches on the miter saw.",
    "Now the oil goes on with a rag, two coats, and the rag dries flat outside.",
    "That is the rack done, and next week we'll hang it on the wall.",
)


def cut_of_two_minutes(folder: Path) -> None:
    cues = [
        f"00:0{n // 2}:{n % 2 * 30:02}.500 --> 00:0{n // 2}:{n % 2 * 30 + 6:02}.000\n{t}"
        for n, t in enumerate(TALK)
    ]
    (folder / "cut.vtt").write_text("WEBVTT\n\n" + "\n\n".join(cues) + "\n", "utf-8")
    with av.open(str(folder / "cut.m4a"), "w") as out:
        stream = out.add_stream("aac", rate=48000)
        for number in range(30 * len(TALK)):
            frame = av.AudioFrame.from_ndarray(np.zeros((1, 48000), np.float32), format="fltp", layout="mono")
            frame.sample_rate, frame.pts = 48000, number * 48000
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))


def first_title(path: Path) -> str:
    with av.open(str(path)) as media:
        return str(media.chapters()[0]["metadata"]["title"])


def test_a_new_title_reaches_the_copy_of_the_cut(tmp_path: Path) -> None:
    folder = tmp_path / "build" / "episodes" / "01-rack"
    folder.mkdir(parents=True)
    (tmp_path / "build" / "build.toml").write_text(
        'title = "Rack"\nwrite = ["chapters", "embedded"]\n', "utf-8"
    )
    cut_of_two_minutes(folder)
    write_episodes((folder,), {"quiet": True})
    copy = folder / "out" / "cut-with-chapters.m4a"
    assert first_title(copy) != "What a rack is"
    desk = Desk(folder, cache=tmp_path / "cache")
    desk.start()
    try:
        client = Client(DeskApp(desk, port=8042, key="the-key", touched=lambda: None), desk)
        client.do("chapter-title", chapter=1, title="What a rack is")
        until = time.monotonic() + 60
        while first_title(copy) != "What a rack is" and time.monotonic() < until:
            time.sleep(0.1)
    finally:
        desk.close()
    assert first_title(copy) == "What a rack is"
