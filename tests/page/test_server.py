"""The live page's server, asked the way somebody would who means harm."""

from __future__ import annotations

import io
import json
import re
import socket
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from html.parser import HTMLParser
from http.client import HTTPConnection
from pathlib import Path
from typing import Any
from urllib.parse import urljoin
from zipfile import ZipFile

import pytest

from quiltpath.page.server import MOST_AT_ONCE
from tests.page.served import Served, plain, serving
from tests.pages import PATIENCE_MS


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(plain(tmp_path_factory.mktemp("live"))) as running:
        yield running


SPACING = {"entry": 0, "key": "spacing", "value": {"mm": 30, "about": False}}


def test_the_page_comes_to_who_holds_the_token(served: Served) -> None:
    status, text = served.ask("GET", f"/?token={served.server.token}")
    assert status == 200
    assert "<canvas" in text


@pytest.mark.parametrize(
    "path", ["/", "/?token=", "/?token=wrong", "/?token=%C3%A9", "/?token=%00", "/?tok=en"]
)
def test_without_the_token_there_is_nothing(served: Served, path: str) -> None:
    status, text = served.ask("GET", path)
    assert status == 403
    assert "canvas" not in text and served.server.token not in text


@pytest.mark.parametrize("token", ["", "wrong", "é".encode().decode("latin-1")])
@pytest.mark.parametrize("path", ["/draw", "/save", "/make", "/load", "/progress"])
def test_no_question_is_answered_without_the_token(served: Served, path: str, token: str) -> None:
    before = served.file.read_bytes()
    status, _ = served.post(path, {"changes": [SPACING]}, X_Token=token)
    assert status == 403
    assert served.file.read_bytes() == before


def test_a_token_in_the_address_does_not_do_for_questions(served: Served) -> None:
    """A form on a foreign page can send an address, not a header."""
    status, _ = served.post(f"/progress?token={served.server.token}", {}, X_Token="")
    assert status == 403


@pytest.mark.parametrize(
    "host",
    [
        "example.org",
        "example.org:{port}",
        "127.0.0.1",
        "127.0.0.1:1",
        "127.0.0.1.example.org:{port}",
        "",
    ],
)
def test_a_foreign_name_for_this_machine_is_refused(served: Served, host: str) -> None:
    """DNS rebinding: a foreign name that resolves to the loopback address."""
    named = host.format(port=served.server.port)
    assert served.post("/progress", {}, Host=named)[0] == 403
    assert served.ask("GET", f"/?token={served.server.token}", Host=named)[0] == 403


@pytest.mark.parametrize(
    "origin",
    ["http://example.org", "null", "https://127.0.0.1:{port}", "http://127.0.0.1:1", "file://", ""],
)
def test_a_foreign_page_is_refused_even_with_the_token(served: Served, origin: str) -> None:
    named = origin.format(port=served.server.port)
    assert served.post("/progress", {}, Origin=named)[0] == 403


def test_the_page_itself_may_ask(served: Served) -> None:
    origin = f"http://127.0.0.1:{served.server.port}"
    assert served.post("/progress", {}, Origin=origin)[0] == 200


def test_it_listens_on_the_loopback_address_alone(served: Served) -> None:
    assert served.server.socket.getsockname()[0] == "127.0.0.1"


@pytest.mark.parametrize(
    "path",
    [
        "/runner.toml",
        "/mat.toml",
        "/../mat.toml",
        "/..%2f..%2fetc/passwd",
        "//etc/passwd",
        "/%2e%2e/",
        "/design.html",
        "/server.py",
    ],
)
def test_no_path_leads_to_a_file(served: Served, path: str) -> None:
    status, text = served.ask("GET", f"{path}?token={served.server.token}")
    assert status == 404
    assert "root:" not in text and "ours" not in text
    assert served.post(path, {})[0] == 404


def test_a_huge_body_is_refused_unread(served: Served) -> None:
    """Only the head is sent: the refusal must not wait for the rest."""
    head = (
        f"POST /draw HTTP/1.1\r\nHost: 127.0.0.1:{served.server.port}\r\n"
        f"X-Token: {served.server.token}\r\nContent-Type: application/json\r\n"
        "Content-Length: 99999999999\r\n\r\n"
    )
    with socket.create_connection(
        ("127.0.0.1", served.server.port), timeout=PATIENCE_MS / 1000
    ) as raw:
        raw.sendall(head.encode())
        assert b" 413 " in raw.recv(200).split(b"\r\n")[0]


