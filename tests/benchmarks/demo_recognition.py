"""How well, and how fast, the demo's takes are heard: clean, and with a saw running beside the bench.

    python tests/benchmarks/demo_recognition.py [01] [02] [--model base] [--snr 15 --snr 8]

Prints, for each episode and each level of noise: CPU seconds for a second of sound, word error rate against the script (case, punctuation,
hyphens, fillers and the way numbers are written are made alike on both sides), and the share of the script's sizes that come out with exactly
the right value, in their order. Every run listens afresh; putting the model together is not counted, loading it is.
"""

from __future__ import annotations

import argparse
import json
import re
import tempfile
import time
import wave
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

from benchscribe.listen import ListenOptions, listen
from benchscribe.measures.stage import find_measures
from benchscribe.records import Transcript, Word

DEMO = Path(__file__).parents[2] / "demo_media"
RATE = 16000
FILLERS = frozenset({"um", "uh", "er", "erm", "ah", "oh"})
SMALL = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen"
).split()
TENS = "- - twenty thirty forty fifty sixty seventy eighty ninety".split()
PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second", 64: "sixty fourth"}
Samples = np.ndarray


# --- sound ---


def read_sound(path: Path) -> Samples:
    """Decode a take to 16 kHz mono between -1 and 1."""
    resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
    with av.open(str(path)) as container:
        frames = [f for frame in container.decode(audio=0) for f in resampler.resample(frame)]
    return np.concatenate([f.to_ndarray()[0] for f in (*frames, *resampler.resample(None))]).astype(
        np.float64
    )


def saw_noise(n: int, seed: int = 1) -> Samples:
    """Make the sound of a circular saw with a power of one: a wandering whine, its harmonics, and the hiss of the cut coming and going."""
    rng = np.random.default_rng(seed)
    t = np.arange(n) / RATE
    load = 1 - 0.06 * (np.sin(2 * np.pi * t / 5.3) > 0.2)
    phase = 2 * np.pi * np.cumsum(118.0 * load * (1 + 0.004 * np.sin(2 * np.pi * 0.7 * t))) / RATE
    whine = sum(np.sin(k * phase + rng.uniform(0, 6)) / k**0.5 for k in range(1, 40))
    hiss = rng.standard_normal(n) * (0.6 + 0.4 * np.sin(2 * np.pi * t / 5.3))
    sound = whine / np.std(whine) + 0.7 * hiss
    level: Samples = sound / np.sqrt(np.mean(sound**2))
    return level


