"""Lines along a field: closed forms of fields, counts of singular points, spacing read anew."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely.affinity import translate
from shapely.geometry import LineString, Point, Polygon, box

import quiltpath
from quiltpath.errors import InputError
from quiltpath.geometry.free_curves import fields
from quiltpath.geometry.free_curves.fields import (
    Field,
    along_spine,
    radial,
    straight,
    water,
)
from quiltpath.geometry.free_curves.streamlines import field_lines
from tests.patterns.readers import BLOCK, REGIONS, egg, gaps_of

Points = NDArray[np.float64]
ANYWHERE = np.random.default_rng(4).uniform(-200, 200, (50, 2))
TWO_EGGS = BLOCK.difference(shapely.union_all([egg(80, 100, 60, 80), egg(170, 210, 70, 90)]))
FIELDS: dict[str, tuple[Polygon, Field]] = {
    "water": (TWO_EGGS, water([Polygon(ring) for ring in TWO_EGGS.interiors])),
    "radial": (BLOCK, radial((127, 152))),
    "twisted": (BLOCK, radial((127, 152), 60)),
    "oval in circles": (REGIONS["oval"], radial((0, 0), 90)),
}


def test_water_past_a_round_motif_is_the_closed_form() -> None:
    """Velocity past a circle: u - iv = U (1 - R^2 / z^2) (Milne-Thomson, circle theorem)."""
    flow = water([Point(0, 0).buffer(10, 64)])
    angle = np.linspace(0, 2 * np.pi, 40)
    for far in (11.5, 15.0, 40.0):
        z = far * np.exp(1j * angle)
        expected = 1 - 100 / z**2
        found = flow(np.stack([z.real, z.imag], axis=1))
        assert np.abs(found[:, 0] - 1j * found[:, 1] - expected).max() <= 0.03


def test_water_far_from_a_motif_is_what_its_panels_come_to(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A series stands for the panels from afar: on both sides of where it begins they agree."""
    motifs = [egg(127, 145), translate(egg(127, 145), 300, 60)]
    away = np.linspace(20, 900, 200)
    at = np.stack([127 + away, 145 + 0.4 * away], axis=1)
    series = water(motifs, 20.0)(at)
    monkeypatch.setattr(fields, "FAR", np.inf)
    assert np.abs(series - water(motifs, 20.0)(at)).max() <= 2e-4


def test_water_runs_along_motifs_and_not_into_them() -> None:
    motif = egg(127, 145)
    flow = water([motif], 30.0)
    ring = motif.buffer(1.0).exterior
    at = np.arange(0, ring.length, 2.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(ring, at))
    ahead = shapely.get_coordinates(shapely.line_interpolate_point(ring, at + 0.1))
    way = (ahead - points) / 0.1
    velocity = flow(points)
    through = np.abs(velocity[:, 0] * way[:, 1] - velocity[:, 1] * way[:, 0])
    assert np.percentile(through, 95) <= 0.12


@pytest.mark.parametrize("twist_deg", [0.0, 25.0, 90.0])
def test_a_spiral_crosses_every_ray_at_one_angle(twist_deg: float) -> None:
    """The logarithmic spiral; at 90 degrees it is a circle, at 0 the ray itself."""
    angle = np.linspace(0, 2 * np.pi, 40)
    rays = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    way = radial((30.0, -20.0), twist_deg)([30.0, -20.0] + 70 * rays)
    along = (way * rays).sum(axis=1)
    across = rays[:, 0] * way[:, 1] - rays[:, 1] * way[:, 0]
    assert np.degrees(np.arctan2(across, along)) == pytest.approx(twist_deg, abs=1e-9)


def turns_round(field: Field, ring: Points) -> float:
    """Whole turns of the direction along a closed way (n, 2): its index."""
    way = field(ring)
    heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    return float((heading[-1] - heading[0]) / (2 * np.pi))


def ring_of(shape: Polygon) -> Points:
    ring = shapely.orient_polygons(shape).exterior  # anticlockwise
    return shapely.get_coordinates(shapely.segmentize(ring, 0.2))


@pytest.mark.parametrize(("name", "total"), [("water", 0), ("radial", 1), ("twisted", 1)])
def test_singular_points_are_as_many_as_the_edges_say_and_where_they_were_put(
    name: str, total: int
) -> None:
    """Indices of the cells of a grid, added up, are the index along the outer edge less those
    round the holes (Poincare and Hopf). Water has none in the open, rays one in the middle."""
    region, field = FIELDS[name]
    room = region.buffer(-3)
    holes = [turns_round(field, ring_of(Polygon(ring))) for ring in room.interiors]
    outside = turns_round(field, ring_of(Polygon(room.exterior)))
    low_x, low_y, high_x, high_y = room.bounds
    x, y = np.meshgrid(np.arange(low_x, high_x, 3.07), np.arange(low_y, high_y, 3.07))
    corners = np.stack([x, y], axis=-1)[..., None, :] + 3.07 * np.array(
        [(0, 0), (1, 0), (1, 1), (0, 1), (0, 0)]
    )
    cells = shapely.polygons(corners.reshape(-1, 5, 2))
    inside = shapely.contains(room, cells)
    way = field(corners.reshape(-1, 2)).reshape(-1, 5, 2)
    heading = np.arctan2(way[..., 1], way[..., 0])
    steps = np.angle(np.exp(1j * np.diff(heading, axis=1)))
    index = np.round(steps.sum(axis=1) / (2 * np.pi)) * inside
    assert index.sum() == pytest.approx(outside - sum(holes), abs=1e-6)
    assert index.sum() == total == np.abs(index).sum()
    for cell in cells[index != 0]:
        assert cell.buffer(1e-6).contains(Point(127, 152))


