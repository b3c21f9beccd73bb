"""From a photo of a printed panel to the runner on the page, with a hand's corrections.

The photo is made up from known shapes (``tests/photo/scene.py``), so that what stands in the
project at the end is held against what was painted.
"""

from __future__ import annotations

import io
import json
import sys
import threading
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

from quiltpath.page.server import Beginning, LiveServer
from quiltpath.photo.projective import inverse, map_points
from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.page.served import PAGE_JOBS, Served, plain, serving
from tests.pages import wait_for_frame, wait_for_rest
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
        wait_for_frame(self.page)

    def at(self, mm: Any) -> tuple[float, float]:
        """Pixels of the window."""
        canvas = self.page.locator("#photo-cloth")
        canvas.evaluate("canvas => canvas.scrollIntoView({ block: 'center' })")
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


def opened(served: Served, page: Any, photo: bytes, size: str) -> Bench:
    page.goto(served.server.address)
    made = Bench(page, served)
    wait_for_rest(page)
    made.measure(photo, size)
    return made


@pytest.fixture
def bench(served: Served, watched: Any, photo: bytes) -> Bench:
    return opened(served, watched(1280, 1000).page, photo, "640 x 200 mm")


@pytest.fixture(scope="module")
def clear(
    tmp_path_factory: pytest.TempPathFactory, browser: Any, clear_photo: bytes
) -> Iterator[Bench]:
    """One page for the tests that leave it as they found it."""
    with serving(plain(tmp_path_factory.mktemp("clear"))) as running:
        page = browser.new_page(viewport={"width": 1280, "height": 1000}, has_touch=True)
        yield opened(running, page, clear_photo, "420 x 200 mm")
        page.close()


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
    wait_for_rest(page)
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


