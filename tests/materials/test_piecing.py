"""Backing and wadding from cloth that is too narrow: published sizes, brute force, constraints."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.materials import Cloth, LayerSetting
from quiltpath.materials.layers import TopPlace, layer_setting, layer_size, plan_layers
from quiltpath.materials.piecing import LayerSize, LineToAvoid, Piecing, piecings
from quiltpath.project.materials_sections import BackingSection
from quiltpath.project.sewing_sections import WaddingSection
from quiltpath.units import MM_PER_INCH

IN = MM_PER_INCH


def size(length: float, width: float) -> LayerSize:
    return LayerSize(0.0, 0.0, length, width)


def test_backing_across_the_cloth() -> None:
    """ "Mathematically challenged", quiltingboard.com: 80 x 56 in from 40 in usable, seam across:
    2 widths, 112 in."""
    best = piecings(size(80 * IN, 56 * IN), Cloth("backing", 40 * IN), 0.0)[0]
    assert best.widths == 2
    assert best.cloth_mm == pytest.approx(112 * IN)


def test_backing_with_one_seam() -> None:
    """ "Need some measuring help", quiltingboard.com: two 67 1/2 in lengths of 42 in cloth with
    1/2 in seams give about 67 1/2 x 83 in."""
    ways = piecings(size(67.5 * IN, 83 * IN), Cloth("backing", 42 * IN), IN / 2)
    seamed = [p for p in ways if p.axis == 1 and p.widths == 2 and p.grain_along_runner]
    assert seamed[0].cloth_mm == pytest.approx(2 * 67.5 * IN)


def test_the_worked_backing_unjoined_or_in_three_strips() -> None:
    """People who quilt: 2427 x 438 mm from 1020 mm usable: 2.43 m unjoined, or 3 strips of
    438 mm (1.32 m to buy) with 2 seams."""
    ways = piecings(size(2427, 438), Cloth("backing", 1020), IN / 4)
    by_seams = {(len(p.seams_mm), p.grain_along_runner): p for p in ways if p.axis == 0}
    assert by_seams[0, True].cloth_mm == pytest.approx(2427)
    assert by_seams[2, False].cloth_mm == pytest.approx(3 * 438)


def covers_exactly(piecing: Piecing) -> None:
    """Pieces less their seam allowances add up to the layer, and each fits the cloth."""
    extent = piecing.size.extent(piecing.axis)
    cross = piecing.size.extent(1 - piecing.axis)
    area = sum(p.on_length_mm * p.on_width_mm for p in piecing.pieces)
    allowances = 2 * piecing.seam_allowance_mm * len(piecing.seams_mm)
    assert area == pytest.approx((extent + allowances) * cross, rel=1e-9)
    assert all(p.on_width_mm <= piecing.cloth.usable_mm + 1e-3 for p in piecing.pieces)


@settings(deadline=None)
@given(st.floats(900, 3000), st.floats(250, 1300), st.floats(500, 1600), st.floats(0, 15))
def test_every_way_covers_the_layer_exactly(
    length: float, width: float, usable: float, seam: float
) -> None:
    """Area conservation: what is cut is the layer and its seams."""
    lines = [LineToAvoid("join", length / 2), LineToAvoid("fold", 300.0, rank=3)]
    ways = piecings(size(length, width), Cloth("cloth", usable), seam, lines)
    assert ways
    for piecing in ways:
        covers_exactly(piecing)


def brute_longest(
    extent: float, count: int, seam: float, bad: list[LineToAvoid], step: float
) -> float:
    """Shortest longest piece over every choice of seams on a raster."""
    raster = np.arange(step, extent, step)
    for line in bad:
        raster = raster[np.abs(raster - line.at_mm) >= line.clear_mm]
    best = np.inf
    for seams in itertools.combinations(raster, count - 1):
        spans = np.diff([0.0, *seams, extent])
        extra = np.array([seam * ((i > 0) + (i < count - 1)) for i in range(count)])
        best = min(best, float((spans + extra).max()))
    return best


@settings(max_examples=40, deadline=None)
@given(
    st.integers(90, 120), st.lists(st.floats(0.2, 0.8), max_size=3), st.integers(2, 3),
    st.sampled_from([0.0, 6.0, 12.0]),
)  # fmt: skip
def test_no_choice_of_seams_makes_a_shorter_piece(
    tens: int, places: list[float], count: int, seam: float
) -> None:
    """The search against brute force over a raster of 20 mm, for pieces side by side."""
    extent = 20.0 * tens
    bad = [LineToAvoid(f"line {i}", share * extent) for i, share in enumerate(places)]
    ways = piecings(size(extent, 300), Cloth("cloth", 300.0 * count), seam, bad)
    found = [p for p in ways if p.widths == count and p.grain_along_runner and not p.near]
    brute = brute_longest(extent, count, seam, bad, 20.0)
    assert found and found[0].cloth_mm <= brute + 1e-3
    assert brute <= found[0].cloth_mm + 20.0 * count


@settings(deadline=None)
@given(st.floats(800, 2400), st.floats(250, 900), st.floats(500, 1500))
def test_doubling_the_size_never_needs_less_cloth(
    length: float, width: float, usable: float
) -> None:
    cloth = Cloth("cloth", usable)
    once = min(p.cloth_mm for p in piecings(size(length, width), cloth, 6.0))
    twice = min(p.cloth_mm for p in piecings(size(2 * length, 2 * width), cloth, 6.0))
    assert twice >= once - 1e-6


def test_seams_keep_two_inches_from_the_panel_join() -> None:
    """Common practice. Two equal halves would put the seam on the join in the centre."""
    top = TopPlace(2227, 238, (1113.5,), (200, 2027))
    backing = LayerSetting(100, 100, Cloth("backing", 1020), IN / 4)
    wadding = LayerSetting(75, 75, Cloth("wadding", 1600, grain=False))
    layers = plan_layers(top, backing, wadding)
    assert layers.backing.seams_mm and not layers.backing.near
    for seam in layers.backing.seams_mm:
        for line in (1113.5, 200, 2027, *layers.wadding.seams_mm):
            assert abs(seam - line) >= 2 * IN - 1e-3


@settings(deadline=None, max_examples=60)
@given(
    st.floats(1000, 2600), st.floats(200, 600), st.floats(500, 1500), st.floats(300, 1500),
    st.floats(0, 300),
)  # fmt: skip
def test_joins_of_all_layers_keep_clear_of_each_other_or_it_is_said(
    length: float, width: float, backing_width: float, wadding_width: float, drop: float
) -> None:
    top = TopPlace(length, width, (length / 2,), (drop, length - drop) if drop else ())
    backing = LayerSetting(100, 100, Cloth("backing", backing_width), 6.0)
    wadding = LayerSetting(75, 75, Cloth("wadding", wadding_width, grain=False))
    layers = plan_layers(top, backing, wadding)
    if layers.backing.near or layers.backing.axis != 0:
        return
    lines = [*top.panel_joins_mm, *top.fold_lines_mm]
    if layers.wadding.axis == 0:
        lines += layers.wadding.seams_mm
    gaps = [abs(seam - line) for seam in layers.backing.seams_mm for line in lines]
    assert not gaps or min(gaps) >= 2 * IN - 1e-3


def test_where_a_line_cannot_be_kept_the_fold_is_given_up_first() -> None:
    """The panel join matters most, the fold line only where it can be avoided."""
    lines = [LineToAvoid("join", 500, 60, rank=1), LineToAvoid("fold", 440, 430, rank=3)]
    ways = piecings(size(1000, 600), Cloth("cloth", 560), 0.0, lines)
    best = next(piecing for piecing in ways if piecing.axis == 0)
    assert best.seams_mm and best.near == ("fold",)
    assert abs(best.seams_mm[0] - 500) >= 60 - 1e-6


@pytest.mark.parametrize(("end", "side"), [(100, 100), (200, 100)])
def test_layers_are_larger_all_round_and_at_the_ends_as_asked(end: float, side: float) -> None:
    """Common practice: backing 4 in (100 mm) all round; longarm takers want more at the ends."""
    layer = layer_size(TopPlace(2200, 320), LayerSetting(side, end, Cloth("backing")))
    assert layer.length_mm == 2200 + 2 * end
    assert layer.width_mm == 320 + 2 * side


def test_an_inch_of_backing_shows_round_the_wadding() -> None:
    """Common practice: backing 4 in, wadding 3 in larger all round; "5 batting facts you need to
    know", quiltsandtreasures.com: wadding 4 to 12 in larger over length and width."""
    top, cloth = TopPlace(2200, 320), Cloth("any")
    backing, wadding = (
        layer_size(top, layer_setting(section, cloth))
        for section in (BackingSection(), WaddingSection())
    )
    assert wadding.low_x - backing.low_x == pytest.approx(IN)
    assert 4 * IN <= wadding.length_mm - top.cut_length_mm <= 12 * IN


