"""Leaving out what a window does not show, so that a page of a set stays small."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from quiltpath.output.drawing import Group, Item, Lines, Text
from quiltpath.output.path_text import polylines

Box = tuple[float, float, float, float]


def cropped(group: Group, window: Box) -> Group:
    """The group without the polylines that lie wholly outside ``window`` (its own coordinates).

    Only for groups that are neither shifted nor scaled; such a group stays whole.
    """
    if group.shift_mm != (0.0, 0.0) or group.scale != 1.0 or group.mirrored:
        return group
    kept: list[Item | Group] = []
    for item in group.items:
        if isinstance(item, Group):
            kept.append(cropped(item, window))
        elif isinstance(item, Lines):
            kept.append(_some(item, window))
        elif isinstance(item, Text) or _touching(item.style.width_mm, *_all(item), window).any():
            kept.append(item)
    return replace(group, items=tuple(kept))


def _all(item: Item) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    assert not isinstance(item, Text)
    points, start, _ = polylines(item)
    return points, np.array([start[0], start[-1]])


def _some(lines: Lines, window: Box) -> Lines:
    """The polylines whose boxes touch the window."""
    shown = _touching(lines.style.width_mm, lines.points, lines.start, window)
    lengths = np.diff(lines.start)
    points = lines.points[np.repeat(shown, lengths)]
    start = np.concatenate([[0], np.cumsum(lengths[shown])]).astype(np.intp)
    return Lines(points, start, lines.style)


def _touching(
    width_mm: float, points: NDArray[np.float64], start: NDArray[np.intp], window: Box
) -> NDArray[np.bool_]:
    if len(start) < 2 or not len(points):
        return np.zeros(max(0, len(start) - 1), dtype=np.bool_)
    low = np.minimum.reduceat(points, start[:-1], axis=0) - width_mm
    high = np.maximum.reduceat(points, start[:-1], axis=0) + width_mm
    return np.logical_and((low <= window[2:]).all(axis=1), (high >= window[:2]).all(axis=1))
