"""Measures how exactly edits are found by their sound, on edits made of the demo's takes.

    cut_sound.py DEMO_MEDIA [--seeds 1 2 3] [--details]

Each edit leaves passages out, trims pauses, moves a passage, puts in other speech, music and silence, and is encoded anew. Given for each
encoding and treatment: share of the edit's seconds that were found within 20 ms of their place in the takes, seconds of inserts that were
given a take, the greatest error of a piece's lag, and the median and greatest error of a joint between two passages.
"""

from __future__ import annotations

import argparse
import random
import tempfile
import time
from pathlib import Path

import av
import numpy as np

from benchscribe.listen.decode import RATE, Decoder
from benchscribe.sound import bands_of, find_same

FORMS = {
    "aac 64k": ("aac", "m4a", 64000, 44100),
    "aac 24k": ("aac", "m4a", 24000, 16000),
    "opus 24k": ("libopus", "opus", 24000, 48000),
    "opus 10k": ("libopus", "opus", 10000, 48000),
    "mp3 32k": ("libmp3lame", "mp3", 32000, 22050),
}
Edit = list[tuple[float, float, tuple[int, float] | None]]
"""From, to, and take with the second in it; none for an insert."""


def samples_of(path: Path) -> np.ndarray:
    return np.concatenate([block.samples for block in Decoder(path).blocks()])


def encoded(samples: np.ndarray, form: str, folder: Path) -> Path:
    codec, suffix, bit_rate, rate = FORMS[form]
    path = folder / f"cut.{suffix}"
    with av.open(str(path), "w", format="ogg" if suffix == "opus" else None) as out:
        stream = out.add_stream(codec, rate=rate)
        stream.layout, stream.bit_rate = "mono", bit_rate
        turn = av.AudioResampler(
            format=stream.format.name, layout="mono", rate=rate, frame_size=stream.frame_size or 1024
        )
        for first in range(0, len(samples), RATE):
            frame = av.AudioFrame.from_ndarray(
                samples[None, first : first + RATE].astype(np.float32), format="flt", layout="mono"
            )
            frame.sample_rate, frame.pts = RATE, first
            for part in turn.resample(frame):
                out.mux(stream.encode(part))
        for part in turn.resample(None):
            out.mux(stream.encode(part))
        out.mux(stream.encode(None))
    return path


def music(seconds: float, rng: np.random.Generator) -> np.ndarray:
    """Chords that change twice a second."""
    t = np.arange(int(0.5 * RATE)) / RATE
    parts = []
    for _ in range(int(seconds * 2)):
        root = 110 * 2 ** (rng.integers(0, 12) / 12)
        parts.append(sum(np.sin(2 * np.pi * root * k * t) for k in (1, 1.25, 1.5, 2, 3)) * np.exp(-2 * t))
    return 0.05 * np.concatenate(parts)


def edited(takes: list[np.ndarray], other: np.ndarray, seed: int) -> tuple[np.ndarray, Edit]:
    """Cut the takes into passages of 4 to 25 s, leave some out, move one, trim some, and put in three inserts."""
    rng = random.Random(seed)  # noqa: S311 - invented data
    noise = np.random.default_rng(seed)
    stretches: list[tuple[int, float, float]] = []
    for n, take in enumerate(takes):
        at, end = 0.4, len(take) / RATE
        while at + 4 < end:
            length = min(rng.uniform(4, 25), end - at)
            if rng.random() > 0.15:
                stretches.append((n, at, at + length))
            at += length + rng.choice([0.0, 0.3, 0.9, 2.0])
    moved = stretches.pop(rng.randrange(len(stretches)))
    stretches.insert(rng.randrange(len(stretches)), moved)
    begin = rng.randrange(len(other) - 20 * RATE)
    inserts = [other[begin : begin + 15 * RATE], music(8, noise), 1e-4 * noise.standard_normal(5 * RATE)]
    where = set(rng.sample(range(len(stretches)), 3))
    parts: list[np.ndarray] = []
    edit: Edit = []
    at = 0
    for n, (take, a, b) in enumerate(stretches):
        pieces = [(takes[take][int(a * RATE) : int(b * RATE)], (take, a))]
        if n in where:
            pieces.append((inserts.pop(), None))
        for sound, source in pieces:
            parts.append(sound)
            edit.append((at / RATE, (at + len(sound)) / RATE, source))
            at += len(sound)
    return np.concatenate(parts), edit


