"""Pieced tops: sewn literally they measure what is named; every piece is cut and bought."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import combinations, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quiltpath.geometry.runner_shapes import RegionKind
from quiltpath.materials.border_strips import border_joins
from quiltpath.materials.pieced_top import CutCount, PiecedTop
from quiltpath.materials.piecing import CutPiece
from quiltpath.materials.shopping import Cloth
from quiltpath.materials.strip_packing import (
    ClothLayout,
    in_strips,
    lay_in_order,
    lay_out,
    lay_out_on,
)
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from quiltpath.units import MM_PER_INCH as IN

PROJECT = """
units = "in"
[runner]
length = "54 in"
width = "16 in"
{shape}
[grid]
{grid}
[top]
made = "pieced"
{top}
[[quilting]]
kind = "straight"
spacing = "about 2 in"
[quilted]
{quilted}
"""


def made(grid: str, top: str = "", shape: str = "", quilted: str = "", more: str = "") -> Result:
    text = PROJECT.format(grid=grid, top=top, shape=shape, quilted=quilted)
    return compute(parse(text + more))


def pieced(result: Result) -> PiecedTop:
    assert result.cutting.pieced is not None
    return result.cutting.pieced


def sewn(top: PiecedTop) -> tuple[float, float]:
    """The pieces sewn together in the order told, measured from raw edge to raw edge.

    A seam takes its allowance from either piece; pieces of a row or column, and rows of a top,
    must be equally long where they are sewn to each other, or nothing would lie flat.
    """
    cuts = {cut.letter: cut for cut in top.cuts}
    by_row, seam = top.by == "row", 2 * top.seam_mm
    units = []
    for unit in top.units:
        sizes = [(cuts[name].along_mm, cuts[name].across_mm) for name in unit.letters]
        joined, side = zip(*(size if by_row else size[::-1] for size in sizes), strict=True)
        assert max(side) - min(side) < 0.2
        units += [(sum(joined) - seam * (len(joined) - 1), side[0])] * len(unit.numbers)
    lengths, sides = zip(*units, strict=True)
    assert max(lengths) - min(lengths) < 0.1 * len(top.cuts) + 1
    whole = lengths[0], sum(sides) - seam * (len(sides) - 1)
    along, across = whole if by_row else whole[::-1]
    if top.border is None:
        return along, across
    border = top.border
    if border.corners == "butted":
        assert border.sides.along_mm == pytest.approx(along, abs=1)
    across += 2 * (border.sides.across_mm - seam)
    if border.corners == "butted":
        assert border.ends.across_mm == pytest.approx(across, abs=1)
    return along + 2 * (border.ends.along_mm - seam), across


def marks(result: Result) -> float:
    """Half an eighth of an inch for each block along, and what is cut to tenths of a mm."""
    grid = result.project.grid
    assert grid is not None
    return max(grid.along, grid.across) * IN / 16 + 1.0


def test_what_is_told_of_pieces_adds_up_by_the_ruler() -> None:
    """Cut sizes are eighths of an inch, so that a row of them is as long as is told: nothing is
    lost on the way."""
    result = made(f'{GRIDS["cornerstones"]}\nborder = "2 in"', quilted="taken_up = 0.013")
    top = pieced(result)
    cuts = {cut.letter: cut for cut in top.cuts}
    for unit in top.units:
        sizes = [cuts[name] for name in unit.letters]
        told = [Fraction(round(c.along_mm / IN * 8), 8) for c in sizes]
        inside = 2 * Fraction(1, 4) * (len(told) - 1)
        assert sum(told) - inside == Fraction(round(unit.along_mm / IN * 8), 8)


GRIDS = {
    "blocks": "along = 9\nacross = 3",
    "one row": 'along = 4\nsashing = "1 in"',
    "run through": 'along = 4\nacross = 2\nsashing = "1 in"\nouter_sashing = "1 in"',
    "cornerstones": 'along = 4\nacross = 2\nsashing = "1 in"\nouter_sashing = "1 in"\n'
    "cornerstones = true",
    "bordered": 'along = 4\nacross = 2\nsashing = "1 in"\nborder = "2 in"',
    "all": 'along = 3\nsashing = "1 in"\nouter_sashing = "1 1/2 in"\nborder = "2 in"\n'
    "cornerstones = true",
}


@pytest.mark.parametrize("grid", GRIDS.values(), ids=GRIDS.keys())
@pytest.mark.parametrize("corners", ["butted", "mitred"])
def test_the_sewn_top_measures_the_flat_size_that_is_named(grid: str, corners: str) -> None:
    """5 percent drawn up: 54 by 16 in want a top of 54 / 0.95 by 16 / 0.95 in; each block is cut to
    an eighth of an inch, 1/16 in off at most."""
    result = made(grid, f'border_corners = "{corners}"', quilted="taken_up = 0.05")
    near = marks(result)
    assert sewn(pieced(result)) == pytest.approx((54 / 0.95 * IN, 16 / 0.95 * IN), abs=near)
    top = result.cutting.top
    assert pieced(result).size_mm == pytest.approx((top.cut_length_mm, top.cut_width_mm))


@settings(max_examples=30, deadline=None)
@given(
    st.integers(1, 6), st.integers(1, 3), st.sampled_from(["0 in", "1 in", "2 in"]),
    st.sampled_from(["0 in", "1/2 in"]), st.sampled_from(["0 in", "1 in"]), st.booleans(),
)  # fmt: skip
def test_whatever_the_grid_it_sews_to_its_size(
    along: int, across: int, sashing: str, outer: str, border: str, stones: bool
) -> None:
    grid = (
        f'along = {along}\nacross = {across}\nsashing = "{sashing}"\nouter_sashing = "{outer}"\n'
        f'border = "{border}"\ncornerstones = {str(stones).lower()}'
    )
    result = made(grid, quilted="taken_up = 0.02")
    top = pieced(result)
    assert sewn(top) == pytest.approx((54 / 0.98 * IN, 16 / 0.98 * IN), abs=marks(result))
    assert sewn(top) == pytest.approx(top.size_mm, abs=1.0)
    used = Counter(name for unit in top.units for name in unit.letters * len(unit.numbers))
    if top.border is not None:
        used += Counter({top.border.sides.letter: 2})
        used += Counter({top.border.ends.letter: 2})
    assert used == {cut.letter: cut.count for cut in top.cuts}


def test_pieces_by_hand_for_a_row_of_four_blocks() -> None:
    """54 in less three strips of 1 in leave 12 3/4 in for each block. An inner block is sewn on
    both sides, 13 1/4; one at an end on one, 13; all are 16 in high, nothing above or below."""
    top = pieced(made(GRIDS["one row"], quilted="taken_up = 0.0"))
    found = {
        (cut.kind.value, cut.count, round(cut.along_mm / IN, 2), round(cut.across_mm / IN, 2))
        for cut in top.cuts
    }
    assert found == {("block", 2, 13.0, 16.0), ("block", 2, 13.25, 16.0), ("sashing", 3, 1.5, 16.0)}
    (row,) = top.units
    assert row.letters == ("A", "B", "C", "B", "C", "B", "A")


def test_a_border_is_four_strips_as_long_as_what_they_are_sewn_to() -> None:
    """54 by 16 in with a border of 2 in: the middle shows 50 by 12 and is 50 1/2 by 12 1/2 with its
    seams. Sides 50 1/2 by 2 1/4, ends 16 by 2 1/4: the outside has no seam."""
    top = pieced(made('along = 4\nborder = "2 in"', quilted="taken_up = 0.0"))
    assert top.border is not None
    assert top.border.middle_mm == pytest.approx((50.5 * IN, 12.5 * IN))
    sides, ends = top.border.sides, top.border.ends
    assert (sides.count, ends.count) == (2, 2)
    assert (sides.long_mm, sides.short_mm) == pytest.approx((50.5 * IN, 2.25 * IN), abs=0.06)
    assert (ends.long_mm, ends.short_mm) == pytest.approx((16 * IN, 2.25 * IN), abs=0.06)


def test_mitred_strips_reach_from_corner_to_corner_and_an_inch_beyond() -> None:
    """Common practice: the outer length and some to spare; 54 and 16 in and 2 in."""
    top = pieced(
        made('along = 4\nborder = "2 in"', 'border_corners = "mitred"', "", "taken_up = 0.0")
    )
    assert top.border is not None
    assert top.border.sides.long_mm == pytest.approx(56 * IN, abs=0.06)
    assert top.border.ends.long_mm == pytest.approx(18 * IN, abs=0.06)


def test_an_oval_keeps_its_border_and_needs_it_only_where_it_reaches() -> None:
    """A border of 2 in on 54 by 16: the ellipse is outside |y| = 6 in for |x| < 27 sqrt(1 - 0.75^2)
    = 17.86 in, so the sides are 35.72 in and an inch at each end; at the ends, outside |x| = 25 in,
    it reaches |y| < 8 sqrt(1 - (25 / 27)^2) = 3.02 in."""
    top = pieced(made('along = 4\nborder = "2 in"', "", 'shape = "oval"', "taken_up = 0.0"))
    assert top.border is not None
    assert top.border.sides.long_mm == pytest.approx((35.72 + 2) * IN, abs=2)
    assert top.border.ends.long_mm == pytest.approx((6.04 + 2) * IN, abs=2)
    assert top.border.side_at_mm == pytest.approx((25.25 - 18.86) * IN, abs=2)
    kinds = {cut.kind for cut in top.cuts}
    assert RegionKind.BORDER in kinds


def test_long_border_strips_are_joined_where_that_saves_cloth() -> None:
    """Four strips along the cloth take 50 1/2 in of it; across it 115 in of joined strip are three
    strips of 2 1/4 in: 3 x 40 - 2 x 2.25 = 115.5."""
    result = made('along = 4\nborder = "2 in"', quilted="taken_up = 0.0")
    (sides,) = [c for c in result.cutting.top_cuts if c.letter in result.cutting.border_joins]
    joins = result.cutting.border_joins[sides.letter]
    assert joins.strips == 3 and joins.joined_mm == pytest.approx(115.5 * IN, abs=0.5)
    (laid,) = [x for x in result.cutting.layouts if x.cloth.name == "border"]
    assert laid.length_mm < 12 * IN and laid.piece_count == 5


def test_a_strip_that_fits_across_is_not_joined() -> None:
    assert border_joins(CutCount(RegionKind.BORDER, 2, 900, 60, "F"), Cloth("blue"), 1) is None


@given(st.integers(1, 5), st.integers(1, 4))
@settings(max_examples=15, deadline=None)
def test_cornerstones_and_strips_are_as_many_as_published(along: int, across: int) -> None:
    """(n + 1)(m + 1) cornerstones, (n + 1) m + (m + 1) n strips (susanintexas, 2009)."""
    grid = (
        f'along = {along}\nacross = {across}\nsashing = "1 in"\nouter_sashing = "1 in"\n'
        "cornerstones = true"
    )
    cuts = pieced(made(grid)).cuts
    stones = sum(cut.count for cut in cuts if cut.kind is RegionKind.CORNERSTONE)
    strips = sum(
        cut.count for cut in cuts if cut.kind in (RegionKind.SASHING, RegionKind.OUTER_SASHING)
    )
    assert stones == (along + 1) * (across + 1)
    assert strips == (along + 1) * across + (across + 1) * along


def test_a_top_of_very_many_pieces_buys_every_cloth() -> None:
    """24 by 20 blocks: 480, more than are laid out singly; all of them are on the cloth."""
    result = made("along = 24\nacross = 20")
    (laid,) = [x for x in result.cutting.layouts if x.cloth.name == "block"]
    assert laid.piece_count == 480 == sum(cut.count for cut in pieced(result).cuts)
    assert "block" in {item.name for item in result.cutting.shopping}


def brute_length(pieces: list[CutPiece], cloth: Cloth) -> float:
    """Shortest by every order and every way round, each piece where it comes lowest."""
    ways = product(*([p, p.turned] for p in pieces))
    return min(
        lay_in_order(order, cloth).length_mm
        for way in ways
        if all(p.on_width_mm <= cloth.usable_mm for p in way)
        for order in set(permutations(way))
    )


@pytest.mark.parametrize(
    "sizes",
    [
        [(9, 6), (9, 6), (9, 6)],
        [(7, 3), (7, 3), (5, 4), (5, 4)],
        [(8, 5), (8, 2), (5, 2), (5, 2)],
        [(10, 4), (10, 4), (10, 4), (6, 3)],
        [(6, 6), (9, 3), (9, 3), (4, 2)],
    ],
)
def test_turned_pieces_lie_as_short_as_any_way_of_laying_them(sizes: list[tuple[int, int]]) -> None:
    """Brute force over all orders and turns on cloth 12 wide."""
    pieces = [CutPiece(f"{n}", float(a), float(b), may_turn=True) for n, (a, b) in enumerate(sizes)]
    free, fixed = Cloth("plain", 12.0, turns=True), Cloth("print", 12.0)
    found = lay_out(pieces, free)
    assert found.length_mm == pytest.approx(brute_length(pieces, free))
    assert found.length_mm <= lay_out(pieces, fixed).length_mm
    holds_apart(found)


def holds_apart(layout: ClothLayout) -> None:
    """No two pieces overlap and none crosses a selvedge."""
    for placed in layout.placed:
        assert placed.box[0] >= -1e-6 and placed.box[2] <= layout.cloth.usable_mm + 1e-6
    for a, b in combinations([placed.box for placed in layout.placed], 2):
        apart = a[2] <= b[0] + 1e-6 or b[2] <= a[0] + 1e-6
        assert apart or a[3] <= b[1] + 1e-6 or b[3] <= a[1] + 1e-6


def test_a_cloth_without_a_direction_saves_cloth_and_one_with_keeps_its_way() -> None:
    """Three pieces of 21 by 13 1/2 in on 40 in: two side by side and one above take 42. With one
    upright and two across beside it, one above the other, 27 do: 13 1/2 and 21 in side by side."""
    pieces = [CutPiece("block", 21 * IN, 13.5 * IN, may_turn=True)] * 3
    fixed, free = lay_out(pieces, Cloth("print")), lay_out(pieces, Cloth("plain", turns=True))
    assert fixed.length_mm == pytest.approx(42 * IN)
    assert free.length_mm == pytest.approx(27 * IN)
    backing = [CutPiece("backing", 21 * IN, 13.5 * IN)] * 3
    assert lay_out(backing, Cloth("plain", turns=True)).length_mm == fixed.length_mm


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(2, 12), st.integers(2, 9)), min_size=1, max_size=14),
    st.booleans(),
)
def test_pieces_never_overlap_and_none_is_lost(sizes: list[tuple[int, int]], turns: bool) -> None:
    pieces = [CutPiece(f"{n}", float(a), float(b), may_turn=True) for n, (a, b) in enumerate(sizes)]
    found = lay_out(pieces, Cloth("cloth", 12.0, turns=turns))
    holds_apart(found)
    assert sorted(p.piece.name for p in found.placed) == sorted(p.name for p in pieces)
    assert found.length_mm >= sum(a * b for a, b in sizes) / 12.0 - 1e-6


def test_strips_hold_as_many_as_there_were() -> None:
    """40 in hold 16 of 2 1/2 in: 100 are six strips and four over."""
    pieces = [CutPiece("A", 5 * IN, 2.5 * IN, may_turn=True)] * 100
    strips = in_strips(pieces, Cloth("print"))
    assert sum(piece.holds for piece in strips) == 100
    assert [piece.holds for piece in strips] == [16] * 6 + [1] * 4


def test_cloth_at_hand_is_used_by_the_piece_and_not_by_the_length() -> None:
    """Two pieces of 1000 mm, one to a width, and 1500 mm at hand: one piece comes from it, and a
    whole metre is bought for the other, not the 500 mm that are missing."""
    pieces = [CutPiece(f"{n}", 1000.0, 900.0) for n in range(2)]
    held, bought = lay_out_on(pieces, Cloth("cream", 1016.0, 1500.0))
    assert (held.share, held.piece_count, held.length_mm) == ("at hand", 1, 1000)
    assert (bought.share, bought.piece_count, bought.length_mm) == ("to buy", 1, 1000)
    (whole,) = lay_out_on(pieces, Cloth("cream", 1016.0, 2000.0))
    assert whole.share == "" and whole.length_mm == 2000
    (none,) = lay_out_on(pieces, Cloth("cream", 1016.0, 900.0))
    assert (none.share, none.piece_count) == ("to buy", 2)