@pytest.mark.parametrize("name", FIELDS)
def test_lines_follow_the_field_and_keep_their_spacing(name: str) -> None:
    region, field = FIELDS[name]
    gap = 9.0
    lines = field_lines(region, field, gap, edge_mm=2.0, joined=False)
    room = region.buffer(-1.99)
    near, far = [], []
    for k, line in enumerate(lines):
        curve = LineString(line)
        assert room.buffer(1e-6).covers(curve)
        rest = [LineString(other) for j, other in enumerate(lines) if j != k]
        others = shapely.union_all(rest)
        at = np.arange(0.5, curve.length - 0.5, 2.0)
        points = shapely.line_interpolate_point(curve, at)
        near.append(shapely.distance(points, others))
        ahead = shapely.get_coordinates(shapely.line_interpolate_point(curve, at + 0.2))
        way = ahead - shapely.get_coordinates(points)
        wanted = field(shapely.get_coordinates(points))
        cross = way[:, 0] * wanted[:, 1] - way[:, 1] * wanted[:, 0]
        far.append(np.abs(cross) / np.hypot(*way.T) / np.hypot(*wanted.T))
    beside = np.concatenate(near) / gap
    assert beside.min() >= 0.5
    # the nearer of two sides: less than the spacing where lines spread
    assert 0.8 <= np.median(beside) <= 1.15
    assert np.percentile(np.concatenate(far), 95) <= np.sin(np.radians(8))
    assert gaps_of(region, lines).empty[0] <= 2.5 * gap


def test_straight_lines_are_as_many_as_fit() -> None:
    """A closed form: lines one gap apart across a width are the width over the gap."""
    lines = field_lines(box(0, 0, 200, 100), straight(0.0), 10.0, joined=False)
    assert 9 <= len(lines) <= 11
    heights = np.sort([line[:, 1].mean() for line in lines])
    assert np.diff(heights) == pytest.approx(10.0, abs=0.4)
    assert all(LineString(line).length == pytest.approx(200, abs=0.5) for line in lines)


@pytest.mark.parametrize("name", FIELDS)
def test_joined_paths_are_fewer_and_cross_nothing(name: str) -> None:
    region, field = FIELDS[name]
    loose = field_lines(region, field, 9.0, edge_mm=2.0, joined=False)
    paths = field_lines(region, field, 9.0, edge_mm=2.0)
    assert len(paths) < 0.75 * len(loose)
    drawn = shapely.union_all([LineString(path) for path in paths])
    assert drawn.length == pytest.approx(sum(LineString(path).length for path in paths), rel=1e-6)
    longer = drawn.length - sum(LineString(line).length for line in loose)
    # A step is up to 2.6 spacings long; a loose end runs on for some four at most, by half as many.
    assert 0 < longer <= 9.0 * (2.6 * (len(loose) - len(paths) + 1) + 2 * 2 * len(paths))
    assert region.buffer(1e-6).covers(drawn)


def test_straight_lines_in_a_block_become_one_path() -> None:
    (path,) = field_lines(box(0, 0, 200, 100), straight(0.0), 10.0)
    assert LineString(path).is_simple


def test_closed_rings_are_one_path_by_steps_across() -> None:
    ring = Point(0, 0).buffer(60, 64).difference(Point(0, 0).buffer(20, 64))
    assert len(field_lines(ring, radial((0, 0), 90), 8.0, edge_mm=4.0)) <= 2


def test_the_same_lines_each_time() -> None:
    region, field = FIELDS["twisted"]
    first, again = field_lines(region, field, 12.0), field_lines(region, field, 12.0)
    assert all(np.array_equal(a, b) for a, b in zip(first, again, strict=True))


def test_no_spacing_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        field_lines(BLOCK, straight(0.0), -1.0)
    with pytest.raises(ValueError, match="below 0"):
        field_lines(BLOCK, straight(0.0), 9.0, closest=1.0)


def test_beside_a_straight_spine_lines_run_as_it_does() -> None:
    way = along_spine(np.array([[0.0, 0.0], [30.0, 40.0], [60.0, 80.0]]))(ANYWHERE)
    heading = np.degrees(np.arctan2(way[:, 1], way[:, 0])) % 180
    assert heading == pytest.approx(np.degrees(np.arctan2(4, 3)), abs=1e-6)


