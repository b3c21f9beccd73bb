"""Faults put into the package on purpose: which outside checks notice each.

python -m tests.outside.slips         tries them all and writes tests/outside/SLIPS.md
python -m tests.outside.slips new     tries those that the page does not tell of yet

A slip that no row notices is a row that is missing; a row that notices none is no check. Each slip
is tried in a process of its own, in which the slipped module is loaded in place of the true one;
nothing is written into the checkout. Two run at once.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from select import select
from typing import TYPE_CHECKING

from tests.by_the_book import PROJECT
from tests.mutation.forked import Slipped, warmed_up
from tests.outside.outside_slip import OutsideSlip
from tests.outside.slip_list import SLIPS

if TYPE_CHECKING:
    from tests.outside.check import OutsideCheck

PLACE = Path(__file__).parent / "SLIPS.md"
AT_ONCE = 2
NAMED = 8
"""So many rows are named beside a slip; what fails more of them says little of each."""

HEAD = """# Slips that the outside checks notice

Each was put into the package by itself, and every row of CHECKS.md that comes past its line was
asked again, or every row of the fields that are named; those that fail stand beside it. Every row
is named beside one slip at the least, and most have a slip that nothing else notices; those that
have none are listed at the end.
`python -m tests.outside.slips` tries them again and writes this page.

| slip | rows that fail | which | asked |
| --- | --- | --- | --- |
"""
SHARED = """
## Rows without a slip of their own

What makes these fail makes others fail as well: they ask for one thing in two ways, or for the
same thing of another size. Beside each is how many rows the slip fails that fails fewest.

