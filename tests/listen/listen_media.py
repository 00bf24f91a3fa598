"""Recordings made on the spot: tones, and speech where a voice is installed. Used by the tests of listening."""

from __future__ import annotations

import shutil
import subprocess
import wave
from collections.abc import Iterator
from pathlib import Path

import numpy as np

RATE = 16_000
CODECS = {
    "wav": ("pcm_s16le", None),
    "mp3": ("libmp3lame", None),
    "m4a": ("aac", "ipod"),
    "flac": ("flac", None),
    "opus": ("libopus", "ogg"),
    "mp4": ("aac", "mp4"),
    "mkv": ("libopus", "matroska"),
    "mov": ("aac", "mov"),
}


def tone(seconds: float, hertz: float = 440.0) -> np.ndarray:
    """Give a tone that swells and fades, so that no two seconds are alike."""
    t = np.arange(int(seconds * RATE)) / RATE
    return (0.3 * np.sin(2 * np.pi * hertz * t) * (0.6 + 0.4 * np.sin(t))).astype(np.float32)


def write_media(
    path: Path, samples: np.ndarray, *, picture: bool = False, tags: dict[str, str] | None = None
) -> Path:
    """Write samples in the format that the suffix names."""
    import av

    codec, form = CODECS[path.suffix[1:]]
    with av.open(str(path), "w", format=form) as out:
        out.metadata.update(tags or {})
        video = _add_picture(out) if picture else None
        stream = out.add_stream(codec, rate=48_000 if codec == "libopus" else 44_100)
        stream.layout = "mono"
        for frame in _frames(samples, stream):
            for packet in stream.encode(frame):
                out.mux(packet)
        if video is not None:
            _show(out, video, len(samples) / RATE)
    return path


def _frames(samples: np.ndarray, stream: object) -> Iterator[object]:
    import av

    turn = av.AudioResampler(
        format=stream.format.name, layout="mono", rate=stream.rate, frame_size=stream.frame_size or 1024
    )
    for at in range(0, len(samples), RATE):
        frame = av.AudioFrame.from_ndarray(
            samples[at : at + RATE].reshape(1, -1), format="flt", layout="mono"
        )
        frame.sample_rate = RATE
        frame.pts = None
        yield from turn.resample(frame)
    yield from turn.resample(None)
    yield None


def _add_picture(out: object) -> object:
    video = out.add_stream("mpeg4", rate=5)
    video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
    return video


def _show(out: object, video: object, seconds: float) -> None:
    import av

    for i in range(int(seconds * 5)):
        frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), i % 255, dtype=np.uint8), format="rgb24")
        for packet in video.encode(frame):
            out.mux(packet)
    for packet in video.encode(None):
        out.mux(packet)


def write_picture_only(path: Path) -> Path:
    """Write a film without sound."""
    import av

    with av.open(str(path), "w") as out:
        _show(out, _add_picture(out), 1.0)
    return path


def say(text: str, folder: Path) -> np.ndarray:
    """Speak a text with the flite voice program.

    Raises:
        RuntimeError: It is not installed.
    """
    if not shutil.which("flite"):
        raise RuntimeError("the voice program flite is needed: apt-get install flite")
    target = folder / "said.wav"
    subprocess.run(["flite", "-voice", "slt", "-t", text, "-o", str(target)], check=True)
    with wave.open(str(target)) as file:
        data = np.frombuffer(file.readframes(file.getnframes()), dtype=np.int16)
        rate = file.getframerate()
    samples = data.astype(np.float32) / 32768
    if rate != RATE:
        samples = np.interp(np.arange(0, len(samples), rate / RATE), np.arange(len(samples)), samples)
    return samples.astype(np.float32)
