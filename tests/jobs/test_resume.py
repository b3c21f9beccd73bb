"""``resume``: what is left to sew after a break, as files that begin at a checkpoint."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.documents.guide import guide
from quiltpath.jobs.resume import resume_files
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.stitching.checkpoints import checkpoints
from tests.formats.dst_decoder import decode_dst

PROJECT = """
title = "Long table"
[runner]
length = "900 mm"
width = "300 mm"
[[quilting]]
pattern = "one-line-crosshatch"
[machine]
formats = ["dst", "pes"]
"""
IN_PARTS = PROJECT + 'profile = "hoop-200x300"\n'


def computed(text: str = PROJECT) -> Result:
    return compute(parse(text))


@pytest.mark.parametrize("number", [1, 2, 5])
def test_the_file_holds_what_is_left_and_10_to_20_mm_of_what_was_sewn(number: int) -> None:
    """The DST file is decoded by the tests' own decoder of the public table."""
    result = computed()
    places = checkpoints(result.stitches)
    files = {file.name: file for file in resume_files(result, number)[1]}
    stem = f"runner-from-{number}"
    assert files[f"{stem}.dst"].verified and files[f"{stem}.pes"].verified
    read = decode_dst(files[f"{stem}.dst"].content).holes_mm
    whole = result.stitches.needle_holes
    rest = whole[len(whole) - len(read) :]
    assert np.abs((read - read[0]) - (rest - rest[0])).max() <= 0.1 + 1e-6
    left = np.hypot(*np.diff(rest, axis=0).T).sum()
    overlap = left - (result.stitches.stitched_mm - places.done_mm[number - 1])
    assert overlap == pytest.approx(0, abs=1e-6) if number == 1 else 10 <= overlap <= 20


def test_the_sheet_says_where_to_begin_and_takes_care_of_hands() -> None:
    _, made = resume_files(computed(), 3)
    files = {file.name: file.content.decode() for file in made if file.kind == "resume"}
    sheet = files["RESUME.txt"]
    assert "checkpoint c3" in sheet and "sewn a second time" in " ".join(sheet.split())
    assert "Keep hands" in sheet and "manual comes before" in sheet and "needle up" in sheet
    assert "where sewing is taken up again" in files["resume.svg"]


def test_the_guide_numbers_the_checkpoints() -> None:
    result = computed()
    places = checkpoints(result.stitches)
    page = guide(result.runner, result.lines, result.runs, checkpoints=[("", places)]).pages[0]
    words = [item.text for group in page.groups for item in group.walk() if hasattr(item, "text")]
    assert {f"c{number}" for number in range(1, len(places) + 1)} <= set(words)
    assert any("quiltpath resume" in text for text in words)


def test_a_design_in_parts_is_taken_up_part_by_part(tmp_path: Path) -> None:
    project = tmp_path / "runner.toml"
    project.write_text(IN_PARTS)
    refused = CliRunner().invoke(main, ["resume", str(project), "--from", "1", "--out", "x"])
    assert refused.exit_code == 2 and "name one of hooping-01" in refused.output
    name = refused.output.split("name one of ")[1].split(",")[0]
    listed = CliRunner().invoke(main, ["resume", str(project), "--part", name])
    assert listed.exit_code == 0 and "c1" in listed.output
    _, files = resume_files(computed(IN_PARTS), 2, name)
    assert f"{name}-from-2.dst" in [file.name for file in files]


def test_a_folder_that_make_filled_is_left_alone(tmp_path: Path) -> None:
    project, out = tmp_path / "runner.toml", tmp_path / "out"
    project.write_text(PROJECT)
    assert CliRunner().invoke(main, ["make", str(project), "--out", str(out)]).exit_code == 0
    before = sorted(path.name for path in out.iterdir())
    answer = CliRunner().invoke(main, ["resume", str(project), "--from", "2", "--out", str(out)])
    assert answer.exit_code == 2 and "holds another set" in answer.output
    assert sorted(path.name for path in out.iterdir()) == before
    fresh = tmp_path / "rest"
    for number in ("2", "3"):  # the second set takes the place of the first
        answer = CliRunner().invoke(
            main, ["resume", str(project), "--from", number, "--out", str(fresh)]
        )
        assert answer.exit_code == 0, answer.output
    ready = json.loads((fresh / "report.json").read_text())["resume"]["ready"]
    assert [(one["checkpoint"], one["part"], one["folder"]) for one in ready] == [(3, None, ".")]
    assert not (fresh / "runner-from-2.dst").exists()


@pytest.mark.parametrize(("number", "part"), [(0, None), (99, None), (1, "hooping-77")])
def test_a_checkpoint_or_part_that_is_not_there_is_told_in_one_line(
    number: int, part: str | None
) -> None:
    from quiltpath.errors import InputError

    with pytest.raises(InputError, match=r"there is no (checkpoint|part)"):
        resume_files(computed(), number, part)
