"""What the browser tests share: Chromium, a running desk, a page on it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from desk_browser import Running, chromium

sys.path.insert(0, str(Path(__file__).parent.parent / "desk"))
from desk_build import make_build


@pytest.fixture(scope="session")
def shared_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A cache for all desks, so that the same words are understood once."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Chromium, without a window."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as tools:
        opened = tools.chromium.launch(
            executable_path=chromium(), args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required"]
        )
        yield opened
        opened.close()


@pytest.fixture
def running(tmp_path: Path, shared_cache: Path) -> Iterator[Running]:
    """The small build on the desk."""
    with Running(make_build(tmp_path / "build"), shared_cache) as desk:
        yield desk


@pytest.fixture
def page(browser: Any, running: Running) -> Iterator[Any]:  # noqa: ANN401 - Playwright's own
    """A page on the desk, which must not complain of anything."""
    context = browser.new_context(
        viewport={"width": 1280, "height": 900}, permissions=["clipboard-read", "clipboard-write"]
    )
    opened = context.new_page()
    complaints: list[str] = []
    opened.on("pageerror", lambda error: complaints.append(str(error)))
    opened.on(
        "console", lambda said: complaints.append(said.text) if said.type in ("error", "warning") else None
    )
    opened.goto(running.open_at)
    opened.complaints = complaints
    yield opened
    context.close()
