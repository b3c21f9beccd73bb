"""Places of lines on an axis, by counting: anchors, repeats of gaps, both ends, and amounts."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, box

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Patch
from quiltpath.patterns.layer import check_amount, check_sum
from quiltpath.patterns.spacing import even_gap, even_number, line_positions
from quiltpath.patterns.straight import directions, extent, family
from quiltpath.patterns.strokes import Strokes, clip_strokes, join_strokes, strokes
from tests.patterns.runners import drawn, layer, levels, plain


def counted(low: float, high: float, gaps: list[float], start: float) -> list[float]:
    """Lines stepped off from ``start`` both ways, those strictly between the ends kept."""
    places, at, index = [], start, 0
    while at > low:
        index -= 1
        at -= gaps[index % len(gaps)]
    while at < high:
        if at > low:
            places.append(at)
        at += gaps[index % len(gaps)]
        index += 1
    return places


@pytest.mark.parametrize(
    ("gaps", "centre", "halfway"),
    [
        ([40.0], 0.0, 20.0),
        ([6.0, 34.0], 3.0, 23.0),  # halfway across the narrow gap, then across the wide one
        ([34.0, 6.0], 17.0, 37.0),
        ([10.0, 10.0, 50.0], 10.0, 45.0),  # the middle one of three lines, then the wide gap
        ([10.0, 20.0, 20.0, 10.0], 0.0, 30.0),
        ([5.0, 10.0, 20.0, 10.0], 2.5, 25.0),
        ([20.0, 10.0, 5.0, 10.0], 10.0, 32.5),
        ([10.0, 20.0, 30.0], 0.0, 5.0),  # no mirror anywhere: the first line, its first gap
    ],
)
@pytest.mark.parametrize("reach", [0.0, 33.0])
def test_a_repeat_of_gaps_is_centred_on_its_own_mirror(
    gaps: list[float], centre: float, halfway: float, reach: float
) -> None:
    """On an axis from -70 to 190, its middle at 60: the first line lies so much before it."""
    for anchor, axis in (("centre", centre), ("halfway", halfway)):
        found = line_positions(-70.0, 190.0, np.array(gaps), anchor, reach=reach)
        wanted = counted(-70.0 - reach, 190.0 + reach, gaps, 60.0 - axis)
        assert found == pytest.approx(np.array(wanted))
        if gaps != [10.0, 20.0, 30.0]:
            assert found + found[::-1] == pytest.approx(np.full(len(found), 120.0))


@pytest.mark.parametrize("gaps", [[25.0], [10.0, 30.0], [60.0, 5.0, 15.0]])
@pytest.mark.parametrize("anchor", [7.0, -500.0, 333.0, 25.0])
def test_a_position_is_that_of_one_line_of_the_repeat(gaps: list[float], anchor: float) -> None:
    found = line_positions(20.0, 220.0, np.array(gaps), anchor)
    assert found == pytest.approx(np.array(counted(20.0, 220.0, gaps, 20.0 + anchor)))


def test_lines_on_both_edges_are_drawn_where_the_edge_is_asked_for() -> None:
    """200 mm in eight gaps: nine lines from the edge, seven where one happens to lie on it."""
    edge = line_positions(20.0, 220.0, np.array([25.0]), "edge")
    assert edge == pytest.approx(20 + 25.0 * np.arange(9))
    assert line_positions(20.0, 220.0, np.array([25.0]), 0.0) == pytest.approx(edge[1:-1])
    beside = line_positions(20.0, 220.0, np.array([25.0]), 0.001)
    assert beside == pytest.approx(edge[:-1] + 0.001), "a thousandth inside is drawn"


@pytest.mark.parametrize(
    ("width", "wanted", "number"),
    [(320, 25, 13), (100, 40, 3), (100, 40.1, 2), (100, 66, 2), (100, 67, 1), (10, 400, 1)],
)
def test_even_division_takes_the_nearest_whole_number_and_one_at_least(
    width: float, wanted: float, number: int
) -> None:
    """320 / 25 = 12.8; 100 / 40 = 2.5 goes up, 100 / 40.1 down; 100 / 66 = 1.52."""
    assert even_number(width, wanted) == number
    assert even_gap(width, wanted) == pytest.approx(width / number)


def test_a_second_spacing_of_a_grid_may_be_a_repeat_of_gaps() -> None:
    """Gaps of the first family serve for the second, unless it has its own of either kind."""

    def upright(**keys: object) -> set[float]:
        lines = drawn(plain(600, 200), "grid", **keys).geometry
        at = np.sort([line.bounds[0] for line in lines if line.bounds[0] == line.bounds[2]])
        return set(np.round(np.diff(at), 6).tolist())

    assert upright(spacings=[10, 30]) == {10.0, 30.0}
    assert upright(spacings=[10, 30], spacings_2=[15, 45]) == {15.0, 45.0}
    assert upright(spacings=[10, 30], spacing_2=50) == {50.0}
    assert upright(spacing=40) == {40.0}


@pytest.mark.parametrize(
    ("angle", "along", "across"),
    [
        (0, (1, 0), (0, 1)),
        (180, (1, 0), (0, 1)),
        (90, (0, 1), (1, 0)),
        (-90, (0, 1), (1, 0)),
        (30, (math.sqrt(0.75), 0.5), (0.5, -math.sqrt(0.75))),
        (150, (-math.sqrt(0.75), 0.5), (0.5, math.sqrt(0.75))),
        (-30, (-math.sqrt(0.75), 0.5), (0.5, math.sqrt(0.75))),
        (210, (math.sqrt(0.75), 0.5), (0.5, -math.sqrt(0.75))),
    ],
)
def test_positions_count_to_the_right_or_upwards_between_lengthwise_lines(
    angle: float, along: tuple[float, float], across: tuple[float, float]
) -> None:
    found = directions(angle)
    assert found[0] == pytest.approx(np.array(along)) and found[1] == pytest.approx(
        np.array(across)
    )
    if angle % 90 == 0:
        assert (np.abs(found[0]) == np.abs(along)).all(), "exactly along the axis"


def test_the_extent_of_a_shape_is_told_along_any_direction() -> None:
    assert extent(box(10, 20, 40, 60), np.array([0.6, 0.8])) == pytest.approx((22.0, 72.0))
    assert extent(box(10, 20, 40, 60), np.array([0.6, -0.8])) == pytest.approx((-42.0, 8.0))


def test_slanting_lines_at_a_position_are_counted_from_the_leftmost_corner() -> None:
    """45 degrees over 300 x 100: across the lines the runner reaches from (0, 100) to (300, 0)."""
    lines = drawn(plain(300, 100), "straight", angle=45, spacing=500, anchor=100)
    (line,) = lines.geometry
    ends = np.array(line.coords)
    across = (ends @ [1, -1]) / math.sqrt(2)
    assert across == pytest.approx([100 - 100 / math.sqrt(2)] * 2)


def test_five_million_stitches_of_3_mm_are_let_pass_and_no_more() -> None:
    """15 km of line. Twice that at 2 mm wants 4 mm, a hundredth more and to a whole tenth."""
    check_amount(15_000_000.0, 1.0)
    check_sum(15_000_000.0)
    with pytest.raises(InputError, match="5,000,001 stitches") as error:
        check_amount(15_000_003.0, 1.0)
    assert error.value.key == "spacing"
    with pytest.raises(InputError, match="5,000,001 stitches, more than 5,000,000"):
        check_sum(15_000_003.0)
    with pytest.raises(InputError) as error:
        check_amount(30_000_000.0, 2.0, "size")
    assert error.value.key == "size" and error.value.fault.startswith("2 mm is so small")
    assert error.value.remedy.startswith("give 4.1 mm (")


def test_patches_that_pass_one_by_one_may_be_too_much_together() -> None:
    """Strips of 3 km of line each: five of them make 15 km, the most there may be."""
    strip = Patch("strip", box(0, 0, 30_000, 100))
    whole = layer("straight", spacing=1)
    assert len(family(whole, 0.0, [strip] * 5)) == 5 * 99
    with pytest.raises(InputError, match="1 mm is so small"):
        family(whole, 0.0, [strip] * 6)


def test_a_piece_shorter_than_one_stitch_is_not_sewn() -> None:
    """Stitches are 3 mm at the least (common practice)."""
    area = box(0, 0, 3, 10)
    kept = clip_strokes(strokes([LineString([(-5, 4), (9, 4)])], area, "cut"))
    assert [line.length for line in kept.geometry] == [3.0]
    assert len(clip_strokes(strokes([LineString([(-5, 4), (2.9, 4)])], area, "cut"))) == 0


def test_what_stands_out_is_cut_even_by_half_a_millimetre() -> None:
    area = box(0, 0, 50, 50)
    lines = [LineString([(10, y), (50.5, y)]) for y in (10, 20)]
    cut = clip_strokes(strokes([*lines, LineString([(10, 50), (40, 50)])], area, "row"))
    assert [line.bounds[2] for line in cut.geometry] == [50.0, 50.0, 40.0]
    assert list(cut.source) == ["row"] * 3
    assert len(join_strokes([])) == 0


def test_a_ring_that_is_cut_stays_whole_where_it_began() -> None:
    """A square begun in the middle of its lower side, the upper one cut off: one piece, a U."""
    ring = LineString([(20, 0), (40, 0), (40, 40), (0, 40), (0, 0), (20, 0)])
    whole = LineString([(5, 5), (35, 5), (35, 25), (5, 25), (5, 5)])
    cut = clip_strokes(strokes([ring, whole], box(-10, -10, 50, 30), "ring"))
    assert len(cut) == 2
    assert cut.geometry[0].length == pytest.approx(40 + 30 + 30)
    assert cut.geometry[1].equals_exact(whole)


def test_an_open_line_that_is_cut_is_not_put_together_again() -> None:
    """It goes out and comes back in at the same place: two ends to sew, in their own order."""
    line = LineString([(0, 10), (30, 10), (40, 5), (30, 0), (0, 0)])
    area = box(0, -5, 30, 15)
    cut = clip_strokes(Strokes(*(np.array([v], dtype=object) for v in (line, area, "hairpin"))))
    assert [shapely.get_coordinates(each).tolist() for each in cut.geometry] == [
        [[0, 10], [30, 10]],
        [[30, 0], [0, 0]],
    ]


def test_levels_of_a_closed_repeat_are_the_same_from_either_edge() -> None:
    """Three lines and a gap: 3 x 10 and 50 mm, mirrored about the middle line of three."""
    at = levels(drawn(plain(300, 200), "straight", spacings=[10, 10, 50]))
    assert at == pytest.approx([20, 30, 40, 90, 100, 110, 160, 170, 180])
