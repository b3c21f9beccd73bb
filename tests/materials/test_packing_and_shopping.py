"""Cutting layouts that can be cut, and a shopping list that shops can sell."""

from __future__ import annotations

import itertools
from fractions import Fraction
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Region, RegionKind
from quiltpath.materials import Cloth
from quiltpath.materials.pieced_top import cut_mm, pieced_cuts
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.shopping import ShoppingItem, Unit, thread_items
from quiltpath.materials.strip_packing import lay_in_order, lay_out
from quiltpath.project import parse
from quiltpath.project.materials_sections import StockSection
from quiltpath.runner import build
from quiltpath.stitching.thread_and_time import ThreadUse
from quiltpath.units import MM_PER_INCH, eighths_of_a_yard, tenths_of_a_metre
from tests.materials.plans import THREAD

IN = MM_PER_INCH
CLOTH = Cloth("cloth", 1020)

pieces = st.lists(st.tuples(st.floats(30, 1500), st.floats(30, 1020)), min_size=1, max_size=14).map(
    lambda sizes: [CutPiece(f"{n}", *size) for n, size in enumerate(sizes)]
)


@given(pieces)
def test_no_piece_overlaps_another_or_crosses_a_selvedge(parts: list[CutPiece]) -> None:
    layout = lay_out(parts, CLOTH)
    boxes = [placed.box for placed in layout.placed]
    for low_x, low_y, high_x, high_y in boxes:
        assert low_x >= -1e-6 and high_x <= CLOTH.usable_mm + 1e-5
        assert low_y >= 0 and high_y <= layout.length_mm + 1e-6
    for a, b in itertools.combinations(boxes, 2):
        apart_across = a[2] <= b[0] + 1e-5 or b[2] <= a[0] + 1e-5
        apart_along = a[3] <= b[1] + 1e-5 or b[3] <= a[1] + 1e-5
        assert apart_across or apart_along


@given(pieces)
def test_area_is_conserved_and_every_piece_is_there(parts: list[CutPiece]) -> None:
    layout = lay_out(parts, CLOTH)
    assert sorted(p.piece.name for p in layout.placed) == sorted(p.name for p in parts)
    waste = layout.waste_share * layout.length_mm * CLOTH.usable_mm
    assert layout.piece_area_mm2 + waste == pytest.approx(layout.length_mm * CLOTH.usable_mm)
    area = sum(p.on_length_mm * p.on_width_mm for p in parts)
    longest = max(p.on_length_mm for p in parts)
    assert layout.length_mm >= max(longest, area / CLOTH.usable_mm) - 1e-6


@given(pieces)
def test_twice_the_pieces_never_need_less_cloth(parts: list[CutPiece]) -> None:
    twice = [CutPiece(p.name, 2 * p.on_length_mm, 2 * p.on_width_mm) for p in parts]
    once = lay_out(parts, CLOTH).length_mm
    assert lay_out(twice, Cloth("cloth", 2040)).length_mm == pytest.approx(2 * once)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 6), st.integers(1, 4)), min_size=1, max_size=4))
def test_a_few_pieces_lie_as_close_as_brute_force_can_lay_them(
    sizes: list[tuple[int, int]],
) -> None:
    """Brute force over whole positions on a cloth 4 wide, up to 4 pieces: within a third."""
    parts = [CutPiece(f"{n}", float(a), float(b)) for n, (a, b) in enumerate(sizes)]
    found = lay_out(parts, Cloth("cloth", 4.0)).length_mm
    assert found <= 4 / 3 * brute_length(sizes) + 1e-9


def brute_length(sizes: list[tuple[int, int]]) -> int:
    """Least length of a cloth 4 wide for pieces on whole positions."""
    for length in range(max(a for a, _ in sizes), sum(a for a, _ in sizes) + 1):
        if _fits(sizes, length, frozenset()):
            return length
    raise AssertionError("pieces one after the other always fit")


def _fits(sizes: list[tuple[int, int]], length: int, taken: frozenset[tuple[int, int]]) -> bool:
    if not sizes:
        return True
    (along, across), rest = sizes[0], sizes[1:]
    for y, x in itertools.product(range(length - along + 1), range(4 - across + 1)):
        cells = {(i, j) for i in range(y, y + along) for j in range(x, x + across)}
        if not cells & taken and _fits(rest, length, taken | cells):
            return True
    return False


def test_a_piece_wider_than_the_cloth_is_a_mistake_in_one_line() -> None:
    with pytest.raises(InputError, match="take a wider cloth"):
        lay_out([CutPiece("backing", 500, 1100)], CLOTH)


