"""The fewest fields over a rectangle, against brute force and against arithmetic by hand."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.machine.rectangle_cover import Field, fewest_fields


def _brute_force(area: tuple[int, int], tile: tuple[int, int], turns: bool) -> int:
    """Fewest tiles that cover every unit cell, by trying all places for the first bare cell.

    Whole places are enough where all sizes are whole: a tile can slide until it meets an edge.
    """
    shapes = {tile, tile[::-1]} if turns else {tile}
    cells = {cell: bit for bit, cell in enumerate(product(range(area[0]), range(area[1])))}
    full = (1 << len(cells)) - 1
    covers: dict[int, set[int]] = {bit: set() for bit in cells.values()}
    for width, height in shapes:
        for x, y in product(range(1 - width, area[0]), range(1 - height, area[1])):
            places = [
                cells[(i, j)]
                for i, j in product(range(x, x + width), range(y, y + height))
                if (i, j) in cells
            ]
            mask = sum(1 << bit for bit in places)
            for bit in places:
                covers[bit].add(mask)

    def coverable(done: int, left: int) -> bool:
        if done == full:
            return True
        bare = bin(full & ~done).count("1")
        if left * tile[0] * tile[1] < bare:
            return False
        first = (~done & (done + 1)).bit_length() - 1
        return any(coverable(done | mask, left - 1) for mask in covers[first])

    return next(count for count in range(1, 99) if coverable(0, count))


@pytest.mark.parametrize(
    ("area", "tile"),
    [
        ((3, 3), (1, 2)),
        ((5, 5), (2, 3)),
        ((7, 3), (2, 3)),
        ((7, 4), (2, 3)),
        ((6, 5), (2, 4)),
        ((8, 3), (3, 2)),
        ((7, 5), (3, 4)),
        ((7, 5), (2, 3)),
        ((5, 4), (1, 3)),
        ((9, 2), (2, 5)),
    ],
)
@pytest.mark.parametrize("turns", [False, True])
def test_as_few_fields_as_brute_force_finds(
    area: tuple[int, int], tile: tuple[int, int], turns: bool
) -> None:
    found = fewest_fields((0, 0, *area), tile, 0.0, turns)
    assert len(found) == _brute_force(area, tile, turns)


@given(
    st.tuples(st.integers(1, 7), st.integers(1, 4)),
    st.tuples(st.integers(1, 4), st.integers(2, 4)),
    st.booleans(),
)
@settings(deadline=None, max_examples=60)
def test_as_few_fields_as_brute_force_finds_on_any_small_case(
    area: tuple[int, int], tile: tuple[int, int], turns: bool
) -> None:
    found = fewest_fields((0, 0, *area), tile, 0.0, turns)
    assert len(found) == _brute_force(area, tile, turns)


def test_a_runner_of_2200_by_320_takes_13_hoopings_of_350_by_190() -> None:
    """Common practice gives 13 for 350 x 190 mm usable; by hand, ceil((2200 - 10) / 180) = 13."""
    fields = fewest_fields((0, 0, 2200, 320), (190, 350), 10.0, False)
    assert len(fields) == 13


def test_turning_the_runner_saves_fields_where_it_does() -> None:
    """Upright 7 x 2 = 14; turned 5 x 3 = 15; a row of each, 7 + 5 = 12: worked by hand."""
    assert len(fewest_fields((0, 0, 1300, 480), (190, 290), 0.0, False)) == 14
    mixed = fewest_fields((0, 0, 1300, 480), (190, 290), 0.0, True)
    assert len(mixed) == 12
    assert sum(field.turned for field in mixed) == 5


sizes = st.floats(60.0, 400.0)


@given(st.floats(1.0, 2500.0), st.floats(1.0, 700.0), sizes, sizes, st.floats(0, 20), st.booleans())
@settings(deadline=None, max_examples=80)
def test_every_stitch_lies_whole_in_some_field(
    length: float, width: float, along: float, across: float, overlap: float, turns: bool
) -> None:
    """A stitch no longer than the overlap, wherever it lies, has both its holes in one field."""
    fields = fewest_fields((5, -7, 5 + length, -7 + width), (along, across), overlap, turns)
    for share_x, share_y in product((0.0, 0.21, 0.5, 0.77, 1.0), repeat=2):
        x = 5 + share_x * max(length - overlap, 0)
        y = -7 + share_y * max(width - overlap, 0)
        box = (x, y, x + min(overlap, length), y + min(overlap, width))
        assert any(_holds(field, box) for field in fields)


def _holds(field: Field, box: tuple[float, float, float, float]) -> bool:
    slack = 1e-4
    return (
        field.left <= box[0] + slack
        and field.low <= box[1] + slack
        and field.right >= box[2] - slack
        and field.high >= box[3] - slack
    )


@given(st.floats(1.0, 2500.0), st.floats(1.0, 700.0), sizes, sizes)
@settings(deadline=None, max_examples=50)
def test_turned_fields_have_their_sides_swapped(
    length: float, width: float, along: float, across: float
) -> None:
    for field in fewest_fields((0, 0, length, width), (along, across), 10.0, True):
        sides = (field.right - field.left, field.high - field.low)
        assert sides == pytest.approx((across, along) if field.turned else (along, across))


def test_a_design_that_fits_takes_one_field_about_its_middle() -> None:
    (field,) = fewest_fields((10, 20, 110, 80), (130, 180), 12.0, True)
    assert field.centre == pytest.approx((60, 50))


def test_an_overlap_as_large_as_the_field_is_refused() -> None:
    with pytest.raises(ValueError, match="overlap takes up the whole field"):
        fewest_fields((0, 0, 500, 500), (100, 100), 100.0, True)
