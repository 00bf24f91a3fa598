"""Cuts of sound: the right seconds to the sample, in every usual format; ranges as the standard has them; little memory."""

from __future__ import annotations

import io
import resource
import wave
from pathlib import Path

import av
import numpy as np
import pytest
from desk_build import RATE, pitch_of, tone_of, write_tones
from desk_client import Client

from benchscribe.desk.peaks import STEP_S, loudness
from benchscribe.desk.sound import Asked, asked_range, cut_sound
from benchscribe.errors import MediaError

FORMATS = (("mp3", "libmp3lame"), ("m4a", "aac"), ("mp4", "aac"), ("opus", "libopus"), ("mkv", "libopus"), ("webm", "libopus"), ("flac", "flac"), ("wav", "pcm_s16le"))  # fmt: skip


def noise(seconds: int, rate: int) -> np.ndarray:
    """Make a noise that is like itself at one place only."""
    raw = np.random.default_rng(7).normal(size=seconds * rate)
    smooth = np.convolve(raw, np.ones(8) / 8, mode="same")
    return (smooth / np.abs(smooth).max() * 20000).astype(np.int16)


def encode(path: Path, codec: str, samples: np.ndarray, rate: int) -> None:
    """Write a recording of one channel."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=rate, layout="mono")
        for at in range(0, samples.size, 4800):
            frame = av.AudioFrame.from_ndarray(samples[None, at : at + 4800], format="s16", layout="mono")
            frame.sample_rate, frame.pts = rate, at
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def played(data: bytes) -> tuple[np.ndarray, int]:
    """Give the samples of a WAV, and their rate."""
    with wave.open(io.BytesIO(data)) as file:
        assert (file.getnchannels(), file.getsampwidth()) == (1, 2)
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2"), file.getframerate()


@pytest.mark.parametrize(("ending", "codec"), FORMATS)
def test_a_cut_begins_at_its_very_moment(tmp_path: Path, ending: str, codec: str) -> None:
    rate, path = 48_000, tmp_path / f"take.{ending}"
    whole = noise(40, rate)
    encode(path, codec, whole, rate)
    for start in (0.0, 23.37, 36.5):
        heard, heard_rate = played(cut_sound(path, start, start + 2.0))
        assert heard_rate == rate
        assert abs(heard.size / rate - 2.0) < 0.002
        near = whole[max(int(start * rate) - 9600, 0) :][: heard.size + 19200].astype(float)
        size = 1 << 18
        alike = np.fft.irfft(np.fft.rfft(near, size) * np.conj(np.fft.rfft(heard.astype(float), size)), size)
        found = int(np.argmax(alike)) + max(int(start * rate) - 9600, 0)
        assert abs(found / rate - start) <= 0.002, ending


def test_a_cut_ends_with_the_file(tmp_path: Path) -> None:
    write_tones(tmp_path / "a.wav", 5)
    heard, rate = played(cut_sound(tmp_path / "a.wav", 4.0, 9.0))
    assert heard.size == rate
    with pytest.raises(MediaError):
        cut_sound(tmp_path / "a.wav", 60.0, 62.0)


def test_an_hour_is_cut_and_measured_without_being_loaded(tmp_path: Path) -> None:
    path = tmp_path / "hour.wav"
    second = (np.sin(np.arange(RATE)) * 9000).astype("<i2").tobytes()
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        for _ in range(3600):
            file.writeframesraw(second)
    cut_sound(path, 10.0, 12.0)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    heard, rate = played(cut_sound(path, 3500.0, 3502.0))
    levels = loudness(path)
    grown_mib = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
    assert heard.size == 2 * rate
    assert len(levels) == 3600 / STEP_S
    assert grown_mib < 40  # the samples of the hour alone are 110 MiB


def test_loudness_rises_where_it_is_loud(tmp_path: Path) -> None:
    quiet = np.zeros(RATE * 2, dtype=np.int16)
    loud = (np.sin(np.arange(RATE * 2)) * 30000).astype(np.int16)
    encode(tmp_path / "a.flac", "flac", np.concatenate([quiet, loud]), RATE)
    levels = loudness(tmp_path / "a.flac")
    assert max(levels[:3]) < 10
    assert min(levels[5:8]) > 200


@pytest.mark.parametrize(
    ("header", "wanted"),
    [
        (None, None),
        ("bytes=0-", Asked(0, 100)),
        ("bytes=10-19", Asked(10, 20)),
        ("bytes=90-500", Asked(90, 100)),
        ("bytes=-30", Asked(70, 100)),
        ("bytes=-500", Asked(0, 100)),
        ("bytes=5-2", None),
        ("bytes=0-1,5-6", None),
        ("seconds=1-2", None),
        ("bytes=a-b", None),
        ("bytes=-", None),
        ("bytes=1", None),
    ],
)
def test_a_range_is_read_as_the_standard_has_it(header: str | None, wanted: Asked | None) -> None:
    assert asked_range(header, 100) == wanted


@pytest.mark.parametrize("header", ["bytes=100-", "bytes=100-200", "bytes=-0"])
def test_a_range_beyond_the_end_is_refused(header: str) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        asked_range(header, 100)


def test_the_desk_plays_the_seconds_that_the_page_names(client: Client) -> None:
    page = client.get("/sound/0?from=33&to=34")
    heard, rate = played(page.content)
    assert page.headers["content-type"] == "audio/wav"
    assert abs(pitch_of(heard, rate) - tone_of(33)) < 2
    part = client.get("/sound/0?from=33&to=34", range="bytes=44-143")
    assert part.status_code == 206
    assert part.headers["content-range"] == f"bytes 44-143/{len(page.content)}"
    assert part.content == page.content[44:144]
    beyond = client.get("/sound/0?from=33&to=34", range=f"bytes={len(page.content)}-")
    assert beyond.status_code == 416
    assert beyond.headers["content-range"] == f"bytes */{len(page.content)}"


@pytest.mark.parametrize(
    "path",
    ["/sound/1?from=0&to=2", "/sound/0?from=0&to=200", "/sound/0?from=5&to=4", "/sound/0?from=-1&to=2", "/sound/0?from=nan&to=2", "/sound/0?from=0&to=inf", "/sound/0?from=500&to=502"],
)  # fmt: skip
def test_a_sound_that_there_is_not_is_not_found(client: Client, path: str) -> None:
    assert client.get(path).status_code == 404


@pytest.mark.parametrize("path", ["/sound/0", "/sound/0?from=a&to=b", "/sound/0?from=1"])
def test_a_sound_without_its_times_is_refused(client: Client, path: str) -> None:
    assert client.get(path).status_code == 400
