"""Nothing that goes out carries a take's time, unless it says that it is a draft.

The demo's second episode is told by captions whose takes begin an hour into their recordings: a take's time is an hour or more, the cut's is
minutes. So a take's time that slips into an output cannot hide.
"""

from __future__ import annotations

import json
import random
import re
import shutil
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from benchscribe.main_job import write_episodes
from benchscribe.records import EpisodeRecord, from_json

DEMO = Path(__file__).parents[2] / "demo_media"
SAID = json.loads((DEMO / "truth" / "02-said.json").read_text(encoding="utf-8"))
EDIT = json.loads((DEMO / "truth" / "02-cut.json").read_text(encoding="utf-8"))["pieces"]
HOUR = 3600.0
OWN = re.compile(r"record\.json|for-review\.md|markers.*|cut-map\.svg")
"""What is written for the maker alone; it names the take beside each time."""
CLOCK = re.compile(r"(?<![\d:/.])(?:(\d{1,2}):)?(\d{1,2}):(\d\d)(?:[.,]\d+)?(?![\d:])")
TEXT = frozenset({".md", ".txt", ".html", ".vtt", ".srt", ".csv", ".json"})


def stamp(seconds: float) -> str:
    return f"{int(seconds // 3600):02}:{int(seconds % 3600 // 60):02}:{seconds % 60:06.3f}"


def captions(sentences: Sequence[tuple[float, float, str]]) -> str:
    return "WEBVTT\n\n" + "\n\n".join(f"{stamp(a)} --> {stamp(b)}\n{text}" for a, b, text in sentences) + "\n"


def edited() -> list[tuple[float, float, str]]:
    """Tell the demo's cut."""
    out = []
    for piece in EDIT:
        for take in SAID if piece["take"] else ():
            for s in take["sentences"]:
                if piece["take"][0] <= s["start"] and s["end"] <= piece["take"][1]:
                    lag = piece["take"][0] - piece["cut"][0]
                    out.append((s["start"] - lag, s["end"] - lag, s["text"]))
    return out


def rough(seed: int) -> list[tuple[float, float, str]]:
    """Tell a rough cut of it: a third is out, the rest is in passages of six sentences, shuffled."""
    rng = random.Random(seed)  # noqa: S311 - invented data
    every = [(s["end"] - s["start"], s["text"]) for take in SAID for s in take["sentences"]]
    passages = [every[n : n + 6] for n in range(0, len(every), 6)]
    kept = rng.sample(passages, len(passages) * 2 // 3)
    out, at = [], 2.0
    for length, text in (sentence for passage in kept for sentence in passage):
        out.append((at, at + length, text))
        at += length + 0.3
    return out


def written(folder: Path, cut: Sequence[tuple[float, float, str]] | None) -> tuple[EpisodeRecord, Path]:
    build = folder / "build"
    shutil.copytree(
        DEMO / "build", build, ignore=shutil.ignore_patterns("*.m4a", "*.mkv", "*.opus", "*.mp4", "01-*")
    )
    episode = next((build / "episodes").glob("02-*"))
    for take in SAID:
        told = [
            (s["start"] - take["offset"] + HOUR, s["end"] - take["offset"] + HOUR, s["text"])
            for s in take["sentences"]
        ]
        (episode / take["take"]).with_suffix(".vtt").write_text(captions(told))
    settings = (episode / "episode.toml").read_text(encoding="utf-8")
    (episode / "episode.toml").write_text(re.sub(r"(?m)^takes\b.*$", "", settings), encoding="utf-8")
    settings = (build / "build.toml").read_text(encoding="utf-8")
    (build / "build.toml").write_text(
        re.sub(r"(?m)^write\b.*$", "", settings), encoding="utf-8"
    )  # every writer
    if cut:
        (episode / "cut.vtt").write_text(captions(cut))
    write_episodes((episode,), {"quiet": True})
    return from_json((episode / "out" / "record.json").read_bytes()), episode / "out"


def texts(out: Path) -> Iterator[tuple[str, str]]:
    for path in sorted(out.iterdir()):
        if path.suffix in TEXT:
            yield path.name, path.read_text(encoding="utf-8")
        elif path.suffix == ".pdf":
            import pdfplumber

            with pdfplumber.open(path) as pdf:
                yield path.name, "\n".join(page.extract_text() or "" for page in pdf.pages)


def times(text: str) -> list[float]:
    return [int(m[1] or 0) * 3600 + int(m[2]) * 60 + int(m[3]) for m in CLOCK.finditer(text)]


@pytest.mark.timeout(300)
def test_with_takes_alone_whatever_has_a_time_says_that_it_is_a_draft(tmp_path: Path) -> None:
    record, out = written(tmp_path, None)
    assert record.draft
    timed = {name: text for name, text in texts(out) if any(t >= HOUR for t in times(text))}
    assert {"show-notes.md", "chapters.vtt", "captions.vtt", "guide.md"} <= set(timed)
    assert [name for name, text in timed.items() if "draft" not in text.lower()] == []


@pytest.mark.timeout(300)
@pytest.mark.parametrize("cut", [edited(), rough(1), rough(2)], ids=["demo", "rough 1", "rough 2"])
def test_with_a_cut_nothing_public_knows_a_take(tmp_path: Path, cut: list[tuple[float, float, str]]) -> None:
    record, out = written(tmp_path, cut)
    assert (record.draft, record.transcript.clock) == (False, "cut")
    assert record.cut_pieces
    end = cut[-1][1] + 3  # a caption may stand a little longer than its words
    public = [(name, text) for name, text in texts(out) if not OWN.fullmatch(name)]
    assert {"show-notes.md", "description.txt", "chapters.vtt", "captions.srt", "guide.html"} <= {
        n for n, _ in public
    }
    for name, text in public:
        assert "take-" not in text, name
        late = [t for t in times(text) if t > end]
        assert late == [], f"{name} has a time behind the end of the cut"
        assert "times are of the takes" not in text, name
    assert any(times(text) for _, text in public)


@pytest.mark.timeout(300)
def test_for_the_maker_every_take_time_names_its_take(tmp_path: Path) -> None:
    record, out = written(tmp_path, rough(1))
    review = (out / "for-review.md").read_text(encoding="utf-8")
    assert record.not_in_cut
    for match in CLOCK.finditer(review):
        if int(match[1] or 0) * 3600 + int(match[2]) * 60 >= HOUR:
            assert re.search(r"take-\d\.vtt (at )?$", review[: match.start()]), review[
                match.start() - 60 : match.end()
            ]
