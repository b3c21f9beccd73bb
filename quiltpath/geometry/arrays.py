"""Kinds of array by name, lines as their straight segments, and the distinct values of an array."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray

Floats = NDArray[np.float64]
"""Numbers, in an array of any shape."""

Points = NDArray[np.float64]
"""(n, 2) x and y, mm."""

Geometries = NDArray[np.object_]
"""(n,) shapely geometries, mm."""

Scalar = TypeVar("Scalar", bound=np.generic)


def arc_lengths(points: Points) -> Floats:
    """(n,) mm along the polyline through (n, 2) points up to each of them, from 0."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


@dataclass(frozen=True)
class Segments:
    """Straight segments as parallel arrays.

    ``start``, ``end``  (k, 2) mm
    ``owner``           (k,) index of the line that each is part of
    """

    start: Floats
    end: Floats
    owner: NDArray[np.intp]

    @property
    def along(self) -> Floats:
        """(k, 2) from start to end, mm."""
        return self.end - self.start

    @property
    def length(self) -> Floats:
        """(k,) mm."""
        return np.hypot(*self.along.T)


def segments(shapes: Geometries) -> Segments:
    """All segments of (n,) LineStrings or rings, in order; those without length are left out."""
    points, owner = shapely.get_coordinates(shapes, return_index=True)
    kept = (owner[1:] == owner[:-1]) & np.any(points[1:] != points[:-1], axis=1)
    return Segments(points[:-1][kept], points[1:][kept], owner[1:][kept])


def shares(count: NDArray[np.intp]) -> tuple[NDArray[np.intp], Floats]:
    """Owner and middle, as a share of the whole, of ``count[i]`` equal parts of each i.

    Two parts each of two things: owners 0, 0, 1, 1 and middles 0.25, 0.75, 0.25, 0.75.
    """
    owner = np.repeat(np.arange(len(count)), count)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    return owner, (number + 0.5) / count[owner]


def distinct(values: NDArray[Scalar], axis: int | None = None) -> NDArray[Scalar]:
    """(k,) the values of an array once each, ascending; with ``axis`` 0 its rows, (k, ...).

    They are counted as well, though nobody asks: without that numpy first loads its masked arrays
    to rule them out, which takes longer than the whole search in a small job.
    """
    return np.unique(values, axis=axis, return_counts=True)[0]


def members(group: NDArray[np.integer[Any]], count: int) -> list[NDArray[np.intp]]:
    """Indices of the members of each of ``count`` groups, ascending: O(n log n) for all together.

    Args:
        group: (n,) the group that each belongs to, from 0.
        count: of groups, those without members included.

    Example:
        >>> [each.tolist() for each in members(np.array([2, 0, 2]), 3)]
        [[1], [], [0, 2]]
    """
    order = np.argsort(group, kind="stable")
    return np.split(order, np.searchsorted(group[order], np.arange(1, count)))[:count]


def rounded_bytes(values: Floats) -> bytes:
    """The same for arrays of one shape that differ by what computing rounds off, 1e-9 mm or so.

    Values are counted in steps of 2 ** -20: no length in decimals or in fractions of an inch lies
    half way between two of them.
    """
    return np.rint(values * 2.0**20).astype(np.int64).tobytes()
