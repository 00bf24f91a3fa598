"""Chapters in a copy of the cut, as three readers that others wrote find them; and what else was in the file."""

from __future__ import annotations

import json
import shutil
import subprocess
from pathlib import Path

import av
import pytest
from sample_records import published

from benchscribe.writers.chapters import chapter_times
from benchscribe.writers.embed import embed_chapters

ENDINGS = (".mp4", ".mov", ".m4a", ".mkv", ".mp3", ".opus")
WANTED = [(c.start_s, c.title) for c in chapter_times(published())]
NEAR_S = 0.002

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def program() -> str:
    found = shutil.which("ffmpeg")
    if found is None or shutil.which("ffprobe") is None:
        pytest.skip("needs ffmpeg and ffprobe (apt-get install ffmpeg)")
    return found


@pytest.fixture(scope="module")
def copies(program: str, tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, Path]]:
    """Give a cut of each kind, made by the ffmpeg program, with its copy: picture, two languages and a cover where the kind has them."""
    folder = tmp_path_factory.mktemp("cuts")
    sound = ["-f", "lavfi", "-i", "sine=d=150:r=48000"]
    picture = ["-f", "lavfi", "-i", "testsrc=d=150:s=64x48:r=1"]
    cover = ["-f", "lavfi", "-i", "testsrc=d=1:s=64x48:r=1"]
    film = [*sound, *sound, *picture, "-map", "2", "-map", "0", "-map", "1", "-c:v", "mpeg4", "-c:a", "aac"]
    film += ["-metadata:s:a:0", "language=eng", "-metadata:s:a:1", "language=fra"]
    with_cover = [
        *sound,
        *cover,
        "-map",
        "0",
        "-map",
        "1",
        "-frames:v",
        "1",
        "-c:v",
        "mjpeg",
        "-disposition:v",
        "attached_pic",
    ]
    how = {
        ".mp4": [*film, "-movflags", "+faststart"],
        ".mov": film,
        ".mkv": film,
        ".m4a": [*with_cover, "-c:a", "aac"],
        ".mp3": [*with_cover, "-c:a", "libmp3lame", "-ac", "1"],
        ".opus": [*sound, "-c:a", "libopus"],
    }
    made = {}
    for ending, arguments in how.items():
        cut = folder / f"cut{ending}"
        subprocess.run(
            [program, "-v", "error", *arguments, "-metadata", "title=A build", str(cut)], check=True
        )
        made[ending] = cut, embed_chapters(published(), cut, folder / "out" / f"copy{ending}")
    return made


def probed(path: Path) -> dict[str, list[dict[str, object]]]:
    run = subprocess.run(
        ["ffprobe", "-v", "error", "-of", "json", "-show_chapters", "-show_streams", "-show_format", str(path)],
        check=True, capture_output=True, text=True,
    )  # fmt: skip
    answer: dict[str, list[dict[str, object]]] = json.loads(run.stdout)
    return answer


@pytest.mark.parametrize("ending", ENDINGS)
def test_ffprobe_finds_the_chapters(copies: dict[str, tuple[Path, Path]], ending: str) -> None:
    found = probed(copies[ending][1])["chapters"]
    assert [c["tags"]["title"] for c in found] == [title for _, title in WANTED]  # type: ignore[index]
    starts = [float(str(c["start_time"])) for c in found]
    assert starts == pytest.approx([start for start, _ in WANTED], abs=NEAR_S)
    assert starts[0] == 0.0


@pytest.mark.parametrize("ending", ENDINGS)
def test_pyav_finds_the_chapters(copies: dict[str, tuple[Path, Path]], ending: str) -> None:
    with av.open(str(copies[ending][1])) as media:
        found = [
            (float(c["start"] * (c["time_base"] or 1)), c["metadata"]["title"]) for c in media.chapters()
        ]
    assert [title for _, title in found] == [title for _, title in WANTED]
    assert [start for start, _ in found] == pytest.approx([start for start, _ in WANTED], abs=NEAR_S)


