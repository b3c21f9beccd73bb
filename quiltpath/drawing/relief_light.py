"""Light on a surface: slopes, open sky, cast shadow, and the picture that comes of them."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from quiltpath.drawing.relief_cloth import blur
from quiltpath.drawing.relief_view import Floats, Light, Rgb, Surface

SUN = np.array([1.04, 1.0, 0.93], dtype=np.float32)
SKY = np.array([0.94, 0.99, 1.09], dtype=np.float32)
"""A warm light and a cool sky: shadows are told from dark cloth by their hue as well."""

SHOULDER = 0.72
"""Linear light above which white bends instead of running out."""

EXPOSURE = 0.88
"""Flat cloth is a little darker than its own colour: room for the side that faces the light."""

OPEN_SCALES_MM = ((0.7, 0.30), (2.2, 0.45), (6.0, 0.45))
"""How far the eye of occlusion looks, in mm, and how much each distance counts."""

SOFT = np.float32(0.1)
"""Cosine about which cloth goes over into its own shade."""

SHEEN = np.float32(0.035)
"""Share that fibres throw back whatever their dye: dark cloth too shows what turns to the light.
Flat cloth is left as it is."""

STEPS = 18
MOST_SHADOW_MM = 12.0
TONES = 4096


def linear(rgb: Rgb) -> Floats:
    """sRGB levels as linear light, 0 to 1 (IEC 61966-2-1)."""
    level = np.arange(256) / 255
    table = np.where(level <= 0.04045, level / 12.92, ((level + 0.055) / 1.055) ** 2.4)
    return table.astype(np.float32).take(rgb)


def levels(light: Floats) -> Rgb:
    """Linear light 0 to 1 as sRGB levels, through a table."""
    tone = np.arange(TONES) / (TONES - 1)
    curve = np.where(tone <= 0.0031308, 12.92 * tone, 1.055 * tone ** (1 / 2.4) - 0.055)
    table = np.round(255 * curve).astype(np.uint8)
    return table.take(np.round(np.clip(light, 0, 1) * (TONES - 1)).astype(np.int32))


def slopes(height_mm: Floats, px_per_mm: float) -> tuple[Floats, Floats]:
    """Rise in mm a mm along x and along y (upwards)."""
    down, right = np.gradient(height_mm, np.float32(1 / px_per_mm))
    return np.asarray(right, dtype=np.float32), np.asarray(-down, dtype=np.float32)


def open_sky(height_mm: Floats, px_per_mm: float) -> Floats:
    """How much of the sky each pixel sees: less where the surface round it stands higher.

    Blurred height less height at several distances, the usual stand-in for ambient occlusion
    (Luft, Colditz and Deussen 2006, "Image enhancement by unsharp masking the depth buffer").
    """
    closed = np.zeros_like(height_mm)
    for reach, weight in OPEN_SCALES_MM:
        sigma = max(reach * px_per_mm, 0.6)
        above = blur(height_mm, sigma) - height_mm
        closed += np.float32(weight / reach) * np.maximum(above, 0)
    return np.exp(-1.5 * closed)


def shadow(height_mm: Floats, px_per_mm: float, light: Light, most_mm: float) -> Floats:
    """Share of the light that reaches each pixel past what stands towards it, 0 to 1.

    Walks towards the light as far as something ``most_mm`` high throws its shadow.
    """
    x, y, up = light.direction
    flat = math.hypot(x, y)
    if flat < 1e-6 or most_mm <= 0:
        return np.ones_like(height_mm)
    fall = up / flat
    reach_px = most_mm / fall * px_per_mm
    steps = max(1, min(STEPS, math.ceil(reach_px)))
    rim = math.ceil(reach_px)
    wide = np.pad(height_mm, rim, mode="edge")
    above = height_mm.copy()
    for step in range(1, steps + 1):
        away = reach_px * (step / steps) ** 1.5
        moved = _shift(wide, rim, away * x / flat, -away * y / flat)
        np.maximum(above, moved - np.float32(away / px_per_mm * fall), out=above)
    above -= height_mm
    soft = np.clip(above / np.float32(0.9), 0, 1)
    return 1 - soft * soft * (3 - 2 * soft)


def _light_past(surface: Surface, light: Light) -> Floats:
    """Light past the puffs on the cloth, and past the cloth's edge on the table."""
    scale = surface.px_per_mm
    most = min(MOST_SHADOW_MM, float(np.ptp(surface.height)))
    on_cloth = shadow(surface.height, scale, light, most)
    x, y, up = light.direction
    reach = surface.thick_mm / max(up, 0.1) * scale
    rim = math.ceil(reach)
    wide = np.pad(surface.covered, rim, mode="edge")
    falls = [_shift(wide, rim, reach * x * k / 8, -reach * y * k / 8) for k in range(9)]
    on_table = 1 - blur(np.mean(falls, axis=0, dtype=np.float32), max(0.7, 0.7 * scale))
    return surface.covered * on_cloth + (1 - surface.covered) * on_table


