"""How often thread starts in every pattern, and how long it takes, now and at an older commit.

    python -m tests.starts_table > tests/patterns/STARTS.md    a row a pattern
    python -m tests.starts_table 1a2b3c4    with the starts of that commit before the present ones

Each pattern is drawn alone on a runner of two blocks, bare and with two motifs that it keeps clear
of, and sewn by the policy "continuous", which looks for one path.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]

RUNNER = """
units = "mm"
[runner]
length = 636
width = 316
size_is = "flat"
[grid]
along = 2
across = 1
block = [250, 220]
sashing = 40
outer_sashing = 40
border = 8
"""
MOTIFS = """
[[motif]]
name = "kite"
outline = [[0, 20], [35, 0], [90, 20], [35, 40]]
size = 120
blocks = ["A1"]
[[motif]]
name = "tile"
outline = [[0, 0], [60, 0], [60, 40], [0, 40]]
blocks = ["B1"]
"""
CLEAR = "clearance = 6\n"

CONTINUOUS = '[sewing]\npolicy = "continuous"\n'

Figures = tuple[int, int] | None
"""Starts, and minutes at the machine; None where it cannot be drawn."""

Starts = dict[str, list[Figures]]
"""By the pattern's name: without motifs and with them."""


def starts_of(text: str) -> Figures:
    """Of a project, by the code that is to be found where this runs."""
    import quiltpath

    try:
        result = quiltpath.compute(quiltpath.parse(text))
    except quiltpath.InputError:
        return None
    return len(result.runs), round(result.time.sewing_min)


def all_starts() -> Starts:
    """Every pattern that is there."""
    names = sorted(path.stem for path in Path("patterns").glob("*.toml"))
    layer = '[[quilting]]\npattern = "{}"\n'
    return {
        name: [
            starts_of(RUNNER + layer.format(name) + CONTINUOUS),
            starts_of(RUNNER + MOTIFS + layer.format(name) + CLEAR + CONTINUOUS),
        ]
        for name in names
    }


def starts_at(commit: str) -> Starts:
    """Those of another commit, counted by its own code in a worktree of its own."""
    with tempfile.TemporaryDirectory() as folder:
        tree = str(Path(folder) / "tree")
        git = ["git", "-C", str(ROOT), "worktree"]
        subprocess.run([*git, "add", "-q", "--detach", tree, commit], check=True)
        try:
            told = subprocess.run(
                [sys.executable, str(Path(__file__)), "--figures"],
                cwd=tree, env={**os.environ, "PYTHONPATH": tree},
                check=True, capture_output=True, text=True,
            )  # fmt: skip
        finally:
            subprocess.run([*git, "remove", "--force", tree], check=True)
    found: Starts = json.loads(told.stdout)
    return found


def table(now: Starts, before: Starts) -> str:
    """A row a pattern."""
    rows = [
        "| pattern | starts | minutes | starts with two motifs | minutes |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name, figures in now.items():
        cells = [_cells(*both) for both in zip(figures, before.get(name, figures), strict=True)]
        rows.append(f"| {name} | {' | '.join(cells)} |")
    return "\n".join(rows)


def _cells(now: Figures, before: Figures) -> str:
    """Starts and minutes, with the starts before where they were others."""
    if now is None:
        return "none | "
    was = f"{before[0]}, now " if before and before[0] != now[0] else ""
    return f"{was}{now[0]} | {now[1]}"


def main() -> None:
    """Print the table, or the bare figures for a caller."""
    if sys.argv[1:] == ["--figures"]:
        print(json.dumps(all_starts()))
        return
    print(table(all_starts(), starts_at(sys.argv[1]) if len(sys.argv) > 1 else {}))


if __name__ == "__main__":
    main()
