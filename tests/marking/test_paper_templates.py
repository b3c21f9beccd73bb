"""Templates, stencils and the projector page: each shape once, true to size, none falling out."""

from __future__ import annotations

import io
import re
import xml.etree.ElementTree as ET

import numpy as np
import pdfplumber
import pytest
import resvg_py
import shapely
from PIL import Image
from scipy.ndimage import label
from shapely.affinity import rotate, scale, translate
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box

from quiltpath.drawing import pdf, svg
from quiltpath.drawing.page_model import Group, Page, Style, Text
from quiltpath.geometry.runner_shapes import PlacedMotif, Region, RegionKind, Runner
from quiltpath.marking.projector import GRID_MM, projector_drawing
from quiltpath.marking.stencil import (
    BRIDGE_EVERY_MM,
    BRIDGE_MM,
    SLOT_MM,
    Stencil,
    stencil,
    stencil_page,
)
from quiltpath.marking.template_piece import template_piece
from quiltpath.marking.templates import Template, repeat_along, templates
from quiltpath.patterns import Lines, draw
from quiltpath.result.marking_ways import markings
from tests.documents.quilted import galley_runner, layer, quilting

MM_PER_POINT = 25.4 / 72
A4_ROOM = [(198.0, 277.0), (285.0, 190.0)]


def anchor_shape() -> Polygon:
    """A shape without symmetry, about 60 mm."""
    return Polygon([(0, 0), (60, 5), (40, 30), (55, 60), (10, 45)])


def moored(*shapes: Polygon) -> Runner:
    """Blocks of 150 mm in a row, a shape in the middle of each."""
    blocks = tuple(
        Region(f"{chr(65 + i)}1", RegionKind.BLOCK, box(200 * i, 0, 200 * i + 150, 200))
        for i in range(len(shapes))
    )
    motifs = []
    for block, shape in zip(blocks, shapes, strict=True):
        x, y = block.shape.centroid.coords[0]
        cx, cy = shape.centroid.coords[0]
        placed = translate(shape, x - cx, y - cy)
        outline = LineString(placed.exterior.coords)
        motifs.append(PlacedMotif("anchor", block.name, MultiPolygon([placed]), (outline,)))
    return Runner(box(0, 0, 200 * len(shapes), 200), blocks, motifs=tuple(motifs), margin_mm=75.0)


def templates_of(runner: Runner, *layers: object) -> tuple[Lines, tuple[Template, ...]]:
    lines = draw(runner, list(layers))
    ways = markings(runner, lines, list(layers))
    return lines, templates(runner, lines, ways)


def test_a_motif_in_three_blocks_is_printed_once_with_its_three_uses() -> None:
    _, found = templates_of(moored(*[anchor_shape()] * 3), layer("motif"))
    assert [template.places for template in found] == [("A1", "B1", "C1")]


def test_motifs_that_differ_in_size_or_turn_are_templates_of_their_own() -> None:
    shapes = (
        anchor_shape(),
        scale(anchor_shape(), 1.1, 1.1),
        rotate(anchor_shape(), 90),
        scale(anchor_shape(), -1, 1),
    )
    _, found = templates_of(moored(*shapes), layer("motif"))
    assert len(found) == 4


def test_a_motif_and_its_echoes_are_one_template() -> None:
    lines, found = templates_of(
        moored(anchor_shape(), anchor_shape()), layer("motif"), layer("echo", spacing=8, rings=3)
    )
    (template,) = found
    assert template.places == ("A1", "B1")
    assert len(template.chosen) == len(lines) / 2 == 4


def test_every_line_left_to_templates_is_on_one_of_them() -> None:
    """Each template laid at each of its centres: together they are the lines, to 0.1 mm."""
    runner = moored(anchor_shape(), scale(anchor_shape(), 1.2, 1.2), anchor_shape())
    lines, found = templates_of(runner, layer("motif"), layer("echo", spacing=8, rings=2))
    laid = []
    for template in found:
        x, y = (template.box[0] + template.box[2]) / 2, (template.box[1] + template.box[3]) / 2
        drawn = shapely.union_all(lines.geometry[template.chosen])
        laid += [translate(drawn, cx - x, cy - y) for cx, cy in template.centres]
    assert shapely.hausdorff_distance(
        shapely.union_all(laid), shapely.union_all(lines.geometry)
    ) == pytest.approx(0, abs=0.1)


