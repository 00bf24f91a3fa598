from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import pytest
from sample_records import cabinet, published

from benchscribe.errors import WriteError
from benchscribe.writers.chapters import chapter_times
from benchscribe.writers.embed import embed_chapters

CODECS = {
    ".mp4": "aac",
    ".mov": "aac",
    ".m4a": "aac",
    ".mkv": "aac",
    ".mp3": "libmp3lame",
    ".opus": "libopus",
    ".flac": "flac",
}


def sound(path: Path, seconds: float = 130.0) -> Path:
    """Write a quiet tone, with a picture where the format has one."""
    rate = 48000
    with av.open(str(path), "w") as out:
        stream = out.add_stream(CODECS[path.suffix], rate=rate)
        stream.layout = "mono"
        if path.suffix in (".mp4", ".mov", ".mkv"):
            picture = out.add_stream("mpeg4", rate=1)
            picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
            for _ in range(int(seconds)):
                frame = av.VideoFrame.from_ndarray(np.zeros((48, 64, 3), np.uint8), format="rgb24")
                out.mux(picture.encode(frame))
            out.mux(picture.encode(None))
        step = rate
        for number in range(int(seconds)):
            wave = (1000 * np.sin(np.arange(step) * 0.05)).astype(np.int16)[np.newaxis]
            frame = av.AudioFrame.from_ndarray(wave, format="s16", layout="mono")
            frame.sample_rate = rate
            frame.pts = number * step
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))
    return path


def chapters_of(path: Path) -> list[tuple[float, str]]:
    with av.open(str(path)) as media:
        return [(float(c["start"] * c["time_base"]), c["metadata"]["title"]) for c in media.chapters()]


@pytest.mark.parametrize("ending", [".mp4", ".mov", ".m4a", ".mkv", ".mp3", ".opus"])
def test_chapters_go_into_a_copy_and_the_cut_stays_as_it_was(tmp_path: Path, ending: str) -> None:
    cut = sound(tmp_path / f"cut{ending}")
    before = cut.read_bytes()
    made = embed_chapters(published(), cut, tmp_path / "out" / f"cut-with-chapters{ending}")
    found, wanted = chapters_of(made), chapter_times(published())
    assert [title for _, title in found] == [c.title for c in wanted]
    late = [start - c.start_s for (start, _), c in zip(found, wanted, strict=True)]
    assert (
        all(-0.5 < seconds < 0.05 for seconds in late)
        if ending == ".opus"
        else all(abs(s) < 0.05 for s in late)
    )
    assert cut.read_bytes() == before
    assert [p.name for p in made.parent.iterdir()] == [made.name]


@pytest.mark.parametrize("ending", [".mp4", ".mkv", ".mp3"])
def test_sound_and_picture_are_copied_as_they_are(tmp_path: Path, ending: str) -> None:
    cut = sound(tmp_path / f"cut{ending}", 20)
    made = embed_chapters(published(), cut, tmp_path / f"copy{ending}")

    def packets(path: Path) -> list[tuple[str, bytes]]:
        with av.open(str(path)) as media:
            wanted = [s for s in media.streams if s.type in ("audio", "video")]
            return sorted((p.stream.type, bytes(p)) for p in media.demux(wanted) if p.size)

    assert packets(cut)
    assert packets(made) == packets(cut)


def test_a_format_without_chapters_is_told(tmp_path: Path) -> None:
    cut = sound(tmp_path / "cut.flac", 2)
    with pytest.raises(WriteError, match=r"holds no chapters.*mp4"):
        embed_chapters(published(), cut, tmp_path / "copy.flac")


def test_the_cut_itself_is_never_written_to(tmp_path: Path) -> None:
    cut = sound(tmp_path / "cut.m4a", 2)
    with pytest.raises(WriteError, match="never written to"):
        embed_chapters(published(), cut, cut)


def test_times_of_takes_are_not_put_into_a_cut(tmp_path: Path) -> None:
    cut = sound(tmp_path / "cut.m4a", 2)
    with pytest.raises(WriteError, match="time of the published cut"):
        embed_chapters(cabinet(), cut, tmp_path / "copy.m4a")


def test_what_is_no_recording_is_told_and_leaves_nothing(tmp_path: Path) -> None:
    cut = tmp_path / "cut.mp4"
    cut.write_text("no recording")
    with pytest.raises(WriteError, match="cannot be put into a copy"):
        embed_chapters(published(), cut, tmp_path / "out" / "copy.mp4")
    assert not list((tmp_path / "out").iterdir())
