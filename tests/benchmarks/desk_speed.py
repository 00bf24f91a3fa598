"""How quick the review desk is on an hour-long episode: opening, the first view, an answer saved and shown again, a word put right.

The episode is a tuned one, said over and over to fill an hour, with captions only. Run it alone on a machine at rest:

    python tests/benchmarks/desk_speed.py tests/episodes/leather-satchel
"""

from __future__ import annotations

import argparse
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from benchscribe.desk.app import DeskApp
from benchscribe.desk.model import Desk
from benchscribe.writers.review import numbered

HOUR_S = 3600.0
FIRST_VIEW_MS = 500
ANSWER_MS = 300
_TIMES = re.compile(r"(\d\d):(\d\d):(\d\d)\.(\d\d\d) --> (\d\d):(\d\d):(\d\d)\.(\d\d\d)")


def hour_long(source: Path, build: Path) -> Path:
    """Lay out a build with the captions of an episode said again and again until the hour is full."""
    episode = build / "episodes" / "01"
    episode.mkdir(parents=True)
    (build / "build.toml").write_text('title = "Speed"\nplan = "own"\n')
    (build / "parts.csv").write_bytes((source / "parts.csv").read_bytes())
    text = (source / "transcript.vtt").read_text()
    rest = text.split("\n\n", 1)[1].rstrip()
    last = [*_TIMES.finditer(rest)][-1]
    length = _seconds(last.groups()[4:]) + 1.0
    body = ["WEBVTT"]
    body += [
        _TIMES.sub(lambda m, a=again: _shifted(m, a * length), rest)  # type: ignore[misc]
        for again in range(max(1, round(HOUR_S / length)))
    ]
    (episode / "cut.vtt").write_text("\n\n".join(body) + "\n")
    return episode


def _seconds(parts: tuple[str, ...]) -> float:
    hours, minutes, seconds, thousandths = map(int, parts)
    return hours * 3600 + minutes * 60 + seconds + thousandths / 1000


def _shifted(match: re.Match[str], by: float) -> str:
    begin, end = (_seconds(match.groups()[i : i + 4]) + by for i in (0, 4))
    return f"{_stamp(begin)} --> {_stamp(end)}"


def _stamp(seconds: float) -> str:
    whole = round(seconds * 1000)
    return f"{whole // 3600000:02}:{whole // 60000 % 60:02}:{whole // 1000 % 60:02}.{whole % 1000:03}"


def timed(what: str, do: Callable[[], Any], times: int = 1) -> tuple[float, Any]:
    """Do something several times; give the median in milliseconds and the last result."""
    taken, result = [], None
    for _ in range(times):
        begin = time.perf_counter()
        result = do()
        taken.append((time.perf_counter() - begin) * 1000)
    spread = f", worst {max(taken):.0f}" if times > 1 else ""
    print(f"{what:<44}{statistics.median(taken):8.0f} ms{spread}")
    return statistics.median(taken), result


def main() -> int:
    """Measure, and say whether the limits hold."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("episode", type=Path, help="an annotated episode with transcript.vtt and parts.csv")
    source = parser.parse_args().episode
    with tempfile.TemporaryDirectory() as folder:
        cache = Path(folder) / "cache"
        episode = hour_long(source, Path(folder) / "build")
        _, first = timed("open, nothing kept", lambda: Desk(episode, cache=cache))
        first.close()
        _, desk = timed("open, understood before", lambda: Desk(episode, cache=cache))
        desk.start()
        return _measure(desk)


def _measure(desk: Desk) -> int:
    app = DeskApp(desk, port=80, key="k", touched=lambda: None)
    client = TestClient(app.asgi, base_url="http://127.0.0.1:80", cookies={"desk-80": "k"})
    client.headers |= {"host": "127.0.0.1:80", "origin": "http://127.0.0.1:80"}
    now = desk.now()
    words, found = len(now.record.transcript.words), numbered(now.record)
    print(f"{words} words, {len(found)} findings, {len(now.record.chapters)} chapters")
    _quiet(client)
    view, _ = timed("first view", lambda: _fine(client.get("/")), times=9)
    for path in ("/glance", "/talk", "/lists", "/out", "/preview/guide", "/preview/captions"):
        timed(path, lambda p=path: _fine(client.get(p)), times=3)
    answers = []
    for finding in (found * 5)[:10]:
        before = desk.now()
        data = {
            "version": before.digest,
            "finding": finding.id,
            "choice": "dismiss",
            "note": str(len(answers)),
        }
        taken, _ = timed(
            "  an answer, saved and shown", lambda d=data: _fine(client.post("/do/settle", data=d))
        )
        answers.append(taken)
        timed("  then the files", lambda: _quiet(client))
    answer = statistics.median(answers)
    data = {"version": desk.now().digest, "first": "40", "last": "41", "meant": "bench", "back": "talk"}
    timed("a word put right, shown", lambda: _fine(client.post("/do/word", data=data)))
    timed("  then everything understood again", lambda: _quiet(client))
    desk.close()
    fine = view <= FIRST_VIEW_MS and answer <= ANSWER_MS
    print(f"first view {view:.0f} ms (limit {FIRST_VIEW_MS}), answer {answer:.0f} ms (limit {ANSWER_MS})")
    return 0 if fine else 1


def _fine(response: Any) -> Any:  # noqa: ANN401 - httpx's own
    if response.status_code != 200:
        raise SystemExit(f"{response.request.url}: {response.status_code} {response.text[:300]}")
    return response


def _quiet(client: TestClient) -> None:
    """Wait until all files are written."""
    while not client.get("/state").json()["written"]:
        time.sleep(0.02)


if __name__ == "__main__":
    sys.exit(main())
