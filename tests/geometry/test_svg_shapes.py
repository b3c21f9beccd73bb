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
from quiltpath.geometry.fill_rules import fill_rings, winding_number
from quiltpath.geometry.svg_elements import MM_PER_PIXEL, drawn_elements
from quiltpath.geometry.svg_shapes import read_svg, single_outline

COPIES_OF_COPIES = '<g id="c0"><rect width="1" height="1"/></g>' + "".join(
    f'<g id="c{i}">' + f'<use href="#c{i - 1}"/>' * 10 + "</g>" for i in range(1, 10)
)
"""A hundred elements that would be a thousand million once drawn out."""

SCRIBBLE = "".join(f"L{i * 7919 % 97} {i * 104729 % 89}" for i in range(4000))
"""Two million crossings."""


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


@pytest.mark.parametrize(
    "body",
    [
        '<circle cx="50" cy="50" r="20" transform="skewX(30) translate(-25 0)"/>',
        '<g transform="matrix(1 .3 -.6 .8 40 0)"><path d="M20 50 A 30 15 25 1 1 60 60 Z"/></g>',
        '<ellipse cx="50" cy="50" rx="40" ry="10" transform="rotate(33 50 50)"/>',
        '<path transform="scale(-1 1) translate(-100 0)" d="M10 10 L60 20 C80 40 70 90 20 60z"/>',
        '<defs><circle id="a" cx="5" cy="5" r="5"/></defs><use href="#a" x="20" y="30"/>'
        '<use href="#a" transform="translate(60 10) scale(2)" x="3"/>',
        '<path d="M10 50 C 20 0 40 0 50 50 S 80 100 90 50 L 90 90 Q 70 70 50 90 T 10 90 z"/>',
        '<path d="M50 5 L79 95 L2 39 L98 39 L21 95 Z"/>',
        '<g style="fill-rule:evenodd"><path d="M50 5 L79 95 L2 39 L98 39 L21 95 Z"/></g>',
        '<path d="M20 20 h40 v40 z l 0 -10 -10 0 z"/>',
        '<rect width="50" height="50" visibility="hidden"/>'
        '<rect x="60" y="60" width="9" height="9"/>',
        '<rect x="10%" y="20%" width="50%" height="10%"/><circle cx="50%" cy="70%" r="10%"/>',
    ],
)
def test_shapes_lie_where_an_independent_renderer_paints_them(body: str) -> None:
    """resvg paints the drawing; each pixel well inside or outside our shape must agree."""
    resvg_py = pytest.importorskip("resvg_py")
    from io import BytesIO

    from PIL import Image

    data = svg(body)
    png = bytes(resvg_py.svg_to_bytes(svg_string=data.decode(), dpi=96))
    painted = np.asarray(Image.open(BytesIO(png)).convert("RGBA"))[..., 3] > 127
    pixel = 100 / painted.shape[0]
    rows, columns = np.indices(painted.shape)
    shape = read_svg(data, "p.svg").shape
    centres = shapely.points((columns + 0.5) * pixel, -(rows + 0.5) * pixel)
    sure = shapely.distance(shape.boundary, centres) > pixel
    shapely.prepare(shape)
    assert painted.any()
    assert (shapely.contains(shape, centres) == painted)[sure].all()


def test_a_page_of_another_shape_than_its_viewbox_is_fitted_not_stretched() -> None:
    """SVG 2, preserveAspectRatio: by default xMidYMid meet (from memory)."""
    body = '<circle cx="10" cy="5" r="5"/>'
    drawn = read_svg(svg(body, 'width="100mm" height="100mm" viewBox="0 0 20 10"'), "f.svg")
    assert drawn.shape.bounds == pytest.approx((25, -75, 75, -25), abs=1e-2)
    stretched = read_svg(
        svg(body, 'width="100mm" height="50mm" viewBox="0 0 10 10" preserveAspectRatio="none"'),
        "f.svg",
    )
    assert stretched.shape.bounds == pytest.approx((50, -50, 150, 0), abs=1e-2)


def test_a_thousand_seeds_in_one_path_are_a_thousand_holes() -> None:
    seed = "a.4 .4 0 1 0 .8 0a.4 .4 0 1 0 -.8 0z"
    seeds = "".join(f"M{1 + i % 40 * 2} {1 + i // 40 * 2}{seed}" for i in range(1000))
    drawn = read_svg(svg(f'<path fill-rule="evenodd" d="M0 0h90v90h-90z{seeds}"/>'), "s.svg")
    assert len(drawn.shape.geoms[0].interiors) == 1000
    assert drawn.shape.area == pytest.approx(8100 - 1000 * math.pi * 0.4**2, rel=1e-3)


