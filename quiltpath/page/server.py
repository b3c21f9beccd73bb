"""A small server for the live page: this machine only, one page, a token, nothing else.

Every request must name this server in its Host header (a foreign name that resolves to the
loopback address is refused), carry no foreign Origin, and hold the token. Bodies are bounded;
paths are looked up in a table, never in the file system.
"""

from __future__ import annotations

import hmac
import html
import json
import secrets
import threading
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from mimetypes import guess_type
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, unquote, urlsplit

from quiltpath.documents.preview_page import ASKS_NOTHING, json_within, page_with
from quiltpath.drawing.script_modules import modules_of
from quiltpath.errors import InputError, QuiltpathError
from quiltpath.page.beginning import (
    BEGIN_STATE,
    begin_page,
    begun,
    create,
    create_from_photo,
)
from quiltpath.page.page_photo import PagePhoto, PhotoProject
from quiltpath.page.photo_marks import brushed
from quiltpath.page.session import PageJobs, Session
from quiltpath.photo.reading import MOST_BYTES as MOST_PHOTO_BYTES
from quiltpath.photo.vision import missing_vision

LOOPBACK = "127.0.0.1"
MOST_BYTES = 200_000
"""Of a request's body: changes are a few hundred bytes."""

MOST_MARKS_BYTES = 4_000_000
"""Of all outlines over a photo."""

MOST_AT_ONCE = 128
"""Connections that are answered at once; a browser has six of them."""

MOST_WAITING = 512
"""Connections that wait their turn in the system's queue, none of them turned away."""

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'unsafe-inline'; img-src data:;"
    " connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
"""Sent with every answer: scripts come from this server alone, none stands in a page."""


class LiveServer(ThreadingHTTPServer):
    """Serves one session on a free port of the loopback address."""

    daemon_threads = True
    request_queue_size = MOST_WAITING

    def __init__(self, session: Session | Beginning, port: int = 0) -> None:
        super().__init__((LOOPBACK, port), _Handler)
        self._free = threading.BoundedSemaphore(MOST_AT_ONCE)
        self.shown = session
        self.photo = PagePhoto()
        self._beginning = threading.Lock()
        self.token = secrets.token_urlsafe(24)

    def process_request(self, request: Any, client_address: Any) -> None:
        """A thread for the connection, as soon as there are few enough; others wait in the queue.

        None waits for ever: one that says nothing is closed after ``_Handler.timeout`` seconds.
        """
        self._free.acquire()
        try:
            super().process_request(request, client_address)
        except RuntimeError:  # the system has no thread left
            self._free.release()
            raise

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """Answer one connection and make room for the next."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._free.release()

    @property
    def port(self) -> int:
        """The port that was free."""
        return int(self.server_address[1])

    @property
    def address(self) -> str:
        """What to open in the browser; it holds the token."""
        return f"http://{LOOPBACK}:{self.port}/?token={self.token}"

    def allows_host(self, host: str | None) -> bool:
        """True for this server's own names only."""
        return host in {f"{LOOPBACK}:{self.port}", f"localhost:{self.port}"}

    def allows_origin(self, origin: str | None) -> bool:
        """True for no origin (a page opened directly) and for this server's own."""
        return origin is None or origin.removeprefix("http://") in {
            f"{LOOPBACK}:{self.port}",
            f"localhost:{self.port}",
        }

    def knows(self, token: str) -> bool:
        """Compared in constant time."""
        return hmac.compare_digest(token.encode("utf-8", "replace"), self.token.encode())

    @property
    def session(self) -> Session:
        """The project that is shown; raises :class:`InputError` where there is none yet."""
        if isinstance(self.shown, Beginning):
            raise InputError("the runner", "", "is not kept yet", "load the page again")
        return self.shown

    def page(self) -> bytes:
        """The page for the file as it is, with nothing changed yet; or the questions before it."""
        if isinstance(self.shown, Beginning):
            script = self._script(BEGIN, BEGIN_STATE)
            return begin_page(self.shown.folder, script, _part("photo.html"))
        result = self.session.result()
        state = self.session.first_state(result)
        design = _part("design.html") + _part("photo.html")
        return page_with(result, design, self._script(DESIGN, state), RULE)

    def _script(self, module: str, state: object) -> str:
        """The elements of what a script begins from, and of the module that it begins with.

        The token is part of the address, and so of the addresses of all that the module imports.
        """
        missing = missing_vision()
        given = json_within({"token": self.token, "state": state, "missing": missing})
        return (
            f'<script type="application/json" id="given">{given}</script>\n'
            f'<script type="module" src="/{self.token}/{module}"></script>'
        )

    def answer(self, path: str, content: dict[str, Any]) -> Iterator[dict[str, Any]]:
        """The parts of the reply to a question; raises ``KeyError`` for one that there is not."""
        if path in BEGINNINGS:
            return iter([self._begin(path, content)])
        if path in PHOTO_QUESTIONS:
            return iter([self._of_photo(path, content)])
        session = self.session
        changes, base = content.get("changes", []), str(content.get("base") or "")
        held = str(content.get("cloth") or "")
        answers: dict[str, Callable[[], Iterator[dict[str, Any]]]] = {
            "/draw": lambda: session.drawn(changes, base, held),
            "/pictures": lambda: session.pictures(changes, _of_layer(content), base),
            "/settings": lambda: iter([session.settings(changes, base)]),
            "/lit": lambda: iter([session.lit(changes, base)]),
            "/save": lambda: iter([session.save(changes, base)]),
            "/make": lambda: iter([session.make()]),
            "/compare": lambda: iter([session.compare(content.get("cards"), base)]),
            "/load": lambda: iter([session.load_again()]),
            "/progress": lambda: iter([session.progress()]),
        }
        return answers[path]()

    def _of_photo(self, path: str, content: dict[str, Any]) -> dict[str, Any]:
        """What is in the photo; or a panel is taken from it into the project, or as a new one."""
        if path == "/photo/measure":
            return self.photo.measure(content)
        if path == "/photo/brush":
            return brushed(content)
        panel = self.photo.project(content)
        with self._beginning:
            if isinstance(self.shown, Beginning):
                self.shown = self.shown.kept_panel(panel, str(content.get("file", "")))
                return {"file": self.shown.file.name}
        return self.shown.use_photo(panel)

    def _begin(self, path: str, content: dict[str, Any]) -> dict[str, Any]:
        """How a runner would look that is not kept yet; or it is kept, and shown from now on."""
        with self._beginning:
            if not isinstance(self.shown, Beginning):
                raise InputError("the runner", "", "is kept already", "load the page again")
            said = content.get("answers")
            if not isinstance(said, dict):
                raise InputError("the page", "", "sent no answers", "load the page again")
            if path == "/begin":
                return begun(said)
            self.shown = self.shown.kept(said, str(content.get("file", "")))
            return {"file": self.shown.file.name}


