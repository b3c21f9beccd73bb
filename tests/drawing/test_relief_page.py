"""A relief on a page: the script lights it as the package does, and without it a picture stays."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from quiltpath.drawing.relief import surface
from quiltpath.drawing.relief_layers import figure_html, layers, script
from quiltpath.drawing.relief_light import light_surface
from quiltpath.drawing.relief_view import Light, LitView, Surface
from tests.drawing.cloths import plain, quilted


def cloth() -> Surface:
    field, thread = quilted(30.0, colour="#3a4a63")
    return surface(field, plain("#c9c2b0"), thread, LitView(40, 30, 200, 130, 1))


def page_of(cloth: Surface, folder: Path) -> str:
    text = (
        "<!doctype html><html lang=en><meta charset=utf-8><title>Relief</title><body>"
        f"{figure_html(cloth, 'Lines 30 mm apart')}<script>{script()}</script></body></html>"
    )
    (folder / "relief.html").write_text(text, encoding="utf-8")
    return (folder / "relief.html").as_uri()


def turned(page: Any, degrees: int) -> np.ndarray:
    """The canvas as (rows, columns, 3) after the slider was moved."""
    page.wait_for_selector("figure.relief label:not([hidden])")
    page.evaluate(
        """value => { const s = document.querySelector('figure.relief input');
        s.value = value; s.dispatchEvent(new Event('input')); }""",
        degrees,
    )
    page.wait_for_selector(f"figure.relief[data-lit='{degrees}'] canvas")
    size, data = page.evaluate(
        """() => { const c = document.querySelector('figure.relief canvas');
        return [[c.height, c.width],
          Array.from(c.getContext('2d').getImageData(0, 0, c.width, c.height).data)]; }"""
    )
    return np.array(data, dtype=np.uint8).reshape(*size, 4)[..., :3]


@pytest.mark.parametrize("degrees", [45, 250])
def test_the_script_lights_it_as_the_package_does(
    watched: Any, tmp_path: Path, degrees: int
) -> None:
    """But for cast shadows, thread's shine and what JPEG leaves out: a few levels on average."""
    surface_ = cloth()
    opened = watched()
    opened.page.goto(page_of(surface_, tmp_path))
    theirs = turned(opened.page, degrees).astype(int)
    ours = light_surface(surface_, Light(from_deg=degrees)).astype(int)
    assert theirs.shape == ours.shape
    assert np.abs(theirs - ours).mean() < 6
    assert np.corrcoef(theirs.ravel(), ours.ravel())[0, 1] > 0.95
    assert opened.errors == []
    assert all(url.startswith(("file:", "data:")) for url in opened.requests)


def test_the_still_picture_stays_until_the_light_is_moved(watched: Any, tmp_path: Path) -> None:
    opened = watched(390, 844)
    opened.page.goto(page_of(cloth(), tmp_path))
    opened.page.wait_for_selector("figure.relief label:not([hidden])")
    assert opened.page.locator("figure.relief img").get_attribute("alt") == "Lines 30 mm apart"
    assert opened.page.locator("figure.relief canvas").count() == 0


def test_shape_holds_unit_normals_and_the_open_sky() -> None:
    surface_ = cloth()
    both = layers(surface_)
    across = both.shape[..., :2] / 127.5 - 1
    upright = np.sqrt(np.maximum(1 - (across**2).sum(axis=2), 0.0))
    steep = upright > 0.3
    back = -across[..., 0][steep] / upright[steep]
    assert back == pytest.approx(surface_.slope_x[steep], abs=0.15)
    assert both.shape[..., 2] / 255 == pytest.approx(surface_.open, abs=0.003)


def test_words_cannot_break_out_of_the_figure() -> None:
    text = figure_html(cloth(), '"><script>alert(1)</script>')
    assert "<script" not in text
    assert re.search(r'alt="&quot;&gt;&lt;script&gt;', text)


def test_the_script_names_the_lights_own_figures() -> None:
    """The same constants on both sides."""
    from quiltpath.drawing import relief_light

    for name in ("EXPOSURE", "SHOULDER", "SHEEN", "SOFT"):
        said = re.search(rf"{name} = ([\d.]+)", script())
        assert said is not None
        assert float(said[1]) == pytest.approx(float(getattr(relief_light, name)))