| row | rows |
| --- | --- |
"""


Reach = dict[str, dict[int, list[str]]]
"""For each file and line of the package the rows that come past it; no row for what is imported."""


def rows_past_each_line(files: Iterable[Path]) -> Reach:
    """Every row asked by itself with an eye on ``files``, and nothing kept from the rows before."""
    watched = sorted({str(file) for file in files})
    ((_, found),) = _in_processes([("", lambda: json.dumps(_reach(watched)))], 1)
    return dict(json.loads(found))


def _reach(files: list[str]) -> Reach:
    import coverage

    watch = coverage.Coverage(include=files, data_file=None)
    watch.start()
    for module in pkgutil.walk_packages([str(PROJECT / "quiltpath")], "quiltpath."):
        # Loaded in no row's name, or a constant would seem to be met by one row alone.
        if not module.name.endswith("__main__"):
            importlib.import_module(module.name)
    from tests.outside.table import all_checks

    for check in all_checks():
        _forget()
        watch.switch_context(name(check))
        check.got()
        watch.switch_context("")
    watch.stop()
    data = watch.get_data()
    return {
        file: {line: [row for row in rows if row] for line, rows in lines.items()}
        for file in data.measured_files()
        for lines in [data.contexts_by_lineno(file)]
    }


def _forget() -> None:
    """What rows share is made anew for the next."""
    for module in [m for n, m in sys.modules.items() if n.startswith("tests.outside.")]:
        for value in vars(module).values():
            if hasattr(value, "cache_clear"):
                value.cache_clear()


def rows_past(slip: OutsideSlip, reach: Reach) -> set[str]:
    """The rows that can notice: past its lines, or past its module where those run at import."""
    if slip.asked:
        return set()
    lines = {int(line): rows for line, rows in reach.get(str(slip.path), {}).items()}
    before = slip.path.read_text(encoding="utf-8").partition(slip.right)[0].count("\n") + 1
    spanned = range(before, before + slip.right.count("\n") + 1)
    nearest = {max((known for known in lines if known <= line), default=0) for line in spanned}
    past = {row for line in nearest for row in lines.get(line, ())}
    return past or {row for rows in lines.values() for row in rows}


def _failing_with(slip: OutsideSlip, asked: set[str]) -> str:
    """The rows of these, or of these fields, that a package with that fault fails, a line each."""
    sys.meta_path.insert(0, Slipped(slip))
    return "\n".join(_failing(asked))


Work = tuple[str, Callable[[], str]]


@dataclass(frozen=True)
class _Process:
    """A piece of work in a process of its own, which has loaded nothing of the package."""

    name: str
    child: int
    told: int

    @classmethod
    def begun(cls, name: str, work: Callable[[], str]) -> _Process:
        readable, writable = os.pipe()
        child = os.fork()
        if child == 0:
            try:
                os.close(readable)
                with os.fdopen(writable, "w", encoding="utf-8") as told:
                    told.write(work())
            finally:
                os._exit(0)
        os.close(writable)
        return cls(name, child, readable)

    def ended(self) -> str:
        """What it said."""
        with os.fdopen(self.told, encoding="utf-8") as told:
            found = told.read()
        os.waitpid(self.child, 0)
        return found


def _in_processes(works: Iterable[Work], at_once: int) -> Iterator[tuple[str, str]]:
    """Names and what each piece of work said, as they come."""
    waiting, running = iter(works), dict[int, _Process]()
    while True:
        while len(running) < at_once and (work := next(waiting, None)):
            begun = _Process.begun(*work)
            running[begun.told] = begun
        if not running:
            return
        for told in select(list(running), [], [])[0]:
            ended = running.pop(told)
            yield ended.name, ended.ended()


def name(check: OutsideCheck) -> str:
    """The row with its field."""
    return f"{check.field}: {check.what}"


def _failing(asked: set[str]) -> list[str]:
    from tests.outside.table import all_checks

    found = []
    for check in all_checks():
        try:
            holds = not {name(check), check.field} & asked or check.holds()
        except Exception:  # noqa: BLE001 - whatever a fault comes to, the row fails
            holds = False
        if not holds:
            found.append(name(check))
    return found


def page(found: Mapping[str, str]) -> str:
    """The page as it should stand in the repository."""
    told = [found[slip.what] for slip in SLIPS if slip.what in found]
    fewest = fewest_that_fail(told)
    shared = "".join(f"| {row} | {number} |\n" for row, number in fewest.items() if number > 1)
    return HEAD + "".join(f"{line}\n" for line in told) + (SHARED + shared if shared else "")


def row(slip: OutsideSlip, failing: list[str]) -> str:
    """A line of the page; of very many rows that fail some are named."""
    named = "; ".join(failing[:NAMED]) + ("; ..." if len(failing) > NAMED else "")
    asked = ", ".join(slip.asked) or "all that come past it"
    return f"| {slip.what} | {len(failing)} | {named} | {asked} |"


def known() -> dict[str, str]:
    """The page's lines by the slips that they tell of."""
    lines = PLACE.read_text(encoding="utf-8").partition(SHARED)[0].splitlines()
    return {line.split(" | ")[0].removeprefix("| "): line for line in lines if " | " in line}


def fewest_that_fail(lines: Iterable[str]) -> dict[str, int]:
    """For each row that is named, how many rows its best slip fails."""
    fewest: dict[str, int] = {}
    for line in lines:
        number, named = line.split(" | ")[1:3]
        for row in named.split("; ") if number.isdigit() else ():
            fewest[row] = min(fewest.get(row, int(number)), int(number))
    return {row: fewest[row] for row in sorted(fewest) if row not in ("", "...")}


def main() -> None:
    """Try the slips; the page is written as it grows."""
    warmed_up()
    found = known() if "new" in sys.argv[1:] else {}
    wanted = {slip.what: slip for slip in SLIPS if slip.what not in found}
    watched = [slip.path for slip in wanted.values() if not slip.asked]
    reach = rows_past_each_line(watched) if watched else {}
    works = [
        (what, partial(_failing_with, slip, rows_past(slip, reach) or set(slip.asked)))
        for what, slip in wanted.items()
    ]
    for what, failing in _in_processes(works, AT_ONCE):
        found[what] = row(wanted[what], failing.split("\n") if failing else [])
        print(found[what], flush=True)
        PLACE.write_text(page(found), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