@dataclass(frozen=True)
class Beginning:
    """Nothing yet: the runner comes from answers, and is kept in ``folder``."""

    folder: Path
    jobs: PageJobs
    out: Path | None = None
    """where the set goes; beside the project, by its name, where it is None"""

    def kept(self, answers: dict[str, Any], name: str) -> Session:
        """The session of the project that the answers come to."""
        return self._session(create(answers, name, self.folder))

    def kept_panel(self, panel: PhotoProject, name: str) -> Session:
        """The session of the project of a panel in a photo."""
        return self._session(create_from_photo(panel, name, self.folder))

    def _session(self, file: Path) -> Session:
        return Session(file, self.out or self.folder / f"{file.stem}-out", self.jobs)


RULE = POLICY.partition("; frame-ancestors")[0]
"""The same within the page, where frames cannot be spoken of."""

DESIGN = "page/main.js"
BEGIN = "page/begin.js"
MADE = "/made/"
"""Before which set it is, and the name of a file that was made for it."""


@cache
def _modules() -> dict[str, bytes]:
    """Every module of the scripts by its address."""
    every = {**modules_of(DESIGN), **modules_of(BEGIN)}
    return {address: text.encode("utf-8") for address, text in every.items()}


BEGINNINGS = frozenset({"/begin", "/create"})
PHOTO = "/photo"
"""Where the photo itself is sent."""
PHOTO_QUESTIONS = frozenset({"/photo/measure", "/photo/brush", "/photo/use"})
QUESTIONS = (
    BEGINNINGS
    | PHOTO_QUESTIONS
    | frozenset(
        {
            "/draw",
            "/pictures",
            "/settings",
            "/lit",
            "/save",
            "/make",
            "/compare",
            "/load",
            "/progress",
        }
    )
)


def _of_layer(content: Mapping[str, Any]) -> dict[str, Any]:
    return {"entry": content.get("entry"), "keep": content.get("keep", {})}


def _json(content: dict[str, Any]) -> bytes:
    return json.dumps(content, separators=(",", ":")).encode("utf-8")


def _part(name: str) -> str:
    return files("quiltpath.page").joinpath(name).read_text(encoding="utf-8")


