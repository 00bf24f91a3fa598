"""A real Chromium before the real desk, as the command line starts it."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
AXE = Path(__file__).parent.parent / "outside"
RULES = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")


def chromium() -> str:
    """Find a Chromium on this machine."""
    found = next((path for name in NAMES if (path := shutil.which(name))), None)
    if found is None:
        pytest.skip("needs a Chromium (apt-get install chromium)")
    return found


def axe_script() -> str:
    """Give axe-core, the judge of accessibility, as its npm package has it."""
    script = AXE / "node_modules" / "axe-core" / "axe.min.js"
    if not script.is_file():
        npm = shutil.which("npm")
        if npm is None:
            pytest.skip("needs npm (apt-get install npm) to fetch axe-core")
        done = subprocess.run(
            [npm, "install", "--no-audit", "--no-fund", "--no-package-lock"], cwd=AXE, capture_output=True, text=True, check=False
        )  # fmt: skip
        if done.returncode or not script.is_file():
            pytest.skip(f"axe-core cannot be fetched: {done.stderr[-200:]}")
    return script.read_text(encoding="utf-8")


class Running:
    """The command `benchscribe review` in a process of its own."""

    def __init__(self, episode: Path, cache: Path) -> None:
        """Start it and wait until it says where it is."""
        self.episode = episode
        code = "import sys; from benchscribe.cli import main; main(sys.argv[1:])"
        self.process = subprocess.Popen(
            [sys.executable, "-c", code, "review", str(episode), "--no-browser"],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "XDG_CACHE_HOME": str(cache), "PYTHONUNBUFFERED": "1"},
        )
        self.said: list[str] = []
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line)
            found = re.search(r"http://127\.0\.0\.1:\d+/open/\S+", line)
            if found:
                self.open_at = found[0]
                self.home = found[0].partition("/open/")[0]
                return
        raise AssertionError(f"the desk did not open: {''.join(self.said)}")

    def __enter__(self) -> Self:
        """Use it."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Stop it as Ctrl-C does."""
        self.stop()

    def stop(self) -> int:
        """Stop it as Ctrl-C does; give its status."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        rest, _ = self.process.communicate(timeout=60)
        self.said.append(rest or "")
        return self.process.returncode

    @property
    def decisions(self) -> Path:
        """The file of answers."""
        return self.episode / "decisions.toml"

    def out(self, name: str) -> str:
        """Give an output."""
        return (self.episode / "out" / name).read_text(encoding="utf-8")


def written(page: Any) -> None:  # noqa: ANN401 - a page of Playwright's
    """Wait until the desk says that all files are written."""
    until = time.monotonic() + 60
    while time.monotonic() < until:
        state = page.request.get(f"{page.url.split('/', 3)[0]}//{page.url.split('/', 3)[2]}/state").json()
        if state["written"]:
            return
        time.sleep(0.1)
    raise AssertionError("the files were not written in a minute")


def violations(page: Any, script: str) -> Sequence[str]:  # noqa: ANN401 - as above
    """Let axe-core look at a page; each violation with the first thing that has it."""
    page.evaluate(script)
    found = page.evaluate(
        "async rules => (await axe.run(document, {runOnly: rules})).violations", list(RULES)
    )
    return [f"{v['id']}: {v['help']}: {v['nodes'][0]['html'][:160]}" for v in found]
