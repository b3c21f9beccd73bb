"""Faults put into the package on purpose: which outside checks notice each.

python -m tests.outside.slips         tries them all and writes tests/outside/SLIPS.md
python -m tests.outside.slips new     tries those that the page does not tell of yet

A slip that no row notices is a row that is missing. Each is tried in a process of its own, in which
the slipped module is loaded in place of the true one; nothing is written into the checkout.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from tests.by_the_book import PROJECT
from tests.mutation.forked import Slipped, warmed_up
from tests.outside.slip_list import SLIPS, OutsideSlip

if TYPE_CHECKING:
    from tests.outside.check import OutsideCheck

PLACE = Path(__file__).parent / "SLIPS.md"
HEAD = """# Slips that the outside checks notice

Each was put into the package by itself, and every row of CHECKS.md that comes past its line was
asked again; those that fail then stand beside it. Where rows are of one kind a slip or two stand
for them all.
`python -m tests.outside.slips` tries them again and writes this page.

| slip | rows that fail | which |
| --- | --- | --- |
"""


Reach = dict[str, dict[int, list[str]]]
"""For each file and line of the package the rows that come past it; no row for what is imported."""


def rows_past_each_line() -> Reach:
    """Every row asked by itself under coverage, with nothing kept from the rows before."""
    return dict(json.loads(_in_a_process(lambda: json.dumps(_reach()))))


def _reach() -> Reach:
    import coverage

    watch = coverage.Coverage(source=[str(PROJECT / "quiltpath")], data_file=None)
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
    lines = {int(line): rows for line, rows in reach.get(str(slip.path), {}).items()}
    before = slip.path.read_text(encoding="utf-8").partition(slip.right)[0].count("\n") + 1
    spanned = range(before, before + slip.right.count("\n") + 1)
    nearest = {max((known for known in lines if known <= line), default=0) for line in spanned}
    past = {row for line in nearest for row in lines.get(line, ())}
    return past or {row for rows in lines.values() for row in rows}


def rows_that_fail(slip: OutsideSlip, asked: set[str]) -> list[str]:
    """What these rows say of a package with that fault in it."""

    def failing() -> str:
        sys.meta_path.insert(0, Slipped(slip))
        return "\n".join(_failing(asked))

    return [row for row in _in_a_process(failing).split("\n") if row]


def _in_a_process(work: Callable[[], str]) -> str:
    """What ``work`` says in a process of its own, which has loaded nothing of the package."""
    readable, writable = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            with os.fdopen(writable, "w", encoding="utf-8") as told:
                told.write(work())
        finally:
            os._exit(0)
    os.close(writable)
    with os.fdopen(readable, encoding="utf-8") as told:
        found = told.read()
    os.waitpid(child, 0)
    return found


def name(check: OutsideCheck) -> str:
    """The row with its field."""
    return f"{check.field}: {check.what}"


def _failing(asked: set[str]) -> list[str]:
    from tests.outside.table import all_checks

    found = []
    for check in all_checks():
        try:
            holds = name(check) not in asked or check.holds()
        except Exception:  # noqa: BLE001 - whatever a fault comes to, the row fails
            holds = False
        if not holds:
            found.append(name(check))
    return found


def page(found: Mapping[str, str]) -> str:
    """The table as it should stand in the repository."""
    return HEAD + "".join(f"{found[slip.what]}\n" for slip in SLIPS if slip.what in found)


def row(slip: OutsideSlip, failing: list[str]) -> str:
    """A line of the page; of more than four rows that fail the first four are named."""
    named = "; ".join(failing[:4]) + ("; ..." if len(failing) > 4 else "")
    return f"| {slip.what} | {len(failing)} | {named} |"


def known() -> dict[str, str]:
    """The page's lines by what they tell of."""
    lines = PLACE.read_text(encoding="utf-8").splitlines()
    return {line.split(" | ")[0].removeprefix("| "): line for line in lines}


def main() -> None:
    """Try the slips, one after the other; the page is written as it grows."""
    warmed_up()
    found = known() if "new" in sys.argv[1:] else {}
    reach = rows_past_each_line()
    for slip in SLIPS:
        if slip.what not in found:
            found[slip.what] = row(slip, rows_that_fail(slip, rows_past(slip, reach)))
            print(found[slip.what], flush=True)
            PLACE.write_text(page(found), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