def mix_saw(sound: Samples, snr_db: float) -> Samples:
    """Add a saw that runs all the time; the ratio is to the power of the speech where someone speaks."""
    power = np.convolve(sound**2, np.ones(RATE // 20) / (RATE // 20), "same")
    speech = np.mean(sound[power > np.max(power) / 100] ** 2)
    mixed = sound + saw_noise(len(sound)) * np.sqrt(speech / 10 ** (snr_db / 10))
    level: Samples = mixed / max(1.0, float(np.max(np.abs(mixed))))
    return level


def write_sound(path: Path, sound: Samples) -> None:
    """Write 16-bit mono WAV."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype(np.int16).tobytes())


# --- comparing ---


def spell(number: int) -> str:
    """Write a whole number in words."""
    if number >= 100:
        rest = f" {spell(number % 100)}" if number % 100 else ""
        return f"{spell(number // 100)} hundred{rest}"
    if number < 20:
        return SMALL[number]
    return TENS[number // 10] + (f" {SMALL[number % 10]}" if number % 10 else "")


def _fraction(match: re.Match[str]) -> str:
    top, bottom = int(match[1]), int(match[2])
    return f" {spell(top)} {PARTS[bottom]}{'s' if top > 1 else ''} " if bottom in PARTS else match[0]


def plain(text: str) -> str:
    """Make two texts alike in all that is only a way of writing."""
    text = re.sub(r"(\d+)/(\d+)", _fraction, text.casefold())
    text = re.sub(r"\.(\d)", r" point \1", text)
    text = re.sub(r"\d+", lambda m: f" {spell(int(m[0]))} " if len(m[0]) < 5 else m[0], text)
    words = re.sub(r"[^a-z' ]+", " ", text.replace("'s ", "s ")).replace("'", "").split()
    return " ".join(w for w in words if w not in FILLERS)


def size(value: Fraction, unit: str) -> tuple[str, Fraction]:
    """Give kind and value in one unit."""
    factors = {"inch": Fraction(1), "foot": Fraction(12), "yard": Fraction(36), "thou": Fraction(1, 1000)}
    metric = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
    if unit in factors:
        return "length", value * factors[unit]
    return ("length", value * metric[unit] / Fraction(254, 10)) if unit in metric else ("angle", value)


def in_order(wanted: list[tuple[str, Fraction]], found: list[tuple[str, Fraction]]) -> int:
    """Give the length of the longest common subsequence."""
    row = [0] * (len(found) + 1)
    for a in wanted:
        before = row[:]
        for j, b in enumerate(found, 1):
            row[j] = before[j - 1] + 1 if a == b else max(before[j], row[j - 1])
    return row[-1]


# --- the run ---


def measure_episode(number: str, snr_db: float | None, model: str) -> dict[str, float]:
    """Listen to one episode at one level of noise, and compare."""
    import jiwer

    said = json.loads((DEMO / "truth" / f"{number}-said.json").read_text(encoding="utf-8"))
    gold = json.loads((DEMO / "truth" / f"{number}.json").read_text(encoding="utf-8"))
    folder = next((DEMO / "build" / "episodes").glob(f"{number}-*"))
    with tempfile.TemporaryDirectory() as temporary:
        home = Path(temporary)
        takes = [folder / take["take"] for take in said]
        if snr_db is not None:
            noisy = [home / f"{path.stem}.wav" for path in takes]
            for path, copy in zip(takes, noisy, strict=True):
                write_sound(copy, mix_saw(read_sound(path), snr_db))
            takes = noisy
        write_sound(home / "silence.wav", np.zeros(RATE * 2))
        options = ListenOptions(model=model, device="cpu")
        listen([home / "silence.wav"], clock="takes", options=options, cache_dir=home / "cache")
        began = time.process_time()
        transcript = listen(takes, clock="takes", options=options, cache_dir=home / "cache")
        cpu_s = time.process_time() - began
    return {
        "cpu": cpu_s / sum(take["duration"] for take in said),
        "wer": float(jiwer.wer(_all_said(said), plain(transcript.text((0, len(transcript.words)))))),
        **_sizes(gold, transcript),
    }


def _all_said(said: list[dict[str, list[dict[str, str]]]]) -> str:
    return plain(" ".join(sentence["text"] for take in said for sentence in take["sentences"]))


def _sizes(gold: dict[str, list[dict[str, str]]], transcript: Transcript) -> dict[str, float]:
    wanted = [size(Fraction(m["value"]), m["unit"]) for m in gold["measures"]]
    found = [size(m.value, m.unit) for m in find_measures(transcript, "inch")[0]]
    right = in_order(wanted, found)
    return {"right": right, "wanted": len(wanted), "beside": len(found) - right}


def read_script_sizes(number: str) -> str:
    """Say how many sizes come out of the script's own words: what is lost there is lost in reading, not in hearing."""
    said = json.loads((DEMO / "truth" / f"{number}-said.json").read_text(encoding="utf-8"))
    gold = json.loads((DEMO / "truth" / f"{number}.json").read_text(encoding="utf-8"))
    words = tuple(Word(w) for take in said for s in take["sentences"] for w in s["text"].split())
    got = _sizes(gold, Transcript(files=(), clock="none", words=words, utterances=()))
    return f"{got['right']:.0f} of {got['wanted']:.0f} from the script's own words"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("episodes", nargs="*", default=["01", "02"])
    parser.add_argument("--model", default="base")
    parser.add_argument("--snr", type=float, action="append", help="in decibels; may be given more than once")
    asked = parser.parse_args()
    print("episode  noise   CPU s per s   word error   exact sizes        others")
    for number in asked.episodes:
        print(f"{number:7}  {read_script_sizes(number)}")
        for snr_db in (None, *(asked.snr or (15.0, 8.0))):
            got = measure_episode(number, snr_db, asked.model)
            noise = "clean" if snr_db is None else f"{snr_db:g} dB"
            share = f"{got['right']:.0f} of {got['wanted']:.0f} ({got['right'] / got['wanted']:.1%})"
            print(
                f"{number:7}  {noise:6}  {got['cpu']:11.3f}   {got['wer']:10.1%}   {share:17}  {got['beside']:.0f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
