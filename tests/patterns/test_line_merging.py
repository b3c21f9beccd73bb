"""Loose ends led into what runs beside them: where they arrive, how they turn, what they leave."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, box
from shapely.ops import substring

import quiltpath
from quiltpath.geometry.free_curves.fields import radial, water
from quiltpath.geometry.free_curves.line_merging import merge_line_ends
from quiltpath.geometry.free_curves.streamlines import field_lines
from tests.starts_table import CLEAR, CONTINUOUS, MOTIFS, RUNNER

ROOM = box(-100, -100, 300, 200)


def level(y: float, start: float = 0.0, end: float = 100.0) -> np.ndarray:
    x = np.linspace(start, end, 21)
    return np.column_stack([x, np.full_like(x, y)])


def test_an_end_beside_a_line_runs_into_it_by_a_gentle_curve() -> None:
    """It leaves as it ran, turns by less than 50 degrees and meets the other two ways across on."""
    lines = [level(0, -100, 300), level(6)]
    through, merged = merge_line_ends(lines, ROOM, 10.0)
    assert np.array_equal(through, lines[0])
    ends = shapely.points(merged[[0, -1]])
    assert shapely.distance(ends, LineString(through)) == pytest.approx(0, abs=1e-9)
    way = np.diff(merged, axis=0)
    heading = np.degrees(np.unwrap(np.arctan2(way[:, 1], way[:, 0])))
    assert np.ptp(heading) < 100
    assert np.abs(np.diff(heading)).max() < 20
    assert LineString(merged).is_simple
    low, high = sorted(merged[[0, -1], 0])
    assert low == pytest.approx(-12, abs=0.1) and high == pytest.approx(112, abs=0.1)


@pytest.mark.parametrize(
    "lines",
    [
        [level(0, -100, 300), level(13)],  # too far for a spacing of ten
        [level(0), level(0, 108, 200)],  # nothing beside them, only another end ahead
        [shapely.get_coordinates(Point(50, 50).buffer(30).exterior)],
    ],
)
def test_others_end_where_they_did(lines: list[np.ndarray]) -> None:
    merged = merge_line_ends(lines, ROOM, 10.0)
    assert all(np.array_equal(a, b) for a, b in zip(lines, merged, strict=True))


def test_an_end_near_the_edge_runs_out_to_it() -> None:
    (line,) = merge_line_ends([level(192, 0, 100)], ROOM, 10.0)
    assert shapely.distance(shapely.points(line[[0, -1]]), ROOM.exterior).max() < 1e-9


def test_no_spacing_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        merge_line_ends([level(0)], ROOM, 0.0)


MOTIF = shapely.affinity.translate(Point(0, 0).buffer(30), 130, 90)
FIELDS = {
    "water": water([MOTIF]),
    "twist": radial((130, 90), 55.0),
    "rays": radial((130, 90)),
}


@pytest.mark.parametrize("name", FIELDS)
def test_every_end_of_a_field_arrives_and_no_line_crosses(name: str) -> None:
    """By GEOS: each end lies on the room's edge or on a line, and what is drawn is as long as its
    lines, so that none lies on another; short of their ends they touch nothing."""
    room = box(0, 0, 320, 180).difference(MOTIF)
    paths = field_lines(room, FIELDS[name], 9.0, motif_mm=0.0)
    shapes = np.array([LineString(path) for path in paths])
    inner = [substring(shape, 0.5, shape.length - 0.5) for shape in shapes]
    assert shapely.is_simple(inner).all()
    one, two = shapely.STRtree(inner).query(inner, predicate="intersects")
    assert np.array_equal(one, two)
    drawn = shapely.union_all(shapes)
    assert drawn.length == pytest.approx(shapely.length(shapes).sum(), rel=1e-6)
    apart = []
    for k, path in enumerate(paths):
        if np.allclose(path[0], path[-1]):
            continue
        own = [substring(shapes[k], 9.0, shapes[k].length), substring(shapes[k], 0, -9.0)]
        for end, rest_of_it in zip(path[[0, -1]], own, strict=True):
            rest = shapely.union_all([room.boundary, *np.delete(shapes, k), rest_of_it])
            apart.append(rest.distance(Point(end)))
    assert max(apart) < 0.1


@pytest.mark.parametrize("pattern", ["flowing-lines", "twisted-rays"])
def test_one_thread_sews_lines_along_a_field_past_motifs(pattern: str) -> None:
    layer = f'[[quilting]]\npattern = "{pattern}"\n'
    for text in (RUNNER + layer, RUNNER + MOTIFS + layer + CLEAR):
        result = quiltpath.compute(quiltpath.parse(text + CONTINUOUS))
        assert len(result.runs) == 1
