"""Settings files are read strictly, and a fault is named with its place and what is allowed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from benchscribe.build import BuildFile, EpisodeFile
from benchscribe.errors import BuildError
from benchscribe.settings import read_settings

if TYPE_CHECKING:
    from pathlib import Path


def written(folder: Path, text: str) -> Path:
    path = folder / "build.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_missing_file_gives_the_defaults(tmp_path: Path) -> None:
    assert read_settings(tmp_path / "build.toml", BuildFile) == BuildFile()


def test_every_key_of_a_full_file_is_read(tmp_path: Path) -> None:
    file = read_settings(
        written(
            tmp_path,
            'title = "Seed cabinet"\npart_list = "parts.csv"\nunits = "mm"\nplan = "own"\nedition = "2nd"\n'
            'write = ["guide"]\n[vocabulary]\ntools = ["froe"]\n[other_names]\n"Side panel" = ["cheek"]\n'
            '[markers]\nleave_out = ["strike that"]\n',
        ),
        BuildFile,
    )
    assert (file.title, file.units, file.plan, file.write) == ("Seed cabinet", "mm", "own", ("guide",))
    assert file.vocabulary.tools == ("froe",)
    assert file.other_names == {"Side panel": ("cheek",)}
    assert file.markers.leave_out == ("strike that",)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ('title = "x"\nunit = "mm"\n', 2, ['unknown key "unit"', 'Did you mean "units"?', "part_list"]),
        ('\n\nunits = "cm"\n', 3, ['"units"', '"inch", "mm"']),
        ("title = 5\n", 1, ['"title"', "text in quotes"]),
        ('plan = "bought"\n', 1, ['"plan"', '"private", "own"']),
        ('title = "x"\n[vocabulary]\ntool = ["saw"]\n', 3, ['"vocabulary.tool"', 'Did you mean "tools"?']),
        ('[vocabulary]\ntools = "saw"\n', 2, ['"vocabulary.tools"']),
    ],
)
def test_a_fault_is_named_with_its_line_and_what_is_allowed(
    tmp_path: Path, text: str, line: int, words: list[str]
) -> None:
    with pytest.raises(BuildError) as caught:
        read_settings(written(tmp_path, text), BuildFile)
    assert caught.value.where.endswith(f"build.toml, line {line}")
    for word in words:
        assert word in str(caught.value)


def test_a_file_that_is_not_toml_says_so_with_the_line(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match=r"not valid TOML.*line 2"):
        read_settings(written(tmp_path, 'title = "x"\nunits = inch\n'), BuildFile)


def test_a_file_that_is_not_utf8_says_so(tmp_path: Path) -> None:
    path = tmp_path / "build.toml"
    path.write_bytes(b'title = "caf\xe9"\n')
    with pytest.raises(BuildError, match="UTF-8"):
        read_settings(path, BuildFile)


def test_a_byte_order_mark_does_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "build.toml"
    path.write_bytes(b'\xef\xbb\xbftitle = "x"\n')
    assert read_settings(path, BuildFile).title == "x"


def test_chapters_may_be_a_word_or_a_number(tmp_path: Path) -> None:
    path = tmp_path / "episode.toml"
    path.write_text("chapters = 7\n")
    assert read_settings(path, EpisodeFile).chapters == 7
    path.write_text('chapters = "few"\n')
    assert read_settings(path, EpisodeFile).chapters == "few"
    path.write_text('chapters = "lots"\n')
    with pytest.raises(BuildError, match='"few", "some", "many"'):
        read_settings(path, EpisodeFile)


def test_a_date_needs_no_quotes(tmp_path: Path) -> None:
    assert read_settings(written(tmp_path, "date = 2026-11-20\n"), EpisodeFile).date == "2026-11-20"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('takes = "a.mp4"\n', "this is text, and must be a list. Allowed: a list of texts"),
        ("chapters = 0\n", "must be 1 or more"),
        ('chapters = "lots"\n', '"lots" is not allowed. Allowed: "few", "some", "many", a whole number'),
        ('number = "1"\n', "this is text, and must be a whole number"),
    ],
)
def test_a_wrong_value_is_told_in_plain_words(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(BuildError) as caught:
        read_settings(written(tmp_path, text), EpisodeFile)
    assert words in str(caught.value)
