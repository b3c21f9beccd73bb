"""Edges in flat arrays do what shapely does with one line at a time."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString
from shapely.ops import substring

from quiltpath.routing import PieceKind
from quiltpath.routing.edges import (
    Edges,
    concatenate_edges,
    cut_edges,
    edges_of_lines,
    gather_slices,
)


def polylines(seed: int, count: int = 6) -> list[LineString]:
    rng = np.random.default_rng(seed)
    return [LineString(rng.uniform(0, 100, (rng.integers(2, 7), 2))) for _ in range(count)]


def edges(lines: list[LineString]) -> Edges:
    return edges_of_lines(np.array([None, *lines], dtype=object)[1:])


SEEDS = pytest.mark.parametrize("seed", range(8))


@SEEDS
def test_measures_of_each_strand_are_those_of_its_line(seed: int) -> None:
    lines = polylines(seed)
    found = edges(lines)
    assert len(found) == len(lines)
    assert found.line.tolist() == list(range(len(lines)))
    assert set(found.kind.tolist()) == {PieceKind.LINE}
    assert found.length_mm == pytest.approx([line.length for line in lines])
    for line, ends, headings, shape in zip(
        lines, found.ends, found.headings, found.shapes(), strict=True
    ):
        points = np.array(line.coords)
        assert np.allclose(ends, points[[0, -1]])
        inwards = np.array([points[1] - points[0], points[-2] - points[-1]])
        assert np.allclose(headings, inwards / np.hypot(*inwards.T)[:, None])
        assert shape.equals(line)


def test_a_heading_of_no_length_is_no_direction() -> None:
    still = Edges(
        np.array([(1.0, 2), (1, 2)]), np.array([0, 2]), np.zeros(1, np.int32), np.zeros(1, np.int8)
    )
    assert still.headings.tolist() == [[[0, 0], [0, 0]]]


def test_points_that_repeat_and_lines_without_length_are_left_out() -> None:
    lines = [
        LineString([(0, 0), (0, 0), (5, 0), (5, 0), (5, 5)]),
        LineString([(3, 3), (3, 3)]),
        LineString([(5, 5), (9, 5)]),
    ]
    found = edges(lines)
    assert found.line.tolist() == [0, 2]
    assert found.coordinates.tolist() == [[0, 0], [5, 0], [5, 5], [5, 5], [9, 5]]
    assert found.start.tolist() == [0, 3, 5]


@SEEDS
def test_strands_are_chosen_in_the_order_given_and_put_one_after_the_other(seed: int) -> None:
    lines = polylines(seed)
    found = edges(lines)
    chosen = np.array([4, 1, 1, 5])
    taken = found.take(chosen)
    assert taken.line.tolist() == chosen.tolist()
    assert [line.equals(lines[k]) for line, k in zip(taken.shapes(), chosen, strict=True)] == (
        [True] * 4
    )
    mask = np.isin(np.arange(6), [0, 3])
    both = concatenate_edges([taken, found.take(mask).marked(PieceKind.MARGIN)])
    assert both.line.tolist() == [4, 1, 1, 5, 0, 3]
    assert both.kind.tolist() == [PieceKind.LINE] * 4 + [PieceKind.MARGIN] * 2
    for shape, k in zip(both.shapes(), both.line, strict=True):
        assert shape.equals(lines[k])


def test_slices_of_a_flat_array_are_gathered_as_lists_are() -> None:
    start = np.array([0, 2, 2, 5, 9])
    rows = [list(range(a, b)) for a, b in itertools.pairwise(start)]
    index = np.array([3, 0, 1, 2, 3])
    position, offsets = gather_slices(start, index)
    assert position.tolist() == [at for k in index for at in rows[k]]
    assert np.diff(offsets).tolist() == [len(rows[k]) for k in index]


@pytest.mark.parametrize("given", [False, True])
@SEEDS
def test_strands_are_cut_where_a_tape_would_cut_them(seed: int, given: bool) -> None:
    """Against shapely's part of a line from one length to another, at places in any order."""
    rng = np.random.default_rng(100 + seed)
    lines = polylines(seed)
    edge = rng.integers(0, 6, 9)
    at = np.array([rng.uniform(0.05, 0.95) * lines[k].length for k in edge])
    point = np.array([lines[k].interpolate(a).coords[0] for k, a in zip(edge, at, strict=True)])
    parts = cut_edges(edges(lines), edge, at, point if given else None)
    wanted = []
    for k, line in enumerate(lines):
        marks = [0.0, *np.sort(at[edge == k]), line.length]
        wanted += [(k, substring(line, a, b)) for a, b in itertools.pairwise(marks)]
    assert parts.line.tolist() == [k for k, _ in wanted]
    for shape, (_, part) in zip(parts.shapes(), wanted, strict=True):
        assert shape.equals_exact(part, 1e-6)


