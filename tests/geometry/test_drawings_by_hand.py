"""Drawn shapes and off-square panels against counting, closed forms and search on a raster."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString

from quiltpath.errors import InputError
from quiltpath.geometry import svg_shapes
from quiltpath.geometry.fill_rules import estimated_crossings, fill_rings, winding_number
from quiltpath.geometry.svg_guard import CopyCounter
from quiltpath.geometry.svg_shapes import read_svg, single_outline
from quiltpath.runner.panels import (
    Fit,
    Join,
    Panel,
    PanelChoice,
    Table,
    TrimLine,
    panel_choices,
)
from quiltpath.runner.skew import PanelMeasures, Skew, TrueRectangle, largest_rectangle, skew_of

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'


def drawn(body: str, size: float | None = None) -> svg_shapes.SvgDrawing:
    return read_svg(f"{HEAD}{body}</svg>".encode(), "leaf.svg", size)


def refused(body: str) -> str:
    with pytest.raises(InputError) as error:
        drawn(body)
    return str(error.value)


@pytest.mark.parametrize("size", [None, 20.0, 800.0])
def test_a_parabola_has_as_many_chords_as_it_needs_at_its_size_on_the_cloth(
    size: float | None,
) -> None:
    """A quadratic over 80 mm with its control 60 mm up bends alike everywhere: with n chords each
    strays by 60 / 2 / n^2 in its middle. A hundredth of a millimetre is let pass at its size."""
    (line,) = drawn('<path d="M0 0 Q 40 60 80 0"/>', size).outlines
    chords = len(line.coords) - 1
    let_pass = 0.01 * (80 / size if size else 1.0)
    assert 30 / chords**2 <= let_pass * (1 + 1e-6) < 30 / (chords - 1) ** 2 * (1 + 1e-6)
    x, y = np.array(line.coords).T
    assert np.allclose(-y, 2 * (x / 80) * (1 - x / 80) * 60, atol=1e-4)


def test_straight_sides_are_drawn_as_they_are() -> None:
    (line,) = drawn('<path d="M10 10 L90 10 L90 10 L50 70 Z"/>').outlines
    assert np.allclose(line.coords, [(10, -10), (90, -10), (50, -70), (10, -10)], atol=1e-4)


def test_points_of_a_circle_lie_on_it_to_a_millionth() -> None:
    points = np.array(drawn('<circle cx="50" cy="50" r="40"/>').outlines[0].coords)
    assert np.abs(np.hypot(*(points - (50, -50)).T) - 40).max() < 40 * 4e-6


@pytest.mark.parametrize(("gap", "closed"), [(0.009, True), (0.02, False)])
def test_a_path_that_all_but_comes_back_to_its_start_was_meant_to_be_closed(
    gap: float, closed: bool
) -> None:
    found = drawn(f'<path fill="none" stroke="#000" d="M0 0 H90 V90 L0 {gap}"/>')
    assert found.outlines[0].is_ring == closed
    assert (found.shape.area > 0.03 * found.outlines[0].length) == closed


def test_there_and_back_encloses_nothing_though_it_is_closed() -> None:
    found = drawn('<path d="M0 0 L90 40 Z"/>')
    assert found.shape.area < 0.03 * found.outlines[0].length
    assert drawn('<path d="M0 0 L90 40 L90 0 Z"/>').shape.area == pytest.approx(1800, rel=1e-5)
    with pytest.raises(InputError, match="not closed"):
        single_outline(f'{HEAD}<path d="M0 0 L90 40 Z"/></svg>'.encode(), "edge.svg")


@pytest.mark.parametrize(("far", "read"), [(99_990, True), (100_010, False)])
def test_a_drawing_reaches_100_m_and_no_further(far: float, read: bool) -> None:
    body = f'<path d="M0 0 L{far} 0 L3 3 Z"/>'
    if read:
        assert drawn(body).shape.area == pytest.approx(far * 1.5, rel=1e-4)
    else:
        assert "out of all measure" in refused(body)


def test_points_are_counted_before_they_are_made(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four sides are four; the quadratic above, which needs 55 chords, is 55 and its base one."""
    square, curve = '<rect width="9" height="9"/>', '<path d="M0 0 Q 40 60 80 0 Z"/>'
    for body, number in ((square, 4), (curve, 56)):
        monkeypatch.setattr(svg_shapes, "MAX_POINTS", number)
        read_svg.cache_clear()
        assert drawn(body).outlines
        monkeypatch.setattr(svg_shapes, "MAX_POINTS", number - 1)
        read_svg.cache_clear()
        assert f"more than {number - 1} points" in refused(body)


