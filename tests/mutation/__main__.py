"""How many small slips the tests notice: a sample with a fixed seed, one forked run for each.

    python -m tests.mutation                      400 slips over floors 0 to 3
    python -m tests.mutation --slips 50 --only routing

Each slip is met by the tests of its own floor first, then by the outside checks and the samples;
the first that fails ends it. Nothing is written into the checkout: the slipped module exists in
the forked process alone. Takes an hour or two on one core; ``--log`` keeps what was found, and
``--again`` with that log meets only its survivors, once more tests are there.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter
from pathlib import Path

from tests.mutation.forked import OUTCOMES, met_by_tests, warmed_up
from tests.mutation.mutants import Slip, slips

ROOT = Path(__file__).parent.parent.parent
PACKAGE = ROOT / "quiltpath"
WIDER = ("tests/outside", "tests/test_samples.py")
TESTS: dict[str, tuple[str, ...]] = {
    "units": ("tests/test_units.py", "tests/project"),
    "errors": ("tests/project",),
    "project": ("tests/project", "tests/quilting"),
    "runner": ("tests/runner", "tests/project"),
    "quilting": ("tests/quilting",),
    "routing": ("tests/routing",),
    "stitching": ("tests/stitching",),
    "checks": ("tests/checks",),
    "estimate": ("tests/estimate",),
    "materials": ("tests/materials",),
    "machines": ("tests/machines/test_profiles.py",),
}
"""The tests that answer for each part of floors 0 to 3."""


def all_slips(only: str) -> list[Slip]:
    """Slips of every module that the tests above answer for, in a fixed order."""
    parts = [only] if only else list(TESTS)
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
    options.add_argument("--slips", type=int, default=400)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--only", default="", choices=["", *TESTS])
    options.add_argument("--log", type=Path)
    options.add_argument("--again", type=Path)
    asked = options.parse_args()
    warmed_up()
    drawn = sample(all_slips(asked.only), asked.slips, asked.seed)
    if asked.again is not None:
        drawn = survivors(drawn, asked.again.read_text(encoding="utf-8"))
    for tests in sorted({TESTS[part_of(slip)] for slip in drawn} | {WIDER}):
        if met_by_tests(None, tests) != "survived":
            sys.exit(f"{' '.join(tests)} fails without any slip: mend that first")
    count: Counter[tuple[str, str]] = Counter()
    for number, slip in enumerate(drawn, start=1):
        outcome = met_by_tests(slip, TESTS[part_of(slip)], WIDER)
        count[part_of(slip), outcome] += 1
        tell(f"{number}/{len(drawn)} {outcome:9} {place(slip)}", asked.log)
    tell(score(count), asked.log)


def sample(everything: list[Slip], number: int, seed: int) -> list[Slip]:
    """So many of all slips, always the same ones for a seed."""
    chosen = random.Random(seed).sample(range(len(everything)), min(number, len(everything)))
    return [everything[index] for index in sorted(chosen)]


def survivors(drawn: list[Slip], log: str) -> list[Slip]:
    """Those of the sample that an earlier run's log says nothing noticed."""
    return [slip for slip in drawn if f"survived  {place(slip)}\n" in log]


def place(slip: Slip) -> str:
    """``"quiltpath/units.py:47: Lt to LtE"``."""
    return f"{slip.path.relative_to(ROOT)}:{slip.line}: {slip.what}"


def score(count: Counter[tuple[str, str]]) -> str:
    """A line for each part, and one for all."""
    lines = []
    for part in (*TESTS, ""):
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
