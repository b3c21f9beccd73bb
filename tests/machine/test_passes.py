"""Passes of a frame: each a path of its own, all lines sewn, none twice, nothing out of reach."""

from __future__ import annotations

import functools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box

from quiltpath.machine.pass_bands import HidingGrade, PassBands
from quiltpath.machine.passes import (
    FramedCloth,
    PassSewing,
    SewnPasses,
    _order,
    _way,
    route_passes,
    sewn_lines,
    split_passes,
)
from quiltpath.patterns import Lines
from quiltpath.patterns.lines import layer_lines
from quiltpath.project.sewing_sections import StitchSection
from quiltpath.routing import PieceKind, Runs, policy_named, route
from quiltpath.stitching import PointKind

LENGTH, WIDTH, MARGIN = 900.0, 300.0, 50.0
EDGE = box(0, 0, LENGTH, WIDTH)
POLICY = policy_named("continuous")
STITCH = StitchSection()
OVER = 12.0


def _lines(*shapes: object) -> Lines:
    return layer_lines([LineString(shape) for shape in shapes], name="test")


def crosswise(spacing: float = 40.0) -> list[LineString]:
    return [LineString([(x, -OVER), (x, WIDTH + OVER)]) for x in np.arange(20.0, LENGTH, spacing)]


def lengthwise(spacing: float = 40.0) -> list[LineString]:
    return [LineString([(-OVER, y), (LENGTH + OVER, y)]) for y in np.arange(20.0, WIDTH, spacing)]


def slanted(spacing: float = 60.0) -> list[LineString]:
    cloth = EDGE.buffer(OVER, join_style="mitre")
    tall = WIDTH + 2 * OVER
    drawn = [
        LineString([(x, -OVER), (x + slope * tall, WIDTH + OVER)]).intersection(cloth)
        for slope in (1, -1)
        for x in np.arange(-tall, LENGTH + tall, spacing)
    ]
    return [line for line in drawn if line.length > 10]


def passes_of(lines: Lines, depth: float, **more: object) -> tuple[SewnPasses, Runs]:
    runs = route(lines, POLICY, EDGE, MARGIN)
    low, high = runs.coordinates.min(axis=0), runs.coordinates.max(axis=0)
    bands = PassBands(float(low[1]), float(high[1]), depth, 12.0)
    cloth = FramedCloth(EDGE, MARGIN, (float(low[0]) - 1, float(high[0]) + 1))
    return sewn(lines, runs, bands, cloth, **more), runs


def sewn(
    lines: Lines, runs: Runs, bands: PassBands, cloth: FramedCloth, **more: object
) -> SewnPasses:
    """The lines that ``runs`` sew, parted between ``bands`` and routed pass by pass."""
    split = split_passes(sewn_lines(runs, len(lines)), bands, cloth.printed)
    sewing = PassSewing(POLICY, STITCH, **more)  # type: ignore[arg-type]
    return route_passes(split, lines, bands, sewing, cloth)


def _sewn_shape(runs: Runs) -> shapely.MultiLineString:
    pieces = np.split(runs.coordinates, runs.piece_start[1:-1])
    kinds = runs.piece_kind.tolist()
    kept = [p for p, kind in zip(pieces, kinds, strict=True) if kind == PieceKind.LINE]
    return shapely.multilinestrings([LineString(piece) for piece in kept])


def _all_once(made: SewnPasses, runs: Runs) -> None:
    """Nothing of the whole is further than 0.1 mm from the passes' lines, and nothing of theirs
    from the whole; and as the lengths are the same too, nothing is sewn twice."""
    together = shapely.union_all([_sewn_shape(each.runs) for each in made.passes])
    whole = shapely.union_all(_sewn_shape(runs))
    assert shapely.hausdorff_distance(whole, together) <= 0.1
    assert shapely.hausdorff_distance(together, whole) <= 0.1
    length = sum(each.runs.kind_length_mm(PieceKind.LINE) for each in made.passes)
    assert length == pytest.approx(runs.kind_length_mm(PieceKind.LINE), abs=0.01)


DRAWINGS = {
    "grid": [*lengthwise(), *crosswise()],
    "crosshatch": slanted(),
    "crosswise": crosswise(),
    "rings": [
        Point(x, y).buffer(62).exterior for x in (120, 300, 480) for y in (75, 150.5, 225)
    ],
}  # fmt: skip


