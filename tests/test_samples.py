"""The samples, whole: every format, every stitch, the guide's size."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from shapely.geometry import LineString

from quiltpath.cli import main
from quiltpath.formats import FORMATS
from quiltpath.jobs.folder import OutputFile
from quiltpath.jobs.make import outputs
from quiltpath.project.document_sections import AlsoSection
from quiltpath.result.values import Result
from tests.formats.dst_decoder import decode_dst
from tests.once import once
from tests.whole_sets import SAMPLES, computed, whole_set

NAMES = ["harvest-supper", "galley", "allotment-ends", "supper-mats"]
ALWAYS_POSSIBLE_MM = 18.0
"""From 18 mm up a whole number of stitches of 3.0 to 3.5 mm fills any length: with n stitches
3.0 n .. 3.5 n is covered, and from n = 6 the ranges touch (arithmetic)."""


def can_be_filled(length: np.ndarray) -> np.ndarray:
    """Where some whole number of stitches of 3.0 to 3.5 mm makes up the length."""
    return np.ceil(length / 3.5 - 1e-6) <= np.floor(length / 3.0 + 1e-6)


def result_of(name: str) -> Result:
    """The sample's result as it would be for a file that asks for every format, but for no job
    beside."""
    result = copy.copy(computed(name))
    machine = result.project.machine.model_copy(update={"formats": tuple(FORMATS)})
    alone = result.project.replaced(machine=machine, also=AlsoSection.left_out())
    object.__setattr__(result, "project", alone)
    return result


@once
def outputs_of(name: str) -> dict[str, OutputFile]:
    """The sample's own set with every format; what its own jobs change stands under ``own/``."""
    files = {file.name: file for file in outputs(result_of(name))}
    for file in whole_set(name)[1].values():
        if files.setdefault(file.name, file).content != file.content:
            files[f"own/{file.name}"] = file
    return files


@pytest.mark.parametrize("name", NAMES)
def test_every_format_reads_back_as_it_was_meant(name: str) -> None:
    files = outputs_of(name)
    made = [file for file in files.values() if file.kind in ("stitch file", "path file")]
    assert {file.name for file in made} >= {f"runner{form.ending}" for form in FORMATS.values()}
    reports = [file for name, file in files.items() if name.endswith("report.json")]
    listed = [entry for report in reports for entry in json.loads(report.content)["files"]]
    verified = {entry["path"]: entry["verified"] for entry in listed}
    assert all(verified[file.name] is True for file in made)
    assert not [entry for entry in listed if entry["verified"] is False]


@pytest.mark.parametrize("name", NAMES)
def test_stitches_keep_to_3_and_3_5_mm_wherever_the_stretch_allows(name: str) -> None:
    stitches = result_of(name).stitches
    steps = stitches.step_mm
    sewn = stitches.is_stitch
    assert steps[sewn].max() <= 3.5 + 1e-6
    length = np.bincount(stitches.stretch[sewn], weights=steps[sewn])
    short = np.unique(stitches.stretch[sewn & (steps < 3.0 - 1e-6)])
    excused = (length[short] < ALWAYS_POSSIBLE_MM) & ~can_be_filled(length[short])
    # A stitch on a tight curve is a chord, shorter than its arc by what the curve takes.
    nearly = np.array([steps[sewn & (stitches.stretch == s)].min() > 2.9 for s in short], bool)
    assert (excused | nearly).all()


@pytest.mark.parametrize("name", NAMES)
def test_forced_short_stitches_are_listed_and_none_is_too_long(name: str) -> None:
    report = json.loads(outputs_of(name)["report.json"].content)["stitching"]
    listed = report["forced_short"]["each"]
    assert len(listed) == report["forced_short"]["stretches"]
    assert all(entry["stitch_mm"] <= 3.5 for entry in listed)
    assert report["stitch_length"]["max_mm"] <= 3.5


@pytest.mark.parametrize("name", NAMES)
def test_the_dst_decoded_from_the_public_table_has_the_points_that_were_meant(name: str) -> None:
    decoded = decode_dst(outputs_of(name)["runner.dst"].content)
    meant = result_of(name).stitches.needle_holes
    assert len(decoded.holes_mm) == len(meant)
    apart = (decoded.holes_mm - decoded.holes_mm[0]) - (meant - meant[0])
    # Half a unit of 0.1 mm for each of the two points compared.
    assert np.abs(apart).max() <= 0.1 + 1e-6


@pytest.mark.parametrize("name", NAMES)
def test_every_line_is_sewn(name: str) -> None:
    """Every line lies within half a millimetre of a seam, but for scraps of less than a stitch."""
    result = result_of(name)
    runs = result.runs
    seams = shapely.union_all([LineString(runs.run(i)) for i in range(len(runs))]).buffer(0.5)
    lines = result.lines.geometry
    bare = lines[~shapely.covers(seams, lines)]
    assert all(line.length < result.project.stitch.shortest for line in bare)
    told = [change for change in runs.changes if change.code != "gap-closed"]
    assert len(bare) <= len(told)


@pytest.mark.parametrize("name", NAMES)
def test_the_samples_hold_their_wadding(name: str) -> None:
    answer = CliRunner().invoke(main, ["check", str(SAMPLES / name / "runner.toml")])
    assert answer.exit_code == 0, answer.output


def test_inspect_tells_what_was_made(tmp_path: Path) -> None:
    stitch_file = tmp_path / "runner.dst"
    stitch_file.write_bytes(outputs_of("galley")["runner.dst"].content)
    answer = CliRunner().invoke(main, ["inspect", str(stitch_file)])
    assert answer.exit_code == 0, answer.output
    assert "stitches" in answer.output and "trims" in answer.output


def test_lists_of_patterns_and_formats_name_all_of_them() -> None:
    listed = CliRunner().invoke(main, ["patterns"]).output
    wanted = [
        "lengthwise-lines",
        "crosswise-lines",
        "lines-in-pairs",
        "matchstick",
        "square-grid",
        "diagonal-crosshatch",
        "hanging-diamonds",
        "plaid",
        "outline-echo",
        "motif-ripple",
        "along-the-sashing",
        "chevron",
    ]
    assert all(name in listed for name in wanted)
    formats = CliRunner().invoke(main, ["formats"]).output
    assert all(extension in formats for extension in FORMATS)


def test_the_starter_makes_a_runner_as_it_stands(tmp_path: Path) -> None:
    project = tmp_path / "my-runner.toml"
    assert CliRunner().invoke(main, ["new", str(project)]).exit_code == 0
    again = CliRunner().invoke(main, ["new", str(project)])
    assert again.exit_code == 2 and "is there already" in again.output
    answer = CliRunner().invoke(main, ["make", str(project), "--out", str(tmp_path / "out")])
    assert answer.exit_code == 0, answer.output
    assert "verified" in answer.output
