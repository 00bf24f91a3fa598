"""Second tries in real sound: spoken, with a clap, recognised, and superseded."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from listen_media import RATE, say, write_media

from benchscribe.cut import find_tries
from benchscribe.listen import ListenOptions, listen

FIRST = "The hull planks are three eighths thick by four inches wide, and I need fourteen of those."
AGAIN = "The hull planks are five eighths thick by four inches wide, and I need fourteen of them."
GLUE = (
    "Spread the glue thinly on the tenons only, and bring the clamps up slowly until a bead shows all round."
)
PICKUP = "Spread the glue thinly on the tenons only, and bring up the clamps slowly until you see a bead all round."


def room(seconds: float) -> np.ndarray:
    noise: np.ndarray = 0.0008 * np.random.default_rng(int(seconds * 100)).standard_normal(
        int(seconds * RATE)
    )
    return noise


def clap() -> np.ndarray:
    t = np.arange(int(0.3 * RATE)) / RATE
    sound = 0.5 * np.exp(-60 * t) * np.random.default_rng(1).standard_normal(t.size)
    return np.concatenate((room(0.5), sound, room(0.5)))


@pytest.mark.slow
@pytest.mark.timeout(300)
def test_a_clap_in_one_take_and_a_pick_up_in_the_next_supersede_what_was_said(tmp_path: Path) -> None:
    def take(*parts: str | np.ndarray) -> np.ndarray:
        sounds = [say(p, tmp_path) if isinstance(p, str) else p for p in parts]
        return np.concatenate([x for sound in sounds for x in (sound, room(0.4))]).astype(np.float32)

    paths = [
        write_media(
            tmp_path / "take-1.m4a",
            take(
                "Good morning, back at the boat.",
                FIRST,
                clap(),
                AGAIN,
                "They go in the steam box for an hour.",
                GLUE,
            ),
        ),
        write_media(tmp_path / "take-2.opus", take("Okay, pick up for the glue up.", PICKUP)),
    ]
    heard = listen(paths, clock="takes", options=ListenOptions(), cache_dir=tmp_path / "cache")
    assert len(heard.claps) == 1
    one, two, slate = find_tries(heard)
    assert "pick" in slate.text.lower()
    assert "three eighths" in one.text.replace("3 eighths", "three eighths").replace("3/8", "three eighths")
    assert one.text.rstrip(".").endswith("of those")
    assert two.text.lower().startswith("spread the glue")
    assert "bead" in two.text
    assert two.why.startswith("said again in take-2.opus at 0:0")