def test_a_seam_must_be_worth_its_cloth() -> None:
    """With no worth set the least cloth wins however many joins it takes."""
    wadding = Cloth("wadding", 2280, grain=False)
    thrifty = piecings(size(2377, 388), wadding, 0.0, seam_worth_mm=0.0)[0]
    sensible = piecings(size(2377, 388), wadding, 0.0)[0]
    assert thrifty.cloth_mm < sensible.cloth_mm
    assert len(thrifty.seams_mm) > len(sensible.seams_mm)


def told(piecing: Piecing) -> tuple[int, int, float, bool]:
    """Axis, widths, cloth to a tenth of a millimetre, whether its length lies along the runner."""
    return (
        piecing.axis,
        piecing.widths,
        round(piecing.cloth_mm, 1),
        piecing.grain_along_runner,
    )


def test_every_way_to_make_a_backing_the_best_first() -> None:
    """2427 x 438 mm of 1020 mm cloth with seams of 6 mm, by hand. Two columns: half of 2427 and a
    seam, 1.3 m to buy and 0.2 for the seam. Three widths of 438 mm: 1.4 m and 0.4. Unjoined: 2.5 m,
    whichever way it is looked at."""
    ways = piecings(size(2427, 438), Cloth("backing", 1020), 6.0)
    assert [told(way) for way in ways] == [
        (0, 2, 1219.5, True),
        (0, 3, 1314.0, False),
        (0, 1, 2427.0, True),
        (1, 1, 2427.0, True),
    ]
    assert [way.join_mm for way in ways] == [438, 876, 0, 0]
    along = [p for p in piecings(size(2427, 438), Cloth("backing", 300), 6.0) if p.axis == 1]
    assert [(way.widths, way.join_mm) for way in along] == [(2, 2427)]
    dear = piecings(size(2427, 438), Cloth("backing", 1020), 6.0, seam_worth_mm=1300.0)
    assert [told(way)[1] for way in dear] == [1, 1, 2, 3]


