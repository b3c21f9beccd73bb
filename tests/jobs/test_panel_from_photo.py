"""A photo of a printed panel becomes a project that makes a set; a later one is held against it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from quiltpath.cli import main
from quiltpath.jobs.panel_from_photo import swatch_of
from quiltpath.photo.real_size import RealSize
from quiltpath.project import load, parse
from quiltpath.result.computing import compute
from quiltpath.units import parse_size
from tests.photo.scene import Panel, Scene

pytest.importorskip("cv2")


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A panel of 640 x 200 mm with three printed blocks, seen at a slant."""
    path = tmp_path_factory.mktemp("photo") / "garden-panel.png"
    Image.fromarray(Scene(panel=Panel()).photo()).save(path)
    return path


def test_a_panel_becomes_a_project_that_computes(picture: Path, tmp_path: Path) -> None:
    before = picture.read_bytes()
    out = tmp_path / "panel"
    done = CliRunner().invoke(
        main, ["photo", str(picture), "--size", "640 x 200 mm", "--out", str(out)]
    )
    assert done.exit_code == 0, done.output
    assert picture.read_bytes() == before, "the photo is only read"
    runner = compute(load(out / "runner.toml")).runner
    assert (runner.length_mm, runner.width_mm) == (640.0, 200.0)
    assert len(runner.blocks) == 3 and len(runner.motifs) == 3
    edges = sorted(block.shape.bounds[0] for block in runner.blocks)
    assert edges == pytest.approx([24.0, 230.0, 436.0], abs=1.0), "as the panel was painted"
    report = json.loads((out / "report.json").read_text())
    assert max(report["photo"]["corner_errors_mm"]) < 1.0
    assert {entry["path"] for entry in report["files"]} >= {"runner.toml", "overlay.png"}


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--size", "44 in", "--out", "x"], "--size: a size is a length and a width"),
        (["--size", "44 x 11 in"], "needs its own size and a folder"),
        (["--size", "44 x eleven in", "--out", "x"], "--size:"),
    ],
)
def test_what_is_missing_is_told_in_one_line(
    picture: Path, tmp_path: Path, words: list[str], told: str
) -> None:
    given = [str(tmp_path / word) if word == "x" else word for word in words]
    done = CliRunner().invoke(main, ["photo", str(picture), *given])
    assert done.exit_code == 2 and told in done.output
    assert done.output.strip().count("\n") == 0
    assert not (tmp_path / "x").exists()


def test_what_is_no_photo_is_told_in_one_line(tmp_path: Path) -> None:
    text = tmp_path / "photo.jpg"
    text.write_text("no photo at all")
    out = tmp_path / "out"
    done = CliRunner().invoke(main, ["photo", str(text), "--size", "1 x 2 m", "--out", str(out)])
    assert done.exit_code == 2 and "photo.jpg" in done.output and not out.exists()


def test_the_real_draw_up_is_offered_as_a_swatch() -> None:
    """Eleven lines of 600 mm, 20 mm apart, on 600 x 220 mm are 50 m on a square metre; as a swatch
    of the same project they draw it up by what was measured, 3 % and 4 %, in the mean."""
    text = """
    units = "mm"
    runner = { length = 600, width = 220, size_is = "flat" }
    quilting = [{ kind = "straight", spacing = 20 }]
    """
    result = compute(parse(text))
    swatch = swatch_of(result, RealSize(582.0, 211.2, 0.003))
    assert swatch is not None
    again = compute(parse(text + swatch))
    assert again.project.swatch[0].m_per_m2 == pytest.approx(50, rel=0.1)
    quilted = again.states.quilted
    taken_up = 1 - np.array([quilted.length_mm / 600, quilted.width_mm / 220])
    assert taken_up.mean() == pytest.approx(0.035, abs=0.002)
    assert swatch_of(result, RealSize(601.0, 211.2, 0.003)) is None


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("44 x 11 in", (1117.6, 279.4)),
        ("44 in x 11 in", (1117.6, 279.4)),
        ("1.2 m x 40 cm", (1200.0, 400.0)),
        ("44 1/2 × 11in", (1130.3, 279.4)),
    ],
)
def test_a_size_is_read_as_people_write_it(text: str, mm: tuple[float, float]) -> None:
    """An inch is 25.4 mm (ISO 80000-3 names it; exact by definition since 1959)."""
    assert np.allclose(parse_size(text), mm)
