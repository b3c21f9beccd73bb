"""From a photo of a printed panel to the runner on the page, with a hand's corrections.

The photo is made up from known shapes (``tests/photo/scene.py``), so that what stands in the
project at the end is held against what was painted.
"""

from __future__ import annotations

import io
from base64 import b64decode
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from PIL import Image
from shapely.geometry import LineString, Polygon

from quiltpath.photo.projective import inverse, map_points
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.page.served import Served, plain, serving
from tests.photo.scene import Panel, Points, Scene, flower, jug

cv2 = pytest.importorskip("cv2")

PANEL = Panel(
    blocks=("#2c2f3a",), sashing="#c9b98f", motifs=((flower(), "#46506a"), (jug(), "#303440"))
)
"""640 x 200 mm, three blocks; the jug in B1 hardly differs from its ground."""

SCENE = Scene(panel=PANEL)
"""On a table so much like the strips that the left edge is taken to be the first block's."""

CLEAR = Scene(panel=Panel(length=420, width=200, along=(20, 200, 220, 400)), picture=(1200, 900))
"""two blocks, all of it plain to see"""

CORNERS = np.array([(0, 0), (640, 0), (640, 200), (0, 200)], dtype=float)

LINES_MM, OUTLINES_MM = 1.0, 2.0


def png(scene: Scene) -> bytes:
    out = io.BytesIO()
    Image.fromarray(scene.photo()).save(out, "PNG", compress_level=1)
    return out.getvalue()


@pytest.fixture(scope="module")
def photo() -> bytes:
    return png(SCENE)


@pytest.fixture(scope="module")
def clear_photo() -> bytes:
    return png(CLEAR)


@dataclass
class Bench:
    """The photo on the page, and the hand on it; places are mm as the page shows them."""

    page: Any
    served: Served

    def idle(self) -> None:
        self.page.wait_for_function("() => !window.quiltpath.photo.busy()")

    def state(self) -> Any:
        return self.page.evaluate("() => window.quiltpath.photo.state()")

    def said(self) -> str:
        return str(self.page.text_content("#photo-said"))

    def drawn(self) -> None:
        """Two frames later, what was asked for is on the canvas."""
        self.page.evaluate(
            "() => new Promise(r => requestAnimationFrame(() => requestAnimationFrame(r)))"
        )

    def at(self, mm: Any) -> tuple[float, float]:
        """Pixels of the window."""
        canvas = self.page.locator("#photo-cloth")
        canvas.scroll_into_view_if_needed()
        box = canvas.bounding_box()
        x, y = self.page.evaluate(
            "p => window.quiltpath.photo.view.screen(p)", [float(v) for v in mm]
        )
        return box["x"] + 1 + x, box["y"] + 1 + y

    def drag(self, *way: Any) -> None:
        first, *rest = way
        zero, one = np.array(self.at((0, 0))), np.array(self.at((1, 1)))

        def at(mm: Any) -> Points:
            out: Points = zero + (one - zero) * mm
            return out

        self.page.mouse.move(*at(first))
        self.page.mouse.down()
        for place in rest:
            self.page.mouse.move(*at(place))
        self.page.mouse.up()
        self.idle()

    def tool(self, name: str) -> None:
        self.page.check(f"[name=photo-tool][value={name}]")

    def measure(self, photo: bytes, size: str) -> None:
        self.page.click("#photo summary")
        self.page.set_input_files(
            "#photo-file", {"name": "supper-panel.png", "mimeType": "image/png", "buffer": photo}
        )
        self.page.fill("#photo-size", size)
        self.page.click("#photo-measure")
        self.page.wait_for_function("() => window.quiltpath.photo.busy()")
        self.idle()
        self.drawn()

    def seen(self, found: int) -> Any:
        return self.served.server.photo._kept[found]

    def shown_at(self, found: int, panel_mm: Points) -> Points:
        """Where a measurement shows places of the panel, which lie elsewhere if it is wrong."""
        view = self.seen(found).view
        return map_points(inverse(view.to_flat), view.lens.straight(SCENE.seen(panel_mm)))

    def corners_off_mm(self, found: int) -> float:
        kept = self.seen(found)
        away = np.hypot(*(kept.corners.at_px - SCENE.seen(CORNERS)).T)
        return float((away * kept.view.mm_per_px(CORNERS)).max())


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with serving(plain(tmp_path)) as running:
        yield running


def opened(served: Served, watched: Any, photo: bytes, size: str = "420 x 200 mm") -> Bench:
    page = watched(1280, 1000).page
    page.goto(served.server.address)
    made = Bench(page, served)
    made.measure(photo, size)
    return made


@pytest.fixture
def bench(served: Served, watched: Any, photo: bytes) -> Bench:
    return opened(served, watched, photo, "640 x 200 mm")


