"""Sound made on the spot: talk that rises and falls in every band as speech does, machines, music."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

RATE = 16_000
Samples = NDArray[np.float32]


def talk(seconds: float, seed: int) -> Samples:
    """Make syllables of a tenth to a third of a second, each with a colour of its own, with pauses between phrases."""
    rng = np.random.default_rng(seed)
    parts: list[np.ndarray] = []
    while sum(len(p) for p in parts) < seconds * RATE:
        size = int(rng.uniform(0.1, 0.33) * RATE)
        t = np.arange(size) / RATE
        voice = sum(
            rng.uniform(0.1, 1.0) * np.sin(2 * np.pi * hertz * t)
            for hertz in rng.uniform(120, 900, 4).tolist() + rng.uniform(900, 4000, 4).tolist()
        )
        parts.append(np.hanning(size) * (voice + 0.5 * rng.standard_normal(size)))
        pause = rng.uniform(0.4, 1.2) if rng.random() < 0.15 else rng.uniform(0.02, 0.1)
        parts.append(np.zeros(int(pause * RATE)))
    return (0.05 * np.concatenate(parts)[: int(seconds * RATE)]).astype(np.float32)


def sawing(seconds: float, seed: int) -> Samples:
    """Make strokes of a hand saw: hiss that comes and goes, no stroke quite like another."""
    rng = np.random.default_rng(seed)
    parts = []
    while sum(len(p) for p in parts) < seconds * RATE:
        size = int(rng.uniform(0.25, 0.45) * RATE)
        parts.append(rng.uniform(0.5, 1.0) * np.hanning(size) ** 2 * rng.standard_normal(size))
    return (0.08 * np.concatenate(parts)[: int(seconds * RATE)]).astype(np.float32)


def toned(samples: Samples, gain: float = 0.4) -> Samples:
    """Turn the level down and the high end up, as an editor does."""
    spectrum = np.fft.rfft(samples)
    hertz = np.fft.rfftfreq(len(samples), 1 / RATE)
    shape = np.interp(hertz, [0, 100, 300, 2000, 4000, 8000], [0.1, 0.5, 1.0, 1.3, 2.5, 2.0])
    out: Samples = (gain * np.fft.irfft(spectrum * shape, len(samples))).astype(np.float32)
    return out


def noisy(samples: Samples, level: float, seed: int = 5) -> Samples:
    """Add the noise that another encoding leaves."""
    noise = np.random.default_rng(seed).standard_normal(len(samples))
    out: Samples = (samples + level * noise).astype(np.float32)
    return out


def seconds_of(samples: Samples, from_s: float, to_s: float) -> Samples:
    return samples[round(from_s * RATE) : round(to_s * RATE)]
