"""Attacks: other hosts, other pages, no key, paths, script in every name. The desk gives nothing away and changes nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlencode

import pytest
from desk_build import LINES, PARTS, make_build
from desk_client import HOST, Client

from benchscribe.desk.app import DeskApp
from benchscribe.desk.model import Desk

PAGES = ("/", "/glance", "/glance?chapter=2", "/talk", "/talk?chapter=2", "/lists", "/out", "/out?show=guide", "/out?show=captions", "/preview/guide", "/preview/notes", "/preview/captions")  # fmt: skip
EVIL = '"><script>alert(1)</script><img src=x onerror=alert(2)>'


def answer(client: Client) -> dict[str, str]:
    """Give the form of an honest answer."""
    return {"version": client.desk.now().digest, "finding": client.finding("slip").id, "choice": "listed"}


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1:9999", "127.0.0.1", "localhost.evil.example:8042", "127.0.0.1:8042.evil.example", ""])  # fmt: skip
def test_under_another_name_the_desk_says_nothing(client: Client, host: str) -> None:
    reply = client.get("/", host=host)
    assert reply.status_code == 421
    assert "Serving tray" not in reply.text


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://127.0.0.1:9999"},
        {"origin": "https://127.0.0.1:8042"},
        {"origin": f"http://{HOST}.evil.example"},
        {"origin": f"http://{HOST}", "sec-fetch-site": "cross-site"},
        {"origin": f"http://{HOST}", "sec-fetch-site": "same-site"},
        {"origin": f"http://{HOST}", "sec-fetch-site": "none"},
    ],
)
def test_a_change_from_another_page_is_refused(client: Client, headers: dict[str, str]) -> None:
    reply = client.http.post("/do/settle", data=answer(client), headers=headers)
    assert reply.status_code == 403
    assert not client.desk.path.exists()


def test_a_change_that_does_not_say_where_it_comes_from_is_refused(client: Client) -> None:
    del client.http.headers["origin"]
    assert client.http.post("/do/settle", data=answer(client)).status_code == 403
    assert not client.desk.path.exists()


def test_a_change_with_either_sign_of_the_own_page_is_taken(client: Client) -> None:
    del client.http.headers["origin"]
    reply = client.http.post("/do/settle", data=answer(client), headers={"sec-fetch-site": "same-origin"})
    assert reply.status_code == 200
    assert client.desk.path.exists()


@pytest.mark.parametrize("cookie", [None, "", "wrong", "the-ke", "the-key2"])
def test_without_the_key_of_this_sitting_there_is_no_way_in(client: Client, cookie: str | None) -> None:
    client.http.cookies.clear()
    if cookie is not None:
        client.http.cookies.set("desk-8042", cookie)
    for path in ("/", "/state", "/sound/0?from=0&to=1", "/preview/notes"):
        assert client.get(path).status_code == 403
    assert client.http.post("/do/settle", data=answer(client)).status_code == 403
    assert not client.desk.path.exists()


def test_the_address_from_the_terminal_opens_the_desk(client: Client) -> None:
    client.http.cookies.clear()
    assert client.get("/open/guessed").status_code == 403
    reply = client.http.get("/open/the-key", follow_redirects=False)
    assert reply.status_code == 303
    cookie = reply.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert client.get("/").status_code == 200


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_kinds_of_request_are_refused(client: Client, method: str) -> None:
    assert client.http.request(method, "/").status_code == 405


def test_looking_changes_nothing(client: Client) -> None:
    for what in ("settle", "undo", "word", "line"):
        assert client.get(f"/do/{what}").status_code in (404, 405)
    assert not client.desk.path.exists()


def test_what_is_too_long_is_refused(client: Client) -> None:
    reply = client.http.post("/do/settle", content=b"note=" + b"x" * 70_000, headers={"content-type": "application/x-www-form-urlencoded"})  # fmt: skip
    assert reply.status_code == 413
    chunked = client.http.post("/do/settle", content=iter([b"x" * 1000]))
    assert chunked.status_code == 413


@pytest.mark.parametrize(
    "path",
    ["/static/../desk.css", "/static/..%2f..%2fguide.css", "/static/%2e%2e/guide.css", "/static/base.html.j2", "/static/desk.css%00.html", "/out/../../../etc/passwd", "/preview/..%2f..%2frecord.json", "/%2e%2e/%2e%2e/build.toml", "//etc/passwd", "/episode.toml", "/sound/..%2f0?from=0&to=1"],
)  # fmt: skip
def test_no_path_leads_to_a_file(client: Client, path: str) -> None:
    reply = client.get(path)
    assert reply.status_code in (200, 404)
    if reply.status_code == 200:  # an unknown preview is the show notes
        assert path.startswith("/preview/")
    for secret in ("root:", "{% block", "number = 1", ".guide-only"):
        assert secret not in reply.text


def test_the_way_back_is_only_ever_a_page_of_the_desk(client: Client) -> None:
    for back in ("//evil.example", "http://evil.example/", "../../x", "settle\r\nset-cookie: a=b"):
        fields = {**answer(client), "back": back, "back_finding": "x\r\nset-cookie: a=b", "back_at": back}
        reply = client.http.post("/do/settle", data=fields, follow_redirects=False)
        assert reply.status_code == 303
        assert re.fullmatch(r"/\?finding=[0-9a-f]+#ticket", reply.headers["location"])
        assert "a" not in reply.cookies


@pytest.mark.parametrize("what", ["settle", "note", "reopen", "chapter-title", "chapter-move", "chapter-join", "chapter-split", "word", "off-record", "line", "add", "put-back"])  # fmt: skip
def test_nonsense_is_one_sentence_and_changes_nothing(client: Client, what: str) -> None:
    nonsense: tuple[dict[str, str], ...] = (
        {},
        {"chapter": "-1", "utterance": "x", "first": "9999999", "last": "0", "kind": "../tool", "number": "1e9", "table": "decision", "row": "0", "sentence": "-4", "finding": "nobody", "title": "x"},
        {"chapter": "99", "utterance": "99999", "first": "0", "last": "99999", "kind": "tool", "number": "99999", "table": "__class__", "row": "0", "sentence": "99999", "new_name": "x", "title": "x"},
    )  # fmt: skip
    for fields in nonsense:
        reply = client.do(what, **fields)
        assert reply.status_code == 422, fields
        assert 'id="problem"' in reply.text
        assert "Traceback" not in reply.text
    assert not client.desk.path.exists()


@pytest.mark.parametrize("kind", ["text/plain", "application/json", "multipart/form-data; boundary=x", ""])
def test_only_a_form_is_taken(client: Client, kind: str) -> None:
    body = urlencode(answer(client)).encode()
    reply = client.http.post("/do/settle", content=body, headers={"content-type": kind})
    assert reply.status_code == 415
    assert not client.desk.path.exists()


def test_bytes_that_are_no_form_are_refused(client: Client) -> None:
    reply = client.http.post("/do/settle", content=b"note=\xff\xfe", headers={"content-type": "application/x-www-form-urlencoded"})  # fmt: skip
    assert reply.status_code == 422


@pytest.mark.parametrize("path", PAGES)
def test_every_page_forbids_inline_script_and_other_origins(client: Client, path: str) -> None:
    reply = client.get(path)
    policy = reply.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self'" in policy
    assert "unsafe" not in policy
    assert reply.headers["x-content-type-options"] == "nosniff"
    assert reply.headers["cache-control"] == "no-store"
    assert not re.search(
        r"<script(?![^>]*\bsrc=)|\son\w+=|\sstyle=|javascript:|https?://(?!www\.w3\.org)", reply.text
    )


@pytest.fixture
def evil(tmp_path: Path, desk_cache: Path) -> Iterator[Client]:
    """A build in which every name, sentence, title and note is an attack."""
    parts = PARTS.replace("Short rail", f"Short rail {EVIL}".replace('"', '""')).replace("ash", "ash <b>")
    parts = "\n".join(re.sub(r"^(Short rail.*?),2,", r'"\1",2,', line) for line in parts.splitlines())
    lines = tuple((text.replace("My brother", f"My {EVIL} brother"), seconds) for text, seconds in LINES)
    episode = make_build(tmp_path / "evil", parts=parts, lines=lines)
    (episode / "episode.toml").write_text(
        f"title = '''{EVIL}'''\nbefore = '''{EVIL}'''\nafter = '''{EVIL}'''\n"
    )
    desk = Desk(episode, cache=desk_cache)
    desk.start()
    yield Client(DeskApp(desk, port=8042, key="the-key", touched=lambda: None), desk)
    desk.close()


def test_script_in_names_notes_captions_and_titles_comes_out_as_text(evil: Client) -> None:
    evil.do("chapter-title", chapter=1, title=EVIL)
    evil.do("add", kind="tool", name=EVIL, text=EVIL)
    evil.do("add", kind="caution", name=EVIL, text=EVIL)
    evil.do("add", kind="step", name=EVIL, text=EVIL)
    for finding in evil.desk.now().settled.said:
        evil.do("note", finding=finding.id, note=EVIL)
    evil.do("word", first=0, last=1, meant=EVIL)
    evil.settled()
    for path in PAGES:
        page = evil.get(path)
        assert page.status_code == 200, path
        assert "<script>alert" not in page.text, path
        assert "<img src=x" not in page.text, path
        assert not re.search(r"<[^>]*\sonerror\s*=", re.sub(r'"[^"]*"', '""', page.text)), path
    assert "&lt;script&gt;alert(1)" in evil.get("/lists").text
