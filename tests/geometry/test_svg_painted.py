"""What a drawing paints is what counts: held against two independent renderers, on people's icons.

resvg and Skia render; lucide and heroicons are sets of icons from the package index, drawn as lines
and as filled shapes. Rules of painting by SVG 2, W3C, chapters 5, 13 and 14.
"""

from __future__ import annotations

import importlib.util
import re
from collections.abc import Callable
from functools import cache
from io import BytesIO
from pathlib import Path
from statistics import median
from zipfile import ZipFile

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.errors import InputError
from quiltpath.geometry.svg_shapes import read_svg

Render = Callable[[bytes], np.ndarray]

PIXELS, FINER = 360, 4
EVERY = 9
"""of the icons; together some hundreds"""

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"'
LEAF = '<path d="M20 20 H80 V60 H20 Z"/>'
LEAF_MM2 = 60 * 40


def svg(body: str, more: str = "") -> bytes:
    return f"{HEAD} {more}>{body}</svg>".encode()


def painted_by_skia(drawing: bytes) -> np.ndarray:
    """(PIXELS, PIXELS) what Skia paints, which knows ``href`` by its older name alone."""
    skia = pytest.importorskip("skia")
    head, end, body = drawing.partition(b">")
    text = re.sub(rb'\s(width|height)="[^"]*"', b"", head) + end + body
    text = text.replace(b"<svg", b'<svg xmlns:xlink="http://www.w3.org/1999/xlink"', 1)
    text = text.replace(b" href=", b" xlink:href=")
    drawn = skia.SVGDOM.MakeFromStream(skia.MemoryStream(text))
    drawn.setContainerSize(skia.Size(PIXELS, PIXELS))
    surface = skia.Surface(PIXELS, PIXELS)
    surface.getCanvas().clear(0)
    drawn.render(surface.getCanvas())
    return np.asarray(surface.makeImageSnapshot().toarray())[..., 3] > 127


def painted(drawing: bytes) -> np.ndarray:
    """(PIXELS, PIXELS) what resvg paints."""
    resvg_py = pytest.importorskip("resvg_py")
    png = bytes(
        resvg_py.svg_to_bytes(svg_string=drawing.decode(), dpi=96, width=PIXELS, height=PIXELS)
    )
    return np.asarray(Image.open(BytesIO(png)))[..., 3] > 127


def rastered(shape: BaseGeometry, side_mm: float) -> np.ndarray:
    """The same of our shape, y upwards from the page's lower edge at -side."""
    by = FINER * PIXELS / side_mm
    image = Image.new("L", (FINER * PIXELS, FINER * PIXELS))
    pen = ImageDraw.Draw(image)
    # what lies in another's hole is drawn after that hole
    for part in sorted(shapely.get_parts(shape), key=lambda part: -Polygon(part.exterior).area):
        for number, ring in enumerate((part.exterior, *part.interiors)):
            points = shapely.get_coordinates(ring) * (by, -by) - 0.5
            pen.polygon([(float(x), float(y)) for x, y in points], fill=255 * int(number == 0))
    return np.asarray(image.reduce(FINER)) > 127


def overlap(one: np.ndarray, other: np.ndarray) -> float:
    return float((one & other).sum() / max((one | other).sum(), 1))


@cache
def icons(package: str, folder: str = "") -> dict[str, bytes]:
    """Every so many icons of a set, by name."""
    place = Path(pytest.importorskip(package).__file__ or "").parent
    with ZipFile(next(place.glob("*.zip"))) as archive:
        names = [n for n in archive.namelist() if n.startswith(folder) and n.endswith(".svg")]
        return {name: archive.read(name) for name in sorted(names)[::EVERY]}


def side_mm(icon: bytes) -> float:
    (box,) = re.findall(rb'viewBox="0 0 ([\d.]+) ', icon)
    return float(box) * 25.4 / 96


RENDERERS = pytest.mark.parametrize("render", [painted, painted_by_skia])


@RENDERERS
def test_filled_icons_are_read_as_they_are_painted(render: Render) -> None:
    found = {}
    for name, icon in icons("heroicons", "solid/").items():
        drawn = read_svg(icon, name)
        found[name] = overlap(rastered(drawn.shape, side_mm(icon)), render(icon))
    assert len(found) >= 30
    assert median(found.values()) >= 0.98
    assert {name: share for name, share in found.items() if share < 0.9} == {}


