"""A live page on a copy of a sample, served from a thread of the test."""

from __future__ import annotations

import json
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path
from typing import Any

from quiltpath.jobs.compare import compare_and_name
from quiltpath.jobs.make import make_and_name
from quiltpath.page.server import LiveServer
from quiltpath.page.session import PageJobs, Session
from tests.pages import PATIENCE_MS

PAGE_JOBS = PageJobs(make_and_name, compare_and_name)
SAMPLES = Path(__file__).parents[2] / "samples"

PLAIN = """# ours
title = "Galley <b>\\"mat\\"</b> & co"
units = "mm"   # of bare numbers

[runner]
length = 400
width = 240

[[quilting]]
kind = "straight"        # lengthwise
spacing = "about 40 mm"  # as wide as the wadding allows

[wadding]
limit = "60 mm"
"""


@dataclass(frozen=True)
class Served:
    """What a test holds of a server: the file it shows and the way to ask it."""

    server: LiveServer
    file: Path

    def ask(self, method: str, path: str, body: bytes = b"", **headers: str) -> tuple[int, str]:
        """Status and text; headers as ``Content_Type="..."``."""
        connection = HTTPConnection("127.0.0.1", self.server.port, timeout=PATIENCE_MS / 1000)
        try:
            named = {name.replace("_", "-"): value for name, value in headers.items()}
            connection.request(method, path, body, named)
            reply = connection.getresponse()
            return reply.status, reply.read().decode()
        finally:
            connection.close()

    def post(self, path: str, content: Any, **headers: str) -> tuple[int, str]:
        """As the page asks: JSON with the token."""
        usual = {"Content_Type": "application/json", "X_Token": self.server.token, **headers}
        body = content if isinstance(content, bytes) else json.dumps(content).encode()
        return self.ask("POST", path, body, **usual)

    def draw(self, *changes: Any) -> list[dict[str, Any]]:
        """The parts of the answer to some changes."""
        content = {"base": self.server.session.base, "changes": list(changes)}
        status, text = self.post("/draw", content)
        assert status == 200, text
        return [json.loads(line) for line in text.splitlines()]

    def save(self, *changes: Any) -> tuple[int, str]:
        return self.post("/save", {"base": self.server.session.base, "changes": list(changes)})


@contextmanager
def serving(file: Path) -> Iterator[Served]:
    server = LiveServer(Session(file, file.parent / "out", PAGE_JOBS))
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    try:
        yield Served(server, file)
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def copied(sample: str, folder: Path) -> Path:
    """The project file of a copy of a shipped sample."""
    shutil.copytree(SAMPLES / sample, folder / sample)
    return folder / sample / "runner.toml"


def plain(folder: Path) -> Path:
    file = folder / "mat.toml"
    file.write_text(PLAIN, encoding="utf-8")
    return file
