"""A recording's sound in bands does not depend on how it was read."""

from __future__ import annotations

import numpy as np
import pytest
from sound_makers import RATE, talk

from benchscribe.sound import FRAMES_PER_S, STEPS_PER_DB, bands_of


def test_bands_do_not_depend_on_the_blocks_they_came_in() -> None:
    samples = talk(45, 1)
    pieces = np.split(samples, [123, 5_000, 5_001, 400_000])
    assert np.array_equal(bands_of(pieces, RATE), bands_of([samples], RATE))


@pytest.mark.parametrize("seconds", [0.02, 1.0, 7.33, 45.0])
def test_there_are_a_hundred_frames_a_second(seconds: float) -> None:
    assert len(bands_of([talk(seconds, 2)], RATE)) == int(seconds * FRAMES_PER_S)


def test_a_tone_is_in_its_own_band_at_its_own_level() -> None:
    t = np.arange(RATE) / RATE
    sound = bands_of([(0.1 * np.sin(2 * np.pi * 1400 * t)).astype(np.float32)], RATE)
    middle = sound[50].astype(float) / STEPS_PER_DB - 120
    assert int(np.argmax(middle)) == 4  # 1150 to 1700 Hz
    # A sine of amplitude 0.1 has a power of 0.005: -23 dB.
    assert middle[4] == pytest.approx(-23, abs=1)


def test_ten_decibels_less_are_twenty_steps_less_in_every_band() -> None:
    loud = talk(3, 3)
    steps = bands_of([loud], RATE).astype(int) - bands_of([loud * np.float32(10**-0.5)], RATE).astype(int)
    heard = bands_of([loud], RATE) > 100
    assert np.median(steps[heard]) == 10 * STEPS_PER_DB


def test_no_sound_has_no_frames() -> None:
    assert bands_of([], RATE).shape == (0, 8)
    assert bands_of([np.zeros(0, np.float32)], RATE).shape[0] == 0
