"""Strokes: lines as a pattern draws them, before they are cut to where they may go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from quiltpath.geometry.arrays import Geometries
from quiltpath.geometry.runner_shapes import Patch

WITHIN_MM = 1e-6

SHORTEST_PIECE_MM = 3.0
"""A piece that is left over after cutting and is shorter than one stitch is not sewn."""


@dataclass(frozen=True)
class Strokes:
    """(n,) LineStrings, the shape that each may lie in, and words for where each came from."""

    geometry: Geometries
    within: Geometries
    source: Geometries

    def __len__(self) -> int:
        return len(self.geometry)


def strokes(geometry: Sequence[object] | Geometries, within: object, source: str) -> Strokes:
    """Lines that all belong to one shape and one source."""
    lines = objects(geometry)
    shapes, words = np.empty(len(lines), dtype=object), np.empty(len(lines), dtype=object)
    shapes.fill(within)
    words.fill(source)
    return Strokes(lines, shapes, words)


def strokes_in(patches: Sequence[Patch], geometry: Geometries, count: Sequence[int]) -> Strokes:
    """Lines of patches, so many of each, in the order of the patches."""
    patch = np.repeat(np.arange(len(patches)), np.array(count, dtype=np.intp))
    shapes, names = objects([p.shape for p in patches]), objects([p.name for p in patches])
    return Strokes(geometry, shapes[patch], names[patch])


def join_strokes(parts: Sequence[Strokes]) -> Strokes:
    """All strokes as one, in the order given."""
    if not parts:
        return Strokes(objects([]), objects([]), objects([]))
    return Strokes(
        np.concatenate([part.geometry for part in parts]),
        np.concatenate([part.within for part in parts]),
        np.concatenate([part.source for part in parts]),
    )


def objects(values: Sequence[object] | Geometries) -> Geometries:
    """A one-dimensional object array, whatever the values look like to numpy."""
    out = np.empty(len(values), dtype=object)
    out[:] = list(values)
    return out


def polylines(drawn: Sequence[NDArray[np.float64]]) -> Geometries:
    """(k,) LineStrings through (n, 2) points each, mm."""
    if not len(drawn):
        return objects([])
    which = np.repeat(np.arange(len(drawn)), [len(points) for points in drawn])
    return np.asarray(shapely.linestrings(np.concatenate(drawn), indices=which))


def clip_strokes(drawn: Strokes) -> Strokes:
    """Each stroke cut to the shape that it belongs to; those that lie inside stay whole."""
    inside = shapely.covers(_grow(drawn.within), drawn.geometry)
    cut = drawn.geometry.copy()
    crossing = np.flatnonzero(~inside)
    cut[crossing] = shapely.intersection(drawn.geometry[crossing], drawn.within[crossing])
    return pieces(drawn, cut)


def _grow(shapes: Geometries) -> Geometries:
    """Each shape a millionth of a millimetre larger, so that lines may end on its very edge."""
    number = np.fromiter(map(id, shapes), np.int64, len(shapes))
    first, which = np.unique(number, return_index=True, return_inverse=True)[1:]
    grown = shapely.buffer(shapes[first], WITHIN_MM, join_style="mitre")
    shapely.prepare(grown)
    return np.asarray(grown[which], dtype=object)


def pieces(drawn: Strokes, cut: Geometries) -> Strokes:
    """The sewable LineStrings that are left in ``cut``, one geometry for each stroke.

    A closed stroke that was cut is put together again where it started.
    """
    whole = shapely.is_closed(drawn.geometry) & (cut != drawn.geometry)
    cut = cut.copy()
    cut[whole] = shapely.line_merge(cut[whole])
    parts, origin = shapely.get_parts(cut, return_index=True)
    is_line = shapely.get_type_id(parts) == shapely.GeometryType.LINESTRING
    kept = is_line & (shapely.length(parts) >= SHORTEST_PIECE_MM)
    origin = origin[kept]
    return Strokes(parts[kept], drawn.within[origin], drawn.source[origin])
