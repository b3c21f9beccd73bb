"""The membrane: closed forms, finite elements, and finer grids coming to the same."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import map_coordinates
from shapely.affinity import rotate
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.checks.membrane import Grid, nodes_inside, segments_of
from quiltpath.checks.puff import Membrane, membrane
from tests.checks.drawings import parallel
from tests.checks.finite_elements import membrane_at


def sampled(u: Membrane, x: object, y: object) -> np.ndarray:
    """u at points, between nodes along straight lines."""
    column = (np.asarray(x) - u.grid.origin_mm[0]) / u.grid.cell_mm
    row = (np.asarray(y) - u.grid.origin_mm[1]) / u.grid.cell_mm
    return map_coordinates(u.u_mm2.astype(np.float64), [row, column], order=1)


@pytest.mark.parametrize("width", [9.0, 25.4, 40.0, 83.7])
@pytest.mark.parametrize("angle", [0.0, 90.0, 45.0, 28.3])
def test_between_parallel_lines_it_is_a_parabola(width: float, angle: float) -> None:
    """u = s (w - s) / 2 across a strip of width w: -u'' = 1, u = 0 on both sides. Middle w² / 8."""
    sheet = box(0, 0, 900, 900)
    axis = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    square = np.array([-axis[1], axis[0]])
    middle = np.array([450.0, 450.0])
    lines = [
        LineString([middle + k * width * square - 2000 * axis, middle + k * width * square])
        .union(LineString([middle + k * width * square, middle + k * width * square + 2000 * axis]))
        .intersection(sheet)
        for k in range(-3, 4)
    ]
    u = membrane(lines, sheet, cell_mm=1.0, window_mm=(300, 300, 600, 600))
    share = np.linspace(0.1, 0.9, 9)
    at = middle + share[:, None] * width * square
    expected = share * (1 - share) * width**2 / 2
    assert sampled(u, *at.T) == pytest.approx(expected, abs=0.15 + 0.004 * width**2 / 8)


@pytest.mark.parametrize("radius", [12.3, 30.0, 61.9])
def test_over_a_disc_it_is_a_paraboloid(radius: float) -> None:
    """u = (R² - r²) / 4: -laplace(u) = 1 in the plane, u = 0 on the circle."""
    disc = Point(100.4, 99.7).buffer(radius, quad_segs=256)
    u = membrane([], disc)
    away = np.linspace(0, 0.9 * radius, 7)
    expected = (radius**2 - away**2) / 4
    got = sampled(u, 100.4 + away * math.cos(0.7), 99.7 + away * math.sin(0.7))
    assert got == pytest.approx(expected, abs=0.2 + 0.005 * radius**2 / 4)


def rectangle_series(x: np.ndarray, y: np.ndarray, wide: float, high: float) -> np.ndarray:
    """Prandtl's membrane over a rectangle, middle at (0, 0): Timoshenko and Goodier, Theory of
    Elasticity, torsion of a rectangular bar (series from memory, for -laplace(u) = 1)."""
    total = np.zeros(np.broadcast(x, y).shape)
    for n in range(1, 120, 2):
        k = n * math.pi / wide
        ratio = np.cosh(k * y) / np.cosh(min(k * high / 2, 700))
        total += (-1) ** ((n - 1) // 2) / n**3 * (1 - ratio) * np.cos(k * x)
    return total * 4 * wide**2 / math.pi**3


def test_the_series_gives_the_known_share_of_a_square() -> None:
    """0.0737 of the side squared, Roark's table of torsion agrees; value from memory."""
    middle = rectangle_series(np.zeros(1), np.zeros(1), 1.0, 1.0)
    assert middle[0] == pytest.approx(0.07367, abs=1e-5)


@pytest.mark.parametrize(("wide", "high"), [(50.0, 50.0), (38.1, 101.6), (120.0, 33.3)])
@pytest.mark.parametrize("angle", [0.0, 33.0])
def test_over_a_rectangle_it_follows_the_series(wide: float, high: float, angle: float) -> None:
    sheet = box(-200, -200, 200, 200)
    frame = rotate(box(-wide / 2, -high / 2, wide / 2, high / 2), angle, origin=(0, 0))
    u = membrane([LineString(frame.exterior.coords)], sheet)
    x, y = (part.ravel() for part in np.mgrid[-0.4:0.41:0.2, -0.4:0.41:0.2])
    x, y = x * wide, y * high
    turn = math.radians(angle)
    got = sampled(
        u, x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)
    )
    expected = rectangle_series(x, y, wide, high)
    assert got == pytest.approx(expected, abs=0.15 + 0.006 * expected.max())


