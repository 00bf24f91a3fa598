"""What sounds the same as something that was heard before is not listened to again."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from listen_media import write_media

from benchscribe.listen import ListenOptions, listen
from benchscribe.listen.decode import RATE, Decoder
from benchscribe.listen.journal import HeardFile
from benchscribe.listen.media import MediaInfo
from benchscribe.listen.phrases import Heard, Phrase
from benchscribe.listen.reuse import (
    Earlier,
    Source,
    Stretch,
    find_sources,
    known_stretches,
    unknown_stretches,
)
from benchscribe.listen.windows import Span
from benchscribe.records import Transcript, Word
from benchscribe.sound import bands_of

DEMO = Path(__file__).parents[2] / "demo_media"
LENGTH_S = 150.0


def spoken(*parts: tuple[float, float]) -> tuple[Word, ...]:
    """Give one word for each stretch of speech."""
    return tuple(Word(f"w{n}", a, b, 0.9) for n, (a, b) in enumerate(parts))


EARLIER = spoken((0.2, 3.0), (3.6, 7.0), (7.5, 11.0), (11.6, 15.0), (15.7, 19.0))
SPEECH = tuple(Span(w.start_s or 0.0, w.end_s or 0.0) for w in EARLIER)


def source(
    from_s: float, to_s: float, lag_s: float = 0.0, gaps: tuple[tuple[float, float], ...] = ()
) -> Source:
    return Source(from_s, to_s, lag_s, EARLIER, gaps)


def later(by_s: float) -> tuple[Span, ...]:
    return tuple(Span(s.start_s + by_s, s.end_s + by_s) for s in SPEECH)


def texts(stretches: tuple[Stretch, ...]) -> list[list[str]]:
    return [[w.text for w in s.words] for s in stretches]


def test_words_are_taken_over_at_their_new_times() -> None:
    (known,) = known_stretches(later(100.0), (source(100.0, 120.0, -100.0),))
    assert [w.text for w in known.words] == ["w0", "w1", "w2", "w3", "w4"]
    assert [w.start_s for w in known.words] == [100.2, 103.6, 107.5, 111.6, 115.7]
    assert list(unknown_stretches(later(100.0), (known,), (100.0, 120.0))) == []


def test_a_phrase_that_is_not_wholly_the_same_sound_is_heard() -> None:
    known = known_stretches(SPEECH, (source(0.0, 10.0),))
    assert texts(known) == [["w0", "w1"]]
    (unknown,) = unknown_stretches(SPEECH, known, (0.0, 19.5))
    assert 7.0 <= unknown.start_s <= 7.5
    assert unknown.end_s == 19.5


def test_a_joint_in_the_middle_of_talk_is_no_place_to_part_words() -> None:
    """In the cut a pause precedes 8.0, but in the earlier hearing somebody was speaking on there."""
    speech = (Span(8.0, 11.0), *SPEECH[3:])
    assert texts(known_stretches(speech, (source(7.9, 19.5),))) == [["w3", "w4"]]


def test_what_was_heard_with_a_fault_is_heard_again() -> None:
    assert known_stretches(SPEECH, (source(0.0, 19.5, gaps=((5.0, 6.0),)),)) == ()


def test_a_moment_between_two_unknown_stretches_is_heard_with_them() -> None:
    assert known_stretches(SPEECH, (source(7.1, 9.0), source(11.1, 11.4))) == ()
    assert known_stretches((*SPEECH[:1], Span(7.6, 9.5), *SPEECH[3:]), (source(7.2, 9.6),)) == ()


def test_silence_between_two_known_stretches_is_not_listened_to() -> None:
    known = (Stretch(0.0, 7.2, ()), Stretch(11.3, 19.5, ()))
    assert list(unknown_stretches((*SPEECH[:2], *SPEECH[3:]), known, (0.0, 19.5))) == []


def test_where_two_have_the_same_sound_the_one_that_was_heard_last_counts() -> None:
    sound = bands_of(
        [np.random.default_rng(1).standard_normal(20 * RATE).astype(np.float32) * pulse(20)], RATE
    )
    info = MediaInfo(duration_s=20.0, has_video=False, recorded_at=None, format="wav", rate=RATE)

    def heard_as(text: str, part: slice) -> Earlier:
        words = (Word(text, 1.0, 2.0, 0.9),)
        return Earlier(HeardFile(info=info, length_s=20.0, words=words, gaps=()), sound[part])

    sources = find_sources(sound, [heard_as("last", slice(0, 1200)), heard_as("first", slice(0, 2000))])
    assert [s.words[0].text for s in sources] == ["last", "first"]
    assert sources[0].to_s == pytest.approx(sources[1].from_s)
    assert sources[0].to_s == pytest.approx(12.0, abs=0.4)


def pulse(seconds: int) -> np.ndarray:
    """Swell and fade as talk does, never twice in the same rhythm."""
    steps = np.random.default_rng(2).uniform(0.0, 0.3, seconds * 8)
    out: np.ndarray = np.interp(np.arange(seconds * RATE), np.arange(seconds * 8) * RATE / 8, steps).astype(
        np.float32
    )
    return out


class Oracle:
    """Hears what is truly said: it finds the sound in the demo's cut and reads the words off the demo's truth."""

    def __init__(self, sound: np.ndarray, words: list[Word]) -> None:
        """Take the true sound and its words."""
        self.sound, self.words = sound, words
        self.seconds: list[float] = []

    def hear(self, samples: np.ndarray, done: Callable[[float], None]) -> Heard:
        self.seconds.append(samples.size / RATE)
        at_s = self.place(samples)
        length = samples.size / RATE
        if at_s is None:
            words = [Word("changed", 0.3, length - 0.3, 0.9)]
        else:
            words = [
                Word(w.text, (w.start_s or 0.0) - at_s, (w.end_s or 0.0) - at_s, 0.9)
                for w in self.words
                if at_s <= ((w.start_s or 0.0) + (w.end_s or 0.0)) / 2 < at_s + length
            ]
        done(length)
        return Heard(
            phrases=(Phrase(start_s=0.0, end_s=length, words=tuple(words)),), speech=(Span(0.0, length),)
        )

    def place(self, samples: np.ndarray) -> float | None:
        size = 1 << (self.sound.size + samples.size).bit_length()
        products = np.fft.irfft(np.fft.rfft(self.sound, size) * np.conj(np.fft.rfft(samples, size)), size)
        best = int(np.argmax(products))
        best = best if best < self.sound.size else best - size
        there = self.sound[max(best, 0) : best + samples.size]
        norm = float(np.linalg.norm(there) * np.linalg.norm(samples))
        return best / RATE if norm and float(products[best]) / norm > 0.7 else None


def demo_cut() -> tuple[np.ndarray, list[Word]]:
    """Give the first minutes of the demo's cut, and its true words, spread over each sentence."""
    sound = np.concatenate([b.samples for b in Decoder(DEMO / "cut" / "cut.m4a").blocks()])
    pieces = json.loads((DEMO / "truth" / "02-cut.json").read_text())["pieces"]
    said = json.loads((DEMO / "truth" / "02-said.json").read_text())
    words = []
    for piece in pieces:
        for sentence in (s for take in said for s in take["sentences"]):
            if (
                piece["take"]
                and piece["take"][0] <= sentence["start"]
                and sentence["end"] <= piece["take"][1]
            ):
                texts = sentence["text"].split()
                start, length = (
                    sentence["start"] - piece["take"][0] + piece["cut"][0],
                    sentence["end"] - sentence["start"],
                )
                words += [
                    Word(t, start + k * length / len(texts), start + (k + 1) * length / len(texts), 0.9)
                    for k, t in enumerate(texts)
                ]
    return sound[: int(LENGTH_S * RATE)], [w for w in words if (w.end_s or 0.0) < LENGTH_S]


