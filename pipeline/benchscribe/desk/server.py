"""Opens the desk: a free port of this machine alone, the browser, and the end after Ctrl-C or an hour of nothing."""

from __future__ import annotations

import asyncio
import contextlib
import secrets
import socket
import time
import webbrowser
from collections.abc import Callable
from pathlib import Path
from typing import Final

from benchscribe.desk.app import DeskApp
from benchscribe.desk.model import Desk
from benchscribe.show import Listening

IDLE_S: Final = 3600.0
"""Seconds without anybody at the desk, after which it closes."""
_LOOK_S: Final = 5.0


def review(
    episode: Path,
    *,
    browser: bool = True,
    say: Callable[[str], None],
    cache: Path | None = None,
    idle_s: float = IDLE_S,
) -> None:
    """Open an episode on the desk and serve it until Ctrl-C or until nobody has been there for an hour.

    Args:
        episode: The episode's folder.
        browser: Open the page in the maker's browser.
        say: Prints a line on the terminal.
        cache: Where finished listening is kept; the user's own cache folder unless given.
        idle_s: Seconds without anybody, after which the desk closes.

    Raises:
        BenchscribeError: The episode cannot be opened.
    """
    with Listening(quiet=False) as listening:
        desk = Desk(episode, cache=cache, progress=listening.show)
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as door:
        door.bind(("127.0.0.1", 0))
        door.listen(64)  # a browser that is quicker than the server waits at the door
        port = door.getsockname()[1]
        key = secrets.token_urlsafe(24)
        last = _Last()
        app = DeskApp(desk, port=port, key=key, touched=last.touch)
        address = f"http://127.0.0.1:{port}/open/{key}"
        say(f"The desk is open at {address}")
        say("Everything is kept as you answer. Ctrl-C closes the desk.")
        desk.start()
        app.peaks.start()
        if browser:
            with contextlib.suppress(webbrowser.Error, OSError):
                webbrowser.open(address)
        try:
            idle = asyncio.run(_serve(app, door, last, idle_s))
        except KeyboardInterrupt:
            idle = False
        finally:
            desk.close()
    say(
        "Nobody was here for an hour; the desk is closed."
        if idle
        else "The desk is closed. Everything is kept."
    )


class _Last:
    """When somebody was last at the desk."""

    def __init__(self) -> None:
        self.at = time.monotonic()

    def touch(self) -> None:
        self.at = time.monotonic()


async def _serve(app: DeskApp, door: socket.socket, last: _Last, idle_s: float) -> bool:
    """Serve until told to stop; True where nobody was there any more."""
    import uvicorn

    server = uvicorn.Server(
        uvicorn.Config(
            app.asgi, log_level="error", access_log=False, server_header=False, date_header=False, lifespan="off",
            timeout_graceful_shutdown=3, limit_concurrency=64,
        )
    )  # fmt: skip
    idle = False

    async def watch() -> None:
        nonlocal idle
        while not server.should_exit:
            await asyncio.sleep(min(_LOOK_S, idle_s / 4))
            if time.monotonic() - last.at > idle_s:
                idle = server.should_exit = True

    task = asyncio.create_task(watch())
    try:
        await server.serve(sockets=[door])
    finally:
        task.cancel()
    return idle
