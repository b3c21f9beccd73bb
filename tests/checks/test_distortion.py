"""How an unevenly quilted piece lies: densities, outlines, and the words for them."""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon, box

from quiltpath.checks.distortion import SEEN_MM, TOLD_MM, Distortion, QuiltedSheet
from quiltpath.checks.distortion_words import distortion_words
from quiltpath.checks.spread_density import density_cells
from quiltpath.geometry.arrays import Floats
from quiltpath.geometry.named_outlines import oval
from quiltpath.materials.draw_up import DrawUpSetting, quilting_share
from tests.checks.drawings import parallel

ALONE = partial(DrawUpSetting().alone, overall_m_per_m2=40.0)
LONG = box(0, 0, 1600, 300)
LOWER, UPPER = box(0, 0, 1600, 150), box(0, 150, 1600, 300)
MIDDLE = box(600, 0, 1000, 300)


def array(*families: list[LineString]) -> np.ndarray:
    return np.array([line for family in families for line in family], dtype=object)


def even_grid(spacing: float, outline: Polygon, angle: float = 0.0) -> list[LineString]:
    """Square, its first lines half a spacing from the edge: as much line a square as anywhere."""
    first = spacing / 2
    return [line for turn in (0, 90) for line in parallel(spacing, outline, angle + turn, first)]


def lies(lines: np.ndarray, outline: Polygon = LONG, taken_up: float = 0.02) -> Distortion:
    return QuiltedSheet(outline, lines, taken_up, ALONE).lies()


def words_of(found: Distortion) -> str:
    return "; ".join(distortion_words(found, lambda mm: f"{mm:.0f} mm"))


@given(spacing=st.floats(10, 50), angle=st.floats(0, 90))
@settings(max_examples=25, deadline=None)
def test_the_density_of_a_grid_is_two_over_its_spacing(spacing: float, angle: float) -> None:
    """2 / s for a square grid, far from the edge, and nothing of the stitching is lost.

    Where lines lie as far apart as a cell sees, it sees one more or one less: 13 % at the worst of
    1,500 spacings and angles up to there.
    """
    lines = array(even_grid(spacing, LONG, angle))
    found = density_cells(LONG, lines).m_per_m2(lines)
    assert found[5:-5, 5:-5] == pytest.approx(2000 / spacing, rel=0.14)
    assert found[5:-5, 5:-5].mean() == pytest.approx(2000 / spacing, rel=0.03)


@pytest.mark.parametrize("outline", [LONG, oval(900, 420), box(40, -30, 340, 1020)])
@pytest.mark.parametrize("spacing", [15.0, 25.0, 30.0])
def test_even_quilting_lies_even(outline: Polygon, spacing: float) -> None:
    """Even density only makes a piece smaller, whatever its outline."""
    assert lies(array(even_grid(spacing, outline)), outline).worst_mm < 0.25 * TOLD_MM


@given(spacing=st.floats(10, 34), angle=st.floats(0, 90))
@settings(max_examples=25, deadline=None)
def test_how_even_lines_fall_on_the_edges_is_not_seen(spacing: float, angle: float) -> None:
    """The last line nearer to its edge than the first: a ruler may find it, an eye does not."""
    assert lies(array(even_grid(spacing, LONG, angle))).worst_mm < 0.75 * SEEN_MM


@given(density=st.lists(st.floats(0, 200), min_size=1, max_size=5), taken_up=st.floats(0, 0.05))
@settings(max_examples=20, deadline=None)
def test_the_mean_of_all_places_is_what_the_states_tell(
    density: list[float], taken_up: float
) -> None:
    lines = array(parallel(50, LONG, first=25))
    sheet = QuiltedSheet(LONG, lines, taken_up, ALONE)
    columns = np.resize(density, sheet.m_per_m2.shape[1])
    shares = sheet.shares(np.broadcast_to(columns, sheet.m_per_m2.shape))
    assert sheet.cells.mean(shares) == pytest.approx(taken_up, abs=1e-12)


def test_each_place_is_drawn_up_as_the_usual_curve_says() -> None:
    """From its sparsest figure on the same curve as for the whole; below, in proportion."""
    alone = ALONE
    for density in (20.0, 50.0, 80.0, 120.0, 300.0):
        assert alone(np.array([density])) == pytest.approx(quilting_share(density))
    assert alone(np.array([0.0, 5.0, 10.0])) == pytest.approx([0.0, 0.0025, 0.005])


def test_a_share_that_is_given_makes_the_differences_larger_or_none() -> None:
    """Twice the usual share overall: twice as much in each place; none at all: none anywhere."""
    density = np.array([10.0, 50.0, 110.0])
    for times in (0.0, 2.0):
        setting = DrawUpSetting(quilting_share=times * quilting_share(50.0))
        assert setting.alone(density, 50.0) == pytest.approx(times * ALONE(density))


def one_sided() -> np.ndarray:
    """Lines 12.5 mm apart in the lower half, 25 mm apart in the upper: 80 and 40 m a square
    metre, which stand for 3 and 1.67 percent."""
    return array(parallel(12.5, LOWER, first=6.25), parallel(25, UPPER, first=12.5))