def heard(monkeypatch: pytest.MonkeyPatch, path: Path, cache: Path, oracle: Oracle) -> Transcript:
    monkeypatch.setattr("benchscribe.listen.recording_reader.Whisper", lambda *_: oracle)
    monkeypatch.setattr("benchscribe.listen.recording_reader.choose_device", lambda *_: None)
    monkeypatch.setattr("benchscribe.listen.recording_reader.model_key", lambda *_: "oracle")
    model: Any = type("M", (), {"key": "oracle", "folder": cache})
    monkeypatch.setattr("benchscribe.listen.recording_reader.get_model", lambda *_, **__: model)
    return listen([path], clock="cut", options=ListenOptions(), cache_dir=cache)


@pytest.mark.slow
def test_of_a_cut_that_is_exported_again_only_what_changed_is_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A quarter of a second of black goes before it, ten seconds are taken out, five are spoken over, and it is encoded otherwise."""
    sound, words = demo_cut()
    oracle = Oracle(sound, words)
    first = heard(monkeypatch, write_media(tmp_path / "cut.mp3", sound), tmp_path / "cache", oracle)
    assert sum(oracle.seconds) == pytest.approx(LENGTH_S, abs=1)
    assert [w.text for w in first.words] == [w.text for w in words]
    oracle.seconds.clear()

    gone, over = (63.49, 73.5), (100.0, 105.0)
    other = np.concatenate(
        [
            b.samples
            for b in Decoder(next((DEMO / "build" / "episodes").glob("01-*")) / "take-1.opus").blocks()
        ]
    )
    changed = sound.copy()
    changed[int(over[0] * RATE) : int(over[1] * RATE)] = other[20 * RATE : 25 * RATE]
    black = np.zeros(RATE // 4, np.float32)
    again = np.concatenate((black, changed[: int(gone[0] * RATE)], changed[int(gone[1] * RATE) :]))
    second = heard(monkeypatch, write_media(tmp_path / "cut.opus", 0.6 * again), tmp_path / "cache", oracle)

    # What was spoken over, the phrases at its edges, and the phrases at the joint; of 140 seconds.
    assert 5.0 <= sum(oracle.seconds) <= 20.0
    kept = [
        Word(w.text, (w.start_s or 0.0) + 0.25 - (gone[1] - gone[0] if (w.start_s or 0.0) > gone[1] else 0.0))
        for w in first.words
        if not (gone[0] - 6 < (w.end_s or 0.0) and (w.start_s or 0.0) < gone[1] + 6)
        and not (over[0] - 5 < (w.end_s or 0.0) and (w.start_s or 0.0) < over[1] + 5)
    ]
    for word in kept:
        there = [w for w in second.words if abs((w.start_s or 0.0) - (word.start_s or 0.0)) <= 0.02]
        assert [w.text for w in there] == [word.text], word
    assert len(kept) > 0.7 * len(first.words)
    assert [w.text for w in second.words].count("changed") == len(oracle.seconds)


@pytest.mark.slow
def test_a_cut_takes_the_words_of_its_takes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sound, words = demo_cut()
    oracle = Oracle(sound, words)
    heard(monkeypatch, write_media(tmp_path / "take-1.m4a", sound), tmp_path / "cache", oracle)
    oracle.seconds.clear()
    cut = np.concatenate((sound[: int(36.6 * RATE)], sound[int(63.49 * RATE) : int(120.5 * RATE)]))
    text = heard(monkeypatch, write_media(tmp_path / "cut.mp3", cut), tmp_path / "cache", oracle)
    assert sum(oracle.seconds) <= 8.0
    wanted = [w for w in words if (w.end_s or 0.0) < 36.6 or 63.49 < (w.start_s or 0.0) < 120.5 - 0.3]
    assert [w.text for w in text.words] == [w.text for w in wanted]


def test_another_model_hears_for_itself(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(3)
    sound = (0.1 * rng.standard_normal(8 * RATE)).astype(np.float32)
    oracle = Oracle(sound, [Word("one", 1.0, 2.0)])
    heard(monkeypatch, write_media(tmp_path / "cut.wav", sound), tmp_path / "cache", oracle)
    monkeypatch.setattr("benchscribe.listen.recording_reader.settings_key", lambda *_: "other")
    oracle.seconds.clear()
    heard(monkeypatch, write_media(tmp_path / "cut.flac", sound), tmp_path / "cache", oracle)
    assert sum(oracle.seconds) == pytest.approx(8.0, abs=0.1)
