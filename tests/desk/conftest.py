"""What the tests of the desk share: an open episode, and a client that is let in."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_build import make_build
from desk_client import Client

from benchscribe.desk.app import DeskApp
from benchscribe.desk.model import Desk


@pytest.fixture(scope="session")
def desk_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache folder for all tests: what was understood of the same words is understood once."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture
def episode(tmp_path: Path) -> Path:
    """The small build's episode folder, with sound."""
    return make_build(tmp_path / "build")


@pytest.fixture
def desk(episode: Path, desk_cache: Path) -> Iterator[Desk]:
    """The episode on the desk."""
    opened = Desk(episode, cache=desk_cache)
    opened.start()
    yield opened
    opened.close()


@pytest.fixture
def client(desk: Desk) -> Client:
    """The desk's own page, as far as a server can tell."""
    app = DeskApp(desk, port=8042, key="the-key", touched=lambda: None)
    return Client(app, desk)
