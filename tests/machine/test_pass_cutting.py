"""Lines parted between two passes of a frame: who sews which piece, on lines drawn by hand."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point

from quiltpath.machine.pass_bands import HidingGrade
from quiltpath.machine.pass_cutting import PassSplit, Pieces, part_at_pass_line

ZONE = (40.0, 60.0)


def pieces(*lines: object) -> Pieces:
    shapes = np.empty(len(lines), dtype=object)
    shapes[:] = [LineString(line) for line in lines]
    return Pieces(shapes, np.arange(len(lines), dtype=np.int32) + 10)


def cut(*lines: object, middle: float = 50.0, printed: tuple[LineString, ...] = ()) -> PassSplit:
    """The lines, named from 10 on, parted about the middle of a zone from 40 to 60."""
    return part_at_pass_line(pieces(*lines), ZONE, middle, printed)


def upright(x: float, low: float = 0, high: float = 100) -> list[tuple[float, float]]:
    return [(x, low), (x, high)]


def level(y: float, low: float = 0, high: float = 100) -> list[tuple[float, float]]:
    return [(low, y), (high, y)]


def sewn(part: Pieces) -> dict[int, float]:
    """Millimetres of each line."""
    total: dict[int, float] = {}
    for shape, origin in zip(part.shape, part.origin.tolist(), strict=True):
        total[origin] = round(total.get(origin, 0.0) + shape.length, 6)
    return total


def places(made: PassSplit) -> list[tuple[float, float]]:
    return sorted(each.at_mm for each in made.cuts)


def test_what_lies_beyond_the_zone_stays_whole_and_what_lies_in_it_goes_to_the_nearer_side() -> (
    None
):
    """Lines below, above, reaching into the zone from either side, and two inside it."""
    lines = [
        level(10),
        level(90),
        upright(5, 0, 55),
        upright(15, 45, 100),
        level(44, 30),
        level(56, 30),
    ]
    made = cut(*lines)
    assert made.cuts == ()
    assert sewn(made.below) == {10: 100, 12: 55, 14: 70}
    assert sewn(made.above) == {11: 100, 13: 55, 15: 70}


def test_lines_in_the_zone_that_touch_go_to_one_pass_by_their_mean_height() -> None:
    """A level line at 48 and an upright on it to 58: 10 mm at 53 against 40 mm at 48 is 49, which
    is below 50; with an upright of 40 mm slanted to 58 it is not."""
    low = cut(level(48, 0, 40), upright(20, 48, 58))
    assert sewn(low.below) == {10: 40, 11: 10} and not len(low.above)
    high = cut(level(48, 0, 5), upright(2, 48, 58), level(49.9, 50, 60))
    assert sewn(high.above) == {10: 5, 11: 10} and sewn(high.below) == {12: 10}


@pytest.mark.parametrize("middle", [45.0, 50.0, 57.5])
def test_a_line_that_nothing_crosses_is_cut_at_the_middle(middle: float) -> None:
    made = cut(upright(5), [(20, 100), (20, 0)], [(40, 0), (90, 100)], middle=middle)
    assert places(made) == [(5.0, middle), (20.0, middle), (40 + middle / 2, middle)]
    assert {each.hiding for each in made.cuts} == {HidingGrade.OPEN}
    assert sewn(made.below)[10] == sewn(made.below)[11] == middle
    assert sewn(made.above)[10] == sewn(made.above)[11] == 100 - middle


def test_a_cut_names_the_way_on_into_either_pass_whichever_way_the_line_runs() -> None:
    for line in (upright(5), upright(5)[::-1]):
        (one,) = cut(line).cuts
        assert one.line == 10 and one.at_mm == (5.0, 50.0)
        assert one.below.tolist() == [[5, 50], [5, 0]]
        assert one.above.tolist() == [[5, 50], [5, 100]]


def test_a_line_that_goes_up_and_comes_back_is_cut_twice() -> None:
    made = cut([(5, 0), (5, 100), (25, 100), (25, 0)])
    assert places(made) == [(5.0, 50.0), (25.0, 50.0)]
    assert sewn(made.below) == {10: 100} and sewn(made.above) == {10: 120}
    assert len(made.below) == 2 and len(made.above) == 1


@pytest.mark.parametrize(
    ("heights", "chosen"), [((45, 55), 55), ((51, 55), 51), ((46, 53), 53), ((44, 55.5), 55.5)]
)
def test_of_places_that_hide_alike_the_nearest_to_the_middle_is_taken(
    heights: tuple[float, float], chosen: float
) -> None:
    """Sashing lines across; the pass line would lie at 52."""
    sashing = tuple(LineString(level(y)) for y in heights)
    made = cut(upright(5), upright(25), middle=52.0, printed=sashing)
    assert places(made) == [(5.0, chosen), (25.0, chosen)]
    assert {each.hiding for each in made.cuts} == {HidingGrade.CROSSES}


def test_the_pass_line_lies_where_most_cuts_hide() -> None:
    """A sashing line at 45 crosses three uprights, one at 51 a single one; places a fifth of a
    millimetre apart lie at one height."""
    sashing = [
        LineString(level(45, 0, 30)),
        LineString(level(45.2, 30, 50)),
        LineString(level(51, 0, 10)),
    ]
    made = cut(*[upright(x) for x in (5, 25, 45, 65)], printed=tuple(sashing))
    assert places(made) == [(5.0, 45.0), (25.0, 45.0), (45.0, 45.2), (65.0, 45.0)]
    assert [each.hiding for each in made.cuts] == [HidingGrade.CROSSES] * 3 + [HidingGrade.OPEN]


def test_a_line_that_either_pass_can_sew_hides_a_cut_better_than_a_printed_one() -> None:
    """Two uprights are sewn on along the level line at 44, piece by piece; a sashing line lies
    nearer to the middle. Three pieces: by turns, the first to the lower pass."""
    made = cut(upright(30), upright(70), level(44), printed=(LineString(level(50)),))
    joins = [each for each in made.cuts if each.line == 12]
    assert places(made) == [(30.0, 44.0), (30.0, 44.0), (70.0, 44.0), (70.0, 44.0)]
    assert {each.hiding for each in made.cuts} == {HidingGrade.JOINS}
    assert sewn(made.below) == {10: 44, 11: 44, 12: 60}
    assert sewn(made.above) == {10: 56, 11: 56, 12: 40}
    for each in joins:
        inside = each.above[-1, 0]
        assert inside in (30.0, 70.0) and each.below[-1, 0] in (0.0, 100.0)


def test_a_line_that_only_one_pass_reaches_is_no_line_to_sew_on_along() -> None:
    """It crosses at 50, but comes up from below the zone: a cut there hides, no thread goes on."""
    made = cut(upright(30), [(10, 0), (10, 50), (50, 50)])
    assert [each.hiding for each in made.cuts] == [HidingGrade.CROSSES]
    assert sewn(made.below) == {10: 50, 11: 90}


def test_pieces_too_short_to_be_sewn_are_not_cut_off() -> None:
    """Uprights 3 mm from the ends of a level line and 3 mm from each other: of four places one is
    cut, the one that leaves 4 mm on either side."""
    made = cut(upright(3), upright(40), upright(43), upright(97), level(50))
    assert [each.at_mm for each in made.cuts if each.line == 14] == [(40.0, 50.0)]
    assert sewn(made.below)[14] == 40 and sewn(made.above)[14] == 60


@pytest.mark.parametrize("first", range(8))
@pytest.mark.parametrize("backwards", [False, True])
def test_a_closed_line_is_cut_twice_wherever_it_begins(first: int, backwards: bool) -> None:
    """A rectangle from 20 to 80 with corners at half its height; it may begin at any corner."""
    corners = [(0, 20), (20, 20), (20, 50), (20, 80), (0, 80), (0, 55), (0, 50), (0, 45)]
    ring = corners[first:] + corners[: first + 1]
    made = cut(ring[::-1] if backwards else ring)
    assert places(made) == [(0.0, 50.0), (20.0, 50.0)]
    assert len(made.above) == 1, "it begins below"
    assert sewn(made.below) == sewn(made.above) == {10: 80}


@pytest.mark.parametrize("first", range(4))
def test_a_ring_inside_the_zone_is_shared_out_between_the_lines_that_are_cut_on_it(
    first: int,
) -> None:
    """A rectangle from 45 to 55 and two uprights through it: four places, of which each upright is
    cut at one; the ring goes over there into the other pass, without an end of its own."""
    corners = [(0, 45), (60, 45), (60, 55), (0, 55)]
    ring = corners[first:] + corners[: first + 1]
    made = cut(upright(20), upright(40), ring, middle=45.0)
    assert places(made) == [(20.0, 45.0)] * 2 + [(40.0, 45.0)] * 2
    of_ring = [each for each in made.cuts if each.line == 12]
    assert len(of_ring) == 2
    assert sorted([sewn(made.below)[12], sewn(made.above)[12]]) == [20, 120]
    for each in of_ring:
        assert each.below[0].tolist() == each.above[0].tolist() == list(each.at_mm)


def test_nothing_is_lost_or_sewn_twice_where_lines_of_all_sorts_meet() -> None:
    rings = [Point(x, 50).buffer(r).exterior.coords for x, r in ((20, 8), (50, 30), (80, 9))]
    lines = [
        *rings,
        *[upright(x) for x in (20, 35, 80)],
        level(47),
        level(53),
        [(0, 0), (100, 100)],
    ]
    made = cut(*lines)
    whole = shapely.union_all([LineString(line) for line in lines])
    both = np.concatenate([made.below.shape, made.above.shape])
    assert shapely.hausdorff_distance(shapely.union_all(both), whole) < 1e-3
    assert shapely.length(both).sum() == pytest.approx(
        sum(LineString(each).length for each in lines)
    )
    assert shapely.bounds(made.below.shape)[:, 3].max() <= 60 + 1e-6
    assert shapely.bounds(made.above.shape)[:, 1].min() >= 40 - 1e-6
