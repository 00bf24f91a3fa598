"""The copy with chapters as a maker gets it: from an episode folder, by the command line and by build.toml."""

from __future__ import annotations

from pathlib import Path

import av
import numpy as np
import pytest

from benchscribe.cli import main

TALK = (
    "This is the rack for the pots, and today we make the two long rails out of oak.",
    "I rip the rails to three inches on the table saw and keep the push stick handy.",
    "Next up are the feet, four of them, and each one is cut to five inches on the miter saw.",
    "I drill a hole in each foot, half an inch across, on the drill press with a fence behind it.",
    "Now the oil goes on with a rag, two coats, and the rag dries flat outside.",
    "That is the rack done, and next week we'll hang it on the wall.",
)
EACH_S = 30


@pytest.fixture
def episode(tmp_path: Path) -> Path:
    """Give an episode of three minutes whose cut has captions beside it, so that nothing need be listened to."""
    folder = tmp_path / "episodes" / "01-rack"
    folder.mkdir(parents=True)
    (tmp_path / "build.toml").write_text('title = "Rack"\nunits = "inch"\n', "utf-8")
    cues = [
        f"00:0{n * EACH_S // 60}:{n * EACH_S % 60:02}.500 --> 00:0{n * EACH_S // 60}:{n * EACH_S % 60 + 6:02}.000\n{text}"
        for n, text in enumerate(TALK)
    ]
    (folder / "cut.vtt").write_text("WEBVTT\n\n" + "\n\n".join(cues) + "\n", "utf-8")
    record_tone(folder / "cut.m4a", "aac")
    return folder


def record_tone(path: Path, codec: str) -> None:
    with av.open(str(path), "w") as out:
        stream = out.add_stream(codec, rate=48000)
        for number in range(len(TALK) * EACH_S):
            wave = np.zeros((1, 48000), np.int16 if codec == "flac" else np.float32)
            frame = av.AudioFrame.from_ndarray(
                wave, format="s16" if codec == "flac" else "fltp", layout="mono"
            )
            frame.sample_rate, frame.pts = 48000, number * 48000
            out.mux(stream.encode(frame))
        out.mux(stream.encode(None))


def titles(path: Path) -> list[str]:
    with av.open(str(path)) as media:
        return [c["metadata"]["title"] for c in media.chapters()]


def listed(folder: Path) -> list[str]:
    lines = (folder / "out" / "chapters.vtt").read_text("utf-8").split("\n\n")[1:]
    return [block.splitlines()[-1] for block in lines]


def test_the_main_job_makes_the_copy_and_leaves_the_cut(
    episode: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (episode / "cut.m4a").read_bytes()
    main(["write", str(episode)])
    assert titles(episode / "out" / "cut-with-chapters.m4a") == listed(episode)
    assert (episode / "cut.m4a").read_bytes() == before
    assert "cut-with-chapters.m4a" in capsys.readouterr().out


def test_it_is_chosen_like_any_other_output(episode: Path) -> None:
    copy = episode / "out" / "cut-with-chapters.m4a"
    main(["write", str(episode), "--except", "embedded", "--quiet"])
    assert not copy.exists()
    main(["write", str(episode), "--only", "chapters", "--quiet"])
    assert not copy.exists()
    build = episode.parent.parent / "build.toml"
    build.write_text(build.read_text("utf-8") + 'write = ["chapters", "embedded"]\n', "utf-8")
    main(["write", str(episode), "--quiet"])
    assert titles(copy) == listed(episode)


def test_a_cut_that_holds_no_chapters_is_a_note_and_no_failure(
    episode: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (episode / "cut.m4a").unlink()
    record_tone(episode / "cut.flac", "flac")
    main(["write", str(episode)])
    out = capsys.readouterr().out
    assert "Note: no copy with chapters: a .flac file holds no chapters; these do: mp4, " in out
    assert (episode / "out" / "record.json").exists()


def test_asking_for_nothing_but_the_copy_where_there_can_be_none_is_an_error(
    episode: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (episode / "cut.m4a").unlink()
    with pytest.raises(SystemExit):
        main(["write", str(episode), "--only", "embedded"])
    assert capsys.readouterr().err == "benchscribe: no copy with chapters: there is no published cut.\n"