def test_pieces_are_cut_with_an_allowance_at_each_seam() -> None:
    """The same backing: columns of 1213.5 mm and a seam, 438 wide; widths of 809 mm with seams
    added, cut from selvedge to selvedge."""
    columns, widths, whole, _ = piecings(size(2427, 438), Cloth("backing", 1020), 6.0)
    assert [piece.name for piece in columns.pieces] == ["piece 1", "piece 2"]
    for piece in columns.pieces:
        assert (piece.on_length_mm, piece.on_width_mm) == pytest.approx((1219.5, 438), abs=1e-3)
    assert columns.seams_mm == pytest.approx([1213.5], abs=1e-3)
    middle = widths.pieces[1]
    assert [piece.on_length_mm for piece in widths.pieces] == [438] * 3
    assert middle.on_width_mm == pytest.approx(widths.seams_mm[1] - widths.seams_mm[0] + 12)
    assert [(p.name, p.on_length_mm, p.on_width_mm) for p in whole.pieces] == [("whole", 2427, 438)]


def test_a_layer_is_measured_between_its_own_corners() -> None:
    layer = LayerSize(-100, -75, 2300, 395)
    assert (layer.length_mm, layer.width_mm) == (2400, 470)
    assert (layer.span(0), layer.span(1)) == ((-100, 2300), (-75, 395))


