"""For all tests: no example is held to a time, and what was compiled once is kept. For the page
tests: a real browser, headless, that may reach nothing but this machine."""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from quiltpath.process import look_seldom_for_garbage
from tests.once import FOLDER
from tests.pages import PATIENCE_MS

# A busy machine is no fault of the code: no test asserts a time. The examples are the same each
# time, so that what fails is what was changed; QUILTPATH_NEW_EXAMPLES=1 draws others.
settings.register_profile(
    "steady",
    deadline=None,
    derandomize="QUILTPATH_NEW_EXAMPLES" not in os.environ,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("steady")

# The tests are gathered without a search for garbage, which would take a sixth of that time.
look_seldom_for_garbage()

# Some shells ask Python to keep no compiled code. Reading the tests would then take three times as
# long, and every process that a test starts would compile the package anew.
sys.dont_write_bytecode = False
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)


def pytest_configure(config: pytest.Config) -> None:
    """The workers of a run share a folder and its options; a run within a run has its own."""
    if hasattr(config, "workerinput"):
        os.environ.pop("PYTEST_ADDOPTS", None)
        return
    os.environ.pop(FOLDER, None)
    if config.getoption("numprocesses", None):
        os.environ[FOLDER] = tempfile.mkdtemp(prefix="quiltpath-tests-")
    else:
        os.environ.pop("PYTEST_ADDOPTS", None)


def pytest_collection_finish() -> None:
    """Ten thousand tests and what they import are no garbage."""
    look_seldom_for_garbage()


def pytest_unconfigure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput") and FOLDER in os.environ:
        shutil.rmtree(os.environ.pop(FOLDER), ignore_errors=True)


@pytest.fixture
def designs_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """A comparison is computed here: each fresh process would take a second to load."""
    monkeypatch.setattr("quiltpath.jobs.compare.map_in_parallel", map)


CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    playwright = pytest.importorskip("playwright.sync_api")
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine")
    with playwright.sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


class Watched:
    """A page with everything it said and asked for."""

    def __init__(self, browser: Any, width: int, height: int) -> None:
        self.page = browser.new_page(viewport={"width": width, "height": height})
        self.page.set_default_timeout(PATIENCE_MS)
        self.errors: list[str] = []
        self.requests: list[str] = []
        self.page.on("console", self._console)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self.page.on("request", lambda request: self.requests.append(request.url))

    def _console(self, message: Any) -> None:
        if message.type in ("error", "warning"):
            self.errors.append(message.text)


@pytest.fixture
def watched(browser: Any) -> Iterator[Any]:
    pages: list[Watched] = []

    def opened(width: int = 1280, height: int = 900) -> Watched:
        pages.append(Watched(browser, width, height))
        return pages[-1]

    yield opened
    for page in pages:
        page.page.close()
