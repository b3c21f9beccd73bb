"""Printed files as part of the whole job: chosen in the project, told in the report."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pdfplumber
import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.jobs.make import WRITERS, outputs
from quiltpath.project import load
from quiltpath.project.document_sections import PaperSection
from quiltpath.result.computing import compute

SAMPLE = Path(__file__).parent.parent.parent / "samples" / "harvest-supper" / "runner.toml"
MM_PER_POINT = 25.4 / 72


def test_the_report_tells_pages_plain_pages_and_the_way_of_every_layer() -> None:
    files = {file.name: file.content for file in outputs(compute(load(SAMPLE)))}
    (told,) = json.loads(files["report.json"])["paper"]
    assert told["path"] == "marking.pdf"
    with pdfplumber.open(io.BytesIO(files["marking.pdf"])) as read:
        assert told["pages"] == len(read.pages)
    assert told["pages"] < told["plain_pages"]
    ways = {row["layer"]: row["marked_by"] for row in told["layers"]}
    assert ways["Along the sashing"] == "none"
    assert ways["Round the motifs"] == "template"


def test_marks_for_the_top_before_quilting_are_larger_by_the_draw_up() -> None:
    """Cut = finished / ((1 - q)(1 - w)) (trade notes): 2 % and 0 make 1.0204 times."""
    result = compute(load(SAMPLE))
    quilted = result.project.quilted.model_copy(update={"taken_up": 0.02})
    (printed,) = (writer for writer in WRITERS if writer.name == "printed sheets")
    widths = []
    for marks_for in ("finished", "before quilting"):
        paper = PaperSection(sheets=("whole",), marks_for=marks_for)  # type: ignore[arg-type]
        project = result.project.replaced(paper=paper, quilted=quilted)
        (file,) = printed.write(compute(project))
        with pdfplumber.open(io.BytesIO(file.content)) as read:
            page = read.pages[0]
            closed = [*page.rects, *page.curves]
            sizes = [float(figure["width"]) * MM_PER_POINT for figure in closed]
            assert any(abs(size - 100.0) < 0.05 for size in sizes)  # the bar does not grow
            widths.append(min(size for size in sizes if size > 1800))
            if marks_for == "before quilting":
                assert "2.0 % larger" in page.extract_text()
    assert widths[1] / widths[0] == pytest.approx(1 / 0.98, abs=1e-4)


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