@given(st.integers(1, 5), st.integers(1, 6))
def test_sashing_and_cornerstones_all_round(rows: int, columns: int) -> None:
    """ "Quilt math: algorithms for cornerstones and sashes", susanintexas, 2009:
    (n+1)(m+1) cornerstones, (n+1)m + (m+1)n strips; here counted on a runner that was built."""
    text = f"""
    [runner]
    length = "{12 * columns + 2 * (columns + 1)} in"
    width = "{12 * rows + 2 * (rows + 1)} in"
    [grid]
    along = {columns}
    across = {rows}
    block = "12 in"
    sashing = "2 in"
    outer_sashing = "2 in"
    cornerstones = true
    """
    cuts = pieced_cuts(build(parse(text)).regions, IN / 4)
    stones = sum(cut.count for cut in cuts if cut.kind is RegionKind.CORNERSTONE)
    strip_kinds = (RegionKind.SASHING, RegionKind.OUTER_SASHING)
    strips = sum(cut.count for cut in cuts if cut.kind in strip_kinds)
    assert stones == (rows + 1) * (columns + 1)
    assert strips == (rows + 1) * columns + (columns + 1) * rows


def test_seams_take_half_an_inch_of_the_cut_width() -> None:
    """ "Sashing and cornerstone measurements", quilting.about.com: 3 in finished, cut 3 1/2."""
    assert cut_mm(3 * IN, IN / 4) == pytest.approx(3.5 * IN)


@given(st.floats(1, 20_000))
def test_yards_go_up_to_the_next_eighth_and_metres_to_the_next_tenth(mm: float) -> None:
    yards, metres = eighths_of_a_yard(mm), tenths_of_a_metre(mm)
    assert yards * 914.4 >= mm - 1e-3 and (yards - 1 / 8) * 914.4 < mm
    assert Fraction(yards).limit_denominator(8) == yards
    assert metres * 1000 >= mm - 1e-3 and (metres - 0.1) * 1000 < mm + 1e-6


def test_exact_lengths_are_not_rounded_up() -> None:
    """112 in are 3 1/9 yd: 3 1/8 to buy; 1.3 m are 1.3 m (arithmetic)."""
    assert eighths_of_a_yard(112 * IN) == 3.125
    assert eighths_of_a_yard(36 * IN) == 1.0
    assert tenths_of_a_metre(1300.0) == 1.3


def test_stock_is_taken_off() -> None:
    line = ShoppingItem("backing", "mm of cloth", 2427.0, 1000.0, 1020)
    assert (line.short, line.buy_m, line.buy_yd) == (1427.0, 1.5, 1.625)
    assert ShoppingItem("backing", "mm of cloth", 900.0, 1000.0).buy_m == 0


def test_thread_by_spools_and_bobbins() -> None:
    """66 m each for needle and bobbin are 132 m: one spool of 200 m, two of 100 m."""
    use = ThreadUse(66, 66, 0, 2, THREAD)
    thread, bobbins = thread_items(use, 100, StockSection(bobbins=1))
    assert thread.buy_packs == 2 and bobbins.buy_packs == 1


def laid(sizes: list[tuple[float, float]], width: float) -> list[tuple[float, float]]:
    """Where pieces (along, across) come in their own order: (across, along) of each."""
    parts = [CutPiece(f"{n}", float(a), float(b)) for n, (a, b) in enumerate(sizes)]
    layout = lay_in_order(parts, Cloth("cloth", width))
    assert layout.length_mm == max(placed.box[3] for placed in layout.placed)
    return [(placed.across_mm, placed.along_mm) for placed in layout.placed]


@pytest.mark.parametrize(
    ("sizes", "places"),
    [
        # Side by side, then on the lower one, then over both.
        ([(4, 6), (2, 4), (2, 4), (1, 10)], [(0, 0), (6, 0), (6, 2), (0, 4)]),
        # What is too wide for the gap goes over it; what fits goes into it.
        ([(4, 6), (2, 5), (3, 4), (1, 5)], [(0, 0), (0, 4), (6, 0), (5, 4)]),
        # Two of one height are one ledge, and so are three.
        ([(2, 5), (2, 5), (1, 8), (2, 2)], [(0, 0), (5, 0), (0, 2), (8, 2)]),
        # A notch between two: as wide as the piece, or a hair narrower.
        ([(3, 3), (1, 4), (3, 3), (1, 4)], [(0, 0), (3, 0), (7, 0), (3, 1)]),
        ([(3, 3), (1, 4), (3, 3), (1, 4.1)], [(0, 0), (3, 0), (7, 0), (0, 3)]),
        # Of two places as low the left one; against the right selvedge where only that is lower.
        ([(2, 2), (1, 3), (2, 2), (1, 3), (1, 3)], [(0, 0), (2, 0), (5, 0), (7, 0), (2, 1)]),
        ([(3, 5), (1, 5), (2, 4)], [(0, 0), (5, 0), (5, 1)]),
    ],
)
def test_a_piece_comes_lowest_then_furthest_left(
    sizes: list[tuple[float, float]], places: list[tuple[float, float]]
) -> None:
    """Drawn on squared paper, 10 wide."""
    assert laid(sizes, 10.0) == places


