"""Fill is sewn along hold lines that are there already: a second thread hides in the ditch."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, box

from quiltpath.patterns import LineRole, Lines, join
from quiltpath.patterns.lines import layer_lines
from quiltpath.routing import PieceKind, policy_named, route

BLOCK = box(100, 100, 400, 300)


def block_with_uprights() -> Lines:
    """A block's printed edge as the hold line, and five upright lines from edge to edge of it."""
    edge = LineString(BLOCK.exterior.coords)
    uprights = [LineString([(x, 100), (x, 300)]) for x in (150, 200, 250, 300, 350)]
    return join(
        [
            layer_lines([edge], name="sashing", role=LineRole.HOLD, retraceable=True),
            layer_lines(uprights, name="fill"),
        ]
    )


def test_fill_steps_from_line_to_line_along_the_sashing_that_was_sewn_first() -> None:
    """By hand: one run for the edge, one for the five uprights with four steps of 50 mm."""
    lines = block_with_uprights()
    runs = route(lines, policy_named("walking-foot"), box(0, 0, 500, 400), 50.0)
    assert len(runs) == 2
    assert [cost.rule for cost in runs.rule_costs] == ["holding lines come first, outlines next"]
    assert runs.runs_lower_bound == 1
    assert runs.kind_length_mm(PieceKind.RETRACE) == pytest.approx(4 * 50)
    assert runs.kind_length_mm(PieceKind.LINE) == pytest.approx(1000 + 5 * 200)


def test_hold_lines_come_first_and_are_sewn_once_for_their_own_sake() -> None:
    runs = route(block_with_uprights(), policy_named("walking-foot"), box(0, 0, 500, 400), 50.0)
    sewn = runs.piece_line[runs.piece_kind == PieceKind.LINE]
    assert sewn[0] == 0
    assert np.flatnonzero(sewn == 0).max() < np.flatnonzero(sewn > 0).min()
    again = runs.piece_kind == PieceKind.RETRACE
    on_edge = shapely.linestrings(
        [
            runs.coordinates[runs.piece_start[i] : runs.piece_start[i + 1]]
            for i in np.flatnonzero(again)
        ]
    )
    assert (shapely.distance(on_edge, BLOCK.exterior) < 1e-9).all()
    assert all(BLOCK.exterior.buffer(1e-6).covers(piece) for piece in on_edge)


def test_without_retracing_each_upright_is_a_run() -> None:
    policy = policy_named("walking-foot", {"retrace": False})
    runs = route(block_with_uprights(), policy, box(0, 0, 500, 400), 50.0)
    assert len(runs) == 6
    assert [cost.rule for cost in runs.rule_costs] == ["holding lines come first, outlines next"]
    assert runs.runs_lower_bound == 5
