"""What a drawing paints is what counts: held against an independent renderer, on people's icons.

resvg renders; lucide and heroicons are sets of icons from the package index, drawn as lines and as
filled shapes. Rules of painting by SVG 2, W3C, chapters 5, 13 and 14.
"""

from __future__ import annotations

import importlib.util
import re
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

PIXELS, FINER = 360, 4
EVERY = 9
"""of the icons; together some hundreds"""

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"'
LEAF = '<path d="M20 20 H80 V60 H20 Z"/>'
LEAF_MM2 = 60 * 40


def svg(body: str, more: str = "") -> bytes:
    return f"{HEAD} {more}>{body}</svg>".encode()


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


def test_filled_icons_are_read_as_they_are_painted() -> None:
    found = {}
    for name, icon in icons("heroicons", "solid/").items():
        drawn = read_svg(icon, name)
        found[name] = overlap(rastered(drawn.shape, side_mm(icon)), painted(icon))
    assert len(found) >= 30
    assert median(found.values()) >= 0.98
    assert {name: share for name, share in found.items() if share < 0.9} == {}


def test_icons_of_lines_are_read_as_they_are_painted() -> None:
    """Drawn with a pen of 2 units with round ends: so wide round our outlines lies what is
    painted."""
    found = {}
    for name, icon in icons("lucide").items():
        drawn = read_svg(icon, name)
        pen = float(re.findall(rb'stroke-width="([\d.]+)"', icon)[0]) * 25.4 / 96
        inked = shapely.union_all([line.buffer(pen / 2) for line in drawn.outlines])
        found[name] = overlap(rastered(inked, side_mm(icon)), painted(icon))
    assert len(found) >= 150
    assert median(found.values()) >= 0.98
    assert {name: share for name, share in found.items() if share < 0.9} == {}


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
        ('<g clip-path="url(#c)"><path d="M0 0H9V9Z"/></g>', ("a clipping path",)),
        ('<path style="mask:url(#m);filter:url(#f)" d="M0 0H9V9Z"/>', ("a mask", "a filter")),
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
