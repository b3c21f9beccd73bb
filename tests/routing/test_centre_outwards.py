"""From the centre outwards, by hand: which rows belong together, which half is sewn first."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from shapely.geometry import LineString

from quiltpath.routing.centre_outwards import centre_outwards

Path = Sequence[tuple[float, float]]
CENTRE = np.array([150.0, 60.0])


def sewn(
    paths: Sequence[Path],
    one_way: bool = True,
    onward: tuple[float, float] = (150.0, 60.0),
    layer: Sequence[int] | None = None,
) -> list[tuple[int, bool]]:
    """Each path's number and whether it is sewn backwards, in sewing order.

    The runner is 300 by 120 mm; ``onward`` leads from the corner where sewing starts.
    """
    lines = [LineString(path) for path in paths]
    order = centre_outwards(
        np.array([[path[0], path[-1]] for path in paths], dtype=float),
        np.array([line.is_ring for line in lines]),
        np.array([line.centroid.coords[0] for line in lines]),
        np.array([line.length for line in lines]),
        np.array([0] * len(paths) if layer is None else layer, dtype=np.int32),
        CENTRE,
        np.array(onward),
        one_way,
    )
    return [(entry >> 1, bool(entry & 1)) for entry in order.tolist()]


def row(y: float, angle_deg: float = 0.0) -> Path:
    """200 mm at that height in the middle of the runner, drawn from the left."""
    turn = math.radians(angle_deg)
    x, rise = 100 * math.cos(turn), 100 * math.sin(turn)
    return [(150 - x, y - rise), (150 + x, y + rise)]


def ring(x: float, y: float = 60.0) -> Path:
    return [(x - 5, y - 5), (x + 5, y - 5), (x + 5, y + 5), (x - 5, y + 5), (x - 5, y - 5)]


def numbers(order: list[tuple[int, bool]]) -> list[int]:
    return [number for number, _ in order]


@pytest.mark.parametrize("angle", [-0.4, 0.0, 0.9])
def test_rows_within_a_degree_are_parallel(angle: float) -> None:
    """Also where the slope passes from 180 degrees to nought: sewn by their distance."""
    assert numbers(sewn([row(90), row(75, angle), row(60)])) == [2, 1, 0]
    assert numbers(sewn([row(90, angle), row(75), row(60)])) == [2, 1, 0]


@pytest.mark.parametrize("angle", [0.0, 45.0, 90.0, 135.0])
def test_it_is_all_the_same_from_which_end_a_row_was_drawn(angle: float) -> None:
    """The rows are sewn outwards, each half in one direction, however they were drawn."""
    drawn = [row(60, angle), row(80, angle), row(100, angle)]
    drawn = [
        [(x + step, y) for x, y in path] for step, path in zip((0, 20, 40), drawn, strict=True)
    ]
    order = sewn(drawn)
    turned_round = [path[::-1] if number == 1 else path for number, path in enumerate(drawn)]
    assert sewn(turned_round) == [(number, back != (number == 1)) for number, back in order]


@pytest.mark.parametrize("angle", [1.1, 30.0, 90.0, 178.0, 178.9])
def test_rows_at_another_angle_are_sewn_after_the_level_ones(angle: float) -> None:
    assert numbers(sewn([row(90), row(60, angle), row(75)])) == [2, 0, 1]


def test_families_are_sewn_in_the_order_of_their_slopes() -> None:
    assert numbers(sewn([row(60, 120), row(60, 45), ring(150), row(60, 0), row(60, 90)])) == [
        3,
        1,
        4,
        0,
        2,
    ]


def test_a_row_less_than_half_a_millimetre_off_the_centre_is_the_centre_line() -> None:
    """It is the first of the upper half, sewn to the right; further off it belongs to the lower."""
    assert sewn([row(90), row(59.6), row(30)]) == [(1, False), (0, False), (2, True)]
    assert sewn([row(90), row(59.4), row(30)]) == [(0, False), (1, True), (2, True)]


def test_lines_at_one_distance_on_one_side_are_one_row() -> None:
    """Two halves of a row, 0.4 mm out of line, are sewn one after the other, from the left; 0.6 mm
    apart they are two rows, the nearer first."""

    def halves(step: float) -> list[Path]:
        return [[(160, 80), (250, 80)], [(50, 80 + step), (140, 80 + step)]]

    assert numbers(sewn(halves(0.4))) == [1, 0]
    assert numbers(sewn(halves(0.6))) == [0, 1]
    assert numbers(sewn([[(x, 120 - y) for x, y in half] for half in halves(0.4)])) == [0, 1]


def test_sewing_from_the_opposite_corner_turns_everything_round() -> None:
    """From the upper right: the lower half first, to the left, then the upper one to the right."""
    rows = [row(90), row(60), row(30)]
    assert sewn(rows) == [(1, False), (0, False), (2, True)]
    assert sewn(rows, onward=(-150.0, -60.0)) == [(1, True), (2, True), (0, False)]
    assert sewn([path[::-1] for path in rows]) == [(1, True), (0, True), (2, False)]


def test_upright_rows_are_sewn_upwards_on_the_left_and_downwards_on_the_right() -> None:
    """Sewn away from the corner, so upwards first; the half on the left-hand side of that way."""
    upright: list[Path] = [[(x, 10), (x, 110)] for x in (50, 100, 150, 200, 250)]
    assert sewn(upright) == [(2, False), (1, False), (0, False), (3, True), (4, True)]


def test_there_and_back_begins_anew_in_each_family_and_each_layer() -> None:
    rows = [row(60), row(75), row(90)]
    upright: list[Path] = [[(x, 10), (x, 110)] for x in (150, 120, 90)]
    by_turns = [False, True, False]
    assert [back for _, back in sewn([*rows, *upright], one_way=False)] == 2 * by_turns
    order = sewn([*rows, *rows], one_way=False, layer=[1, 1, 1, 0, 0, 0])
    assert order == list(zip([3, 4, 5, 0, 1, 2], 2 * by_turns, strict=True))


def test_there_and_back_goes_on_by_turns_from_half_to_half() -> None:
    rows = [row(60), row(75), row(90), row(45), row(30)]
    assert sewn(rows, one_way=False) == list(enumerate([False, True, False, True, False]))


@pytest.mark.parametrize(("half_mm", "number"), [(61.0, 0), (59.0, 1)])
def test_a_line_bent_so_that_its_ends_lie_near_each_other_has_no_direction(
    half_mm: float, number: int
) -> None:
    """Up 100 mm and down 100 mm: with its ends 122 of 200 mm apart it is a level line, at 118 it
    wanders and is sewn after the level ones."""
    rise = math.sqrt(100**2 - half_mm**2)
    bent = [(150 - half_mm, 60.0), (150.0, 60.0 + rise), (150 + half_mm, 60.0)]
    level = row(60 - rise)
    assert numbers(sewn([bent, level])).index(0) == number


def test_rings_are_sewn_outwards_to_the_right_and_then_to_the_left() -> None:
    rings = [ring(x) for x in (90, 150, 200, 130, 170)]
    assert sewn(rings) == [(1, False), (4, False), (2, False), (3, False), (0, False)]


def test_rings_one_above_the_other_are_sewn_up_on_the_right_and_down_on_the_left() -> None:
    right, left = [ring(200, y) for y in (90, 30, 60)], [ring(100, y) for y in (90, 30, 60)]
    assert numbers(sewn([*right, *left])) == [1, 2, 0, 3, 5, 4]
    assert numbers(sewn([*right, *left], one_way=False)) == [1, 2, 0, 3, 5, 4]


def test_rings_are_sewn_by_their_distance_along_the_runner_whatever_their_height() -> None:
    assert numbers(sewn([ring(230, 30), ring(200, 100), ring(170, 60)])) == [2, 1, 0]
    assert numbers(sewn([ring(70, 100), ring(100, 30), ring(130, 60)])) == [2, 1, 0]


def test_layers_come_one_after_the_other_whatever_lies_in_them() -> None:
    assert numbers(sewn([row(60), ring(150), row(90)], layer=[1, 0, 0])) == [2, 1, 0]


def bowed(y: float, from_x: float = 50.0, to_x: float = 250.0) -> Path:
    """A stretch of a line that bows over 200 mm by 16 mm: up from the left, then down again."""
    x = np.linspace(from_x, to_x, 21)
    return list(zip(x.tolist(), (y + 16 * np.sin(np.pi * (x - 50) / 200)).tolist(), strict=True))


def test_what_a_motif_leaves_of_bowed_lines_is_sewn_beside_its_neighbours() -> None:
    """Five bowed rows 15 mm apart from the middle up, the third cut in the middle: its halves lean
    by 10 degrees to either side, and are sewn between the second and the fourth all the same."""
    whole = [bowed(50), bowed(65), bowed(95), bowed(110)]
    halves = [bowed(80, 50, 130), bowed(80, 170, 250)]
    order = numbers(sewn([*whole, *halves]))
    assert order[:2] == [0, 1]
    assert set(order[2:4]) == {4, 5}
    assert order[4:] == [2, 3]


def test_straight_lines_that_lean_a_little_stay_a_set_by_themselves() -> None:
    """Two rows and, at five degrees, two others: one set after the other."""
    order = numbers(sewn([row(60), row(70, 5), row(90), row(100, 5)]))
    assert order == [0, 2, 1, 3]
