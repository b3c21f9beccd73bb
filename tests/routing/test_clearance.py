"""Thread runs along the curve at a motif's clearance, from one line's end to the next."""

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LineString, Point, box

from quiltpath.patterns import Lines
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import PieceKind, policy_named, route
from quiltpath.routing.clearance import clearance_edges

CLOTH = box(0, 0, 400, 200)
HOLE = box(150, 50, 250, 150)


def rows_round_a_hole(count: int) -> Lines:
    """Rows across the cloth, cut by a square hole, whose edge is the curve."""
    heights = 50 + (np.arange(count) + 0.5) * 100 / count
    left = [LineString([(-12, y), (150, y)]) for y in heights]
    right = [LineString([(250, y), (412, y)]) for y in heights]
    curve = np.array([LineString(HOLE.exterior.coords), None], dtype=object)[:1]
    return replace(layer_lines(left + right, name="fill"), curves=curve)


@pytest.mark.parametrize("count", [2, 4, 8])
def test_lines_that_end_at_a_motif_are_one_run_round_it(count: int) -> None:
    """Closed form: the ends on either side pair off with their neighbours, 100 mm / count apart, in
    the hole's edge or in the margin, but for one start and one end of the whole."""
    lines = rows_round_a_hole(count)
    runs = route(lines, policy_named("continuous"), CLOTH, 50.0)
    assert len(runs) == runs.runs_lower_bound == 1
    assert runs.kind_length_mm(PieceKind.CLEARANCE) <= 100 + 100 + 100 + 1e-6
    curve = np.flatnonzero(runs.piece_kind == PieceKind.CLEARANCE)
    assert len(curve)
    for piece in curve:
        sewn = LineString(runs.coordinates[runs.piece_start[piece] : runs.piece_start[piece + 1]])
        assert HOLE.exterior.buffer(1e-6).covers(sewn)
    assert runs.kind_length_mm(PieceKind.LINE) == pytest.approx(2 * count * 162)
    assert (runs.piece_line[curve] == -1).all()


def test_the_curve_can_be_left_out_and_is_for_a_walking_foot() -> None:
    lines = rows_round_a_hole(4)
    without = policy_named("continuous", {"clearance": False})
    assert len(route(lines, without, CLOTH, 50.0)) == 4
    walking = route(lines, policy_named("walking-foot"), CLOTH, 50.0)
    assert PieceKind.CLEARANCE not in walking.piece_kind


def test_the_curve_ends_where_the_machine_does() -> None:
    """A field that holds the left half alone: no thread runs along the right side of the hole."""
    runs = route(
        rows_round_a_hole(4), policy_named("continuous"), CLOTH, 50.0, box(-50, -50, 200, 250)
    )
    sewn = np.flatnonzero(runs.piece_kind == PieceKind.CLEARANCE)
    assert len(sewn)
    for piece in sewn:
        part = runs.coordinates[runs.piece_start[piece] : runs.piece_start[piece + 1]]
        assert part[:, 0].max() <= 200


def test_a_circle_is_cut_where_lines_end_on_it() -> None:
    """Three points on a circle of 50 mm, one beside it, one on nothing."""
    circle = np.array([LineString(Point(0, 0).buffer(50, quad_segs=64).exterior.coords), None])[:1]
    points = np.array([(0.0, 50.0), (-50.0, 0.0), (0.0, -50.0), (0.0, 49.0), (300.0, 0.0)])
    found = clearance_edges(circle, points, 0.2)
    assert found.length_mm.sum() == pytest.approx(circle[0].length)
    ends = {tuple(np.round(end, 6)) for end in found.ends.reshape(-1, 2)}
    assert {(0.0, 50.0), (-50.0, 0.0), (0.0, -50.0)} <= ends
    assert (0.0, 49.0) not in ends
    assert set(found.kind) == {PieceKind.CLEARANCE}


def test_without_ends_on_it_a_curve_is_no_edge() -> None:
    circle = np.array([LineString(Point(0, 0).buffer(50).exterior.coords), None])[:1]
    assert len(clearance_edges(circle, np.array([(300.0, 0.0)]), 0.2)) == 0
