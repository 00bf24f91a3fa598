"""The same minutes recorded twice are found by their sound, and the better recording is kept."""

from __future__ import annotations

import wave
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from benchscribe.cut.recorders import FRAMES_PER_S, find_doubles, loudness
from benchscribe.doubles import one_of_each, same_sound
from benchscribe.errors import MediaError
from benchscribe.listen.decode import Decoder
from benchscribe.sound import bands_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

DEMO = Path(__file__).parents[2] / "demo_media"
RATE = 16_000


def talk(seconds: float, seed: int) -> NDArray[np.float32]:
    """Make sound that rises and falls as speech does: syllables of a tenth to a third of a second, pauses between phrases."""
    rng = np.random.default_rng(seed)
    parts = []
    while sum(len(p) for p in parts) < seconds * RATE:
        size = int(rng.uniform(0.1, 0.33) * RATE)
        parts.append(rng.uniform(0.1, 1.0) * np.hanning(size) * rng.standard_normal(size))
        parts.append(
            np.zeros(int((rng.uniform(0.4, 1.2) if rng.random() < 0.15 else rng.uniform(0.02, 0.1)) * RATE))
        )
    return (0.1 * np.concatenate(parts)[: int(seconds * RATE)]).astype(np.float32)


def second_mic(
    samples: NDArray[np.float32], lag_s: float, noise: float, seed: int = 9
) -> NDArray[np.float32]:
    """Record the same from across the room: quieter, with echo and noise, begun a little later or earlier."""
    rng = np.random.default_rng(seed)
    far = 0.4 * samples
    for delay in (700, 1300, 2100):
        far[delay:] += 0.12 * samples[:-delay]
    shift = int(abs(lag_s) * RATE)
    far = far[shift:] if lag_s > 0 else np.concatenate((np.zeros(shift, np.float32), far))
    loud = float(np.sqrt(np.mean(far * far)))
    return (far + noise * loud * rng.standard_normal(far.size)).astype(np.float32)


def curve(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    return loudness(bands_of([samples], RATE))


@pytest.mark.parametrize("noise", [0.05, 0.3, 1.0])
@pytest.mark.parametrize("lag_s", [0.0, 1.74, -3.2, 5.5])
def test_a_second_noisy_track_is_found_and_left_out(lag_s: float, noise: float) -> None:
    first = talk(120, 1)
    (double,) = find_doubles([curve(second_mic(first, lag_s, noise)), curve(first)])
    assert (double.kept, double.dropped) == (1, 0)
    assert double.lag_s == pytest.approx(lag_s, abs=0.06)


@pytest.mark.parametrize("noise", [0.2, 0.8])
def test_a_second_noisy_track_of_the_demo_is_left_out(noise: float) -> None:
    """Talk, a saw and knocks: the demo's own takes, one of them recorded from across the room as well."""
    takes = sorted(next((DEMO / "build" / "episodes").glob("01-*")).glob("take-*"))
    sounds = [np.concatenate([block.samples for block in Decoder(path).blocks()]) for path in takes]
    curves = [curve(sound) for sound in sounds]
    for n, sound in enumerate(sounds):
        (double,) = find_doubles([*curves, curve(second_mic(sound, 2.3, noise))])
        assert (double.kept, double.dropped) == (n, len(takes))
        assert double.lag_s == pytest.approx(2.3, abs=0.06)


def test_two_takes_are_no_doubles() -> None:
    curves = [curve(talk(90, seed)) for seed in range(2, 8)]
    assert find_doubles(curves) == ()


def test_a_take_inside_a_longer_recording_is_left_out_however_clean() -> None:
    whole = talk(200, 11)
    (double,) = find_doubles([curve(whole[60 * RATE : 120 * RATE]), curve(second_mic(whole, 0.0, 0.3))])
    assert (double.kept, double.dropped) == (1, 0)
    assert double.lag_s == pytest.approx(60, abs=0.06)


def test_recordings_that_share_only_some_minutes_are_both_kept() -> None:
    whole = talk(180, 12)
    assert find_doubles([curve(whole[: 110 * RATE]), curve(second_mic(whole[70 * RATE :], 0.0, 0.1))]) == ()


def test_two_takes_with_two_recorders_leave_two() -> None:
    takes = [talk(80, 21), talk(70, 22)]
    curves = [
        curve(takes[0]),
        curve(takes[1]),
        curve(second_mic(takes[0], 0.8, 0.4)),
        curve(second_mic(takes[1], -0.6, 0.4)),
    ]
    assert {(d.kept, d.dropped) for d in find_doubles(curves)} == {(0, 2), (1, 3)}


def test_of_three_recorders_one_is_left() -> None:
    first = talk(90, 31)
    found = find_doubles(
        [curve(second_mic(first, 0.5, 0.5, 1)), curve(first), curve(second_mic(first, -0.7, 0.8, 2))]
    )
    assert {d.dropped for d in found} == {0, 2}


@pytest.mark.parametrize("samples", [np.zeros(0, np.float32), np.zeros(90 * RATE, np.float32), talk(5, 41)])
def test_silence_and_scraps_are_no_doubles_of_anything(samples: NDArray[np.float32]) -> None:
    assert find_doubles([curve(samples), curve(samples), curve(talk(60, 42))]) == ()


def test_a_machine_that_repeats_is_no_double() -> None:
    beat = np.tile(np.concatenate((0.3 * np.hanning(4000), np.zeros(4000))), 120).astype(np.float32)
    assert find_doubles([curve(beat), curve(beat[: 50 * RATE])]) == ()


def test_loudness_does_not_depend_on_the_blocks_it_came_in() -> None:
    samples = talk(7, 51)
    pieces = np.split(samples, [123, 5_000, 5_001, 60_000])
    assert loudness(bands_of(pieces, RATE)) == pytest.approx(curve(samples))
    assert len(curve(samples)) == 7 * FRAMES_PER_S


def write_wav(path: Path, samples: NDArray[np.float32]) -> Path:
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE)
        out.writeframes((np.clip(samples, -1, 1) * 32767).astype("<i2").tobytes())
    return path


