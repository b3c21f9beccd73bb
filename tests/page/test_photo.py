"""From a photo of the panel: straightened, scaled, traced, and laid into the file."""

from __future__ import annotations

import io
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from PIL import Image, ImageDraw
from shapely.geometry import Polygon

from quiltpath.project import load
from quiltpath.result.computing import compute
from quiltpath.units import parse_length
from tests.page.served import Served, copied, plain, serving

LONG, WIDE = 1180.0, 340.0
"""mm of the panel in the photo"""

EDGES_ALONG = [45.0, 385.0, 421.0, 760.0, 800.0, 1140.0]
EDGES_ACROSS = [38.0, 301.0]
"""mm of its printed lines, a little off those of the sample's file"""

SEEN = np.array([(150.0, 560.0), (1120.0, 640.0), (1010.0, 210.0), (260.0, 240.0)])
"""lower left, lower right, upper right, upper left of the panel, pixels in the photo"""


def map_between(start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """The projective map of four points, by numpy's own solver (direct linear transformation:
    Hartley and Zisserman, Multiple View Geometry, chapter 4, from memory)."""
    rows = []
    for (x, y), (u, v) in zip(start, end, strict=True):
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
        rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
    h = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    return h / h[2, 2]


def moved(h: np.ndarray, points: np.ndarray) -> np.ndarray:
    out = np.column_stack([points, np.ones(len(points))]) @ h.T
    return out[:, :2] / out[:, 2:]


PANEL = np.array([(0.0, 0.0), (LONG, 0.0), (LONG, WIDE), (0.0, WIDE)])


def seen(points: Any) -> np.ndarray:
    """mm on the panel to pixels in the photo."""
    return moved(map_between(PANEL, SEEN), np.array(points, dtype=float))


def photo() -> bytes:
    """A panel seen from the side: dark cloth on a light table."""
    image = Image.new("RGB", (1280, 800), "#e8e4da")
    pen = ImageDraw.Draw(image)
    pen.polygon([tuple(p) for p in seen(PANEL)], fill="#27506b")
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    with serving(copied("galley", tmp_path)) as running:
        yield running


@pytest.fixture(scope="module")
def maths(tmp_path_factory: pytest.TempPathFactory, browser: Any) -> Iterator[Any]:
    """A page whose functions are asked for numbers only."""
    with serving(plain(tmp_path_factory.mktemp("maths"))) as running:
        page = browser.new_page()
        page.goto(running.server.address)
        yield page
        page.close()


def opened(served: Served, watched: Any) -> Any:
    page = watched().page
    page.goto(served.server.address)
    page.click("#photo summary")
    page.set_input_files(
        "#photo-file", {"name": "panel.png", "mimeType": "image/png", "buffer": photo()}
    )
    page.wait_for_selector("#photo-work:not([hidden])")
    return page


def mark(page: Any, kind: str, points: Any) -> None:
    """Click into the picture at pixels of the picture."""
    page.check(f"[name=photo-mark][value={kind}]")
    page.locator("#photo-cloth").scroll_into_view_if_needed()
    for x, y in points:
        wide, high = page.evaluate("() => window.quiltpath.photo.size()")
        box = page.locator("#photo-cloth").bounding_box()
        inside = box["width"] - 2, box["height"] - 2
        page.mouse.click(box["x"] + 1 + x / wide * inside[0], box["y"] + 1 + y / high * inside[1])


def test_the_map_of_four_points_is_numpys(maths: Any) -> None:
    random = np.random.default_rng(7)
    for _ in range(25):
        start = PANEL + random.uniform(-60, 60, (4, 2))
        end = SEEN + random.uniform(-60, 60, (4, 2))
        ours = maths.evaluate(
            "([a, b]) => window.quiltpath.photo.homography(a, b)", [start.tolist(), end.tolist()]
        )
        probe = random.uniform(0, 300, (6, 2))
        wanted = moved(map_between(start, end), probe)
        assert moved(np.array(ours).reshape(3, 3), probe) == pytest.approx(wanted, rel=1e-6)


def test_three_corners_on_one_line_have_no_map(maths: Any) -> None:
    flat = [[0, 0], [1, 1], [2, 2], [0, 5]]
    ours = maths.evaluate(
        "([a, b]) => window.quiltpath.photo.homography(a, b)", [PANEL.tolist(), flat]
    )
    back = maths.evaluate(
        "([a, b]) => window.quiltpath.photo.homography(a, b)", [flat, PANEL.tolist()]
    )
    assert back is None or ours is None


def test_corners_are_put_in_order_whatever_order_they_were_marked_in(maths: Any) -> None:
    for order in ([0, 1, 2, 3], [2, 0, 3, 1], [3, 2, 1, 0], [1, 3, 0, 2]):
        given = SEEN[order].tolist()
        assert maths.evaluate("c => window.quiltpath.photo.inOrder(c)", given) == SEEN.tolist()


def straighten(page: Any) -> float:
    """Straightened by the panel's own corners; returns its scale in mm to the pixel."""
    mark(page, "corners", SEEN[[2, 0, 3, 1]])
    page.select_option("#photo-unit", "1")
    page.fill("#photo-long", str(LONG))
    page.fill("#photo-high", str(WIDE))
    page.click("#photo-straighten")
    scale: float = page.evaluate("() => window.quiltpath.photo.scale()")
    return scale


def dark_box(page: Any) -> tuple[float, float, float, float]:
    """Pixels that the panel covers in the straightened picture: left, top, right, bottom."""
    box: tuple[float, float, float, float] = tuple(
        page.evaluate(
            """() => { const c = document.getElementById('photo-cloth');
        const d = c.getContext('2d').getImageData(0, 0, c.width, c.height).data;
        let b = [1e9, 1e9, 0, 0];
        for (let y = 0; y < c.height; y++) for (let x = 0; x < c.width; x++) {
            const i = 4 * (y * c.width + x);
            if (d[i] === 0x27 && d[i + 1] === 0x50 && d[i + 2] === 0x6b)
                b = [Math.min(b[0], x), Math.min(b[1], y),
                     Math.max(b[2], x + 1), Math.max(b[3], y + 1)];
        } return b; }"""
        )
    )
    return box


def in_picture(page: Any, scale: float, points: Any) -> list[tuple[float, float]]:
    """mm on the panel to pixels of the straightened picture."""
    left, _, _, bottom = dark_box(page)
    return [(left + x / scale, bottom - y / scale) for x, y in points]


def test_a_panel_seen_from_the_side_comes_out_square_and_to_scale(
    served: Served, watched: Any
) -> None:
    page = opened(served, watched)
    scale = straighten(page)
    left, top, right, bottom = dark_box(page)
    assert (right - left) * scale == pytest.approx(LONG, abs=4 * scale)
    assert (bottom - top) * scale == pytest.approx(WIDE, abs=4 * scale)


def test_two_points_a_known_distance_apart_give_the_scale(served: Served, watched: Any) -> None:
    page = opened(served, watched)
    page.select_option("#photo-unit", "25.4")
    mark(page, "scale", [(100, 100), (400, 500)])
    page.fill("#photo-apart", "10")
    scale = page.evaluate("() => window.quiltpath.photo.scale()")
    assert scale == pytest.approx(254 / 500, rel=0.01)


def test_printed_lines_over_the_photo_become_the_grid(served: Served, watched: Any) -> None:
    page = opened(served, watched)
    scale = straighten(page)
    tolerance = 3 * scale + 1
    mark(page, "corner", in_picture(page, scale, [(0, 0)]))
    mark(page, "along", in_picture(page, scale, [(x, 150) for x in EDGES_ALONG]))
    mark(page, "across", in_picture(page, scale, [(300, y) for y in EDGES_ACROSS]))
    page.click("#photo-lines")
    page.wait_for_function("() => window.quiltpath.settled === window.quiltpath.version()")
    assert page.text_content("#heard") == ""
    page.click("#save")
    page.wait_for_function("() => document.getElementById('heard').textContent.startsWith('saved')")
    grid = tomllib.loads(served.file.read_text())["grid"]
    assert "block" not in grid
    for key, wanted in (("printed_along", EDGES_ALONG), ("printed_across", EDGES_ACROSS)):
        assert [parse_length(v) for v in grid[key]] == pytest.approx(wanted, abs=tolerance)


def test_an_outline_over_the_photo_becomes_the_finished_edge(served: Served, watched: Any) -> None:
    corners = [(0, 170), (60, 0), (1120, 0), (1180, 170), (1120, 340), (60, 340)]
    page = opened(served, watched)
    scale = straighten(page)
    mark(page, "outline", in_picture(page, scale, corners))
    page.click("#photo-outline")
    page.wait_for_function("() => window.quiltpath.settled === window.quiltpath.version()")
    page.click("#save")
    page.wait_for_function("() => document.getElementById('heard').textContent.startsWith('saved')")
    runner = tomllib.loads(served.file.read_text())["runner"]
    assert "outline" in runner and not {"length", "width", "shape"} & set(runner)
    points = np.array([[parse_length(v) for v in point] for point in runner["outline"]])
    assert points == pytest.approx(np.array(corners), abs=3 * scale + 1)


FISH = [
    (500.0, 150.0),
    (560.0, 110.0),
    (640.0, 120.0),
    (680.0, 90.0),
    (690.0, 210.0),
    (560.0, 215.0),
]


def traced(page: Any, scale: float, how: str) -> None:
    """The motif marked point by point, or drawn in one stroke from point to point."""
    mark(page, "corner", in_picture(page, scale, [(0, 0)]))
    points = in_picture(page, scale, FISH)
    if how == "points":
        mark(page, "motif", points)
        return
    mark(page, "motif", [])
    wide, high = page.evaluate("() => window.quiltpath.photo.size()")
    box = page.locator("#photo-cloth").bounding_box()
    inside = box["width"] - 2, box["height"] - 2
    way = [
        (box["x"] + 1 + x / wide * inside[0], box["y"] + 1 + y / high * inside[1])
        for x, y in points
    ]
    page.mouse.move(*way[0])
    page.mouse.down()
    for x, y in [*way[1:], way[0]]:
        page.mouse.move(x, y, steps=12)
    page.mouse.up()


@pytest.mark.parametrize("how", ["points", "stroke"])
def test_a_motif_over_the_photo_lies_where_it_is_printed(
    served: Served, watched: Any, how: str
) -> None:
    """Its area and its middle on the cloth are those of the shape in the photo; its outline is
    sewn with the others', and it can be dragged like any other."""
    page = opened(served, watched)
    scale = straighten(page)
    traced(page, scale, how)
    page.fill("#photo-name", "flounder")
    page.click("#photo-motif")
    page.wait_for_function("() => window.quiltpath.settled === window.quiltpath.version()")
    assert page.text_content("#heard") == ""
    page.click("#save")
    page.wait_for_function("() => document.getElementById('heard').textContent.startsWith('saved')")
    result = compute(load(served.file))
    shape = result.runner.motifs[-1].shape
    assert result.runner.motifs[-1].name == "flounder"
    wanted = Polygon(FISH)
    tolerance = 3 * scale + 1
    assert shapely.hausdorff_distance(shape, wanted) < tolerance
    assert shape.area == pytest.approx(wanted.area, rel=0.06)
    sewn = shapely.union_all(result.lines.geometry)
    ring = result.runner.motifs[-1].outlines[0]
    assert ring.difference(sewn.buffer(0.1)).length < 1
    assert "flounder at point 1" in page.locator("#motif-chosen option").all_text_contents()


def test_points_rounded_lie_on_the_curve(maths: Any) -> None:
    """Eight points of a circle, rounded: it leaves the circle by no more than a hundredth of it."""
    angles = np.arange(8) * np.pi / 4
    circle = np.column_stack([100 * np.cos(angles), 100 * np.sin(angles)])
    curve = np.array(maths.evaluate("p => window.quiltpath.tracing.rounded(p, 6)", circle.tolist()))
    assert len(curve) == 48
    assert np.abs(np.hypot(*curve.T) - 100).max() < 1.0
    assert curve[::6] == pytest.approx(circle)


def test_thinned_points_stray_no_more_than_allowed(maths: Any) -> None:
    angles = np.linspace(0, 2 * np.pi, 900, endpoint=False)
    ring = np.column_stack([80 * np.cos(angles), 50 * np.sin(angles) + 9 * np.cos(5 * angles)])
    few = np.array(maths.evaluate("p => window.quiltpath.tracing.few(p, 0.2, 400)", ring.tolist()))
    assert 20 < len(few) < 150
    assert shapely.hausdorff_distance(Polygon(few).exterior, Polygon(ring).exterior, 0.01) <= 0.21
    fewer = np.array(maths.evaluate("p => window.quiltpath.tracing.few(p, 0.2, 12)", ring.tolist()))
    assert 3 <= len(fewer) <= 12


def test_the_photo_itself_never_leaves_the_browser(served: Served, watched: Any) -> None:
    page = watched().page
    sent: list[int] = []
    page.on("request", lambda request: sent.append(len(request.post_data_buffer or b"")))
    page.goto(served.server.address)
    page.click("#photo summary")
    page.set_input_files(
        "#photo-file", {"name": "panel.png", "mimeType": "image/png", "buffer": photo()}
    )
    page.wait_for_selector("#photo-work:not([hidden])")
    straighten(page)
    assert max(sent) < 500 < len(photo())


def test_marks_can_be_made_and_taken_away_by_keyboard(served: Served, watched: Any) -> None:
    page = opened(served, watched)
    page.focus("#photo-cloth")
    for key in ("Enter", "Shift+ArrowRight", "Enter"):
        page.keyboard.press(key)
    first, second = page.evaluate("() => window.quiltpath.photo.marks().corners")
    assert second[0] > first[0] and second[1] == first[1]
    page.keyboard.press("Backspace")
    assert len(page.evaluate("() => window.quiltpath.photo.marks().corners")) == 1


def test_a_file_that_is_no_picture_is_told(served: Served, watched: Any) -> None:
    page = watched().page
    page.goto(served.server.address)
    page.click("#photo summary")
    page.set_input_files(
        "#photo-file", {"name": "panel.png", "mimeType": "image/png", "buffer": b"no picture"}
    )
    page.wait_for_function(
        "() => /not a picture/.test(document.getElementById('photo-said').textContent)"
    )