def test_on_a_spine_lines_run_along_it_and_beside_an_arc_on_circles_of_its_centre() -> None:
    """Of a half circle of 100: at its own radius to a degree, 15 mm off it to five, for the mean
    of nearest directions is that of the nearest point where the curve bends evenly."""
    turn = np.linspace(0, np.pi, 25)
    field = along_spine(100 * np.stack([np.cos(turn), np.sin(turn)], axis=1))
    for radius, within in ((100, 1.0), (115, 5.0), (85, 5.0)):
        at = np.linspace(0.6, np.pi - 0.6, 40)
        way = field(radius * np.stack([np.cos(at), np.sin(at)], axis=1))
        off = np.degrees(np.arctan2(way[:, 1], way[:, 0]) - (at + np.pi / 2)) % 180
        assert np.minimum(off, 180 - off).max() < within


def test_a_spine_that_comes_back_has_no_end_between_its_two_ways() -> None:
    """There and back side by side: opposite directions are one line, so nothing cancels."""
    there_and_back = np.array([[0, 0], [200, 0], [260, 40], [200, 80], [0, 80.0]])
    way = along_spine(there_and_back)(np.array([[50.0, 40.0], [100.0, 40.0]]))
    assert np.abs(way[:, 1] / way[:, 0]).max() < 0.05
    assert np.hypot(*way.T).min() > 0


SPINE = 'units = "mm"\nrunner = { length = 900, width = 300, size_is = "flat" }\n'


def test_lines_beside_a_curve_of_ones_own_keep_their_distance_in_one_path() -> None:
    """Distances by GEOS, from each line to the nearest of the others."""
    layer = (
        'quilting = [{ kind = "field-lines", along = "spine", spacing = 15, joined = false,'
        " spine = [[0, 0.3], [0.5, 0.7], [1, 0.3]] }]\n"
    )
    project = quiltpath.parse(SPINE + layer)
    runner = quiltpath.build(project)
    lines = quiltpath.draw(runner, project.quilting).geometry
    near = []
    for k, line in enumerate(lines):
        at = shapely.line_interpolate_point(line, np.arange(5, line.length - 5, 5.0))
        near.append(shapely.distance(at, shapely.union_all(np.delete(lines, k))))
    apart = np.concatenate(near) / 15
    assert apart.min() > 0.5 and 0.9 < np.median(apart) < 1.1
    sewn = SPINE + layer.replace(" joined = false,", "") + 'sewing = { policy = "continuous" }\n'
    assert len(quiltpath.compute(quiltpath.parse(sewn)).runs) == 1


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ('along = "spine"', "two points at least"),
        ("spine = [[0, 0.5], [1, 0.5]]", "lines are led along"),
        ('along = "spine", spine = [[0, 0.5], [0, 0.5]]', "are the same"),
    ],
)
def test_a_spine_that_leads_nowhere_is_told_at_its_key(keys: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        quiltpath.compute(
            quiltpath.parse(f'{SPINE}quilting = [{{ kind = "field-lines", {keys} }}]\n')
        )


def test_two_sets_turned_by_45_degrees_either_way_cross_at_right_angles() -> None:
    """Crossings and headings there by GEOS: nine of ten within ten degrees, on curves that bend."""
    project = quiltpath.parse(
        SPINE + 'quilting = [{ pattern = "swaying-crosshatch", spacing = 25 }]\n'
    )
    lines = quiltpath.draw(quiltpath.build(project), project.quilting)
    one, other = (shapely.union_all(lines.geometry[lines.layer == k]) for k in (0, 1))
    crossings = shapely.get_parts(shapely.intersection(one, other))
    assert len(crossings) > 200
    angles = []
    for point in crossings[shapely.get_type_id(crossings) == 0]:
        ways = []
        for family in (one, other):
            near = shapely.get_coordinates(family.intersection(point.buffer(1.0)))
            ways.append(near[-1] - near[0])
        cosine = abs(ways[0] @ ways[1]) / np.hypot(*ways[0]) / np.hypot(*ways[1])
        angles.append(np.degrees(np.arccos(min(1.0, cosine))))
    assert np.percentile(angles, 10) > 80


def test_a_spine_that_goes_back_upon_itself_has_a_cusp_and_lines_all_the_same() -> None:
    """There and back through the same points: at its turn the curve stands still."""
    project = quiltpath.parse(
        SPINE + 'quilting = [{ kind = "field-lines", along = "spine", spacing = 20,'
        " spine = [[0, 0.5], [1, 0.5], [0, 0.5]] }]\n"
    )
    lines = quiltpath.draw(quiltpath.build(project), project.quilting)
    assert shapely.length(lines.geometry).sum() > 0.8 * 900 * 300 / 20
    assert np.isfinite(shapely.get_coordinates(lines.geometry)).all()
