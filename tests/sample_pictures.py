"""The picture of the samples that README shows: each as quilted, one below the other.

python -m tests.sample_pictures
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image

from quiltpath.documents.lit_picture import lit_whole
from quiltpath.project import load
from quiltpath.result.computing import compute

SAMPLES = Path(__file__).parents[1] / "samples"
PICTURE = SAMPLES / "pictures" / "samples.png"
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


def main() -> None:
    """Draw all and write the picture."""
    rows = [in_a_row([picture_of(name) for name in names]) for names in SHOWN]
    page = Image.new("RGB", (WIDTH, sum(row.height + APART for row in rows) - APART), WHITE)
    at = 0
    for row in rows:
        page.paste(row, (0, at))
        at += row.height + APART
    page.quantize(256, dither=Image.Dither.NONE).save(PICTURE, optimize=True)


if __name__ == "__main__":
    main()