def test_the_edge_is_the_closed_path_with_the_widest_bounds() -> None:
    """A slanting strip is wider than a square of more area."""
    body = '<rect width="40" height="40"/><path d="M0 90 L5 90 L95 5 L90 5 Z"/>'
    found = single_outline(f"{HEAD}{body}</svg>".encode(), "edge.svg")
    assert found.bounds == pytest.approx((0, -90, 95, -5), abs=1e-3)


SQUARE = np.array([(0.0, 0), (10, 0), (10, 10), (0, 10), (0, 0)])
INNER = SQUARE * 0.5 + 2
BOW = np.array([(0.0, 0), (10, 10), (10, 0), (0, 10), (0, 0)])


def test_a_ring_goes_round_a_point_once_for_each_turn_anticlockwise() -> None:
    points = np.array([(5.0, 4), (1, 5), (9, 5), (5, 9), (20, 5), (-3, 5), (5, -1), (5, 11)])
    assert winding_number(points, SQUARE).tolist() == [1, 1, 1, 1, 0, 0, 0, 0]
    assert winding_number(points, SQUARE[::-1]).tolist() == [-1, -1, -1, -1, 0, 0, 0, 0]
    twice = np.concatenate([SQUARE, SQUARE[1:]])
    assert winding_number(points, twice).tolist() == [2, 2, 2, 2, 0, 0, 0, 0]
    # A bow: its right half is gone round to the right, its left half to the left.
    assert winding_number(points, BOW).tolist() == [0, 1, -1, 0, 0, 0, 0, 0]
    assert winding_number(np.zeros((0, 2)), SQUARE).tolist() == []


@pytest.mark.parametrize(
    ("rings", "evenodd", "nonzero"),
    [
        ([], 0, 0),
        ([SQUARE], 100, 100),
        ([BOW], 50, 50),
        ([SQUARE, INNER], 75, 100),
        ([SQUARE, INNER[::-1]], 75, 75),
        ([SQUARE, SQUARE], 0, 100),
        ([SQUARE, SQUARE[::-1]], 0, 0),
        ([SQUARE, BOW], 50, 75),  # the bow's right half, turned to the right, takes its part off
        ([BOW, BOW + np.array([30, 0])], 100, 100),
        ([SQUARE, INNER, INNER * 0.5 + 2], 81.25, 100),
        ([np.array([(0.0, 0), (5, 0), (5, 0), (0, 0)])], 0, 0),
    ],
)
def test_areas_by_both_fill_rules_are_those_of_squared_paper(
    rings: list[np.ndarray], evenodd: float, nonzero: float
) -> None:
    """Squares of 10, 5 and 2.5, and a bow in a square of 10 whose halves are 25 each."""
    assert fill_rings(rings, "evenodd").area == pytest.approx(evenodd)
    assert fill_rings(rings, "nonzero").area == pytest.approx(nonzero)


def objects(lines: list[LineString]) -> np.ndarray:
    found = np.empty(len(lines), dtype=object)
    found[:] = lines
    return found


def crossings(lines: list[LineString]) -> int:
    """Every pair of segments that have a point in common which is no end of either."""
    segments = [
        LineString(pair)
        for line in lines
        for pair in zip(line.coords[:-1], line.coords[1:], strict=True)
    ]
    return sum(shapely.crosses(a, b) for a, b in combinations(segments, 2))


@pytest.mark.parametrize("number", [12, 30])
def test_crossings_are_estimated_to_a_tenth(number: int) -> None:
    """A path to and fro and then up and down over the same square, and a frame round it."""
    span = np.arange(number, dtype=float)
    level = [(x, y + 0.5) for y in span for x in ((-1, number) if y % 2 else (number, -1))]
    upright = [(x + 0.5, y) for x in span for y in ((-1, number) if x % 2 else (number, -1))]
    frame = LineString(shapely.box(-3, -3, number + 3, number + 3).exterior)
    lines = [LineString([*level, *upright]), frame]
    counted = crossings(lines)
    assert counted >= number**2
    assert estimated_crossings(objects(lines)) == pytest.approx(counted, rel=0.1)


def test_what_does_not_cross_is_no_tangle() -> None:
    turn = np.linspace(0, 2 * np.pi, 400)
    ring = LineString(np.column_stack([np.cos(turn), np.sin(turn)]))
    assert estimated_crossings(objects([ring])) == 0
    assert estimated_crossings(objects([LineString([(0, 0), (9, 9)])])) == 0


def counted_with_copies(*elements: tuple[str, str, list]) -> int | None:
    reuse = CopyCounter()

    def walk(children: tuple | list) -> None:
        for name, key, inner in children:
            attributes = {"use": {"href": key}, "old": {"xlink:href": key}}.get(
                name, {"id": key} if key else {}
            )
            reuse.start("use" if name == "old" else name, attributes)
            walk(inner)
            reuse.end()

    walk(elements)
    return reuse.expanded()