def test_mutagen_finds_the_chapters_of_an_mp3(copies: dict[str, tuple[Path, Path]]) -> None:
    id3 = pytest.importorskip("mutagen.id3")
    tags = id3.ID3(copies[".mp3"][1])
    chapters = sorted(tags.getall("CHAP"), key=lambda c: c.start_time)
    assert [c.sub_frames["TIT2"].text[0] for c in chapters] == [title for _, title in WANTED]
    assert [c.start_time / 1000 for c in chapters] == pytest.approx(
        [start for start, _ in WANTED], abs=NEAR_S
    )
    (contents,) = tags.getall("CTOC")
    assert contents.child_element_ids == [c.element_id for c in chapters]
    assert tags.getall("APIC"), "the cover is lost"


def test_mutagen_finds_the_chapters_of_an_m4a(copies: dict[str, tuple[Path, Path]]) -> None:
    mp4 = pytest.importorskip("mutagen.mp4")
    made = mp4.MP4(copies[".m4a"][1])
    assert [c.title for c in made.chapters] == [title for _, title in WANTED]
    assert [c.start for c in made.chapters] == pytest.approx([start for start, _ in WANTED], abs=NEAR_S)
    assert made["covr"], "the cover is lost"


def test_mutagen_finds_the_chapters_of_an_opus_file(copies: dict[str, tuple[Path, Path]]) -> None:
    oggopus = pytest.importorskip("mutagen.oggopus")
    tags = oggopus.OggOpus(copies[".opus"][1])
    for number, (start, title) in enumerate(WANTED):
        hours, minutes, seconds = tags[f"CHAPTER{number:03}"][0].split(":")
        assert 3600 * int(hours) + 60 * int(minutes) + float(seconds) == pytest.approx(start, abs=NEAR_S)
        assert tags[f"CHAPTER{number:03}NAME"] == [title]


@pytest.mark.parametrize("ending", ENDINGS)
def test_what_else_was_in_the_file_is_in_the_copy(copies: dict[str, tuple[Path, Path]], ending: str) -> None:
    cut, copy = (probed(path) for path in copies[ending])

    def streams(answer: dict[str, list[dict[str, object]]]) -> list[tuple[object, ...]]:
        return sorted(
            (
                str(s["codec_name"]),
                s["disposition"]["attached_pic"],  # type: ignore[index]
                s["disposition"]["default"],  # type: ignore[index]
                str(s.get("tags", {}).get("language")),  # type: ignore[attr-defined]
            )
            for s in answer["streams"]
            if s["codec_type"] in ("audio", "video")
        )

    assert streams(copy) == streams(cut)
    assert "A build" in json.dumps(copy)
    lasts = [float(answer["format"]["duration"]) for answer in (cut, copy)]  # type: ignore[call-overload]
    assert lasts[1] == pytest.approx(lasts[0], abs=0.1)


@pytest.mark.parametrize("ending", ENDINGS)
def test_sound_and_picture_decode_to_the_same(
    program: str, copies: dict[str, tuple[Path, Path]], ending: str
) -> None:
    def sums(path: Path) -> list[str]:
        arguments = [
            program,
            "-v",
            "error",
            "-i",
            str(path),
            "-map",
            "0:a",
            "-map",
            "0:v?",
            "-f",
            "streamhash",
            "-",
        ]
        return subprocess.run(arguments, check=True, capture_output=True, text=True).stdout.splitlines()

    cut, copy = copies[ending]
    assert len(sums(cut)) >= 1
    assert sums(copy) == sums(cut)


def test_an_index_that_stood_in_front_stands_in_front(copies: dict[str, tuple[Path, Path]]) -> None:
    cut, copy = (path.read_bytes() for path in copies[".mp4"])
    assert cut.index(b"moov") < cut.index(b"mdat")
    assert copy.index(b"moov") < copy.index(b"mdat")