class _Handler(BaseHTTPRequestHandler):
    server: LiveServer
    server_version = "quiltpath"
    sys_version = ""
    timeout = 30

    def do_GET(self) -> None:
        url = urlsplit(self.path)
        token, _, module = url.path[1:].partition("/")
        if module in _modules():
            if self._is_welcome(token):
                self._send(200, _modules()[module], "text/javascript; charset=utf-8")
            return
        if not self._is_welcome(parse_qs(url.query).get("token", [""])[0]):
            return
        if url.path.startswith(MADE):
            self._give(unquote(url.path.removeprefix(MADE)))
            return
        if url.path != "/":
            self._refuse(404, "there is no such page")
            return
        try:
            self._send(200, self.server.page(), "text/html; charset=utf-8")
        except QuiltpathError as error:
            self._send(422, html.escape(str(error)).encode(), "text/html; charset=utf-8")

    def _give(self, name: str) -> None:
        """A file that was made, as it lies in its folder; pages among them keep their own rule."""
        try:
            content = self.server.session.made(name)
        except QuiltpathError as error:
            self._refuse(422, str(error))
            return
        if content is None:
            self._refuse(404, "there is no such file")
            return
        kind = guess_type(name)[0] or "application/octet-stream"
        text = "; charset=utf-8" if kind.startswith("text/") else ""
        self._send(200, content, kind + text, ASKS_NOTHING)

    def do_POST(self) -> None:
        if not self._is_welcome(self.headers.get("X-Token", "")):
            return
        path = urlsplit(self.path).path
        if path == PHOTO:
            self._take_photo()
            return
        content = self._content(MOST_MARKS_BYTES if path in PHOTO_QUESTIONS else MOST_BYTES)
        if content is None:
            return
        if path not in QUESTIONS:
            self._refuse(404, "there is no such question")
            return
        try:
            parts = self.server.answer(path, content)
            first = next(parts)
        except QuiltpathError as error:
            self._refuse(422, str(error))
            return
        with suppress(ConnectionError):
            self._stream(first, parts)

    def _stream(self, first: dict[str, Any], parts: Iterator[dict[str, Any]]) -> None:
        """One line of JSON for each part, sent as soon as it is known."""
        self._head(200, "application/x-ndjson")
        self._line(first)
        try:
            for part in parts:
                self._line(part)
        except QuiltpathError as error:
            self._line({"fault": str(error)})

    def _line(self, content: dict[str, Any]) -> None:
        self.wfile.write(_json(content) + b"\n")

    def _is_welcome(self, token: str) -> bool:
        allowed = self.server.allows_host(self.headers.get("Host"))
        allowed &= self.server.allows_origin(self.headers.get("Origin"))
        if not (allowed and self.server.knows(token)):
            self._refuse(403, "not for you")
            return False
        return True

    def _take_photo(self) -> None:
        """The photo's own bytes, within the limits of a photo."""
        data = self._body("application/octet-stream", MOST_PHOTO_BYTES, "a photo")
        if data is None:
            return
        try:
            self._reply(200, self.server.photo.take(data))
        except QuiltpathError as error:
            self._refuse(422, str(error))

    def _body(self, kind: str, most_bytes: int, what: str) -> bytes | None:
        """What was sent; None where it was refused."""
        length = self.headers.get("Content-Length", "")
        if self.headers.get_content_type() != kind or not length.isdigit():
            self._refuse(415, f"send {what} with its length")
            return None
        if int(length) > most_bytes:
            self._refuse(413, "too much")
            return None
        return self.rfile.read(int(length))

    def _content(self, most_bytes: int) -> dict[str, Any] | None:
        """The body as a table; None where it was refused."""
        body = self._body("application/json", most_bytes, "JSON")
        if body is None:
            return None
        try:
            content = json.loads(body)
        except (ValueError, RecursionError):
            content = None
        if not isinstance(content, dict):
            self._refuse(400, "send a JSON table")
            return None
        return content

    def _refuse(self, status: int, fault: str) -> None:
        self.close_connection = True
        self._reply(status, {"fault": fault})

    def _reply(self, status: int, content: dict[str, Any]) -> None:
        self._send(status, _json(content), "application/json")

    def _send(self, status: int, body: bytes, kind: str, policy: str = POLICY) -> None:
        self._head(status, kind, len(body), policy)
        self.wfile.write(body)

    def _head(
        self, status: int, kind: str, length: int | None = None, policy: str = POLICY
    ) -> None:
        """Without a length the reply ends where the connection does."""
        self.send_response(status)
        self.send_header("Content-Type", kind)
        if length is not None:
            self.send_header("Content-Length", str(length))
        self.send_header("Content-Security-Policy", policy)
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("X-Frame-Options", "DENY")
        self.send_header("Referrer-Policy", "no-referrer")
        self.end_headers()

    def log_message(self, format: str, *arguments: Any) -> None:
        """Silent: the terminal belongs to the person."""