def test_the_file_that_is_left_out_is_named_with_what_stands_in_for_it(tmp_path: Path) -> None:
    first = talk(60, 61)
    camera = write_wav(tmp_path / "camera.wav", second_mic(first, 1.5, 0.5))
    recorder = write_wav(tmp_path / "recorder.wav", first)
    notes = tmp_path / "take-9.vtt"
    kept, (note,) = one_of_each((camera, notes, recorder), tmp_path / "cache")
    assert kept == (notes, recorder)
    assert note.kind == "doubled"
    assert note.note.startswith("camera.wav has the same sound as recorder.wav")
    assert "recorder.wav is used" in note.note
    assert "1.5" in note.note


def test_a_recording_is_decoded_for_this_only_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = tuple(write_wav(tmp_path / f"{n}.wav", talk(25, 70 + n)) for n in range(2))
    assert one_of_each(paths, tmp_path / "cache") == (paths, ())
    monkeypatch.setattr(
        "benchscribe.listen.decode.Decoder.blocks", lambda _self: pytest.fail("decoded again")
    )
    assert one_of_each(paths, tmp_path / "cache") == (paths, ())


def test_a_damaged_cache_is_no_harm(tmp_path: Path) -> None:
    paths = tuple(write_wav(tmp_path / f"{n}.wav", talk(25, 80 + n)) for n in range(2))
    one_of_each(paths, tmp_path / "cache")
    for kept in (tmp_path / "cache" / "sounds").iterdir():
        kept.write_bytes(b"\x93NUMPY broken")
    assert one_of_each(paths, tmp_path / "cache") == (paths, ())


def test_one_recording_is_not_even_looked_at(tmp_path: Path) -> None:
    only = (tmp_path / "not-there.wav",)
    assert one_of_each(only, tmp_path / "cache") == (only, ())


def test_a_recording_that_cannot_be_decoded_says_so(tmp_path: Path) -> None:
    good = write_wav(tmp_path / "a.wav", talk(5, 90))
    bad = tmp_path / "b.wav"
    bad.write_bytes(b"this is no recording at all")
    with pytest.raises(MediaError, match=r"b\.wav"):
        one_of_each((good, bad), tmp_path / "cache")


def test_a_cut_with_the_other_recorders_sound_is_found_in_the_take_that_is_used(tmp_path: Path) -> None:
    first = talk(60, 62)
    camera = write_wav(tmp_path / "camera.wav", second_mic(first, 1.5, 0.3))
    recorder = write_wav(tmp_path / "recorder.wav", first)
    (kept,), _ = one_of_each((camera, recorder), tmp_path / "cache")
    assert kept == recorder
    heard = second_mic(first, 1.5, 0.3)
    cut = write_wav(
        tmp_path / "cut.wav", np.concatenate((heard[5 * RATE : 20 * RATE], heard[30 * RATE : 50 * RATE]))
    )
    assert same_sound(cut, (recorder,), tmp_path / "cache") == ()
    found = same_sound(cut, (recorder,), tmp_path / "cache", left_out=(camera,))
    assert [s.other for s in found] == [0, 0]
    assert [s.at_s - s.from_s for s in found] == pytest.approx([6.5, 16.5], abs=0.03)