def test_copies_of_copies_are_counted_out_by_hand() -> None:
    """Two elements under a: used twice from b, itself used three times from outside."""
    a = ("g", "a", [("rect", "", [])])
    b = ("g", "b", [("use", "#a", []), ("old", "#a", [])])
    outside = [("use", "#b", [])] * 3
    # As written 2 + 3 + 3 = 8; b's own two copies add 4; each of three copies of b is 3 + 4.
    assert counted_with_copies(("svg", "", [a, b, *outside])) == 1 + 8 + 4 + 3 * 7
    assert counted_with_copies(("svg", "", [a, ("use", "leaf.svg#a", [])])) == 4
    assert counted_with_copies(("svg", "", [a, ("use", "#none", [])])) == 4
    assert counted_with_copies(("svg", "", [("g", "a", [("use", "#a", [])])])) is None


PLAIN = Panel("plain", 1000, 400, 960, 380)
JOINED = Panel("pair", 1000, 400, 960, 380, end_strip_mm=50, overlap_mm=6.35, count=2)
TABLE = Table(600, 900)


def choices(panel: Panel, wanted: float, **keys: float) -> dict[Join, PanelChoice]:
    return {one.join: one for one in panel_choices([panel], TABLE, wanted, 380, **keys)}


def test_a_panel_by_itself_has_neither_strips_nor_a_join() -> None:
    """960 mm of print for 900: 30 come off each end, measured from the end of the print."""
    found = choices(PLAIN, 900, sashing_mm=50)
    assert set(found) == {Join.NONE}
    (choice,) = found.values()
    assert choice.trims == (
        TrimLine("panel", "left end", "end of the print", -30, 30),
        TrimLine("panel", "right end", "end of the print", -30, 30),
    )
    assert (choice.length_mm, choice.drop_mm) == (900, 150)
    assert choice.waste_mm2 == 1000 * 400 - 900 * 380
    assert choice.reaches and choice.fault == ""


def test_two_panels_are_trimmed_at_the_join_and_at_their_outer_ends() -> None:
    """50 mm of sashing leaves 25 mm and a seam of 6.35 at the join, on a ruler of whole mm 31;
    960 - 50 + 31 - 6.35 is 934.65 a side, 1869.3 in all, of which 34 come off each end."""
    choice = choices(JOINED, 1800, sashing_mm=50)[Join.SASHING]
    assert choice.length_mm == pytest.approx(1801.3)
    assert choice.trims == (
        TrimLine("left panel", "right end, at the join", "last printed line", 31, 19),
        TrimLine("right panel", "left end, at the join", "last printed line", 31, 19),
        TrimLine("left panel", "left end", "first printed line", 16, 34),
        TrimLine("right panel", "right end", "first printed line", 16, 34),
    )
    assert choice.waste_mm2 == pytest.approx(2 * 1000 * 400 - (1801.3 + 2 * 6.35) * 380)
    across = choices(JOINED, 1800, sashing_mm=50)[Join.PRINT]
    assert across.length_mm == pytest.approx(2 * (960 - 6.35) - 2 * 53)
    assert [trim.removed_mm for trim in across.trims] == [53, 53]


def test_sides_come_off_each_panel_alike() -> None:
    (choice,) = panel_choices([PLAIN], TABLE, 960, 350)
    assert choice.trims[-2:] == (
        TrimLine("each panel", "upper side", "edge of the print", -15, 15),
        TrimLine("each panel", "lower side", "edge of the print", -15, 15),
    )
    assert choice.width_mm == 350


@pytest.mark.parametrize(("short", "reaches"), [(0.5, True), (0.6, False)])
def test_half_a_millimetre_short_still_reaches(short: float, reaches: bool) -> None:
    (choice,) = panel_choices([PLAIN], TABLE, 960 + short, 380)
    assert choice.reaches == reaches and choice.length_mm == 960


def test_among_those_too_short_the_longest_comes_first_then_the_one_with_less_waste() -> None:
    long = Panel("long", 1000, 400, 900, 380)
    wide = Panel("wide", 1000, 420, 900, 380)
    short = Panel("short", 900, 400, 800, 380)
    broken = Panel("narrow", 3000, 400, 2900, 300)
    found = panel_choices([broken, short, wide, long], TABLE, 2000, 380)
    assert [choice.panel.name for choice in found] == ["long", "wide", "short", "narrow"]
    assert not any(choice.reaches for choice in found)