def test_a_cut_at_a_vertex_or_at_an_end_leaves_no_part_without_length() -> None:
    bent = edges([LineString([(0, 0), (5, 0), (5, 5)]), LineString([(9, 0), (9, 4)])])
    parts = cut_edges(bent, np.array([0, 0, 0, 1]), np.array([5.0, 0.0, 10.0, 4.0]))
    assert parts.length_mm.tolist() == [5, 5, 4]
    assert parts.coordinates.tolist() == [[0, 0], [5, 0], [5, 0], [5, 5], [9, 0], [9, 4]]
    assert cut_edges(bent, np.zeros(0, dtype=np.intp), np.zeros(0)) is bent


def test_strands_of_strands_that_touch_are_cut_each_in_its_own_length() -> None:
    """Two edges end to end, so that one ends at the arc length at which the next begins."""
    pair = edges([LineString([(0, 0), (6, 0)]), LineString([(6, 0), (6, 8)])])
    parts = cut_edges(pair, np.array([1, 0, 1]), np.array([5.0, 2.0, 3.0]))
    assert parts.line.tolist() == [0, 0, 1, 1, 1]
    assert parts.length_mm.tolist() == [2, 4, 3, 2, 3]
    whole = cut_edges(pair, np.array([0, 1]), np.array([6.0, 0.0]))
    assert whole.coordinates.tolist() == pair.coordinates.tolist()
    assert whole.start.tolist() == pair.start.tolist()


def test_two_strands_are_cut_at_exactly_one_point() -> None:
    """The point given stands in both, though neither line runs through it to the last digit."""
    lines = [LineString([(0, 0), (10, 3)]), LineString([(0, 3), (10, 0)])]
    point = np.array([(5.0, 1.5 + 1e-12)] * 2)
    at = np.array([lines[0].length / 2, lines[1].length / 2])
    ends = cut_edges(edges(lines), np.array([0, 1]), at, point).ends
    assert (ends[[0, 2], 1] == point).all() and (ends[[1, 3], 0] == point).all()


def test_ends_of_one_node_come_to_lie_at_one_place() -> None:
    lines = [LineString([(0, 0), (5, 1), (10, 0)]), LineString([(10.1, 0), (20, 0)])]
    met = edges(lines).on_nodes(np.array([[0, 1], [1, 2]]))
    assert met.ends.tolist() == [[[0, 0], [10, 0]], [[10, 0], [20, 0]]]
    assert met.coordinates[1].tolist() == [5, 1]
    assert shapely.length(met.shapes())[1] == pytest.approx(10)


def test_nodes_are_shared_by_ends_that_meet_or_nearly_do() -> None:
    """A tenth of a millimetre apart: two nodes, or one within a tolerance of 0.2 mm."""
    lines = edges([LineString([(0, 0), (10, 0)]), LineString([(10.1, 0), (20, 0)])])
    assert lines.nodes().tolist() == [[0, 1], [2, 3]]
    assert lines.nodes(0.2).tolist() == [[0, 1], [1, 2]]
    assert lines.nodes(0.09).tolist() == [[0, 1], [2, 3]]


def test_arc_length_runs_on_over_the_gap_to_the_next_strand() -> None:
    lines = edges([LineString([(0, 0), (3, 4), (3, 5)]), LineString([(3, 7), (3, 17)])])
    assert lines.along_mm.tolist() == [0, 5, 6, 8, 18]


def test_a_line_without_points_between_others_is_left_out() -> None:
    found = edges(
        [LineString(), LineString([(0, 0), (1, 0)]), LineString(), LineString([(1, 0), (2, 0)])]
    )
    assert found.line.tolist() == [1, 3]
    assert found.length_mm.tolist() == [1, 1]


def test_nothing_drawn_is_no_strands() -> None:
    none = edges([])
    assert len(none) == len(none.along_mm) == len(none.shapes()) == len(none.length_mm) == 0


@pytest.mark.parametrize("off_mm", [-2e-13, 0.0, 2e-13])
def test_a_cut_beside_a_vertex_leaves_no_step_that_heads_anywhere(off_mm: float) -> None:
    line = edges([LineString([(0, 0), (10, 0), (20, 0)])])
    point = np.array([[10.0 + off_mm, 2e-13]])
    parts = cut_edges(line, np.array([0]), np.array([10.0 + off_mm]), point)
    assert [len(shape.coords) for shape in parts.shapes()] == [2, 2]
    assert parts.headings[:, :, 0] == pytest.approx(np.array([[1, -1], [1, -1]]))
    assert (parts.ends[0, 1] == point[0]).all() and (parts.ends[1, 0] == point[0]).all()
