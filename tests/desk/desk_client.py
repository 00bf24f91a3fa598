"""A client that talks to the desk as its own page does."""

from __future__ import annotations

import time

from starlette.testclient import TestClient, httpx

from benchscribe.desk.app import DeskApp
from benchscribe.desk.model import Desk, Snapshot
from benchscribe.records import Finding
from benchscribe.writers.review import numbered

HOST = "127.0.0.1:8042"


class Client:
    """Asks and answers, with the cookie and the headers of the desk's own page."""

    def __init__(self, app: DeskApp, desk: Desk) -> None:
        """Come in."""
        self.desk = desk
        self.http = TestClient(app.asgi, base_url=f"http://{HOST}", cookies={"desk-8042": "the-key"})
        self.http.headers["origin"] = f"http://{HOST}"

    def get(self, path: str, **headers: str) -> httpx.Response:
        """Ask for something."""
        return self.http.get(path, headers=headers)

    def do(self, what: str, **fields: object) -> httpx.Response:
        """Change something, with the version of now unless another is given."""
        data = {"version": self.desk.now().digest, **{k: v for k, v in fields.items() if v is not None}}
        return self.http.post(f"/do/{what}", data=data)

    def finding(self, kind: str) -> Finding:
        """Give the finding of a kind, as it stands."""
        raw = next(f for f in self.desk.now().settled.said if f.kind == kind and f.right is not True)
        return next(f for f in numbered(self.desk.now().record) if f.id == raw.id)

    def settled(self) -> Snapshot:
        """Wait until the desk has caught up and written its files; give how it stands."""
        until = time.monotonic() + 60
        while time.monotonic() < until:
            now = self.desk.now()
            if self.desk.files_state()[0] and not now.catching_up:
                return now
            time.sleep(0.01)
        raise AssertionError("the desk has not caught up in a minute")

    def out(self, name: str) -> str:
        """Give an output, once everything is written."""
        self.settled()
        return (self.desk.episode.out / name).read_text()
