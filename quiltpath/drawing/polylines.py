"""Polylines, many at once: as the text of a path, cut into dashes, cropped to a window.

Path data for SVG and path operators for PDF come from one format string for all numbers, which
keeps ten thousand stitches to a few milliseconds. Dashes are for a sink that cannot dash by
itself, cropping keeps a page of a set small.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from quiltpath.drawing.page_model import (
    Box,
    Drawn,
    Group,
    Item,
    Line,
    Points,
    Polylines,
    Raster,
    Text,
)

Offsets = NDArray[np.intp]


def polylines(item: Drawn) -> tuple[Points, Offsets, bool]:
    """Points (m, 2), offsets (n + 1,) and whether each polyline closes, of any drawn item."""
    if isinstance(item, Polylines):
        return item.points, item.start, False
    if isinstance(item, Line):
        return item.points, np.array([0, len(item.points)]), item.closed
    return *_join(item.rings), True


def _join(rings: Sequence[Points]) -> tuple[Points, Offsets]:
    start = np.cumsum([0, *(len(ring) for ring in rings)])
    return np.concatenate([*rings, np.empty((0, 2))]), start.astype(np.intp)


def svg_path(points: Points, start: Offsets, closed: bool, decimals: int) -> str:
    """Path data ``M x y x y ...`` (points after the first of a subpath are line ends)."""
    return _written(points, start, ("M{} {}", " {} {}", "Z" if closed else ""), decimals)


def pdf_path(points: Points, start: Offsets, closed: bool) -> str:
    """Operators ``x y m x y l ... h`` to a thousandth of a point (ISO 32000-1, 8.5.2)."""
    return _written(points, start, ("{} {} m ", "{} {} l ", "h " if closed else ""), 3)


def _written(points: Points, start: Offsets, words: tuple[str, str, str], decimals: int) -> str:
    first, more, end = (word.replace("{}", "%.8g") for word in words)
    numbers = np.diff(start)
    if len(numbers) and numbers[0] > 0 and (numbers == numbers[0]).all():
        template = (first + more * (int(numbers[0]) - 1) + end) * len(numbers)
    else:
        template = "".join([first + more * (n - 1) + end for n in numbers.tolist() if n])
    # adding 0.0 turns -0.0, which would print as "-0", into 0.0
    rounded = np.round(points[start[0] : start[-1]], decimals) + 0.0
    return template % tuple(rounded.ravel().tolist())


def cut_into_dashes(
    points: Points, start: Offsets, closed: bool, lengths: Sequence[float]
) -> tuple[Points, Offsets]:
    """The inked parts of each polyline: points (k, 2) and offsets, in the same order.

    ``lengths`` are ink, gap, ink, gap ... and repeat; every polyline begins with ink. An odd
    number of lengths is repeated once, as SVG does.
    """
    pattern = np.asarray(lengths if len(lengths) % 2 == 0 else [*lengths, *lengths])
    parts: list[Points] = []
    for first, last in zip(start[:-1].tolist(), start[1:].tolist(), strict=True):
        line = points[first:last]
        parts += _cut(np.concatenate([line, line[:1]]) if closed else line, pattern)
    counts = np.cumsum([0, *(len(part) for part in parts)]).astype(np.intp)
    return np.concatenate([*parts, np.empty((0, 2))]), counts


def _cut(line: Points, pattern: Points) -> list[Points]:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    total, period = along[-1], pattern.sum()
    if total <= 0 or period <= 0:
        return []
    edges = (
        np.arange(np.ceil(total / period))[:, None] * period
        + np.concatenate([[0.0], np.cumsum(pattern)[:-1]])
    ).ravel()
    edges = np.minimum(edges, total)
    cuts = np.stack([np.interp(edges, along, line[:, axis]) for axis in (0, 1)], axis=1)
    order = np.searchsorted(along, edges, side="right")
    pieces = []
    for ink in range(0, len(edges) - 1, 2):
        if edges[ink + 1] > edges[ink]:
            inner = line[order[ink] : np.searchsorted(along, edges[ink + 1], side="left")]
            pieces.append(np.concatenate([cuts[ink : ink + 1], inner, cuts[ink + 1 : ink + 2]]))
    return pieces


def crop_to_window(group: Group, window: Box) -> Group:
    """The group without the polylines that lie wholly outside ``window`` (its own coordinates).

    Only for groups that are neither shifted nor scaled; such a group stays whole.
    """
    if group.shift_mm != (0.0, 0.0) or group.scale != 1.0 or group.mirrored:
        return group
    kept: list[Item | Group] = []
    for item in group.items:
        if isinstance(item, Group):
            kept.append(crop_to_window(item, window))
        elif isinstance(item, Polylines):
            kept.append(_some(item, window))
        elif (
            isinstance(item, Text | Raster)
            or _touching(item.style.width_mm, *_all(item), window).any()
        ):
            kept.append(item)
    return replace(group, items=tuple(kept))


def _all(item: Drawn) -> tuple[Points, NDArray[np.intp]]:
    points, start, _ = polylines(item)
    return points, np.array([start[0], start[-1]])


def _some(lines: Polylines, window: Box) -> Polylines:
    """The polylines whose boxes touch the window."""
    shown = _touching(lines.style.width_mm, lines.points, lines.start, window)
    lengths = np.diff(lines.start)
    points = lines.points[np.repeat(shown, lengths)]
    start = np.concatenate([[0], np.cumsum(lengths[shown])]).astype(np.intp)
    return Polylines(points, start, lines.style)


def _touching(
    width_mm: float, points: Points, start: NDArray[np.intp], window: Box
) -> NDArray[np.bool_]:
    if len(start) < 2 or not len(points):
        return np.zeros(max(0, len(start) - 1), dtype=np.bool_)
    low = np.minimum.reduceat(points, start[:-1], axis=0) - width_mm
    high = np.maximum.reduceat(points, start[:-1], axis=0) + width_mm
    return np.logical_and((low <= window[2:]).all(axis=1), (high >= window[:2]).all(axis=1))