def _shift(padded: Floats, rim: int, columns: float, rows: float) -> Floats:
    """What lies so many columns to the right and rows down of each pixel, to the whole pixel."""
    top, left = rim + round(rows), rim + round(columns)
    high, wide = (size - 2 * rim for size in padded.shape)
    return padded[top : top + high, left : left + wide]


def light_surface(surface: Surface, light: Light) -> Rgb:
    """(rows, columns, 3) the picture under one light. Flat cloth keeps its own colour."""
    x, y, up = light.direction
    steep = 1 / np.sqrt(1 + surface.slope_x**2 + surface.slope_y**2)
    facing = (up - x * surface.slope_x - y * surface.slope_y) * steep
    reached = _light_past(surface, light)
    sun = _softly(facing) * reached * np.float32((1 - light.sky) / _softly(np.float32(up)))
    sky = surface.open * np.float32(light.sky) * (0.75 + 0.25 * steep)
    turned = np.maximum(sun - np.float32(1 - light.sky), 0)
    shine = 0.10 * surface.gloss * reached * _shine(surface, steep, light)
    shine += turned * (SHEEN + np.float32(0.05) * surface.gloss)
    warm = sun[..., None] * SUN + sky[..., None] * SKY
    return levels(_bend_highlights(EXPOSURE * surface.albedo * warm + shine[..., None]))


def shape_picture(surface: Surface) -> Rgb:
    """(rows, columns, 3) what ``relief_light.js`` lights on a page, by itself and with no server.

    Red and green are the slope, the x and y of the surface's unit normal from -1 to 1, and blue is
    how much of the sky is seen.
    """
    steep = 1 / np.sqrt(1 + surface.slope_x**2 + surface.slope_y**2)
    normal = np.stack([-surface.slope_x * steep, -surface.slope_y * steep], axis=-1)
    shape = np.concatenate([(normal + 1) / 2, surface.open[..., None]], axis=-1)
    return np.round(255 * np.clip(shape, 0, 1)).astype(np.uint8)


def _softly(facing: Floats | np.floating[Any]) -> Floats:
    """The cosine, that reaches nought without an edge: fibres stand out of the cloth."""
    return np.asarray(0.5 * (facing + np.sqrt(facing * facing + SOFT * SOFT)))


def _shine(surface: Surface, steep: Floats, light: Light) -> Floats:
    """Blinn's highlight, seen from above: broad, as on spun thread."""
    x, y, up = light.direction
    half = np.array([x, y, up + 1]) / math.sqrt(x * x + y * y + (up + 1) ** 2)
    towards = half[2] - half[0] * surface.slope_x - half[1] * surface.slope_y
    return np.maximum(towards * steep, 0).astype(np.float32) ** 24


def _bend_highlights(light: Floats) -> Floats:
    """Highlights that bend towards white."""
    bright = light > SHOULDER
    room = np.float32(1 - SHOULDER)
    bent = light.copy()
    bent[bright] = SHOULDER + room * np.tanh((light[bright] - SHOULDER) / room)
    return bent