@RENDERERS
def test_icons_of_lines_are_read_as_they_are_painted(render: Render) -> None:
    found = {}
    for name, icon in icons("lucide").items():
        drawn = read_svg(icon, name, read_as="strokes")
        found[name] = overlap(rastered(drawn.shape, side_mm(icon)), render(icon))
    assert len(found) >= 150
    assert median(found.values()) >= 0.98
    assert {name: share for name, share in found.items() if share < 0.9} == {}


PENS = {
    "butt ends, mitred": '<path d="M20 30 H70 L30 70" fill="none" stroke="#000" stroke-width="9"/>',
    "square ends, bevelled": (
        '<path d="M20 30 H70 L30 70" fill="none" stroke="#000" stroke-width="9"'
        ' stroke-linecap="square" stroke-linejoin="bevel"/>'
    ),
    "of a group, made larger": (
        '<g stroke="#000" stroke-width="3" stroke-linecap="round" fill="none">'
        '<path transform="scale(2)" d="M10 10 L40 40"/></g>'
    ),
    "filled as well": '<circle cx="50" cy="50" r="20" stroke="#000" stroke-width="10"/>',
    "round a hole": '<circle cx="50" cy="50" r="20" fill="none" stroke="#0f0" stroke-width="10"/>',
}


@RENDERERS
@pytest.mark.parametrize("drawn", PENS.values(), ids=PENS)
def test_strokes_are_as_wide_as_their_pen(drawn: str, render: Render) -> None:
    """SVG 2, 13.5: width, ends, corners and their limit."""
    drawing = svg(drawn)
    strokes = read_svg(drawing, "pen.svg", read_as="strokes")
    assert overlap(rastered(strokes.shape, 100), render(drawing)) > 0.97
    edges = shapely.union_all(list(strokes.outlines))
    assert shapely.equals(edges, shapely.boundary(strokes.shape))


def test_lines_take_a_hairs_breadth_and_enclose_nothing() -> None:
    """A stand-off is taken from the lines; the inside of a closed one is free."""
    body = '<path d="M20 20 H80 V60 H20 Z" fill="none" stroke="#000"/><path d="M5 5 L9 9"/>'
    drawn = read_svg(svg(body.replace("L9 9", 'L9 9" stroke="#000')), "l.svg", read_as="lines")
    assert sum(line.length for line in drawn.outlines) == pytest.approx(200 + 4 * 2**0.5)
    assert 0 < drawn.shape.area < 0.03 * 206
    inner = shapely.Point(50, -40).buffer(19)
    assert drawn.shape.disjoint(inner)
    assert all(drawn.shape.covers(line) for line in drawn.outlines)


def test_a_drawing_that_encloses_nothing_is_read_as_lines() -> None:
    body = '<path d="M20 20 L80 60 M30 60 L60 20" fill="none" stroke="#000"/>'
    itself = read_svg(svg(body), "l.svg")
    said = read_svg(svg(body), "l.svg", read_as="lines")
    assert itself.shape.equals(said.shape)
    assert itself.outlines == said.outlines
    assert len(itself.outlines) == 2


