"""The relief in two pictures that a page lights by itself, with no server and no library.

One holds the colours without light. The other holds the shape: red and green are the slope, the x
and y of the surface's unit normal from -1 to 1, and blue is how much of the sky is seen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from quiltpath.drawing.relief_light import levels
from quiltpath.drawing.relief_view import Rgb, Surface


@dataclass(frozen=True)
class ReliefLayers:
    """(rows, columns, 3) uint8 each: ``colours`` as sRGB, ``shape`` as said above."""

    colours: Rgb
    shape: Rgb


def layers(surface: Surface) -> ReliefLayers:
    """The two pictures of a surface."""
    steep = 1 / np.sqrt(1 + surface.slope_x**2 + surface.slope_y**2)
    normal = np.stack([-surface.slope_x * steep, -surface.slope_y * steep], axis=-1)
    shape = np.concatenate([(normal + 1) / 2, surface.open[..., None]], axis=-1)
    return ReliefLayers(
        levels(surface.albedo), np.round(255 * np.clip(shape, 0, 1)).astype(np.uint8)
    )
