"""Recordings of every kind are decoded; damage is skipped, placed and reported; what is no recording is said to be none."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from listen_media import CODECS, RATE, tone, write_media, write_picture_only

from benchscribe.clock import clock
from benchscribe.errors import MediaError
from benchscribe.listen import in_recording_order
from benchscribe.listen.decode import Decoder
from benchscribe.listen.media import probe
from benchscribe.records import Gap


def decode(path: Path) -> tuple[np.ndarray, tuple[Gap, ...]]:
    decoder = Decoder(path)
    blocks = list(decoder.blocks())
    at = 0
    for block in blocks:
        assert block.start == at
        at += block.samples.size
    return np.concatenate([block.samples for block in blocks]), decoder.gaps


@pytest.mark.parametrize("suffix", sorted(CODECS))
def test_every_container_is_decoded_to_its_full_length(tmp_path: Path, suffix: str) -> None:
    samples = tone(12.0)
    path = write_media(tmp_path / f"a.{suffix}", samples, picture=suffix in {"mp4", "mkv", "mov"})
    heard, gaps = decode(path)
    assert heard.dtype == np.float32
    assert abs(heard.size / RATE - 12.0) < 0.15
    assert gaps == ()
    loud = np.sqrt(np.mean(samples**2))
    assert np.sqrt(np.mean(heard**2)) == pytest.approx(loud, rel=0.1)
    info = probe(path)
    assert info.has_video == (suffix in {"mp4", "mkv", "mov"})
    assert info.duration_s == pytest.approx(12.0, abs=0.3)


def test_blocks_are_short(tmp_path: Path) -> None:
    blocks = list(Decoder(write_media(tmp_path / "a.flac", tone(30))).blocks())
    assert max(block.samples.size for block in blocks) <= 2 * RATE


def damage(path: Path, start: float, end: float, kind: str) -> Path:
    data = bytearray(path.read_bytes())
    a, b = int(len(data) * start), int(len(data) * end)
    if kind == "zeros":
        data[a:b] = bytes(b - a)
    elif kind == "noise":
        data[a:b] = np.random.default_rng(7).bytes(b - a)
    else:
        del data[a:b]
    target = path.with_stem(f"{path.stem}-{kind}")
    target.write_bytes(data)
    return target


@pytest.mark.parametrize("kind", ["zeros", "noise"])
@pytest.mark.parametrize("suffix", ["m4a", "flac", "opus", "mp4", "mkv", "mov"])
def test_a_damaged_stretch_is_skipped_and_placed(tmp_path: Path, suffix: str, kind: str) -> None:
    path = write_media(tmp_path / f"a.{suffix}", tone(60))
    heard, gaps = decode(damage(path, 0.40, 0.47, kind))
    assert abs(heard.size / RATE - 60) < 0.3, "what follows keeps its time"
    assert [gap.kind for gap in gaps] == ["damaged"]
    assert 21 < gaps[0].start_s < 28
    assert 26 < gaps[0].end_s < 32
    assert gaps[0].note.startswith(f"{clock(gaps[0].start_s)} to 0:")
    assert gaps[0].note.endswith("could not be read")
    after = heard[int(40 * RATE) : int(50 * RATE)]
    assert np.sqrt(np.mean(after**2)) > 0.05


def test_damage_in_an_mp3_is_reported(tmp_path: Path) -> None:
    heard, gaps = decode(damage(write_media(tmp_path / "a.mp3", tone(60)), 0.4, 0.5, "zeros"))
    assert heard.size / RATE > 50
    assert gaps


@pytest.mark.parametrize("suffix", ["wav", "mp3", "flac", "opus", "mkv"])
def test_a_file_that_breaks_off_is_reported(tmp_path: Path, suffix: str) -> None:
    heard, gaps = decode(damage(write_media(tmp_path / f"a.{suffix}", tone(60)), 0.6, 1.0, "cut"))
    assert 30 < heard.size / RATE < 42
    assert [gap.kind for gap in gaps] == ["short"]
    assert clock(heard.size / RATE) in gaps[0].note


def test_an_mp4_without_its_index_is_said_to_be_unfinished(tmp_path: Path) -> None:
    path = damage(write_media(tmp_path / "a.mp4", tone(20)), 0.5, 1.0, "cut")
    with pytest.raises(MediaError, match="not finished"):
        probe(path)


def message(path: Path) -> str:
    with pytest.raises(MediaError) as caught:
        probe(path)
    text = str(caught.value)
    assert str(path) in text
    assert "\n" not in text
    return text


def test_what_is_no_recording_gets_one_clear_sentence(tmp_path: Path) -> None:
    empty, junk, silent = tmp_path / "empty.wav", tmp_path / "junk.mp4", tmp_path / "film.mp4"
    empty.touch()
    junk.write_bytes(b"this is a letter, not a film\n" * 100)
    write_picture_only(silent)
    assert "zero bytes" in message(empty)
    assert "not a recording" in message(junk)
    assert "no sound" in message(silent)
    assert "no such file" in message(tmp_path / "gone.wav")
    assert "folder" in message(tmp_path)


def test_a_file_that_the_system_refuses_is_said_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_media(tmp_path / "a.wav", tone(1))

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert "permission denied" in message(path)


def test_a_device_is_no_recording(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.wav"
    os.mkfifo(pipe)
    assert "not a plain file" in message(pipe)


@pytest.mark.parametrize(
    "text",
    [
        "#EXTM3U\n#EXT-X-TARGETDURATION:10\n#EXTINF:10,\n{target}\n#EXT-X-ENDLIST\n",
        "ffconcat version 1.0\nfile '{target}'\n",
        "<?xml version='1.0'?><MPD xmlns='urn:mpeg:dash:schema:mpd:2011'><BaseURL>{target}</BaseURL></MPD>",
    ],
)
@pytest.mark.parametrize("suffix", ["mp4", "m3u8", "wav"])
def test_a_playlist_is_not_followed(tmp_path: Path, text: str, suffix: str) -> None:
    target = write_media(tmp_path / "real.wav", tone(2))
    path = tmp_path / f"list.{suffix}"
    path.write_text(text.format(target=target))
    assert "not a recording" in message(path)


def test_recordings_are_put_in_the_order_in_which_they_were_made(tmp_path: Path) -> None:
    late = write_media(tmp_path / "a.mp4", tone(1), tags={"creation_time": "2026-03-01T12:00:00Z"})
    early = write_media(tmp_path / "b.mp4", tone(1), tags={"creation_time": "2026-03-01T09:30:00Z"})
    assert probe(early).recorded_at == "2026-03-01T09:30:00+00:00"
    assert in_recording_order([late, early]) == (early, late)


def test_the_order_stays_where_one_recording_has_no_time(tmp_path: Path) -> None:
    late = write_media(tmp_path / "a.mp4", tone(1), tags={"creation_time": "2026-03-01T12:00:00Z"})
    unknown = write_media(tmp_path / "b.wav", tone(1))
    never_set = write_media(tmp_path / "c.mp4", tone(1), tags={"creation_time": "1970-01-01T00:00:00Z"})
    assert in_recording_order([late, unknown]) == (late, unknown)
    assert probe(never_set).recorded_at is None
