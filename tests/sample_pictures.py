"""Pictures that README shows: the samples as quilted, one below the other, and the live page.

python -m tests.sample_pictures
"""

from __future__ import annotations

import shutil
import tempfile
from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image
from playwright.sync_api import sync_playwright

from quiltpath.documents.lit_picture import lit_whole
from quiltpath.project import load
from quiltpath.result.computing import compute
from tests.conftest import CHROMIUM, FLAGS
from tests.page.served import serving
from tests.pages import wait_for_frame, wait_for_light, wait_for_rest

SAMPLES = Path(__file__).parents[1] / "samples"
PICTURES = SAMPLES / "pictures"
SHOWN = (
    ("harvest-supper",), ("regatta-tea",), ("allotment-ends",), ("committee-table", "orchard-mats"),
    ("supper-mats", "boathouse-bench"),
)  # fmt: skip
WIDTH = 1000
APART = 6
WHITE = "#ffffff"


def picture_of(name: str) -> Image.Image:
    """A sample under its light, a pixel to a millimetre."""
    return Image.fromarray(
        np.asarray(lit_whole(compute(load(SAMPLES / name / "runner.toml")), 1.0))
    )


def in_a_row(pictures: list[Image.Image]) -> Image.Image:
    """Side by side at one height, as wide together as the page."""
    shares = [picture.width / picture.height for picture in pictures]
    high = round((WIDTH - APART * (len(pictures) - 1)) / sum(shares))
    row, at = Image.new("RGB", (WIDTH, high), WHITE), 0
    for picture, share in zip(pictures, shares, strict=True):
        row.paste(picture.resize((round(high * share), high), Image.Resampling.LANCZOS), (at, 0))
        at += round(high * share) + APART
    return row


def live_page() -> Image.Image:
    """What ``quiltpath show`` opens for a sample, on a screen of middling size."""
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as started:
        project = Path(shutil.copytree(SAMPLES / "committee-table", Path(folder) / "runner"))
        browser = started.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page(viewport={"width": 1366, "height": 820})
        with serving(project / "runner.toml") as served:
            page.goto(served.server.address)
            wait_for_rest(page)
            wait_for_light(page)
            wait_for_frame(page)
            shot = page.screenshot()
        browser.close()
    return Image.open(BytesIO(shot)).convert("RGB")


def keep(picture: Image.Image, name: str) -> None:
    """Write it in 256 colours."""
    picture.quantize(256, dither=Image.Dither.NONE).save(PICTURES / name, optimize=True)


def main() -> None:
    """Draw all and write the pictures."""
    rows = [in_a_row([picture_of(name) for name in names]) for names in SHOWN]
    page = Image.new("RGB", (WIDTH, sum(row.height + APART for row in rows) - APART), WHITE)
    at = 0
    for row in rows:
        page.paste(row, (0, at))
        at += row.height + APART
    keep(page, "samples.png")
    keep(live_page(), "page.png")


if __name__ == "__main__":
    main()
