"""Designs side by side: the figures are those of the whole job, and the marks are right."""

from __future__ import annotations

import json
from pathlib import Path
from unittest.mock import patch

import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.jobs.compare import mark_options
from quiltpath.jobs.comparison_sheet import Option
from quiltpath.jobs.variants import Variant
from quiltpath.project import load, parse
from quiltpath.result.computing import compute

PROJECT = """
title = "Plain <b>runner</b>"
[runner]
length = "400 mm"
width = "200 mm"
[[quilting]]
kind = "straight"
spacing = "about 25 mm"
[wadding]
limit = "60 mm"
[cost]
hour = 12
thread_1000_m = 10
currency = "£"
"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    path = tmp_path / "plain.toml"
    path.write_text(PROJECT, encoding="utf-8")
    return path


def compare(project: Path, *options: str, cores: int = 1) -> list[dict[str, object]]:
    """What is listed; with one core all is computed in the test's own process."""
    out = project.parent / "side"
    with patch("os.cpu_count", lambda: cores):
        answer = CliRunner().invoke(main, ["compare", str(project), "--out", str(out), *options])
    assert answer.exit_code == 0, answer.output
    assert {path.name for path in out.iterdir()} == {
        "compare.pdf",
        "compare.png",
        "compare.html",
        "compare.json",
        "report.json",
    }
    options_listed: list[dict[str, object]] = json.loads((out / "compare.json").read_text())[
        "options"
    ]
    return options_listed


def test_each_spacing_has_the_figures_of_the_whole_job(project: Path) -> None:
    """Computed in fresh processes."""
    given = ("--spacing", "20 mm, 40 mm, 100 mm", "--wish", "35 mm")
    listed = compare(project, *given, cores=2)
    assert [entry["label"] for entry in listed] == ["20 mm", "40 mm", "100 mm"]
    alone = compute(parse(PROJECT.replace("about 25 mm", "40 mm")))
    assert listed[1]["stitches"] == alone.stitches.stitch_count
    assert listed[1]["minutes"] == pytest.approx(alone.time.sewing_min, abs=1e-3)
    hours = alone.time.sewing_min / 60
    metres = alone.thread.needle_m + alone.thread.bobbin_m
    assert listed[1]["cost"] == pytest.approx(12 * hours + metres / 100, abs=1e-3)


def test_what_stands_out_is_marked(project: Path) -> None:
    """Lines 100 mm apart leave a circle of 100 mm, more than the wadding's 60 mm."""
    narrow, middle, wide = compare(project, "--spacing", "20 mm, 40 mm, 100 mm", "--wish", "30 mm")
    assert [entry["holds"] for entry in (narrow, middle, wide)] == [True, True, False]
    assert middle["marks"] == ["widest that holds"]
    assert wide["marks"] == ["quickest"]
    assert narrow["marks"] == ["nearest to the wish"]


def test_patterns_and_stitch_lengths_are_compared_too(project: Path) -> None:
    listed = compare(project, "--pattern", "square-grid,chevron", "--stitch", "2.5 mm, 3.5 mm")
    assert [entry["label"] for entry in listed] == [
        "square-grid",
        "chevron",
        "2.5 mm stitches",
        "3.5 mm stitches",
    ]
    ratio = float(listed[2]["stitches"]) / float(listed[3]["stitches"])  # type: ignore[arg-type]
    assert ratio == pytest.approx(3.5 / 2.5, rel=0.02)


def test_a_bare_number_is_named_with_the_unit_that_the_file_gives_it(project: Path) -> None:
    project.write_text(f'units = "mm"\n{PROJECT}', encoding="utf-8")
    listed = compare(project, "--spacing", "20, about 40", "--stitch", "3, 2.5 mm")
    assert [entry["label"] for entry in listed] == [
        "20 mm",
        "about 40 mm",
        "3 mm stitches",
        "2.5 mm stitches",
    ]


def test_a_title_cannot_put_markup_into_the_page(project: Path) -> None:
    compare(project, "--spacing", "40 mm")
    page = (project.parent / "side" / "compare.html").read_text(encoding="utf-8")
    assert "<b>" not in page and "&lt;b&gt;runner" in page
    assert "http" not in page.replace("http-equiv", "")


@pytest.mark.parametrize(
    ("options", "fault"),
    [
        ([], "0 designs"),
        (["--spacing", "two"], "'two'"),
        (["--spacing", "0 mm"], "not above 0"),
        (["--pattern", "checkers"], "no pattern 'checkers'"),
        (["--spacing", ", ".join(["9 mm"] * 13)], "13 designs"),
        (["--spacing", "9 mm", "--wish", "wide"], "'wide'"),
    ],
)
def test_a_bad_wish_is_told_in_one_line(project: Path, options: list[str], fault: str) -> None:
    out = project.parent / "side"
    answer = CliRunner().invoke(main, ["compare", str(project), "--out", str(out), *options])
    assert answer.exit_code == 2
    assert len(answer.output.strip().splitlines()) == 1
    assert fault in answer.output
    assert not out.exists()


def test_a_folder_that_make_filled_is_not_replaced(project: Path) -> None:
    out = project.parent / "side"
    assert CliRunner().invoke(main, ["make", str(project), "--out", str(out)]).exit_code == 0
    before = {path.name for path in out.iterdir()}
    asked = ["compare", str(project), "--spacing", "40 mm", "--out", str(out)]
    answer = CliRunner().invoke(main, asked)
    assert answer.exit_code == 2 and "another set" in answer.output
    assert {path.name for path in out.iterdir()} == before


def test_equal_designs_are_marked_once_each() -> None:
    option = Option("a", 1, 1, 1, 1.0, 1.0, 1.0, 1, 5.0, 20.0, 60.0, 10.0, 1.0)
    project = load(Path(__file__).parents[2] / "samples" / "galley" / "runner.toml")
    variant = Variant("a", project, 20.0)
    first, second = mark_options([variant, variant], [option, option], None)
    assert first.marks == ("widest that holds", "quickest")
    assert second.marks == ()


def test_of_two_equally_near_the_first_is_nearest_to_the_wish(project: Path) -> None:
    """1 in and 1 1/2 in are both 1/4 in off."""
    listed = compare(project, "--spacing", "1 in, 1 1/2 in", "--wish", "1 1/4 in")
    assert ["nearest to the wish" in option["marks"] for option in listed] == [True, False]  # type: ignore[operator]


def test_numbers_are_rounded_all_through(project: Path) -> None:
    listed = compare(project, "--size", "mat 10 x 7 in")
    assert listed[0]["size_mm"] == [254.0, 177.8]


def test_an_option_given_twice_counts_twice(project: Path) -> None:
    """As one list or as several options: neither is dropped in silence."""
    told = compare(project, "--spacing", "20 mm", "--spacing", "30 mm, 40 mm")
    assert [option["label"] for option in told] == ["20 mm", "30 mm", "40 mm"]
