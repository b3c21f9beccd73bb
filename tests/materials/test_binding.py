"""Binding arithmetic against published rules, which differ in what they allow."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import scale
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.errors import InputError
from quiltpath.materials import Cloth
from quiltpath.materials.binding import (
    MOST_STRIPS,
    TOP_STITCH_MM,
    bias_length,
    bias_pieces,
    cut_strips,
    edge_needs_bias,
    joined_length,
    laid_length,
    rectangle_for_bias,
    square_for_bias,
    strip_length_needed,
    strips_needed,
)
from quiltpath.materials.binding_joins import ring_distance
from quiltpath.materials.binding_plan import plan_binding, seam_crossings, strips_for
from quiltpath.materials.edge_corners import edge_of
from quiltpath.project.materials_sections import BindingSection
from quiltpath.units import MM_PER_INCH

IN = MM_PER_INCH


def test_strips_with_the_joins_taken_off_the_cloth() -> None:
    """ "How to calculate the number of strips to bind a quilt", castillejacotton, 2013:
    50 x 60 in, 40 in cloth, 2 in a strip lost: 220 / 38 = 5.79, so 6.

    Each strip loses a join because the closing join loses one too: our overlap.
    """
    setting = BindingSection(width=2 * IN, allowance=2 * IN)
    needed = strip_length_needed(220 * IN, 4, setting)
    assert strips_needed(needed.total_mm, 40 * IN, setting.join_mm) == 6


@pytest.mark.parametrize("strips", range(1, 12))
def test_that_published_rule_holds_at_its_turning_points(strips: int) -> None:
    """Perimeter / 38 rounded up, just below and just above each whole number (same source)."""
    setting = BindingSection(width=2 * IN, allowance=2 * IN)
    for perimeter in (38 * strips - 0.1, 38 * strips + 0.1):
        total = strip_length_needed(perimeter * IN, 4, setting).total_mm
        assert strips_needed(total, 40 * IN, setting.join_mm) == math.ceil(perimeter / 38)


@pytest.mark.parametrize(("width", "length"), [(50, 60), (14, 72), (40, 40), (90, 108)])
def test_strips_with_two_feet_of_allowance(width: int, length: int) -> None:
    """ "How much fabric for binding", quicktipssewing, 2011: (width + length) x 2 + 24 over 40,
    rounded up, times 2 1/2 in of cloth."""
    setting = BindingSection(width=2.5 * IN, allowance=24 * IN, join_loss=0.0)
    needed = strip_length_needed(2 * (width + length) * IN, 4, setting)
    strips = cut_strips(needed.total_mm, [Cloth("binding", 40 * IN)], 2.5 * IN, 0.0)
    published = math.ceil((2 * (width + length) + 24) / 40)
    assert len(strips.lengths_mm) == published
    assert strips.cloth_mm == (("binding", pytest.approx(published * 2.5 * IN)),)


def test_two_hand_widths_of_allowance() -> None:
    """quiltingboard.com, post 8276918: 64 in square and 16 in are 272 in."""
    setting = BindingSection(allowance=16 * IN)
    assert strip_length_needed(4 * 64 * IN, 4, setting).total_mm == pytest.approx(272 * IN)


def test_the_worked_runner_takes_six_strips() -> None:
    """People who quilt: 2200 x 320 mm and 250 mm are 5290 mm, 6 strips of 1020 mm cloth."""
    setting = BindingSection(allowance=250.0)
    needed = strip_length_needed(2 * (2200 + 320), 4, setting)
    assert needed.total_mm == 5290
    assert strips_needed(needed.total_mm, 1020, setting.join_mm) == 6


def test_the_parts_of_our_own_allowance_are_the_trade_s() -> None:
    """Common practice: overlap of one strip width, 8 in open, and something for each mitre."""
    setting = BindingSection(width=2.25 * IN)
    needed = strip_length_needed(5000, 4, setting)
    assert needed.overlap_mm == pytest.approx(2.25 * IN)
    assert needed.handling_mm == pytest.approx(8 * IN)
    assert needed.mitres_mm == pytest.approx(4 * IN / 8)
    assert laid_length(5000, 4, setting) == pytest.approx(needed.total_mm - 8 * IN)


def test_single_fold_strips_are_four_seams_wide() -> None:
    """Common practice: 1/2 in seam, 2 in strip; the wadding's 1/8 in leaves 3/8 in to turn."""
    setting = BindingSection(fold="single", seam=IN / 2)
    assert setting.width_mm == pytest.approx(2 * IN)
    assert setting.turn_under_mm == pytest.approx(3 / 8 * IN)


