"""The routes of the desk. Nothing that a page sends reaches the disk but as a value in `decisions.toml`."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from benchscribe.decisions import DecisionsChangedError, typed_value
from benchscribe.desk import actions
from benchscribe.desk.forms import Form, read_form
from benchscribe.desk.guard import Guard
from benchscribe.desk.lists import lists_page
from benchscribe.desk.out import leaf, out_page
from benchscribe.desk.pages import Pages
from benchscribe.desk.peaks import Peaks
from benchscribe.desk.places import sounds_of
from benchscribe.desk.sound import LONGEST_S, asked_range, cut_sound
from benchscribe.desk.talk import talk_page
from benchscribe.desk.views import Room, frame, glance_page, settle_page
from benchscribe.errors import BenchscribeError
from benchscribe.stills import candidate_times, picture_at
from benchscribe.writers.sizes import other_system, size

if TYPE_CHECKING:
    from starlette.requests import Request

    from benchscribe.desk.model import Desk

_STATIC: Final = {"desk.css": "text/css", "desk.js": "text/javascript"}
_SOUNDS_KEPT: Final = 12
_PICTURES_KEPT: Final = 120
_VIEWS: Final = ("settle", "glance", "talk", "lists", "out")


class DeskApp:
    """The desk of one episode, as a web application."""

    def __init__(self, desk: Desk, *, port: int, key: str, touched: Callable[[], None]) -> None:
        """Lay the desk out.

        Args:
            desk: The open episode.
            port: The desk's own port.
            key: Of this sitting.
            touched: Called for every request that a person made.
        """
        now = desk.now()
        sounds = sounds_of(desk.episode, now.record.transcript)
        self.desk = desk
        self.peaks = Peaks([s.path if s.offset_s is not None else None for s in sounds], desk.job.cache)
        self.room = Room(desk, sounds, self.peaks)
        self.pages = Pages()
        self._key, self._port = key, port
        self._cut = lru_cache(maxsize=_SOUNDS_KEPT)(self._cut_fresh)
        self._pictures = lru_cache(maxsize=_PICTURES_KEPT)(self._picture_fresh)
        views = [
            Route("/", self._view("settle")),
            Route("/glance", self._view("glance")),
            Route("/talk", self._view("talk")),
            Route("/lists", self._view("lists")),
            Route("/out", self._view("out")),
        ]
        app = Starlette(
            routes=[
                *views,
                Route("/open/{key}", self._open),
                Route("/static/{name}", self._static),
                Route("/state", self._state),
                Route("/read", self._read),
                Route("/preview/{show}", self._preview),
                Route("/sound/{number:int}", self._sound),
                Route("/still/{step:int}/{number:int}", self._still),
                Route("/do/{what}", self._do, methods=["POST"]),
            ],
            exception_handlers={404: _not_here},
        )
        self.asgi = Guard(app, port=port, key=key, touched=touched)

    # --- pages ---

    def _view(self, name: str) -> Callable[[Request], Any]:
        async def view(request: Request) -> Response:
            return await run_in_threadpool(self._shown, name, dict(request.query_params), 200, "", "")

        return view

    def _shown(self, name: str, query: dict[str, str], status: int, problem: str, typed: str) -> Response:
        now = self.desk.now()
        base = frame(self.room, now, name, problem=problem)
        chapter = int(query["chapter"]) if query.get("chapter", "").isdecimal() else 0
        page: Any
        if name == "glance":
            page = glance_page(self.room, now, chapter, base)
        elif name == "talk":
            page = talk_page(self.room, now, chapter, base)
        elif name == "lists":
            page = lists_page(self.room, now, base)
        elif name == "out":
            page = out_page(self.desk, now, query.get("show", ""), base)
        else:
            page = settle_page(self.room, now, query.get("finding", ""), base, typed=typed)
        return HTMLResponse(self.pages.render(f"{name}.html.j2", page), status_code=status)

    async def _open(self, request: Request) -> Response:
        if request.path_params["key"] != self._key:
            return Response("This is no key of this desk.\n", 403, media_type="text/plain")
        answer = RedirectResponse("/", 303)
        answer.set_cookie(f"desk-{self._port}", self._key, httponly=True, samesite="strict", path="/")
        return answer

    async def _static(self, request: Request) -> Response:
        name = request.path_params["name"]
        if name not in _STATIC:
            return Response("There is no such thing here.\n", 404, media_type="text/plain")
        body = await run_in_threadpool(self.pages.static, name)
        return Response(body, media_type=_STATIC[name])

    async def _state(self, request: Request) -> Response:
        del request
        now = await run_in_threadpool(self.desk.now)
        base = frame(self.room, now, "")
        return JSONResponse(
            {
                "number": now.number,
                "version": now.digest,
                "files": base.files,
                "written": self.desk.files_state()[0] and not now.catching_up,
                "settled": base.settled,
                "total": base.total,
                "peaks": self.peaks.done,
            }
        )

    async def _preview(self, request: Request) -> Response:
        show = request.path_params["show"]
        page = await run_in_threadpool(lambda: leaf(self.desk.now(), show))
        return HTMLResponse(self.pages.render("leaf.html.j2", page))

    async def _read(self, request: Request) -> Response:
        """Say how a typed size is read, while it is typed."""
        text, wanted = (request.query_params.get(name, "")[:200] for name in ("text", "finding"))
        now = await run_in_threadpool(self.desk.now)
        finding = now.said(wanted)
        try:
            if finding is not None:
                value, unit = typed_value(text, finding, now.record.info.units)
                other = other_system(value, unit)
                shown = size(value, unit) + (f", that is {other}" if other else "")
                return JSONResponse({"ok": True, "text": f"reads as {shown}"})
            sizes = actions.sizes_in(text, now.record.info.units)
            return JSONResponse(
                {"ok": bool(sizes), "text": f"reads as {', '.join(sizes)}" if sizes else "no size in it"}
            )
        except BenchscribeError as error:
            return JSONResponse({"ok": False, "text": str(error)})

    # --- sound ---

    async def _sound(self, request: Request) -> Response:
        number = request.path_params["number"]
        try:
            start, end = (float(request.query_params.get(name, "")) for name in ("from", "to"))
        except ValueError:
            return Response("From when to when?\n", 400, media_type="text/plain")
        known = 0 <= number < len(self.room.sounds) and self.room.sounds[number].path is not None
        if not known or not 0 <= start < end or end - start > LONGEST_S:
            return Response("There is no such sound.\n", 404, media_type="text/plain")
        try:
            data = await run_in_threadpool(self._cut, number, round(start, 3), round(end, 3))
        except BenchscribeError as error:
            return Response(f"{error}\n", 404, media_type="text/plain")
        return _bytes(data, request.headers.get("range"))

    def _cut_fresh(self, number: int, start_s: float, end_s: float) -> bytes:
        path = self.room.sounds[number].path
        return cut_sound(path or Path(), start_s, end_s)

    async def _still(self, request: Request) -> Response:
        """Give a picture to choose from for a step."""
        now = await run_in_threadpool(self.desk.now)
        step, number = request.path_params["step"], request.path_params["number"]
        times = candidate_times(now.record.steps[step]) if step < len(now.record.steps) else ()
        name = now.record.steps[step].file if times else None
        sound = next((n for n, s in enumerate(self.room.sounds) if s.name == name and s.path), None)
        if sound is None or number >= len(times):
            return Response("There is no such picture.\n", 404, media_type="text/plain")
        picture = await run_in_threadpool(self._pictures, sound, times[number])
        if picture is None:
            return Response("There is no picture at this time.\n", 404, media_type="text/plain")
        return Response(picture, media_type="image/jpeg", headers={"cache-control": "private, max-age=3600"})

    def _picture_fresh(self, number: int, begin_s: float) -> bytes | None:
        return picture_at(self.room.sounds[number].path or Path(), begin_s)

    # --- changes ---

    async def _do(self, request: Request) -> Response:
        body = bytearray()
        async for piece in request.stream():
            body += piece
            if len(body) > 2 * 64 * 1024:
                return Response("That is more than an answer can be.\n", 413, media_type="text/plain")
        return await run_in_threadpool(self._done, request.path_params["what"], bytes(body))

    def _done(self, what: str, body: bytes) -> Response:
        deed = actions.ACTIONS.get(what)
        if deed is None:
            return Response("The desk knows no such thing.\n", 404, media_type="text/plain")
        query: dict[str, str] = {}
        back, typed = "settle", ""
        try:
            form = read_form(body)
            back, query = _way_back(form)
            typed = form.text("value")
            now = self.desk.now()
            if now.trouble:
                return self._shown(back, query, 409, now.trouble, typed)
            query |= deed(self.desk, now, form) or {}
        except DecisionsChangedError:
            told = (
                "Something was changed meanwhile, in another window or in decisions.toml. This is how it stands now; "
                "your last answer was not taken. Give it again if it still holds."
            )
            return self._shown(back, query, 409, told, typed)
        except BenchscribeError as error:
            return self._shown(back, query, 422, str(error), typed)
        pairs = "&".join(f"{key}={value}" for key, value in query.items() if key != "at")
        at = f"#{query['at']}" if query.get("at") else ""
        path = "" if back == "settle" else back
        return RedirectResponse(f"/{path}{'?' if pairs else ''}{pairs}{at}", 303)


async def _not_here(request: Request, error: Exception) -> Response:
    del request, error
    return Response("There is no such thing here.\n", 404, media_type="text/plain")


def _way_back(form: Form) -> tuple[str, dict[str, str]]:
    """Give the page that a form came from; only the desk's own pages are known."""
    back = form.text("back")
    query = {}
    for name in ("chapter", "finding", "at"):
        value = form.text(f"back_{name}")
        if value and all(c.isascii() and (c.isalnum() or c == "-") for c in value):
            query[name] = value
    return (back if back in _VIEWS else "settle"), query


def _bytes(data: bytes, header: str | None) -> Response:
    """Give bytes whole, or the part of them that a Range header asks for."""
    try:
        part = asked_range(header, len(data))
    except ValueError:
        return Response(
            status_code=416, headers={"content-range": f"bytes */{len(data)}", "accept-ranges": "bytes"}
        )
    if part is None:
        return Response(data, media_type="audio/wav", headers={"accept-ranges": "bytes"})
    span = f"bytes {part.first}-{part.last - 1}/{len(data)}"
    return Response(
        data[part.first : part.last],
        206,
        media_type="audio/wav",
        headers={"content-range": span, "accept-ranges": "bytes"},
    )
