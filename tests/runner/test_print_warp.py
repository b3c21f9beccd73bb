"""A print that does not lie square: from a tape measure's figures to the place of every line."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString

from quiltpath.errors import InputError
from quiltpath.project import parse
from quiltpath.runner import build
from quiltpath.runner.print_warp import PrintWarp, from_measures

L, W = 2200.0, 320.0


def place(warp: PrintWarp, x: float, y: float) -> np.ndarray:
    return warp.moved(np.array([[x, y]]))[0]


def test_unequal_diagonals_give_the_lean_and_the_end_shift() -> None:
    """2200 x 320 mm with diagonals of 2228 and 2218 mm leans by 0.9 degrees, 5 mm at the end.

    By the law of cosines: p^2 - q^2 = 4 a b sin(lean).
    """
    warp = from_measures(L, W, diagonals=(2228, 2218))
    assert warp.skew_deg == pytest.approx(0.9, abs=0.05)
    shift = place(warp, 0, W)[0] - place(warp, 0, 0)[0]
    assert shift == pytest.approx(5, abs=0.1)


@given(
    lengths=st.tuples(*[st.floats(2190, 2210)] * 3),
    widths=st.tuples(*[st.floats(314, 326)] * 3),
    bow=st.floats(-8, 8),
)
def test_the_measures_are_found_again_on_the_warped_print(
    lengths: tuple[float, ...], widths: tuple[float, ...], bow: float
) -> None:
    warp = from_measures(L, W, lengths=lengths, widths=widths, bow=bow)
    for y, length in zip((0, W / 2, W), lengths, strict=True):
        assert math.dist(place(warp, 0, y), place(warp, L, y)) == pytest.approx(length, abs=0.1)
    for x, width in zip((0, L / 2, L), widths, strict=True):
        ends = place(warp, x, 0), place(warp, x, W)
        assert ends[1][1] - ends[0][1] == pytest.approx(width, abs=1e-6)
    ends = place(warp, L / 2, 0), place(warp, L / 2, W)
    middle = place(warp, L / 2, W / 2)[0]
    assert middle - (ends[0][0] + ends[1][0]) / 2 == pytest.approx(bow, abs=1e-6)


def test_a_print_that_lies_even_moves_nothing() -> None:
    warp = from_measures(L, W)
    points = np.random.default_rng(1).uniform([-50, -50], [L + 50, W + 50], (200, 2))
    assert np.allclose(warp.moved(points), points)
    assert warp.largest_shift_mm == pytest.approx(0, abs=1e-9)
    assert warp.skew_deg == pytest.approx(0, abs=1e-9)


def test_the_map_meets_every_measured_crossing_and_goes_on_beyond() -> None:
    at = np.array([[[0.0, 0], [101, 1]], [[2, 50], [104, 52]]])
    warp = PrintWarp(np.array([0.0, 100]), np.array([0.0, 50]), at)
    corners = np.array([[0.0, 0], [100, 0], [0, 50], [100, 50]])
    assert np.allclose(warp.moved(corners), at.reshape(-1, 2))
    assert np.allclose(place(warp, 50, 0), [50.5, 0.5])  # halfway between its neighbours
    assert np.allclose(place(warp, 200, 0), [202, 2])  # as far again


def test_diagonals_that_no_runner_of_these_sides_has_are_refused() -> None:
    with pytest.raises(ValueError, match="measure them again"):
        from_measures(L, W, diagonals=(2400, 2100))


def runner_of(more: str):  # type: ignore[no-untyped-def]
    return build(
        parse(f"""units = "mm"
[runner]
length = 1000
width = 300
[grid]
along = 3
across = 1
sashing = 50
outer_sashing = 25
[print]
{more}""")
    )


def test_blocks_strips_and_printed_lines_lie_where_the_print_lies() -> None:
    runner = runner_of("lengths = [1000, 1000, 1000]\nwidths = [300, 300, 300]\nbow = 6")
    assert runner.even is not None
    even, bowed = runner.even.blocks[1].shape, runner.blocks[1].shape
    assert bowed.area == pytest.approx(even.area, rel=1e-3)
    assert bowed.bounds[2] - even.bounds[2] == pytest.approx(6, abs=0.1)
    assert runner.outline.equals(runner.even.outline)
    upright = [line for line in runner.printed if line.bounds[2] - line.bounds[0] < 20]
    assert all(isinstance(line, LineString) for line in runner.printed)
    assert all(line.length > 300 for line in upright)


def test_printed_lines_that_ran_to_the_edge_still_do() -> None:
    runner = runner_of("bow = 6")
    lengthwise = [line for line in runner.printed if line.bounds[2] - line.bounds[0] > 500]
    assert len(lengthwise) == 2
    for line in lengthwise:
        assert line.bounds[0] == pytest.approx(0, abs=1e-6)
        assert line.bounds[2] == pytest.approx(1000, abs=1e-6)


def test_measured_crossings_count_like_the_printed_lines() -> None:
    with pytest.raises(InputError, match="2 lengthwise and 6 crosswise lines"):
        runner_of("points = [[[0, 0], [1, 0]], [[0, 1], [1, 1]]]")


def test_measured_crossings_move_the_printed_lines_onto_themselves() -> None:
    even = runner_of("bow = 1").even
    assert even is not None
    bounds = shapely.bounds(np.array(even.printed))
    x = np.unique(np.round(bounds[bounds[:, 0] == bounds[:, 2], 0], 6))
    rows = [[[round(float(v + 0.02 * y), 3), y + 1] for v in x] for y in (25, 275)]
    runner = runner_of(f"points = {rows}")
    whole = shapely.union_all(np.array(runner.printed))
    crossings = shapely.points(np.array(rows).reshape(-1, 2))
    assert shapely.distance(crossings, whole).max() < 0.01


@pytest.mark.parametrize(
    ("more", "fault"),
    [
        ("", "nothing is measured"),
        ("bow = 3\npoints = [[[0, 0], [1, 0]], [[0, 1], [1, 1]]]", "both given"),
        ("points = [[[0, 0], [1, 0]], [[0, 1]]]", "not all of one length"),
        ("diagonals = [1300, 1000]", "measure them again"),
        ("points = [[[0, 0]]]", "two or more"),
    ],
)
def test_wrong_measures_are_told_in_one_line(more: str, fault: str) -> None:
    with pytest.raises(InputError, match=fault):
        runner_of(more)
