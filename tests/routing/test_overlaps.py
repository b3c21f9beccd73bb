"""Lines that lie on each other are sewn once."""

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from quiltpath.routing.edges import edges_of_lines
from quiltpath.routing.overlaps import _union_intervals, merge_overlaps


def once(*shapes: object) -> tuple[np.ndarray, list]:
    geometry = np.array([None, *map(LineString, shapes)], dtype=object)[1:]
    edges = edges_of_lines(geometry)
    left, told = merge_overlaps(edges, edges.line.astype(np.intp), 0.2)
    return left.shapes(), told


def test_a_line_drawn_twice_is_sewn_once_whichever_way_it_runs() -> None:
    left, told = once([(0, 0), (50, 0)], [(50, 0), (0, 0)])
    assert len(left) == 1
    assert (told[0].kept, told[0].lost, told[0].length_mm) == (0, 1, pytest.approx(50))


def test_a_partial_overlap_leaves_the_rest_of_the_second_line() -> None:
    left, _ = once([(0, 0), (50, 0)], [(30, 0), (80, 0)])
    assert shapely.length(left).tolist() == pytest.approx([50, 30])


def test_a_short_line_on_a_long_one_splits_nothing() -> None:
    left, _ = once([(0, 0), (100, 0)], [(20, 0.1), (40, 0.1)])
    assert shapely.length(left).tolist() == pytest.approx([100])


def test_a_long_line_on_a_short_one_keeps_its_two_ends() -> None:
    left, _ = once([(20, 0), (40, 0)], [(0, 0), (100, 0)])
    assert sorted(shapely.length(left)) == pytest.approx([20, 20, 60])


def test_a_ring_drawn_again_from_another_vertex_is_sewn_once() -> None:
    ring = np.array(Point(0, 0).buffer(30).exterior.coords)
    again = np.concatenate([ring[10:-1], ring[:11]])
    left, told = once(ring, again)
    assert len(left) == 1
    assert len(told) == 1


def test_curves_lie_on_each_other_wherever_they_do_and_nowhere_else() -> None:
    """Of two waves of small segments one runs along the other for half a period, turned back once;
    a third crosses both and has nothing to lose."""
    way = np.linspace(0, 200, 801)
    wave = np.column_stack([way, 20 * np.sin(way / 15)])
    shared = wave[300:500]
    after = shared[-1] + np.column_stack(
        [np.linspace(0.5, 40, 80), np.linspace(0.5, 60, 80) ** 1.1]
    )
    across = np.column_stack([way, way / 4 - 20])
    left, told = once(wave, np.vstack([shared, after])[::-1], across)
    assert [(each.kept, each.lost) for each in told] == [(0, 1)]
    assert told[0].length_mm == pytest.approx(LineString(shared).length, abs=1.0)
    kept = shapely.length(left).sum()
    whole = sum(LineString(line).length for line in (wave, after, across))
    assert kept == pytest.approx(whole, abs=2.0)


def test_a_curve_that_turns_back_on_itself_is_sewn_once() -> None:
    """Out along small segments and back over the same ones, with a sharp tip between."""
    way = np.linspace(0, 60, 241)
    out = np.column_stack([way, 8 * np.sin(way / 12)])
    left, told = once(np.vstack([out, out[-2::-1]]))
    assert [(each.kept, each.lost) for each in told] == [(0, 0)]
    assert shapely.length(left).sum() == pytest.approx(LineString(out).length, abs=0.5)


def test_nearly_level_long_lines_are_found_whatever_lies_beside_them() -> None:
    """Two lines of 3 m that open by 0.1 mm, among short level ones that are too far off."""
    beside = [[(x, y), (x + 20, y)] for x in range(0, 3000, 60) for y in (5.0, -5.0)]
    left, told = once([(0, 0), (3000, 0)], [(0, 0), (3000, 0.1)], *beside)
    assert [(each.kept, each.lost) for each in told] == [(0, 1)]
    assert shapely.length(left).sum() == pytest.approx(3000 + 20 * len(beside))


def test_lines_that_cross_or_run_side_by_side_stay_as_they_are() -> None:
    shapes = ([(0, 0), (50, 0)], [(25, -20), (25, 20)], [(0, 0.5), (50, 0.5)], [(50, 0), (90, 0)])
    left, told = once(*shapes)
    assert len(left) == 4
    assert told == []


