"""The demo's published cut is cut as its truth says."""

from __future__ import annotations

import itertools
import json
from pathlib import Path
from typing import Any

import av
import numpy as np
import pytest

DEMO = Path(__file__).parents[2] / "demo_media"
RATE = 16000
TRUTH = json.loads((DEMO / "truth" / "02-cut.json").read_text(encoding="utf-8"))
GOLD = json.loads((DEMO / "truth" / "02.json").read_text(encoding="utf-8"))
SAID = json.loads((DEMO / "truth" / "02-said.json").read_text(encoding="utf-8"))
PIECES: list[dict[str, Any]] = TRUTH["pieces"]


def read_sound(path: Path) -> np.ndarray:
    resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
    with av.open(str(path)) as container:
        frames = [f for frame in container.decode(audio=0) for f in resampler.resample(frame)]
    return np.concatenate([f.to_ndarray()[0] for f in frames])


def loudness(sound: np.ndarray, start_s: float, end_s: float) -> np.ndarray:
    """Give the level of every fiftieth of a second."""
    stretch = sound[int(start_s * RATE) : int(end_s * RATE)]
    step = RATE // 50
    level: np.ndarray = np.sqrt(
        np.mean(stretch[: len(stretch) // step * step].reshape(-1, step) ** 2, axis=1)
    )
    return level


def test_pieces_lie_end_to_end_from_the_start() -> None:
    assert PIECES[0]["cut"][0] == 0
    for before, after in itertools.pairwise(PIECES):
        assert after["cut"][0] == pytest.approx(before["cut"][1], abs=0.002)


def test_pieces_are_as_long_in_the_cut_as_in_the_takes() -> None:
    for piece in PIECES:
        if piece["take"]:
            assert piece["cut"][1] - piece["cut"][0] == pytest.approx(
                piece["take"][1] - piece["take"][0], abs=0.002
            )


def test_mistake_is_out_something_is_put_in_and_something_is_moved() -> None:
    mistake = GOLD["mistakes"][0]
    takes = [p["take"] for p in PIECES if p["take"]]
    assert not [t for t in takes if t[0] < mistake["end"] - 0.3 and t[1] > mistake["start"] + 0.3]
    assert [p for p in PIECES if p["take"] is None]
    assert [t[0] for t in takes] != sorted(t[0] for t in takes)


def test_cut_sounds_like_the_takes_where_the_truth_says_so() -> None:
    cut = read_sound(DEMO / "cut" / "cut.m4a")
    folder = next((DEMO / "build" / "episodes").glob("02-*"))
    sounds = [(take["offset"], take["duration"], read_sound(folder / take["take"])) for take in SAID]
    compared = 0
    for piece in PIECES:
        for offset, duration, sound in sounds:
            if piece["take"] and offset <= piece["take"][0] and piece["take"][1] <= offset + duration:
                a = loudness(cut, *piece["cut"])
                b = loudness(sound, piece["take"][0] - offset, piece["take"][1] - offset)
                n = min(len(a), len(b))
                assert np.corrcoef(a[:n], b[:n])[0, 1] > 0.8, piece
                compared += 1
    assert compared == sum(1 for p in PIECES if p["take"])


def test_chapters_of_the_cut_ascend_and_lie_inside_it() -> None:
    times = [c["start"] for c in TRUTH["chapters"]]
    assert times == sorted(times)
    assert times[-1] < PIECES[-1]["cut"][1]
    assert {c["part"] for c in TRUTH["chapters"]} == {c["part"] for c in GOLD["chapters"]}
