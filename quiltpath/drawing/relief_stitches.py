"""For every pixel the stitch that lies nearest: how far, where along it, on which side."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from quiltpath.drawing.relief_view import Doubles, Floats, LitView

REACH_MM = 6.0
"""Stitches so far outside the view still hold cloth inside it."""


@dataclass(frozen=True)
class Near:
    """The nearest stitch of each pixel; arrays of (rows, columns), far away where there is none.

    ``away``    distance in mm
    ``side``    signed distance from the stitch's own line, left of its direction above 0
    ``along``   arc length on the run in mm at the nearest point
    ``into``    the same from the stitch's start, in mm
    ``length``  the stitch's length in mm
    ``cos``, ``sin``  its direction
    """

    away: Floats
    side: Floats
    along: Floats
    into: Floats
    length: Floats
    cos: Floats
    sin: Floats

    def take(self, index: NDArray[np.intp]) -> Near:
        """The pixels with these numbers, row by row, as (n,) arrays."""
        return Near(*(getattr(self, part.name).reshape(-1).take(index) for part in fields(self)))


@dataclass(frozen=True)
class Stitch:
    """Stitches one by one: (k, 2) starts and ends, and (k,) arc length on the run at each start."""

    start: Doubles
    end: Doubles
    along: Doubles

    def take(self, chosen: NDArray[np.bool_]) -> Stitch:
        """The chosen ones."""
        return Stitch(self.start[chosen], self.end[chosen], self.along[chosen])


def stitches_of(points: Doubles) -> Stitch:
    """Needle points, NaN between runs, as single stitches; those of no length are left out."""
    start, end = points[:-1], points[1:]
    length = np.hypot(*(end - start).T)
    sewn = np.isfinite(length) & (length > 1e-6)
    along = np.cumsum(np.where(sewn, length, 0.0)) - np.where(sewn, length, 0.0)
    return Stitch(start, end, along).take(sewn)


def nearest_stitches(points: Doubles, view: LitView) -> Near:
    """The nearest stitch of every pixel, found by a distance transform (Maurer, Qi and Raghavan
    2003) of the stitches' pixels; the distance itself is exact for the stitch found."""
    stitch = _in_reach(stitches_of(np.asarray(points, dtype=np.float64)), view)
    rows, columns = view.shape
    if not len(stitch.start):
        far = np.full((rows, columns), 1e3, dtype=np.float32)
        flat = np.zeros_like(far)
        return Near(far, far, flat, flat, far, flat + 1, flat)
    return _measure(stitch, _nearest(stitch, view), view)


def _in_reach(stitch: Stitch, view: LitView) -> Stitch:
    low = np.minimum(stitch.start, stitch.end) - REACH_MM
    high = np.maximum(stitch.start, stitch.end) + REACH_MM
    x = (high[:, 0] > view.low_x) & (low[:, 0] < view.high_x)
    return stitch.take(x & (high[:, 1] > view.low_y) & (low[:, 1] < view.high_y))


def _nearest(stitch: Stitch, view: LitView) -> NDArray[np.intp]:
    """(rows, columns) index of the nearest stitch; the raster reaches beyond the view."""
    from scipy.ndimage import distance_transform_edt

    rim = int(np.ceil(REACH_MM * view.px_per_mm))
    rows, columns = (size + 2 * rim for size in view.shape)
    start, end = view.to_px(stitch.start) + rim, view.to_px(stitch.end) + rim
    count = np.ceil(np.hypot(*(end - start).T) / 0.4).astype(np.intp) + 1
    of = np.repeat(np.arange(len(start)), count)
    part = (np.arange(len(of)) - np.repeat(np.cumsum(count) - count, count)) / np.repeat(
        np.maximum(count - 1, 1), count
    )
    at = np.floor(start[of] + part[:, None] * (end - start)[of]).astype(np.intp)
    seen = (at >= 0).all(axis=1) & (at[:, 0] < columns) & (at[:, 1] < rows)
    drawn = np.full((rows, columns), -1, dtype=np.intp)
    drawn[at[seen, 1], at[seen, 0]] = of[seen]
    if (drawn < 0).all():
        return np.zeros(view.shape, dtype=np.intp)
    row, column = distance_transform_edt(drawn < 0, return_distances=False, return_indices=True)
    inner = np.s_[rim : rows - rim, rim : columns - rim]
    return drawn[row[inner], column[inner]]


def _measure(stitch: Stitch, index: NDArray[np.intp], view: LitView) -> Near:
    """Exact distances from the stitch of each pixel."""
    x, y = view.centres()
    reach = stitch.end - stitch.start
    length = np.hypot(*reach.T)
    unit = (reach / length[:, None]).astype(np.float32)
    low = np.array([view.low_x, view.low_y])
    start = (stitch.start - low).astype(np.float32)
    cos, sin = unit[index, 0], unit[index, 1]
    dx = (x - low[0]).astype(np.float32)[None, :] - start[index, 0]
    dy = (y - low[1]).astype(np.float32)[:, None] - start[index, 1]
    long = length.astype(np.float32)[index]
    ahead = dx * cos + dy * sin
    side = dy * cos - dx * sin
    into = np.clip(ahead, 0, long)
    away = np.hypot(side, ahead - into)
    along = stitch.along.astype(np.float32)[index] + into
    return Near(away, side, along, into, long, cos, sin)
