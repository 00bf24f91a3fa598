"""Make every recording of the demo build, and the truth beside it, from the scripts in `script/`.

    python demo_media/make_demo.py [01] [02]

Needs the program `flite` (its voice is in it), and the Python packages av, numpy and pillow. Nothing is fetched. The same scripts give the
same sound, to the bit before encoding: every chance draw has a fixed seed.
"""

from __future__ import annotations

import json
import math
import random
import subprocess
import sys
import tempfile
import wave
import zlib
from dataclasses import dataclass, field
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from demo_pictures import HEIGHT, WIDTH, draw_scene
from demo_script import Chapter, Script, Sentence, Sound, Take, read_script

HERE = Path(__file__).parent
RATE = 16000
STRETCH = 0.85
"""The voice reads at about 165 words a minute by itself; a maker at the bench is quicker."""
PRONOUNCE = {
    "dados": "day doze", "dado": "day doe", "rabbet": "rabbit", "rabbets": "rabbits", "rabbeting": "rabbiting", "router": "rowter",
}  # fmt: skip
"""Where the voice's own dictionary has the word wrong. Only the sound is changed, never the script or the truth."""
Samples = np.ndarray


@dataclass
class Placed:
    """A take with every sentence and chapter at its second."""

    take: Take
    samples: Samples
    said: list[tuple[float, float, Sentence]] = field(default_factory=list)
    chapters: list[tuple[float, Chapter]] = field(default_factory=list)
    offset_s: float = 0.0

    @property
    def duration_s(self) -> float:
        """Seconds of sound."""
        return len(self.samples) / RATE


# --- sound ---


def speak(text: str, voice: str, folder: Path) -> Samples:
    """Speak one sentence; silence at both ends is cut off."""
    words = " ".join(PRONOUNCE.get(w.strip(",.").casefold(), w.strip(",.")) + _stop(w) for w in text.split())
    out = folder / "say.wav"
    rng = random.Random(text)
    settings = (f"duration_stretch={STRETCH * rng.uniform(0.95, 1.05):.3f}", f"int_f0_target_mean={rng.uniform(90, 102):.1f}")
    command = ["flite", "-voice", voice, *(x for s in settings for x in ("--setf", s)), "-t", words, "-o", str(out)]
    subprocess.run(command, check=True)
    with wave.open(str(out)) as file:
        if file.getframerate() != RATE:
            raise SystemExit(f"flite gave {file.getframerate()} samples a second, not {RATE}")
        sound = np.frombuffer(file.readframes(file.getnframes()), np.int16).astype(np.float64) / 32768
    loud = np.flatnonzero(np.abs(sound) > 0.004)
    sound = sound[max(0, loud[0] - 800) : loud[-1] + 800]
    return sound * 0.12 / np.sqrt(np.mean(sound**2))


def _stop(word: str) -> str:
    return word[-1] if word[-1] in ",." else ""


def pink(n: int, rng: np.random.Generator) -> Samples:
    """Noise that falls off towards the high end, as a room's does, at a level of one."""
    spectrum = np.fft.rfft(rng.standard_normal(n))
    spectrum /= np.sqrt(np.maximum(np.arange(len(spectrum)), 20 * n / RATE))
    sound = np.fft.irfft(spectrum, n)
    return sound / np.sqrt(np.mean(sound**2))


MACHINES = {"saw": (96.0, 28, 0.5), "planer": (190.0, 14, 0.7), "router": (330.0, 12, 0.4), "drill": (70.0, 18, 0.3)}
"""Ground tone in hertz, harmonics, share of hiss."""


def machine(kind: str, seconds: float, rng: np.random.Generator) -> Samples:
    """Make the noise of a machine: it runs up, drops a little under load, and runs down; or a few knocks of a mallet."""
    n = int(seconds * RATE)
    t = np.arange(n) / RATE
    if kind == "knock":
        sound = np.zeros(n)
        for at in np.arange(0.1, seconds - 0.3, 0.45):
            since = np.maximum(t - at, 0)
            sound += (t >= at) * np.exp(-since * 28) * np.sin(2 * math.pi * 180 * since)
        return sound * 0.25
    ground, harmonics, hiss = MACHINES[kind]
    load = 1 - 0.08 * ((t > seconds * 0.25) & (t < seconds * 0.8))
    phase = 2 * math.pi * np.cumsum(ground * load * np.minimum(1, t / 0.4 + 0.3)) / RATE
    tone = sum(np.sin(k * phase + rng.uniform(0, 6)) / k**0.6 for k in range(1, harmonics))
    sound = tone / np.std(tone) * (1 - hiss) + pink(n, rng) * hiss
    return sound * np.minimum(1, np.minimum(t / 0.5, (seconds - t) / 0.5)) * 0.07


def place(take: Take, voice: str, folder: Path) -> Placed:
    """Lay a take's sentences, pauses and noises one after the other, over the noise of the room."""
    rng, noise = random.Random(take.file), np.random.default_rng(zlib.crc32(take.file.encode()))
    pieces: list[Samples] = [np.zeros(int(0.8 * RATE))]
    result = Placed(take, np.zeros(0))
    at = len(pieces[0])

    def lay(sound: Samples) -> None:
        nonlocal at
        pieces.append(sound)
        at += len(sound)

    for item in take.items:
        if isinstance(item, Chapter):
            lay(np.zeros(int(0.5 * RATE)))
            result.chapters.append((at / RATE, item))
        elif isinstance(item, Sound):
            quiet = item.kind == "pause"
            lay(np.zeros(int(item.seconds * RATE)) if quiet else machine(item.kind, item.seconds, noise))
        else:
            start = at / RATE
            lay(speak(item.text, voice, folder))
            result.said.append((start, at / RATE, item))
            lay(np.zeros(int(rng.uniform(0.2, 0.5) * RATE)))
    sound = np.concatenate(pieces)
    sound += pink(len(sound), noise) * (0.0022 if take.room == "shop" else 0.0014)
    result.samples = np.clip(sound, -0.98, 0.98)
    return result


