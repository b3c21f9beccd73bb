"""A drawing of one's own led round a border, and what is said of ends that do not match."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Runner
from quiltpath.patterns.drawn_repeat import corner_deg, repeat_of
from tests.patterns.runners import layer, plain
from tests.patterns.test_own_drawing import HEAD, HUMP, RAMP, RING, repeated

SPUR = f'{HEAD}<path d="M0 50 L 20 50 L 30 10 L 40 50 L 100 50"/></svg>'
"""A level line with a spur 40 high, its tip 30 of 100 along: alike neither way round."""
DISC = Runner(Polygon(Point(0, 0).buffer(250, 64)))


def round_it(svg: str, runner: Runner | None = None, **keys: object) -> list[LineString]:
    keys = {"size": "about 100 mm", "width": 60, "inset": 10, "arrangement": "border", **keys}
    return list(repeated(svg, runner or plain(800, 400), **keys).geometry)


def tips(line: LineString) -> np.ndarray:
    """Corners sharper than 90 degrees: what a spur ends in."""
    points = shapely.get_coordinates(line)[:-1]
    there, back = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    sharp: np.ndarray = points[(there * back).sum(axis=1) < 0]
    return sharp


def test_it_is_one_closed_line_with_a_whole_number_to_each_side_and_one_in_each_corner() -> None:
    """Along the middle of its band of 60 mm, 40 in from the edge, a side of 720 mm holds seven or
    eight repeats of 100 and one of 320 three or four; opposite sides hold the same."""
    (line,) = round_it(SPUR)
    assert line.is_closed and line.is_simple
    found = tips(line)
    corners = np.array([(0, 0), (800, 0), (800, 400), (0, 400)])
    off = found[:, None] - corners
    nearest = np.hypot(off[..., 0], off[..., 1]).min(axis=0)
    assert np.ptp(nearest) < 0.1 and nearest.max() < 40 * math.sqrt(2)
    on_side = {
        "lower": (found[:, 1] < 60) & (np.abs(found[:, 0] - 400) < 330),
        "upper": (found[:, 1] > 340) & (np.abs(found[:, 0] - 400) < 330),
        "left": (found[:, 0] < 60) & (np.abs(found[:, 1] - 200) < 130),
        "right": (found[:, 0] > 740) & (np.abs(found[:, 1] - 200) < 130),
    }
    number = {side: int(chosen.sum()) for side, chosen in on_side.items()}
    assert number["lower"] == number["upper"] in (6, 7)
    assert number["left"] == number["right"] in (2, 3)
    assert sum(number.values()) + 4 == len(found)


def test_it_reads_as_drawn_on_the_upper_side() -> None:
    """A saw's tooth climbs over 70 of its length and falls within 10: so it does there, upwards,
    and a half turn later on the lower side, but never as in a mirror."""
    tooth = f'{HEAD}<path d="M0 50 L 70 10 L 80 50 L 100 50"/></svg>'
    (line,) = round_it(tooth)
    found = tips(line)
    for way, beside in ((1, found[:, 1] > 340), (-1, found[:, 1] < 60)):
        near = found[beside & (np.abs(found[:, 0] - 400) < 200)]
        assert len(near) >= 2
        for tip in near:
            below = tip - way * np.array([0.0, 10.0])
            rule = LineString(below + np.array([(-60.0, 0.0), (60.0, 0.0)]))
            met = shapely.get_coordinates(line.intersection(rule))[:, 0]
            before, after = tip[0] - met[met < tip[0]].max(), met[met > tip[0]].min() - tip[0]
            assert before / after == pytest.approx(7.0**way, rel=0.1)


@pytest.mark.parametrize("width", [40, 60])
def test_round_an_oval_it_keeps_its_distance_from_the_edge(width: float) -> None:
    """On a disc the band has no corners: tips lie on one circle, the level parts on another, and
    the drawing is 0.4 of its repeat high wherever that fits into nine tenths of the band."""
    (line,) = round_it(SPUR, DISC, width=width)
    found = np.hypot(*tips(line).T)
    assert len(found) % 2 == 0
    middle = 250 - 10 - width / 2
    high = min(0.4 * 2 * math.pi * middle / len(found), 0.9 * width)
    assert found == pytest.approx(middle + high / 2, abs=0.3)
    angle = np.sort(np.arctan2(*tips(line).T[::-1]))
    assert np.diff(angle) == pytest.approx(2 * math.pi / len(found), abs=0.01)
    assert np.hypot(*shapely.get_coordinates(line).T).min() == pytest.approx(
        middle - high / 2, abs=0.3
    )


def test_what_leads_nowhere_stands_unbent_one_in_each_corner() -> None:
    """Circles stay circles, all of one size, and none overlaps the next."""
    rings = [Polygon(line) for line in round_it(RING, size="about 60 mm")]
    thin = [4 * math.pi * ring.area / ring.length**2 for ring in rings]
    assert min(thin) > 0.999
    assert max(ring.area for ring in rings) == pytest.approx(min(ring.area for ring in rings))
    pairs = shapely.STRtree(rings).query(rings, predicate="overlaps")
    shared = [rings[i].intersection(rings[j]).area for i, j in pairs.T]
    assert max(shared, default=0.0) < 0.01 * rings[0].area
    on_diagonal = [
        r for r in rings if abs(abs(r.centroid.x - 400) - 200 - abs(r.centroid.y - 200)) < 0.5
    ]
    assert len(on_diagonal) == 4


@pytest.mark.parametrize(
    ("svg", "arrangement", "told"),
    [
        (HUMP, "rows", ""),
        (HUMP, "mirrored", ""),
        (SPUR, "border", ""),
        (RING, "rows", "no line of mine.svg leads from its left end to its right"),
        (HUMP, "half drop", "half a row lower"),
        (RAMP, "brick", "ends higher than it begins and was leaned by 11 degrees"),
        (RING, "fitted", ""),
    ],
)
def test_it_is_told_where_ends_do_not_match(svg: str, arrangement: str, told: str) -> None:
    """The ramp climbs 20 mm in 100: the arc tangent of a fifth is 11.3 degrees."""
    lines = repeated(svg, plain(600, 300), size=100, arrangement=arrangement)
    said = [remark.message for remark in lines.remarks if remark.code.startswith("repeats")]
    assert told in said[0] if told else not said


@pytest.mark.parametrize(
    ("points", "mirrored", "corner"),
    [
        ([(0, 0), (10, 0), (20, 1), (30, 3), (40, 0)], False, 0),  # turns more inside than there
        ([(0, 0), (10, 1), (20, 1), (30, 0)], False, 0),  # 11 degrees: as hand-drawn lines do
        ([(0, 0), (10, 3), (20, 3), (30, 0)], False, 2 * math.degrees(math.atan(0.3))),
        ([(0, 0), (10, 3), (20, 6), (30, 6), (40, 3), (50, 0)], True, 33.4),
    ],
)
def test_a_corner_counts_where_the_line_has_none_as_sharp(
    points: list[tuple[float, float]], mirrored: bool, corner: float
) -> None:
    assert corner_deg(np.array(points, dtype=float), mirrored=mirrored) == pytest.approx(
        corner, abs=0.05
    )


def test_a_drawing_so_levelled_joins() -> None:
    leaned = repeat_of([np.array([(0.0, 0.0), (50.0, 40.0), (100.0, 20.0)])])
    assert leaned.path is not None and leaned.path[-1].tolist() == [100.0, 0.0]
    assert leaned.lean_deg == pytest.approx(math.degrees(math.atan(0.2)))


def test_keys_of_a_border_belong_to_one() -> None:
    with pytest.raises(ValueError, match="by themselves"):
        layer("drawing", file="x.svg", arrangement="border", row=10)
    with pytest.raises(ValueError, match="border"):
        layer("drawing", file="x.svg", width=30)


def test_a_region_that_is_no_border_is_refused() -> None:
    hollow = Polygon([(0, 0), (600, 0), (600, 400), (0, 400)], [[(60, 40), (540, 200), (60, 360)]])
    with pytest.raises(InputError, match="corners"):
        round_it(SPUR, Runner(hollow))
