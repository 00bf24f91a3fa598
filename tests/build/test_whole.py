"""A file is whole or not there."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from benchscribe.whole import put_whole


def test_a_file_is_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "x.txt"
    put_whole(target, b"old")

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pathlib.Path.replace", fails)
    with pytest.raises(OSError, match="No space"):
        put_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["x.txt"]


def test_the_folder_is_made_and_the_file_is_as_readable_as_any_other(tmp_path: Path) -> None:
    (tmp_path / "plain").write_bytes(b"")
    put_whole(tmp_path / "a" / "b" / "x.txt", b"new", wait=True)
    assert (tmp_path / "a" / "b" / "x.txt").read_bytes() == b"new"
    assert (tmp_path / "a" / "b" / "x.txt").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_two_threads_that_write_the_same_file_leave_one_of_their_texts(tmp_path: Path) -> None:
    target = tmp_path / "x.txt"
    texts = [letter * 200_000 for letter in (b"a", b"b", b"c")]
    writers = [threading.Thread(target=put_whole, args=(target, text)) for text in texts]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    assert target.read_bytes() in texts
    assert [p.name for p in tmp_path.iterdir()] == ["x.txt"]