def test_double_fold_strips_are_two_and_a_quarter_to_two_and_a_half() -> None:
    """Common practice: 2 1/4 to 2 1/2 in with a 1/4 in seam, as the cover of the seam grows."""
    assert BindingSection().width_mm == pytest.approx(2.25 * IN)
    assert BindingSection(cover=3 / 8 * IN).width_mm == pytest.approx(2.5 * IN)


def test_top_stitching_lies_a_sixteenth_of_an_inch_from_the_fold() -> None:
    """Close to the edge, 1/16 to 1/8 in (common practice)."""
    assert pytest.approx(25.4 / 16) == TOP_STITCH_MM


@pytest.mark.parametrize(
    ("length", "strip", "side"),
    [(200, 2, 21), (250, 2, 23), (55, 2.5, 13)],
)
def test_square_for_a_bias_strip(length: float, strip: float, side: float) -> None:
    """mydecozo.co.uk: 20 in give 200 in of 2 in; 250 in of 2 in, root 22.36, so 23 in.
    getasquiltingstudio.com, 2018: 55 in of 2 1/2 in, root 11.73, so 12 in. They leave out the two
    seams of the tube, each 1/2 in of cloth as long as a side: 1/2 in more before it is rounded."""
    assert square_for_bias(length * IN, strip * IN) == pytest.approx(side * IN)


@given(st.floats(500, 20_000), st.floats(30, 90), st.floats(300, 800))
def test_a_bias_square_gives_what_is_needed(total: float, width: float, side: float) -> None:
    square = square_for_bias(total, width)
    assert square**2 - 4 * IN / 4 * square >= (total - 1e-6) * width
    assert bias_length((square, square), width) >= total - 1e-6
    along = rectangle_for_bias(total, width, side)
    assert total - 1e-6 <= bias_length((along, side), width) <= total + IN * side / width + 1e-6
    assert joined_length(bias_pieces(total, side, width), width) >= total - 1e-6


@given(st.floats(100, 30_000), st.floats(150, 3000), st.floats(0, 100))
def test_the_fewest_strips_are_enough_and_one_less_is_not(
    total: float, strip: float, join: float
) -> None:
    count = strips_needed(total, strip, join)
    assert joined_length([strip] * count, join) >= total - 1e-3
    assert count == 1 or joined_length([strip] * (count - 1), join) < total


@given(st.floats(100, 10_000))
def test_a_longer_binding_never_needs_fewer_strips(total: float) -> None:
    assert strips_needed(2 * total, 1016, 57) >= strips_needed(total, 1016, 57)


def test_a_strip_no_longer_than_its_join_is_refused() -> None:
    with pytest.raises(ValueError, match="longer"):
        strips_needed(1000, 50, 57)


def test_cloth_at_hand_is_used_before_cloth_is_bought() -> None:
    """A 120 mm piece gives two 57 mm strips; 2 x 1100 + 2 x 1016 - 3 joins = 4061 mm."""
    at_hand, bolt = Cloth("remnant", 1100, 120), Cloth("bolt", 1016)
    strips = cut_strips(4000, [bolt, at_hand], 57, 57)
    assert strips.cloths == ("remnant", "remnant", "bolt", "bolt")
    assert strips.enough


