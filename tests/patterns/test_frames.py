"""The rectangle that a pattern fills: which way it lies, its cells, and whole repeats in it."""

from __future__ import annotations

import numpy as np
import pytest
from shapely.geometry import box

from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.frame import Frame, Tiling, fit_figures, frame_of, repeats
from quiltpath.schema import Spacing


def frame(*bounds: float, inset: float = 0.0, turned: bool = False) -> Frame:
    found = frame_of(Patch("A1", box(*bounds)), inset, turned)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("bounds", "turned", "length", "width", "upright"),
    [
        ((10, 20, 110, 70), False, 90, 40, False),
        ((10, 20, 60, 120), False, 90, 40, True),
        ((10, 20, 110, 70), True, 40, 90, True),
        ((10, 20, 60, 120), True, 40, 90, False),
        ((10, 20, 110, 120), False, 90, 90, False),
    ],
)
def test_rows_run_along_the_longer_side_unless_turned(
    bounds: tuple[float, ...], turned: bool, length: float, width: float, upright: bool
) -> None:
    """5 mm are kept free on each side; a square counts as lying."""
    found = frame(*bounds, inset=5, turned=turned)
    assert (found.length, found.width, found.upright) == (length, width, upright)
    corners = np.array([(0.0, 0), (length, 0), (length, width), (0, width)])
    placed = found.placed(corners)
    low, high = np.array(bounds[:2]) + 5, np.array(bounds[2:]) - 5
    assert (placed.min(axis=0) == low).all() and (placed.max(axis=0) == high).all()
    along = placed[1] - placed[0]
    assert along.tolist() == ([0, length] if upright else [length, 0])
    cross = along[0] * (placed[3] - placed[0])[1] - along[1] * (placed[3] - placed[0])[0]
    assert cross > 0, "turned, never mirrored"


@pytest.mark.parametrize(("side", "room"), [(11.0, False), (11.1, True)])
def test_less_than_a_millimetre_between_the_insets_is_no_room(side: float, room: bool) -> None:
    for shape in (box(0, 0, 90, side), box(0, 0, side, 90)):
        assert (frame_of(Patch("A1", shape), 5, False) is not None) == room


@pytest.mark.parametrize("upright", [False, True])
@pytest.mark.parametrize(
    ("length", "apart", "count"),
    [(149, 0, 1), (150, 0, 2), (249, 0, 2), (251, 0, 3), (400, 0, 4), (430, 10, 4), (149, 10, 1)],
)
def test_a_long_frame_parts_into_near_squares(
    length: float, apart: float, count: int, upright: bool
) -> None:
    """100 mm wide: half as long again makes two; so many times 100 and what is between fit."""
    size = (100, length) if upright else (length, 100)
    cells = frame(30, 40, 30 + size[0], 40 + size[1]).cells(apart)
    assert len(cells) == count
    step = (length + apart) / count
    for number, cell in enumerate(cells):
        assert (cell.length, cell.width) == pytest.approx((step - apart, 100))
        placed = cell.placed(np.array([(0.0, 0), (cell.length, cell.width)]))
        begin = number * step
        low = (30, 40 + begin) if upright else (30 + begin, 40)
        assert placed.min(axis=0) == pytest.approx(low)
        ends = (100, step - apart) if upright else (step - apart, 100)
        assert np.ptp(placed, axis=0) == pytest.approx(ends)


def test_a_frame_by_itself_lies_at_the_origin_along_the_runner() -> None:
    points = np.array([(1.0, 2.0), (3.0, 4.0)])
    assert Frame(9.0, 5.0).placed(points).tolist() == points.tolist()


def test_a_ribbon_parts_into_500_at_most() -> None:
    assert len(frame(0, 0, 100_000, 10).cells()) == 500


@pytest.mark.parametrize(
    ("size", "about", "count", "each"),
    [
        (100, True, 10, 100),
        (105, True, 10, 100),
        (95, True, 11, 1000 / 11),
        (2500, True, 1, 1000),
        (100, False, 10, 100),
        (101, False, 9, 101),
        (2500, False, 1, 2500),
    ],
)
def test_whole_repeats_fill_a_length_or_fit_in_it(
    size: float, about: bool, count: int, each: float
) -> None:
    assert repeats(Spacing(mm=size, about=about), 1000) == (count, pytest.approx(each))


@pytest.mark.parametrize("odd_columns", [False, True])
@pytest.mark.parametrize("odd_rows", [False, True])
@pytest.mark.parametrize("size", [20.0, 25.0, 33.0, 48.0])
def test_figures_of_one_size_are_as_many_as_go_in_and_centred(
    size: float, odd_rows: bool, odd_columns: bool
) -> None:
    """n columns are n + 1/2 units long, n rows 3/4 n + 1/4 wide: counted upwards."""
    tiling = Tiling(1.0, 0.75, 0.5, 0.25, odd_rows=odd_rows, odd_columns=odd_columns)
    fit = fit_figures(Frame(410, 190), Spacing(mm=2 * size), 2.0, tiling)
    columns = [n for n in range(1, 60) if (n + 0.5) * size <= 410 and (n % 2 or not odd_columns)]
    rows = [n for n in range(1, 60) if (0.75 * n + 0.25) * size <= 190 and (n % 2 or not odd_rows)]
    assert (fit.columns, fit.rows, fit.unit) == (columns[-1], rows[-1], size)
    assert fit.left == pytest.approx((410 - (columns[-1] + 0.5) * size) / 2)
    assert fit.below == pytest.approx((190 - (0.75 * rows[-1] + 0.25) * size) / 2)


