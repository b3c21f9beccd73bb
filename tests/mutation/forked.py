"""One slip, one forked process: the slipped module is put in place of the true one, tests run.

The parent has loaded everything but the package itself, so that a fork costs no imports.
"""

from __future__ import annotations

import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType
from typing import Protocol

from tests.mutation.mutants import Slip
from tests.mutation.reach import Reach

OUTCOMES = ("failed", "too slow", "survived")
LEAST_S, TIMES_AS_LONG = 30.0, 5.0
"""So long, and so many times what its tests take without a slip, a slip may keep them busy."""

MOST_BYTES = 6 * 2**30

_HEAVY = (
    "numpy", "scipy.spatial", "scipy.sparse.csgraph", "scipy.optimize", "shapely", "hypothesis",
    "networkx", "pydantic", "pytest", "pymatching", "ortools.constraint_solver.pywrapcp",
    "PIL.Image", "reportlab.pdfgen.canvas", "ezdxf", "pyembroidery", "svgelements", "click.testing",
)  # fmt: skip


def warmed_up() -> None:
    """Load what the tests need, but nothing of the package; examples found are kept nowhere."""
    os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = tempfile.mkdtemp()
    for name in _HEAVY:
        importlib.import_module(name)


@dataclass(frozen=True)
class Meeting:
    """One slip with its tests in a forked process, which is stopped at ``until``."""

    slip: Slip
    child: int
    until: float

    @classmethod
    def begun(cls, slip: Slip, tests: Sequence[str], seconds: float) -> Meeting:
        """The tests have begun; without the slip they take ``seconds`` together."""
        until = time.monotonic() + LEAST_S + TIMES_AS_LONG * seconds
        child = os.fork()
        if child == 0:
            _in_child(slip, tests)
        return cls(slip, child, until)

    def outcome(self) -> str | None:
        """How it ended; ``None`` while the tests run."""
        ended, status = os.waitpid(self.child, os.WNOHANG)
        if ended:
            return "survived" if status == 0 else "failed"
        if time.monotonic() < self.until:
            return None
        os.killpg(self.child, signal.SIGKILL)
        os.waitpid(self.child, 0)
        return "too slow"


def met_by_tests(
    slips: Sequence[Slip], reach: Reach, at_once: int, most_seconds: float
) -> Iterator[tuple[int, Slip, str]]:
    """Number, slip and outcome as they come; the first test that fails ends a slip."""
    waiting = list(enumerate(slips, start=1))[::-1]
    running: list[tuple[int, Meeting]] = []
    while waiting or running:
        while waiting and len(running) < at_once:
            number, slip = waiting.pop()
            if tests := reach.tests_for(slip, most_seconds):
                running.append((number, Meeting.begun(slip, tests, reach.seconds_of(tests))))
            else:
                yield number, slip, "survived"
        time.sleep(0.05)
        for number, meeting in running[:]:
            if outcome := meeting.outcome():
                running.remove((number, meeting))
                yield number, meeting.slip, outcome


def _in_child(slip: Slip, tests: Sequence[str]) -> None:
    """Never returns. Exit code 0 where all tests passed."""
    import pytest

    os.setsid()
    # A loop that never ends would otherwise fill the memory of the machine before its time is up.
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    silence = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(silence, stream)
    code = 1
    try:
        sys.meta_path.insert(0, Slipped(slip))
        quiet = ["-x", "-q", "-p", "no:cacheprovider", "--hypothesis-seed=0"]
        code = int(pytest.main([*quiet, *tests]))
    finally:
        os._exit(code)


class Faulty(Protocol):
    """A module with a fault in it."""

    @property
    def module(self) -> str:
        """Its name."""

    @property
    def path(self) -> Path:
        """Where the true one lies."""

    def source(self) -> str:
        """Its text with the fault."""


class Slipped(importlib.abc.MetaPathFinder, importlib.machinery.SourceFileLoader):
    """Finds the one slipped module and hands out its changed text."""

    def __init__(self, slip: Faulty) -> None:
        super().__init__(slip.module, str(slip.path))
        self.slip = slip

    def find_spec(
        self, fullname: str, path: object = None, target: object = None
    ) -> importlib.machinery.ModuleSpec | None:
        """The slipped module's spec; every other module is found as usual."""
        if fullname != self.name:
            return None
        return importlib.util.spec_from_file_location(fullname, self.path, loader=self)

    def get_code(self, fullname: str) -> CodeType:
        """The changed text, compiled; never from or into a cache."""
        return compile(self.slip.source(), self.path, "exec", dont_inherit=True)
