"""Which tests come past which line, and how long each takes: one run under coverage.

A slip on a line is met by the tests that come past it, the quickest first. A line that only runs
at import (a default, a constant, a table) is met by all that come past its module, by the tests
of its part of the package, since another module may use the constant, and by those that have the
module's name among their parameters, as the test for frozen values has.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import time
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.mutation.mutants import Slip

MOST_SECONDS = 40.0
"""Tests for one slip are added until, without any slip, they would take so long together."""


@dataclass(frozen=True)
class Reach:
    """``seconds`` of each test, and for each file and line the tests that come past."""

    seconds: dict[str, float]
    past: dict[str, dict[int, list[str]]]

    def tests_for(self, slip: Slip, most_seconds: float) -> list[str]:
        """The tests to meet a slip with, the quickest first."""
        lines = self.past.get(str(slip.path), {})
        known = sorted(lines)
        at = bisect_right(known, slip.line) - 1
        met = lines[known[at]] if at >= 0 else []
        found = met or self._tests_of_module(slip)
        chosen, spent = [], 0.0
        for test in sorted(found, key=lambda name: (self.seconds[name], name)):
            spent += self.seconds[test]
            if spent > most_seconds and chosen:
                break
            chosen.append(test)
        return chosen

    def seconds_of(self, tests: Sequence[str]) -> float:
        """What these tests take together."""
        return sum(self.seconds[test] for test in tests)

    def _tests_of_module(self, slip: Slip) -> set[str]:
        past = self.past.get(str(slip.path), {}).values()
        part = slip.module.split(".")[1]
        own = (f"tests/{part}/", f"tests/test_{part}.py")
        named = {
            test
            for test in self.seconds
            if test.startswith(own) or test.endswith(f"[{slip.module}]")
        }
        return named.union(*past)


def recorded(tests: Sequence[str], package: Path, place: Path) -> Reach:
    """Run the tests once in a forked process under coverage; what they come past."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            code = _record(tests, package, place)
        finally:
            os._exit(code)
    if os.waitpid(child, 0)[1] != 0:
        raise SystemExit("the tests do not pass without any slip: mend that first")
    return known(place)


def known(place: Path) -> Reach:
    """What an earlier run has kept in ``place``."""
    found = json.loads(place.read_text(encoding="utf-8"))
    past = {
        file: {int(line): tests for line, tests in lines.items()}
        for file, lines in found["past"].items()
    }
    return Reach(found["seconds"], past)


def _record(tests: Sequence[str], package: Path, place: Path) -> int:
    import coverage
    import pytest

    watch = coverage.Coverage(source=[str(package)], data_file=None)
    watch.start()
    for module in pkgutil.walk_packages([str(package)], "quiltpath."):
        # Loaded in no test's name, or a default would seem to be met by one test alone.
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    clock = _Clock(watch)
    quiet = ["-q", "-x", "-p", "no:cacheprovider", "--hypothesis-seed=0"]
    code = int(pytest.main([*quiet, *tests], plugins=[clock]))
    watch.stop()
    data = watch.get_data()
    past = {
        file: {
            line: [name for name in names if name]
            for line, names in data.contexts_by_lineno(file).items()
        }
        for file in sorted(data.measured_files())
    }
    found = {"seconds": clock.seconds, "past": past}
    place.write_text(json.dumps(found), encoding="utf-8")
    return code


@dataclass
class _Clock:
    """Tells coverage which test is running, and how long it took."""

    watch: Any
    seconds: dict[str, float] = field(default_factory=dict)

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        """A test begins, with its fixtures."""
        self.watch.switch_context(nodeid)
        self.seconds[nodeid] = -time.monotonic()

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        """A test has ended."""
        self.seconds[nodeid] += time.monotonic()
        self.watch.switch_context("")