@pytest.mark.parametrize("seed", range(30))
def test_figures_of_about_a_size_cost_least_in_bare_border_and_change(seed: int) -> None:
    """Every number of columns from 0.7 to 1.4 of the wish is tried: twice the bare shares of both
    sides, and the change of size as a logarithm, are to be least together."""
    rng = np.random.default_rng(seed)
    length, width = rng.uniform(150, 600), rng.uniform(100, 300)
    wish = float(rng.uniform(15, 60))
    frame = Frame(length, width)
    fit = fit_figures(frame, Spacing(mm=wish, about=True), 1.0, Tiling(1.0, 1.0))
    found = []
    for columns in range(1, 80):
        if not 0.7 * length / wish - 1 < columns < 1.4 * length / wish + 1:
            continue
        unit = min(length / columns, width)
        rows = int(width / unit + 1e-9)
        bare = (length - columns * unit) / length + (width - rows * unit) / width
        found.append((abs(np.log(unit / wish)) + 2 * bare, columns, rows, unit))
    _, columns, rows, unit = min(found)
    assert (fit.columns, fit.rows, fit.unit) == (columns, rows, pytest.approx(unit))
    assert (fit.left, fit.below) == pytest.approx((0, (width - rows * unit) / 2), abs=1e-9)


@pytest.mark.parametrize(
    ("bounds", "upright"),
    [((10, 20, 110, 125), True), ((10, 20, 115, 120), False), ((0, 0, 100, 100 + 5e-8), False)],
)
def test_a_little_longer_up_than_along_is_upright(bounds: tuple[float, ...], upright: bool) -> None:
    """Five hundredths more are enough; rounding of the last digit is not."""
    assert frame(*bounds).upright == upright


@pytest.mark.parametrize(("length", "count"), [(125, 2), (126, 2), (135, 3), (45, 1), (70, 2)])
def test_no_cell_is_shorter_than_half_its_width(length: float, count: int) -> None:
    """20 mm wide and 50 mm apart: three cells of 10 mm and two spaces take 130 mm. Near squares
    alone would be three from 125 mm on."""
    cells = frame(0, 0, length, 20).cells(50)
    assert len(cells) == count
    assert cells[0].length == pytest.approx((length - 50 * (count - 1)) / count)
    assert count == 1 or cells[0].length >= 10


TILINGS = {
    "shells": (2.0, Tiling(column=2.0, row=1.0, odd_rows=True)),
    "petals": (1.0, Tiling(1.0, 1.0, 0.41, 0.41)),
    "circles": (2.0, Tiling(1.0, 0.87, extra_length=1.0, extra_width=1.13)),
    "squares": (1.0, Tiling(2 / 3, 2 / 3, 1 / 3, 1 / 3, 3, odd_rows=True, odd_columns=True)),
    "baskets": (1.0, Tiling(1.0, 1.0, odd_columns=True)),
}


@pytest.mark.parametrize("name", TILINGS)
@pytest.mark.parametrize("seed", range(4))
def test_every_kind_of_figure_is_fitted_at_the_least_cost(name: str, seed: int) -> None:
    """Counted anew for every number of columns from 0.7 to 1.4 of the wish: the unit that fills
    the length, or the width with the fewest rows; as many rows as go in, an odd number where
    asked; twice the bare shares of both sides and the logarithm of the change together."""
    rng = np.random.default_rng(seed)
    length, width = rng.uniform(300, 900), rng.uniform(60, 300)
    units, tiling = TILINGS[name]
    size = float(rng.uniform(25, 110))
    fit = fit_figures(Frame(length, width), Spacing(mm=size, about=True), units, tiling)
    wish = size / units
    ideal = max(1.0, (length / wish - tiling.extra_length) / tiling.column)
    found = []
    for columns in range(1, 200):
        if not int(0.7 * ideal) <= columns < 1.4 * ideal + 2 or columns % 2 < tiling.odd_columns:
            continue
        unit = min(
            length / (columns * tiling.column + tiling.extra_length),
            width / (tiling.fewest_rows * tiling.row + tiling.extra_width),
        )
        rows = [
            n
            for n in range(1, 200)
            if (n * tiling.row + tiling.extra_width) * unit <= width * (1 + 1e-9)
            and n % 2 >= tiling.odd_rows
        ]
        if not rows:
            rows = [1]
        left = (length - (columns * tiling.column + tiling.extra_length) * unit) / 2
        below = (width - (rows[-1] * tiling.row + tiling.extra_width) * unit) / 2
        bare = 2 * (left / length + below / width)
        found.append((abs(np.log(unit / wish)) + 2 * bare, columns, rows[-1], unit, left, below))
    _, columns, number, unit, left, below = min(found)
    assert (fit.columns, fit.rows) == (columns, number)
    assert (fit.unit, fit.left, fit.below) == pytest.approx((unit, left, below), abs=1e-9)


def test_one_figure_is_fitted_where_not_even_that_one_has_room() -> None:
    """It stands out alike on both sides, and is cut there."""
    fit = fit_figures(Frame(50, 30), Spacing(mm=80), 1.0, Tiling(1.0, 1.0, odd_rows=True))
    assert (fit.columns, fit.rows, fit.unit, fit.left, fit.below) == (1, 1, 80, -15, -25)
