"""`discard` in episode.toml throws away whole takes and stretches of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchscribe.build import load_episode
from benchscribe.discard import Discarded
from benchscribe.errors import BuildError
from benchscribe.main_job import write_episodes
from benchscribe.markers import strike_stretches
from benchscribe.records import Cue, EpisodeRecord, SourceFile, Transcript, Utterance, Word, from_json


def episode(folder: Path, *discard: str, takes: tuple[str, ...] = ("take-1.vtt", "take-2.vtt")) -> Path:
    for name in takes:
        (folder / name).write_text("WEBVTT\n\n00:00:01.000 --> 00:00:04.000\nThe shelf is 22 inches long.\n")
    listed = ", ".join(f'"{text}"' for text in discard)
    (folder / "episode.toml").write_text(f"discard = [{listed}]\n")
    return folder


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("take-2.vtt 3:10-4:05", Discarded("take-2.vtt", 190.0, 245.0)),
        ("take-2.vtt 3:10 - 4:05", Discarded("take-2.vtt", 190.0, 245.0)),
        ("take-2.vtt 3:10 to 4:05.5", Discarded("take-2.vtt", 190.0, 245.5)),
        ("take-2.mp4 3:10–1:04:05", Discarded("take-2.vtt", 190.0, 3845.0)),
    ],
)
def test_a_stretch_is_read_in_any_usual_form(tmp_path: Path, text: str, wanted: Discarded) -> None:
    found = load_episode(episode(tmp_path, text))
    assert found.discarded == (wanted,)
    assert [p.name for p in found.sources] == ["take-1.vtt", "take-2.vtt"]


def test_whole_takes_and_stretches_go_together(tmp_path: Path) -> None:
    found = load_episode(episode(tmp_path, "take-1.vtt", "take-2.vtt 0:10-0:20"))
    assert [p.name for p in found.sources] == ["take-2.vtt"]
    assert found.discarded == (Discarded("take-2.vtt", 10.0, 20.0),)


def test_a_take_whose_name_looks_like_a_stretch_is_the_take(tmp_path: Path) -> None:
    name = "bench 0:10-0:20"
    (tmp_path / name).write_text("")
    assert load_episode(episode(tmp_path, name)).discarded == ()


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("take-9.vtt 0:10-0:20", r"not a take here.*take-1\.vtt, take-2\.vtt"),
        ("take-1.vtt 0:20-0:10", r"ends at 0:10 and begins at 0:20"),
        ("take-1.vtt 20-10", r"which is not there"),
    ],
)
def test_what_cannot_be_meant_is_one_clear_sentence(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(BuildError, match=message):
        load_episode(episode(tmp_path, text))


WORDS = tuple(Word(f"w{n}", float(n), n + 0.8) for n in range(12))
TALK = Transcript(
    files=(
        SourceFile(name="a.wav", offset_s=0.0, duration_s=6.0, kind="audio"),
        SourceFile(name="b.wav", offset_s=6.0, duration_s=6.0, kind="audio"),
    ),
    clock="takes",
    words=WORDS,
    utterances=(Utterance((0, 4), 0.0, 3.8), Utterance((4, 8), 4.0, 7.8), Utterance((8, 12), 8.0, 11.8)),
    cues=(Cue((0, 6), 0.0, 5.8), Cue((6, 12), 6.0, 11.8)),
)


def test_the_words_of_a_stretch_go_and_others_keep_their_times() -> None:
    left = strike_stretches(TALK, [("b.wav", 1.0, 4.0)])
    assert [w.text for w in left.words] == [f"w{n}" for n in (0, 1, 2, 3, 4, 5, 6, 10, 11)]
    assert [(u.span, u.start_s, u.end_s) for u in left.utterances] == [
        ((0, 4), 0.0, 3.8), ((4, 7), 4.0, 6.8), ((7, 9), 10.0, 11.8),
    ]  # fmt: skip
    assert [c.span for c in left.cues] == [(0, 6), (6, 9)]
    (gap,) = left.gaps
    assert (gap.kind, gap.start_s, gap.end_s) == ("off-record", 7.0, 10.0)
    assert gap.note == "b.wav 0:01 to 0:04: discarded in episode.toml"


def test_a_stretch_behind_the_end_of_its_take_says_so() -> None:
    with pytest.raises(BuildError, match=r"b\.wav is discarded from 1:10 on, and it ends at 0:06"):
        strike_stretches(TALK, [("b.wav", 70.0, 80.0)])


def test_nothing_of_a_discarded_stretch_reaches_the_record(tmp_path: Path) -> None:
    folder = tmp_path / "build" / "episodes" / "01"
    folder.mkdir(parents=True)
    (tmp_path / "build" / "build.toml").write_text("")
    (tmp_path / "build" / "parts.csv").write_text("Part,Length\nShelf,22 1/2\n")
    (folder / "take-1.vtt").write_text(
        "WEBVTT\n\n00:00:01.000 --> 00:00:05.000\nThe shelf is 19 inches long.\n\n"
        "00:00:06.000 --> 00:00:10.000\nThe shelf is 22 and a half inches long.\n"
    )
    (folder / "episode.toml").write_text('discard = ["take-1.vtt 0:00-0:05.5"]\n')
    write_episodes((folder,), {"quiet": True})
    record: EpisodeRecord = from_json((folder / "out" / "record.json").read_bytes())
    assert [str(m.value) for m in record.measures] == ["45/2"]
    assert record.findings == ()
