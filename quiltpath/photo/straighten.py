"""From the photo to the flat panel: where each millimetre lies in it, and a picture to scale."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np

from quiltpath.photo.lens import Lens
from quiltpath.photo.projective import map_of, map_points
from quiltpath.photo.reading import Photo, Pixels, Points
from quiltpath.photo.vision import vision

MOST_PIXELS = 7_000_000
"""Of the straightened picture: finer than that shows threads, not outlines."""

FINEST_PX_PER_MM = 4.0
KEPT_PX_PER_MM = 2.5
"""of the picture that a project names"""

BEYOND = (128, 128, 128)
"""Shown where the photo ends."""


@dataclass(frozen=True)
class PanelView:
    """How a flat panel of ``length_mm`` by ``width_mm`` is seen.

    ``to_flat``  (3, 3) projective map from mm to pixels as a lens without distortion shows them
    ``lens``     what the lens adds
    """

    length_mm: float
    width_mm: float
    to_flat: Points
    lens: Lens

    def seen(self, points_mm: Points) -> Points:
        """Pixels of the photo (..., 2) where points of the panel, mm, are seen."""
        return self.lens.seen(map_points(self.to_flat, points_mm))

    def mm_per_px(self, points_mm: Points) -> Points:
        """Of the photo at points of the panel (n, 2), the coarser way, (n,)."""
        steps = [self.seen(points_mm + step) - self.seen(points_mm) for step in ((1, 0), (0, 1))]
        size = np.array([np.hypot(step[..., 0], step[..., 1]) for step in steps])
        out: Points = 1 / size.min(axis=0)
        return out


@dataclass(frozen=True)
class Flat:
    """The straightened panel at one scale: ``pixels`` with row 0 along its upper edge.

    The lower left corner of the picture is that of the panel; above and on the right there may be
    half a pixel more or less.
    """

    pixels: Pixels
    px_per_mm: float
    length_mm: float
    width_mm: float

    def box(self, low_x: float, low_y: float, high_x: float, high_y: float) -> tuple[slice, slice]:
        """Rows and columns of a box in mm."""
        s = self.px_per_mm
        high, wide = self.pixels.shape[:2]
        rows = slice(max(0, round(high - high_y * s)), min(high, round(high - low_y * s)))
        return rows, slice(max(0, round(low_x * s)), min(wide, round(high_x * s)))


def view_of(corners_px: Points, length_mm: float, width_mm: float, lens: Lens) -> PanelView:
    """The view in which the panel's corners (4, 2), lower left first, are seen there.

    The projective map of four points (Hartley & Zisserman 2004, 4.1).
    """
    flat = [(0.0, 0.0), (length_mm, 0.0), (length_mm, width_mm), (0.0, width_mm)]
    return PanelView(length_mm, width_mm, map_of(np.array(flat), lens.straight(corners_px)), lens)


def straighten_photo(photo: Photo, view: PanelView) -> Flat:
    """The panel as if seen from straight above, about as fine as the photo shows it."""
    corners = [(0, 0), (1, 0), (1, 1), (0, 1), (0.5, 0.5)]
    places = np.array(corners) * (view.length_mm, view.width_mm)
    wanted = 1 / float(np.median(view.mm_per_px(places)))
    most = (MOST_PIXELS / (view.length_mm * view.width_mm)) ** 0.5
    scale = min(max(wanted, 0.2), most, FINEST_PX_PER_MM)
    size = max(1, round(view.length_mm * scale)), max(1, round(view.width_mm * scale))
    pixels = _looked_up(photo, view, (0.0, size[1] / scale), scale, size)
    return Flat(pixels, scale, view.length_mm, view.width_mm)


def straighten_around(
    photo: Photo, view: PanelView, margin_mm: float, most_pixels: int
) -> tuple[Pixels, float]:
    """The panel and so much of what lies round it, grey beyond the photo; and pixels a mm."""
    long, high = view.length_mm + 2 * margin_mm, view.width_mm + 2 * margin_mm
    middle = np.array([(view.length_mm / 2, view.width_mm / 2)])
    scale = min(1 / float(view.mm_per_px(middle)[0]), KEPT_PX_PER_MM)
    scale = min(scale, (most_pixels / (long * high)) ** 0.5)
    size = max(1, round(long * scale)), max(1, round(high * scale))
    top_mm = size[1] / scale - margin_mm
    return _looked_up(photo, view, (-margin_mm, top_mm), scale, size), scale


def widest_margin_mm(view: PanelView, wished_mm: float) -> float:
    """As much of what is wished as lies well before the line where the cloth would vanish."""
    for margin in wished_mm * np.array([1.0, 0.7, 0.5, 0.3, 0.15]):
        x, y = (-margin, view.length_mm + margin), (-margin, view.width_mm + margin)
        around = np.array([(a, b) for a in x for b in y])
        depth = around @ view.to_flat[2, :2] + view.to_flat[2, 2]
        if (depth > 0.3).all():  # it is 1 at the lower left corner
            return float(margin)
    return 0.0


def _looked_up(
    photo: Photo,
    view: PanelView,
    upper_left_mm: tuple[float, float],
    scale: float,
    size: tuple[int, int],
) -> Pixels:
    """A part of the cloth to scale, band by band."""
    pixels = np.empty((size[1], size[0], 3), dtype=np.uint8)
    left, upper = upper_left_mm
    x = left + (np.arange(size[0]) + 0.5) / scale
    cv = vision()
    for top in range(0, size[1], 256):
        y = upper - (np.arange(top, min(top + 256, size[1])) + 0.5) / scale
        at = view.seen(np.stack(np.meshgrid(x, y), axis=-1)).astype(np.float32)
        pixels[top : top + len(y)] = cv.remap(
            photo.pixels, at[..., 0], at[..., 1], cv.INTER_LINEAR,
            borderMode=cv.BORDER_CONSTANT, borderValue=BEYOND,
        )  # fmt: skip
    return pixels


def straight_picture(flat: Flat) -> bytes:
    """The straightened panel as a JPEG, fine enough to lie under quilting."""
    from PIL import Image

    image = Image.fromarray(flat.pixels)
    by = min(1.0, KEPT_PX_PER_MM / flat.px_per_mm)
    if by < 1:
        size = max(1, round(image.width * by)), max(1, round(image.height * by))
        image = image.resize(size, Image.Resampling.LANCZOS)
    written = io.BytesIO()
    image.save(written, "JPEG", quality=88, subsampling=0)
    return written.getvalue()