def test_too_little_cloth_at_hand_is_said() -> None:
    strips = cut_strips(4000, [Cloth("remnant", 1100, 120)], 57, 57)
    assert len(strips.lengths_mm) == 2 and not strips.enough


def test_only_a_single_binding_turns_its_edge_under() -> None:
    """A double one is folded in half. 2 1/4 in less three seams of 1/2 in and 1/8 in: 5/8 in."""
    assert BindingSection().turn_under_mm == 0
    single = BindingSection(fold="single", seam=IN / 2, width=2.25 * IN)
    assert single.turn_under_mm == pytest.approx(5 / 8 * IN)


def test_a_join_costs_a_strip_width_unless_another_loss_is_given() -> None:
    """Common practice for a join on the diagonal; a rule that reckons without joins says 0."""
    assert BindingSection(width=60).join_mm == 60
    assert BindingSection(width=60, join_loss=0).join_mm == 0


def test_an_allowance_stands_for_overlap_mitres_and_handling() -> None:
    needed = strip_length_needed(5000, 4, BindingSection(allowance=0))
    assert (needed.overlap_mm, needed.mitres_mm, needed.handling_mm) == (0, 0, 0)
    assert needed.total_mm == needed.perimeter_mm == 5000


@pytest.mark.parametrize(
    ("total", "strips"),
    [(10, 1), (1000, 1), (1000.1, 2), (1900, 2), (1900.1, 3), (2800, 3), (2800.1, 4)],
)
def test_each_further_strip_adds_its_length_less_a_join(total: float, strips: int) -> None:
    """By hand: 1000 mm strips that lose 100 mm a join reach 1000, 1900, 2800 mm."""
    assert strips_needed(total, 1000, 100) == strips
    assert joined_length([1000.0] * strips, 100) == 100 + 900 * strips


def test_strips_of_different_lengths_lose_a_join_between_two() -> None:
    assert joined_length([500, 400, 300], 50) == 1100
    assert joined_length([500], 50) == 500 and joined_length([], 50) == 0


def test_a_strip_as_long_as_its_join_is_refused_and_a_longer_one_is_not() -> None:
    with pytest.raises(ValueError, match="longer"):
        strips_needed(1000, 57, 57)
    assert strips_needed(1000, 58, 57) == 943


def test_the_longest_remnant_is_cut_first_and_the_bolt_last() -> None:
    """One strip each: 1100 + 900 less a join of 60 are 1940 mm, and 1016 less one more are 2896."""
    cloths = [Cloth("bolt", 1016), Cloth("short", 900, 70), Cloth("long", 1100, 70)]
    for total, names in ((1940, ("long", "short")), (1941, ("long", "short", "bolt"))):
        strips = cut_strips(total, cloths, 60, 60)
        assert strips.cloths == names and strips.enough
        assert strips.cloth_mm == tuple((name, 60) for name in names)
    assert cut_strips(2896, cloths, 60, 60).cloths == ("long", "short", "bolt")
    assert cut_strips(2897, cloths, 60, 60).cloths == ("long", "short", "bolt", "bolt")


@pytest.mark.parametrize(("length", "strips"), [(59.9, 0), (60, 1), (179.9, 2), (180, 3)])
def test_a_remnant_gives_whole_strips_only(length: float, strips: int) -> None:
    found = cut_strips(9000, [Cloth("remnant", 1100, length)], 60, 60)
    assert len(found.lengths_mm) == strips and not found.enough


@pytest.mark.parametrize(("usable", "enough"), [(179.9, False), (180, True)])
def test_a_strip_must_gain_two_of_its_widths(usable: float, enough: bool) -> None:
    """60 mm wide and 60 mm lost in the join: of 180 mm two widths are left."""
    found = cut_strips(1000, [Cloth("ribbon", usable)], 60, 60)
    assert found.enough is enough and bool(found.lengths_mm) is enough