def test_open_lines_are_sewn_but_fill_nothing() -> None:
    drawn = read_svg(svg('<path fill="none" stroke="#000" d="M0 0 C 10 10 20 -10 30 0"/>'), "o.svg")
    assert len(drawn.outlines) == 1
    assert 0 < drawn.shape.area < 0.03 * drawn.outlines[0].length


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
        (svg('<g id="a"><use href="#a"/></g>'), "inside itself"),
        (svg('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'), "inside itself"),
        (svg(COPIES_OF_COPIES), "reuses shapes"),
        (svg('<path d="M nan 0 L 3 3 L 5 0 Z"/>'), "no paths"),
        (svg('<path d="horse"/>'), "makes no sense"),
        (svg('<path d="M 0 0 A 1e200 1e200 0 0 0 5 5 Z"/>'), "makes no sense"),
        (svg('<path d="M0 0' + "C9e4 9e4 -9e4 9e4 0 0" * 9000 + 'z"/>'), "points"),
        (svg(f'<path d="M0 0{SCRIBBLE}z"/>'), "crosses itself"),
        (svg('<rect width="3em" height="1"/>'), "width is '3em'"),
        (svg('<rect width="2" height="1"/>', 'width="-9mm" height="9mm"'), "without size"),
        (svg('<rect width="2" height="1"/>', 'viewBox="0 0 0 9"'), "without size"),
        (svg('<symbol id="a"><rect width="3" height="1"/></symbol>'), "symbols"),
        (svg('<svg x="9"><rect width="3" height="1"/></svg>'), "inside the drawing"),
        (svg("<style>" + "/*" * 50_000 + "</style>"), "style sheet"),
        (svg("<g " + " ".join(f'a{i}="1"' for i in range(200)) + "/>"), "attributes"),
        (svg('<rect width="3" height="1"/>' + " " * 20_000_000), "larger than 20 MB"),
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


@pytest.mark.parametrize("side", ["M0 0 H300", "M300 0 V200", "M0 200 H300", "M0 0 V200"])
def test_a_line_along_the_page_s_edge_is_drawn(side: str) -> None:
    head = 'width="300mm" height="200mm" viewBox="0 0 300 200"'
    body = f'<path d="M0 0 L300 200" fill="none" stroke="#000"/><path d="{side}" stroke="#000"/>'
    assert len(drawn_elements(svg(body, head), "a.svg")[0]) == 2


def test_an_outline_is_the_largest_closed_path() -> None:
    drawn = svg('<path d="M0 0 L90 0"/><rect width="9" height="9"/><rect width="80" height="20"/>')
    assert single_outline(drawn, "o.svg").area == pytest.approx(1600, rel=1e-5)
    with pytest.raises(InputError, match=r"o.svg: .*not closed: its ends are 5.00 mm apart; close"):
        single_outline(svg('<path d="M0 0 L9 0 L9 9 L3 4"/>'), "o.svg")
    with pytest.raises(InputError, match=r"o.svg: .*crosses itself .*; draw one path"):
        single_outline(svg('<path d="M0 0 L90 0 L0 40 L90 40 Z"/>'), "o.svg")


box = st.tuples(st.integers(0, 12), st.integers(0, 12), st.integers(1, 9), st.integers(1, 9))


@given(st.lists(st.tuples(box, st.booleans()), min_size=1, max_size=6), st.booleans())
def test_fill_rules_judge_every_point_by_the_rings_around_it(
    boxes: list[tuple[tuple[int, int, int, int], bool]], evenodd: bool
) -> None:
    """Counted box by box, turned one way or the other (SVG 2, 13.4.2, from memory)."""
    rings, around = [], np.zeros((22, 22), dtype=int)
    for (x, y, width, height), clockwise in boxes:
        ring = np.array([(x, y), (x + width, y), (x + width, y + height), (x, y + height), (x, y)])
        rings.append(ring[:: -1 if clockwise else 1].astype(float))
        around[x : x + width, y : y + height] += -1 if clockwise else 1
    cells = np.argwhere(np.ones_like(around)) + 0.5
    expected = (around % 2 != 0) if evenodd else (around != 0)
    shape = fill_rings(rings, "evenodd" if evenodd else "nonzero")
    assert shape.area == expected.sum()
    assert (shapely.contains_xy(shape, cells) == expected.ravel()).all()


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
