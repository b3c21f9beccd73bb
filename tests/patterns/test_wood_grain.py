"""Wood grain against the stream round a cylinder, and lines that keep their order."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon

from tests.patterns.runners import drawn, plain

BOARD = plain(600, 240)
GAP = 12.0


def grain(**keys: object) -> tuple[list[LineString], list[LineString]]:
    """Lines from end to end, from below upwards, and the rings of the knots."""
    keys = {"spacing": "about 12 mm", "overrun": 0, **keys}
    lines = list(drawn(BOARD, "wood-grain", **keys).geometry)
    rings = [line for line in lines if line.is_closed]
    whole = [line for line in lines if not line.is_closed and line.length > 600]
    return sorted(whole, key=lambda line: line.coords[0][1]), rings


def at(line: LineString, x: float) -> float:
    return float(np.interp(x, *np.array(line.coords).T))


def test_without_knots_lines_sway_alike_a_gap_apart() -> None:
    lines, rings = grain(knots=0)
    assert not rings and len(lines) in (18, 19, 20)  # of twenty, those that the edges do not cut
    for x in (30.0, 211.0, 444.0, 570.0):
        assert np.diff([at(line, x) for line in lines]) == pytest.approx(GAP, abs=0.05)
    assert max(np.ptp(np.array(line.coords)[:, 1]) for line in lines) < 2 * 0.7 * GAP


def test_above_a_knot_lines_run_as_a_stream_round_a_cylinder() -> None:
    """Over its middle the line that is level at c runs at c / 2 + root of (c / 2) squared + a
    squared (Milne-Thomson, Theoretical Hydrodynamics: y - a squared / y = c), a knot being three
    gaps wide; its rings lie a quarter and three quarters of its half width from its middle."""
    lines, rings = grain(knots=1)
    half = 1.5 * GAP
    sizes = sorted(np.ptp(np.array(ring.coords)[:, 0]) / 2 for ring in rings)
    assert sizes == pytest.approx([3 * half / 4, 3 * half * 3 / 4], rel=0.01)
    middle = shapely.union_all([Polygon(ring) for ring in rings]).centroid
    heights = np.array([at(line, middle.x) for line in lines])
    over = int(np.searchsorted(heights, middle.y))
    heights -= (heights[over - 1] + heights[over]) / 2
    for beside in (heights[heights > 0], -heights[heights < 0][::-1]):
        level = (np.arange(len(beside)) + 0.5) * GAP
        flow = level / 2 + np.sqrt(level**2 / 4 + half**2)
        assert beside == pytest.approx(flow, abs=0.05)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_no_two_lines_meet_and_none_comes_near(seed: int) -> None:
    """The stream runs twice as fast beside a cylinder as far away, so that lines are half as far
    apart there at least; knots that stand apart do not add to each other by more than a little."""
    drawn_lines, rings = grain(knots=4, seed=seed)
    assert rings and len(rings) % 2 == 0
    every = drawn_lines + rings
    tree = shapely.STRtree(every)
    pairs = tree.query(every, predicate="dwithin", distance=0.5 * GAP)
    assert (pairs[0] == pairs[1]).all()


def test_the_same_seed_is_the_same_board() -> None:
    first, again, other = (grain(seed=seed)[0][5] for seed in (3, 3, 4))
    assert first.equals(again) and not first.equals(other)


def test_a_short_or_narrow_region_has_fewer_knots() -> None:
    """A knot takes 1.2 times its length; of eight a board of 600 mm has room for 600 / 129.6."""
    assert len(grain(knots=8)[1]) == 2 * 4
    assert not any(g.is_closed for g in drawn(plain(600, 30), "wood-grain").geometry)


@pytest.mark.parametrize("seed", [1, 5])
def test_with_an_inset_the_grain_keeps_within_it_and_is_one_line_beside_its_rings(
    seed: int,
) -> None:
    """All lines but the rings are strung together at the ends of the board, and nothing meets."""
    every = list(drawn(BOARD, "wood-grain", spacing="about 12 mm", inset=20, seed=seed).geometry)
    (grain_line,) = [line for line in every if not line.is_closed]
    rings = [line for line in every if line.is_closed]
    assert grain_line.is_simple and rings
    assert shapely.covers(shapely.box(20, 20, 580, 220), every).all()
    assert grain_line.length > 16 * 540
    tree = shapely.STRtree(every)
    pairs = tree.query(every, predicate="dwithin", distance=0.3 * GAP)
    assert (pairs[0] == pairs[1]).all()
