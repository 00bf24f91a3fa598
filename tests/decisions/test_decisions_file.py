"""The file of decisions as it is changed by the page: all or nothing, for the file that was looked at, comments kept."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from benchscribe.decisions import (
    DecisionsChangedError,
    change_decisions,
    digest_of,
    drop_table,
    load_decisions,
    put_table,
)
from benchscribe.errors import BuildError


def put(path: Path, heard: str, *, expected: str | None = None) -> None:
    """Put a word right."""
    change_decisions(
        path, lambda d: put_table(d, "word", {"heard": heard, "meant": "x", "file": ""}), expected=expected
    )


def test_a_change_for_another_file_than_is_there_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    seen = digest_of(path)
    put(path, "one", expected=seen)
    before = path.read_bytes()
    with pytest.raises(DecisionsChangedError):
        put(path, "two", expected=seen)
    assert path.read_bytes() == before


def test_a_change_that_would_break_the_file_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    put(path, "one")
    before = path.read_bytes()
    with pytest.raises(BuildError):
        change_decisions(path, lambda d: put_table(d, "step", {"change": "paint"}))
    assert path.read_bytes() == before


def test_empty_keys_are_left_out_and_tables_stand_apart(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    put(path, "one")
    put(path, "two")
    text = path.read_text()
    assert "file" not in tomllib.loads(text)["word"][0]
    assert 'meant = "x"\n\n[[word]]' in text


def test_a_text_that_looks_like_a_table_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    path.write_text('[[word]]\nheard = """a\n[[b"""\nmeant = "c"\n')
    put(path, "two")
    assert load_decisions(path).word[0].heard == "a\n[[b"


def test_comments_stay_where_tables_go(tmp_path: Path) -> None:
    path = tmp_path / "decisions.toml"
    for heard in ("one", "two", "three"):
        put(path, heard)
    path.write_text("# mine, at the top\n" + path.read_text().replace('"two"', '"two"  # asked the sawmill'))
    change_decisions(path, lambda d: drop_table(d, "word", 0))
    assert [w.heard for w in load_decisions(path).word] == ["two", "three"]
    assert "# mine, at the top" in path.read_text()
    assert "# asked the sawmill" in path.read_text()


@pytest.mark.parametrize(
    "text", ["[[word]]\nheard = 3\n", "[[paint]]\na = 1\n", "[[step]]\nchange = 'x'\n", "[[word"]
)
def test_a_broken_file_is_told_and_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "decisions.toml"
    path.write_text(text)
    with pytest.raises(BuildError, match=r"decisions\.toml"):
        put(path, "one")
    assert path.read_text() == text
