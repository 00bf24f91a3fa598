from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import av
import numpy as np
import pytest
from msgspec.structs import replace
from sample_records import cabinet, published

from benchscribe.errors import WriteError
from benchscribe.records import EpisodeRecord
from benchscribe.writers import embed
from benchscribe.writers.chapters import chapter_times
from benchscribe.writers.embed import embed_beside, embed_chapters

CODECS = {
    ".mp4": "aac",
    ".mov": "aac",
    ".m4a": "aac",
    ".mkv": "aac",
    ".mp3": "libmp3lame",
    ".opus": "libopus",
    ".flac": "flac",
}


def sound(path: Path, seconds: float = 150.0) -> Path:
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


def short() -> EpisodeRecord:
    """Give the sample with the chapters of its first twenty seconds."""
    record = published()
    return replace(record, chapters=tuple(c for c in record.chapters if (c.start_s or 0.0) < 20))


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
    assert [start for start, _ in found] == pytest.approx([c.start_s for c in wanted], abs=0.002)
    assert cut.read_bytes() == before
    assert [p.name for p in made.parent.iterdir()] == [made.name]


@pytest.mark.parametrize("ending", [".mp4", ".mkv", ".mp3"])
def test_sound_and_picture_are_copied_as_they_are(tmp_path: Path, ending: str) -> None:
    cut = sound(tmp_path / f"cut{ending}", 20)
    made = embed_chapters(short(), cut, tmp_path / f"copy{ending}")

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
    made = embed_beside(published(), cut, tmp_path, asked=False)
    assert made.path is None
    assert made.note.startswith("no copy with chapters: a .flac file holds no chapters; these do: mp4")


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


def test_the_copy_lies_in_the_folder_of_outputs_and_a_right_one_is_left(tmp_path: Path) -> None:
    cut = sound(tmp_path / "cut.m4a", 20)
    seen: list[tuple[float, float]] = []
    made = embed_beside(
        short(), cut, tmp_path / "out", asked=False, progress=lambda done, total: seen.append((done, total))
    )
    assert made.path == tmp_path / "out" / "cut-with-chapters.m4a"
    assert made.note == ""
    assert seen == sorted(seen)
    assert len(seen) > 10
    first = made.path.stat().st_mtime_ns, made.path.stat().st_ino
    assert embed_beside(short(), cut, tmp_path / "out", asked=False) == made
    assert (made.path.stat().st_mtime_ns, made.path.stat().st_ino) == first


def test_a_changed_title_makes_the_copy_anew(tmp_path: Path) -> None:
    cut = sound(tmp_path / "cut.m4a", 20)
    embed_beside(short(), cut, tmp_path, asked=False)
    record = short()
    chapters = (replace(record.chapters[0], title="Another beginning"), *record.chapters[1:])
    made = embed_beside(replace(record, chapters=chapters), cut, tmp_path, asked=False)
    assert made.path is not None
    assert chapters_of(made.path)[0][1] == "Another beginning"


def test_another_cut_makes_the_copy_anew(tmp_path: Path) -> None:
    cut = sound(tmp_path / "cut.m4a", 20)
    made = embed_beside(short(), cut, tmp_path / "out", asked=False)
    assert made.path is not None
    sound(cut, 30)
    embed_beside(short(), cut, tmp_path / "out", asked=False)
    with av.open(str(made.path)) as media:
        assert media.duration is not None
        assert media.duration / 1e6 == pytest.approx(30, abs=0.2)


def test_without_a_published_cut_nothing_is_said_unless_it_was_asked_for(tmp_path: Path) -> None:
    cut = sound(tmp_path / "cut.m4a", 2)
    assert embed_beside(cabinet(), cut, tmp_path / "out", asked=False) == embed.Embedded(None)
    asked = embed_beside(published(), None, tmp_path / "out", asked=True)
    assert asked == embed.Embedded(None, "no copy with chapters: there is no published cut")
    assert not (tmp_path / "out").exists()


def test_a_very_large_cut_is_copied_only_where_it_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cut = sound(tmp_path / "cut.m4a", 20)
    monkeypatch.setattr(embed, "LARGE_BYTES", 1000)
    left = embed_beside(short(), cut, tmp_path / "out", asked=False)
    assert left.path is None
    assert "--only embedded" in left.note
    assert embed_beside(short(), cut, tmp_path / "out", asked=True).path is not None


def test_no_room_for_a_copy_is_told_before_anything_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cut = sound(tmp_path / "cut.m4a", 20)
    monkeypatch.setattr(embed.shutil, "disk_usage", lambda _: (10**9, 10**9, 1000))
    made = embed_beside(short(), cut, tmp_path / "out", asked=False)
    assert made.path is None
    assert "there is no room for a copy" in made.note
    assert not list((tmp_path / "out").iterdir())


def test_chapters_of_another_cut_are_told(tmp_path: Path) -> None:
    cut = sound(tmp_path / "cut.m4a", 20)
    with pytest.raises(WriteError, match="after the end of this file at 20 s"):
        embed_chapters(published(), cut, tmp_path / "copy.m4a")


@pytest.mark.parametrize(
    ("what", "mend"),
    [
        ("does not hold", lambda _: ((0.0, "other"),)),
        ("does not hold", lambda _: ()),
    ],
)
def test_a_copy_that_does_not_read_back_is_thrown_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: str, mend: Callable[[Path], object]
) -> None:
    cut = sound(tmp_path / "cut.m4a", 20)
    monkeypatch.setattr(embed, "titles_of", mend)
    with pytest.raises(WriteError, match=what):
        embed_chapters(short(), cut, tmp_path / "copy.m4a")
    assert [p.name for p in tmp_path.iterdir()] == ["cut.m4a"]


def test_a_copy_cut_short_is_thrown_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cut = sound(tmp_path / "cut.m4a", 20)
    lengths = iter([20.0, 20.0, 12.0])
    monkeypatch.setattr(embed, "length_of", lambda _: next(lengths))
    with pytest.raises(WriteError, match="shorter than the cut"):
        embed_chapters(short(), cut, tmp_path / "copy.m4a")
    assert [p.name for p in tmp_path.iterdir()] == ["cut.m4a"]


def test_names_languages_and_whole_file_tags_stay(tmp_path: Path) -> None:
    cut = tmp_path / "cut.mkv"
    with av.open(str(cut), "w") as out:
        out.metadata["title"] = "My build"
        for language, title in (("eng", "Talk"), ("fra", "Remarks")):
            stream = out.add_stream("aac", rate=48000)
            stream.metadata.update(language=language, title=title)
        for stream in out.streams.audio:
            for number in range(12):
                frame = av.AudioFrame.from_ndarray(
                    np.zeros((1, 48000), np.float32), format="fltp", layout="mono"
                )
                frame.sample_rate, frame.pts = 48000, number * 48000
                out.mux(stream.encode(frame))
            out.mux(stream.encode(None))
    record = replace(published(), chapters=published().chapters[:1])
    with av.open(str(embed_chapters(record, cut, tmp_path / "copy.mkv"))) as made:
        assert made.metadata["title"] == "My build"
        assert [(s.metadata["language"], s.metadata["title"]) for s in made.streams] == [
            ("eng", "Talk"), ("fra", "Remarks"),
        ]  # fmt: skip