@pytest.mark.parametrize("length", ["-1", "ten", "", "1e3", "²"])
def test_a_length_that_is_none_is_refused(served: Served, length: str) -> None:
    named = length.encode().decode("latin-1")
    assert served.post("/draw", {}, Content_Length=named)[0] in (400, 415)


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
def test_only_json_is_read(served: Served, kind: str) -> None:
    """The kinds that a foreign form can send without being asked first."""
    assert served.post("/draw", {}, Content_Type=kind)[0] == 415


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'"text"',
        b"\xff\xfe",
        b"[" * 90_000,
        b'{"a":' * 20_000,
        b"9" * 9000,
    ],
)
def test_a_body_that_is_no_table_is_refused(served: Served, body: bytes) -> None:
    assert served.post("/draw", body)[0] == 400


BAD_CHANGES: list[Any] = [
    "text",
    {"key": "spacing"},
    7,
    None,
    ["text"],
    [None],
    [{}],
    [{"key": "title", "value": "x"}],
    [{"key": ["spacing"], "value": 1}],
    [{"key": "runner.outline", "value": [[0, 0]]}],
    [{"key": "runner.outline", "value": [[0, 0], [1, 1], ["x", 2]]}],
    [{"key": "stitch.length", "value": "3"}],
    [{"key": "stitch.length", "value": True}],
    [{"key": "stitch.length", "value": 1e308}],
    [{"entry": 1, "key": "spacing", "value": {"mm": 9}}],
    [{"entry": -1, "key": "spacing", "value": {"mm": 9}}],
    [{"entry": True, "key": "spacing", "value": {"mm": 9}}],
    [{"entry": 0, "key": "spacing", "value": {"mm": float("nan")}}],
    [{"entry": 0, "key": "spacing", "value": {"mm": float("inf")}}],
    [{"entry": 0, "key": "spacing", "value": {"mm": -3}}],
    [{"entry": 0, "key": "pattern", "value": "../../etc/passwd"}],
    [{"entry": 0, "key": "pattern", "value": 'x"\n[runner]\nlength = 1'}],
    [{"entry": 0, "key": "region", "value": "moon"}],
    [{"entry": 0, "key": "motif.at", "place": 0, "value": [1, 2]}],
    [SPACING] * 1001,
]


@pytest.mark.parametrize("changes", BAD_CHANGES, ids=lambda c: str(c)[:50])
def test_changes_that_cannot_be_are_told_in_one_line(served: Served, changes: Any) -> None:
    before = served.file.read_bytes()
    for path in ("/draw", "/save"):
        status, text = served.post(path, {"base": served.server.session.base, "changes": changes})
        assert status == 422
        fault = json.loads(text)["fault"]
        assert "\n" not in fault and "Traceback" not in fault
    assert served.file.read_bytes() == before
    assert len(served.draw()) == 3, "and the next question is answered"