def test_a_cloth_for_something_else_is_not_cut_up_to_the_end() -> None:
    """A hair's width wide: the whole edge would take a hundred thousand strips."""
    for length in (None, 5000.0):
        found = cut_strips(5040, [Cloth("thread", 0.05, length)], 0.01, 0.01)
        assert len(found.lengths_mm) == MOST_STRIPS + 1 and not found.enough


def test_a_square_whose_root_is_whole_is_not_cut_larger() -> None:
    """A square of 20 in less two seams of 20 in by 1/2 in is 380 square inches: 190 in of 2 in
    strip, and for a hair more 21 in."""
    assert bias_length((20 * IN, 20 * IN), 2 * IN) == pytest.approx(190 * IN)
    assert square_for_bias(190 * IN, 2 * IN) == pytest.approx(20 * IN)
    assert square_for_bias(190.1 * IN, 2 * IN) == pytest.approx(21 * IN)


def test_a_bias_strip_meets_a_seam_at_each_diagonal_of_its_square() -> None:
    """300 mm square: 424.26 mm each, 367.26 mm further with each seam of 57 mm; 2000 mm take
    (2000 - 57) / 367.26 = 5.29, so six, of which the last is 2000 - 5 x 367.26 = 163.7 mm."""
    each = 300 * math.sqrt(2)
    assert bias_pieces(2000, 300, 57) == pytest.approx((*(each,) * 5, 2000 - 5 * (each - 57)))
    assert joined_length(bias_pieces(2000, 300, 57), 57) == pytest.approx(2000)


@pytest.mark.parametrize(
    ("outline", "grain", "asks"),
    [
        (Point(0, 0).buffer(300), "straight", True),
        (Point(0, 0).buffer(300), "bias", False),
        (box(0, 0, 900, 300), "straight", False),
        (box(0, 0, 900, 300), "bias", False),
    ],
)
def test_only_a_curve_bound_straight_asks_for_bias(
    outline: Polygon, grain: str, asks: bool
) -> None:
    assert edge_needs_bias(edge_of(outline), BindingSection(cut=grain)) is asks


def test_of_several_cloths_bias_is_cut_from_the_widest() -> None:
    """5000 mm of 57.15 mm: root of 285 750 is 534.6 mm, with the seams 547.4, 22 in; from 450 mm
    cloth (285 750 + 12.7 x 450) / (450 - 12.7) = 666.5 mm of it, 26.2, so 27 in."""
    bias = BindingSection(cut="bias")
    wide, narrow = Cloth("wide", 700), Cloth("narrow", 450)
    strips, rectangle = strips_for(5000, bias, [narrow, wide])
    assert rectangle == pytest.approx((22 * IN, 22 * IN))
    assert set(strips.cloths) == {"wide"} and strips.cloth_mm == (("wide", rectangle[0]),)
    strips, rectangle = strips_for(5000, bias, [narrow])
    assert rectangle == (pytest.approx(27 * IN), 450)
    # 27 in by 450 mm less its seams are 5147.5 mm of it: (5147.5 - 57) / 579 = 8.8
    assert strips.lengths_mm[:8] == pytest.approx((450 * math.sqrt(2),) * 8)
    assert joined_length(strips.lengths_mm, bias.join_mm) == pytest.approx(5147.5, abs=1)


@pytest.mark.parametrize("usable", [30.0, 40.0, 41.0])
def test_bias_from_a_strip_hardly_longer_than_its_seams_is_a_mistake_in_one_line(
    usable: float,
) -> None:
    """Seams of 57.15 mm leave nothing of a diagonal of 56.6 mm, and hardly anything of 58 mm."""
    with pytest.raises(InputError, match=r"2 1/4 in \(57 mm\) wide .* name a larger cloth"):
        strips_for(5000, BindingSection(cut="bias"), [Cloth("tape", usable)])


