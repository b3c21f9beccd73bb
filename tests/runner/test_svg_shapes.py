"""Drawn shapes come in true to size, with curves, holes, transforms and groups."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Point

from quiltpath.errors import InputError
from quiltpath.runner.svg_shapes import MM_PER_PIXEL, read_svg, single_outline
from quiltpath.runner.winding import winding_number


def svg(body: str, head: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> bytes:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>'.encode()


@pytest.mark.parametrize(
    ("head", "mm"),
    [
        # CSS Values and Units (W3C; from memory): 1 in = 96 px = 2.54 cm = 72 pt.
        ('width="100mm" height="100mm" viewBox="0 0 100 100"', 1.0),
        ('width="10cm" height="10cm" viewBox="0 0 100 100"', 1.0),
        ('width="1in" height="1in" viewBox="0 0 96 96"', 25.4 / 96),
        ('width="72pt" height="72pt" viewBox="0 0 1 1"', 25.4),
        ('width="96" height="96" viewBox="0 0 1 1"', 25.4),
        ("", 25.4 / 96),
    ],
)
def test_physical_units_are_those_of_css(head: str, mm: float) -> None:
    shape = read_svg(svg('<rect width="3" height="2"/>', head), "u.svg").shape
    low_x, low_y, high_x, high_y = shape.bounds
    assert high_x - low_x == pytest.approx(3 * mm, rel=1e-5)
    assert high_y - low_y == pytest.approx(2 * mm, rel=1e-5)


def test_y_runs_upwards() -> None:
    drawn = read_svg(svg('<path d="M0 0 L10 0 L10 20 Z"/>'), "y.svg")
    corner = min(drawn.shape.geoms[0].exterior.coords, key=lambda point: point[1])
    assert corner[0] == pytest.approx(10.0, abs=1e-3)


@pytest.mark.parametrize(
    ("body", "area"),
    [
        ('<circle cx="50" cy="50" r="30"/>', math.pi * 30**2),
        ('<ellipse cx="50" cy="50" rx="30" ry="10"/>', math.pi * 30 * 10),
        ('<rect width="40" height="20" rx="5"/>', 40 * 20 - (4 - math.pi) * 5**2),
        ('<path d="M0 50 A 50 50 0 0 1 100 50 Z"/>', math.pi * 50**2 / 2),
        # Archimedes: the segment of a parabola is two thirds of its triangle's circumscribed
        # rectangle; the quadratic below is a parabola of height 30 over a base of 60.
        ('<path d="M0 0 Q 30 60 60 0 Z"/>', 2 / 3 * 60 * 30),
        ('<polygon points="0,0 10,0 10,10 0,10"/>', 100.0),
        (
            '<g transform="scale(2)"><g transform="rotate(9)"><rect width="5" height="4"/></g></g>',
            80,
        ),
        ('<rect width="9" height="9" transform="matrix(1 0 0.5 1 0 0)"/>', 81.0),
        ('<defs><rect id="a" width="4" height="4"/></defs><use href="#a" x="9"/>', 16.0),
        ("<path fill-rule='evenodd' d='M0 0h30v30h-30z M10 10h10v10h-10z'/>", 800.0),
        ("<path d='M0 0h30v30h-30z M10 10h10v10h-10z'/>", 900.0),
        ("<path d='M0 0h30v30h-30z M10 10v10h10v-10z'/>", 800.0),
        ('<rect width="10" height="10"/><rect x="5" width="10" height="10"/>', 150.0),
    ],
)
def test_areas_are_those_of_geometry(body: str, area: float) -> None:
    assert read_svg(svg(body), "a.svg").shape.area == pytest.approx(area, rel=1e-3)


def test_a_motif_drawn_small_is_smooth_at_its_size_on_the_cloth() -> None:
    """A circle of 2 mm on paper used at 200 mm stays within 0.02 mm of the true one."""
    drawn = read_svg(svg('<circle cx="1" cy="1" r="1"/>'), "c.svg", size_mm=200.0)
    points = shapely.get_coordinates(drawn.outlines[0]) * 100
    middle = shapely.get_coordinates(Point(100, -100))
    chords = (points[1:] + points[:-1]) / 2
    radius = np.hypot(*(np.vstack([points, chords]) - middle).T)
    # Four cubics leave the circle by 0.027 percent at most (Goldapp 1991, from memory).
    assert np.abs(radius - 100).max() < 0.02 + 0.00028 * 100


def test_open_lines_are_sewn_but_fill_nothing() -> None:
    drawn = read_svg(svg('<path d="M0 0 C 10 10 20 -10 30 0"/>'), "o.svg")
    assert len(drawn.outlines) == 1
    assert drawn.shape.is_empty


def test_the_same_area_as_an_independent_renderer_paints() -> None:
    """resvg paints the drawing; its black pixels are counted."""
    resvg_py = pytest.importorskip("resvg_py")
    from io import BytesIO

    from PIL import Image

    drawing = svg(
        '<g transform="rotate(10 50 50)"><path fill-rule="evenodd" d="M20 20 C 60 0 90 40 70 80'
        ' S 10 90 20 20 Z M40 40 a10 12 0 1 0 20 0 a10 12 0 1 0 -20 0 Z"/></g>'
    )
    png = bytes(resvg_py.svg_to_bytes(svg_string=drawing.decode(), zoom=4, dpi=96))
    picture = Image.open(BytesIO(png))
    painted = np.asarray(picture)[..., 3].astype(float).sum() / 255
    per_mm = picture.width / 100
    ours = read_svg(drawing, "r.svg").shape.area
    assert ours == pytest.approx(painted / per_mm**2, rel=2e-3)


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (b"", "not valid XML"),
        (b"leaf", "not valid XML"),
        (b"<svg><path d=", "not valid XML"),
        (b"\x89PNG\r\n\x1a\n", "not valid XML"),
        (b"<html/>", "not an SVG"),
        (svg(""), "no paths"),
        (svg("<text>leaf</text>"), "no paths"),
        (svg('<image href="file:///etc/passwd" width="9" height="9"/>'), "no paths"),
        (svg("<script>alert(1)</script>"), "no paths"),
        (svg('<use href="http://example.org/a.svg#leaf"/>'), "no paths"),
        (svg('<path d="M0 0 L0 0 Z"/>'), "no size"),
        (svg('<path d="M0 0 L1e300 0 L3 3 Z"/>'), "out of all measure"),
        (svg('<g id="a"><use href="#a"/></g>'), "out of all measure"),
        (svg("<g>" * 150 + "</g>" * 150), "deep"),
        (svg("<g/>" * 20_001), "elements"),
        (svg('<path d="M0 0' + "L1 1" * 300_000 + '"/>'), "points"),
        (b'<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><svg>&b;</svg>', "entities"),
        (b'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg>&a;</svg>', "entities"),
    ],
)
def test_what_is_no_drawing_is_refused_in_one_line(data: bytes, fault: str) -> None:
    with pytest.raises(InputError) as caught:
        read_svg(data, "leaf.svg")
    line = str(caught.value)
    assert line.startswith("leaf.svg: ") and "\n" not in line
    assert fault in line and ";" in line


def test_an_outline_is_the_largest_closed_path() -> None:
    drawn = svg('<path d="M0 0 L90 0"/><rect width="9" height="9"/><rect width="80" height="20"/>')
    assert single_outline(drawn, "o.svg").area == pytest.approx(1600, rel=1e-5)
    with pytest.raises(InputError, match="not closed"):
        single_outline(svg('<path d="M0 0 L9 0 L9 9"/>'), "o.svg")


@given(st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), min_size=3, max_size=8))
def test_winding_is_odd_just_where_a_ray_crosses_an_odd_number_of_times(
    corners: list[tuple[int, int]],
) -> None:
    """Against counting crossings of a ray to the right, edge by edge."""
    ring = np.array([*corners, corners[0]], dtype=float)
    points = np.array(
        [(x + 1 / np.pi, y + np.sqrt(0.5)) for x in range(-9, 9, 3) for y in range(-9, 9, 3)]
    )
    found = winding_number(points, ring)
    for (px, py), number in zip(points, found, strict=True):
        crossings = 0
        for (x0, y0), (x1, y1) in pairwise(ring):
            if (y0 > py) != (y1 > py) and px < x0 + (py - y0) * (x1 - x0) / (y1 - y0):
                crossings += 1
        assert number % 2 == crossings % 2


def test_a_pixel_is_the_96th_part_of_an_inch() -> None:
    assert pytest.approx(25.4) == MM_PER_PIXEL * 96
