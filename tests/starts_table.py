"""How often thread starts in every pattern, now and at an older commit; run on demand.

    python -m tests.starts_table            a row a pattern, as DEVELOPERS.md has them
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

Starts = dict[str, list[int | None]]
"""By the pattern's name: without motifs and with them; None where it cannot be drawn."""


def starts_of(pattern: str, text: str) -> int | None:
    """Starts of a pattern on a runner, by the code that is to be found where this runs."""
    import quiltpath

    try:
        project = quiltpath.parse(text)
        runner = quiltpath.build(project)
        lines = quiltpath.draw(runner, project.quilting)
    except quiltpath.InputError:
        return None
    return len(quiltpath.route(lines, "continuous", runner.outline, runner.margin_mm))


def all_starts() -> Starts:
    """Every pattern that is there."""
    names = sorted(path.stem for path in Path("patterns").glob("*.toml"))
    layer = '[[quilting]]\npattern = "{}"\n'
    return {
        name: [
            starts_of(name, RUNNER + layer.format(name)),
            starts_of(name, RUNNER + MOTIFS + layer.format(name) + CLEAR),
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
    """Patterns that take more than one start, or took more; the others in one line."""
    rows = ["| pattern | bare | with two motifs |", "| --- | --- | --- |"]
    alike = []
    for name, starts in now.items():
        old = before.get(name, starts)
        said = [
            "none" if at is None else f"{was}, now {at}" if was not in (at, None) else f"{at}"
            for was, at in zip(old, starts, strict=True)
        ]
        if set(said) <= {"1", "none"}:
            alike.append(name)
        else:
            rows.append(f"| {name} | {said[0]} | {said[1]} |")
    return "\n".join([*rows, "", f"One start: {', '.join(alike)}."])


def main() -> None:
    """Print the table, or the bare figures for a caller."""
    if sys.argv[1:] == ["--figures"]:
        print(json.dumps(all_starts()))
        return
    print(table(all_starts(), starts_at(sys.argv[1]) if len(sys.argv) > 1 else {}))


if __name__ == "__main__":
    main()
