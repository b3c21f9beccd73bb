"""A picture that looks quilted: a height field, its thread and its cloth under one low light."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from quiltpath.drawing.relief_cloth import noise, paint_cloth, puckers, rumples, weave
from quiltpath.drawing.relief_light import levels, light_surface, linear, open_sky, slopes
from quiltpath.drawing.relief_stitches import Near, nearest_stitches
from quiltpath.drawing.relief_view import (
    Floats,
    Heights,
    Light,
    LitView,
    QuiltedCloth,
    Rgb,
    Surface,
    Thread,
    rgb_of,
)

LEAST_PX_PER_MM = 0.9
LEAST_THREAD_PX = 1.1
"""Thread is never drawn thinner: it keeps an edge from however far it is seen."""

GLINT = np.float32(0.03)
"""Light that spun thread throws back beyond its colour: black on black is seen by it."""

TWIST_MM = 0.55
"""Distance of the turns of a thread's plies, as they show on its face."""


def picture(
    field: Heights,
    cloth: QuiltedCloth,
    thread: Thread,
    view: LitView,
    light: Light | None = None,
    *,
    times: int = 1,
) -> Rgb:
    """(rows, columns, 3) of ``view`` under the light. The same input gives the same bytes.

    A far view, of fewer pixels than millimetres, is drawn larger and brought together in linear
    light, as the eye does it. ``times`` draws any view so many times larger first: softer lines
    for a picture that is kept, at the square of the time.
    """
    times = max(times, math.ceil(LEAST_PX_PER_MM / view.px_per_mm))
    near_view = replace(view, px_per_mm=view.px_per_mm * times)
    drawn = light_surface(surface(field, cloth, thread, near_view), light or Light())
    return drawn if times == 1 else _brought_together(drawn, view)


def _brought_together(drawn: Rgb, view: LitView) -> Rgb:
    rows, columns = view.shape
    parts = [
        np.asarray(Image.fromarray(part).resize((columns, rows), Image.Resampling.BOX))
        for part in np.moveaxis(linear(drawn), -1, 0)
    ]
    return levels(np.stack(parts, axis=-1))


def surface(field: Heights, cloth: QuiltedCloth, thread: Thread, view: LitView) -> Surface:
    """Everything of the picture but the light, so that one surface is lit from many sides."""
    stitches = nearest_stitches(thread.points, view)
    return lay_thread(surface_without_thread(field, cloth, stitches, view), stitches, thread)


def surface_without_thread(
    field: Heights, cloth: QuiltedCloth, stitches: Near, view: LitView
) -> Surface:
    """The cloth as its stitches hold it, without their thread."""
    colours, covered = paint_cloth(cloth, view)
    raised = heights_at(field, stitches, view)
    scale = view.px_per_mm
    ground = raised + puckers(stitches, cloth.take_up, scale) + rumples(view)
    slope_x, slope_y = slopes(_round_folds(ground, scale) + weave(view), scale)
    return Surface(
        linear(colours) * _slubs(view)[..., None],
        slope_x * covered,
        slope_y * covered,
        open_sky(ground + np.float32(cloth.thick_mm) * covered, scale),
        covered * ground,
        np.zeros(view.shape, dtype=np.float32),
        covered,
        cloth.thick_mm,
        scale,
    )


def heights_at(field: Heights, stitches: Near, view: LitView) -> Floats:
    """Height in mm at each pixel. Near a stitch height² grows evenly with the distance from it:
    that ratio is what is carried from nodes to pixels, so that creases stay sharp at any scale."""
    x, y = view.centres()
    column = (x - field.origin_mm[0]) / field.cell_mm
    row = (y - field.origin_mm[1]) / field.cell_mm
    node_rows, node_columns = (np.arange(size) for size in field.height_mm.shape)
    pixel_row = (view.high_y - field.origin_mm[1] - node_rows * field.cell_mm) * view.px_per_mm
    pixel_column = (field.origin_mm[0] + node_columns * field.cell_mm - view.low_x) * view.px_per_mm
    away = _between(stitches.away, pixel_row - 0.5, pixel_column - 0.5)
    ratio = field.height_mm**2 / _close(away, field.cell_mm)
    carried = _between(ratio, row, column)
    return np.sqrt(np.maximum(carried, 0) * _close(stitches.away, field.cell_mm))


def _between(values: Floats, rows: Floats, columns: Floats) -> Floats:
    """Bilinear values at every pair of a row and a column, beyond the rim those of the rim."""
    for axis, at in enumerate((rows, columns)):
        last = values.shape[axis] - 1
        at = np.clip(at, 0, last)
        low = np.minimum(at.astype(np.intp), max(last - 1, 0))
        part = (at - low).astype(np.float32).reshape((-1, 1) if axis == 0 else (1, -1))
        first = np.take(values, low, axis=axis)
        values = first + part * (np.take(values, np.minimum(low + 1, last), axis=axis) - first)
    return values


def _close(away: Floats, cell_mm: float) -> Floats:
    """Distance near a stitch, the same for all that is a few cells away."""
    reach = np.float32(2 * cell_mm)
    return np.float32(0.02) + reach * (1 - np.exp(-away / reach))


