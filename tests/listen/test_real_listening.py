"""The real recogniser on short speech, and what is left when it is killed in the middle."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import msgspec
import numpy as np
import pytest
from listen_media import RATE, say, write_media

from benchscribe.listen import ListenOptions, listen
from benchscribe.records import Transcript

pytestmark = [
    pytest.mark.slow,
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
    pytest.mark.filterwarnings("ignore:builtin type .* has no __module__"),
]
OPTIONS = ListenOptions(model="tiny", device="cpu")
TALK = "The rail is three and five eighths inches wide. Then the legs, four of those, and they are thirty four inches long."
CHILD = """
import sys
from pathlib import Path
import msgspec
from benchscribe.listen import ListenOptions, listen, pieces
pieces.SHORTEST_S, pieces.LONGEST_S = 8, 14
heard = listen([Path(sys.argv[1])], clock="takes", options=ListenOptions(model="tiny", device="cpu"), cache_dir=Path(sys.argv[2]))
Path(sys.argv[3]).write_bytes(msgspec.json.encode(heard))
"""


def silence(seconds: float) -> np.ndarray:
    return np.zeros(int(seconds * RATE), dtype=np.float32)


@pytest.fixture(scope="module")
def speech(tmp_path_factory: pytest.TempPathFactory) -> np.ndarray:
    return say(TALK, tmp_path_factory.mktemp("voice"))


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


def test_speech_becomes_words_at_their_times(tmp_path: Path, speech: np.ndarray, cache: Path) -> None:
    path = write_media(tmp_path / "take.opus", np.concatenate([silence(10), speech, silence(5)]))
    heard = listen([path], clock="takes", options=OPTIONS, cache_dir=cache)
    text = heard.text((0, len(heard.words))).lower()
    assert "rail" in text
    assert "inches" in text
    assert 9.5 < heard.words[0].start_s < 11
    assert heard.words[-1].end_s < 10 + speech.size / RATE + 1
    assert all(0 <= word.confidence <= 1 for word in heard.words)
    assert heard.gaps == ()


def test_a_recording_without_speech_has_no_words(tmp_path: Path, cache: Path) -> None:
    noise = np.random.default_rng(1).normal(0, 0.02, 20 * RATE).astype(np.float32)
    heard = listen(
        [write_media(tmp_path / "saw.wav", noise)], clock="takes", options=OPTIONS, cache_dir=cache
    )
    assert heard.words == ()
    assert heard.utterances == ()
    assert heard.files[0].duration_s == pytest.approx(20, abs=0.1)


def start(path: Path, cache: Path, out: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-c", CHILD, str(path), str(cache), str(out)], start_new_session=True
    )


def finish(path: Path, cache: Path, out: Path) -> Transcript:
    assert start(path, cache, out).wait(timeout=100) == 0
    return msgspec.json.decode(out.read_bytes(), type=Transcript)


def test_killed_at_any_moment_it_goes_on_to_the_same_result(tmp_path: Path, speech: np.ndarray) -> None:
    path = write_media(tmp_path / "take.flac", np.concatenate([speech, silence(1)] * 5))
    begun = time.monotonic()
    whole = finish(path, tmp_path / "whole", tmp_path / "whole.json")
    took = time.monotonic() - begun
    assert len(whole.words) > 60
    moments = random.Random(11)  # noqa: S311 - moments, not secrets
    cache, out = tmp_path / "killed", tmp_path / "killed.json"
    for _ in range(5):
        run = start(path, cache, out)
        time.sleep(moments.uniform(0.2, 0.9) * took)
        os.killpg(run.pid, signal.SIGKILL)
        run.wait()
        assert all(msgspec.json.decode(kept.read_bytes()) for kept in (cache / "pieces").glob("*.json"))
    assert finish(path, cache, out) == whole