CLIP = '<clipPath id="c"><circle cx="50" cy="50" r="30"/></clipPath>'
MASK = '<mask id="m" maskUnits="userSpaceOnUse" x="0" y="0" width="100" height="100">'
BAR = '<rect x="10" y="10" width="50" height="80"/>'
COVERED = {
    "a clip": f'{CLIP}<g clip-path="url(#c)">{BAR}</g>',
    "said by style": f"""{CLIP}<g style="fill:#123;clip-path:url(#c)">{BAR}</g>""",
    "a turned clip on a turned group": (
        '<clipPath id="c" transform="translate(5 5)"><circle cx="50" cy="50" r="30"/></clipPath>'
        f'<g clip-path="url(#c)" transform="rotate(10)">{BAR}</g>'
    ),
    "one in another": (
        f'{CLIP}<clipPath id="d"><rect width="50" height="50"/></clipPath>'
        '<g clip-path="url(#c)"><rect clip-path="url(#d)" x="10" y="10" width="50" height="80"/>'
        '<rect x="60" y="10" width="10" height="80"/></g>'
    ),
    "on a shape that is used twice": (
        '<clipPath id="c"><circle cx="20" cy="20" r="15"/></clipPath>'
        '<defs><rect id="r" clip-path="url(#c)" width="30" height="30"/></defs>'
        '<use href="#r"/><use href="#r" x="10" y="10"/>'
    ),
    "on a use": (
        f'{CLIP}<defs><rect id="r" width="60" height="60"/></defs>'
        '<use href="#r" clip-path="url(#c)"/>'
    ),
    "made of a use": (
        '<defs><circle id="k" cx="50" cy="50" r="30"/></defs>'
        '<clipPath id="c"><use href="#k"/></clipPath>'
        '<rect clip-path="url(#c)" width="60" height="60"/>'
    ),
    "a clip that is not painted": (
        '<clipPath id="c"><circle fill="none" cx="50" cy="50" r="30"/></clipPath>'
        f'<g fill="none"><g fill="red" clip-path="url(#c)">{BAR}</g></g>'
    ),
    "a clip with a hole": (
        '<clipPath id="c"><path clip-rule="evenodd" d="M10 10H90V90H10ZM30 30H70V70H30Z"/>'
        '</clipPath><rect clip-path="url(#c)" width="60" height="100"/>'
    ),
    "an empty clip": (
        '<clipPath id="c"></clipPath><rect clip-path="url(#c)" width="60" height="100"/>'
        '<rect x="40" y="40" width="30" height="30"/>'
    ),
    "a mask with a dark hole": (
        f'{MASK}<rect width="100" height="100" fill="#fff"/>'
        f'<circle cx="50" cy="50" r="20" fill="#000"/></mask><g mask="url(#m)">{BAR}</g>'
    ),
    "a mask of a line": (
        f'{MASK}<path d="M0 0L100 100" stroke="#fff" stroke-width="20" fill="none"/></mask>'
        f'<g mask="url(#m)">{BAR}</g>'
    ),
    "a mask that is nearly clear below": (
        f'{MASK}<rect width="100" height="50" fill="#fff"/>'
        '<rect y="50" width="100" height="50" fill="#fff" opacity="0.2"/></mask>'
        f'<g mask="url(#m)">{BAR}</g>'
    ),
}


@RENDERERS
@pytest.mark.parametrize("body", COVERED.values(), ids=COVERED)
def test_what_a_clip_or_a_mask_hides_is_not_there(body: str, render: Render) -> None:
    """CSS Masking 1, W3C."""
    drawing = svg(body)
    drawn = read_svg(drawing, "covered.svg")
    assert drawn.passed_over == ()
    assert overlap(rastered(drawn.shape, 100), render(drawing)) > 0.97
    # the cut is an edge like the others
    assert shapely.union_all(list(drawn.outlines)).covers(shapely.boundary(drawn.shape))


def test_a_clipped_line_is_what_is_left_of_it() -> None:
    """A chord through the middle of a circle of radius 30."""
    body = f'{CLIP}<path clip-path="url(#c)" d="M0 50 H100" fill="none" stroke="#000"/>'
    (line,) = read_svg(svg(body), "line.svg").outlines
    assert line.length == pytest.approx(60, abs=0.02)


def test_a_drawing_that_is_hidden_whole_says_so() -> None:
    body = '<clipPath id="c"/><rect clip-path="url(#c)" width="60" height="50"/>'
    with pytest.raises(InputError, match="clips and masks hide all of it"):
        read_svg(svg(body), "leaf.svg")


def test_thousands_of_copies_of_a_clip_are_refused() -> None:
    clip = '<clipPath id="c">' + '<circle r="9"/>' * 300 + "</clipPath>"
    body = clip + '<path clip-path="url(#c)" d="M0 0H9V9Z"/>' * 100
    with pytest.raises(InputError, match=r"leaf.svg: cuts with clips and masks of more than"):
        read_svg(svg(body), "leaf.svg")


UNSEEN = [
    '<path stroke="none" fill="none" d="M0 0h100v100H0z"/>',
    '<rect style="fill:none;stroke:none" width="90" height="90"/>',
    '<rect fill="none" width="90" height="90"/>',
    '<rect fill="none" stroke="red" stroke-width="0" width="90" height="90"/>',
    '<rect fill="transparent" width="90" height="90"/>',
    '<rect fill="rgba(9,9,9,0)" width="90" height="90"/>',
    '<rect opacity="0" width="90" height="90"/>',
    '<rect fill-opacity="0%" width="90" height="90"/>',
    '<g opacity="0"><rect opacity="1" width="90" height="90"/></g>',
    '<g display="none"><rect display="inline" width="90" height="90"/></g>',
    '<g style="display:none"><rect width="90" height="90"/></g>',
    '<rect visibility="hidden" width="90" height="90"/>',
    '<rect class="off" width="90" height="90"/><style>.off { fill: none }</style>',
    '<rect x="300" width="90" height="90"/>',
    '<mask id="m"><rect width="90" height="90" fill="#fff"/></mask>',
    '<marker id="k"><rect width="90" height="90"/></marker>',
    '<clipPath id="c"><rect width="90" height="90"/></clipPath>',
    '<pattern id="p"><rect width="90" height="90"/></pattern>',
    '<defs><rect width="90" height="90"/></defs>',
    '<title><rect width="90" height="90"/></title>',
    '<metadata><rect width="90" height="90"/></metadata>',
]