@functools.cache
def made(drawing: str, depth: float, overlap_stitches: int = 0) -> tuple[SewnPasses, Runs]:
    lines = _lines(*DRAWINGS[drawing])
    return passes_of(lines, depth, overlap_stitches=overlap_stitches)


@pytest.mark.parametrize("depth", [280.0, 200.0, 130.0])
@pytest.mark.parametrize("drawing", DRAWINGS)
def test_the_passes_put_back_together_are_all_lines_and_none_is_sewn_twice(
    drawing: str, depth: float
) -> None:
    _all_once(*made(drawing, depth))


@pytest.mark.parametrize("depth", [280.0, 200.0, 130.0])
@pytest.mark.parametrize("drawing", DRAWINGS)
def test_a_pass_stays_in_its_reach_and_has_the_fewest_runs(drawing: str, depth: float) -> None:
    for each in made(drawing, depth)[0].passes:
        low, high = each.window
        assert high - low == pytest.approx(depth)
        y = each.stitches.points[:, 1]
        assert low - 1e-4 <= y.min() and y.max() <= high + 1e-4
        assert len(each.runs) == each.runs.runs_lower_bound


@pytest.mark.parametrize("depth", [280.0, 200.0, 130.0])
@pytest.mark.parametrize("drawing", ["grid", "crosshatch"])
def test_each_pass_over_crossing_lines_is_one_continuous_path(drawing: str, depth: float) -> None:
    """Where lines cross at the pass line, their cut ends have another line to go on along; only
    the path's own start and end may lie on the cloth, and on a grid they need not."""
    sewn = made(drawing, depth)[0]
    assert [len(each.runs) for each in sewn.passes] == [1] * len(sewn.passes)
    if drawing == "grid":
        assert not any(each.runs.secured.any() for each in sewn.passes)
    assert all(cut.hiding <= HidingGrade.CROSSES for cuts in sewn.cuts for cut in cuts)


def test_lines_that_cross_nothing_end_at_the_pass_line_and_are_tied_beyond_the_edge_in_pairs() -> (
    None
):
    """21 lines cut in two: each pass has 21 ends inside, and 20 of those beyond the edge are tied
    in pairs: the half of the 22 odd ends that are left, as Euler has it."""
    sewn, _ = passes_of(_lines(*crosswise()[:-1]), 200.0)
    for each in sewn.passes:
        assert len(each.runs) == 11
        assert np.count_nonzero(each.runs.secured) == 21
    assert len(sewn.cuts[0]) == 21


@given(
    heights=st.lists(st.integers(-12, 312), min_size=1, max_size=6),
    slopes=st.lists(st.tuples(st.integers(0, 900), st.integers(0, 900)), min_size=1, max_size=8),
    depth=st.integers(70, 330),
)
@settings(deadline=None, max_examples=30)
def test_any_lines_are_all_sewn_once_within_reach(
    heights: list[int], slopes: list[tuple[int, int]], depth: int
) -> None:
    shapes = [[(-OVER, y), (450, 300 - y), (LENGTH + OVER, y)] for y in heights]
    shapes += [[(a, -OVER), (b, WIDTH + OVER)] for a, b in slopes]
    sewn, runs = passes_of(_lines(*shapes), float(depth))
    _all_once(sewn, runs)
    for each in sewn.passes:
        y = each.stitches.points[:, 1]
        assert each.window[0] - 1e-4 <= y.min() and y.max() <= each.window[1] + 1e-4
        assert len(each.runs) >= each.runs.runs_lower_bound


def test_thread_ends_at_a_cut_are_secured() -> None:
    sewn, _ = made("crosswise", 200.0)
    for each in sewn.passes:
        ends = np.count_nonzero(each.runs.secured)
        tiny = np.count_nonzero(each.stitches.kind == PointKind.SECURING)
        assert ends > 0
        assert tiny == ends * STITCH.securing_count


def test_with_an_overlap_the_pass_sewn_first_sews_on_beyond_the_cut() -> None:
    """Three stitches of 3.2 mm a cut, by the pass that is sewn first alone."""
    plain, longer = made("crosswise", 200.0)[0], made("crosswise", 200.0, 3)[0]
    first, second = longer.order
    assert first == 1
    grown = [
        b.runs.kind_length_mm(PieceKind.LINE) - a.runs.kind_length_mm(PieceKind.LINE)
        for a, b in zip(plain.passes, longer.passes, strict=True)
    ]
    assert grown[first] == pytest.approx(3 * 3.2 * len(plain.cuts[0]))
    assert grown[second] == pytest.approx(0.0)


