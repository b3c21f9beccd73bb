"""Cutting layouts that can be cut, and a shopping list that shops can sell."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.errors import InputError
from quiltpath.materials.cloth import Cloth, eighths_of_a_yard, tenths_of_a_metre
from quiltpath.materials.packing import lay_out
from quiltpath.materials.pieced_top import cut_mm, grid_counts, pieced_cuts
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.shopping import ThreadNeed, item, thread_items
from quiltpath.project import parse
from quiltpath.runner import RegionKind, build
from quiltpath.units import MM_PER_INCH

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
    assert stones == (rows + 1) * (columns + 1) == grid_counts(rows, columns)["cornerstones"]
    assert strips == (rows + 1) * columns + (columns + 1) * rows


def test_the_published_grid_has_30_cornerstones_and_49_strips() -> None:
    """Same source: 4 x 5."""
    assert grid_counts(4, 5) == {"cornerstones": 30, "strips": 49}


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
    line = item("backing", "mm of cloth", 2427.0, {"backing": 1000.0}, width_mm=1020)
    assert (line.short, line.buy_m, line.buy_yd) == (1427.0, 1.5, 1.625)
    assert item("backing", "mm of cloth", 900.0, {"backing": 1000.0}).buy_m == 0


def test_thread_by_spools_and_bobbins() -> None:
    """66 m each for needle and bobbin are 132 m: one spool of 200 m, two of 100 m."""
    need = ThreadNeed(66, 66, 2, 100)
    thread, bobbins = thread_items(need, {"bobbins": 1})
    assert thread.buy_packs == 2 and bobbins.buy_packs == 1