def stroke_over(shape: Polygon, radius: float) -> list[tuple[float, float]]:
    """One way of a brush that covers the shape and no more: round inside its edge, then across."""
    inner = shape.buffer(-radius)
    ring = np.array(inner.exterior.segmentize(6).coords)
    low_x, low_y, high_x, high_y = inner.bounds
    rows: list[tuple[float, float]] = []
    for i, y in enumerate(np.arange(low_y + radius, high_y, 1.5 * radius)):
        across = inner.intersection(LineString([(low_x - 1, y), (high_x + 1, y)]))
        ends = [(across.bounds[0], y), (across.bounds[2], y)]
        rows += ends[:: -1 if i % 2 else 1]
    return [*map(tuple, ring.tolist()), *rows]


def apart_mm(one: Any, other: Polygon) -> float:
    """How far two outlines lie from each other, both ways, 95 of 100 points."""
    both = []
    for a, b in ((one, other), (other, one)):
        points = shapely.points(shapely.get_coordinates(shapely.segmentize(a.boundary, 1.0)))
        both.append(np.quantile(shapely.distance(b.boundary, points), 0.95))
    return float(max(both))


def saved(bench: Bench) -> Result:
    page = bench.page
    page.wait_for_function("() => window.quiltpath.settled === window.quiltpath.version()")
    assert page.text_content("#heard") == ""
    page.click("#save")
    page.wait_for_function("() => document.getElementById('heard').textContent.startsWith('saved')")
    return compute(load(bench.served.file))


def test_a_photo_corrected_by_hand_becomes_the_project(bench: Bench, tmp_path: Path) -> None:
    """A wrong corner dragged right, a line moved, a motif brushed; then it is the runner."""
    folder = bench.served.file.parent
    before = {path.name for path in folder.iterdir()}
    page, first = bench.page, bench.state()
    assert bench.corners_off_mm(first["found"]) > 20
    assert [corner["sure"] > 0.9 for corner in first["corners"]] == [False, True, True, False]

    page.uncheck("#photo-snap")
    lower, upper = bench.shown_at(first["found"], CORNERS[[0, 3]])
    bench.drag(CORNERS[0], lower + np.array((4, 3)), lower)
    bench.drag(CORNERS[3], upper)
    assert page.is_disabled("#photo-use"), "what was measured belongs to other corners"
    page.click("#photo-again")
    bench.idle()
    state = bench.state()
    assert bench.corners_off_mm(state["found"]) < LINES_MM
    assert [one["block"] for one in state["missing"]] == ["B1"], "honestly not found"

    bench.drag((230, 12), (222, 12))  # a line is put wrong, and its edge draws it back
    assert bench.state()["along"][2]["at"] == pytest.approx(222, abs=1)
    page.check("#photo-snap")
    bench.drag((222, 12), (227.5, 12))

    page.fill("#photo-brush", "10")
    bench.tool("adds")
    jug_in_b1 = Polygon(PANEL.shape_in(1))
    bench.drag(*stroke_over(jug_in_b1, 5.0))
    assert "B1" in page.text_content("#photo-chosen-said")

    assert {path.name for path in folder.iterdir()} == before, "nothing is written yet"
    page.click("#photo-use")
    bench.idle()
    result = saved(bench)

    runner = result.runner
    assert (runner.length_mm, runner.width_mm) == (640.0, 200.0)
    edges = np.array([block.shape.bounds for block in runner.blocks])
    truth = np.array([box[1:] for box in PANEL.block_boxes()])
    assert np.abs(edges - truth).max() < LINES_MM
    index = {box[0]: i for i, box in enumerate(PANEL.block_boxes())}
    assert {motif.place for motif in runner.motifs} == {"A1", "B1", "C1"}
    for motif in runner.motifs:
        assert apart_mm(motif.shape, Polygon(PANEL.shape_in(index[motif.place]))) < OUTLINES_MM
    pictures = {name for _, name in result.project.named_drawings if name.endswith(".jpg")}
    assert pictures == {"panel.jpg"} and (folder / "panel.jpg").exists()


def test_the_photo_lies_under_the_lines_after_use(
    served: Served, watched: Any, clear_photo: bytes
) -> None:
    """The page is handed the panel's picture for the whole of the cloth, and draws it."""
    bench = opened(served, watched, clear_photo)
    page = bench.page
    page.click("#photo-use")
    bench.idle()
    page.wait_for_function("() => window.quiltpath.settled === window.quiltpath.version()")
    (photo,) = served.draw(*page.evaluate("() => window.quiltpath.changes()"))[-1]["data"]["photos"]
    assert photo["box"] == pytest.approx([0, 0, 420, 200], abs=1)
    data = b64decode(photo["picture"].partition(",")[2])
    rgb = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"), dtype=int)
    high, wide = rgb.shape[:2]
    strip, block = (rgb[high // 5, int(wide * x / 420)] for x in (210, 230))
    assert block.mean() > strip.mean() + 60, "light blocks between dark strips, as printed"
    page.click("#undo")
    page.wait_for_function("() => window.quiltpath.settled === window.quiltpath.version()")
    assert page.evaluate("() => window.quiltpath.state().motifs.length") == 0
