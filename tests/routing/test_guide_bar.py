"""A guide bar always rides on a sewn line, and the bulk stays outside the throat."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from quiltpath.patterns import Lines, draw, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import Runs, policy_named, route
from quiltpath.routing.guide_bar import (
    ParallelRows,
    bar_steps,
    check_order,
    parallel_rows,
    throat_side,
)
from tests.patterns.runners import layer, plain, sashed
from tests.stitching.sewing import runs_of

RUNNER = plain(900, 400)


def family(*row_mm: float, runner: tuple[float, float] = (0.0, 400.0)) -> ParallelRows:
    """Lengthwise rows; their normal points down, so places count from the upper edge."""
    members = tuple((number,) for number in range(len(row_mm)))
    return ParallelRows(0, "runner", 0.0, np.array(row_mm), runner, members)


def possible(rows: ParallelRows, order: tuple[int, ...], forwards: tuple[bool, ...]) -> bool:
    """The rules themselves: away from the throat lies a sewn neighbour, and most of the runner.

    The needle travels towards the person, whose right hand is then on the left-hand side of its
    way: for a row sewn in the direction (1, 0) that is the side of greater y, which is the side of
    the lesser place (places count along the normal (0, -1)).
    """
    low, high = rows.runner_mm
    sewn: set[int] = set()
    for row, ahead in zip(order, forwards, strict=True):
        throat = rows.row_mm[row] - low if ahead else high - rows.row_mm[row]
        if throat > (high - low) / 2 + 1e-6:
            return False
        outer = row + 1 if ahead else row - 1
        if sewn and outer not in sewn:
            return False
        sewn.add(row)
    return True


def turns(forwards: tuple[bool, ...]) -> int:
    return sum(a != b for a, b in itertools.pairwise(forwards))


@pytest.mark.parametrize(
    "row_mm",
    [
        (100, 150, 200, 250, 300),
        (60, 130, 210, 280),
        (190, 210),
        (30, 60, 90),  # a block near one edge of the runner
        (320, 340, 370, 390),
        (200,),
    ],
)
def test_the_plan_keeps_the_rules_with_the_fewest_turns(row_mm: tuple[float, ...]) -> None:
    """Brute force over every order and every direction of up to five rows."""
    rows = family(*row_mm)
    steps = bar_steps(rows)
    order, forwards = zip(*((step.row, step.forwards) for step in steps), strict=True)
    assert sorted(order) == list(range(len(row_mm)))
    assert possible(rows, order, forwards)
    fewest = min(
        turns(ways)
        for tried in itertools.permutations(range(len(row_mm)))
        for ways in itertools.product((False, True), repeat=len(row_mm))
        if possible(rows, tried, ways)
    )
    assert turns(forwards) == sum(step.turn for step in steps) == fewest


def test_the_bar_is_set_to_the_distance_of_the_row_it_rides_on() -> None:
    rows = family(100, 150, 200, 270, 330)
    settings = {step.row: (step.follows, step.setting_mm) for step in bar_steps(rows)}
    assert settings == {2: (None, None), 3: (2, 70.0), 4: (3, 60.0), 1: (2, 50.0), 0: (1, 50.0)}


@pytest.mark.parametrize(
    "lined", [layer("straight", spacing=25), layer("grid", angles=(30, 105), spacing=30)]
)
def test_a_walking_foot_s_sewing_order_suits_the_bar(lined) -> None:
    """The order on the guide is found by other code, which does not know of the bar."""
    lines = draw(RUNNER, [lined])
    runs = route(lines, policy_named("walking-foot"), RUNNER.outline, RUNNER.margin_mm)
    for found in parallel_rows(lines, [0], RUNNER.outline):
        told = check_order(found, runs)
        assert told.following == told.rows - 1 and told.bulk_out == told.rows


def test_there_and_back_does_not_suit_the_bar() -> None:
    lines = draw(RUNNER, [layer("straight", spacing=25)])
    policy = policy_named("walking-foot", {"direction": "there-and-back"})
    (found,) = parallel_rows(lines, [0], RUNNER.outline)
    told = check_order(found, route(lines, policy, RUNNER.outline, RUNNER.margin_mm))
    assert told.bulk_out < told.rows


def test_families_hold_every_straight_line_once() -> None:
    runner = sashed()
    lines = draw(runner, [layer("grid", angles=(45, -45), spacing=30, region="blocks")])
    found = parallel_rows(lines, [0], runner.outline)
    assert {(one.place, one.angle_deg) for one in found} == {
        (place, angle) for place in ("A1", "B1") for angle in (45.0, 135.0)
    }
    members = sorted(line for one in found for row in one.members for line in row)
    assert members == list(range(len(lines)))
    for one in found:
        middles = shapely.get_coordinates(
            shapely.centroid(lines.geometry[[row[0] for row in one.members]])
        )
        assert np.allclose(middles @ [one.along[1], -one.along[0]], one.row_mm)


def test_rows_are_placed_along_the_normal_with_their_lines_in_order() -> None:
    """Two lengthwise rows, one in two parts, and a slanting one, drawn either way; their normal
    points down, so the upper row comes first and the runner reaches from -400 to 0."""
    shapes = [
        [(500, 100), (800, 100)], [(300, 300), (0, 300)], [(300, 100), (0, 100.01)],
        [(0, 0), (100, 100)],
    ]  # fmt: skip
    lines = layer_lines([LineString(shape) for shape in shapes], name="fill")
    found = {one.angle_deg: one for one in parallel_rows(lines, [0], RUNNER.outline)}
    level = found[0.0]
    assert level.row_mm == pytest.approx([-300, -100], abs=0.01)
    assert level.members[0] == (1,)
    assert set(found) >= {0.0, 45.0}
    assert found[45.0].runner_mm == pytest.approx((-400 / np.sqrt(2), 900 / np.sqrt(2)))
    assert level.runner_mm == pytest.approx((-400, 0))
    assert parallel_rows(lines, [1], RUNNER.outline) == ()


def test_rows_a_hair_apart_are_one_row() -> None:
    """Needles cannot be held to a twentieth of a millimetre."""
    shapes = [[(0, y), (900, y)] for y in (100, 100.04, 200, 200.06)]
    lines = layer_lines([LineString(shape) for shape in shapes], name="fill")
    (found,) = parallel_rows(lines, [0], RUNNER.outline)
    assert [len(row) for row in found.members] == [1, 1, 2]


def test_the_throat_holds_what_lies_on_the_left_of_the_way() -> None:
    rows = family(100, 150, 300)
    assert [rows.throat_mm(row, True) for row in range(3)] == [100, 150, 300]
    assert [rows.throat_mm(row, False) for row in range(3)] == [300, 250, 100]
    assert rows.middle_row == 1


def test_families_come_by_layer_then_region_then_slope() -> None:
    """Lines of two slopes in two regions, in mixed order: each family once, and whole."""

    def crossed(region: str, low: float) -> list[Lines]:
        level = [LineString([(0, low + y), (200, low + y)]) for y in (0, 20, 40)]
        steep = [LineString([(x, low), (x + 50, low + 50)]) for x in (0, 30)]
        return [layer_lines(steep, name=region), layer_lines(level, name=region)]

    joined = join([*crossed("B1", 100), *crossed("A1", 200)])
    lines = replace(joined, layer=np.zeros_like(joined.layer))
    found = parallel_rows(lines, [0], RUNNER.outline)
    assert [(one.place, one.angle_deg) for one in found] == [
        ("A1", 0.0), ("A1", 45.0), ("B1", 0.0), ("B1", 45.0),
    ]  # fmt: skip
    assert [one.members for one in found] == [
        ((9,), (8,), (7,)),
        ((5,), (6,)),
        ((4,), (3,), (2,)),
        ((0,), (1,)),
    ]
    two = np.array([1] * 2 + [0] * 8, dtype=np.int32)
    found = parallel_rows(replace(lines, layer=two), [0, 1], RUNNER.outline)
    assert [(one.layer, one.place, one.angle_deg) for one in found] == [
        (0, "A1", 0.0), (0, "A1", 45.0), (0, "B1", 0.0), (1, "B1", 45.0),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("rise", "angle"), [(0.0, 0.0), (0.001, 0.0), (-0.001, 0.0), (0.02, 0.001), (-0.02, 179.999)]
)
def test_slopes_are_told_apart_to_a_thousandth_of_a_degree(rise: float, angle: float) -> None:
    """A thousandth of a degree is 0.0157 mm over 900 mm; 180 degrees are level again."""
    lines = layer_lines([LineString([(0, 100), (900, 100 + rise)])], name="fill")
    (found,) = parallel_rows(lines, [0], RUNNER.outline)
    assert found.angle_deg == pytest.approx(angle, abs=1e-9)


def test_lines_with_a_vertex_between_their_ends_are_no_rows() -> None:
    lines = layer_lines([LineString([(0, 100), (400, 100), (900, 100)])], name="fill")
    assert parallel_rows(lines, [0], RUNNER.outline) == ()


@pytest.mark.parametrize(
    ("row_mm", "order", "forwards"),
    [
        # The middle row lies on the middle: it is sewn with the rows beyond it.
        ((100, 200, 300), [1, 2, 0], [False, False, True]),
        ((100, 199.96, 300), [1, 2, 0], [False, False, True]),
        ((100, 199.9, 300), [1, 0, 2], [True, True, False]),
        ((100, 210, 300), [1, 2, 0], [False, False, True]),
        ((240, 300), [0, 1], [False, False]),
        ((100, 160), [1, 0], [True, True]),
    ],
)
def test_rows_are_sewn_from_the_middle_with_the_lesser_side_in_the_throat(
    row_mm: tuple[float, ...], order: list[int], forwards: list[bool]
) -> None:
    """The runner reaches from 0 to 400. A row beyond the middle, in the sense of the normal, is
    sewn backwards, so that what lies further on is in the throat."""
    steps = bar_steps(family(*row_mm))
    assert [step.row for step in steps] == order
    assert [step.forwards for step in steps] == forwards
    turned = [False, *(a != b for a, b in itertools.pairwise(forwards))]
    assert [step.turn for step in steps] == turned
    assert [throat_side(step.forwards) for step in steps] == [
        -1.0 if ahead else 1.0 for ahead in forwards
    ]


def sewn_rows(*rows: tuple[float, bool]) -> Runs:
    """Runs along level lines at these heights, to the right or to the left, in this order."""
    paths = [[(0, y), (900, y)] if ahead else [(900, y), (0, y)] for y, ahead in rows]
    runs = runs_of(*paths)
    line = {y: number for number, y in enumerate(sorted(y for y, _ in rows))}
    return replace(runs, piece_line=np.array([line[y] for y, _ in rows], dtype=np.int32))


@pytest.mark.parametrize(
    ("rows", "following", "bulk_out"),
    [
        # From the middle up, to the right (the throat holds what lies above), then down, back.
        ([(200, True), (300, True), (100, False)], 2, 3),
        ([(200, True), (300, False), (100, False)], 1, 2),
        ([(200, True), (300, True), (100, True)], 1, 2),
        ([(100, True), (200, True), (300, True)], 2, 2),
        ([(300, True), (200, True), (100, True)], 0, 2),
        ([(100, False), (300, True), (200, False)], 1, 3),
    ],
)
def test_an_order_is_held_against_the_bar_row_by_row(
    rows: list[tuple[float, bool]], following: int, bulk_out: int
) -> None:
    """Counted by hand: rows with a sewn neighbour below them when sewn to the right, above them
    when sewn to the left; and rows with no more than 200 mm of the runner's 400 above, or below."""
    heights = sorted(y for y, _ in rows)
    lines = layer_lines([LineString([(0, y), (900, y)]) for y in heights], name="fill")
    (found,) = parallel_rows(lines, [0], RUNNER.outline)
    told = check_order(found, sewn_rows(*rows))
    assert (told.rows, told.following, told.bulk_out) == (3, following, bulk_out)
