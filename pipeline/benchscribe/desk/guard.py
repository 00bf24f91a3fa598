"""Who may talk to the desk: this machine's own browser, from the desk's own page, with the key that the terminal was given."""

from __future__ import annotations

import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

FORM: Final = "application/x-www-form-urlencoded"
"""What the page sends; nothing else is read."""
MOST_BYTES: Final = 64 * 1024
"""Of a request's body: an answer is a few hundred."""
_SAFE: Final = frozenset({"GET", "HEAD"})
POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; media-src 'self'; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS: Final = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"x-frame-options", b"DENY"),
    (b"permissions-policy", b"camera=(), microphone=(), geolocation=()"),
)


class Guard:
    """Turns away whatever does not come from the desk's own page; stands before every route."""

    def __init__(self, app: App, *, port: int, key: str, touched: Callable[[], None]) -> None:
        """Take what it needs.

        Args:
            app: What it stands before.
            port: The desk's own port.
            key: Of this sitting; who has it in a cookie may come in.
            touched: Called for every request that a person made, so that the desk knows that it is not idle.
        """
        self._app = app
        self._hosts = frozenset(f"{name}:{port}" for name in ("127.0.0.1", "localhost", "[::1]"))
        self._key = key
        self._cookie = f"desk-{port}"
        self._touched = touched

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, or say why not."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = {
            name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]
        }
        refusal = self._refusal(scope, headers)
        if refusal:
            await _refuse(send, *refusal)
            return
        if scope["path"] != "/state":
            self._touched()
        await self._app(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope, headers: dict[str, str]) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if host.lower() not in self._hosts:
            return 421, "This desk answers only under its own address."
        if scope["method"] not in _SAFE:
            if scope["method"] != "POST":
                return 405, "This desk knows no such request."
            if not _own_page(headers, host):
                return 403, "Answers are taken only from the desk's own page."
            if not headers.get("content-length", "").isdigit() or int(headers["content-length"]) > MOST_BYTES:
                return 413, "That is more than an answer can be."
            if headers.get("content-type", "").partition(";")[0].strip().lower() != FORM:
                return 415, "An answer is sent as a form."
        if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
            return 403, "The desk is not to be used by another page."
        if not scope["path"].startswith("/open/") and not self._has_key(headers.get("cookie", "")):
            return 403, "Open the desk with the address that the terminal shows."
        return None

    def _has_key(self, cookies: str) -> bool:
        for cookie in cookies.split(";"):
            name, _, value = cookie.strip().partition("=")
            if name == self._cookie:
                return hmac.compare_digest(value.encode(), self._key.encode())
        return False


def _own_page(headers: dict[str, str], host: str) -> bool:
    """Tell whether a change comes from the desk's own page: the browser must say so, in one of two ways, and never otherwise."""
    origin, site = headers.get("origin"), headers.get("sec-fetch-site")
    if origin is None and site is None:
        return False
    return origin in (None, f"http://{host}") and site in (None, "same-origin")


async def _refuse(send: Send, status: int, text: str) -> None:
    body = f"{text}\n".encode()
    length = str(len(body)).encode()
    head = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", length), *_HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": head})
    await send({"type": "http.response.body", "body": body})


def _with_headers(send: Send) -> Send:
    async def send_on(message: MutableMapping[str, Any]) -> None:
        if message["type"] == "http.response.start":
            names = {name for name, _ in message["headers"]}
            message["headers"] = [*message["headers"], *(h for h in _HEADERS if h[0] not in names)]
            if b"cache-control" not in names:
                message["headers"].append((b"cache-control", b"no-store"))
        await send(message)

    return send_on