def test_a_template_is_true_to_size_in_the_pdf() -> None:
    """Its outline's box, measured by pdfplumber, is the motif's to 0.1 mm."""
    runner = moored(anchor_shape())
    lines, (template,) = templates_of(runner, layer("motif"))
    piece = template_piece(runner, lines, template, A4_ROOM)
    x0, y0, x1, y1 = piece.box
    page = Page(x1 - x0, y1 - y0, (Group("t", (piece.group,), shift_mm=(-x0, -y0)),))
    with pdfplumber.open(io.BytesIO(pdf.render(page))) as read:
        sizes = [
            (float(c["width"]) * MM_PER_POINT, float(c["height"]) * MM_PER_POINT)
            for c in read.pages[0].curves
        ]
    assert any(size == pytest.approx((60, 60), abs=0.1) for size in sizes)


def test_a_template_says_how_often_and_where_it_is_used() -> None:
    runner = moored(anchor_shape(), anchor_shape())
    lines, (template,) = templates_of(runner, layer("motif", name="Round the anchors"))
    piece = template_piece(runner, lines, template, A4_ROOM)
    words = " ".join(item.text for item in piece.group.walk() if isinstance(item, Text))
    assert "Round the anchors" in words
    assert "2 times: A1, B1" in words
    assert "along the runner" in words


@pytest.mark.parametrize(
    ("kind", "keys", "repeat"),
    [
        ("chevron", {"spacing": 40, "leg": 100}, 200.0),
        ("grid", {"angles": (45, 135), "spacing": 50 / 2**0.5, "marking": "template"}, 50.0),
    ],
)
def test_a_pattern_that_repeats_is_marked_with_one_repeat_and_moved_on(
    kind: str, keys: dict[str, object], repeat: float
) -> None:
    """The repeats follow from the geometry: two legs, one spacing, spacing times root 2."""
    runner = Runner(box(0, 0, 1200, 240), margin_mm=75.0)
    lines, (template,) = templates_of(runner, layer(kind, **keys))
    assert repeat_along(lines.geometry) == pytest.approx(repeat, abs=0.01)
    x0, _, x1, _ = template.box
    times = int(re.search(r"(\d+) times along", template.places[0]).group(1))  # type: ignore[union-attr]
    assert (x1 - x0) / repeat == pytest.approx(round((x1 - x0) / repeat))
    assert times * (x1 - x0) >= 1200
    whole = shapely.union_all(lines.geometry)
    shown = shapely.intersection(whole, box(x0 - 1, 0, x1 + 1, 240))
    for step in range(-2, 3):
        moved = translate(shown, step * (x1 - x0))
        assert shapely.length(shapely.difference(moved, whole.buffer(0.1))) < 1e-6


def test_lines_that_sway_through_all_blocks_are_a_template_of_no_block() -> None:
    """Its middle lies in the middle block of three, and it is laid on the whole runner."""
    blocks = tuple(
        Region(name, RegionKind.BLOCK, box(x, 20, x + 200, 180))
        for name, x in (("A1", 20), ("B1", 240), ("C1", 460))
    )
    runner = Runner(box(0, 0, 680, 200), blocks)
    spine = [[0, 0.25], [0.33, 0.8], [0.67, 0.2], [1, 0.75]]
    sways = layer("field-lines", along="spine", spine=spine, spacing=20)
    _, found = templates_of(runner, sways)
    assert [template.places for template in found] == [("whole runner",)]


def test_lines_without_a_repeat_have_none() -> None:
    rng = np.random.default_rng(7)
    steps = np.cumsum(rng.uniform(10, 40, 60))
    lines = shapely.linestrings(
        [[(x, 0), (x + dx, 200)] for x, dx in zip(steps, steps % 7, strict=True)]
    )
    assert repeat_along(lines) is None


def with_loops() -> np.ndarray:
    """A ring, a square that crosses it, and an open tail."""
    ring = LineString(Point(0, 0).buffer(50, 32).exterior.coords)
    square = LineString([(20, -20), (90, -20), (90, 30), (20, 30), (20, -20)])
    tail = LineString([(-50, 0), (-120, 20)])
    return np.array([ring, square, tail], dtype=object)


