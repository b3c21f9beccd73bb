"""Where lines touch: a ring is cut into the line that it touches, at one point of both."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point

from quiltpath.routing import junctions as contacts
from quiltpath.routing.edges import Edges, edges_of_lines
from quiltpath.routing.junctions import Contacts, contact_forest, contact_gaps, cut_at_contacts

TOLERANCE_MM = 0.2


def edges(*shapes: object) -> Edges:
    return edges_of_lines(np.array([None, *map(LineString, shapes)], dtype=object)[1:])


def meeting(found: Edges, *pairs: tuple[int, int]) -> Contacts:
    return Contacts.of(found, np.array(pairs, dtype=np.intp).reshape(-1, 2))


def ring(x: float, y: float, radius: float) -> np.ndarray:
    return shapely.get_coordinates(Point(x, y).buffer(radius).exterior)


def drawing(seed: int) -> tuple[Edges, np.ndarray, np.ndarray]:
    """Rings and lines anywhere; some are drawn in two edges that are one piece."""
    rng = np.random.default_rng(seed)
    shapes, piece, closed = [], [], []
    for number in range(16):
        x, y = rng.uniform(0, 200, 2)
        is_ring = rng.random() < 0.7
        shape = ring(x, y, rng.uniform(8, 25)) if is_ring else [(x, y), (x + 30, y + 20)]
        halves = [shape[:20], shape[19:]] if is_ring and rng.random() < 0.5 else [shape]
        shapes += halves
        piece += [number] * len(halves)
        closed += [is_ring] * len(halves)
    return edges(*shapes), np.array(piece), np.array(closed)


@pytest.mark.parametrize("chunk", [1, 3, contacts.CHUNK])
@pytest.mark.parametrize("seed", range(10))
def test_every_ring_that_touches_something_hangs_on_it(
    seed: int, chunk: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against networkx over all pairs: rings that hang together with open lines each hang on one,
    rings among themselves need one pair fewer, and nothing goes round in a circle."""
    monkeypatch.setattr(contacts, "CHUNK", chunk)
    found, piece, closed = drawing(seed)
    shapes = found.shapes()
    touching = nx.Graph()
    touching.add_nodes_from(range(16))
    for one, two in itertools.combinations(range(len(found)), 2):
        near = shapes[one].distance(shapes[two]) <= TOLERANCE_MM
        if near and piece[one] != piece[two] and (closed[one] or closed[two]):
            touching.add_edge(piece[one], piece[two])
    is_closed = dict(zip(piece.tolist(), closed.tolist(), strict=True))
    wanted = 0
    for group in nx.connected_components(touching):
        rings = sum(is_closed[number] for number in group)
        wanted += rings if rings < len(group) else rings - 1
    pairs = contact_forest(shapes, piece, closed, TOLERANCE_MM)
    assert len(pairs) == wanted
    hung = nx.Graph(piece[pairs].tolist())
    assert nx.is_empty(hung) or (nx.is_forest(hung) and hung.number_of_edges() == wanted)
    assert all(touching.has_edge(*edge) for edge in hung.edges)
    for group in nx.connected_components(hung):
        assert sum(not is_closed[number] for number in group) <= 1
    first = pairs[:, 0]
    assert closed[first].all(), "a ring is named first, then what it hangs on"


@pytest.mark.parametrize(("gap", "hangs"), [(0.19, True), (0.21, False)])
def test_a_ring_hangs_on_what_it_misses_by_no_more_than_the_tolerance(
    gap: float, hangs: bool
) -> None:
    """A square ring over, under, left and right of a cross of lines, at its corner."""
    square = np.array([(0, 0), (10, -10), (20, 0), (10, 10), (0, 0)], dtype=float)
    for turn in range(4):
        step = np.array([[0, 1], [-1, 0]])
        turned = (square + np.array([gap, 0])) @ np.linalg.matrix_power(step, turn)
        wall = np.array([(0, -30), (0, 30)]) @ np.linalg.matrix_power(step, turn)
        found = edges(turned, wall)
        pairs = contact_forest(found.shapes(), np.array([0, 1]), np.array([True, False]), 0.2)
        assert pairs.tolist() == ([[0, 1]] if hangs else [])


def test_lines_alone_and_pieces_that_are_one_already_hang_on_nothing() -> None:
    cross = edges([(0, 0), (10, 0)], [(5, -5), (5, 5)])
    assert contact_forest(cross.shapes(), np.array([0, 1]), np.zeros(2, bool), 0.2).shape == (0, 2)
    loop = edges(ring(0, 0, 9)[:20], ring(0, 0, 9)[19:])
    assert contact_forest(loop.shapes(), np.array([0, 0]), np.ones(2, bool), 0.2).shape == (0, 2)
    none = np.zeros(0, dtype=np.intp)
    assert len(contact_forest(edges().shapes(), none, none.astype(bool), 0.2)) == 0


def test_rings_take_turns_to_be_looked_at() -> None:
    """Two rings and two lines across both: the first neighbour of each ring, then the second."""
    shapes = edges(
        ring(0, 0, 9), ring(40, 0, 9), [(-20, 3), (60, 3)], [(-20, -3), (60, -3)]
    ).shapes()
    both = np.array([0, 1])
    pairs = np.column_stack(contacts._neighbours(shapes, both, 0.2, np.arange(4)))
    assert pairs.tolist() == [[0, 2], [1, 2], [0, 3], [1, 3]]
    pairs = np.column_stack(contacts._neighbours(shapes, both, 0.2, np.array([0, 1, 0, 1])))
    assert pairs.tolist() == [[1, 2], [0, 3]]