def test_the_share_of_a_table_is_that_of_its_width() -> None:
    fit = Fit(Table(1500, 1200, 250), 1900, 400)
    assert (fit.drop_mm, fit.width_share) == (200, pytest.approx(1 / 3))
    assert fit.mat_clearance_mm == 150
    assert Fit(Table(1500, 1200), 1900, 400).mat_clearance_mm == 400, "no mats unless given"


PANELS = {
    "leaning": [(0, 0), (1000, 0), (1012, 300), (8, 305)],
    "tapering": [(0, 0), (1000, 0), (960, 310), (25, 280)],
    "turning": [(0, 0), (1000, 0), (1005, 330), (-3, 290)],
    "upright": [(0, 0), (300, 0), (290, 900), (12, 880)],
}


def upper_and_lower(corners: np.ndarray, x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Edge of a convex shape above and below, from the half planes on the left of its sides."""
    low, high = np.full(len(x), -np.inf), np.full(len(x), np.inf)
    for (ax, ay), (bx, by) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if abs(bx - ax) < 1e-9:
            outside = (x - ax) * (by - ay) > 1e-9
            low = np.where(outside, np.inf, low)
            continue
        at = ay + (x - ax) * (by - ay) / (bx - ax)
        low = np.maximum(low, at) if bx > ax else low
        high = np.minimum(high, at) if bx < ax else high
    return low, high


def best_on_a_raster(corners: np.ndarray, degrees: float, number: int = 160) -> float:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    turned = corners @ np.array([[c, -s], [s, c]])
    x = np.linspace(turned[:, 0].min(), turned[:, 0].max(), number)
    low, high = upper_and_lower(turned, x)
    height = np.minimum.outer(high, high) - np.maximum.outer(low, low)
    length = np.abs(np.subtract.outer(x, x))
    return float((np.maximum(height, 0) * length).max())


@pytest.mark.parametrize("name", PANELS)
def test_no_rectangle_of_a_raster_of_tilts_and_ends_is_larger(name: str) -> None:
    """61 tilts from -3 to 3 degrees, and all pairs of ends on the side of a raster of 160."""
    corners = np.array(PANELS[name], dtype=float)
    found = largest_rectangle(Skew(corners, 0.0))
    best = max(best_on_a_raster(corners, tilt) for tilt in np.linspace(-3, 3, 61))
    assert found.area_mm2 >= best
    assert found.area_mm2 == pytest.approx(best, rel=0.01)
    panel = shapely.Polygon(corners).buffer(1e-6)
    assert panel.covers(shapely.Polygon(found.corners))
    near = [best_on_a_raster(corners, found.angle_deg + off) for off in (-0.3, 0.0, 0.3)]
    assert near[1] >= max(near[0], near[2]) - 0.002 * near[1]


def test_a_true_rectangle_has_its_corners_where_its_tilt_puts_them() -> None:
    tilted = TrueRectangle((10.0, 20.0), 30.0, 100.0, 40.0)
    half, cos = 0.5, math.sqrt(0.75)
    wanted = [(0, 0), (100 * cos, 50), (100 * cos - 40 * half, 50 + 40 * cos), (-20, 40 * cos)]
    assert np.allclose(tilted.corners, np.add(wanted, (10, 20)))
    assert tilted.area_mm2 == 4000


@pytest.mark.parametrize("read", [-8.0, 6.0, 15.0])
def test_one_figure_over_shows_a_slip_of_the_tape(read: float) -> None:
    """Six distances between four corners: of all corners those are found that miss them least in
    the sum of squares, against a search by somebody else."""
    from scipy.optimize import least_squares

    figures = PanelMeasures(1000, 300, 1010, 305, 1050 + read, 1042)
    pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)]

    def missed(free: np.ndarray) -> np.ndarray:
        corners = np.array([(0, 0), (free[0], 0), free[1:3], free[3:5]])
        return np.array([math.dist(corners[a], corners[b]) for a, b in pairs]) - figures.distances

    start = np.array([1000.0, 1005, 300, 0, 300])
    best = least_squares(missed, start, xtol=1e-14, ftol=1e-14, gtol=1e-14).x
    found = skew_of(figures)
    assert np.allclose(found.corners.ravel()[[2, 4, 5, 6, 7]], best, atol=1e-4)
    assert found.misfit_mm == pytest.approx(float(np.abs(missed(best)).max()), abs=1e-4)
    assert found.corners[0].tolist() == [0, 0] and found.corners[1, 1] == 0
    length = math.dist(found.corners[2], found.corners[3]) - found.corners[1, 0]
    assert found.length_taper_mm == pytest.approx(length)
    width = math.dist(found.corners[2], found.corners[1]) - math.dist(found.corners[3], (0, 0))
    assert found.width_taper_mm == pytest.approx(width)
