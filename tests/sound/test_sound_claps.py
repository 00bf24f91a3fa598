"""A clap is heard as one; talk, machines and a hammer are not."""

from __future__ import annotations

import numpy as np
import pytest
from sound_makers import RATE, Samples, noisy, sawing, talk

from benchscribe.sound import bands_of, find_claps


def clap(seed: int = 1) -> Samples:
    """Make a clap: noise that is there at once and gone in a twentieth of a second."""
    t = np.arange(int(0.2 * RATE)) / RATE
    out: Samples = (0.6 * np.exp(-60 * t) * np.random.default_rng(seed).standard_normal(t.size)).astype(
        np.float32
    )
    return out


def quiet(seconds: float) -> Samples:
    return np.zeros(int(seconds * RATE), np.float32)


def over(samples: Samples, sound: Samples) -> Samples:
    """Lay a sound over the loudest moment."""
    out, at = samples.copy(), int(np.argmax(np.abs(samples[RATE:-RATE]))) + RATE
    out[at : at + sound.size] += sound
    return out


def heard(*parts: Samples) -> tuple[float, ...]:
    return find_claps(bands_of([noisy(np.concatenate(parts), 0.001)], RATE))


def test_a_clap_between_two_tries_is_found_at_its_time() -> None:
    (at,) = heard(talk(6, 1), quiet(0.6), clap(), quiet(0.8), talk(6, 2))
    assert at == pytest.approx(6.6, abs=0.03)


def test_two_claps_in_a_minute_are_two() -> None:
    assert (
        len(
            heard(
                talk(6, 1),
                quiet(0.6),
                clap(),
                quiet(0.8),
                talk(20, 2),
                quiet(0.5),
                clap(2),
                quiet(0.5),
                talk(4, 3),
            )
        )
        == 2
    )


@pytest.mark.parametrize(
    "parts",
    [
        (talk(60, 4),),
        (talk(5, 5), sawing(20, 6), talk(5, 7)),
        (talk(4, 8), *[x for n in range(8) for x in (clap(n), quiet(0.45))], talk(4, 9)),
        (over(talk(8, 10), clap()),),
        (quiet(10),),
        (quiet(0.1),),
    ],
    ids=["talk", "sawing", "a hammer", "a bang while talking", "silence", "a scrap"],
)
def test_what_is_no_clap_is_not_taken_for_one(parts: tuple[Samples, ...]) -> None:
    assert heard(*parts) == ()