@pytest.mark.parametrize("unseen", UNSEEN)
def test_what_paints_nothing_is_not_there(unseen: str) -> None:
    drawing = svg(LEAF + unseen)
    drawn = read_svg(drawing, "leaf.svg")
    assert drawn.shape.area == pytest.approx(LEAF_MM2, rel=1e-5)
    assert len(drawn.outlines) == 1
    assert overlap(rastered(drawn.shape, 100), painted(drawing)) > 0.98
    with pytest.raises(InputError, match="no paths that are painted"):
        read_svg(svg(unseen), "leaf.svg")


@pytest.mark.parametrize(
    "seen",
    [
        '<g visibility="hidden"><path visibility="visible" d="M20 20 H80 V60 H20 Z"/></g>',
        '<g fill="none"><path fill="#123" d="M20 20 H80 V60 H20 Z"/></g>',
        '<path class="on" fill="none" d="M20 20 H80 V60 H20 Z"/><style>.on { fill: #060 }</style>',
        '<path style="fill:#060" fill="none" d="M20 20 H80 V60 H20 Z"/>',
        '<path fill="url(#none)" d="M20 20 H80 V60 H20 Z"/>',
        '<path d="M20 20 H80 V60 H20"/>',
        '<defs><path id="a" d="M20 20 H80 V60 H20 Z"/></defs><use href="#a"/>',
        '<path fill="#0000ff80" d="M20 20 H80 V60 H20 Z"/>',
    ],
)
def test_what_is_painted_counts_however_it_is_said(seen: str) -> None:
    assert read_svg(svg(seen), "leaf.svg").shape.area == pytest.approx(LEAF_MM2, rel=1e-5)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('<text x="9" y="9">leaf</text>', ("text",)),
        ('<image width="9" height="9" href="data:,"/>', ("a picture",)),
        (
            '<clipPath id="c" clipPathUnits="objectBoundingBox"><path d="M0 0H1V1Z"/></clipPath>'
            '<g clip-path="url(#c)"><path d="M0 0H9V9Z"/></g>',
            ("a clip that is not plain",),
        ),
        (
            '<mask id="m"><g mask="url(#m)"><path d="M0 0H9V9Z"/></g></mask>'
            '<path style="mask:url(#m);filter:url(#f)" d="M0 0H9V9Z"/>',
            ("a mask that is not plain", "a filter"),
        ),
        ('<g clip-path="url(#not-there)"><path d="M0 0H9V9Z"/></g>', ()),
        ('<text>a</text><g><text>b</text></g><image href="data:,"/>', ("text", "a picture")),
        ('<text display="none">leaf</text>', ()),
        ('<path clip-path="none" d="M0 0H9V9Z"/>', ()),
    ],
)
def test_what_is_passed_over_is_named_once(more: str, words: tuple[str, ...]) -> None:
    assert read_svg(svg(LEAF + more), "leaf.svg").passed_over == words


def test_a_drawing_of_text_alone_says_so() -> None:
    with pytest.raises(InputError, match=r"no paths, only text; turn it into paths"):
        read_svg(svg('<text x="9" y="9">leaf</text>'), "leaf.svg")


def test_control_points_are_reflected_only_after_their_own_kind() -> None:
    """S after a line begins with its own start as control point, T after a line likewise (SVG 2,
    9.3.6 and 9.3.7)."""
    for d in ("M10 50 L30 50 S60 10 80 50 Z", "M10 50 L30 50 T80 20 L80 50 Z"):
        drawing = svg(f'<path d="{d}"/>')
        assert overlap(rastered(read_svg(drawing, "s").shape, 100), painted(drawing)) > 0.97


def test_the_sets_of_icons_are_there() -> None:
    assert all(importlib.util.find_spec(name) for name in ("lucide", "heroicons"))
