"""Lines that lie on each other are sewn once."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from quiltpath.routing.overlaps import sewn_once
from quiltpath.routing.strands import strands_of


def once(*shapes: object) -> tuple[np.ndarray, list]:
    geometry = np.array([None, *map(LineString, shapes)], dtype=object)[1:]
    strands = strands_of(geometry)
    left, told = sewn_once(strands, strands.line.astype(np.intp), 0.2)
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
