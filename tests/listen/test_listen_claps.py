"""Claps are heard with the words, each at its running time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from listen_fake import FakeRecogniser
from listen_media import RATE, write_media

from benchscribe.listen import ListenOptions, listen


def talk(seconds: float, seed: int, clap_at: float | None) -> np.ndarray:
    """Make bursts of sound with a second of quiet round a clap."""
    rng = np.random.default_rng(seed)
    t = np.arange(int(seconds * RATE)) / RATE
    swell = np.clip(np.sin(2 * np.pi * 1.7 * t), 0, 1) ** 2
    sound = 0.1 * swell * np.sin(2 * np.pi * (200 + 60 * np.sin(3 * t)) * t) + 0.0005 * rng.standard_normal(
        t.size
    )
    if clap_at is not None:
        quiet = np.abs(t - clap_at) < 0.7
        sound[quiet] = 0.0005 * rng.standard_normal(int(quiet.sum()))
        since = np.maximum(t - clap_at, 0)
        sound += (t >= clap_at) * 0.5 * np.exp(-60 * since) * rng.standard_normal(t.size)
    return sound.astype(np.float32)


def test_claps_come_with_their_running_time_and_are_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, value in {
        "Whisper": lambda *_: FakeRecogniser(),
        "choose_device": lambda *_: None,
        "model_key": lambda *_: "fake",
        "get_model": lambda *_, **__: type("M", (), {"key": "fake", "folder": tmp_path}),
    }.items():
        monkeypatch.setattr(f"benchscribe.listen.recording_reader.{name}", value)
    paths = [
        write_media(tmp_path / "take-1.flac", talk(12, 1, None)),
        write_media(tmp_path / "take-2.flac", talk(15, 2, 6.0)),
    ]
    for _ in range(2):
        heard = listen(paths, clock="takes", options=ListenOptions(), cache_dir=tmp_path / "c")
        assert heard.claps == (pytest.approx(18.0, abs=0.05),)
