"""How many small slips the tests notice: a sample with a fixed seed, one forked run for each.

    python -m tests.mutation                      400 slips over floors 0 to 3
    python -m tests.mutation --slips 50 --only routing
    python -m tests.mutation --seed 2 --at-once 2    another sample, two slips at a time
    python -m tests.mutation --again LOG tests/routing    survivors met by these tests alone

The tests of floors 0 to 3 run once under coverage; then each slip is met by those that come past
its line, the quickest first, until one fails. Nothing is written into the checkout: the slipped
module exists in the forked process alone. ``--log`` keeps what was found, and ``--again`` with
that log meets only its survivors, once more tests are there. ``--reach`` keeps which tests come
past which line, so that a second run over the same checkout need not find it out again, and
``--seconds`` says how long the tests for one slip may take together without it.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
from collections import Counter
from pathlib import Path

from tests.mutation.forked import OUTCOMES, met_by_tests, warmed_up
from tests.mutation.mutants import Slip, slips
from tests.mutation.reach import MOST_SECONDS, known, recorded

ROOT = Path(__file__).parent.parent.parent
PACKAGE = ROOT / "quiltpath"
PARTS = (
    "units", "errors", "files", "schema", "geometry", "patterns", "project", "routing", "runner",
    "stitching", "checks", "materials", "machine",
)  # fmt: skip
TESTS = (
    "tests/test_units.py", "tests/geometry", "tests/project", "tests/runner", "tests/patterns",
    "tests/routing", "tests/stitching", "tests/checks", "tests/materials", "tests/machine",
    "tests/approved", "tests/outside", "tests/hostile",
    "tests/test_values_are_frozen.py",
)  # fmt: skip
"""Floors 0 to 3 and the tests that answer for them."""


def all_slips(only: str) -> list[Slip]:
    """Slips of every module of floors 0 to 3, in a fixed order."""
    parts = [only] if only else PARTS
    files = [
        path
        for part in parts
        for path in (PACKAGE / f"{part}.py", *sorted((PACKAGE / part).rglob("*.py")))
        if path.is_file()
    ]
    return [slip for path in files for slip in slips(path)]


def part_of(slip: Slip) -> str:
    """``"routing"`` for a slip in quiltpath/routing/."""
    return slip.path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def main() -> None:
    """Draw the sample, meet each slip with the tests, print survivors and the score."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("tests", nargs="*", default=TESTS)
    options.add_argument("--slips", type=int, default=400)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--at-once", type=int, default=1)
    options.add_argument("--only", default="", choices=["", *PARTS])
    options.add_argument("--seconds", type=float, default=MOST_SECONDS)
    options.add_argument("--log", type=Path)
    options.add_argument("--again", type=Path)
    options.add_argument("--reach", type=Path)
    asked = options.parse_args()
    warmed_up()
    everything = all_slips(asked.only)
    if asked.again is None:
        drawn = sample(everything, asked.slips, asked.seed)
    else:
        drawn = survivors(everything, asked.again.read_text(encoding="utf-8"))
    kept = asked.reach or Path(tempfile.mkdtemp()) / "reach.json"
    reach = known(kept) if kept.exists() else recorded(asked.tests, PACKAGE, kept)
    count: Counter[tuple[str, str]] = Counter()
    for number, slip, outcome in met_by_tests(drawn, reach, asked.at_once, asked.seconds):
        count[part_of(slip), outcome] += 1
        tell(f"{number}/{len(drawn)} {outcome:9} {place(slip)}", asked.log)
    tell(score(count), asked.log)


def sample(everything: list[Slip], number: int, seed: int) -> list[Slip]:
    """So many of all slips, always the same ones in the same mixed order for a seed."""
    chosen = random.Random(seed).sample(range(len(everything)), min(number, len(everything)))
    return [everything[index] for index in chosen]


def survivors(everything: list[Slip], log: str) -> list[Slip]:
    """Those that an earlier run's log says nothing noticed, with any others of one look."""
    return [slip for slip in everything if f"survived  {place(slip)}\n" in log]


def place(slip: Slip) -> str:
    """``"quiltpath/units.py:47: Lt to LtE"``."""
    return f"{slip.path.relative_to(ROOT)}:{slip.line}: {slip.what}"


def score(count: Counter[tuple[str, str]]) -> str:
    """A line for each part, and one for all."""
    lines = []
    for part in (*PARTS, ""):
        each = [
            sum(n for (p, o), n in count.items() if o == k and part in ("", p)) for k in OUTCOMES
        ]
        if drawn := sum(each):
            told = ", ".join(f"{n} {name}" for name, n in zip(OUTCOMES, each, strict=True))
            lines.append(
                f"{part or 'all':10} {1 - each[-1] / drawn:6.1%} noticed of {drawn}: {told}"
            )
    return "\n".join(lines)


def tell(text: str, log: Path | None) -> None:
    """To the terminal and, where one was named, to the log."""
    print(text, flush=True)
    if log is not None:
        with log.open("a", encoding="utf-8") as file:
            file.write(text + "\n")


if __name__ == "__main__":
    sys.exit(main())