def treated(samples: np.ndarray, how: str, seed: int) -> np.ndarray:
    """Change the sound as an editor does."""
    if how == "plain":
        return samples
    if how == "tone":
        spectrum = np.fft.rfft(samples)
        hertz = np.fft.rfftfreq(len(samples), 1 / RATE)
        gain = np.interp(hertz, [0, 100, 300, 2000, 4000, 8000], [0.1, 0.5, 1.0, 1.3, 2.5, 2.0])
        return np.clip(0.4 * np.fft.irfft(spectrum * gain, len(samples)), -1, 1)
    if how == "squeezed":
        power = np.convolve(samples**2, np.ones(800) / 800, mode="same")
        return np.clip(samples * 0.12 / np.maximum(np.sqrt(power), 0.02) ** 0.6, -1, 1)
    bed = np.resize(music(60, np.random.default_rng(seed)), len(samples))
    return np.clip(samples + 0.35 * bed, -1, 1)


def score(edit: Edit, found: list[tuple[float, float, int, float]]) -> dict[str, object]:
    right = total = false = 0.0
    lags: list[float] = []
    joints: list[float] = []
    for begin, end, source in edit:
        inside = [(max(begin, a), min(end, b), n, at - a) for a, b, n, at in found if a < end and b > begin]
        if source is None:
            false += sum(max(0.0, b - a - 0.6) for a, b, _, _ in inside)
            continue
        total += end - begin
        wanted = source[1] - begin
        good = [
            (a, b, lag - wanted) for a, b, n, lag in inside if n == source[0] and abs(lag - wanted) <= 0.02
        ]
        right += sum(b - a for a, b, _ in good)
        lags += [abs(off) for a, b, off in good if b - a > 1]
        if good:
            joints += [good[0][0] - begin, end - good[-1][1]]
    return {
        "right": right,
        "total": total,
        "false": false,
        "lag": max(lags, default=0.0),
        "joints": joints,
    }


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("demo", type=Path)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2])
    parser.add_argument("--details", action="store_true")
    args = parser.parse_args()
    folders = sorted((args.demo / "build" / "episodes").iterdir())
    takes = [samples_of(p) for p in sorted(folders[1].glob("take-*"))]
    other = samples_of(min(folders[0].glob("take-*")))
    sounds = [bands_of([take], RATE) for take in takes]
    runs = [(form, "plain") for form in FORMS] + [
        ("aac 64k", how) for how in ("tone", "squeezed", "music under it")
    ]
    for form, how in runs:
        rows = []
        seconds = 0.0
        for seed in args.seeds:
            samples, edit = edited(takes, other, seed)
            with tempfile.TemporaryDirectory() as folder:
                cut = samples_of(encoded(treated(samples, how, seed), form, Path(folder)))
            ours = bands_of([cut], RATE)
            began = time.perf_counter()
            same = find_same(ours, sounds)
            seconds += time.perf_counter() - began
            rows.append(score(edit, [(s.from_s, s.to_s, s.other, s.at_s) for s in same]))
            if args.details:
                print(edit, same, sep="\n")
        right, total, false = (sum(r[k] for r in rows) for k in ("right", "total", "false"))
        joints = sorted(abs(j) for r in rows for j in r["joints"])
        print(
            f"{form:8} {how:15} found {right / total:6.1%} of {total:5.0f} s, inserts falsely {false:4.1f} s, lag within {1000 * max(r['lag'] for r in rows):4.1f} ms,"
            f" joints {1000 * joints[len(joints) // 2]:.0f} ms (90th {1000 * joints[len(joints) * 9 // 10]:.0f}, most {1000 * joints[-1]:.0f}), {seconds / len(args.seeds):.2f} s"
        )


if __name__ == "__main__":
    main()
