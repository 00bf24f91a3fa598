"""A small invented build for the desk: captions to read, and beside them a recording in which every second has a tone of its own."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np

RATE = 16_000
PARTS = """\
Part,Qty,Thickness,Width,Length,Material,Sheet
Long rail,2,3/4,2 1/2,34 1/4,ash,1
Short rail,2,3/4,2 1/2,16 1/2,ash,1
Tray floor,1,1/4,16,33 3/4,birch ply,2
Handle,2,3/4,1,,ash,2
"""
LINES = (
    ("Welcome back to the shop, today we make the serving tray.", 4.0),
    ("We start with the long rails, they are three quarters thick and two and a half wide.", 6.0),
    ("I cut the long rails to thirty four and a quarter on the crosscut sled.", 5.0),
    ("Keep your fingers well away from the blade when you do this.", 4.0),
    ("Then the long rails get a groove with the router table.", 4.0),
    ("My brother owes me money for the last one, that stays between us.", 4.0),
    ("Okay next up are the short rails.", 3.0),
    ("The short rails are sixteen and a quarter long and two and a half wide.", 6.0),
    ("I cut both short rails off the same stop with the miter saw.", 4.0),
    ("Now the tray floor, that is quarter inch birch ply.", 5.0),
    ("The plan is wrong here, it says the tray floor is sixteen wide but it has to be fifteen and a half wide.", 8.0),
    ("Cut the tray floor on the table saw with a push block.", 4.0),
    ("Last the handles, the plan gives no length for the handles, mine are five inches long.", 6.0),
    ("You need three handles for this tray, so make three of them.", 5.0),
    ("I shape the handles with a spokeshave and sand them.", 4.0),
    ("Glue the tray up with clamps and wood glue, that is it for today.", 5.0),
)  # fmt: skip
"""Sentence and seconds: a slip (the short rails), a fault of the plan (the tray floor), a size that the plan lacks and another number (the handles)."""


def tone_of(second: int) -> float:
    """Give the pitch of a second of the recording, in hertz."""
    return 300.0 + 40.0 * (second % 60)


def make_build(
    home: Path, *, sound: bool = True, parts: str = PARTS, lines: tuple[tuple[str, float], ...] = LINES
) -> Path:
    """Lay the build out and give its episode folder."""
    episode = home / "episodes" / "01-tray"
    episode.mkdir(parents=True)
    (home / "build.toml").write_text('title = "Serving tray"\nunits = "inch"\nplan = "own"\n')
    (home / "parts.csv").write_text(parts)
    (episode / "episode.toml").write_text('title = "The whole tray"\nnumber = 1\n')
    (episode / "take-1.vtt").write_text(captions(lines))
    if sound:
        write_tones(episode / "take-1.wav", int(sum(s for _, s in lines)) + 2)
    return episode


def captions(lines: tuple[tuple[str, float], ...]) -> str:
    """Write the sentences as captions, one after another from the first second on."""
    at, blocks = 1.0, ["WEBVTT"]
    for text, seconds in lines:
        blocks.append(f"{_stamp(at)} --> {_stamp(at + seconds - 0.2)}\n{text}")
        at += seconds
    return "\n\n".join(blocks) + "\n"


def write_tones(path: Path, seconds: int) -> None:
    """Write a recording in which every second has a tone of its own."""
    time = np.arange(RATE) / RATE
    whole = np.concatenate([np.sin(2 * np.pi * tone_of(n) * time) for n in range(seconds)])
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((whole * 12000).astype("<i2").tobytes())


def pitch_of(samples: np.ndarray, rate: int) -> float:
    """Find the pitch of some sound, in hertz."""
    strength = np.abs(np.fft.rfft(samples.astype(float)))
    return float(np.argmax(strength) * rate / samples.size)


def _stamp(seconds: float) -> str:
    return f"{int(seconds) // 3600:02}:{int(seconds) // 60 % 60:02}:{seconds % 60:06.3f}"