def test_a_cut_lies_on_a_printed_sashing_line_where_no_quilting_crosses() -> None:
    lines = _lines(*crosswise())
    runs = route(lines, POLICY, EDGE, MARGIN)
    sashing = LineString([(0, 137.0), (LENGTH, 137.0)])
    cloth = FramedCloth(EDGE, MARGIN, (-50.0, LENGTH + 50.0), (sashing,))
    made = sewn(lines, runs, PassBands(-12, 312, 200.0, 12.0), cloth)
    assert {cut.at_mm[1] for cut in made.cuts[0]} == {137.0}
    assert {cut.hiding for cut in made.cuts[0]} == {HidingGrade.CROSSES}


def test_from_the_middle_outwards_the_middle_pass_is_sewn_first() -> None:
    assert made("grid", 130.0)[0].order == (2, 1, 0)
    assert passes_of(_lines(*DRAWINGS["grid"]), 130.0, centre_out=True)[0].order == (1, 2, 0)


def test_the_lines_of_the_whole_are_taken_without_retracing_and_margin() -> None:
    lines = _lines(*DRAWINGS["grid"])
    runs = route(lines, POLICY, EDGE, MARGIN)
    pieces = sewn_lines(runs, len(lines))
    assert sorted(pieces.origin.tolist()) == list(range(len(lines)))
    assert shapely.length(pieces.shape).sum() == pytest.approx(shapely.length(lines.geometry).sum())


@pytest.mark.parametrize(
    ("depth", "passes"), [(324, 1), (323, 2), (168, 2), (167.9, 3), (116, 3), (115.9, 4)]
)
def test_the_fewest_passes_are_counted_by_hand(depth: float, passes: int) -> None:
    """324 mm: n passes of d that share 12 mm reach n d - 12 (n - 1): 168 -> 324, 116 -> 324."""
    assert len(PassBands(-12.0, 312.0, depth, 12.0)) == passes


def test_a_depth_no_more_than_the_overlap_is_refused() -> None:
    with pytest.raises(ValueError, match="the overlap takes up the whole depth"):
        PassBands(0.0, 300.0, 12.0, 12.0)


@pytest.mark.parametrize(
    ("count", "from_far", "from_centre"),
    [
        (1, (0,), (0,)),
        (2, (1, 0), (1, 0)),
        (3, (2, 1, 0), (1, 2, 0)),
        (4, (3, 2, 1, 0), (2, 1, 3, 0)),
        (5, (4, 3, 2, 1, 0), (2, 3, 1, 4, 0)),
    ],
)
def test_of_passes_as_near_to_the_middle_the_far_one_comes_first(
    count: int, from_far: tuple[int, ...], from_centre: tuple[int, ...]
) -> None:
    assert _order(count, False) == from_far
    assert _order(count, True) == from_centre


@pytest.mark.parametrize(
    ("by", "top", "way"),
    [
        (5.0, 60.0, [(0, 15)]),
        (12.0, 60.0, [(0, 20), (2, 20)]),
        (99.0, 60.0, [(0, 20), (30, 20), (30, 50)]),
        (99.0, 40.0, [(0, 20), (30, 20), (30, 40)]),
        (12.0, 18.0, [(0, 18)]),
        (12.0, 9.0, []),
    ],
)
def test_the_way_on_beyond_a_cut_follows_the_line_as_far_as_the_pass_reaches(
    by: float, top: float, way: list[tuple[float, float]]
) -> None:
    """From (0, 10) up to 20, 30 along and up again to 50; the pass reaches to ``top``."""
    line = np.array([(0, 10), (0, 20), (30, 20), (30, 50)], dtype=float)
    found = _way(line, by, box(-50, -50, 50, top))
    assert found == pytest.approx(np.array(way, dtype=float).reshape(-1, 2))


def test_where_a_line_comes_back_into_reach_nothing_more_is_sewn() -> None:
    """Up out of reach at 18 and down again further on: the first stretch alone is the way on."""
    line = np.array([(0, 10), (0, 30), (9, 30), (9, 0)], dtype=float)
    assert _way(line, 99.0, box(-50, -50, 50, 18)).tolist() == [[0.0, 18.0]]