@pytest.mark.parametrize(("width_in", "widths"), [(42, 1), (83, 2), (124, 3)])
def test_widths_lose_two_allowances_to_each_seam(width_in: float, widths: int) -> None:
    """Of 42 in with 1/2 in seams: three are 126 in less four allowances of 1/2 in."""
    for more_mm, needed in ((0.0, widths), (0.1, widths + 1)):
        layer = size(67.5 * IN, width_in * IN + more_mm)
        ways = piecings(layer, Cloth("backing", 42 * IN), IN / 2)
        assert min(way.widths for way in ways if way.axis == 1) == needed


def test_cloth_that_is_just_as_wide_as_the_layer_needs_no_seam() -> None:
    for usable, widths in ((438.0, 1), (437.9, 2)):
        across = [p for p in piecings(size(2427, 438), Cloth("cloth", usable), 6.0) if p.axis == 1]
        assert min(p.widths for p in across) == widths


def test_a_cloth_that_is_too_narrow_is_told_with_both_sizes() -> None:
    """48 widths of 20 mm less their seams are not half of 438 mm."""
    with pytest.raises(InputError) as wrong:
        piecings(size(2540, 457.2), Cloth("tape", 12.7), 6.0)
    assert str(wrong.value) == (
        "cloth.width: tape of 1/2 in (12.5 mm) is too narrow for a layer of 100 in (2540 mm) by"
        " 18 in (457 mm); take a wider cloth"
    )


def test_a_fold_is_given_up_before_a_join_of_the_wadding() -> None:
    """Wadding of 1150 mm in two columns has its join at 500. Backing seams that keep 310 mm from it
    and from a fold at 480 leave 170 to 810 to one width of 660 mm; from a fold at 540 as well they
    would leave 170 to 850, which no width spans."""
    top = TopPlace(1000, 600, (), (480, 540))
    backing = LayerSetting(100, 100, Cloth("backing", 660), 0.0, clear_mm=310)
    wadding = LayerSetting(75, 75, Cloth("wadding", 1500), clear_mm=0, seam_worth_mm=0)
    layers = plan_layers(top, backing, wadding)
    assert layers.wadding.seams_mm == pytest.approx([500], abs=1e-3)
    ways = [p for p in (layers.backing, *layers.other_backings) if p.axis == 0]
    assert [way.near for way in ways] == [("the fold at the table's right end",)]
    assert ways[0].seams_mm == pytest.approx([170, 810], abs=1e-3)


def test_a_way_that_touches_nothing_comes_before_one_with_less_cloth() -> None:
    """600 x 400 of 350 mm cloth with a line that leaves no place for a seam across the length: two
    widths of 400 mm are near it, two of 600 mm along the runner are not."""
    lines = [LineToAvoid("the panel join", 300, 250)]
    best, other = piecings(size(600, 400), Cloth("cloth", 350), 0.0, lines)
    assert (best.axis, best.cloth_mm, best.near) == (1, 1200, ())
    assert (other.axis, other.cloth_mm, other.near) == (0, 800, ("the panel join",))


@pytest.mark.parametrize(
    ("ranks", "first"), [((1, 3), "b"), ((3, 1), "a"), ((2, 3), "b"), ((1, 2), "b")]
)
def test_the_line_of_the_lowest_rank_matters_most(ranks: tuple[int, int], first: str) -> None:
    """One seam must come between 250 and 350 mm, and both lines lie across all of that."""
    lines = [LineToAvoid("a", 200, 130, ranks[0]), LineToAvoid("b", 400, 130, ranks[1])]
    ways = [p for p in piecings(size(600, 500), Cloth("cloth", 350), 0.0, lines) if p.axis == 0]
    assert [way.near for way in ways] == [(first,)]
