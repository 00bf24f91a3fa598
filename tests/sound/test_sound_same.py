"""What sounds the same is found, exactly; what only sounds alike is not."""

from __future__ import annotations

import numpy as np
import pytest
from sound_makers import RATE, Samples, noisy, sawing, seconds_of, talk, toned

from benchscribe.sound import Same, bands_of, find_same

TAKE = talk(70, 1)
OTHER = talk(40, 2)


def found(cut: Samples, *takes: Samples) -> tuple[Same, ...]:
    return find_same(bands_of([cut], RATE), [bands_of([take], RATE) for take in takes])


def lags(stretches: tuple[Same, ...]) -> list[tuple[int, float]]:
    return [(s.other, round(s.at_s - s.from_s, 2)) for s in stretches]


def test_a_recording_is_the_same_as_itself_from_end_to_end() -> None:
    (same,) = found(TAKE, TAKE)
    assert (same.from_s, same.at_s, same.likeness) == (0.0, 0.0, 1.0)
    assert same.to_s == pytest.approx(70, abs=0.05)


@pytest.mark.parametrize("shift", [0, 37, 80, 1234])
def test_the_place_is_right_to_a_few_thousandths_of_a_second(shift: int) -> None:
    cut = noisy(toned(TAKE[20 * RATE + shift : 45 * RATE]), 0.0008)
    (same,) = found(cut, OTHER, TAKE)
    assert same.other == 1
    assert same.at_s - same.from_s == pytest.approx(20 + shift / RATE, abs=0.006)
    assert same.likeness > 0.8


def test_what_was_cut_out_makes_two_stretches_with_a_sharp_joint() -> None:
    cut = np.concatenate((seconds_of(TAKE, 5, 25), seconds_of(TAKE, 31.5, 50.5)))
    one, two = found(cut, TAKE)
    assert lags((one, two)) == [(0, 5.0), (0, 11.5)]
    assert one.to_s == two.from_s == pytest.approx(20, abs=0.02)


def test_a_moved_passage_of_another_take_and_an_insert_are_told_apart() -> None:
    insert = talk(8, 9)
    cut = np.concatenate(
        (seconds_of(TAKE, 30, 45), insert, seconds_of(OTHER, 10, 22), seconds_of(TAKE, 0, 12))
    )
    stretches = found(noisy(cut, 0.0005), TAKE, OTHER)
    assert lags(stretches) == [(0, 30.0), (1, -13.0), (0, -35.0)]
    assert stretches[0].to_s == pytest.approx(15, abs=0.35)
    assert stretches[1].from_s == pytest.approx(23, abs=0.35)


def test_a_passage_of_one_second_between_two_cuts_is_found_near_its_neighbours() -> None:
    cut = np.concatenate((seconds_of(TAKE, 0, 15), seconds_of(TAKE, 17, 18), seconds_of(TAKE, 20, 40)))
    assert lags(found(cut, TAKE)) == [(0, 0.0), (0, 2.0), (0, 4.0)]


def test_work_without_a_word_is_found() -> None:
    take = np.concatenate((talk(10, 3), sawing(40, 4), talk(10, 5)))
    stretches = found(noisy(toned(seconds_of(take, 18, 33)), 0.0005), take)
    assert lags(stretches) == [(0, 18.0)]
    assert stretches[0].to_s - stretches[0].from_s > 14.5


def test_the_same_words_said_again_are_not_the_same_sound() -> None:
    again = np.concatenate(
        [seconds_of(TAKE, n, n + 0.9) for n in range(30)]
    )  # the same syllables in another rhythm
    assert sum(s.to_s - s.from_s for s in found(again, talk(60, 21), talk(60, 22))) == 0


@pytest.mark.parametrize(
    "cut",
    [
        talk(40, 31),
        sawing(30, 32),
        np.zeros(20 * RATE, np.float32),
        1e-4 * np.random.default_rng(1).standard_normal(20 * RATE).astype(np.float32),
        talk(0.5, 33),
        np.zeros(0, np.float32),
    ],
    ids=["talk", "sawing", "silence", "hiss", "a scrap", "nothing"],
)
def test_other_sound_is_found_nowhere(cut: Samples) -> None:
    assert found(cut, TAKE, OTHER, sawing(30, 40)) == ()


def test_a_voice_over_the_same_picture_is_no_same_sound() -> None:
    """Where something louder lies over a stretch of the take, that stretch is not the take's sound any more."""
    cut = seconds_of(TAKE, 0, 40).copy()
    cut[15 * RATE : 22 * RATE] = talk(7, 51)
    covered = [(s.from_s, s.to_s) for s in found(cut, TAKE)]
    assert all(b <= 15.4 or a >= 21.6 for a, b in covered)
    assert sum(b - a for a, b in covered) > 32


def test_without_other_recordings_there_is_nothing_to_find() -> None:
    assert found(TAKE) == ()
    assert found(TAKE, np.zeros(0, np.float32)) == ()
