"""The desk as a process: it opens on this machine alone, and closes by itself when nobody is there."""

from __future__ import annotations

import re
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow
CODE = """
import sys
from pathlib import Path
from benchscribe.desk import review
say = lambda text: print(text, flush=True)
review(Path(sys.argv[1]), browser=False, cache=Path(sys.argv[2]), idle_s=float(sys.argv[3]), say=say)
"""


def test_the_desk_closes_when_nobody_is_there(episode: Path, desk_cache: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", CODE, str(episode), str(desk_cache), "1.5"], capture_output=True, text=True, timeout=100, check=False
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "Nobody was here" in done.stdout
    assert (episode / "out" / "description.txt").is_file()


def test_the_desk_listens_on_this_machine_alone_and_a_look_at_its_state_does_not_keep_it_open(episode: Path, desk_cache: Path) -> None:  # fmt: skip
    import httpx2

    with subprocess.Popen(
        [sys.executable, "-c", CODE, str(episode), str(desk_cache), "4"], stdout=subprocess.PIPE, text=True
    ) as desk:
        assert desk.stdout is not None
        found = re.search(r"http://(127\.0\.0\.1):(\d+)/open/(\S+)", desk.stdout.readline())
        assert found is not None
        port = int(found[2])
        with httpx2.Client(follow_redirects=True) as client:
            assert "to settle" in client.get(found[0]).text
            for address in {
                info[4][0] for info in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
            }:
                if not str(address).startswith("127."):
                    with (
                        pytest.raises(OSError, match=r"\w"),
                        socket.create_connection((str(address), port), timeout=2),
                    ):
                        pass
            until = time.monotonic() + 60
            while desk.poll() is None and time.monotonic() < until:
                try:
                    client.get(f"http://127.0.0.1:{port}/state")
                except httpx2.HTTPError:
                    break
                time.sleep(0.3)
        assert desk.wait(timeout=30) == 0


def test_an_episode_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    code = "import sys; from benchscribe.cli import main; main(sys.argv[1:])"
    done = subprocess.run(
        [sys.executable, "-c", code, "review", str(tmp_path / "nothing"), "--no-browser"], capture_output=True, text=True, timeout=60, check=False
    )  # fmt: skip
    assert done.returncode == 1
    assert "there is no such episode folder" in done.stderr
    assert "Traceback" not in done.stderr
