"""Lines at one distance from an edge all along it: a list of distances marks them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from quiltpath.distinct import distinct

EVEN_MM = 0.05
MOST_SIDES = 12


@dataclass(frozen=True)
class InsetList:
    """Distances inwards from the edges of a shape, for every place that is alike."""

    places: tuple[str, ...]
    distances: tuple[float, ...]

    def __len__(self) -> int:
        return len(self.distances)


def inset_lists(
    geometry: NDArray[np.object_], source: NDArray[np.object_], shapes: dict[str, BaseGeometry]
) -> tuple[InsetList, ...] | None:
    """The lists for rings inside shapes with few straight sides; None where a ring is not even.

    A ring of the distance d is every point of the inside at d from the edge.
    """
    by_distances: dict[tuple[float, ...], tuple[str, ...]] = {}
    for place in dict.fromkeys(source.tolist()):
        edge = shapes[place].boundary
        if len(shapely.get_coordinates(edge.simplify(EVEN_MM))) > MOST_SIDES + 1:
            return None
        rings = geometry[source == place]
        distances = _even_distances(rings, edge)
        if distances is None:
            return None
        by_distances[distances] = (*by_distances.get(distances, ()), place)
    return tuple(InsetList(places, distances) for distances, places in by_distances.items())


def _even_distances(rings: NDArray[np.object_], edge: BaseGeometry) -> tuple[float, ...] | None:
    """The distinct distances of closed lines from the edge; None for one that is cut or strays."""
    if not bool(shapely.is_closed(rings).all()):
        return None
    points, index = shapely.get_coordinates(rings, return_index=True)
    away = shapely.distance(shapely.points(points), edge)
    start = np.searchsorted(index, np.arange(len(rings)))
    low, high = np.minimum.reduceat(away, start), np.maximum.reduceat(away, start)
    if (high - low > EVEN_MM).any():
        return None
    return tuple(distinct(np.round((low + high) / 2, 2)).tolist())