def test_a_runner_dense_on_one_side_bends_as_a_strip_of_two_metals() -> None:
    """Timoshenko 1925: curvature 3/2 x difference / thickness, and L^2 / 8 times that is the bow.

    A step that is smoothed by a kernel of variance v has the moment h^2 / 8 - v / 2 in place of
    h^2 / 8; a tent's variance is reach^2 / 6, and dealing out to cells is one more tent.
    """
    found = lies(one_sided(), taken_up=0.0235)
    step = quilting_share(80) - quilting_share(40)
    whole = 1.5 * step / 300 * 1600**2 / 8
    variance = (50**2 + 18.75**2) / 6
    assert found.widths.curve_mm == pytest.approx(whole * (1 - 4 * variance / 300**2), rel=0.02)
    assert found.widths.high.bow_mm > 0 > found.widths.low.bow_mm
    # Two ends of a bent strip lean towards each other by its length times the curvature.
    shorter = found.lengths.more_mm[-1] - found.lengths.more_mm[0]
    assert shorter == pytest.approx(found.widths.curve_mm * 8 / 1600 * 300, rel=0.1)
    told = words_of(found)
    assert "both long edges curve upwards by" in told
    assert "the lower edge comes out" in told and "shorter than the upper edge" in told


def hourglass() -> np.ndarray:
    """A grid of 25 mm in the middle quarter on lines 50 mm apart all along: 20 and 100 m."""
    return array(parallel(50, LONG, first=25), even_grid(25, MIDDLE))


def test_a_runner_dense_in_the_middle_is_narrower_there() -> None:
    """The middle is wide enough to be drawn up as it would be alone: by the difference of the
    two shares of the curve times the width (Saint-Venant)."""
    found = lies(hourglass())
    expected = (quilting_share(100) - quilting_share(20)) * 300
    assert found.widths.spread_mm == pytest.approx(expected, rel=0.12)
    assert found.widths.low.bow_mm == pytest.approx(found.widths.high.bow_mm, abs=1e-6)
    assert found.widths.low.bow_mm == pytest.approx(-found.widths.spread_mm / 2, rel=0.1)
    assert words_of(found).startswith("the middle comes out 8 mm narrower than the ends; both long")
    assert "both long edges bow in by" in words_of(found)
    assert not 600 < found.sparse_mm[0] < 1000


def mirrored(lines: np.ndarray, axis: int) -> np.ndarray:
    size = np.array([1600.0, 300.0])

    def over(points: Floats) -> Floats:
        turned = points.copy()
        turned[:, axis] = size[axis] - points[:, axis]
        return turned

    return shapely.transform(lines, over)


def lopsided() -> np.ndarray:
    corner = box(0, 0, 500, 150)
    return array(parallel(50, LONG, first=25), even_grid(15, corner))


@pytest.mark.parametrize("axis", [0, 1])
def test_what_is_turned_over_lies_turned_over(axis: int) -> None:
    here, there = lies(lopsided()), lies(mirrored(lopsided(), axis))
    own, other = ("lengths", "widths") if axis == 0 else ("widths", "lengths")
    same, turned = getattr(here, own), getattr(there, own)
    assert turned.low.bow_mm == pytest.approx(same.high.bow_mm, abs=1e-6)
    assert turned.high.bow_mm == pytest.approx(same.low.bow_mm, abs=1e-6)
    across = getattr(here, other).more_mm[::-1]
    assert getattr(there, other).more_mm == pytest.approx(across, abs=1e-6)


def test_as_it_lies_it_is_nearest_to_the_even_outline() -> None:
    """Neither a shift nor a turn brings the outline nearer (least squares, first order)."""
    found = lies(lopsided())
    off, even = found.placed.off(found.ring_mm), found.placed.even(found.ring_mm)
    assert off.mean(axis=0) == pytest.approx([0, 0], abs=1e-6)
    out = even - even.mean(axis=0)
    turning = out[:, 0] * off[:, 1] - out[:, 1] * off[:, 0]
    assert turning.mean() == pytest.approx(0.0, abs=1e-6 * np.abs(turning).max())
    assert found.off_mm == pytest.approx(np.hypot(*off.T).max())


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [
        (0, 300, "the left end comes out"),
        (400, 640, "the part a third of the way from the left end comes out"),
        (1000, 1400, "the part three quarters of the way from the left end comes out"),
        (1300, 1600, "the right end comes out"),
    ],
)
def test_the_narrow_place_is_named(low: float, high: float, told: str) -> None:
    dense = even_grid(20, box(low, 0, high, 300))
    said = words_of(lies(array(parallel(50, LONG, first=25), dense)))
    assert said.replace("the part near the left", "the left").startswith(told)


def test_a_dense_border_at_both_ends_makes_the_ends_narrower() -> None:
    ends = [line for x in (0, 1350) for line in even_grid(20, box(x, 0, x + 250, 300))]
    found = lies(array(parallel(50, LONG, first=25), ends))
    assert "come out" in words_of(found) and "narrower than" in words_of(found)
    assert words_of(found).startswith("the ends come out")
    assert found.worst_mm > SEEN_MM


@pytest.mark.parametrize("seed", range(30))
def test_any_outline_has_an_answer(seed: int) -> None:
    """Slivers, triangles, things without a line on them, lines that leave the cloth."""
    rng = np.random.default_rng(seed)
    corners = rng.uniform(0, 10 ** rng.uniform(1, 3.6, 2), (rng.integers(3, 9), 2))
    outline = shapely.convex_hull(shapely.multipoints(corners))
    low_x, low_y, high_x, high_y = outline.bounds
    ends = rng.uniform((low_x - 20, low_y - 20), (high_x + 20, high_y + 20), (seed % 12, 3, 2))
    found = lies(np.array([LineString(points) for points in ends], dtype=object), outline)
    assert np.isfinite([found.worst_mm, found.off_mm, *found.share]).all()
    assert found.off_mm <= 0.1 * max(high_x - low_x, high_y - low_y)