def test_no_more_strips_are_joined_than_anybody_would() -> None:
    """Each of 1000 mm gains 900 mm, after the first: 1000 + 399 x 900 = 360 100 mm."""
    setting = BindingSection(width=100)
    strips, _ = strips_for(360_100, setting, [Cloth("cotton", 1000)])
    assert len(strips.lengths_mm) == MOST_STRIPS == 400 and strips.enough
    with pytest.raises(InputError, match="in 400 pieces"):
        strips_for(360_101, setting, [Cloth("cotton", 1000)])


def test_a_seam_crosses_the_edge_where_its_ends_lie_on_it() -> None:
    """A seam that bends on its way has two ends all the same; one that stops short has one."""
    edge = edge_of(box(0, 0, 900, 300))
    bent = LineString([(400, 0), (450, 150), (500, 300)])
    short = LineString([(0, 100), (450, 100)])
    places = seam_crossings(edge, [bent, short])
    assert list(places) == sorted(places)
    found = sorted(edge.point_at(at) for at in places)
    for point, wanted in zip(found, [(0, 100), (400, 0), (500, 300)], strict=True):
        assert point == pytest.approx(wanted)
    assert seam_crossings(edge, []) == ()


@pytest.mark.parametrize(("opened", "clear"), [(8.0, 2.0), (12.0, 2.0), (4.0, 3.0), (0.0, 2.0)])
def test_the_stretch_left_open_lies_on_one_straight_side(opened: float, clear: float) -> None:
    """Common practice: half of it on either side of the closing join, and never less than joins
    keep from corners. On a square whose sides hardly hold it the join is in the middle of one."""
    reach = max(opened / 2, clear)
    side = 2 * reach + 0.02
    edge = edge_of(box(0, 0, side * IN, side * IN))
    setting = BindingSection(open=opened * IN, clear=clear * IN)
    plan = plan_binding(edge, [], setting, [Cloth("binding", 4000)])
    gaps = [ring_distance(plan.joins.start_mm, c.along_mm, edge.length_mm) for c in edge.corners]
    assert min(gaps) == pytest.approx(reach * IN, abs=0.3)


def test_binding_strips_are_listed_as_they_are_cut() -> None:
    """2 (900 + 300) mm, 57.15 mm overlap, 12.7 mm of mitres and 203.2 mm to handle: 2673 mm, three
    of 1016 mm; for bias its root of 390.9 mm is a square of 16 in."""
    edge, cotton = edge_of(box(0, 0, 900, 300)), [Cloth("cotton", 1016)]
    straight = plan_binding(edge, [], BindingSection(), cotton)
    assert straight.needed.total_mm == pytest.approx(2673.05)
    assert straight.laid_mm == pytest.approx(2469.85)
    assert [(cloth, piece.name) for cloth, piece in straight.pieces()] == [
        ("cotton", f"binding {number}") for number in (1, 2, 3)
    ]
    for _, piece in straight.pieces():
        assert (piece.on_length_mm, piece.on_width_mm) == pytest.approx((57.15, 1016))
    ((cloth, square),) = plan_binding(edge, [], BindingSection(cut="bias"), cotton).pieces()
    assert (cloth, square.name) == ("cotton", "binding, for bias")
    assert (square.on_length_mm, square.on_width_mm) == pytest.approx((16 * IN, 16 * IN))


@pytest.mark.parametrize("length", [700.0, 900.0, 1200.0, 1800.0])
def test_no_more_bias_is_cut_off_than_there_is(length: float) -> None:
    """What is cut off the beginning and what stays on the runner come from one square."""
    edge = edge_of(scale(Point(0, 0).buffer(1, 64), length / 2, 200))
    found = plan_binding(edge, [], BindingSection(cut="bias"), [Cloth("binding", 1000)])
    assert found.bias_mm is not None
    (along, across), width = found.bias_mm, found.setting.width_mm
    gives = (along * across - IN / 2 * (along + across)) / width
    assert found.joins.cut_first_mm + found.laid_mm <= gives + 1e-6
    assert found.spare_mm == pytest.approx(gives - found.laid_mm)
