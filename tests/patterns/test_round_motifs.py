"""What is drawn in a region with the motifs taken out of it: one line, clear of them, alike."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point, box

from quiltpath.errors import InputError
from quiltpath.geometry.free_curves.border_figures import BorderKind
from quiltpath.geometry.runner_shapes import Patch, Runner
from quiltpath.patterns.border_runs import BorderRunsLayer, border_runs
from quiltpath.patterns.diamond_walk import diamond_walks
from quiltpath.patterns.kinds import KINDS
from tests.patterns.paths import fewest_runs
from tests.patterns.runners import disc, drawn, layer, plain, sashed

IN_CLEAR = [word for word, kind in KINDS.items() if kind.in_clear is not None]
WIDE = {"pebbles": {"size": 40}, "one-line-crosshatch": {"spacing": 20}}
CLEARANCE = 7.0


def close(name: str) -> dict[str, object]:
    return {"clearance": CLEARANCE, **WIDE.get(name, {"spacing": 15})}


def round_two() -> Runner:
    return plain(420, 220, motifs=(disc(120, 110, 45), disc(300, 120, 35, place="B1")))


def test_those_that_were_cut_by_motifs_once_are_drawn_round_them() -> None:
    assert {"meander", "switchback", "one-line-crosshatch", "stipple", "pebbles"} <= set(IN_CLEAR)


@pytest.mark.parametrize("name", IN_CLEAR)
def test_every_line_keeps_the_clearance(name: str) -> None:
    runner = round_two()
    motifs = shapely.union_all([motif.shape for motif in runner.motifs])
    lines = drawn(runner, name, **close(name)).geometry
    assert shapely.distance(lines, motifs).min() >= CLEARANCE - 1e-6


@pytest.mark.parametrize("name", [n for n in IN_CLEAR if n != "field-lines"])
def test_one_path_stays_one_path_round_motifs(name: str) -> None:
    lines = drawn(round_two(), name, **close(name)).geometry
    assert len(lines) == 1 and fewest_runs(lines) == 1


def test_without_a_clearance_lines_run_over_motifs() -> None:
    over, bare = (
        drawn(runner, "meander", spacing=15).geometry for runner in (round_two(), plain(420, 220))
    )
    assert shapely.equals_exact(over, bare, 1e-9).all()


@pytest.mark.parametrize("name", IN_CLEAR)
def test_equal_blocks_are_drawn_alike(name: str) -> None:
    """The blocks of this runner are 250 mm apart."""
    lines = drawn(sashed(), name, region="blocks", **WIDE.get(name, {})).geometry
    first = shapely.union_all([line for line in lines if line.bounds[2] < 250])
    second = shapely.union_all([line for line in lines if line.bounds[0] > 250])
    moved = shapely.transform(first, lambda xy: xy + np.array([250.0, 0.0]))
    assert shapely.hausdorff_distance(moved, second) < 1e-6 and not first.is_empty


def test_what_is_left_in_a_handle_is_no_line_of_its_own() -> None:
    """A ring with a hole of 24 mm: less than twice the spacing is left once it is kept clear of."""
    ring = disc(200, 110, 50)
    shape = ring.shape.difference(shapely.Point(200, 110).buffer(12))
    cup = type(ring)("cup", "A1", shapely.MultiPolygon([shape]), ring.outlines)
    lines = drawn(plain(420, 220, motifs=(cup,)), "stipple", clearance=3, spacing=15).geometry
    assert len(lines) == 1


@pytest.mark.parametrize("name", [n for n in IN_CLEAR if np.isfinite(KINDS[n].most_spacings)])
def test_a_spacing_too_close_for_the_region_is_refused_before_it_is_drawn(name: str) -> None:
    key = KINDS[name].model.amount_key
    most = KINDS[name].most_spacings
    side = 13.0 * np.sqrt(most)
    with pytest.raises(InputError) as refused:
        drawn(plain(1.1 * side, 1.1 * side), name, **{key: 13})
    assert "\n" not in str(refused.value) and f"more than {most:,.0f}" in str(refused.value)


@pytest.mark.parametrize("name", ["stipple", "shape-spiral"])
def test_the_edge_is_a_line_half_a_gap_or_a_gap_away(name: str) -> None:
    away = []
    for edge in ("line", "half", "gap"):
        lines = drawn(plain(300, 200), name, spacing=20, inset=5, edge=edge).geometry
        away.append(shapely.distance(lines, box(0, 0, 300, 200).exterior).min() - 5)
    assert away[0] == pytest.approx(0, abs=3.0)
    assert all(after - before == pytest.approx(10, abs=3.0) for before, after in pairwise(away))


def test_a_stipple_lies_closer_to_what_it_is_told() -> None:
    """Length of line per area within 25 mm of the disc, and beyond 60 mm."""
    runner = plain(300, 300, motifs=(disc(150, 150, 40),))
    keys = {"spacing": 24, "near": 10, "closer_to": "motifs", "within": 60}
    line = shapely.union_all(drawn(runner, "stipple", **keys).geometry)
    motif = runner.motifs[0].shape
    near = motif.buffer(31).difference(motif.buffer(6.35))
    far = box(6.35, 6.35, 293.65, 293.65).difference(motif.buffer(66))
    closeness = [line.intersection(part).length / part.area for part in (near, far)]
    assert closeness[0] > 1.4 * closeness[1]


def test_a_gap_that_opens_too_far_is_refused() -> None:
    with pytest.raises(ValueError, match="near"):
        layer("stipple", spacing=30, near=5, closer_to="edge")


@pytest.mark.parametrize("shape", [(1, 1), (3, 5), (4, 6)])
def test_diamonds_over_all_cells_are_the_whole_crosshatch(shape: tuple[int, int]) -> None:
    """Four sides of length 1 / sqrt 2 to a cell, each gone along once."""
    (path,) = diamond_walks(np.ones(shape, dtype=bool))
    assert LineString(path).length == pytest.approx(4 * np.sqrt(0.5) * shape[0] * shape[1])
    assert np.array_equal(path[0], path[-1])


def test_diamonds_of_cells_that_meet_at_corners_only_are_parts() -> None:
    kept = np.zeros((6, 6), dtype=bool)
    kept[:3, :3] = kept[3:, 3:] = True
    paths = diamond_walks(kept)
    assert len(paths) == 2
    assert all(fewest_runs(np.array([LineString(path)])) == 1 for path in paths)


@pytest.mark.parametrize("figure", list(BorderKind))
def test_a_border_run_lies_within_its_width_of_the_edge(figure: BorderKind) -> None:
    lines = drawn(plain(600, 300), "border-runs", figure=figure.value, width=50, inset=6).geometry
    assert shapely.covers(box(6, 6, 594, 294), lines).all()
    assert not shapely.intersects(box(56.1, 56.1, 543.9, 243.9), lines).any()


def test_a_border_that_turns_inwards_is_told_in_one_line() -> None:
    bent = Runner(box(0, 0, 600, 400).difference(box(300, 200, 600, 400)), margin_mm=76.2)
    with pytest.raises(InputError, match="no border with plain corners") as refused:
        drawn(bent, "border-runs", width=50)
    assert "\n" not in str(refused.value)


def test_a_border_runs_inside_the_edge_where_one_motif_alone_is_in_the_way() -> None:
    """One small hole is a motif and no border's inner edge: the band ends before it."""
    patch = Patch("outside motifs", box(0, 0, 600, 300).difference(Point(300, 130).buffer(40)))
    layer = BorderRunsLayer(kind="border-runs", width=50, inset=6)
    lines = [LineString(line) for line in border_runs(layer, patch)]
    assert lines and shapely.covers(box(6, 6, 594, 294), lines).all()
    assert not shapely.intersects(box(56.1, 56.1, 543.9, 243.9), lines).any()
