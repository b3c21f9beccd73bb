"""Every line is sewn once, in as few runs as theory allows."""

import itertools
from dataclasses import replace

import networkx as nx
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from quiltpath.patterns import Lines
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import POLICIES, PieceKind, Policy, Runs, route
from tests.routing.drawings import FINISHED, MARGIN_MM, meshes, outlines, policies, tangles

JUMPS_ONLY = Policy()
names = st.sampled_from(sorted(POLICIES))


def sew(lines: Lines, policy: Policy) -> Runs:
    return route(lines, policy, FINISHED, MARGIN_MM)


def bound_by_networkx(lines: Lines) -> int:
    """sum of max(1, odd / 2) over connected pieces (Listing 1847) of the fully noded drawing."""
    noded = shapely.get_parts(shapely.node(shapely.union_all(lines.geometry)))
    graph = nx.MultiGraph()
    for part in noded:
        first, last = np.round(shapely.get_coordinates(part)[[0, -1]], 3)
        graph.add_edge(tuple(first), tuple(last))
    return sum(
        max(1, sum(graph.degree(node) % 2 for node in piece) // 2)
        for piece in nx.connected_components(graph)
    )


@settings(max_examples=80, deadline=None)
@given(meshes())
def test_a_mesh_takes_as_many_runs_as_theory_says(lines: Lines) -> None:
    runs = sew(lines, JUMPS_ONLY)
    assert len(runs) == runs.runs_lower_bound == bound_by_networkx(lines)


@settings(max_examples=80, deadline=None)
@given(tangles())
def test_crossings_touches_and_overlaps_cost_no_more_runs(lines: Lines) -> None:
    runs = sew(lines, Policy(tolerance_mm=1e-6, shortest_mm=0.0))
    assert len(runs) == runs.runs_lower_bound == bound_by_networkx(lines)


@settings(max_examples=50, deadline=None)
@given(tangles(), names)
def test_every_line_is_sewn_once_and_only_hidden_ones_again(lines: Lines, name: str) -> None:
    """Against GEOS's union: the first pass over all lines is as long as the drawing."""
    runs = sew(lines, replace(POLICIES[name], tolerance_mm=1e-6))
    sewn = runs.kind_length_mm(PieceKind.LINE)
    assert sewn == pytest.approx(shapely.union_all(lines.geometry).length, rel=1e-6)
    again = runs.piece_kind == PieceKind.RETRACE
    assert lines.retraceable[runs.piece_line[again]].all()
    assert (runs.piece_line[runs.piece_kind == PieceKind.MARGIN] == -1).all()


@settings(max_examples=50, deadline=None)
@given(tangles(), names)
def test_runs_have_no_gaps_and_lie_on_the_drawing(lines: Lines, name: str) -> None:
    runs = sew(lines, POLICIES[name])
    for index in range(len(runs)):
        pieces = range(runs.run_start[index], runs.run_start[index + 1])
        for one, two in itertools.pairwise(pieces):
            end = runs.coordinates[runs.piece_start[two] - 1]
            assert np.array_equal(end, runs.coordinates[runs.piece_start[two]]), (one, two)
    drawing = shapely.union_all(lines.geometry).buffer(POLICIES[name].tolerance_mm + 1e-6)
    for piece in np.flatnonzero(runs.piece_kind != PieceKind.MARGIN):
        first, last = runs.piece_start[piece], runs.piece_start[piece + 1]
        sewn = LineString(runs.coordinates[first:last])
        if runs.piece_kind[piece] == PieceKind.STEP:
            assert sewn.length <= POLICIES[name].step_longest_mm + 1e-6
            assert drawing.covers(sewn.boundary), "a step leads from line to line"
        else:
            assert drawing.covers(sewn)


@settings(max_examples=40, deadline=None)
@given(tangles(), names)
def test_the_same_drawing_gives_the_same_route(lines: Lines, name: str) -> None:
    one, two = sew(lines, POLICIES[name]), sew(lines, POLICIES[name])
    for field in ("coordinates", "piece_start", "piece_kind", "piece_line", "run_start", "secured"):
        assert np.array_equal(getattr(one, field), getattr(two, field)), field
    assert one.changes == two.changes


@settings(max_examples=50, deadline=None)
@given(tangles(), names)
def test_no_route_beats_the_bound(lines: Lines, name: str) -> None:
    runs = sew(lines, POLICIES[name])
    assert 1 <= runs.runs_lower_bound <= len(runs)


@settings(max_examples=50, deadline=None)
@given(meshes())
def test_a_mesh_that_may_be_retraced_is_one_path_a_piece(lines: Lines) -> None:
    hidden = Lines(
        lines.geometry,
        lines.layer,
        lines.role,
        np.ones(len(lines), dtype=bool),
        lines.source,
        lines.layers,
    )
    runs = sew(hidden, Policy(retrace=True, jump_cost=1e5))
    pieces = shapely.union_all(lines.geometry).buffer(0.01)
    assert len(runs) == shapely.get_num_geometries(pieces)


def test_lines_that_run_off_the_edge_are_one_path_along_the_margin() -> None:
    across = [LineString([(x, -12), (x, 212)]) for x in range(20, 400, 20)]
    runs = sew(layer_lines(across, name="across"), POLICIES["continuous"])
    assert len(runs) == runs.runs_lower_bound == 1
    assert not runs.secured.any()


def test_very_many_lines_are_still_one_path_there_and_back() -> None:
    """Closed form: 391 lines 1 mm apart need 390 moves of 1 mm; more odd ends than the matching
    takes together with the free start and end."""
    across = [LineString([(x, -12), (x, 212)]) for x in np.arange(5.0, 396.0)]
    runs = sew(layer_lines(across, name="across"), POLICIES["continuous"])
    assert len(runs) == runs.runs_lower_bound == 1
    assert runs.kind_length_mm(PieceKind.MARGIN) == pytest.approx(390.0)


def test_margin_moves_stay_off_the_finished_cloth_and_on_the_wadding() -> None:
    slanted = [LineString([(x, -12), (x + 90, 212)]) for x in range(-60, 380, 25)]
    runs = sew(layer_lines(slanted, name="slanted"), POLICIES["continuous"])
    moved = np.flatnonzero(runs.piece_kind == PieceKind.MARGIN)
    assert len(moved)
    for piece in moved:
        way = LineString(runs.coordinates[runs.piece_start[piece] : runs.piece_start[piece + 1]])
        assert not way.crosses(FINISHED)
        assert FINISHED.buffer(MARGIN_MM + 0.5).covers(way)


def test_a_ring_on_a_line_is_sewn_on_the_way() -> None:
    ring = Point(200, 100).buffer(30).exterior.coords
    lines = layer_lines([LineString([(50, 100), (350, 100)]), LineString(ring)], name="bead")
    runs = sew(lines, JUMPS_ONLY)
    assert len(runs) == 1


def test_crossing_lines_are_each_sewn_straight_through() -> None:
    along = [LineString([(0, y), (400, y)]) for y in range(20, 200, 20)]
    across = [LineString([(x, 0), (x, 200)]) for x in range(20, 400, 20)]
    runs = sew(layer_lines([*along, *across], name="grid"), JUMPS_ONLY)
    assert len(runs) == len(along) + len(across)
    assert runs.turns == 0


@settings(max_examples=80, deadline=None)
@given(tangles())
def test_a_frame_sews_one_path_wherever_the_ways_allow(lines: Lines) -> None:
    runs = sew(lines, POLICIES["continuous"])
    assert len(runs) == runs.runs_lower_bound


@settings(max_examples=80, deadline=None)
@given(tangles(), policies, outlines, st.sampled_from([0.0, 2.0, 30.0, 75.0]))
def test_whatever_the_policy_and_the_outline_no_thread_goes_astray(
    lines: Lines, policy: Policy, finished: Polygon, margin_mm: float
) -> None:
    """Margin moves stay off the cloth but under the binding, joints meet, the bound holds, every
    line is sewn."""
    policy = replace(policy, tolerance_mm=1e-6)
    runs = route(lines, policy, finished, margin_mm)
    assert runs.runs_lower_bound <= len(runs)
    union = shapely.union_all(lines.geometry).length
    assert runs.kind_length_mm(PieceKind.LINE) == pytest.approx(union, rel=1e-6)
    inner = np.setdiff1d(np.arange(1, len(runs.piece_kind)), runs.run_start)
    at = runs.piece_start[inner]
    assert np.array_equal(runs.coordinates[at], runs.coordinates[at - 1])
    cloth = finished.buffer(-6.35 - 1.01)
    for piece in np.flatnonzero(runs.piece_kind == PieceKind.MARGIN):
        way = runs.coordinates[runs.piece_start[piece] : runs.piece_start[piece + 1]]
        assert not cloth.intersects(LineString(way))
