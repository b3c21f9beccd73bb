"""A newcomer adds one of each kind of thing as DEVELOPERS.md says, word by word."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.by_the_book import added, copied

FIGURE = "A figure of the repertoire"
LAYER = "A kind of layer that is no figure"
OUTLINE = "An outline"
PATHS = "A path format"

PROJECT_FILE = """title = "Galley cloth"
units = "mm"

[runner]
shape = "tapered"
length = 600
width = 240
taper = 60

[[motif]]
name = "diamond"
outline = [[0, 0], [20, -20], [40, 0], [20, 20]]
at = [300, 120]

[[quilting]]
pattern = "rays"
clearance = 5

[[quilting]]
kind = "spokes"
number = 8
clearance = 5

[machine]
formats = ["columns"]
"""


@pytest.fixture(scope="module")
def newcomer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the project with all of them added."""
    copy = copied(tmp_path_factory.mktemp("newcomer") / "quiltpath-copy")
    for title in (FIGURE, LAYER, OUTLINE, PATHS):
        added(title, copy)
    return copy


def run(copy: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """A module run in the copy, which comes before the package that is under test."""
    found = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    return subprocess.run(
        [sys.executable, "-m", *words], cwd=copy, env=found, capture_output=True, text=True
    )


def test_what_was_added_is_listed_and_made(newcomer: Path) -> None:
    listed = run(newcomer, "quiltpath", "patterns")
    assert any(line.split()[:2] == ["rays", "Straight"] for line in listed.stdout.splitlines())
    (newcomer / "cloth.toml").write_text(PROJECT_FILE)
    made = run(newcomer, "quiltpath", "make", "cloth.toml", "--out", "set")
    assert made.returncode == 0, made.stderr
    report = json.loads((newcomer / "set" / "report.json").read_text())
    # The arc through the far corner is 989 mm, 19 times 50.8; a ray that meets the motif is two.
    assert 19 + 8 <= report["stitching"]["lines"] <= 19 + 8 + 3
    assert report["runner"]["outline_area_mm2"] == 600 * (240 + 180) / 2
    (columns,) = (file for file in report["files"] if file["path"] == "runner-columns.txt")
    assert columns["verified"] is True


def test_the_new_word_is_told_to_whoever_mistakes_it(newcomer: Path) -> None:
    for right, wrong in (("spokes", "spoke"), ("tapered", "taper")):
        text = PROJECT_FILE.replace(f'"{right}"', f'"{wrong}"')
        (newcomer / "wrong.toml").write_text(text)
        told = run(newcomer, "quiltpath", "make", "wrong.toml", "--out", "never")
        assert told.returncode == 2 and not (newcomer / "never").exists()
        assert wrong in told.stderr and right in told.stderr and told.stderr.count("\n") == 1


def test_what_was_added_passes_what_all_of_its_kind_pass(newcomer: Path) -> None:
    folders = (
        "tests/patterns",
        "tests/formats/test_machine_paths.py",
        "tests/runner",
        "tests/project",
        "tests/page/test_controls.py",
    )
    which = "rays or spokes or tapered or columns"
    done = run(newcomer, "pytest", "-q", "-p", "no:cacheprovider", "-k", which, *folders)
    assert done.returncode == 0, done.stdout[-3000:]
    assert int(done.stdout.split(" passed")[0].split()[-1]) > 15, "it is asked what all are asked"


def test_the_house_still_stands(newcomer: Path) -> None:
    for words in (
        ("pytest", "-q", "-p", "no:cacheprovider", "tests/test_architecture.py"),
        ("ruff", "check", "--no-cache", "quiltpath"),
        ("ruff", "format", "--no-cache", "--check", "quiltpath"),
    ):
        done = run(newcomer, *words)
        assert done.returncode == 0, done.stdout[-2000:] + done.stderr
