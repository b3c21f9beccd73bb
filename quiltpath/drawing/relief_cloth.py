"""The cloth itself: painted or photographed, woven, and puckered along its stitching."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from quiltpath.drawing.relief_stitches import Near
from quiltpath.drawing.relief_view import (
    ClothPhoto,
    Doubles,
    Floats,
    LitView,
    QuiltedCloth,
    Rgb,
    rgb_of,
)

SMOOTH = 3
"""Pixels that each side of a pixel is divided into where shapes are painted."""

SEED = 20240
YARN_MM = 0.42
"""Distance of yarns in quilting cotton: 60 to 70 an inch. Common practice."""
YARN_HIGH_MM = 0.035
WRINKLES_MM = (2.6, 5.5, 12.0)
"""Wavelengths at the stitching and further off. Wrinkles widen away from the edge that makes
them (Cerda and Mahadevan 2003, "Geometry and physics of wrinkling", Phys. Rev. Lett. 90)."""


def paint_cloth(cloth: QuiltedCloth, view: LitView) -> tuple[Rgb, Floats]:
    """Colours (rows, columns, 3) as sRGB, and how far each pixel is cloth, 0 to 1."""
    rows, columns = view.shape
    picture = Image.new("RGB", (columns, rows), rgb_of(cloth.table))
    for paint in cloth.paint:
        mask, corner = _mask(paint.shape, view, paint.opacity)
        picture.paste(rgb_of(paint.colour), corner, mask)
    for photo in cloth.photos:
        _lay(photo, picture, view)
    covered = Image.new("L", (columns, rows), 0)
    mask, corner = _mask(cloth.outline, view)
    covered.paste(mask, corner)
    return np.asarray(picture), np.asarray(covered, dtype=np.float32) / 255


def _mask(
    shape: BaseGeometry, view: LitView, opacity: float = 1.0
) -> tuple[Image.Image, tuple[int, int]]:
    """A shape with its holes as grey levels, smooth at the edges, and its corner in the view."""
    rows, columns = view.shape
    low_x, low_y, high_x, high_y = shape.bounds if not shape.is_empty else (0.0,) * 4
    ends = view.to_px(np.array([[low_x, high_y], [high_x, low_y]]))
    left, top = np.clip(np.floor(ends[0]).astype(int), 0, (columns - 1, rows - 1))
    right, foot = np.clip(np.ceil(ends[1]).astype(int), (left + 1, top + 1), (columns, rows))
    size = int(right - left), int(foot - top)
    mask = Image.new("L", (size[0] * SMOOTH, size[1] * SMOOTH), 0)
    draw = ImageDraw.Draw(mask)
    corner = np.array([left, top])
    for part in shapely.get_parts(shape):
        if isinstance(part, Polygon) and not part.is_empty:
            draw.polygon(_pixels(part.exterior, view, corner), fill=round(255 * opacity))
            for hole in part.interiors:
                draw.polygon(_pixels(hole, view, corner), fill=0)
    return mask.resize(size, Image.Resampling.BOX), (int(left), int(top))


def _pixels(
    ring: BaseGeometry, view: LitView, corner: NDArray[np.intp]
) -> list[tuple[float, float]]:
    points: Doubles = (view.to_px(shapely.get_coordinates(ring)) - corner) * SMOOTH - 0.5
    return [(float(x), float(y)) for x, y in points]


def _lay(photo: ClothPhoto, picture: Image.Image, view: LitView) -> None:
    """The photo where it belongs, enlarged or made smaller to the view's scale."""
    rows, columns = photo.rgb.shape[:2]
    wide, high = photo.high_x - photo.low_x, photo.high_y - photo.low_y
    scale_x, scale_y = columns / wide, rows / high
    low_x, high_x = max(view.low_x, photo.low_x), min(view.high_x, photo.high_x)
    low_y, high_y = max(view.low_y, photo.low_y), min(view.high_y, photo.high_y)
    if low_x >= high_x or low_y >= high_y:
        return
    corners = view.to_px(np.array([[low_x, high_y], [high_x, low_y]])).round().astype(int)
    size = corners[1] - corners[0]
    part = (
        (low_x - photo.low_x) * scale_x,
        (photo.high_y - high_y) * scale_y,
        (high_x - photo.low_x) * scale_x,
        (photo.high_y - low_y) * scale_y,
    )
    if min(size) > 0:
        fitted = Image.fromarray(photo.rgb).resize(
            (int(size[0]), int(size[1])), Image.Resampling.LANCZOS, box=part
        )
        picture.paste(fitted, (int(corners[0][0]), int(corners[0][1])))


MUCH = (1.9, 1.5, 0.7)
"""Of the full height, for each of these waves: some of the taking up goes into the puff."""


@lru_cache(maxsize=1)
def _table() -> Floats:
    """Even noise between -1 and 1 that repeats: the same for every picture."""
    return np.random.default_rng(SEED).uniform(-1, 1, (256, 256)).astype(np.float32)