def test_angles_close_to_the_axis_meet_from_both_sides() -> None:
    left, _ = once([(0, 0), (1000, 0.01)], [(0, 0), (1000, -0.01)])
    assert len(left) == 1


def test_a_line_that_doubles_back_keeps_one_pass() -> None:
    left, _ = once([(0, 0), (50, 0), (20, 0)])
    assert shapely.length(left).sum() == pytest.approx(50)


interval = st.tuples(st.integers(0, 60), st.integers(2, 30), st.booleans())


@settings(max_examples=40, deadline=None)
@given(st.lists(interval, min_size=1, max_size=8), st.integers(0, 11))
def test_what_is_sewn_is_as_long_as_the_union(spans: list, turn: int) -> None:
    """Against a count of the covered millimetres, at any angle."""
    unit = np.array([np.cos(turn * np.pi / 12), np.sin(turn * np.pi / 12)])
    shapes = []
    for low, size, back in spans:
        ends = [unit * low, unit * (low + size)]
        shapes.append(ends[::-1] if back else ends)
    left, _ = once(*shapes)
    cover = np.zeros(100, dtype=bool)
    for low, size, _ in spans:
        cover[low : low + size] = True
    assert shapely.length(left).sum() == pytest.approx(np.count_nonzero(cover))


def test_the_line_of_higher_rank_keeps_the_stretch() -> None:
    """Ranks count upwards; where two are equal the earlier line keeps."""
    shapes = np.array([LineString([(0, 0), (50, 0)]), LineString([(30, 0), (80, 0)])])
    edges = edges_of_lines(shapes)
    for priority, kept in (([0, 1], 0), ([1, 0], 1), ([3, 3], 0)):
        left, (told,) = merge_overlaps(edges, np.array(priority), 0.2)
        assert (told.kept, told.lost) == (kept, 1 - kept)
        assert told.length_mm == pytest.approx(20)
        assert told.at_mm == pytest.approx((30, 0))
        assert dict(zip(left.line.tolist(), left.length_mm.tolist(), strict=True)) == pytest.approx(
            {kept: 50, 1 - kept: 30}
        )


@pytest.mark.parametrize("turn", range(0, 180, 15))
@pytest.mark.parametrize("far", [False, True])
@pytest.mark.parametrize(
    ("ends", "lost"),
    [
        ([(100, -0.15), (900, 0.15)], 800),
        ([(100, 0.05), (900, 0.19)], 800),
        ([(900, 0.19), (100, 0.05)], 800),
        ([(100, 0.05), (900, 0.25)], 0),
        ([(100, 0.19), (900, 0.19)], 800),
        ([(100, 0.21), (900, 0.21)], 0),
        ([(900, 0.0), (1100, 0.05)], 100),
        ([(500, 0.0), (510, 0.08)], 10),
        ([(500, 0.0), (510, 0.11)], 0),
        ([(999.85, 0.0), (1099, 0.0)], 0),
        ([(999.7, 0.0), (1099, 0.0)], 0.3),
        ([(-50, 0.0), (0.15, 0.0)], 0),
        ([(500, 0.0), (500.3, 0.0)], 0.3),
    ],
)
def test_lines_lie_on_each_other_within_a_fifth_of_a_millimetre_and_half_a_degree(
    ends: list, lost: float, turn: int, far: bool
) -> None:
    """On a line of a metre, tolerance 0.2 mm, by arithmetic: 0.08 in 10 is 0.46 degrees, 0.11 is
    0.63; less than the tolerance is no overlap. It is so at any angle, and far from the middle."""
    unit = np.array([np.cos(np.radians(turn)), np.sin(np.radians(turn))])
    turned = np.array([unit, [-unit[1], unit[0]]])
    shapes = [np.array([(0.0, 0.0), (1000.0, 0.0)]) @ turned, np.array(ends, float) @ turned]
    if far:
        shapes.append(np.array([(9000.0, 4000.0), (9010.0, 4007.0)]))
    left, told = once(*shapes)
    assert sum(one.length_mm for one in told) == pytest.approx(lost, abs=1e-3)
    whole = sum(float(np.hypot(*(shape[1] - shape[0]))) for shape in shapes)
    assert shapely.length(left).sum() == pytest.approx(whole - lost, abs=1e-3)


