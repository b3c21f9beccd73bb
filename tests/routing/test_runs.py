"""Runs as a table: what is read off it, against two small runs worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LineString, box

from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import BreakReason, PieceKind, Runs, policy_named, route
from quiltpath.routing.edges import edges_of_lines
from quiltpath.routing.euler_trail import Trails
from quiltpath.routing.run_assembly import assemble_runs, turns_of
from quiltpath.routing.runs import needs_securing
from quiltpath.routing.trail_table import edge_middles

CLOTH = box(0, 0, 300, 120)


def two_runs() -> Runs:
    """A level line of 40 mm, 30 mm of wadding upwards, a line of 40 mm back; then, 50 mm below the
    end of that, a line of 3, 4 and 5 mm round a right-angled triangle."""
    pieces = [
        [(0, 0), (40, 0)],
        [(40, 0), (40, 10), (40, 30)],
        [(40, 30), (0, 30)],
        [(0, -20), (3, -20), (3, -16), (0, -20)],
    ]
    return Runs(
        coordinates=np.array([spot for piece in pieces for spot in piece], dtype=float),
        piece_start=np.array([0, 2, 5, 7, 11]),
        piece_kind=np.array([PieceKind.LINE, PieceKind.MARGIN, PieceKind.LINE, PieceKind.RETRACE]),
        piece_line=np.array([0, -1, 1, 2]),
        run_start=np.array([0, 3, 4]),
        break_reason=np.array([BreakReason.ODD_END, BreakReason.FINISHED]),
        secured=np.zeros((2, 2), dtype=bool),
        runs_lower_bound=2,
        turns=2,
    )


def test_a_run_is_its_pieces_one_after_the_other() -> None:
    runs = two_runs()
    assert len(runs) == 2
    assert runs.vertex_start.tolist() == [0, 7, 11]
    assert runs.run(0)[[0, -1]].tolist() == [[0, 0], [0, 30]] and len(runs.run(0)) == 7
    assert runs.run(1).tolist() == [[0, -20], [3, -20], [3, -16], [0, -20]]
    assert runs.ends.tolist() == [[[0, 0], [0, 30]], [[0, -20], [0, -20]]]


def test_lengths_are_counted_piece_by_piece_and_jumps_apart() -> None:
    runs = two_runs()
    assert runs.piece_length_mm.tolist() == [40, 30, 40, 12]
    assert runs.kind_length_mm(PieceKind.LINE) == 80
    assert runs.kind_length_mm(PieceKind.MARGIN) == 30
    assert runs.kind_length_mm(PieceKind.RETRACE) == 12
    assert runs.travel_mm == 50
    in_three = replace(runs, run_start=np.array([0, 1, 3, 4]))
    assert in_three.travel_mm == 0 + 50, "the second begins where the first ends"


@pytest.mark.parametrize("paths", [[], [[(0, 60), (300, 60)]]])
def test_up_to_one_run_there_is_no_travel(paths: list) -> None:
    lines = layer_lines([LineString(path) for path in paths], name="fill")
    runs = route(lines, policy_named("hoop"), CLOTH, 30.0)
    assert len(runs) == len(paths) and runs.travel_mm == 0.0


def test_thread_ends_more_than_half_a_millimetre_inside_are_secured() -> None:
    """The binding holds the others."""
    points = [(150, 60), (150, 0.6), (150, 0.4), (0.6, 60), (299.6, 60), (150, -12), (150, 0)]
    assert needs_securing(CLOTH, np.array(points, dtype=float)).tolist() == [
        True, True, False, True, False, False, False,
    ]  # fmt: skip
    assert needs_securing(CLOTH, np.zeros((0, 2))).tolist() == []


def test_turns_are_counted_where_pieces_meet_and_not_between_runs() -> None:
    """Two right angles in the first run; the second has one piece, whose corners are its own."""
    runs = two_runs()
    assert turns_of(runs.coordinates, runs.piece_start, runs.run_start) == 2
    alone = np.arange(5)  # each piece a run of its own
    assert turns_of(runs.coordinates, runs.piece_start, alone) == 0
    whole = np.array([0, 4])  # all one run: it also turns where the third piece ends
    straight_on = runs.coordinates.copy()
    straight_on[7:] = straight_on[6] + [[0, 0], [-3, 0], [-3, 4], [0, 4]]
    assert turns_of(straight_on, runs.piece_start, whole) == 2


def test_the_middle_of_a_line_is_its_centre_of_gravity() -> None:
    """Against shapely; vertices that stand close together do not weigh more."""
    paths = [
        [(0, 0), (100, 0)],
        [(0, 0), (1, 0), (2, 0), (3, 0), (100, 0), (100, 50)],
        [(10, 10), (20, 40), (-30, 5), (10, 10)],
    ]
    lines = [LineString(path) for path in paths]
    middles = edge_middles(edges_of_lines(np.array(lines, dtype=object)))
    assert middles == pytest.approx(np.array([line.centroid.coords[0] for line in lines]))


def test_each_run_says_why_it_ends() -> None:
    """A ring stands apart, an open line has a loose end, and the last run ends the work."""
    square = [(100, 40), (140, 40), (140, 80), (100, 80), (100, 40)]
    paths = [[(20, 60), (60, 60)], square, [(180, 60), (220, 60)], [(240, 60), (280, 60)]]
    lines = layer_lines([LineString(path) for path in paths], name="fill")
    runs = route(lines, policy_named("hoop", {"order": "nearest"}), CLOTH, 0.0)
    assert runs.piece_line.tolist() == [0, 1, 2, 3]
    assert runs.break_reason.tolist() == [
        BreakReason.ODD_END, BreakReason.SEPARATE, BreakReason.ODD_END, BreakReason.FINISHED,
    ]  # fmt: skip
    assert len(set(BreakReason)) == 4 and len(set(PieceKind)) == 5


@pytest.mark.parametrize(("gap", "told"), [(0.15, True), (0.002, True), (0.0005, False)])
@pytest.mark.parametrize("line_first", [True, False])
def test_a_gap_closed_between_a_ring_and_a_line_is_told_from_a_thousandth_of_a_millimetre_on(
    gap: float, told: bool, line_first: bool
) -> None:
    """The ring is sewn on the way; told with its place, whichever of the two was drawn first."""
    line = LineString([(20, 60), (280, 60)])
    ring = LineString([(150, 60 + gap), (170, 80), (150, 100), (130, 80), (150, 60 + gap)])
    lines = layer_lines([line, ring] if line_first else [ring, line], name="fill")
    runs = route(lines, policy_named("walking-foot"), CLOTH, 0.0)
    assert len(runs) == 1
    assert [change.code for change in runs.changes] == ["gap-closed"] * told
    for change in runs.changes:
        assert change.at_mm == pytest.approx((150, 60), abs=0.2)


def test_trails_are_written_out_vertex_by_vertex_those_sewn_backwards_turned_round() -> None:
    """A crooked line backwards and a level one forwards; then a line that runs off the edge."""
    crooked = [(100, 20), (100, 40), (120, 60), (150, 60)]
    paths = [[(100, 20), (60, 20)], crooked, [(200, -12), (200, 60)]]
    edges = edges_of_lines(np.array([LineString(path) for path in paths], dtype=object))
    trails = Trails(np.array([3, 0, 4]), np.array([0, 2, 3]), np.zeros(2, dtype=bool))
    reasons = np.array([BreakReason.ODD_END, BreakReason.FINISHED], dtype=np.int8)
    runs = assemble_runs(edges, trails, CLOTH, reasons, 2, ())
    assert runs.run(0).tolist() == [list(spot) for spot in [*crooked[::-1], (100, 20), (60, 20)]]
    assert runs.run(1).tolist() == [[200, -12], [200, 60]]
    assert runs.piece_line.tolist() == [1, 0, 2]
    assert runs.piece_start.tolist() == [0, 4, 6, 8]
    assert runs.secured.tolist() == [[True, True], [False, True]]
    assert runs.turns == 1 and runs.runs_lower_bound == 2
