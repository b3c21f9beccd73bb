"""One design over several tables: more blocks and lines, the same gaps and motifs."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from quiltpath.cli import main
from quiltpath.errors import InputError
from quiltpath.jobs.compare import option_of
from quiltpath.jobs.variants import with_size
from quiltpath.project import Project, load, parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result

SAMPLES = Path(__file__).parents[2] / "samples"
PLAIN = """
units = "mm"
[runner]
length = 2200
width = 320
[[quilting]]
kind = "straight"
angle = {angle}
spacing = "about 25 mm"
"""


def resized(project: Project, text: str) -> Result:
    return compute(with_size(project, text)[1])


@pytest.mark.parametrize(("length", "angle"), [(900, 90), (1400, 90), (1800, 60), (2400, 30)])
def test_the_visual_gap_is_the_same_on_every_table(length: int, angle: int) -> None:
    """Dividing a width W evenly at about w misses w by at most w / (2 W / w - 1) (arithmetic)."""
    result = resized(parse(PLAIN.format(angle=angle)), f"{length} x 900 mm")
    assert result.states.in_use.length_mm == pytest.approx(length + 2 * 203.2)
    gap = option_of("", result, []).line_gap_mm
    turn = np.radians(angle)
    across = result.states.in_use.length_mm * np.sin(turn) + result.states.in_use.width_mm * np.cos(
        turn
    )
    assert gap is not None and abs(gap - 25) <= 25 / (2 * across / 25 - 1) + 1e-9


@pytest.mark.parametrize(
    ("table", "blocks"), [("56 x 42 in", 6), ("72 x 36 in", 7), ("96 x 40 in", 9)]
)
def test_blocks_are_counted_not_stretched(table: str, blocks: int) -> None:
    """Blocks of 10 in, sashing 2 in, 1 in at the ends: k blocks are 12 k in long; 72, 88 and 112 in
    are wished for, and 72, 84 and 108 come nearest (whole blocks; 88 lies 4 in from 84)."""
    base = load(SAMPLES / "harvest-supper" / "runner.toml")
    result = resized(base, table)
    assert len(result.runner.blocks) == blocks
    assert result.states.in_use.length_mm == pytest.approx(blocks * 12 * 25.4)
    first = compute(base).runner
    size = {motif.name: motif.shape.area for motif in first.motifs}
    for motif in result.runner.motifs:
        assert motif.shape.area == pytest.approx(size[motif.name])
    for block in result.runner.blocks:
        assert block.shape.area == pytest.approx(10 * 12 * 25.4**2)


def test_motifs_follow_one_another_as_before() -> None:
    base = load(SAMPLES / "harvest-supper" / "runner.toml")
    placed = resized(base, "96 x 40 in").runner.motifs
    names = [m.name for m in sorted(placed, key=lambda m: m.shape.bounds[0])]
    assert names == ["pear", "leek", "wheat ear"] * 3


def test_a_place_mat_is_one_panel_of_its_own_size() -> None:
    result = resized(parse(PLAIN.format(angle=90)), "mat 450 x 300 mm")
    assert (result.states.in_use.length_mm, result.states.in_use.width_mm) == pytest.approx(
        (450, 300)
    )
    assert result.cutting.fit is None
    base = load(SAMPLES / "harvest-supper" / "runner.toml")
    assert resized(base, "mat 18 x 12 in").runner.seams == ()


@pytest.mark.parametrize("text", ["900 mm", "wide x long", "0 x 5 mm"])
def test_a_size_that_is_none_is_told(text: str) -> None:
    with pytest.raises((ValueError, InputError)):
        with_size(parse(PLAIN.format(angle=90)), text)


def test_an_outline_by_corners_is_opened_in_the_middle_and_its_ends_stay() -> None:
    """60 in becomes 72 + 16 = 88 in: the points keep their 8 in, the motif in the middle moves by
    14 in, those at 15 in from the ends stay at 15 in from the ends."""
    pointed = load(SAMPLES / "allotment-ends" / "runner.toml")
    made = with_size(pointed, "72 x 42 in")[1]
    assert made.runner.outline is not None
    inches = np.array(made.runner.outline) / 25.4
    assert inches[:, 0].tolist() == pytest.approx([0, 8, 80, 88, 80, 8])
    assert inches[:, 1].tolist() == pytest.approx([7, 0, 0, 7, 14, 14])
    sunflower, cans = (np.array(motif.at) / 25.4 for motif in made.motif)
    assert sunflower.tolist() == [pytest.approx([44, 7])]
    assert cans.tolist() == [pytest.approx([15, 7]), pytest.approx([73, 7])]
    assert compute(made).states.in_use.length_mm == pytest.approx(88 * 25.4)


def test_an_outline_whose_ends_do_not_fit_is_told() -> None:
    pointed = load(SAMPLES / "allotment-ends" / "runner.toml")
    with pytest.raises(InputError, match=r"its ends leave no room.*more than 16 in"):
        with_size(pointed, "mat 15 x 14 in")


def test_an_outline_from_a_drawing_has_one_size(tmp_path: Path) -> None:
    (tmp_path / "edge.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="300mm"'
        ' viewBox="0 0 900 300"><rect width="900" height="300"/></svg>'
    )
    (tmp_path / "runner.toml").write_text('[runner]\noutline_svg = "edge.svg"\n')
    with pytest.raises(InputError, match="one size"):
        with_size(load(tmp_path / "runner.toml"), "72 x 36 in")


def test_a_crosshatch_in_one_line_tells_its_gap_on_every_table() -> None:
    project = parse(PLAIN.format(angle=45).replace("straight", "one-line-crosshatch"))
    for text in ("1400 x 900 mm", "mat 450 x 300 mm"):
        result = resized(project, text)
        gap = option_of("", result, []).line_gap_mm
        assert len(result.lines) == 1 and gap == pytest.approx(25, rel=0.05)


@pytest.mark.usefixtures("designs_one_by_one")
def test_the_sheet_tells_what_changes(tmp_path: Path) -> None:
    project, out = tmp_path / "runner.toml", tmp_path / "sizes"
    project.write_text(PLAIN.format(angle=90))
    wished = "1200 x 800 mm, mat 450 x 320 mm"
    answer = CliRunner().invoke(
        main, ["compare", str(project), "--size", wished, "--out", str(out)]
    )
    assert answer.exit_code == 0, answer.output
    told = json.loads((out / "compare.json").read_text())
    table, mat = next(value for value in told.values() if isinstance(value, list))
    assert table["size_mm"] == pytest.approx([1606.4, 320], abs=0.1)
    assert mat["size_mm"] == pytest.approx([450, 320])
    assert table["lines"] > mat["lines"]
