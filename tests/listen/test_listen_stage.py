"""Recordings, captions and notes in any mix become one transcript; a stopped run goes on; a second run hears nothing again."""

from __future__ import annotations

import os
from pathlib import Path

import msgspec
import numpy as np
import pytest
from listen_fake import FakeRecogniser, Stopped
from listen_media import tone, write_media

from benchscribe.errors import MediaError, TranscriptError, WriteError
from benchscribe.listen import ListenOptions, Progress, listen, pieces, recording_reader
from benchscribe.listen.journal import file_digest
from benchscribe.listen.models import Model
from benchscribe.records import Transcript

OPTIONS = ListenOptions(model="base")


@pytest.fixture(autouse=True)
def small_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pieces, "SHORTEST_S", 4)
    monkeypatch.setattr(pieces, "LONGEST_S", 8)


def run(
    monkeypatch: pytest.MonkeyPatch, paths: list[Path], cache: Path, fake: FakeRecogniser, **options: object
) -> Transcript:
    monkeypatch.setattr(recording_reader.RecordingReader, "_load", lambda _: fake)
    settings = msgspec.structs.replace(OPTIONS, **options)
    return listen(paths, clock="takes", options=settings, cache_dir=cache)


def two_takes(tmp_path: Path) -> list[Path]:
    return [
        write_media(tmp_path / "take-1.flac", tone(30)),
        write_media(tmp_path / "take-2.mp4", tone(13, 300), picture=True),
    ]


