"""preview.png and preview.html show the runner as it will look quilted, read from the files."""

from __future__ import annotations

import base64
import io
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from PIL import Image

from quiltpath.documents.all_previews import lit_previews
from quiltpath.project import parse
from quiltpath.result.computing import compute
from quiltpath.result.values import Result
from tests.pages import wait_for_frame, wait_for_light
from tests.whole_sets import computed

SAMPLES = Path(__file__).parents[2] / "samples"
STRIPES = """
[runner]
length = "600 mm"
width = "300 mm"
[[quilting]]
kind = "straight"
angle = 90
spacing = "60 mm"
overrun = "0 mm"
[look]
thread = "{thread}"
ground = "{ground}"
light = {light}
"""


def stripes(thread: str = "#3a4a63", ground: str = "#efe7d8", light: int = 112) -> Result:
    return compute(parse(STRIPES.format(thread=thread, ground=ground, light=light)))


def files_of(result: Result) -> dict[str, bytes]:
    return {name: content for name, content, _ in lit_previews(result)}


@cache
def files_of_sample() -> dict[str, bytes]:
    return files_of(sample())


@cache
def grey(result_of: Any, *arguments: Any) -> tuple[Result, np.ndarray]:
    """The result, and preview.png as read from its bytes, 0 to 255."""
    result = result_of(*arguments)
    content = files_of(result)["preview.png"]
    return result, np.asarray(Image.open(io.BytesIO(content)).convert("L"), dtype=float)


def sample() -> Result:
    return computed("harvest-supper")


def pixel_points(result: Result, shape: tuple[int, ...]) -> np.ndarray:
    """(rows, columns) points of the runner at the centres of the pixels, 1 mm each."""
    low_x, low_y, high_x, high_y = result.runner.outline.bounds
    room_x = (shape[1] - (high_x - low_x)) / 2
    room_y = (shape[0] - (high_y - low_y)) / 2
    x = low_x - room_x + np.arange(shape[1]) + 0.5
    y = high_y + room_y - np.arange(shape[0]) - 0.5
    return shapely.points(*np.meshgrid(x, y))


def test_the_darkest_places_of_the_picture_lie_on_stitched_lines() -> None:
    """Thread is the darkest colour of this sample: 99 of 100 such pixels are within 1.5 mm of a
    line, though lines cover a tenth of the cloth."""
    result, picture = grey(sample)
    points = pixel_points(result, picture.shape)
    middle = result.runner.outline.buffer(-3)
    near_lines = shapely.buffer(shapely.union_all(list(result.lines.geometry)), 1.5)
    shapely.prepare([middle, near_lines])
    inside = shapely.contains(middle, points)
    near = shapely.contains(near_lines, points)
    dark = inside & (picture < np.quantile(picture[inside], 0.02))
    assert near[inside].mean() < 0.2
    assert near[dark].mean() > 0.97


def test_it_is_lit_from_where_the_project_says() -> None:
    """Between lines that run upwards, the flank towards the light is the lighter (Lambert)."""
    for light, lighter in ((180, "left"), (0, "right")):
        _, picture = grey(stripes, "#efe7d8", "#efe7d8", light)
        middle = picture[picture.shape[0] // 2 - 60 : picture.shape[0] // 2 + 60]
        columns = middle.mean(axis=0)
        room = (len(columns) - 600) / 2
        start = np.arange(room + 120, room + 420, 60).astype(int)  # at the inner lines
        left = np.mean([columns[at + 4 : at + 22].mean() for at in start])
        right = np.mean([columns[at + 38 : at + 56].mean() for at in start])
        assert (left > right + 3) == (lighter == "left")
        assert (right > left + 3) == (lighter == "right")


@pytest.mark.parametrize("colour", ["#faf6ec", "#8a8170", "#151515"])
def test_tone_on_tone_lines_are_seen_by_light(colour: str) -> None:
    """Thread in the cloth's own colour: columns at the lines differ from those between."""
    _, picture = grey(stripes, colour, colour)
    middle = picture[picture.shape[0] // 2 - 60 : picture.shape[0] // 2 + 60].mean(axis=0)
    room = (len(middle) - 600) / 2
    lines = np.arange(room + 60, room + 560, 60).astype(int)
    at = np.array([np.ptp(middle[line - 4 : line + 5]) for line in lines])
    between = np.array([np.ptp(middle[line + 26 : line + 35]) for line in lines[:-1]])
    assert np.median(at) > 2.5 * np.median(between)
    assert np.median(at) > 8


def test_the_picture_stays_small() -> None:
    sizes = {name: len(content) for name, content in files_of_sample().items()}
    assert sizes["preview.png"] < 600_000
    assert sizes["preview.html"] < 900_000


@pytest.fixture
def page(watched: Any, tmp_path: Path) -> Any:
    file = tmp_path / "preview.html"
    file.write_bytes(files_of_sample()["preview.html"])
    seen = watched()
    seen.page.goto(file.as_uri())
    wait_for_light(seen.page)
    yield seen.page
    assert seen.errors == []
    assert {url for url in seen.requests if not url.startswith("data:")} == {file.as_uri()}


def canvas(page: Any) -> np.ndarray:
    """The page's picture as (rows, columns, 4)."""
    wait_for_frame(page)
    url = page.evaluate("() => document.getElementById('cloth').toDataURL()")
    content = base64.b64decode(url.partition(",")[2])
    return np.asarray(Image.open(io.BytesIO(content)).convert("RGBA"), dtype=float)


def test_the_light_of_the_page_moves_and_plain_is_a_choice(page: Any) -> None:
    above = canvas(page)
    page.fill("#light", "290")
    page.dispatch_event("#light", "input")
    below = canvas(page)
    assert np.abs(above - below)[..., :3].mean() > 1
    page.uncheck("#lit")
    plain = canvas(page)
    page.fill("#light", "110")
    assert (canvas(page) == plain).all()
    # cloth that nothing lights has one colour all over, lit cloth has not
    cloth = [(picture[..., :3] == (250, 246, 236)).all(axis=2).mean() for picture in (above, plain)]
    assert cloth[1] > 0.15 and cloth[1] > 10 * cloth[0]


def test_on_paper_the_page_is_plain(page: Any) -> None:
    page.evaluate("() => window.dispatchEvent(new Event('beforeprint'))")
    assert page.evaluate("() => window.quiltpath.lit()") is False
