"""The steps from panels to the finished runner, carried out on paper for many panels.

What must come out is arithmetic: a seam takes its allowance from both sides, quilting leaves
1 - q of a length, and a print lies where it was printed.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.project import Project, load, parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.runner.panels import LEEWAY_MM
from tests.materials.cutter import Printed, carried_out, panel

IN = 25.4
SAMPLES = Path(__file__).parents[2] / "samples"


def project_of(
    blocks: tuple[float, ...],
    sashing: float,
    end_strip: float,
    rim: float,
    count: int,
    size: tuple[float, float],
    taken_up: float,
    high: float,
) -> Project:
    """Panels with their blocks, and a runner of that size from them, in mm."""
    long = sum(blocks) + (len(blocks) - 1) * sashing + 2 * end_strip + 2 * rim
    return parse(f"""
units = "mm"
instructions.units = "both"
[runner]
length = {size[0]}
width = {size[1]}
[[panel]]
size = [{long}, {high + 2 * rim}]
rim = {rim}
end_strip = {end_strip}
blocks_along = {list(blocks)}
sashing = {sashing}
count = {count}
[quilted]
taken_up = {taken_up}
""")


def bought(project: Project) -> Printed:
    """The first panel of a project, with its print."""
    own = project.panel[0]
    assert own.blocks_along is not None
    return panel(own.size, own.print_mm, own.end_strip, own.blocks_along, own.sashing)


def top_of(result: Result, whole: Printed) -> Printed:
    """What the steps make of such panels."""
    names = ("panel",) if result.cutting.panel_choices[0].panels_used == 1 else (
        "left panel", "right panel"
    )  # fmt: skip
    return carried_out(result.cutting.panel_steps, dict.fromkeys(names, whole))


def is_the_flat_runner(top: Printed, result: Result) -> None:
    """Size, printed blocks and sashing of the top are those that everything is drawn for."""
    flat = result.states.flat
    assert (top.length, top.width) == pytest.approx(flat.pair, abs=1e-3)
    assert top.blank == pytest.approx(0.0, abs=1e-3)
    drawn = sorted((b.shape.bounds[0], b.shape.bounds[2]) for b in result.runner.blocks)
    lie = [(low - top.x[0], high - top.x[0]) for low, high in top.blocks]
    assert np.array(lie) == pytest.approx(np.array(drawn), abs=1e-3)


def ends_as_asked(result: Result, q: float) -> None:
    """Quilted, squared up and bound: the size that was wished, or a warning says why not.

    What panels lack by less than anybody cuts is not told.
    """
    states, plan = result.states, result.cutting
    low, high = plan.edge.ring.min(axis=0), plan.edge.ring.max(axis=0)
    quilted = (1 - q) * states.flat.length_mm, (1 - q) * states.flat.width_mm
    assert tuple(high - low) == pytest.approx(quilted, abs=1e-6)
    codes = {finding.code for finding in result.findings}
    wished = states.wished.length_mm
    short = 0 < wished - quilted[0] <= LEEWAY_MM
    assert short or quilted[0] == pytest.approx(wished, abs=1e-6) or "panels-too-short" in codes
    assert plan.binding.needed.total_mm >= plan.edge.length_mm
    for layout, item in zip(plan.layouts, plan.shopping, strict=False):
        assert item.name == layout.cloth.name and item.need >= layout.length_mm - 1e-6


def test_two_panels_with_an_unprinted_rim_by_hand() -> None:
    """40 in of cloth with 38 in of print: strip 2, blocks 10, sashing 2. At the join 1 1/4 in are
    kept of each strip: 2 x (38 - 2 + 1 1/4 - 1/4) = 74 in. 72 in and 2 percent taken up want
    73.47 in: 0.265 in off each end, 1.735 in of the strip left."""
    project = project_of((10 * IN,) * 3, 2 * IN, 2 * IN, IN, 2, (72 * IN, 14 * IN), 0.02, 15 * IN)
    result = compute(project)
    top = top_of(result, bought(project))
    assert top.length == pytest.approx(72 * IN / 0.98)
    assert top.blocks[0][0] - top.x[0] == pytest.approx((72 / 0.98 - 70) / 2 * IN)
    joined = [b[0] - a[1] for a, b in pairwise(top.blocks)]
    assert joined == pytest.approx([2 * IN] * 5)
    is_the_flat_runner(top, result)
    ends_as_asked(result, 0.02)


@settings(max_examples=60)
@given(
    blocks=st.lists(st.integers(90, 320).map(float), min_size=1, max_size=4).map(tuple),
    sashing=st.integers(16, 70).map(float),
    strip_share=st.floats(0.55, 1.6),
    rim=st.sampled_from([0.0, 12.0, 25.4]),
    count=st.sampled_from([1, 2]),
    share=st.floats(0.6, 1.1),
    taken_up=st.sampled_from([0.0, 0.01, 0.024, 0.05]),
    side=st.floats(0.0, 30.0),
)
def test_any_panels_become_the_runner_that_everything_is_drawn_for(
    blocks: tuple[float, ...],
    sashing: float,
    strip_share: float,
    rim: float,
    count: int,
    share: float,
    taken_up: float,
    side: float,
) -> None:
    """Cut at the outer edge of the print, at the join, at the ends and sides; sewn; quilted."""
    strip = sashing * strip_share
    print_mm = sum(blocks) + (len(blocks) - 1) * sashing + 2 * strip
    most = print_mm if count == 1 else 2 * (print_mm - strip + sashing / 2)
    size = share * most * (1 - taken_up), (260 - side) * (1 - taken_up)
    project = project_of(blocks, sashing, strip, rim, count, size, taken_up, 260.0)
    result = compute(project)
    choice = result.cutting.panel_choices[0]
    if choice.fault:
        assert "too little cloth" in choice.fault and rim == 0
        return
    top = top_of(result, bought(project))
    is_the_flat_runner(top, result)
    ends_as_asked(result, taken_up)
    inside = top.blocks[1:-1] if result.runner.trimmed_mm[0] else top.blocks
    strips = [b[0] - a[1] for a, b in pairwise(inside)]
    assert strips == pytest.approx([sashing] * len(strips))


def test_panels_without_end_strips_are_joined_edge_to_edge() -> None:
    """Two of 800 mm with seams of 6.35 mm: 2 x 793.65 mm, where the file says nothing of a join."""
    project = parse(
        'units = "mm"\ninstructions.units = "both"\n[runner]\nlength = 1500\nwidth = 300\n'
        '[[panel]]\nsize = "800 x 300 mm"\nprinted = "800 x 300 mm"\ncount = 2\n'
        "[quilted]\ntaken_up = 0.02\n"
    )
    result = compute(project)
    assert [seam.is_panel_join for seam in result.runner.seams] == [True]
    whole = panel((800, 300), (800, 300), 0.0, (), 0.0)
    top = top_of(result, whole)
    assert top.length == pytest.approx(1500 / 0.98)
    assert result.states.in_use.length_mm == pytest.approx(1500)


@pytest.mark.parametrize("name", ["harvest-supper", "galley"])
def test_the_panels_of_the_samples_become_their_runners(name: str) -> None:
    """Harvest supper: 3 blocks of 10 in on each; galley: half of three blocks of 340 mm."""
    project = load(SAMPLES / name / "runner.toml")
    result = compute(project)
    own, grid = project.panel[0], project.grid
    assert grid is not None and grid.block_size is not None
    if name == "harvest-supper":
        blocks: tuple[float, ...] = (grid.block_size[0],) * 3
    else:
        blocks = ()
    whole = panel(own.size, own.print_mm, own.end_strip, blocks, grid.sashing)
    top = top_of(result, whole)
    assert (top.length, top.width) == pytest.approx(result.states.flat.pair, abs=1e-3)
    assert top.blank == pytest.approx(0.0, abs=1e-3)
    if blocks:
        is_the_flat_runner(top, result)
    assert result.states.in_use.length_mm == pytest.approx(project.runner.length)


def test_a_short_runner_is_trimmed_into_its_blocks_and_says_so() -> None:
    """Blocks of 200 mm with strips of 30: 690 mm of print for a runner of 600 mm: 45 mm off each
    end, 15 of it from the block, of which 185 are left; a motif of 190 mm in it is cut."""
    project = parse("""
