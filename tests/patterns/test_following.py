"""Lines that follow a skewed or bowed print."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns import draw
from quiltpath.project.runner_sections import PrintSection
from quiltpath.runner.build import as_printed
from tests.patterns.runners import disc, drawn, layer, plain, sashed


def measured(even: Runner, **measures: object) -> Runner:
    section = PrintSection.model_validate(measures, context={"units": "mm"})
    return as_printed(even, section)


def test_crosswise_lines_lean_with_a_skewed_print_and_keep_their_distances() -> None:
    skewed = measured(plain(2200, 320), diagonals=[2228, 2218])
    lines = drawn(skewed, "straight", angle=90, spacing="about 25 mm")
    inner = [g for g in lines.geometry if g.length > 315]
    ends = np.array([[g.coords[0], g.coords[-1]] for g in inner])
    rise = ends[:, 1] - ends[:, 0]
    lean = np.degrees(np.arctan2(rise[:, 0] * np.sign(rise[:, 1]), np.abs(rise[:, 1])))
    assert np.allclose(lean, 0.905, atol=0.02)
    assert np.allclose(np.diff(np.sort(ends[:, 0, 0])), 25, atol=0.01)


def test_lines_of_a_bowed_print_bend_by_the_bow() -> None:
    bowed = measured(plain(1000, 300), bow=6)
    lines = drawn(bowed, "straight", angle=90, spacing=100)
    for line in lines.geometry:
        points = np.array(line.coords)
        chord = (points[0, 0] + points[-1, 0]) / 2
        assert points[:, 0].max() - chord == pytest.approx(6, abs=0.1)


def test_bent_lines_still_reach_the_finished_edge_and_run_past_it() -> None:
    odd = measured(plain(1000, 300), widths=[294, 300, 306], lengths=[994, 1000, 1004])
    lines = draw(odd, [layer("grid", spacing=60, overrun=15)])
    bounds = shapely.bounds(lines.geometry)
    upright = bounds[:, 2] - bounds[:, 0] < 50
    assert np.allclose(bounds[upright, 1], -15, atol=0.1)
    assert np.allclose(bounds[~upright, 0], -15, atol=0.1)


def test_a_ruler_keeps_lines_straight_on_any_print() -> None:
    bowed = measured(plain(1000, 300), bow=6)
    lines = drawn(bowed, "straight", angle=90, spacing=100, follow="ruler")
    assert (shapely.get_num_points(lines.geometry) == 2).all()
    assert not [r for r in lines.remarks if r.code == "print-followed"]


def test_the_distortion_is_told_in_figures() -> None:
    skewed = measured(plain(2200, 320), diagonals=[2228, 2218])
    (remark,) = drawn(skewed, "straight", spacing=40).remarks
    assert remark.code == "print-followed"
    assert "+0.9 degrees" in remark.message and "2.5 mm" in remark.message


def test_lines_in_the_ditch_and_lines_drawn_in_a_block_agree() -> None:
    """The edge of a bent block is the bent printed line."""
    bowed = measured(sashed(), bow=5, lengths=[498, 500, 503])
    ditch = shapely.union_all(drawn(bowed, "sashing").geometry)
    edge = bowed.blocks[0].shape.exterior
    assert edge.hausdorff_distance(ditch.intersection(edge.buffer(0.05))) < 1.0


def test_patterns_bend_as_well_and_keep_clear_of_the_moved_motif() -> None:
    runner = measured(plain(1000, 300, motifs=(disc(300, 150, 40),)), bow=10)
    lines = drawn(runner, "waves", clearance=6)
    assert shapely.distance(lines.geometry, runner.motifs[0].shape).min() > 5.9
    assert runner.motifs[0].shape.centroid.x == pytest.approx(310, abs=0.2)
