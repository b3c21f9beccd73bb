"""A newcomer adds one of each kind of thing as DEVELOPERS.md says, word by word."""

from __future__ import annotations

import csv
import json
import math
import os
import subprocess
import sys
from pathlib import Path

import pdfplumber
import pytest

from tests.by_the_book import added, copied

TITLES = (
    "A figure of the repertoire", "A kind of layer that is no figure", "An outline",
    "A path format", "A document", "A further file of the set", "A paper size", "A machine",
)  # fmt: skip

SHAPED = """title = "Galley cloth"
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

PLAIN = """title = "Galley cloth"
units = "mm"

[runner]
length = 900
width = 300

[[quilting]]
kind = "straight"
spacing = "about 40 mm"

[machine]
profile = "frame-96x16"

[paper]
size = "B4"
sheets = ["marking"]

[also]
reels = "20 m"
"""


@pytest.fixture(scope="module")
def newcomer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the project with all of them added, and two project files that use them."""
    copy = copied(tmp_path_factory.mktemp("newcomer") / "quiltpath-copy")
    for title in TITLES:
        added(title, copy)
    (copy / "shaped.toml").write_text(SHAPED)
    (copy / "plain.toml").write_text(PLAIN)
    return copy


@pytest.fixture(scope="module")
def made(newcomer: Path) -> Path:
    """The set of the plain one."""
    done = run(newcomer, "quiltpath", "make", "plain.toml", "--out", "set")
    assert done.returncode == 0, done.stderr
    return newcomer / "set"


def run(copy: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """A module run in the copy, which comes before the package that is under test."""
    found = {**os.environ, "PYTHONPATH": str(copy)}
    return subprocess.run(
        [sys.executable, "-m", *words], cwd=copy, env=found, capture_output=True, text=True
    )


def test_what_was_added_is_listed_and_made(newcomer: Path) -> None:
    listed = run(newcomer, "quiltpath", "patterns")
    assert any(line.split()[:2] == ["rays", "Straight"] for line in listed.stdout.splitlines())
    done = run(newcomer, "quiltpath", "make", "shaped.toml", "--out", "shaped")
    assert done.returncode == 0, done.stderr
    report = json.loads((newcomer / "shaped" / "report.json").read_text())
    # The arc through the far corner is 989 mm, 19 times 50.8; a ray that meets the motif is two.
    assert 19 + 8 <= report["stitching"]["lines"] <= 19 + 8 + 3
    assert report["runner"]["outline_area_mm2"] == 600 * (240 + 180) / 2
    (columns,) = (file for file in report["files"] if file["path"] == "runner-columns.txt")
    assert columns["verified"] is True


def test_the_new_word_is_told_to_whoever_mistakes_it(newcomer: Path) -> None:
    for right, wrong in (("spokes", "spoke"), ("tapered", "taper")):
        text = SHAPED.replace(f'"{right}"', f'"{wrong}"')
        (newcomer / "wrong.toml").write_text(text)
        told = run(newcomer, "quiltpath", "make", "wrong.toml", "--out", "never")
        assert told.returncode == 2 and not (newcomer / "never").exists()
        assert wrong in told.stderr and right in told.stderr and told.stderr.count("\n") == 1


def test_the_document_and_the_job_s_file_are_in_the_set_and_listed(made: Path) -> None:
    report = json.loads((made / "report.json").read_text())
    listed = {file["path"]: file["kind"] for file in report["files"]}
    assert listed["lines.csv"] == "line list" and listed["reels.txt"] == "reels"
    with (made / "lines.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == report["stitching"]["lines"] > 0
    # A rectangle of 900 by 300 mm: no straight line on it is longer than its diagonal.
    assert all(0 < float(row["length_mm"]) <= math.hypot(900, 300) + 0.1 for row in rows)


def test_the_job_says_the_same_by_its_key_and_by_its_command(newcomer: Path, made: Path) -> None:
    report = json.loads((made / "report.json").read_text())
    told = report["also"]["reels"]
    for kind in ("needle", "bobbin"):
        thread_m = report["thread"][f"{kind}_m"]
        reels = told["needle" if kind == "needle" else "bobbins"]
        assert (reels - 1) * 20 < thread_m <= reels * 20
    assert "REELS TO BUY" in (made / "sewing-notes.txt").read_text()
    said = run(newcomer, "quiltpath", "reels", "plain.toml", "--reel", "20 m")
    rows = said.stdout.splitlines()[1:]
    assert len(rows) == 2 and all(row in (made / "reels.txt").read_text() for row in rows)


def test_a_slip_in_what_was_added_is_told_in_one_line(newcomer: Path) -> None:
    told = run(newcomer, "quiltpath", "reels", "plain.toml", "--reel", "some")
    assert told.returncode == 2 and told.stderr.startswith("reels: --reel: 'some' is not a length")
    (newcomer / "slip.toml").write_text(PLAIN.replace('reels = "20 m"', 'reel = "20 m"'))
    told = run(newcomer, "quiltpath", "make", "slip.toml", "--out", "never")
    assert told.returncode == 2 and "did you mean 'reels'?" in told.stderr
    assert not (newcomer / "never").exists()


def test_the_paper_is_printed_on_and_the_machine_is_listed(newcomer: Path, made: Path) -> None:
    """B4 is 250 by 353 mm (ISO 216), read by pdfplumber in points of 1/72 in."""
    printed = sorted(made.glob("marking*.pdf"))
    assert printed, sorted(path.name for path in made.iterdir())
    with pdfplumber.open(printed[0]) as pages:
        for page in pages.pages:
            size = sorted((float(page.width) * 25.4 / 72, float(page.height) * 25.4 / 72))
            assert size == pytest.approx([250, 353], abs=0.01)
    listed = run(newcomer, "quiltpath", "machines").stdout
    assert any(line.split()[:1] == ["frame-96x16"] for line in listed.splitlines())


def test_what_was_added_passes_what_all_of_its_kind_pass(newcomer: Path) -> None:
    folders = (
        "tests/patterns", "tests/formats/test_machine_paths.py", "tests/runner", "tests/project",
        "tests/page/test_controls.py", "tests/marking/test_paper_pages.py", "tests/machine",
        "tests/jobs", "tests/test_values_are_frozen.py",
    )  # fmt: skip
    which = (
        "rays or spokes or tapered or columns or B4 or frame-96x16 or every_key"
        " or frames_of_three or line_list or reels"
    )
    done = run(newcomer, "pytest", "-q", "-p", "no:cacheprovider", "-k", which, *folders)
    assert done.returncode == 0, done.stdout[-3000:]
    assert int(done.stdout.split(" passed")[0].split()[-1]) > 25, "it is asked what all are asked"


def test_the_house_still_stands(newcomer: Path) -> None:
    for words in (
        ("pytest", "-q", "-p", "no:cacheprovider", "tests/test_architecture.py"),
        ("ruff", "check", "--no-cache", "quiltpath"),
        ("ruff", "format", "--no-cache", "--check", "quiltpath"),
    ):
        done = run(newcomer, *words)
        assert done.returncode == 0, done.stdout[-2000:] + done.stderr