@pytest.mark.parametrize("seed", range(30))
def test_walks_on_a_lattice_are_sewn_once_over_each_edge(seed: int) -> None:
    """Against a count edge by edge: what is left, who kept and who lost how much, and where.

    Each step of each walk is compared with every other; of two on one edge the one whose line has
    the better rank keeps it, or else the earlier.
    """
    rng = np.random.default_rng(seed)
    steps = np.array([(10, 0), (0, 10), (-10, 0), (0, -10)])
    walks = []
    for _ in range(rng.integers(2, 6)):
        taken = steps[rng.integers(0, 4, rng.integers(1, 9))]
        walks.append(10 * rng.integers(0, 4, 2) + np.concatenate([[[0, 0]], taken.cumsum(axis=0)]))
    priority = rng.integers(0, 3, len(walks))
    passes = [
        (int(priority[line]), number, line, tuple(walk[k]), tuple(walk[k + 1]))
        for number, (line, walk, k) in enumerate(
            (line, walk, k) for line, walk in enumerate(walks) for k in range(len(walk) - 1)
        )
    ]
    lost: dict[tuple[int, int], list] = {}
    for one, two in itertools.combinations(passes, 2):
        if {one[3], one[4]} == {two[3], two[4]}:
            keeper, loser = sorted([one, two])
            entry = lost.setdefault((loser[2], keeper[2]), [0.0, loser[3]])
            entry[0] += 10.0
    edges = edges_of_lines(np.array([None, *map(LineString, walks)], dtype=object)[1:])
    left, told = merge_overlaps(edges, priority.astype(np.intp), 0.2)
    edges = {frozenset([one[3], one[4]]): 10.0 for one in passes}
    assert left.length_mm.sum() == pytest.approx(sum(edges.values()))
    assert [(one.lost, one.kept) for one in told] == sorted(lost)
    for one in told:
        length, at = lost[one.lost, one.kept]
        assert one.length_mm == pytest.approx(length)
        assert one.at_mm == pytest.approx(at)
    for line, length in zip(left.line.tolist(), left.length_mm.tolist(), strict=True):
        assert length > 1e-6
        assert line in range(len(walks))
    winners = {frozenset([one[3], one[4]]): one[2] for one in sorted(passes, reverse=True)}
    for line in range(len(walks)):
        own = sum(10.0 for winner in winners.values() if winner == line)
        assert left.length_mm[left.line == line].sum() == pytest.approx(own)


@pytest.mark.parametrize(("off", "rest"), [(0.19, []), (0.21, [0.21, 0.21])])
def test_a_rest_shorter_than_the_tolerance_is_not_left_over(off: float, rest: list[float]) -> None:
    """A line of 100 mm on one that begins and ends so much inside it; as first line or as last."""
    for before, after in ((0, 0), (1, 2)):
        aside = [[(0, 50 + y), (70, 51 + y)] for y in range(before + after)]
        shapes = [*aside[:before], [(off, 0), (100 - off, 0)], [(0, 0), (100, 0)], *aside[before:]]
        left, told = once(*shapes)
        own = [shape.length for shape in left if shape.bounds[3] < 1]
        assert own == pytest.approx([100 - 2 * off, *rest])
        assert [one.length_mm for one in told] == pytest.approx([100 - 2 * off])


def test_what_lies_between_two_lines_under_a_long_one_stays() -> None:
    """Half a millimetre between them; where one lies under two, that stretch is left out once."""
    left, told = once([(0, 0), (40, 0)], [(40.5, 0), (100, 0)], [(0, 0), (100, 0)])
    assert shapely.length(left).tolist() == pytest.approx([40, 59.5, 0.5])
    assert [(one.kept, one.length_mm) for one in told] == [
        (0, pytest.approx(40)),
        (1, pytest.approx(59.5)),
    ]
    left, _ = once([(0, 0), (100, 0)], [(10, 0.1), (60, 0.1)], [(5, 0.05), (120, 0.05)])
    assert shapely.length(left).tolist() == pytest.approx([100, 20])


