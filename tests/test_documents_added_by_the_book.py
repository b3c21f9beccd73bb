"""A newcomer adds a document, a job, a paper size and a machine as DEVELOPERS.md says."""

from __future__ import annotations

import csv
import json
import math
from pathlib import Path

import pdfplumber
import pytest

from tests.by_the_book import added, copied
from tests.test_added_by_the_book import run

TITLES = ("A document", "A further file of the set", "A paper size", "A machine")

PROJECT_FILE = """title = "Galley cloth"
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

[also]
reels = "20 m"
"""


@pytest.fixture(scope="module")
def newcomer(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the project with all four added, and a project file that uses them."""
    copy = copied(tmp_path_factory.mktemp("newcomer") / "quiltpath-copy")
    for title in TITLES:
        added(title, copy)
    (copy / "cloth.toml").write_text(PROJECT_FILE)
    return copy


@pytest.fixture(scope="module")
def made(newcomer: Path) -> Path:
    """The set with what was added in it."""
    done = run(newcomer, "quiltpath", "make", "cloth.toml", "--out", "set")
    assert done.returncode == 0, done.stderr
    return newcomer / "set"


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
    said = run(newcomer, "quiltpath", "reels", "cloth.toml", "--reel", "20 m")
    rows = said.stdout.splitlines()[1:]
    assert len(rows) == 2 and all(row in (made / "reels.txt").read_text() for row in rows)


def test_a_slip_in_what_was_added_is_told_in_one_line(newcomer: Path) -> None:
    told = run(newcomer, "quiltpath", "reels", "cloth.toml", "--reel", "some")
    assert told.returncode == 2 and told.stderr.startswith("reels: --reel: 'some' is not a length")
    (newcomer / "wrong.toml").write_text(PROJECT_FILE.replace('reels = "20 m"', 'reel = "20 m"'))
    told = run(newcomer, "quiltpath", "make", "wrong.toml", "--out", "never")
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
    done = run(
        newcomer, "pytest", "-q", "-p", "no:cacheprovider",
        "-k", "B4 or frame-96x16 or every_key or frames_of_three or line_list or reels",
        "tests/marking/test_paper_pages.py", "tests/machine", "tests/jobs",
        "tests/test_values_are_frozen.py",
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-3000:]
    assert int(done.stdout.split(" passed")[0].split()[-1]) > 10, "it is asked what all are asked"


def test_the_house_still_stands(newcomer: Path) -> None:
    for words in (
        ("pytest", "-q", "-p", "no:cacheprovider", "tests/test_architecture.py"),
        ("ruff", "check", "--no-cache", "quiltpath"),
        ("ruff", "format", "--no-cache", "--check", "quiltpath"),
    ):
        done = run(newcomer, *words)
        assert done.returncode == 0, done.stdout[-2000:] + done.stderr
