"""Printed files as part of the whole job: chosen in the project, told in the report."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pdfplumber
from click.testing import CliRunner

from quiltpath.cli import main
from tests.whole_sets import whole_set

SAMPLE = Path(__file__).parent.parent.parent / "samples" / "harvest-supper" / "runner.toml"
MM_PER_POINT = 25.4 / 72


def test_the_report_tells_pages_plain_pages_and_the_way_of_every_layer() -> None:
    files = {name: file.content for name, file in whole_set("harvest-supper")[1].items()}
    (told,) = json.loads(files["report.json"])["paper"]
    assert told["path"] == "marking.pdf"
    with pdfplumber.open(io.BytesIO(files["marking.pdf"])) as read:
        assert told["pages"] == len(read.pages)
    assert told["pages"] < told["plain_pages"]
    ways = {row["layer"]: row["marked_by"] for row in told["layers"]}
    assert ways["Along the sashing"] == "none"
    assert ways["Round the motifs"] == "none"  # pear, leek and ear are printed
    assert ways["Diagonal crosshatch"] == "ruler"


def test_a_way_of_marking_that_cannot_be_is_one_line_and_exit_2(tmp_path: Path) -> None:
    folder = tmp_path / "supper"
    folder.mkdir()
    for drawing in SAMPLE.parent.glob("*.svg"):
        (folder / drawing.name).write_bytes(drawing.read_bytes())
    text = SAMPLE.read_text(encoding="utf-8")
    text = text.replace('kind = "motif"', 'kind = "motif"\nmarking = "ticks"', 1)
    (folder / "runner.toml").write_text(text, encoding="utf-8")
    made = CliRunner().invoke(
        main, ["make", str(folder / "runner.toml"), "--out", str(folder / "out")]
    )
    assert made.exit_code == 2
    assert "marking: the lines of 'Round the motifs' cannot be marked by ticks" in made.output
    assert not (folder / "out").exists()
