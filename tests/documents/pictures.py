"""Measuring of rendered pages: how long is what is dark."""

from __future__ import annotations

import io

import numpy as np
import resvg_py
from PIL import Image

PIXELS_PER_MM = 10


def svg_pixels(svg: bytes) -> np.ndarray:
    """Darkness 0..1 of every pixel, 10 to the mm, rendered by resvg."""
    drawn = resvg_py.svg_to_bytes(
        svg_string=svg.decode(), dpi=25.4 * PIXELS_PER_MM, background="white"
    )
    return darkness(Image.open(io.BytesIO(bytes(drawn))))


def darkness(image: Image.Image) -> np.ndarray:
    """Darkness 0..1 of every pixel, the first row at the top."""
    return 1.0 - np.asarray(image.convert("L"), dtype=float) / 255.0


def extent_mm(dark: np.ndarray, pixels_per_mm: float) -> tuple[float, float]:
    """Start and end of the dark stretch along a row of pixels, in mm, to a part of a pixel.

    The first and the last pixel count by how dark they are, as the renderer smoothed them.
    """
    inked = np.flatnonzero(dark > 0.02)
    first, last = inked[0], inked[-1]
    return (first + 1 - dark[first]) / pixels_per_mm, (last + dark[last]) / pixels_per_mm