units = "mm"
instructions.units = "both"
[runner]
length = 600
width = 250
[[panel]]
size = [690, 250]
rim = 0
end_strip = 30
blocks_along = [200, 200, 170]
sashing = 30
[[motif]]
name = "tile"
outline = [[0, 0], [190, 0], [190, 40], [0, 40]]
blocks = ["A1"]
[quilted]
taken_up = 0.0
""")
    result = compute(project)
    told = {finding.code: finding.message for finding in result.findings}
    assert (
        "15 mm" in told["trimmed-into-print"]
        and "185 mm) of block A1" in told["trimmed-into-print"]
    )
    assert "tile in A1" in told["motif-cut"]
    is_the_flat_runner(top_of(result, bought(project)), result)
    (motif,) = result.runner.motifs
    assert motif.shape.area == pytest.approx((190 - 10) * 40)


def test_a_print_no_wider_than_the_runner_is_used_whole_and_what_comes_out_is_told() -> None:
    """300 mm of print for a runner of 300 mm: 2 percent are drawn up, 294 mm are left."""
    project = parse(
        'units = "mm"\ninstructions.units = "both"\n[runner]\nlength = 700\nwidth = 300\n'
        '[[panel]]\nsize = "800 x 300 mm"\nprinted = "800 x 300 mm"\n[quilted]\ntaken_up = 0.02\n'
    )
    result = compute(project)
    top = top_of(result, panel((800, 300), (800, 300), 0.0, (), 0.0))
    assert (top.length, top.width) == pytest.approx((700 / 0.98, 300))
    assert result.states.in_use.pair == pytest.approx((700, 294))
    told = {finding.code: finding.message for finding in result.findings}
    assert "294 mm" in told["comes-out-smaller"]


def test_panels_that_fall_short_are_laid_out_as_choices_with_their_figures() -> None:
    """Two of 38 in of print give 74 in at most; 80 in and two drops of 8 are 96 in, nothing drawn
    up. 22 in are lacking: a border of 11 in at each end is cut a seam of 1/4 in wider, a strip let
    in at the join two seams wider. 74 in end 3 in before the edge of a table of 80 at each end."""
    result = compute(
        parse("""