def test_nothing_falls_out_of_a_stencil() -> None:
    """Without bridges the ring's inside would; with them the sheet stays in one part."""
    lines = with_loops()
    through = shapely.union_all(shapely.buffer(lines, 0.9))
    made = stencil("mooring", lines)
    assert len(shapely.get_parts(made.sheet.difference(through))) > 1
    assert len(shapely.get_parts(made.sheet.difference(made.slots))) == 1


def test_a_cut_stencil_is_one_part_in_the_eyes_of_a_renderer() -> None:
    """The SVG rendered by resvg at 8 pixels to the mm; slots are grey or black, the sheet white."""
    made = stencil("mooring", with_loops())
    drawn = resvg_py.svg_to_bytes(
        svg_string=svg.render(stencil_page(made)).decode(), dpi=25.4 * 8, background="white"
    )
    white = np.asarray(Image.open(io.BytesIO(bytes(drawn))).convert("L")) > 250
    inside = white[60:-150, 60:-60]  # without the sheet's edge and the words below
    regions, count = label(inside)
    areas = np.sort(np.bincount(regions.ravel())[1:])[::-1] / 64
    assert count >= 1
    assert (areas[1:] < 2.0).all()  # specks between anti-aliased pixels, in mm2


def test_slots_follow_the_lines_and_every_loop_has_two_bridges() -> None:
    ring = LineString(Point(0, 0).buffer(40, 64).exterior.coords)
    made = stencil("ring", np.array([ring], dtype=object))
    slots = shapely.get_parts(made.slots)
    assert len(slots) >= 2
    assert shapely.union_all(shapely.buffer([ring], SLOT_MM / 2 + 0.05)).covers(made.slots)
    gaps = ring.difference(made.slots)
    lengths = shapely.length(shapely.line_merge(gaps).geoms)
    assert len(lengths) == len(slots)
    assert (lengths >= BRIDGE_MM - 0.5).all()
    assert ring.length / len(slots) <= BRIDGE_EVERY_MM


@pytest.mark.parametrize("radius", [1.5, 3.0, 6.0, 200.0])
def test_rings_of_any_size_hold(radius: float) -> None:
    ring = LineString(Point(0, 0).buffer(radius, 32).exterior.coords)
    made: Stencil = stencil("ring", np.array([ring], dtype=object))
    assert len(shapely.get_parts(made.sheet.difference(made.slots))) == 1
    assert made.uncut in (0.0, pytest.approx(ring.length))


def test_the_projector_page_is_light_on_dark_in_whole_squares_of_100_mm() -> None:
    runner = galley_runner()
    page = projector_drawing(runner, quilting(runner), "Galley").pages[0]
    assert page.width_mm % GRID_MM == 0 and page.height_mm % GRID_MM == 0
    with pdfplumber.open(io.BytesIO(pdf.render(page))) as read:
        lines = read.pages[0].lines
    places = sorted({round(float(line["x0"]) * MM_PER_POINT, 2) for line in lines})
    grid = [place for place in places if place % 100 == 0]
    assert grid == [100.0 * i for i in range(int(page.width_mm / 100) + 1)]
    styles: list[Style] = [
        item.style for group in page.groups for item in group.walk() if not isinstance(item, Text)
    ]
    luminance = [int(s.stroke[1:3], 16) for s in styles if s.stroke]
    ground = next(s.fill for s in styles if s.fill)
    assert int(ground[1:3], 16) < 32 < 64 < min(luminance)


def test_the_runner_is_true_to_size_on_the_projector_page() -> None:
    runner = galley_runner()
    drawing = projector_drawing(runner, quilting(runner), "Galley")
    root = ET.fromstring(svg.render(drawing))
    outline = root.find(".//*[@id='outline']/{http://www.w3.org/2000/svg}path")
    numbers = [float(n) for n in outline.get("d").strip("MZ").split()]  # type: ignore[union-attr]
    corners = np.array(numbers).reshape(-1, 2)
    assert np.ptp(corners, axis=0) == pytest.approx((400, 200), abs=0.01)