class Markup(HTMLParser):
    """Elements and attributes as a browser would see them."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.state: dict[str, Any] = {}
        self._given = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self._given = dict(attrs).get("id") == "given"

    def handle_data(self, data: str) -> None:
        if self._given:
            self.state = json.loads(data)["state"]
            self._given = False


def test_words_of_the_file_stay_words(tmp_path: Path) -> None:
    evil = "\"'></script><script>alert(1)</script><img src=x onerror=alert(2)>"
    file = plain(tmp_path)
    text = file.read_text()
    text = text.replace("[[quilting]]", f"[[quilting]]\nname = {json.dumps(evil)}")
    file.write_text(re.sub("(?m)^title = .*$", lambda _: f"title = {json.dumps(evil)}", text))
    with serving(file) as served:
        _, page = served.ask("GET", f"/?token={served.server.token}")
    with serving(plain(tmp_path)) as served:
        _, harmless = served.ask("GET", f"/?token={served.server.token}")
    seen, usual = Markup(), Markup()
    seen.feed(page)
    usual.feed(harmless)
    assert seen.tags.count("img") == usual.tags.count("img")
    assert seen.tags.count("script") == usual.tags.count("script")
    assert seen.state["entries"][0]["name"] == evil


def test_the_page_forbids_itself_all_foreign_addresses(served: Served) -> None:
    connection = HTTPConnection("127.0.0.1", served.server.port, timeout=PATIENCE_MS / 1000)
    connection.request("GET", f"/?token={served.server.token}")
    reply = connection.getresponse()
    page = reply.read().decode()
    connection.close()
    rules = dict(
        rule.strip().split(" ", 1) for rule in reply.headers["Content-Security-Policy"].split(";")
    )
    assert rules["default-src"] == "'none'"
    assert rules["connect-src"] == rules["script-src"] == "'self'"
    assert rules["frame-ancestors"] == "'none'"
    assert not re.search(r"https?://(?!127\.0\.0\.1)", page.replace("http://www.w3.org", ""))


def test_no_script_stands_in_the_page(served: Served) -> None:
    """Each comes by its own address, for the token alone, and so does all that it imports."""
    _, page = served.ask("GET", f"/?token={served.server.token}")
    running = re.findall(r"<script(?! type=\"application/json\")([^>]*)>([^<]*)</script>", page)
    assert len(running) == page.count("<script") - 2
    for attributes, within in running:
        (address,) = re.findall(r'src="([^"]*)"', attributes)
        assert within == ""
        waiting, seen = [address], set()
        while waiting:
            at = waiting.pop()
            status, script = served.ask("GET", at)
            assert status == 200 and script
            assert served.ask("GET", at.replace(served.server.token, "x" * 32))[0] == 403
            seen.add(at)
            imported = {urljoin(at, name) for name in re.findall(r'(?m)^import .*"(.+)";', script)}
            waiting += imported - seen - set(waiting)
        assert len(seen) > 5
    assert not re.search(r"<[^>]* on\w+=", page)


def test_what_was_made_is_opened_from_the_page_and_nothing_else(served: Served) -> None:
    token = f"?token={served.server.token}"
    assert served.ask("GET", f"/made/set/report.json{token}")[0] == 404
    status, text = served.post("/make", {})
    assert status == 200
    made = json.loads(text)
    (served.server.session.folder / "mine.txt").write_text("private", encoding="utf-8")
    for name in ("sewing-notes.txt", "guide.svg", "report.json"):
        status, content = served.ask("GET", f"/made/set/{name}{token}")
        assert status == 200
        assert content == (served.server.session.folder / name).read_text(encoding="utf-8")
    for name in ("mine.txt", "..%2fmat.toml", "../mat.toml", "%2fetc%2fpasswd", ""):
        assert served.ask("GET", f"/made/set/{name}{token}")[0] == 404
    assert served.ask("GET", "/made/set/report.json")[0] == 403
    connection = HTTPConnection("127.0.0.1", served.server.port, timeout=PATIENCE_MS / 1000)
    connection.request("GET", f"/made/set/{made['all']}{token}")
    with ZipFile(io.BytesIO(connection.getresponse().read())) as archive:
        assert sorted(archive.namelist()) == sorted(made["files"])
        assert archive.testzip() is None
    connection.close()
    (served.server.session.folder / "guide.svg").unlink()
    assert served.ask("GET", f"/made/set/guide.svg{token}")[0] == 422


@pytest.mark.parametrize("silent", [0, MOST_AT_ONCE - 2])
def test_many_connections_at_once_are_all_answered(served: Served, silent: int) -> None:
    """Two hundred at the same moment, also where others are open and say nothing: none is reset."""
    address = ("127.0.0.1", served.server.port)
    quiet = [socket.create_connection(address, timeout=PATIENCE_MS / 1000) for _ in range(silent)]
    together = threading.Barrier(200)

    def asked(_: int) -> int:
        together.wait(timeout=PATIENCE_MS / 1000)
        return served.post("/progress", {})[0]

    try:
        with ThreadPoolExecutor(200) as pool:
            assert list(pool.map(asked, range(200))) == [200] * 200
    finally:
        for one in quiet:
            one.close()
    assert served.post("/progress", {})[0] == 200, "and there is room again"
