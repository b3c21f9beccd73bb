"""Off-square panels, checked against trigonometry, closed forms and search at random."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from quiltpath.errors import InputError
from quiltpath.runner.skew import PanelMeasures, TrueRectangle, largest_rectangle, skew_of


def measured(corners: np.ndarray) -> PanelMeasures:
    """The six distances between four corners."""
    a, b, c, d = corners
    pairs = [(a, b), (b, c), (c, d), (d, a), (a, c), (b, d)]
    return PanelMeasures(*[float(math.dist(p, q)) for p, q in pairs])


def parallelogram(length: float, height: float, shift: float) -> np.ndarray:
    return np.array([(0, 0), (length, 0), (length + shift, height), (shift, height)], float)


def test_the_worked_panel_leans_nine_tenths_of_a_degree() -> None:
    """2200 x 320 mm with diagonals 2228 and 2218: 0.9 degrees, ends 5 mm out.

    Parallelogram law: p² - q² = 4 a b cos(angle); (2228² - 2218²) / (4 x 2200 x 320).
    """
    skew = skew_of(PanelMeasures(2200, 320, 2200, 320, 2228, 2218))
    lean = math.degrees(math.asin((2228**2 - 2218**2) / (4 * 2200 * 320)))
    assert skew.skew_deg == pytest.approx(lean, abs=0.01)
    assert round(skew.skew_deg, 1) == 0.9
    assert round(skew.end_shift_mm) == 5


def test_a_true_rectangle_is_square() -> None:
    skew = skew_of(measured(parallelogram(2200, 320, 0)))
    assert skew.out_of_square_deg == pytest.approx(0, abs=1e-6)
    rectangle = largest_rectangle(skew)
    assert rectangle.length_mm == pytest.approx(2200, abs=0.05)
    assert rectangle.width_mm == pytest.approx(320, abs=0.05)


def test_tapers_are_told_apart() -> None:
    skew = skew_of(measured(np.array([(0, 0), (1000, 0), (990, 300), (0, 310)], float)))
    assert skew.width_taper_mm == pytest.approx(math.hypot(10, 300) - 310, abs=1e-6)
    assert skew.length_taper_mm == pytest.approx(math.hypot(990, 10) - 1000, abs=1e-6)


def test_figures_that_contradict_each_other_are_a_slip_of_the_tape() -> None:
    with pytest.raises(InputError, match="contradict"):
        skew_of(PanelMeasures(2200, 320, 2200, 320, 2400, 2390))


corner_shifts = st.lists(st.floats(-15, 15), min_size=8, max_size=8)


def wobbly(shifts: list[float]) -> np.ndarray:
    square = np.array([(0, 0), (1000, 0), (1000, 320), (0, 320)], float)
    return square + np.array(shifts).reshape(4, 2)


@given(corner_shifts)
def test_corners_come_back_from_their_distances(shifts: list[float]) -> None:
    """The distances between the found corners are the measured ones, so the shape is the same."""
    wanted = measured(wobbly(shifts))
    found = measured(skew_of(wanted).corners)
    assert found.distances == pytest.approx(wanted.distances, abs=1e-6)


def test_the_largest_rectangle_of_a_long_parallelogram_loses_the_shift() -> None:
    """Closed form: sides parallel to the long side, length - shift by height."""
    rectangle = largest_rectangle(skew_of(measured(parallelogram(2200, 320, 5.05))))
    assert rectangle.area_mm2 == pytest.approx((2200 - 5.05) * 320, rel=1e-5)


@settings(max_examples=15, deadline=None)
@given(corner_shifts, st.integers(0, 2**32 - 1))
def test_no_rectangle_inside_is_larger(shifts: list[float], seed: int) -> None:
    """Brute force: rectangles at random, near the found one and anywhere, never beat it."""
    skew = skew_of(measured(wobbly(shifts)))
    best = largest_rectangle(skew)
    panel = Polygon(skew.corners).buffer(1e-3)
    assert panel.covers(Polygon(best.corners))
    assert random_best(best, Polygon(skew.corners), seed) <= best.area_mm2 * (1 + 1e-4)


def random_best(best: TrueRectangle, panel: Polygon, seed: int) -> float:
    """Largest area among many rectangles inside the panel, by sampling round the best."""
    random = np.random.default_rng(seed)
    count = 4000
    reach = random.choice([0.1, 1.0, 8.0], (count, 1))
    angle = best.angle_deg + random.normal(0, 0.3, count)
    size = np.array([best.length_mm, best.width_mm]) + random.normal(0, 1, (count, 2)) * reach
    origin = np.array(best.origin) + random.normal(0, 1, (count, 2)) * reach
    unit = np.array([(0, 0), (1, 0), (1, 1), (0, 1)])[None] * size[:, None, :]
    c, s = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    turn = np.stack([np.stack([c, s], 1), np.stack([-s, c], 1)], 1)
    shapes = shapely.polygons(unit @ turn + origin[:, None, :])
    inside = shapely.covers(panel, shapes)
    return float(shapely.area(shapes[inside]).max(initial=0.0))


def test_a_slip_of_some_millimetres_shows_in_the_misfit() -> None:
    """One diagonal read 40 mm long: the six figures cannot all be kept."""
    assert skew_of(PanelMeasures(2200, 320, 2200, 320, 2263, 2223)).misfit_mm > 5


@pytest.mark.parametrize(
    "upper", [[(1010, 300), (10, 300)], [(990, 310), (-20, 290)], [(1000, 300), (0, 320)]]
)
def test_lean_shift_and_tapers_follow_from_the_corners(upper: list[tuple[float, float]]) -> None:
    """The upper side's middle against the lower one's, over the mean height (plane geometry)."""
    corners = np.array([(0, 0), (1000, 0), *upper], float)
    skew = skew_of(measured(corners))
    assert np.allclose(skew.corners, corners, atol=1e-5)
    assert skew.misfit_mm == pytest.approx(0, abs=1e-6)
    shift = (upper[0][0] + upper[1][0]) / 2 - 500
    height = (upper[0][1] + upper[1][1]) / 2
    assert skew.end_shift_mm == pytest.approx(shift, abs=1e-5)
    assert skew.skew_deg == pytest.approx(math.degrees(math.atan2(shift, height)), abs=1e-6)
    inner = []
    for k in range(4):
        back, ahead = corners[k - 1] - corners[k], corners[(k + 1) % 4] - corners[k]
        cosine = back @ ahead / np.hypot(*back) / np.hypot(*ahead)
        inner.append(math.degrees(math.acos(cosine)))
    assert skew.corner_angles_deg == pytest.approx(inner, abs=1e-6)
    assert skew.out_of_square_deg == pytest.approx(max(abs(a - 90) for a in inner), abs=1e-6)


@pytest.mark.parametrize(("slip", "told"), [(20.0, False), (160.0, False), (200.0, True)])
def test_a_slip_of_over_2_percent_of_the_longest_is_no_panel(slip: float, told: bool) -> None:
    """One diagonal of 2223 mm read wrong: spread over six distances it counts for a quarter."""
    right = math.hypot(2200, 320)
    figures = PanelMeasures(2200, 320, 2200, 320, right + slip, right)
    if told:
        with pytest.raises(InputError, match="contradict"):
            skew_of(figures)
    else:
        assert 0 < skew_of(figures).misfit_mm < 0.02 * right
