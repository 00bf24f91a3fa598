"""What all tests share: golden files, and the flag that renews them."""

from __future__ import annotations

import difflib
import os
from collections.abc import Callable
from pathlib import Path

import pytest

GOLDEN = Path(__file__).parent / "golden"


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the flag."""
    parser.addoption(
        "--update-golden",
        action="store_true",
        help="write what comes out as the new golden files; read the diff",
    )


def pytest_configure(config: pytest.Config) -> None:
    """Refuse the flag where nobody reads the diff."""
    if config.getoption("--update-golden") and os.environ.get("CI"):
        raise pytest.UsageError("--update-golden is for people who read the diff; CI is set")


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Callable[[str, str | bytes], None]:
    """Compare with a golden file, named by its path under tests/golden.

    On a difference what came out is kept beside it with ".actual" added, and the test fails with the diff.
    """
    renew = bool(request.config.getoption("--update-golden"))

    def compare(name: str, made: str | bytes) -> None:
        path = GOLDEN / name
        data = made.encode() if isinstance(made, str) else made
        if renew:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
            return
        kept = path.read_bytes() if path.is_file() else b""
        actual = path.with_name(path.name + ".actual")
        if kept == data:
            actual.unlink(missing_ok=True)
            return
        actual.parent.mkdir(parents=True, exist_ok=True)
        actual.write_bytes(data)
        diff = difflib.unified_diff(
            kept.decode(errors="replace").splitlines(), data.decode(errors="replace").splitlines(),
            f"golden/{name}", "made now", lineterm="",
        )  # fmt: skip
        pytest.fail(
            "\n".join([*diff, "", "Is this what you meant? Then run with --update-golden."]), pytrace=False
        )

    return compare
