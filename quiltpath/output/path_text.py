"""Polylines as the text of a path, many at once: SVG path data and PDF path operators.

One format string for all numbers keeps ten thousand stitches to a few milliseconds.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from quiltpath.output.drawing import Line, Lines, Shape

Points = NDArray[np.float64]
Offsets = NDArray[np.intp]


def polylines(item: Line | Lines | Shape) -> tuple[Points, Offsets, bool]:
    """Points (m, 2), offsets (n + 1,) and whether each polyline closes, of any drawn item."""
    if isinstance(item, Lines):
        return item.points, item.start, False
    if isinstance(item, Line):
        return item.points, np.array([0, len(item.points)]), item.closed
    return *_joined(item.rings), True


def _joined(rings: Sequence[Points]) -> tuple[Points, Offsets]:
    start = np.cumsum([0, *(len(ring) for ring in rings)])
    return np.concatenate([*rings, np.empty((0, 2))]), start.astype(np.intp)


def svg_path(points: Points, start: Offsets, closed: bool, decimals: int = 2) -> str:
    """Path data ``M x y x y ...`` (points after the first of a subpath are line ends)."""
    return _written(points, start, ("M{} {}", " {} {}", "Z" if closed else ""), decimals)


def pdf_path(points: Points, start: Offsets, closed: bool, decimals: int = 3) -> str:
    """Operators ``x y m x y l ... h`` (ISO 32000-1, 8.5.2)."""
    return _written(points, start, ("{} {} m ", "{} {} l ", "h " if closed else ""), decimals)


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