def test_finite_elements_agree_on_lines_that_end_and_cross() -> None:
    """scikit-fem, quadratic triangles of 2.5 mm, on a sheet with free line ends and a crossing."""
    wide, high = 200.0, 120.0
    lines = [
        LineString([(20, 60), (140, 60)]),
        LineString([(50, 0), (50, 90)]),
        LineString([(100, 30), (160, 90)]),
    ]
    steps = np.concatenate(
        [shapely.get_coordinates(line.segmentize(1.2500001)) for line in lines[:2]]
        + [np.column_stack([np.linspace(100, 160, 49), np.linspace(30, 90, 49)])]
    )
    x, y = (part.ravel() for part in np.mgrid[8:196:9.0, 7:118:8.0])
    theirs = membrane_at(np.column_stack([x, y]), wide, high, steps, (80, 48))
    ours = sampled(membrane(lines, box(0, 0, wide, high)), x, y)
    # both are least sure at free line ends, where the slope has no bound
    assert np.abs(ours - theirs).max() < 0.02 * theirs.max()
    assert np.median(np.abs(ours - theirs)) < 0.004 * theirs.max()


def test_finer_grids_come_nearer_to_the_series_and_the_error_falls_with_the_square() -> None:
    """Second order: a cell half as wide leaves about a quarter (Gibou and others 2002)."""
    sheet, frame = box(-90, -90, 90, 90), rotate(box(-30, -20, 30, 20), 20, origin=(0, 0))
    middle = rectangle_series(np.zeros(1), np.zeros(1), 60.0, 40.0)[0]
    errors = []
    for cell in (4.0, 2.0, 1.0):
        u = membrane([LineString(frame.exterior.coords)], sheet, cell_mm=cell)
        errors.append(abs(float(sampled(u, [0.0], [0.0])[0]) - middle))
    assert errors[0] > errors[1] > errors[2]
    assert errors[2] < errors[0] / 6


@given(seed=st.integers(0, 10_000))
@settings(max_examples=25, deadline=None)
def test_one_more_line_never_lifts_the_cloth(seed: int) -> None:
    """The maximum principle: what is held in more places stands nowhere higher."""
    rng = np.random.default_rng(seed)
    sheet = box(0, 0, 90, 60)
    lines = [LineString(rng.uniform((0, 0), (90, 60), (3, 2))) for _ in range(3)]
    fewer, more = membrane(lines[:2], sheet).u_mm2, membrane(lines, sheet).u_mm2
    assert (more - fewer).max() < 0.01 * fewer.max()
    assert more.min() >= 0


@pytest.mark.parametrize("seed", range(6))
def test_nodes_inside_are_those_that_shapely_finds(seed: int) -> None:
    rng = np.random.default_rng(seed)
    shape: Polygon = Point(30, 20).buffer(18).union(box(20, 10, 55, 22))
    shape = shape.difference(Point(*rng.uniform((20, 10), (40, 30))).buffer(6))
    shape = rotate(shape, float(rng.uniform(0, 90)), origin=(30, 20))
    grid = Grid((-5.13, -6.27), 1.0, (60, 70))
    found = nodes_inside(segments_of([shape.boundary]), grid)
    rows, columns = np.mgrid[0:60, 0:70]
    truth = shapely.contains_xy(shape, columns - 5.13, rows - 6.27)
    assert (found == truth).all()


def test_lines_along_rows_of_nodes_hold_them() -> None:
    """Lines that fall exactly on nodes, both ways, hold as well as any."""
    sheet = box(0, 0, 80, 80)
    for angle in (0.0, 90.0):
        u = membrane(parallel(20, sheet, angle), sheet)
        assert u.u_mm2.max() == pytest.approx(20**2 / 8, rel=0.01)


@pytest.mark.parametrize("cell", [0.0, -1.0])
def test_cells_that_are_none_are_refused(cell: float) -> None:
    with pytest.raises(ValueError, match="cells above 0"):
        membrane([], box(0, 0, 10, 10), cell_mm=cell)


def test_an_outline_without_area_is_refused() -> None:
    with pytest.raises(ValueError, match="area"):
        membrane([], Polygon())


def test_large_cloth_gets_coarser_cells() -> None:
    quilt = box(0, 0, 2700, 2700)
    u = membrane(parallel(100, quilt), quilt, most_cells=100_000)
    assert u.u_mm2.size < 130_000
    assert u.u_mm2.max() == pytest.approx(100**2 / 8, rel=0.03)