@pytest.mark.parametrize(
    "sizes",
    [
        [(3, 4), (4, 2), (6, 1), (4, 2)],  # the longest first
        [(1, 4), (1, 2), (6, 2)],  # the widest first
        [(3, 3), (3, 2), (5, 1), (1, 2)],  # the largest first
        [(4, 1), (4, 3), (5, 1), (2, 3)],  # the longest way round first
    ],
)
def test_one_order_or_another_leaves_no_more_than_brute_force(
    sizes: list[tuple[int, int]],
) -> None:
    """Each set is laid out at its shortest by one order alone."""
    parts = [CutPiece(f"{n}", float(a), float(b)) for n, (a, b) in enumerate(sizes)]
    assert lay_out(parts, Cloth("cloth", 4.0)).length_mm == brute_length(sizes)


def test_a_piece_as_wide_as_the_cloth_is_cut_from_it() -> None:
    layout = lay_out([CutPiece("backing", 500, 1020)], CLOTH)
    assert (layout.length_mm, layout.waste_share) == (500, 0)
    wide = CutPiece("backing", 500, 1066.8)
    with pytest.raises(InputError) as told:
        lay_out([CutPiece("strip", 60, 1016), wide], Cloth("blue", 40 * IN))
    assert str(told.value) == (
        "blue: backing is 42 in (1067 mm) wide, the cloth only 40 in (1016 mm); take a wider cloth"
    )


def test_the_waste_is_what_no_piece_covers() -> None:
    """A piece of 500 by 510 mm and one of 100 by 204 on 500 mm of 1020: 275 400 of 510 000."""
    layout = lay_out([CutPiece("a", 500, 510), CutPiece("b", 100, 204)], CLOTH)
    assert layout.piece_area_mm2 == 275_400
    assert layout.waste_share == pytest.approx(1 - 275_400 / 510_000)


@pytest.mark.parametrize(
    ("need", "have", "pack", "packs"),
    [(200, 0, 100, 2), (200.1, 0, 100, 3), (132, 40, 100, 1), (5, 2, None, 3), (5, 9, None, 0)],
)
def test_packs_are_bought_whole(need: float, have: float, pack: float | None, packs: int) -> None:
    line = ShoppingItem("thread", "m of thread", need, have, pack=pack)
    assert line.buy_packs == packs and line.short == pytest.approx(max(0, need - have))


def test_cloth_and_tape_are_sold_by_length_and_thread_and_pins_are_not() -> None:
    sold = {unit: ShoppingItem("x", unit, 1.0).is_sold_by_length for unit in get_args(Unit)}
    assert sold == {"mm of cloth": True, "mm": True, "m of thread": False, "pieces": False}


def test_parts_of_a_pieced_top_lie_with_their_longer_side_along_the_cloth() -> None:
    """Three finished parts of 200 by 100 mm, two upright, one of them a hair larger, and seams of
    6 mm; a cornerstone of the same size is counted by itself."""
    regions = tuple(
        Region(f"{n}", kind, box(0, 0, along, across))
        for n, (kind, along, across) in enumerate(
            [
                (RegionKind.BLOCK, 200, 100),
                (RegionKind.BLOCK, 100, 200),
                (RegionKind.BLOCK, 100.04, 200.04),
                (RegionKind.CORNERSTONE, 100, 200),
            ]
        )
    )
    cuts = pieced_cuts(regions, 6.0)
    found = [(cut.kind.value, cut.count, cut.along_mm, cut.across_mm) for cut in cuts]
    assert found == [
        ("block", 1, 212, 112),
        ("block", 2, 112, 212),
        ("cornerstone", 1, 112, 212),
    ]
    for cut in cuts:
        named = CutPiece(f"{cut.kind.value} {cut.letter}", 212, 112, may_turn=True)
        assert list(cut.pieces()) == [named] * cut.count