def test_takes_are_laid_end_to_end(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    heard = run(monkeypatch, two_takes(tmp_path), tmp_path / "c", FakeRecogniser())
    assert [(file.name, file.kind) for file in heard.files] == [
        ("take-1.flac", "audio"),
        ("take-2.mp4", "video"),
    ]
    assert heard.files[1].offset_s == heard.files[0].duration_s == pytest.approx(30, abs=0.1)
    assert heard.clock == "takes"
    assert heard.model == "base"
    times = [word.start_s for word in heard.words]
    assert times == sorted(times)
    assert 42 < times[-1] < 43.5
    spans = [u.span for u in heard.utterances]
    assert [i for a, b in spans for i in range(a, b)] == list(range(len(heard.words)))
    assert all(u.start_s == heard.words[u.span[0]].start_s for u in heard.utterances)


def test_a_mix_keeps_its_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:05.000\nRip it.\n")
    (tmp_path / "n.md").write_text("# Legs\nCut it.\n")
    paths = [tmp_path / "a.vtt", write_media(tmp_path / "t.wav", tone(3)), tmp_path / "n.md"]
    heard = run(monkeypatch, paths, tmp_path / "c", FakeRecogniser())
    assert [(f.name, f.kind, f.offset_s) for f in heard.files] == [
        ("a.vtt", "captions", 0.0),
        ("t.wav", "audio", 5.0),
        ("n.md", "notes", 8.0),
    ]
    assert heard.words[2].start_s == 5.0
    assert heard.words[-1].start_s is None
    assert heard.utterances[-1].heading == "Legs"
    assert heard.cues[0].span == (0, 2)


def test_a_stopped_run_goes_on_and_repeats_at_most_one_piece(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    paths = two_takes(tmp_path)
    whole_fake = FakeRecogniser()
    whole = run(monkeypatch, paths, tmp_path / "whole", whole_fake)
    count = len(whole_fake.heard)
    assert count > 5
    for stop in range(count):
        cache = tmp_path / f"stopped-{stop}"
        with pytest.raises(Stopped):
            run(monkeypatch, paths, cache, FakeRecogniser(dies_at=stop))
        again = FakeRecogniser()
        assert run(monkeypatch, paths, cache, again) == whole
        assert len(again.heard) == count - stop


def test_a_second_run_neither_decodes_nor_hears(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = two_takes(tmp_path)
    first = run(monkeypatch, paths, tmp_path / "c", FakeRecogniser())

    def decode(_: object) -> None:
        raise AssertionError("the recording was decoded again")

    monkeypatch.setattr("benchscribe.listen.decode.Decoder.blocks", decode)
    fake = FakeRecogniser()
    assert (
        run(monkeypatch, paths, tmp_path / "c", fake, prompt_names=("a new part",), device="cpu", threads=1)
        == first
    )
    assert fake.heard == []


def test_another_model_or_setting_is_heard_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = [write_media(tmp_path / "t.wav", tone(3))]
    for options in ({}, {"model": "tiny"}, {"beam_size": 1}):
        fake = FakeRecogniser()
        run(monkeypatch, paths, tmp_path / "c", fake, **options)
        assert len(fake.heard) == 1


def test_a_changed_recording_is_heard_again_and_a_renamed_one_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = write_media(tmp_path / "t.wav", tone(3))
    run(monkeypatch, [path], tmp_path / "c", FakeRecogniser())
    renamed = path.rename(tmp_path / "take-1.wav")
    fake = FakeRecogniser()
    assert run(monkeypatch, [renamed], tmp_path / "c", fake).files[0].name == "take-1.wav"
    assert fake.heard == []
    write_media(renamed, tone(3, 200))
    run(monkeypatch, [renamed], tmp_path / "c", fake)
    assert len(fake.heard) == 1


def test_the_sum_of_a_file_is_read_again_only_when_it_changed(tmp_path: Path) -> None:
    path = tmp_path / "a.bin"
    path.write_bytes(b"one")
    first = file_digest(path, tmp_path / "c")
    stamp = path.stat().st_mtime_ns
    path.write_bytes(b"two")
    os.utime(path, ns=(stamp, stamp))
    assert file_digest(path, tmp_path / "c") == first
    os.utime(path, ns=(stamp + 1, stamp + 1))
    assert file_digest(path, tmp_path / "c") != first


def test_damaged_journal_files_are_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = two_takes(tmp_path)
    first = run(monkeypatch, paths, tmp_path / "c", FakeRecogniser())
    for kept in (tmp_path / "c").rglob("*.json"):
        kept.write_bytes(kept.read_bytes()[:40])
    assert run(monkeypatch, paths, tmp_path / "c", FakeRecogniser()) == first


def test_a_bad_recording_is_known_before_a_good_one_is_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    good, bad, captions = write_media(tmp_path / "a.wav", tone(3)), tmp_path / "b.wav", tmp_path / "c.vtt"
    bad.touch()
    captions.write_text("no captions")
    fake = FakeRecogniser()
    with pytest.raises(MediaError, match="zero bytes"):
        run(monkeypatch, [good, bad], tmp_path / "c", fake)
    with pytest.raises(TranscriptError, match="no caption"):
        run(monkeypatch, [good, captions], tmp_path / "c", fake)
    assert fake.heard == []


def test_a_cache_that_cannot_be_written_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "c").write_text("a file where the folder should be")
    with pytest.raises(WriteError, match="cannot be kept"):
        run(monkeypatch, [write_media(tmp_path / "a.wav", tone(3))], tmp_path / "c", FakeRecogniser())


def test_progress_goes_up_to_the_end_with_time_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    paths = two_takes(tmp_path)
    told: list[Progress] = []
    monkeypatch.setattr(recording_reader, "Whisper", lambda *_: FakeRecogniser())
    monkeypatch.setattr(
        recording_reader.RecordingReader, "_model", lambda _: Model(name="x", folder=tmp_path, key="k")
    )
    listen(
        paths,
        clock="takes",
        options=ListenOptions(device="cpu"),
        cache_dir=tmp_path / "c",
        progress=told.append,
    )
    done = [progress.done_s for progress in told]
    assert done == sorted(done)
    assert done[-1] == pytest.approx(told[-1].total_s, abs=0.5)
    assert {progress.file for progress in told} == {"take-1.flac", "take-2.mp4"}
    assert all(progress.eta_s is not None for progress in told[2:])


def test_damage_is_told_in_running_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = write_media(tmp_path / "a.wav", tone(10))
    second = write_media(tmp_path / "b.flac", tone(60))
    data = bytearray(second.read_bytes())
    data[int(len(data) * 0.4) : int(len(data) * 0.45)] = bytes(int(len(data) * 0.05))
    second.write_bytes(data)
    heard = run(monkeypatch, [first, second], tmp_path / "c", FakeRecogniser())
    assert [gap.kind for gap in heard.gaps] == ["damaged"]
    assert 31 < heard.gaps[0].start_s < 38


def test_pieces_are_cut_where_it_is_quiet() -> None:
    samples = np.ones(8 * pieces.RATE, dtype=np.float32) * 0.5
    samples[6 * pieces.RATE : 7 * pieces.RATE] = 0
    assert 6.2 * pieces.RATE < pieces.quietest(samples, 4 * pieces.RATE) < 6.8 * pieces.RATE


def test_pieces_hold_every_sample_once() -> None:
    rng = np.random.default_rng(3)
    samples = rng.standard_normal(50 * pieces.RATE).astype(np.float32)
    blocks = [pieces.Block(at, samples[at : at + 7000]) for at in range(0, samples.size, 7000)]
    cut = list(pieces.cut_pieces(blocks))
    assert np.array_equal(np.concatenate([piece.samples for piece in cut]), samples)
    assert all(piece.samples.size <= 8 * pieces.RATE for piece in cut)
    assert [piece.start for piece in cut[1:]] == [piece.start + piece.samples.size for piece in cut[:-1]]
