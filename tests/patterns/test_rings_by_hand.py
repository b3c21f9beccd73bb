"""Echo rings where a tape measure would put them: numbers, distances, first ring, where they stop.

Squares and right angles throughout, so that every distance is a difference of two coordinates.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon, box

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import PlacedMotif, Region, RegionKind, Runner
from quiltpath.patterns.echo import arc_pieces, closed_lines, inner_depth
from tests.patterns.runners import drawn, plain


def motif(shape: Polygon, name: str = "tile", place: str = "A1") -> PlacedMotif:
    rings = [shape.exterior, *shape.interiors]
    return PlacedMotif(name, place, MultiPolygon([shape]), tuple(LineString(r) for r in rings))


def reaches(runner: Runner, **keys: object) -> list[float]:
    """Distance of each ring from the motif, by its rightmost point; rings in the order drawn."""
    right = max(m.shape.bounds[2] for m in runner.motifs)
    lines = drawn(runner, "echo", **keys).geometry
    return [round(line.bounds[2] - right, 6) for line in lines]


TILE = plain(1000, 1000, motifs=(motif(box(450, 450, 550, 550)),))


@pytest.mark.parametrize(
    ("keys", "distances"),
    [
        ({"rings": 1}, [20]),
        ({"rings": 4}, [20, 40, 60, 80]),
        ({"rings": 3, "first": 6}, [6, 26, 46]),
        ({"rings": 2, "first": 0}, [0, 20]),
        ({"rings": 21}, [20 * k for k in range(1, 22)]),
        ({"rings": 40}, [20 * k for k in range(1, 23)]),  # 450 mm to the edge hold 22
        ({}, [20 * k for k in range(1, 23)]),
        ({"first": 5}, [5 + 20 * k for k in range(23)]),
    ],
)
def test_rings_outwards_are_so_many_at_so_much(
    keys: dict[str, object], distances: list[float]
) -> None:
    assert reaches(TILE, spacing=20, corners="mitred", **keys) == distances


def test_rings_go_on_behind_sashing_that_holds_some_of_them_whole() -> None:
    """Two blocks 60 mm apart, a tile as large as the first less 5 mm: of rings every 4 mm one
    lies in the first block, 15 are in the sashing, those from 64 on cross the second."""
    blocks = tuple(
        Region(name, RegionKind.BLOCK, box(left, 0, left + 100, 100))
        for name, left in (("A1", 0), ("B1", 160))
    )
    runner = Runner(box(0, 0, 260, 100), regions=blocks, motifs=(motif(box(5, 5, 95, 95)),))
    lines = drawn(runner, "echo", region="blocks", spacing=4, corners="mitred").geometry
    second = sorted(line.bounds[0] - 95 for line in lines if line.bounds[0] > 150)
    assert second == pytest.approx([68 + 4 * k for k in range(25)])
    first = [line for line in lines if line.bounds[2] < 110]
    assert len(first) == 1 and first[0].length == pytest.approx(4 * 98)


@pytest.mark.parametrize(
    ("keys", "distances"),
    [
        ({"spacing": 25}, [25, 50, 75]),  # at 100 mm the two sides would fall together
        ({"spacing": 24}, [24, 48, 72, 96]),
        ({"spacing": 24, "first": 10}, [10, 34, 58, 82]),
        ({"spacing": 24, "rings": 2}, [24, 48]),
        ({"spacing": 24, "rings": 9}, [24, 48, 72, 96]),
        ({"spacing": 24, "first": 120}, []),
        ({"spacing": "about 30 mm"}, [200 / 7, 400 / 7, 600 / 7]),
        ({"spacing": "about 65 mm"}, [200 / 3]),
        ({"spacing": "about 600 mm"}, []),  # one gap from side to side holds no ring
    ],
)
def test_rings_inwards_leave_one_gap_between_the_innermost_two_sides(
    keys: dict[str, object], distances: list[float]
) -> None:
    """A block of 200 by 300; "about" takes an odd number of gaps over the 200."""
    block = Region("A1", RegionKind.BLOCK, box(50, 70, 250, 370))
    runner = Runner(box(0, 0, 400, 400), regions=(block,))
    lines = drawn(
        runner, "echo", around="blocks", direction="inwards", corners="mitred", **keys
    ).geometry
    assert [line.bounds[0] - 50 for line in lines] == pytest.approx(distances, abs=0.02)
    assert [370 - line.bounds[3] for line in lines] == pytest.approx(distances, abs=0.02)


def test_rings_inwards_are_named_after_what_they_lie_in() -> None:
    runner = plain(600, 300, motifs=(motif(box(100, 100, 200, 200)),))
    inside = drawn(runner, "echo", direction="inwards", spacing=20)
    assert set(inside.source) == {"inside tile in A1"}
    assert len(inside) == 2
    edge = drawn(runner, "echo", around="outline", direction="inwards", spacing=100)
    assert set(edge.source) == {"inside outline"}
    around = drawn(runner, "echo", around="tile", spacing=20, rings=1)
    assert set(around.source) == {"around tile"}


def test_only_the_motif_that_is_named_is_echoed() -> None:
    two = (motif(box(100, 100, 200, 200)), motif(box(400, 100, 500, 200), "leaf", "B1"))
    runner = plain(600, 300, motifs=two)
    (ring,) = drawn(runner, "echo", around="leaf", spacing=20, rings=1).geometry
    assert ring.bounds == pytest.approx((380, 80, 520, 220), abs=0.01)
    assert len(drawn(runner, "echo", around="motifs", spacing=20, rings=1)) == 2
    with pytest.raises(InputError, match="no motifs; add a") as error:
        drawn(plain(), "echo", spacing=20)
    assert error.value.key == "quilting[1].around"


def test_a_hole_of_a_motif_has_rings_of_its_own_until_it_is_full() -> None:
    """A frame with a hole of 100 mm: rings at 20 and 40 in the hole, at 20, 40 and 60 outside."""
    frame = box(200, 200, 500, 500).difference(box(300, 300, 400, 400))
    lines = drawn(plain(700, 700, motifs=(motif(frame),)), "echo", spacing=20, rings=3).geometry
    inner = sorted(line.bounds[0] for line in lines if line.bounds[0] > 300)
    assert inner == pytest.approx([320, 340])
    assert sorted(line.bounds[0] for line in lines if line.bounds[0] < 200) == pytest.approx(
        [140, 160, 180], abs=0.01
    )


def test_sharp_corners_are_cut_off_where_a_mitre_would_run_six_times_as_far() -> None:
    """A mitre at an angle of a runs 1 / sin(a / 2) times as far: 5.8 at 20 degrees, 7.7 at 15."""
    for angle, mitred in ((20.0, True), (15.0, False)):
        high = 200 * math.tan(math.radians(angle) / 2)
        spike = Polygon([(300, 300 - high), (500, 300), (300, 300 + high)])
        runner = plain(800, 600, motifs=(motif(spike),))
        (ring,) = drawn(runner, "echo", spacing=10, rings=1, corners="mitred").geometry
        tip = 10 / math.sin(math.radians(angle) / 2)
        reach = ring.bounds[2] - 500
        assert (reach == pytest.approx(tip)) == mitred
        assert reach <= 60 + 1e-6


@pytest.mark.parametrize("radius", [0.001, 0.02, 0.5, 6.0, 40.0, 700.0])
def test_a_quarter_circle_has_as_many_chords_as_it_needs_and_four_at_least(radius: float) -> None:
    """A chord over an angle t leaves its circle by r (1 - cos(t / 2)): 0.02 mm at most."""
    chords = arc_pieces(radius)
    assert chords >= 4

    def stray(number: int) -> float:
        return radius * (1 - math.cos(math.pi / 4 / number))

    assert stray(chords) <= 0.02 * (1 + 1e-9)
    assert chords == 4 or stray(chords - 1) > 0.02


def test_wide_rings_are_as_true_as_narrow_ones() -> None:
    """Round a dot of a motif: no ring strays from its circle by more than 0.02 mm."""
    corner = box(499.5, 499.5, 500.5, 500.5)
    found = drawn(plain(1000, 1000, motifs=(motif(corner),)), "echo", spacing=30, first=2)
    rings = [line for line in found.geometry if line.is_closed]
    assert len(rings) == 17
    for number, ring in enumerate(rings):
        points = np.array(ring.coords)
        away = shapely.distance(corner, shapely.points((points[1:] + points[:-1]) / 2))
        assert np.abs(away - (2 + 30 * number)).max() <= 0.0201


def test_the_depth_of_a_shape_is_that_of_its_deepest_part() -> None:
    parts = MultiPolygon([box(0, 0, 40, 300), box(100, 0, 160, 80), box(200, 0, 220, 20)])
    assert inner_depth(parts) == pytest.approx(30, abs=0.02)


def test_every_edge_of_a_shape_is_one_closed_line() -> None:
    holed = box(0, 0, 50, 50).difference(box(10, 10, 20, 20))
    lines = closed_lines(shapely.union(holed, box(80, 0, 90, 30)))
    assert sorted(line.length for line in lines) == [40, 80, 200]
    assert all(line.is_closed for line in lines)
    assert len(closed_lines(Polygon())) == 0


def test_a_line_beside_a_motif_of_two_parts_goes_round_both() -> None:
    """Squares of 20 mm, 30 apart: at 5 mm two rings, at 20 mm one; in the motif's own words."""
    parts = MultiPolygon([box(100, 100, 120, 120), box(150, 100, 170, 120)])
    outlines = tuple(LineString(part.exterior) for part in parts.geoms)
    runner = plain(400, 300, motifs=(PlacedMotif("pair", "A1", parts, outlines),))
    assert len(drawn(runner, "motif", offset=5)) == 2
    lines = drawn(runner, "motif", offset=20)
    assert len(lines) == 1 and lines.source[0] == "pair in A1"
    assert lines.geometry[0].bounds == pytest.approx((80, 80, 190, 140), abs=0.01)
    assert [line.length for line in drawn(runner, "motif").geometry] == [80, 80]
    away = shapely.points(shapely.get_coordinates(drawn(runner, "motif", offset=5).geometry))
    assert np.abs(shapely.distance(away, parts) - 5).max() < 0.01


def test_motifs_of_one_name_may_be_followed_alone() -> None:
    two = (motif(box(100, 100, 200, 200)), motif(box(400, 100, 500, 200), "leaf", "B1"))
    runner = plain(600, 300, motifs=two)
    assert list(drawn(runner, "motif", motif="leaf").source) == ["leaf in B1"]
    assert len(drawn(runner, "motif")) == 2
    with pytest.raises(InputError, match="no motif 'leef'; did you mean leaf"):
        drawn(runner, "motif", motif="leef")


def test_what_keeps_clear_of_motifs_is_not_what_goes_round_them() -> None:
    """A clearance would leave nothing of the motif's own outline."""
    runner = plain(600, 300, motifs=(motif(box(100, 100, 200, 200)),))
    (line,) = drawn(runner, "motif", clearance=20).geometry
    assert line.length == 400
    assert len(drawn(runner, "echo", spacing=15, rings=1, clearance=20)) == 0
