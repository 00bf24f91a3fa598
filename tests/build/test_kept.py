"""What was understood is kept on disk: found again for the very same inputs, never for others."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec import structs

import benchscribe.episode
from benchscribe.build import load_episode
from benchscribe.decisions import Decisions
from benchscribe.episode import Edited, Heard, Job, edit, hear, make_record, understanding_of
from benchscribe.kept import Kept, Understanding
from benchscribe.main_job import episode_job
from benchscribe.records import Word

TALK = """WEBVTT

00:01.000 --> 00:05.000
Rip the rails to two and a half on the table saw.

00:06.000 --> 00:10.000
Then cut the rails to thirty four and a quarter.
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A small build's episode folder."""
    episode = tmp_path / "build" / "episodes" / "01"
    episode.mkdir(parents=True)
    (tmp_path / "build" / "build.toml").write_text('title = "Tray"\nunits = "inch"\n')
    (tmp_path / "build" / "parts.csv").write_text("Part,Width,Length\nRail,2 1/2,34 1/4\n")
    (episode / "take-1.vtt").write_text(TALK)
    return episode


@pytest.fixture
def job(folder: Path, tmp_path: Path) -> Job:
    """What a run of it needs."""
    made, _ = episode_job(load_episode(folder), {})
    return structs.replace(made, cache=tmp_path / "cache")


def talk_of(job: Job) -> Edited:
    """Give what was said."""
    return edit(hear(job), Decisions(), job)


@pytest.fixture
def works(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Count how often something is understood anew."""
    done: list[int] = []
    work_out = benchscribe.episode.work_out

    def counted(*given: object, **named: object) -> object:
        done.append(1)
        return work_out(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(benchscribe.episode, "work_out", counted)
    return done


def test_the_same_words_are_understood_once(job: Job, works: list[int]) -> None:
    first = make_record(job)
    assert make_record(job) == first
    assert len(works) == 1


def test_a_title_an_answer_or_other_chapters_cost_no_second_understanding(job: Job, folder: Path, works: list[int]) -> None:  # fmt: skip
    make_record(job)
    (folder / "decisions.toml").write_text('[[tool]]\nchange = "add"\nname = "adze"\n')
    record = make_record(
        structs.replace(job, info=structs.replace(job.info, title="Another"), chapters="many")
    )
    assert record.info.title == "Another"
    assert [t.name for t in record.tools][-1] == "adze"
    assert len(works) == 1


@pytest.mark.parametrize("change", ["word", "time", "part", "units", "vocabulary", "other name", "marker"])
def test_anything_that_it_comes_from_makes_it_another(
    job: Job, folder: Path, works: list[int], change: str
) -> None:
    make_record(job)
    talk, parts = folder / "take-1.vtt", folder.parent.parent / "parts.csv"
    if change == "word":
        talk.write_text(TALK.replace("two and a half", "two and a quarter"))
    elif change == "time":
        talk.write_text(TALK.replace("00:06.000", "00:06.100"))
    elif change == "part":
        parts.write_text(parts.read_text().replace("34 1/4", "34 1/2"))
    elif change == "units":
        job = structs.replace(job, units="mm")
    elif change == "vocabulary":
        job = structs.replace(job, vocabulary=structs.replace(job.vocabulary, tools=("whizzer",)))
    elif change == "other name":
        job = structs.replace(job, other_names={"Rail": ("stretcher",)})
    else:
        job = structs.replace(job, markers=structs.replace(job.markers, warning=("mind this",)))
    make_record(job)
    assert len(works) == 2


def test_a_word_put_right_is_understood_anew_and_the_old_one_is_still_there(job: Job, folder: Path, works: list[int]) -> None:  # fmt: skip
    before = make_record(job)
    (folder / "decisions.toml").write_text('[[word]]\nheard = "half"\nmeant = "quarter"\nfile = "take-1.vtt"\nat = 3.5\nsentence = "Rip the rails to two and a half on the table saw."\n')  # fmt: skip
    assert make_record(job).measures[0].value != before.measures[0].value
    (folder / "decisions.toml").unlink()
    assert make_record(job) == before
    assert len(works) == 2


def test_another_program_does_not_find_it(
    job: Job, works: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    make_record(job)
    monkeypatch.setattr("benchscribe.kept._program", lambda: b"another version")
    make_record(job)
    assert len(works) == 2


def test_the_key_holds_the_programs_own_words_and_code(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from benchscribe import kept

    home = tmp_path / "benchscribe"
    (home / "mentions").mkdir(parents=True)
    (home / "mentions" / "tools.txt").write_text("adze\n")
    (home / "kept.py").write_text("")
    monkeypatch.setattr(kept, "__file__", str(home / "kept.py"))
    before = kept._program()
    (home / "mentions" / "tools.txt").write_text("adzes\n")
    after = kept._program()
    assert before != after
    (home / "mentions" / "tools.txt").write_text("adze\n")
    assert kept._program() == before


def test_a_damaged_file_is_understood_anew(job: Job, works: list[int]) -> None:
    first = make_record(job)
    for path in (job.cache / "understood").iterdir():
        path.write_bytes(path.read_bytes()[:-20])
    assert make_record(job) == first
    assert len(works) == 2


def test_a_cache_that_cannot_be_written_is_no_error(job: Job, works: list[int]) -> None:
    job.cache.mkdir(exist_ok=True)
    (job.cache / "understood").write_text("a file, not a folder")
    assert make_record(job) == make_record(job)
    assert len(works) == 2


def test_only_the_latest_are_kept(job: Job) -> None:
    edited = talk_of(job)
    found = understanding_of(edited, job)
    kept = Kept(job.cache)
    for number in range(70):
        kept.keep(f"{number:040}", found)
    assert len(list((job.cache / "understood").iterdir())) <= 61
    assert kept.find(f"{69:040}", Understanding) == found


def test_words_with_the_same_text_at_other_times_have_another_key(job: Job) -> None:
    heard = hear(job)
    later = tuple(Word(w.text, (w.start_s or 0) + 1, w.end_s, w.confidence) for w in heard.takes.words)
    moved = Heard(takes=structs.replace(heard.takes, words=later), part_list=heard.part_list)
    kept = Kept(job.cache)
    assert kept.key(heard.takes) != kept.key(moved.takes)