def test_two_rings_side_by_side_are_looked_at_once() -> None:
    shapes = edges(ring(0, 0, 9), ring(10, 0, 9), ring(20, 0, 9)).shapes()
    pairs = np.column_stack(contacts._neighbours(shapes, np.arange(3), 0.2, np.arange(3)))
    assert pairs.tolist() == [[1, 0], [2, 1]]


@pytest.mark.parametrize(
    ("other", "gap", "place"),
    [
        ([(20.0, -9.0), (20.0, 9.0)], 0.0, (20, 0)),
        ([(20.0, 0.15), (20.0, 9.0)], 0.15, (20, 0)),
        ([(40.1, 0.0), (60.0, 0.0)], 0.1, (40, 0)),
        ([(10.0, 0.0), (30.0, 0.0)], 0.0, (10, 0)),
    ],
)
def test_a_gap_is_told_with_its_width_and_its_place_on_the_first_line(
    other: list, gap: float, place: tuple[float, float]
) -> None:
    found = edges([(0, 90), (9, 90)], [(0, 0), (40, 0)], other)
    told = contact_gaps(found, meeting(found, (1, 2)))
    assert told[0].tolist() == pytest.approx([gap, *place, 1])


def parts_of(found: Edges, line: int) -> list[list[list[float]]]:
    return [found.ends[k].tolist() for k in np.flatnonzero(found.line == line)]


def test_two_lines_that_touch_are_cut_at_one_point_of_both() -> None:
    """At a crossing; where one misses the other by a tenth, the cut is on the first."""
    crossing = edges([(0, 0), (40, 0)], [(20, -9), (20, 9)])
    cut = cut_at_contacts(crossing, meeting(crossing, (0, 1)), 0.2)
    assert parts_of(cut, 0) == [[[0, 0], [20, 0]], [[20, 0], [40, 0]]]
    assert parts_of(cut, 1) == [[[20, -9], [20, 0]], [[20, 0], [20, 9]]]
    corner = edges([(0, 0), (40, 0)], [(10, 9), (20, 0.1), (30, 9)])
    cut = cut_at_contacts(corner, meeting(corner, (0, 1)), 0.2)
    assert parts_of(cut, 0) == [[[0, 0], [20, 0]], [[20, 0], [40, 0]]]
    assert parts_of(cut, 1) == [[[10, 9], [20, 0]], [[20, 0], [30, 9]]]
    assert cut_at_contacts(corner, meeting(corner), 0.2) is corner


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(("off", "at_end"), [(0.19, True), (0.21, False)])
def test_a_contact_within_the_tolerance_of_an_end_is_at_the_end(
    off: float, at_end: bool, turned: bool
) -> None:
    """An upright crosses a line just before either of its ends: no sliver is cut off there."""
    for x in (off, 40 - off):
        level, upright = [(0, 0), (40, 0)], [(x, -9), (x, 9)]
        found = edges(*((upright, level) if turned else (level, upright)))
        cut = cut_at_contacts(found, meeting(found, (0, 1)), 0.2)
        line, other = (1, 0) if turned else (0, 1)
        assert len(parts_of(cut, line)) == (1 if at_end else 2)
        place = [round(x / 40) * 40 if at_end else x, 0]
        (first, second) = parts_of(cut, other)
        assert first[1] == second[0] == pytest.approx(place)


def test_ends_that_meet_need_no_cut_and_an_end_on_a_line_cuts_that_line_alone() -> None:
    ends = edges([(0, 0), (40, 0)], [(40, 0), (60, 9)])
    assert len(cut_at_contacts(ends, meeting(ends, (0, 1)), 0.2)) == 2
    tee = edges([(0, 0), (40, 0)], [(20, 0), (20, 9)])
    for pair in ((0, 1), (1, 0)):
        cut = cut_at_contacts(tee, meeting(tee, pair), 0.2)
        assert [len(parts_of(cut, 0)), len(parts_of(cut, 1))] == [2, 1]


def test_each_pair_is_cut_at_its_own_contact() -> None:
    """A level line with three rings on it, named in any order, each cut where it meets the line."""
    found = edges([(0, 0), (90, 0)], ring(20, 10, 10), ring(45, 5, 5), ring(70, 8, 8))
    cut = cut_at_contacts(found, meeting(found, (3, 0), (1, 0), (2, 0)), 0.2)
    assert [end[1][0] for end in parts_of(cut, 0)] == pytest.approx([20, 45, 70, 90], abs=0.01)
    for line, x in ((1, 20), (2, 45), (3, 70)):
        (first, second) = parts_of(cut, line)
        assert first[1] == second[0] == pytest.approx([x, 0], abs=0.01)


@pytest.mark.parametrize("turned", [False, True])
def test_a_long_line_meets_others_where_both_are_or_come_nearest(turned: bool) -> None:
    """A line of 2000 points to and fro over rings and lines, some of which it does not reach."""
    x = np.linspace(0, 200, 2000)
    long = np.column_stack([x, 60 + 55 * np.sin(x)])
    rng = np.random.default_rng(5)
    others = [ring(*rng.uniform(0, 200, 2), 15) for _ in range(12)]
    others += [[(0, 60), (200, 61)], [(20, 150), (90, 190)]]
    found = edges(long, *others)
    pairs = [(k, 0) if turned else (0, k) for k in range(1, len(found))]
    spots = shapely.points(meeting(found, *pairs).point)
    shapes = found.shapes()
    first, second = (shapes[list(side)] for side in zip(*pairs, strict=True))
    away = shapely.distance(first, second)
    assert shapely.distance(spots, first) == pytest.approx(np.zeros(len(pairs)), abs=1e-9)
    assert shapely.distance(spots, second) == pytest.approx(away, abs=1e-9)
    assert (away > 1).any() and (away == 0).any()
