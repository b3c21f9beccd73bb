"""Repeats of the user's own drawing, from an SVG file and without a line of Python."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from quiltpath.errors import InputError
from quiltpath.geometry.runner_shapes import Region, RegionKind, Runner
from quiltpath.patterns import Lines, draw
from quiltpath.patterns.drawn_repeat import repeat_of
from quiltpath.patterns.own_drawing import DrawingLayer, nest_rows
from quiltpath.project import parse
from tests.patterns.runners import layer, plain, pointed

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm" viewBox="0 0 100 60">'
HUMP = f'{HEAD}<path d="M0 50 C 20 50 30 10 50 10 S 80 50 100 50"/></svg>'
RAMP = f'{HEAD}<path d="M0 50 L 40 10 L 100 30"/><circle cx="50" cy="45" r="8"/></svg>'
IN_TWO = f'{HEAD}<path d="M0 50 L 50 10"/><path d="M 100 50 L 50.05 10.05"/></svg>'
RING = f'{HEAD}<circle cx="50" cy="30" r="20"/></svg>'


def repeated(svg: str, runner: Runner | None = None, **keys: object) -> Lines:
    """The lines of a drawing layer whose file holds ``svg``."""
    keys = {"file": "mine.svg", "overrun": 0, **keys}
    found = layer("drawing", **keys)
    assert isinstance(found, DrawingLayer)
    return draw(runner or plain(1000, 300), [found.with_svg(svg.encode())])


def test_a_row_is_one_path_of_whole_repeats() -> None:
    lines = repeated(HUMP, size="about 110 mm")
    advance = 1000 / 9
    for row in lines.geometry:
        tops = shapely.get_coordinates(row)
        crests = tops[np.abs(tops[:, 1] - row.bounds[3]) < 1e-3, 0]
        assert np.allclose(
            np.unique(np.round(np.diff(np.unique(np.round(crests, 1))), 1)), 111.1, atol=0.2
        )
        assert row.bounds[0] == pytest.approx(0) and row.bounds[2] == pytest.approx(1000)
    assert len(lines.geometry[0].coords) > 9 * 10 and advance > 110


def test_rows_fill_the_width_evenly_and_whole() -> None:
    lines = repeated(HUMP, size=100, row="about 45 mm")
    low = np.sort(shapely.bounds(lines.geometry)[:, 1])
    # A row is 40 mm high; 260 mm less a quarter inch on both sides make five steps of about 45 mm.
    room = 260 - 2 * 6.35
    assert np.allclose(np.diff(low), room / 5)
    assert low[0] == pytest.approx(6.35, abs=0.05)
    assert shapely.bounds(lines.geometry)[:, 3].max() == pytest.approx(300 - 6.35, abs=0.05)


def test_a_drawing_that_ends_higher_than_it_begins_is_levelled_and_joined() -> None:
    lines = repeated(RAMP, size=100, row=60)
    paths = [g for g in lines.geometry if not g.is_closed]
    circles = [g for g in lines.geometry if g.is_closed]
    assert all(g.bounds[0] == 0 and g.bounds[2] == 1000 for g in paths)
    assert all(g.coords[0][1] == pytest.approx(g.coords[-1][1]) for g in paths)
    assert len(circles) == 10 * len(paths)


def test_ends_that_nearly_meet_are_joined() -> None:
    lines = repeated(IN_TWO, size=100)
    assert all(g.bounds[2] - g.bounds[0] == pytest.approx(1000) for g in lines.geometry)


def test_a_drawing_that_leads_nowhere_stands_side_by_side() -> None:
    lines = repeated(RING, size=100, row=100)
    middles = shapely.get_coordinates(shapely.centroid(lines.geometry))
    assert np.allclose(np.unique(np.round(middles[:, 0], 3)), 50 + 100 * np.arange(10))
    assert all(g.is_closed for g in lines.geometry)


def test_mirrored_repeats_meet_in_their_own_mirror() -> None:
    row = repeated(RAMP, size=100, row=300, arrangement="mirrored").geometry[0]
    points = shapely.get_coordinates(row)
    about_first_seam = np.array([200.0, 0.0]) + points * [-1, 1]
    inside = about_first_seam[(about_first_seam[:, 0] > 1) & (about_first_seam[:, 0] < 199)]
    assert shapely.distance(shapely.points(inside), row).max() < 1e-6


def test_mirrored_rows_stand_on_their_heads_by_turns() -> None:
    lines = repeated(HUMP, size=100, row=60, arrangement="mirrored rows")
    first, second = lines.geometry[0], lines.geometry[1]
    flipped = shapely.transform(second, lambda p: p * [1, -1])
    shift = np.array([0, first.bounds[3] - flipped.bounds[3]])
    flipped = shapely.transform(flipped, lambda p: p + shift)
    assert flipped.hausdorff_distance(first) < 1e-6


def test_brick_rows_are_set_off_by_half_a_repeat() -> None:
    lines = repeated(HUMP, size=100, row=60, arrangement="brick")
    crests = [
        shapely.get_coordinates(g)[np.argmax(shapely.get_coordinates(g)[:, 1]), 0] % 100
        for g in lines.geometry
    ]
    assert abs(crests[0] - crests[1]) == pytest.approx(50, abs=1)


def test_half_drop_lowers_every_second_repeat_by_half_its_height() -> None:
    lines = repeated(HUMP, size=100, row=80, arrangement="half drop").geometry
    boxes = shapely.bounds(lines)
    even = boxes[np.isclose(boxes[:, 0] % 200, 0)]
    odd = boxes[np.isclose(boxes[:, 0] % 200, 100)]
    assert np.allclose(
        np.unique(np.round(even[:, 1], 3)) - np.unique(np.round(odd[:, 1], 3)), 20, atol=0.01
    )


def test_nested_rows_keep_their_distance_and_are_closer_than_plain_ones() -> None:
    nested = repeated(HUMP, size=100, arrangement="nested", apart=8).geometry
    gaps = [a.distance(b) for a, b in pairwise(nested)]
    assert min(gaps) >= 8 - 0.05
    assert len(nested) > len(repeated(HUMP, size=100, row=48).geometry)


def test_the_nesting_distance_of_a_straight_line_is_the_gap_itself() -> None:
    """Closed form: level lines a distance d apart are d apart."""
    line = repeat_of([np.array([[0.0, 0.0], [100.0, 0.0]])])
    assert nest_rows(line, 7.0)[1] == pytest.approx(7.0, abs=1e-4)


def test_a_zigzag_nests_in_step_with_its_legs_the_gap_apart() -> None:
    """Closed form: legs of slope 1 that lie d apart stand d sqrt 2 over each other."""
    zigzag = repeat_of([np.array([[0.0, 0.0], [50.0, 50.0], [100.0, 0.0]])])
    shift, pitch = nest_rows(zigzag, 5.0)
    assert shift == 0
    assert pitch == pytest.approx(5.0 * np.sqrt(2), abs=0.001)


def test_a_fitted_drawing_fills_a_pointed_runner_to_its_edge() -> None:
    frame = f'{HEAD}<path d="M0 0 H100 V60 H0 Z"/><path d="M0 30 H 100"/></svg>'
    lines = repeated(frame, pointed(), arrangement="fitted", inset=10)
    edge = max(lines.geometry, key=lambda g: g.length)
    smaller = pointed().outline.buffer(-10, join_style="mitre")
    assert Polygon(edge).symmetric_difference(smaller).area < 0.001 * smaller.area
    middle = min(lines.geometry, key=lambda g: g.length)
    assert np.allclose(shapely.get_coordinates(middle)[:, 1], 150)


def test_a_fitted_drawing_is_stretched_into_each_block() -> None:
    blocks = tuple(
        Region(name, RegionKind.BLOCK, shapely.box(x, 20, x + 150, 220))
        for name, x in (("A1", 20), ("B1", 200))
    )
    runner = Runner(shapely.box(0, 0, 400, 240), regions=blocks)
    lines = repeated(RING, runner, arrangement="fitted", region="blocks", inset=0)
    sizes = np.diff(shapely.bounds(lines.geometry).reshape(-1, 2, 2), axis=1)[:, 0]
    assert np.allclose(sizes, [150, 200], atol=0.1)


@pytest.mark.parametrize("arrangement", ["rows", "brick", "mirrored", "nested", "half drop"])
def test_every_arrangement_stays_within_the_region(arrangement: str) -> None:
    lines = repeated(RAMP, size="about 90 mm", arrangement=arrangement)
    assert shapely.covers(plain(1000, 300).outline.buffer(1e-5), lines.geometry).all()


def project(tmp_path: Path, entry: str) -> str:
    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "hump.svg").write_text(HUMP)
    (folder / "bricks.toml").write_text(
        'title = "Bricks"\nabout = "x"\nfoot = "y"\n[[layer]]\nkind = "drawing"\n'
        'file = "hump.svg"\narrangement = "brick"\n'
    )
    head = 'patterns_folder = "mine"\n[runner]\nlength = "1 m"\nwidth = "30 cm"\n'
    return f"{head}[[quilting]]\n{entry}\n"


def test_an_svg_in_the_user_s_folder_is_a_pattern(tmp_path: Path) -> None:
    found = parse(project(tmp_path, 'pattern = "hump"\nsize = "about 12 cm"'), folder=tmp_path)
    assert len(draw(plain(1000, 300), found.quilting)) > 1


def test_a_pattern_file_may_name_the_drawing_beside_it(tmp_path: Path) -> None:
    found = parse(project(tmp_path, 'pattern = "bricks"'), folder=tmp_path)
    lines = draw(plain(1000, 300), found.quilting)
    assert lines.layers == ("Bricks",) and len(lines) > 1


def test_a_drawing_that_is_missing_is_told_with_its_key(tmp_path: Path) -> None:
    text = project(tmp_path, 'kind = "drawing"\nfile = "not-there.svg"')
    with pytest.raises(InputError, match=r"quilting\[1\].file.*not-there"):
        parse(text, folder=tmp_path)


def test_rows_of_a_nested_drawing_are_not_asked_for() -> None:
    with pytest.raises(ValueError, match="by themselves"):
        layer("drawing", file="x.svg", arrangement="nested", row=10)