def test_lines_that_follow_one_another_lose_each_its_own_stretch() -> None:
    """One ends where the next begins, and both lie half on a third one."""
    left, _ = once([(0, 0), (100, 0)], [(-30, 0), (50, 0)], [(50, 0), (130, 0)])
    assert shapely.length(left).tolist() == pytest.approx([100, 30, 30])
    assert [shape.bounds[0] for shape in left] == pytest.approx([0, -30, 100])


def test_short_sides_lie_on_each_other_for_more_than_half_their_length() -> None:
    """A zigzag of sides shorter than the tolerance, drawn again: sewn once all the same."""
    zigzag = np.array([(0.15 * k, 0.1 * (k % 2)) for k in range(12)])
    left, told = once(zigzag, zigzag[::-1])
    assert len(left) == 1 and left[0].length == pytest.approx(LineString(zigzag).length)
    assert sum(one.length_mm for one in told) >= LineString(zigzag).length * 0.99
    apart, _ = once([(0, 0), (0.19, 0)], [(0.1, 0), (0.29, 0)])
    assert len(apart) == 2, "0.09 of 0.19 mm: less than half"
    near, _ = once([(0, 0), (0.19, 0)], [(0.09, 0), (0.28, 0)])
    assert len(near) == 1, "0.1 of 0.19 mm: more than half, and the rest is a hair"


@pytest.mark.parametrize("seed", range(6))
def test_curves_drawn_again_with_other_vertices_are_sewn_once(seed: int) -> None:
    """A ring of 720 sides, and one of 1440 inside whose sides turn an eighth of a degree from
    them. Anywhere, and with far lines drawn beside."""
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(-500, 500, 2)
    turns = [np.linspace(0, 2 * np.pi, n + 1) for n in (720, 1440)]
    rings = [np.column_stack([x + 100 * np.cos(t), y + 100 * np.sin(t)]) for t in turns]
    far = rng.uniform(-2000, 2000, (5, 2, 2)).tolist()
    left, told = once(*rings, *far)
    whole = LineString(rings[0]).length
    kept = [shape for shape in left if LineString(rings[0]).buffer(1).covers(shape)]
    assert sum(shape.length for shape in kept) == pytest.approx(whole, rel=1e-3)
    assert sum(one.length_mm for one in told) == pytest.approx(
        LineString(rings[1]).length, rel=0.01
    )


@pytest.mark.parametrize("seed", range(8))
def test_stretches_that_overlap_or_touch_are_one_and_strands_are_kept_apart(seed: int) -> None:
    """Against a count of tenths of a millimetre; edge 0 ends at 50, where edge 1 begins."""
    rng = np.random.default_rng(seed)
    owner = rng.integers(0, 2, 7)
    begin = rng.integers(0, 46, 7)
    low, high = 50 * owner + begin, 50 * owner + np.minimum(begin + rng.integers(1, 15, 7), 50)
    wanted = []
    for edge in range(2):
        tenths = np.zeros(502, dtype=bool)
        for a, b in zip(low[owner == edge], high[owner == edge], strict=True):
            tenths[10 * (a - 50 * edge) + 1 : 10 * (b - 50 * edge) + 1] = True
        edges = np.flatnonzero(np.diff(tenths.astype(int)))
        wanted += (50 * edge + edges.reshape(-1, 2) / 10).tolist()
    assert _union_intervals(owner, low.astype(float), high.astype(float)).tolist() == wanted


@pytest.mark.parametrize("turn", range(0, 360, 40))
@pytest.mark.parametrize("rise", [0.09, -0.09])
def test_short_lines_a_little_askew_lie_on_each_other_as_long_ones_do(
    turn: int, rise: float
) -> None:
    """20 mm long, 0.1 mm apart at one end and 0.19 or 0.01 mm at the other: a quarter of a degree,
    and all of it within 0.2 mm."""
    way = np.radians(turn + 7)
    turned = np.array([(np.cos(way), np.sin(way)), (-np.sin(way), np.cos(way))])
    level, askew = np.array([(0, 0), (20, 0)]) @ turned, [(0, 0.1), (20, 0.1 + rise)] @ turned
    for shapes in ((level, askew), (askew, level), (askew[::-1], level)):
        left, told = once(*shapes)
        assert len(left) == len(told) == 1
        assert told[0].length_mm == pytest.approx(20, abs=0.01)
