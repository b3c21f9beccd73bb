"""How long odd projects take: so many of them, one after the other, the slowest kept as files.

    python -m tests.fuzz --cases 10000 --seed 3 --keep SLOWEST

Each is asked for all that ``check`` tells of it. What takes more processor time than ``--seconds``
is written into the folder as it comes, and the run ends with exit code 1; at six times as long it
is given up. Sensible projects, some with a slip of the unit and some that are spoilt come in a
mixed order, other ones with each seed.
"""

from __future__ import annotations

import argparse
import heapq
import signal
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.project import parse
from quiltpath.result.computing import compute
from tests.fuzz.strategies import (
    nearly_valid_projects,
    projects,
    projects_with_units_slipped,
    toml,
)
from tests.fuzz.test_fuzz import LEAF

GIVEN_UP_AT = 6
"""Times as long as a case may take, after which nobody waits for its end."""

SHOWN = 10


class GivenUp(BaseException):
    """A case ran so long that its end is of no interest; nothing in the package catches it."""


@contextmanager
def at_most(seconds: float) -> Iterator[None]:
    """Raises :class:`GivenUp` once so much processor time is spent inside."""

    def stop(number: int, frame: FrameType | None) -> None:
        raise GivenUp

    before = signal.signal(signal.SIGPROF, stop)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


@dataclass
class Times:
    """What each case took, in seconds of processor time, with the text of the slowest."""

    limit: float
    folder: Path
    cases: int = 0
    refused: int = 0
    over: int = 0
    spent: float = 0.0
    slowest: list[tuple[float, int, str]] = field(default_factory=list)

    def measure(self, text: str) -> None:
        """One project, from its text to all that is told of it."""
        self.cases += 1
        began = time.process_time()
        try:
            with at_most(GIVEN_UP_AT * self.limit):
                self.refused += not _told(text, self.folder)
        except GivenUp:
            print("given up:", end=" ")
        took = time.process_time() - began
        self.spent += took
        heapq.heappush(self.slowest, (took, self.cases, text))
        if len(self.slowest) > SHOWN:
            heapq.heappop(self.slowest)
        if took > self.limit:
            self.over += 1
            print(f"{took:.1f} s  {self._kept(self.cases, text)}", flush=True)
        if self.cases % 250 == 0:
            print(self.score(), flush=True)

    def score(self) -> str:
        """How many there were, and how many took too long."""
        longest = max(self.slowest)[0] if self.slowest else 0.0
        return (
            f"{self.cases} projects, {self.refused} refused, {self.over} over {self.limit:g} s; "
            f"{self.spent / max(self.cases, 1):.2f} s each, the longest {longest:.1f} s"
        )

    def table(self) -> str:
        """The slowest, each with its file."""
        rows = sorted(self.slowest, reverse=True)
        return "\n".join(f"{took:6.1f} s  {self._kept(case, text)}" for took, case, text in rows)

    def _kept(self, case: int, text: str) -> Path:
        path = self.folder / f"{case}.toml"
        path.write_text(text, encoding="utf-8")
        return path


def _told(text: str, folder: Path) -> bool:
    """All that ``check`` needs is computed; False where the project is refused."""
    try:
        result = compute(parse(text, name="fuzz.toml", folder=folder))
    except InputError:
        return False
    assert isinstance(result.findings, tuple)  # computed only when asked for
    return True


def main() -> int:
    """Measure the cases, print the slowest; 1 where one took too long."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--cases", type=int, default=1000)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--seconds", type=float, default=10.0)
    options.add_argument("--keep", type=Path)
    asked = options.parse_args()
    folder = asked.keep or Path(tempfile.mkdtemp(prefix="quiltpath-fuzz-"))
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "leaf.svg").write_bytes(LEAF)
    times = Times(asked.seconds, folder)

    @seed(asked.seed)
    @settings(
        max_examples=asked.cases,
        deadline=None,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(st.one_of(projects(), projects_with_units_slipped(), nearly_valid_projects()))
    def each(content: dict[str, Any]) -> None:
        times.measure(toml(content))

    with suppress(KeyboardInterrupt):  # who has seen enough is told what there was until then
        each()
    print(times.score())
    print(times.table())
    return 1 if times.over else 0


if __name__ == "__main__":
    sys.exit(main())