units = "in"
[table]
length = 80
width = 42
[runner]
width = 14
[[panel]]
size = "40 x 17 in"
rim = 1
end_strip = 2
blocks_along = [10, 10, 10]
sashing = 2
count = 2
[quilted]
taken_up = 0.0
[instructions]
units = "inches"
""")
    )
    told = {finding.code: finding for finding in result.findings}
    short = told["panels-too-short"]
    assert "flat top of 74 in, not the 96 in" in short.message
    assert "comes out 74 in long, not 96 in" in short.message and "drop" not in short.message
    assert "border of 11 in to both ends, cut 11 1/4 in wide" in short.remedy
    assert "let in a strip of 22 in at the join, cut 22 1/2 in wide" in short.remedy
    assert told["drop-unusual"].message.endswith("3 in before the table's edge at each end")


def test_an_end_block_that_is_cut_is_kept_whole_by_figures() -> None:
    """Blocks of 200 mm with strips of 30 and end strips of 30: 720 mm of print for 600 mm: 60 off
    each end, 30 of it from the block. A runner of 660 mm cuts none; without a block 170 mm of the
    600 are bare: 115 - 30 mm at each end."""
    project = project_of((200.0,) * 3, 30.0, 30.0, 0.0, 1, (600.0, 250.0), 0.0, 250.0)
    told = {finding.code: finding for finding in compute(project).findings}
    remedy = told["trimmed-into-print"].remedy
    assert "(660 mm) long" in remedy
    assert "leave a block out and sew a border of" in remedy and "(85 mm) to both ends" in remedy
