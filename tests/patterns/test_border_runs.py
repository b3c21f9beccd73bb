"""Borders: whole repeats, true corners, strands that close, and over and under in turn."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box

from quiltpath.geometry.free_curves.border_figures import BorderKind, border_runs
from tests.patterns.paths import fewest_runs
from tests.patterns.readers import gaps_of

FRAME = box(0, 0, 460, 260).difference(box(45, 45, 415, 215))
UNEVEN = box(0, 0, 460, 260).difference(box(60, 40, 420, 230))
EIGHT = Point(0, 0).buffer(190, 2).difference(Point(0, 0).buffer(140, 2))
LOZENGE = affinity.skew(FRAME, 20, origin=(0, 0))
BORDERS: dict[str, Polygon] = {
    "even": FRAME,
    "uneven": UNEVEN,
    "eight sides": EIGHT,
    "lozenge": LOZENGE,
}
REPEAT = {
    "wave": 45.0, "cable": 60.0, "plait": 80.0, "chain": 50.0, "loops": 40.0, "vine": 75.0,
    "feather": 105.0,
}  # fmt: skip


@pytest.mark.parametrize("kind", list(BorderKind))
@pytest.mark.parametrize("name", BORDERS)
def test_strands_close_and_stay_in_the_border(kind: BorderKind, name: str) -> None:
    lines = border_runs(BORDERS[name], kind, REPEAT[kind], full=0.92)
    assert len(lines) == {"cable": 2, "plait": 3}.get(kind, 1) or kind == "chain"
    for line in lines:
        assert np.allclose(line[0], line[-1])
        assert BORDERS[name].contains(LineString(line))


@pytest.mark.parametrize("kind", ["wave", "cable", "plait", "loops", "chain"])
@pytest.mark.parametrize("name", ["even", "uneven"])
def test_no_kinks_anywhere_corners_included(kind: str, name: str) -> None:
    """A smooth curve in chords turns little at each; a mitre would turn by 90 degrees at once. A
    link bends more closely, round the inner corner of a narrow side."""
    for line in border_runs(BORDERS[name], kind, REPEAT[kind]):
        assert _sharpest_turn(line) <= np.radians(35 if kind == "chain" else 22)


def _sharpest_turn(line: NDArray[np.float64]) -> float:
    way = np.diff(np.vstack([line, line[1:2]]), axis=0)
    heading = np.arctan2(way[:, 1], way[:, 0])
    return float(np.abs(np.angle(np.exp(1j * np.diff(heading)))).max())


def test_each_side_has_whole_repeats_and_corners_are_alike() -> None:
    """An even border is its own mirror image both ways; crests are counted as a person would."""
    (line,) = border_runs(FRAME, "wave", 45.0)
    curve = LineString(line)
    for mirror in (
        affinity.scale(curve, -1, 1, origin=(230, 130)),
        affinity.scale(curve, 1, -1, origin=(230, 130)),
    ):
        assert curve.hausdorff_distance(mirror) <= 0.3
    points = shapely.get_coordinates(shapely.segmentize(curve, 0.5))
    lower = points[(points[:, 1] < 45) & (points[:, 0] > 60) & (points[:, 0] < 400)]
    lower = lower[np.argsort(lower[:, 0])]
    middle = np.diff(np.sign(lower[:, 1] - 22.5)) != 0
    crossings = np.count_nonzero(middle)
    spacing = np.diff(lower[:-1][middle][:, 0])
    assert crossings % 2 == 0
    assert spacing.min() >= 45 / 2 * 0.8 and spacing.max() <= 45 / 2 * 1.25


def test_corners_are_not_empty() -> None:
    """The widest round place in the border is no wider than the border (read from pixels)."""
    for kind in ("cable", "plait", "feather"):
        lines = border_runs(FRAME, kind, REPEAT[kind])
        assert gaps_of(FRAME, lines).empty[0] <= 45.0


def test_one_path_by_choice() -> None:
    (line,) = border_runs(FRAME, "cable", 60.0, one_path=True)
    (two, _) = border_runs(FRAME, "cable", 60.0)
    assert LineString(line).length == pytest.approx(2 * LineString(two).length, rel=0.1)


def test_a_plait_crosses_as_three_strands_do() -> None:
    """Three sines a third of a period apart cross in pairs: six crossings a period."""
    lines = [LineString(line) for line in border_runs(FRAME, "plait", 80.0)]
    met = [
        len(shapely.get_parts(lines[i].intersection(lines[j]))) for i, j in ((0, 1), (0, 2), (1, 2))
    ]
    assert met[0] == met[1] == met[2] and met[0] % 2 == 0


@pytest.mark.parametrize("kind", ["cable", "plait", "chain"])
@pytest.mark.parametrize("one_path", [False, True])
def test_over_and_under_alternate(kind: str, one_path: bool) -> None:
    """Walking along a strand, whole crossings and gaps come in turn: half of all visits are gaps,
    and each piece of thread passes over exactly one other."""
    whole = border_runs(UNEVEN, kind, REPEAT[kind], one_path=one_path)
    pieces = border_runs(UNEVEN, kind, REPEAT[kind], one_path=one_path, under_gap_mm=2.5)
    meets = _crossings([LineString(line) for line in whole])
    assert len(pieces) == meets
    tree = shapely.STRtree([LineString(piece) for piece in pieces])
    crossing, _ = tree.query(tree.geometries, predicate="crosses")
    assert len(crossing) == 0
    lost = sum(LineString(line).length for line in whole)
    lost -= sum(LineString(piece).length for piece in pieces)
    assert lost == pytest.approx(meets * 2 * 2.5, rel=0.02)
    for k, piece in enumerate(pieces):
        ends = [Point(p) for j, q in enumerate(pieces) if j != k for p in (q[0], q[-1])]
        near = sum(end.distance(LineString(piece)) <= 2.6 for end in ends)
        assert near == 2


def _crossings(lines: list[LineString]) -> int:
    """Points where lines meet themselves or each other, by noding them all (GEOS)."""
    noded = shapely.node(shapely.MultiLineString(lines))
    ends = np.round([p for part in noded.geoms for p in (part.coords[0], part.coords[-1])], 4)
    _, degree = np.unique(ends, axis=0, return_counts=True)
    return int(np.count_nonzero(degree == 4))


def test_a_vine_has_a_leaf_in_each_corner() -> None:
    (line,) = border_runs(FRAME, "vine", 75.0)
    tips = LineString(line)
    for x, y in ((0, 0), (460, 0), (0, 260), (460, 260)):
        assert tips.distance(Point(x, y)) <= 25


@pytest.mark.parametrize("name", BORDERS)
def test_each_link_of_a_chain_holds_its_two_neighbours_and_no_other(name: str) -> None:
    """Two links that are linked, and do not only touch, cross twice (GEOS)."""
    links = [LineString(line) for line in border_runs(BORDERS[name], "chain", 50.0)]
    assert all(link.is_simple and link.is_closed for link in links)
    tree = shapely.STRtree(links)
    pairs = {(i, j) for i, j in tree.query(links, predicate="crosses").T.tolist() if i < j}
    after = {tuple(sorted((k, (k + 1) % len(links)))) for k in range(len(links))}
    assert pairs == after
    for first, second in pairs:
        assert len(shapely.get_parts(links[first].intersection(links[second]))) == 2


@pytest.mark.parametrize("name", BORDERS)
def test_a_feather_is_one_line_that_never_crosses_itself(name: str) -> None:
    """Simple as GEOS says; where sides are alike, so are their plumes."""
    (line,) = border_runs(BORDERS[name], "feather", 105.0, full=0.92)
    assert LineString(line).is_simple


def test_a_feather_has_as_many_plumes_to_the_left_as_to_the_right_and_fills_the_corners() -> None:
    """Plumes are told by their heads, along a line just inside each edge; a plume that ends there
    enters and leaves it again. All four corners hold one that reaches far into them."""
    (line,) = border_runs(FRAME, "feather", 105.0, full=0.92)
    curve = LineString(line)
    outer, inner = (
        len(shapely.get_parts(curve.intersection(edge.exterior)))
        for edge in (box(5, 5, 455, 255), box(40, 40, 420, 220))
    )
    heads = outer // 2
    assert outer % 2 == 0 and abs(outer - inner) <= 16  # those in the corners reach further or less
    assert 2 * (460 + 260 - 90) / heads == pytest.approx(0.52 * 22.5, rel=0.35)
    for x, y in ((0, 0), (460, 0), (0, 260), (460, 260)):
        assert curve.distance(Point(x, y)) <= 20
    turned = affinity.rotate(curve, 180, origin=(230, 130))
    assert curve.hausdorff_distance(turned) <= 0.3


def test_sewn_as_a_chain_all_links_are_one_start() -> None:
    """Each crossing has four ways, so links that hold each other are one path (Euler 1736)."""
    links = border_runs(UNEVEN, "chain", 50.0)
    assert fewest_runs(np.array([LineString(link) for link in links])) == 1


def test_chords_stray_little() -> None:
    (line,) = border_runs(FRAME, "wave", 45.0)
    fine = border_runs(FRAME, "wave", 45.0)[0]
    step = np.hypot(*np.diff(line, axis=0).T)
    way = np.diff(line, axis=0)
    heading = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    chord = (step[1:] + step[:-1]) / 2
    assert (chord * np.tan(np.abs(np.diff(heading)) / 4) / 2).max() <= 0.05
    assert np.array_equal(line, fine)


@pytest.mark.parametrize(
    ("border", "words"),
    [
        (box(0, 0, 100, 100), "one hole"),
        (box(0, 0, 300, 300).difference(Point(150, 150).buffer(80, 2)), "corners"),
        (
            Polygon([(0, 0), (300, 0), (300, 300), (150, 200), (0, 300)]).difference(
                box(100, 50, 200, 100)
            ),
            "convex",
        ),
    ],
)
def test_what_is_no_border_is_refused(border: Polygon, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        border_runs(border, "wave", 40.0)


def test_figures_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="repeat_mm"):
        border_runs(FRAME, "wave", 0.0)
    with pytest.raises(ValueError, match="full"):
        border_runs(FRAME, "wave", 40.0, full=1.2)