# --- files ---


def _audio(stream: av.audio.stream.AudioStream, samples: Samples, container: av.container.OutputContainer) -> None:
    resampler = av.AudioResampler(format=stream.format, layout="mono", rate=stream.rate)
    data = (samples * 32767).astype(np.int16)
    for first in range(0, len(data), 4096):
        frame = av.AudioFrame.from_ndarray(data[None, first : first + 4096], format="s16", layout="mono")
        frame.sample_rate, frame.pts, frame.time_base = RATE, first, Fraction(1, RATE)
        for resampled in resampler.resample(frame):
            container.mux(stream.encode(resampled))
    for resampled in resampler.resample(None):
        container.mux(stream.encode(resampled))
    container.mux(stream.encode(None))


def write_take(placed: Placed, path: Path) -> None:
    """Encode one take; the time of recording goes into the file."""
    video = path.suffix in {".mp4", ".mkv"}
    opus = path.suffix in {".opus", ".mkv"}
    with av.open(str(path), "w", format="ogg" if path.suffix == ".opus" else None) as container:
        container.metadata["creation_time"] = placed.take.recorded + "Z"
        sound = container.add_stream("libopus" if opus else "aac", rate=48000 if opus else RATE, layout="mono")
        sound.bit_rate = 24000 if opus else 32000
        if path.suffix == ".opus":
            sound.metadata["creation_time"] = placed.take.recorded + "Z"
        if video:
            _pictures(container, placed)
        _audio(sound, placed.samples, container)


def _pictures(container: av.container.OutputContainer, placed: Placed) -> None:
    """Two pictures a second; the scene changes with the chapter."""
    stream = container.add_stream("libx264", rate=2, options={"crf": "30", "preset": "slow", "g": "40"})
    stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "yuv420p"
    starts = [start for start, _ in placed.chapters]
    scenes = [draw_scene(chapter) for _, chapter in placed.chapters]
    for n in range(math.ceil(placed.duration_s * 2)):
        scene = scenes[max((i for i, s in enumerate(starts) if s <= n / 2), default=0)]
        frame = av.VideoFrame.from_image(scene)
        frame.pts, frame.time_base = n, Fraction(1, 2)
        container.mux(stream.encode(frame))
    container.mux(stream.encode(None))


# --- truth ---


def truth(script: Script, takes: list[Placed]) -> dict[str, object]:
    """The annotated truth of one episode, in running time: takes laid end to end."""
    gold: dict[str, list[dict[str, object]]] = {
        key: [] for key in ("chapters", "measures", "findings", "self_corrections", "decoys", "hazards", "mistakes", "promises", "steps")
    }
    began: float | None = None
    for placed in takes:
        for start, chapter in placed.chapters:
            gold["chapters"].append(
                {"start": round(placed.offset_s + start, 3), "about": list(chapter.about), "part": chapter.part}
            )
        for start, end, sentence in placed.said:
            t, last = round(placed.offset_s + start, 3), round(placed.offset_s + end, 3)
            gold["measures"] += [{"t": t, **m} for m in sentence.measures]
            for key, note in sentence.notes:
                if key == "mistakes":
                    if "what" in note:
                        gold[key].append({"start": began, "end": last, **note})
                    began = t
                else:
                    gold[key].append(note["text"] if key == "hazards" else {"t": t, **note})
    return {"units": "inch", **gold, "tools": script.tools, "materials": script.materials}


def said(takes: list[Placed]) -> list[dict[str, object]]:
    """What is said in each take, sentence by sentence, in running time."""
    return [
        {
            "take": p.take.file,
            "offset": round(p.offset_s, 3),
            "duration": round(p.duration_s, 3),
            "sentences": [
                {"start": round(p.offset_s + a, 3), "end": round(p.offset_s + b, 3), "text": s.text} for a, b, s in p.said
            ],
        }
        for p in takes
    ]


def make(number: str) -> list[Placed]:
    """Make one episode: its takes and its truth."""
    script = read_script(HERE / "script" / f"{number}.md")
    folder = HERE / "build" / "episodes" / script.folder
    folder.mkdir(parents=True, exist_ok=True)
    takes, offset_s = [], 0.0
    with tempfile.TemporaryDirectory() as temporary:
        for take in script.takes:
            placed = place(take, script.voice, Path(temporary))
            placed.offset_s = offset_s
            offset_s += placed.duration_s
            write_take(placed, folder / take.file)
            takes.append(placed)
            print(f"{script.folder}/{take.file}: {placed.duration_s:.1f} s")
    write_json(HERE / "truth" / f"{number}.json", truth(script, takes))
    write_json(HERE / "truth" / f"{number}-said.json", said(takes))
    return takes


def write_json(path: Path, data: object) -> None:
    """Write a file of the truth."""
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps(data, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    for wanted in sys.argv[1:] or ("01", "02"):
        make(wanted)