def noise(u: Floats, v: Floats) -> Floats:
    """Smooth noise of about unit wavelength, -1 to 1 (value noise, after Perlin 1985)."""
    table = _table().ravel()
    left, low = np.floor(u), np.floor(v)
    x, y = u - left, v - low
    x, y = x * x * (3 - 2 * x), y * y * (3 - 2 * y)
    i, j = left.astype(np.int32) & 255, (low.astype(np.int32) & 255) << 8
    right, up = (i + 1) & 255, (j + 256) & 65535
    lower, upper = table.take(j + i), table.take(up + i)
    lower += (table.take(j + right) - lower) * x
    upper += (table.take(up + right) - upper) * x
    return lower + (upper - lower) * y


def puckers(near: Near, take_up: float, px_per_mm: float) -> Floats:
    """Height in mm of the wrinkles that run out from the stitching, square to it.

    A wave of length w that takes up a share e of the cloth is w sqrt(e) / pi high. They die out
    before they meet those of the next line.
    """
    away, side, along = (part.reshape(-1) for part in (near.away, near.side, near.along))
    total = np.zeros_like(near.away)
    for number in range(len(WRINKLES_MM)):
        at = np.flatnonzero(away < 3 * WRINKLES_MM[number])
        waves = _waves(away[at], side[at] > 0, along[at], number, px_per_mm)
        total.reshape(-1)[at] += waves
    total *= np.float32(math.sqrt(max(take_up, 0.0)))
    return total * _by_one_line(near.away, px_per_mm)


def _waves(
    away: Floats, above: NDArray[np.bool_], along: Floats, number: int, px_per_mm: float
) -> Floats:
    """One of the wavelengths, for a share of 1 that is taken up; the wider begin further off."""
    wave = WRINKLES_MM[number]
    fade = np.exp(-away / np.float32(0.8 * wave))
    if number:
        fade *= 1 - np.exp(-away / np.float32(0.35 * wave))
    side = np.where(above, np.float32(37.5), np.float32(0)) + np.float32(11.3 * number)
    across = away / np.float32(2.5 * wave) + side
    seen = min(1.0, max(0.0, wave * px_per_mm / 4))
    high = np.float32(MUCH[number] * seen * wave / math.pi)
    return high * fade * noise(along * np.float32(2 / wave), across)


def _by_one_line(away: Floats, px_per_mm: float) -> Floats:
    """1 where a single line is nearest, falling to 0 where two are as near as each other.

    The slope of the blurred squared distance is twice the distance, except on such ridges.
    """
    sigma_px = max(1.2, 1.3 * px_per_mm)
    down, right = np.gradient(blur(np.minimum(away, 60) ** 2, sigma_px), np.float32(1 / px_per_mm))
    small = np.float32(0.35 * sigma_px / px_per_mm)
    even = (np.hypot(down, right) + 2 * small) / (2 * away + 2 * small)
    part = np.clip((even - 0.45) / 0.45, 0, 1)
    return (part * part * (3 - 2 * part)).astype(np.float32)


def blur(values: Floats, sigma_px: float) -> Floats:
    """A Gaussian blur by two box filters, whatever its width takes the same time."""
    from scipy.ndimage import uniform_filter

    size = max(1, round(math.sqrt(6 * sigma_px**2 + 1)))
    size += 1 - size % 2
    once = uniform_filter(values, size, mode="nearest")
    return uniform_filter(once, size, mode="nearest").astype(np.float32)


def rumples(view: LitView) -> Floats:
    """Height in mm of the unevenness that any cloth on a table has."""
    coarse = replace(view, px_per_mm=min(view.px_per_mm, 0.35))
    x, y = (part.astype(np.float32) for part in coarse.centres())
    u, v = np.meshgrid(x, y)
    high = 0.10 * noise(u / 9, v / 9 + 7) + 0.22 * noise(u / 27 + 3, v / 27)
    rows, columns = view.shape
    image = Image.fromarray(high.astype(np.float32))
    return np.asarray(image.resize((columns, rows), Image.Resampling.BICUBIC))


def weave(view: LitView) -> Floats:
    """Height in mm of a plain weave, faint, gone where a yarn is no longer two pixels."""
    seen = min(1.0, max(0.0, (YARN_MM * view.px_per_mm - 1.6) / 1.4))
    if seen == 0:
        return np.zeros(view.shape, dtype=np.float32)
    x, y = (part.astype(np.float32) for part in view.centres())
    x, y = x[None, :] + np.zeros_like(y)[:, None], y[:, None] + np.zeros_like(x)[None, :]
    u = x / YARN_MM + 0.25 * noise(x / 3, y / 9)
    v = y / YARN_MM + 0.25 * noise(x / 9 + 71, y / 3)
    warp_over = (np.floor(u) + np.floor(v)) % 2 == 0
    in_u, in_v = 2 * (u - np.floor(u)) - 1, 2 * (v - np.floor(v)) - 1
    across, along = np.where(warp_over, in_u, in_v), np.where(warp_over, in_v, in_u)
    uneven = 1 + 0.35 * noise(np.floor(u) * 0.73, np.floor(v) * 0.61)
    yarn = (1 - across**2) * (0.55 + 0.45 * np.cos(np.pi / 2 * along))
    return np.float32(seen * YARN_HIGH_MM) * yarn * uneven