def _round_folds(height: Floats, px_per_mm: float) -> Floats:
    """Cloth has a thickness: it does not fold sharper than a third of a millimetre."""
    from scipy.ndimage import gaussian_filter

    return gaussian_filter(height, max(0.3 * px_per_mm, 0.35), mode="nearest")


def _slubs(view: LitView) -> Floats:
    """Yarns are not all alike: a trace of lighter and darker threads both ways."""
    seen = min(1.0, max(0.0, (view.px_per_mm - 1.5) / 3))
    if seen == 0:
        return np.ones(view.shape, dtype=np.float32)
    x, y = np.meshgrid(*(part.astype(np.float32) for part in view.centres()))
    return 1 + np.float32(0.02 * seen) * (noise(x * 2.2, y / 14) + noise(x / 14 + 99, y * 2.2))


def lay_thread(ground: Surface, every: Near, thread: Thread) -> Surface:
    """The thread laid on: its colour, roundness and arch, its twist, the shade at its sides."""
    scale = ground.px_per_mm
    radius = max(thread.width_mm / 2, LEAST_THREAD_PX / 2 / scale)
    at = np.flatnonzero(every.away < radius + 4 * _cleft_mm(scale))
    stitches, covered, open_to = (
        every.take(at),
        ground.covered.reshape(-1)[at],
        ground.open.reshape(-1)[at],
    )
    from_end = np.minimum(stitches.into, stitches.length - stitches.into)
    there = _coverage(stitches, radius, scale, from_end) * covered
    across = np.clip(stitches.side / radius, -0.93, 0.93)
    rise_x, rise_y = _round_slopes(
        stitches, across, radius, min(1.0, thread.width_mm * scale / 2.5)
    )
    colour = linear(np.array(rgb_of(thread.colour), dtype=np.uint8)) + GLINT
    shown = colour * _twist(stitches, across, thread.width_mm * scale)[:, None]
    shade = 1 - covered * (1 - _shade_beside(stitches, radius, scale, from_end))
    beside = open_to * shade
    arch = 0.4 + np.sin(np.pi * stitches.into / stitches.length)
    bump = there * np.sqrt(1 - across**2) * radius * arch
    return replace(
        ground,
        albedo=_lay_over(ground.albedo, at, shown, there[:, None]),
        slope_x=_lay_over(ground.slope_x, at, rise_x, there),
        slope_y=_lay_over(ground.slope_y, at, rise_y, there),
        open=_lay_over(ground.open, at, beside + there * (0.5 + 0.5 * open_to - beside)),
        height=_lay_over(ground.height, at, ground.height.reshape(-1)[at] + bump),
        gloss=_lay_over(ground.gloss, at, there),
    )


def _round_slopes(
    stitches: Near, across: Floats, radius: float, fine: float
) -> tuple[Floats, Floats]:
    """Slopes along x and y of a round thread that arches from hole to hole; ``fine`` is 0 where
    it is too thin in pixels for its roundness to be seen."""
    lean = -fine * across / np.sqrt(1 - across**2)
    turn = np.cos(np.pi * stitches.into / stitches.length)
    rise = 1.1 * fine * radius * np.pi * turn / stitches.length
    along_x = rise * stitches.cos - lean * stitches.sin
    return along_x, rise * stitches.sin + lean * stitches.cos


def _lay_over(
    under: Floats, at: NDArray[np.intp], over: Floats, share: Floats | float = 1.0
) -> Floats:
    """A copy with other values at some pixels, by their number, wholly or in part."""
    laid = under.copy()
    flat = laid.reshape(-1, *under.shape[2:])
    flat[at] += (over - flat[at]) * share
    return laid


def _coverage(stitches: Near, radius: float, scale: float, from_end: Floats) -> Floats:
    """How far each pixel is thread: stitches narrow where they go down their holes."""
    hole = min(1.0, max(0.0, (scale - 1.2) / 2))
    narrow = 1 - hole * np.exp(-((from_end / np.float32(0.28)) ** 2)) * np.float32(0.75)
    return np.clip((radius * narrow - stitches.away) * scale + 0.5, 0, 1).astype(np.float32)


def _twist(stitches: Near, across: Floats, width_px: float) -> Floats:
    """Plies wound round each other, seen from close by."""
    seen = min(1.0, max(0.0, (width_px - 2.0) / 2))
    turn = 2 * np.pi * (stitches.along / TWIST_MM + 0.42 * across)
    return (1 - seen * 0.16 * (0.5 - 0.5 * np.cos(turn))).astype(np.float32)


def _cleft_mm(px_per_mm: float) -> float:
    """How wide the shade beside a thread is."""
    return max(0.30, 0.7 / px_per_mm)


def _shade_beside(stitches: Near, radius: float, scale: float, from_end: Floats) -> Floats:
    """Light lost in the cleft beside the thread, and in the needle holes."""
    wide = _cleft_mm(scale)
    beside = 0.62 * np.exp(-np.maximum(stitches.away - radius, 0) / wide)
    hole = 0.6 * np.exp(-((np.hypot(stitches.away, from_end) / max(0.3, 0.4 / scale)) ** 2))
    seen = min(1.0, max(0.0, (scale - 1.2) / 2))
    return ((1 - beside) * (1 - seen * hole)).astype(np.float32)
