"""Faults put into a copy of the package on purpose: which outside checks notice each.

python -m tests.outside.slips     tries them all and writes tests/outside/SLIPS.md

A slip that no row notices is a row that is missing. Each is one that somebody could make.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from tests.by_the_book import PROJECT, copied

PLACE = Path(__file__).parent / "SLIPS.md"
HEAD = """# Slips that the outside checks notice

Each was put into a copy of the package; the rows of whole jobs in CHECKS.md that fail then stand
beside it. `python -m tests.outside.slips` tries them again and writes this page.

| slip | rows that fail | which |
| --- | --- | --- |
"""
FAILING = """
import tests.outside.whole_jobs
from tests.outside.check import CHECKS

for check in CHECKS:
    try:
        holds = check.holds()
    except Exception:
        holds = False
    if not holds:
        print(check.what)
"""


@dataclass(frozen=True)
class Slip:
    """``right`` stands once in the module; ``wrong`` takes its place."""

    what: str
    module: str
    right: str
    wrong: str

    def stands(self) -> bool:
        """Whether it can still be made."""
        return (PROJECT / self.module).read_text(encoding="utf-8").count(self.right) == 1

    def put_into(self, copy: Path) -> None:
        module = copy / self.module
        text = module.read_text(encoding="utf-8")
        module.write_text(text.replace(self.right, self.wrong), encoding="utf-8")

    def put_back(self, copy: Path) -> None:
        (copy / self.module).write_bytes((PROJECT / self.module).read_bytes())


SLIPS = (
    Slip(
        "a clearance 3 mm too small",
        "quiltpath/patterns/finishing.py",
        "reach = clearance_mm + COARSER_MM",
        "reach = clearance_mm - 3.0 + COARSER_MM",
    ),
    Slip(
        "starts left out of the time",
        "quiltpath/stitching/thread_and_time.py",
        "starts_and_stops_min=runs *",
        "starts_and_stops_min=0 *",
    ),
    Slip(
        "corners left out of the time",
        "quiltpath/stitching/thread_and_time.py",
        "pivots_min=pivots *",
        "pivots_min=0 *",
    ),
    Slip(
        "a binding without its mitres and ends to handle",
        "quiltpath/materials/binding.py",
        "return StripLength(edge_mm, setting.width_mm, mitres, setting.open)",
        "return StripLength(edge_mm, setting.width_mm, 0 * mitres, 0.0)",
    ),
    Slip(
        "the closing join told 200 mm farther on",
        "quiltpath/documents/cutting_report.py",
        '"start_mm": joins.start_mm,',
        '"start_mm": joins.start_mm + 200,',
    ),
    Slip(
        "the closing join's point 200 mm farther on",
        "quiltpath/documents/cutting_report.py",
        "binding.edge.point_at(joins.start_mm)",
        "binding.edge.point_at(joins.start_mm + 200)",
    ),
    Slip(
        "more than eight runs ordered by the nearest alone",
        "quiltpath/routing/local_search.py",
        "    path.improve(range(len(ends)))\n    if",
        "    return nearest_neighbour_tour(\n"
        "        ends.reshape(-1, 2), neighbour_lists(ends.reshape(-1, 2)), 0\n    )\n    if",
    ),
    Slip(
        "a panel's diagonals swapped where its lean is told",
        "quiltpath/materials/cutting_plan.py",
        "*sheet.diagonals",
        "*sheet.diagonals[::-1]",
    ),
    Slip(
        "a panel's diagonals swapped where lines follow the print",
        "quiltpath/runner/build.py",
        "diagonals=section.diagonals,",
        "diagonals=section.diagonals and section.diagonals[::-1],",
    ),
    Slip(
        "all that a page shows 2 mm to the right on it",
        "quiltpath/marking/sheet.py",
        'Group("window", sheet.groups, shift_mm=(x0, y0)',
        'Group("window", sheet.groups, shift_mm=(x0 + 2, y0)',
    ),
    Slip(
        "every page's part 2 mm off the one before",
        "quiltpath/marking/taping.py",
        "(part,), shift_mm=(-x0, -y0)",
        "(part,), shift_mm=(2 * column - x0, -y0)",
    ),
    Slip(
        "half of what the backing is larger by",
        "quiltpath/materials/layers.py",
        "end, side = setting.extra_end_mm, setting.extra_side_mm",
        "end, side = setting.extra_end_mm / 2, setting.extra_side_mm / 2",
    ),
    Slip(
        "the widest gap told by half",
        "quiltpath/documents/report.py",
        '"widest_mm": gaps.widest_mm,',
        '"widest_mm": gaps.widest_mm / 2,',
    ),
)


def rows_that_fail(copy: Path) -> list[str]:
    """What the whole jobs of a copy say of it, by its own package."""
    environment = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", FAILING],
        cwd=copy,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()


def tried(slips: tuple[Slip, ...] = SLIPS) -> dict[Slip, list[str]]:
    """Each slip by itself in one copy, with the rows that fail."""
    with tempfile.TemporaryDirectory() as folder:
        copy, found = copied(Path(folder) / "copy"), {}
        assert rows_that_fail(copy) == [], "the checks hold where nothing has slipped"
        for slip in slips:
            slip.put_into(copy)
            found[slip] = rows_that_fail(copy)
            print(len(found[slip]), slip.what, flush=True)
            slip.put_back(copy)
    return found


def page(found: dict[Slip, list[str]]) -> str:
    """The table as it should stand in the repository."""
    rows = (f"| {s.what} | {len(rows)} | {'; '.join(rows)} |" for s, rows in found.items())
    return HEAD + "\n".join(rows) + "\n"


if __name__ == "__main__":
    PLACE.write_text(page(tried()), encoding="utf-8", newline="\n")
