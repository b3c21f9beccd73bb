"""What an unquilted circle must not touch, laid along the lines that are most of it."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, box

from quiltpath.checks.obstacles import obstacles

SHEET = box(0, 0, 300, 200)


def at_angle(angle_deg: float, length: float, x: float, y: float) -> LineString:
    turn = np.radians(angle_deg)
    return LineString([(x, y), (x + length * np.cos(turn), y + length * np.sin(turn))])


@pytest.mark.parametrize("angle", [0.0, 17.0, 30.0, 45.0, 61.7, 90.0, 118.0, 151.0, 179.5])
def test_the_direction_with_most_length_lies_along_or_across(angle: float) -> None:
    """1,200 mm of lines one way and at a right angle, 800 mm at 20 degrees to it on either side,
    and the sheet's edge of 1,000 mm."""
    most = [at_angle(angle, 600, 10, 10), at_angle(angle + 90, 600, 290, 10)]
    fewer = [at_angle(angle + off, 800, 150, 100) for off in (20, -20)]
    around = obstacles([*most, *fewer], SHEET, 0.0)
    size = np.abs(around.end - around.start)
    assert np.allclose(size[:2].min(axis=1), 0, atol=1e-9)
    assert size[:2].max(axis=1) == pytest.approx([600, 600])
    assert np.linalg.det(around.turn) == pytest.approx(1.0)
    assert around.turn @ around.turn.T == pytest.approx(np.eye(2))
    assert (around.start @ around.turn)[:2] == pytest.approx(np.array([(10, 10), (290, 10)]))


def test_directions_that_differ_by_a_hair_count_together() -> None:
    """A tenth of a degree to either side of level, 600 mm each, is more than 700 mm at 45 degrees
    and lies level between the two; the second one falls, which is nearly a right angle."""
    pair = [at_angle(0.1, 600, 10, 10), at_angle(-0.1, 600, 10, 100)]
    around = obstacles([*pair, at_angle(45, 700, 0, 0)], box(0, 0, 1, 1), 0.0)
    assert around.turn == pytest.approx(np.eye(2), abs=1e-9)


def test_long_segments_are_searched_in_pieces_of_30_mm() -> None:
    """80 mm along or up is three pieces, 61 mm three, 59 mm two, 30 mm and less one."""
    ways = [(80, 60), (60, -80), (61, 0), (59, 1), (30, 30), (0, 29)]
    lines = [LineString([(9, 90), (9 + along, 90 + up)]) for along, up in ways]
    lines.append(LineString([(0, 100), (2000, 100)]))
    around = obstacles(lines, box(0, 0, 2000, 200), 0.0)
    assert around.turn == pytest.approx(np.eye(2))
    assert np.bincount(around.piece_of)[:7].tolist() == [3, 3, 3, 2, 1, 1, 67]
    pieces = around.tree.geometries[around.piece_of == 0]
    bounds = [
        at
        for piece in shapely.affinity.translate(shapely.multilinestrings(pieces), -9, -90).geoms
        for at in piece.bounds
    ]
    third = 80 / 3
    assert bounds == pytest.approx(
        [0, 0, third, 20, third, 20, 2 * third, 40, 2 * third, 40, 80, 60]
    )


def test_the_nearest_segment_and_the_room_in_the_runner_s_own_frame() -> None:
    """On a sheet that lies at 30 degrees: 40 mm from the lower edge, 60 mm from a line."""
    sheet = shapely.affinity.rotate(SHEET, 30, origin=(0, 0))
    turn = np.array(
        [[np.cos(np.pi / 6), -np.sin(np.pi / 6)], [np.sin(np.pi / 6), np.cos(np.pi / 6)]]
    )
    line = LineString(np.array([(0, 100), (300, 100)]) @ turn.T)
    around = obstacles([line], sheet, 0.0)
    points = np.array([(150, 40), (150, 90), (150, -3), (150, 203), (-3, 50)])
    points = points @ turn.T @ around.turn.T
    segment, distance = around.nearest(points)
    assert distance == pytest.approx([40, 10, 3, 3, 3])
    assert segment[1] == 0 and segment[0] != 0
    assert around.inside(points).tolist() == [True, True, False, False, False]
    assert around.clearance(points).tolist() == pytest.approx([40, 10, *[-np.inf] * 3])


def test_upright_lines_guide_along_the_runner_and_level_ones_across_it() -> None:
    drawn = [LineString([(120, 20), (120, 180)]), LineString([(30, 70), (290, 70)])]
    across, along = obstacles(drawn, SHEET, 0.0).guides
    assert across.place.tolist() == [0, 120, 300]
    assert along.place.tolist() == [0, 70, 200]


def test_an_edge_with_a_hole_is_an_edge_round_the_hole_too() -> None:
    around = obstacles([], SHEET.difference(box(100, 80, 200, 120)), 0.0)
    points = np.array([(150.0, 100.0), (150.0, 150.0)]) @ around.turn.T
    assert around.clearance(points).tolist() == pytest.approx([-np.inf, 30])


def test_curves_are_drawn_with_fewer_corners_moved_by_no_more_than_allowed() -> None:
    ring = Point(150, 100).buffer(80, quad_segs=200).exterior
    plain, fewer = (obstacles([ring], SHEET, moved) for moved in (0.0, 0.5))
    assert len(plain.start) == 800 + 4
    assert len(fewer.start) < 60
    corners = fewer.start[:-4] @ fewer.turn - (150, 100)
    assert np.hypot(*corners.T) == pytest.approx(np.full(len(corners), 80.0))
    chords = (fewer.start + fewer.end)[:-4] / 2 @ fewer.turn - (150, 100)
    assert np.hypot(*chords.T).min() > 79.4