def test_the_photo_lies_under_the_lines_after_use(clear: Bench) -> None:
    """The page is handed the panel's picture for the whole of the cloth, and draws it."""
    bench, page = clear, clear.page
    page.click("#photo-use")
    bench.idle()
    wait_for_rest(page)
    (photo,) = bench.served.draw(*page.evaluate("() => window.quiltpath.changes()"))[-1]["data"][
        "photos"
    ]
    assert photo["box"] == pytest.approx([0, 0, 420, 200], abs=1)
    data = b64decode(photo["picture"].partition(",")[2])
    rgb = np.asarray(Image.open(io.BytesIO(data)).convert("RGB"), dtype=int)
    high, wide = rgb.shape[:2]
    strip, block = (rgb[high // 5, int(wide * x / 420)] for x in (210, 230))
    assert block.mean() > strip.mean() + 60, "light blocks between dark strips, as printed"
    page.click("#undo")
    wait_for_rest(page)
    assert page.evaluate("() => window.quiltpath.state().motifs.length") == 0


@pytest.fixture
def beginning(tmp_path: Path) -> Iterator[Served]:
    """The page before there is a project."""
    server = LiveServer(Beginning(tmp_path, PAGE_JOBS))
    thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
    thread.start()
    yield Served(server, tmp_path / "supper.toml")
    server.shutdown()
    server.server_close()
    thread.join()


def test_a_panel_that_is_not_found_is_marked_by_hand_and_becomes_a_new_runner(
    beginning: Served, watched: Any
) -> None:
    """A panel of the table's own colours, in inches: three corners by mouse, one by keyboard."""
    scene = Scene(panel=Panel(sashing="#c4bcb0"), noise=1.0)
    bench = opened(beginning, watched(1280, 1000).page, png(scene), "25.197 x 7.874")
    page = bench.page
    assert bench.said().startswith("Not found: ")
    assert [corner["sure"] for corner in bench.state()["corners"]] == [0, 0, 0, 0]
    view = bench.seen(1).view
    true = map_points(inverse(view.to_flat), view.lens.straight(scene.seen(CORNERS)))
    page.uncheck("#photo-snap")
    for corner, to in zip(CORNERS[1:], true[1:], strict=True):
        bench.drag(corner, to)
    page.focus("#photo-cloth")
    page.keyboard.press("n")
    assert page.text_content("#photo-chosen-said").startswith("Corner, lower left")
    way = (true[0] - bench.state()["corners"][0]["at"]) * page.evaluate(
        "() => window.quiltpath.photo.view.scale"
    )
    for px, keys in zip(way, (("ArrowLeft", "ArrowRight"), ("ArrowDown", "ArrowUp")), strict=True):
        tens, ones = divmod(round(abs(px)), 10)
        for key in [f"Shift+{keys[int(px > 0)]}"] * tens + [keys[int(px > 0)]] * ones:
            page.keyboard.press(key)
    placed = bench.state()["corners"]
    assert np.array([one["at"] for one in placed]) == pytest.approx(true, abs=LINES_MM)
    page.keyboard.press("Control+z")
    assert bench.state()["corners"] != placed
    page.keyboard.press("Control+Shift+z")
    assert bench.state()["corners"] == placed
    page.click("#photo-again")
    bench.idle()
    assert [len(bench.state()[way]) for way in ("along", "across")] == [6, 2]
    page.fill("[name=file]", "supper")
    with page.expect_navigation():
        page.click("#photo-use")
    page.wait_for_function("() => window.quiltpath && window.quiltpath.state")
    runner = compute(load(beginning.file)).runner
    assert len(runner.motifs) == 3
    assert runner.length_mm == pytest.approx(640, abs=0.1)


def test_by_touch_a_corner_is_dragged_and_two_fingers_zoom(clear: Bench) -> None:
    bench, page = clear, clear.page
    touch = page.context.new_cdp_session(page)

    def fingers(kind: str, *places: tuple[float, float]) -> None:
        points = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(places)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    page.uncheck("#photo-snap")
    (x, y), middle = bench.at((420, 0)), bench.at((210, 100))
    fingers("touchStart", (x + 12, y - 9))  # a finger is broad: the mark keeps its distance to it
    fingers("touchMove", (x + 2, y + 11))
    fingers("touchEnd")
    scale = page.evaluate("() => window.quiltpath.photo.view.scale")
    moved = np.array(bench.state()["corners"][1]["at"])
    assert moved == pytest.approx(np.array((420 - 10 / scale, -20 / scale)), abs=0.1)
    page.click("#photo-undo")
    assert bench.state()["corners"][1]["at"] == [420, 0] and not bench.state()["moved"]
    x, y = middle
    fingers("touchStart", (x - 40, y), (x + 40, y))
    fingers("touchMove", (x - 80, y), (x + 80, y))
    fingers("touchEnd")
    assert page.evaluate("() => window.quiltpath.photo.view.scale") == pytest.approx(2 * scale)
    assert np.array(bench.at((210, 100))) == pytest.approx(np.array(middle), abs=1)


def test_a_brush_takes_away_and_undo_gives_back(clear: Bench) -> None:
    """The bite is that of a brush as wide as it says, by shapely's own difference."""
    bench, page = clear, clear.page
    before = bench.state()["motifs"][0]
    (where,) = (place["at"] for place in before["places"])
    page.fill("#photo-brush", "16")
    bench.tool("takes")
    way = np.array(where) + np.array([(-60.0, 30.0), (60.0, 30.0)])
    bench.drag(*way)
    after = bench.state()["motifs"][0]
    (whole, bitten) = (Polygon(one["pieces"][0]["outline"]) for one in (before, after))
    wanted = whole.difference(LineString(way - where).buffer(8))
    assert bitten.symmetric_difference(max(wanted.geoms, key=lambda part: part.area)).area < 25
    page.click("#photo-undo")
    assert bench.state()["motifs"][0] == before


def test_without_the_extra_the_page_says_so_in_one_line(
    served: Served, watched: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "cv2", None)
    page = watched().page
    page.goto(served.server.address)
    page.click("#photo summary")
    assert "pip install quiltpath[photo]" in page.text_content("#photo-missing")
    assert page.is_visible("#photo-missing") and page.is_disabled("#photo-measure")
    status, text = served.ask("POST", "/photo", b"x", **SENT, X_Token=served.server.token)
    assert status == 422 and "pip install quiltpath[photo]" in text


SENT = {"Content_Type": "application/octet-stream"}


def test_a_photo_is_taken_from_this_page_alone_and_within_its_limits(
    served: Served, clear_photo: bytes
) -> None:
    token = served.server.token
    assert served.ask("POST", "/photo", b"x", **SENT, X_Token="guessed")[0] == 403
    assert served.ask("POST", "/photo", b"x", Content_Type="image/png", X_Token=token)[0] == 415
    huge = {"Content_Length": str(60_000_001)}
    assert served.ask("POST", "/photo", b"", **SENT, X_Token=token, **huge)[0] == 413
    status, text = served.ask("POST", "/photo", b"no photo", **SENT, X_Token=token)
    assert status == 422 and "is not a whole JPEG, PNG or WebP picture" in text
    before = {path.name for path in served.file.parent.iterdir()}
    assert served.ask("POST", "/photo", clear_photo, **SENT, X_Token=token)[0] == 200
    assert {path.name for path in served.file.parent.iterdir()} == before


OUTLINE = [{"outline": [[-20, -20], [20, -20], [0, 30]], "holes": []}]
MOTIF = {"pieces": OUTLINE, "places": [{"at": [110, 100], "turned": 0}], "error": 0.2, "sure": 1}
USED = {"along": [20, 200, 220, 400], "across": [22, 178], "motifs": [MOTIF]}

WRONG: list[tuple[str, dict[str, Any], str]] = [
    ("/photo/measure", {"size": "44 in"}, "a size is a length and a width"),
    ("/photo/measure", {"size": "9 x 9 mm"}, "is no size of a panel"),
    ("/photo/measure", {"size": "42 x 20 cm", "corners": 3}, "is no list of points"),
    ("/photo/measure", {"size": "42 x 20 cm", "corners": [[0, 0]] * 4, "found": 1}, "four corners"),
    ("/photo/use", {**USED, "found": 99}, "measured anew"),
    ("/photo/use", {**USED, "found": True}, "measured anew"),
    ("/photo/use", {**USED, "along": [20, 200, 220]}, "there are 3 upright lines"),
    ("/photo/use", {**USED, "along": []}, "blocks need lines both ways"),
    ("/photo/use", {**USED, "along": [20, 500]}, "lies beside the panel"),
    ("/photo/use", {**USED, "across": [22, 22.5]}, "lie on each other"),
    ("/photo/use", {**USED, "across": [22, float("nan")]}, "is not a number"),
    ("/photo/use", {**USED, "motifs": [{**MOTIF, "places": [{"at": [210, 9], "turned": 0}]}]},
     "lies in no block"),
    ("/photo/use", {**USED, "motifs": [{**MOTIF, "pieces": []}]}, "has no outline"),
    ("/photo/use", {**USED, "motifs": [{**MOTIF, "places": [{"at": [110, 100], "turned": 7}]}]},
     "is turned by 7"),
    ("/photo/use", {**USED, "motifs": [[]] * 201}, "is no list of motifs"),
    ("/photo/brush", {"pieces": OUTLINE, "stroke": [], "radius": 4}, "no list of points"),
    ("/photo/brush", {"pieces": OUTLINE, "stroke": [[0]], "radius": 4}, "a point that is none"),
    ("/photo/brush", {"pieces": OUTLINE, "stroke": [[0, 0]], "radius": 4000}, "to each side"),
    ("/photo/brush", {"pieces": [{"outline": [[0, 0]]}], "stroke": [[0, 0]]}, "outline"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "content", "told"), WRONG)
def test_marks_that_make_no_sense_are_told_in_one_line(
    clear: Bench, path: str, content: dict[str, Any], told: str
) -> None:
    status, text = clear.served.post(path, {"found": 1, **content})
    assert status == 422 and told in text, text
    assert text.count("\n") <= 1


def test_a_file_of_the_user_s_is_never_written_over(clear: Bench) -> None:
    """Names that are taken are passed over; what is the same is used as it is."""
    measured = clear.served
    folder = measured.file.parent
    (folder / "print-1.svg").write_bytes(b"mine")
    change = json.loads(measured.post("/photo/use", {"found": 1, **USED})[1])
    assert measured.save(change)[0] == 200
    assert (folder / "print-1.svg").read_bytes() == b"mine"
    project = load(measured.file)
    assert [motif.file for motif in project.motif] == ["print-1-2.svg"]
    again = json.loads(measured.post("/photo/use", {"found": 1, **USED})[1])
    assert measured.save(change, again)[0] == 200
    assert sorted(path.name for path in folder.glob("*.svg")) == ["print-1-2.svg", "print-1.svg"]
    (motif,) = compute(project).runner.motifs
    assert motif.shape.bounds == pytest.approx((90, 80, 130, 130), abs=0.2), "where it was drawn"
