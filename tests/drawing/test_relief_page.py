"""A relief on a page: the script lights it as the package does."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from quiltpath.drawing.bitmaps import data_url
from quiltpath.drawing.relief import surface
from quiltpath.drawing.relief_light import levels, light_surface, shape_picture
from quiltpath.drawing.relief_view import Light, LitView, Surface
from quiltpath.drawing.script_modules import joined
from tests.drawing.cloths import plain, quilted


def cloth() -> Surface:
    field, thread = quilted(30.0, colour="#3a4a63")
    return surface(field, plain("#c9c2b0"), thread, LitView(40, 30, 200, 130, 1))


LIT = """window.lit = async ([colours, shape, light]) => {
  const [flat, form] = (await Promise.all([loaded(colours), loaded(shape)])).map(pixels);
  const out = new Uint8ClampedArray(flat.data.length);
  paint(out, flat.data, form.data, light.from, light.above, light.sky);
  return [[flat.height, flat.width], Array.from(out)];
};"""
"""What the preview does with the relief that it is handed."""

SCRIPT = joined("drawing/relief_light.js")


def lit_on_a_page(page: Any, cloth: Surface, light: Light, folder: Path) -> np.ndarray:
    """(rows, columns, 3) as a page's script lights the cloth."""
    script = f"<script type=module>{SCRIPT}{LIT}</script>"
    html = f"<!doctype html><html lang=en><title>Relief</title><body>{script}"
    (folder / "relief.html").write_text(html, encoding="utf-8")
    page.goto((folder / "relief.html").as_uri())
    colours, shape = levels(cloth.albedo), shape_picture(cloth)
    pictures = [data_url(colours), data_url(shape, 92, exact_hues=True)]
    angles = {"from": light.from_deg, "above": light.above_deg, "sky": light.sky}
    size, data = page.evaluate("(given) => window.lit(given)", [*pictures, angles])
    return np.array(data, dtype=np.uint8).reshape(*size, 4)[..., :3]


@pytest.mark.parametrize("degrees", [45, 250])
def test_the_script_lights_it_as_the_package_does(
    watched: Any, tmp_path: Path, degrees: int
) -> None:
    """But for cast shadows, thread's shine and what JPEG leaves out: a few levels on average."""
    surface_, light = cloth(), Light(from_deg=degrees)
    opened = watched()
    theirs = lit_on_a_page(opened.page, surface_, light, tmp_path).astype(int)
    ours = light_surface(surface_, light).astype(int)
    assert theirs.shape == ours.shape
    assert np.abs(theirs - ours).mean() < 6
    assert np.corrcoef(theirs.ravel(), ours.ravel())[0, 1] > 0.95
    assert opened.errors == []
    assert all(url.startswith(("file:", "data:")) for url in opened.requests)


def test_shape_holds_unit_normals_and_the_open_sky() -> None:
    surface_ = cloth()
    shape = shape_picture(surface_)
    across = shape[..., :2] / 127.5 - 1
    upright = np.sqrt(np.maximum(1 - (across**2).sum(axis=2), 0.0))
    steep = upright > 0.3
    back = -across[..., 0][steep] / upright[steep]
    assert back == pytest.approx(surface_.slope_x[steep], abs=0.15)
    assert shape[..., 2] / 255 == pytest.approx(surface_.open, abs=0.003)


def test_the_script_names_the_lights_own_figures() -> None:
    """The same constants on both sides."""
    from quiltpath.drawing import relief_light

    for name in ("EXPOSURE", "SHOULDER", "SHEEN", "SOFT"):
        said = re.search(rf"{name} = ([\d.]+)", SCRIPT)
        assert said is not None
        assert float(said[1]) == pytest.approx(float(getattr(relief_light, name)))
